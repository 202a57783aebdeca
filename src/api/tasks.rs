//! Everything due in one list, and what people did about it.

use super::{
    answer::{self, IfMatch},
    inbreeding::current_book,
    now,
    query::Query,
    resource::prelude::*,
};
use crate::{
    domain::{
        agenda::{cycle_tasks, litters_ahead, own_tasks, preparation_tasks, shopping_tasks},
        inbreeding::Studbook,
        litter_record::{AskedOn, due_walk},
        litter_tasks::{follow_up_tasks, growth_tasks, health_tasks},
        pregnancy::DamRecords,
        record::{OwnTask, OwnTaskFilter},
        rules::Rules,
        tasks::{GeneratedTask, TaskLine, TaskMark, TaskOrigin, TaskStatus, check_mark, task_list},
    },
    store::{
        StoreError, StoreResult, Tx, after_placement, kennels,
        litter_records::{self, Wanted},
        people::Right,
        planning, pregnancies,
    },
};
use chrono::{DateTime, Duration, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use serde_json::json;
use std::collections::BTreeMap;
use utoipa::{IntoParams, ToSchema};

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

/// Every task that the kennel's records ask for, whoever makes it.
pub(super) async fn generated(
    tx: &mut Tx,
    dams: &[DamRecords],
    rules: &Rules,
    now: DateTime<Utc>,
) -> StoreResult<Vec<GeneratedTask>> {
    let time = tx.time(now);
    let template = planning::template(tx).await?;
    let stock = planning::stock(tx).await?;
    let ahead = litters_ahead(dams, time, rules);
    let mut tasks = preparation_tasks(&ahead, &template, time.today(), rules);
    tasks.extend(shopping_tasks(&ahead, &template, &stock, time, rules));
    tasks.extend(cycle_tasks(dams, time, rules));
    tasks.extend(own_tasks(&planning::own_tasks(tx).await?));
    tasks.extend(of_litters(tx, now).await?);
    Ok(tasks)
}

/// What the litters and grown dogs here and the pups that have gone ask for.
async fn of_litters(tx: &mut Tx, now: DateTime<Utc>) -> StoreResult<Vec<GeneratedTask>> {
    let asked = litter_records::asked(tx).await?;
    let mut litters = litter_records::litters(tx, Wanted::Current, now).await?;
    litters.push(litter_records::grown(tx, &litters).await?);
    let time = tx.time(now);
    let ask = AskedOn { book: &asked.book, rules: &asked.rules, now, zone: time.tz };
    let mut tasks = health_tasks(&due_walk(&litters, ask));
    tasks.extend(growth_tasks(&litters, ask));
    if tx.scope().require(Right::Placing).is_ok() {
        let ahead_days = asked.rules.value("placement.reminded_days") as i64;
        for pup in after_placement::reminders(tx, None, now).await? {
            let dog = (pup.dog_id, pup.dog_name.as_deref());
            tasks.extend(follow_up_tasks(
                pup.placement_id,
                dog,
                &pup.reminders,
                time.today(),
                ahead_days,
            ));
        }
    }
    let kept = Duration::days(asked.rules.value("today.overdue_listed") as i64);
    tasks.retain(|task| task.due_on >= time.today() - kept);
    Ok(tasks)
}

/// All tasks with what was done about them, and the versions of that.
async fn all(
    tx: &mut Tx,
    book: &Studbook<Uuid>,
    now: DateTime<Utc>,
) -> StoreResult<(Vec<GeneratedTask>, BTreeMap<String, planning::Mark>)> {
    let rules = kennels::rules(tx).await?;
    let dam_ids = pregnancies::planned_dams(tx).await?;
    let dams = pregnancies::of_dams(tx, book, &dam_ids, now).await?;
    Ok((generated(tx, &dams, &rules, now).await?, planning::marks(tx).await?))
}

/// The list, as of `now`.
pub(super) fn lines(
    tasks: Vec<GeneratedTask>,
    marks: &BTreeMap<String, planning::Mark>,
    today: NaiveDate,
) -> Vec<TaskLine> {
    let plain = marks.iter().map(|(key, (_, mark))| (key.clone(), mark.clone())).collect();
    task_list(tasks, &plain, today)
}

/// Which tasks to list.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct TaskQuery {
    /// Only with this status.
    status: Option<TaskStatus>,
    /// Only from this origin.
    origin: Option<TaskOrigin>,
    /// Only about this litter.
    litter_id: Option<Uuid>,
    /// Only about this dog.
    dog_id: Option<Uuid>,
    /// Only for this person.
    assignee_id: Option<Uuid>,
    /// Only due on this day or earlier.
    #[param(example = "2026-05-31")]
    due_by: Option<NaiveDate>,
}

impl TaskQuery {
    fn wants(&self, line: &TaskLine) -> bool {
        self.status.is_none_or(|status| status == line.status)
            && self.origin.is_none_or(|origin| origin == line.origin)
            && self.litter_id.is_none_or(|id| Some(id) == line.litter_id)
            && self.dog_id.is_none_or(|id| Some(id) == line.dog_id)
            && self.assignee_id.is_none_or(|id| Some(id) == line.assignee_id)
            && self.due_by.is_none_or(|day| line.due_on <= day)
    }
}

/// A task with the version of what was done about it.
#[derive(Serialize, ToSchema)]
pub struct TaskAnswer {
    /// Counts what people did about it, 0 for nothing yet: its `ETag`.
    #[schema(example = 0)]
    version: i64,
    /// The task.
    #[serde(flatten)]
    line: TaskLine,
}

/// Everything due.
#[derive(Serialize, ToSchema)]
pub struct TaskListAnswer {
    /// What is late first, then by day.
    items: Vec<TaskAnswer>,
    /// Always null: the list comes whole.
    next_cursor: Option<String>,
}

