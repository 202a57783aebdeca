//! Everything due in one list, and what people did about it.

use super::{
    answer::{self, IfMatch},
    conditional::unless_unchanged,
    inbreeding::current_book,
    resource::prelude::*,
};
use catalogue::said;
use domain::{
    record::{OwnTask, OwnTaskFilter},
    tasks::{TaskChange, TaskFilter, TaskLine, TaskMark, check_mark},
};
use serde::Serialize;
use serde_json::json;
use store::{StoreError, Tx, aside, planning, scope::Right, tasks::in_kennel};
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(list_tasks)
        .service(read_task)
        .service(change_task)
        .service(create_own_task)
        .service(list_own_tasks)
        .service(read_own_task)
        .service(change_own_task)
        .service(delete_own_task);
}

resource!(OwnTask, tag "tasks", one "a task of one's own", many "tasks that people wrote",
    at "/v1/kennels/{kennel_id}/own-tasks", "/v1/kennels/{kennel_id}/own-tasks/{task_id}";
    create_own_task, list_own_tasks, read_own_task, change_own_task, delete_own_task);

/// Everything due.
#[derive(Serialize, ToSchema)]
pub(crate) struct TaskListAnswer {
    /// In the order in which one would do it.
    items: Vec<TaskLine>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
}

/// List what is to do: from preparation, health, growth, tests, follow-up, and what people wrote.
///
/// First where somebody has to look at once and what is late, then the round of the day, place by place
/// as one walks; then what can be done already, what is to come and what is put off. The rounds of a day are one line a place, shopping is one line; their
/// `parts` can be ticked one by one. A task closes itself when what it asks for is recorded, and ends
/// when it is of no more use.
#[utoipa::path(tag = "tasks", params(Paging, TaskFilter),
    responses((status = 200, description = "A page.", body = TaskListAnswer)))]
#[get("/v1/kennels/{kennel_id}/tasks")]
pub(crate) async fn list_tasks(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    _path: web::Path<Uuid>,
    listing: Listing<TaskFilter>,
) -> Result<HttpResponse, Problem> {
    unless_unchanged(&scope.0, &request, async || {
        let _seat = app.room.seat(scope.0.kennel_id()).await?;
        let book = current_book(&app, &scope.0).await?;
        let work = async |tx: &mut Tx| in_kennel(tx, &book).await;
        let asked = app.db.within(&scope.0, work).await?;
        let Listing { filter, asked: page } = listing;
        let listed = aside(move || asked.wanted(&filter)).await?;
        let (items, next_cursor) = page.cut(listed, |line| line.key.clone())?;
        let list = TaskListAnswer { items, next_cursor };
        answer::list::<TaskLine>(&request, list.next_cursor.as_deref(), &list)
    })
    .await
}

/// Read a task, a part of one, or a line of several.
#[utoipa::path(tag = "tasks", responses((status = 200, description = "It.", body = TaskLine)))]
#[get("/v1/kennels/{kennel_id}/tasks/{task_key}")]
pub(crate) async fn read_task(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, String)>,
) -> Result<HttpResponse, Problem> {
    let _seat = app.room.seat(scope.0.kennel_id()).await?;
    let book = current_book(&app, &scope.0).await?;
    let work =
        async |tx: &mut Tx| in_kennel(tx, &book).await?.find(&path.1).ok_or(StoreError::NotFound);
    let (line, _) = app.db.within(&scope.0, work).await?;
    Ok(answer::tagged(line.version, &line))
}

/// The mark after a change by this person.
async fn marked(line: &TaskLine, body: &JsonBody, by: Uuid) -> Result<TaskMark, Problem> {
    let mut value = json!(TaskChange::of(line));
    json_patch::merge(&mut value, &body.0);
    let change: TaskChange = body.with(value).parse().await?;
    Ok(change.mark(line, body.0.get("done_at").is_some(), by))
}

/// Note that a task is done, put off, or whose it is; of a line of several, that all of them are.
#[utoipa::path(tag = "tasks",
    request_body(content = TaskChange, content_type = "application/merge-patch+json"),
    responses((status = 200, description = "As it is now.", body = TaskLine)))]
#[patch("/v1/kennels/{kennel_id}/tasks/{task_key}")]
pub(crate) async fn change_task(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, String)>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Observations)?;
    if !body.0.is_object() {
        let kind = super::problem::Kind::NotAcceptable;
        return Err(Problem::fault(kind, "", said!("fault-wrong-type-fields")));
    }
    let _seat = app.room.seat(scope.0.kennel_id()).await?;
    let book = current_book(&app, &scope.0).await?;
    let answer = app
        .db
        .writing(&scope.0, async |tx| {
            let asked = in_kennel(tx, &book).await?;
            let (line, tasks) = asked.find(&path.1).ok_or(StoreError::NotFound)?;
            version.0.must_be(line.version)?;
            let is_line_of_several = !line.parts.is_empty();
            for task in tasks {
                let (own, _) = asked.find(&task.key).ok_or(StoreError::NotFound)?;
                if is_line_of_several && !own.status.is_to_do() && says_done(&body.0) {
                    // It was done before the rest.
                    continue;
                }
                let mark = match marked(&own, &body, tx.scope().person_id()).await {
                    Ok(mark) => mark,
                    Err(problem) => return Ok(Err(problem)),
                };
                let (now, today) = (tx.scope().now(), tx.scope().today());
                check_mark(&mark, now, today).map_err(StoreError::Refused)?;
                planning::mark(tx, &task, own.version, &mark).await?;
            }
            let marks = planning::marks(tx).await?;
            let (line, _) = asked.marked(marks).find(&path.1).ok_or(StoreError::NotFound)?;
            Ok(Ok(line))
        })
        .await??;
    Ok(answer::tagged(answer.version, &answer))
}

fn says_done(patch: &serde_json::Value) -> bool {
    patch.get("done_at").is_some_and(|at| !at.is_null())
}