fn answer_of(line: TaskLine, marks: &BTreeMap<String, planning::Mark>) -> TaskAnswer {
    TaskAnswer { version: marks.get(&line.key).map_or(0, |(version, _)| *version), line }
}

/// List everything due: from preparation, health, growth, tests, follow-up, and what people wrote.
#[utoipa::path(tag = "tasks", params(TaskQuery),
    responses((status = 200, description = "The list.", body = TaskListAnswer)))]
#[get("/v1/kennels/{kennel_id}/tasks")]
pub async fn list_tasks(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    query: Query<TaskQuery>,
) -> Result<HttpResponse, Problem> {
    let now = now();
    let book = current_book(&app, &scope.0).await?;
    let (tasks, marks) = app.db.within(&scope.0, async |tx| all(tx, &book, now).await).await?;
    let items = lines(tasks, &marks, scope.0.day_of(now))
        .into_iter()
        .filter(|line| query.0.wants(line))
        .map(|line| answer_of(line, &marks))
        .collect();
    Ok(HttpResponse::Ok().json(TaskListAnswer { items, next_cursor: None }))
}

/// The task of a key, with what was done about it.
async fn find(
    tx: &mut Tx,
    book: &Studbook<Uuid>,
    key: &str,
    now: DateTime<Utc>,
) -> StoreResult<(GeneratedTask, TaskAnswer)> {
    let (tasks, marks) = all(tx, book, now).await?;
    let task = tasks.into_iter().find(|task| task.key == key).ok_or(StoreError::NotFound)?;
    let today = tx.time(now).today();
    let line = lines(vec![task.clone()], &marks, today).pop().ok_or(StoreError::NotFound)?;
    Ok((task, answer_of(line, &marks)))
}

/// Read a task.
#[utoipa::path(tag = "tasks", responses((status = 200, description = "It, with its ETag.", body = TaskAnswer)))]
#[get("/v1/kennels/{kennel_id}/tasks/{task_key}")]
pub async fn read_task(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, String)>,
) -> Result<HttpResponse, Problem> {
    let now = now();
    let book = current_book(&app, &scope.0).await?;
    let found =
        app.db.within(&scope.0, async |tx| Ok(find(tx, &book, &path.1, now).await?.1)).await?;
    Ok(answer::tagged(found.version, &found))
}

/// What to note about a task: a JSON Merge Patch, null clears, absent leaves.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TaskChange {
    /// Who is to do it: a member of the kennel.
    #[serde(default)]
    assignee_id: Option<Uuid>,
    /// When it was done; whoever sends it has done it.
    #[serde(default)]
    #[schema(example = "2026-05-04T08:00:00+02:00")]
    done_at: Option<DateTime<Utc>>,
    /// Put off to this day.
    #[serde(default)]
    #[schema(example = "2026-05-08")]
    snoozed_until: Option<NaiveDate>,
    /// Why it is put off.
    #[serde(default)]
    #[schema(example = "the vet is away", min_length = 1, max_length = 500)]
    snooze_reason: Option<String>,
}

/// The mark after a change by this person.
fn marked(line: &TaskLine, patch: &serde_json::Value, by: Uuid) -> Result<TaskMark, Problem> {
    let mut value = json!({
        "assignee_id": line.assignee_id,
        "done_at": line.done_at,
        "snoozed_until": line.snoozed_until,
        "snooze_reason": line.snooze_reason,
    });
    json_patch::merge(&mut value, patch);
    let change: TaskChange = JsonBody(value).parse()?;
    // Who did it stays, unless somebody says anew that it is done.
    let done_by = match (change.done_at, patch.get("done_at")) {
        (None, _) => None,
        (Some(_), Some(_)) => Some(by),
        (Some(_), None) => line.done_by,
    };
    // A task that is done, or no longer put off, needs no reason for being put off.
    let snoozed = change.snoozed_until.filter(|_| patch.get("done_at").is_none());
    Ok(TaskMark {
        assignee_id: change.assignee_id,
        done_at: change.done_at,
        done_by,
        snoozed_until: snoozed.or(change.snoozed_until.filter(|_| change.done_at.is_none())),
        snooze_reason: change.snooze_reason.filter(|_| change.done_at.is_none()),
    })
}

/// Note that a task is done, put off, or whose it is.
#[utoipa::path(tag = "tasks",
    request_body(content = TaskChange, content_type = "application/merge-patch+json"),
    responses((status = 200, description = "As it is now, with its ETag.", body = TaskAnswer)))]
#[patch("/v1/kennels/{kennel_id}/tasks/{task_key}")]
pub async fn change_task(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, String)>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    scope.0.require(crate::store::people::Right::Observations)?;
    let now = now();
    if !body.0.is_object() {
        let kind = super::problem::Kind::NotAcceptable;
        return Err(Problem::fault(kind, "", "is not an object of fields to change"));
    }
    let book = current_book(&app, &scope.0).await?;
    let answer = app
        .db
        .within(&scope.0, async |tx| {
            let (task, found) = find(tx, &book, &path.1, now).await?;
            if found.version != version.0 {
                return Err(StoreError::Stale);
            }
            let mark = match marked(&found.line, &body.0, tx.scope().person_id()) {
                Ok(mark) => mark,
                Err(problem) => return Ok(Err(problem)),
            };
            check_mark(&mark, now, tx.time(now).today()).map_err(StoreError::Refused)?;
            planning::mark(tx, &task, version.0, &mark).await?;
            Ok(Ok(find(tx, &book, &path.1, now).await?.1))
        })
        .await??;
    Ok(answer::tagged(answer.version, &answer))
}
