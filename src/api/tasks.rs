//! Everything due in one list, and what people did about it.

use super::{
    answer::{self, IfMatch},
    conditional::unless_unchanged,
    inbreeding::current_book,
    query::Query,
    resource::prelude::*,
};
use chrono::{DateTime, NaiveDate, Utc};
use domain::{
    agenda::{cycle_tasks, litters_ahead, own_tasks, preparation_tasks, shopping, shopping_tasks},
    alarms::{Watched, WatchedLitter, look_at},
    inbreeding::Studbook,
    litter::{Core, Dosed, followed},
    litter_tasks::{bereft_tasks, follow_up_tasks, growth_tasks, health_tasks, history_tasks},
    moment::Moment,
    pregnancy::DamRecords,
    record::{OwnTask, OwnTaskFilter},
    rules::Rules,
    tasks::{
        DaysAhead, GeneratedTask, Marked, TaskLine, TaskMark, TaskOrigin, TaskStatus, check_mark,
        task_list, within,
    },
};
use serde::{Deserialize, Serialize};
use serde_json::json;
use std::collections::BTreeMap;
use store::{
    StoreError, StoreResult, Tx,
    after_placement::{self, FollowUpsOfPup},
    aside,
    litters::{self, Which},
    planning,
    scope::Right,
};
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

/// Every task that the kennel's records ask for, with what people did about it.
pub(super) struct Asked {
    tasks: Vec<GeneratedTask>,
    marks: BTreeMap<String, Marked>,
    rules: Rules,
    today: NaiveDate,
}

impl Asked {
    /// The tasks of the litters and dogs of these dams, and of all that is followed here.
    pub(super) async fn of(tx: &mut Tx, dams: &[DamRecords]) -> StoreResult<Self> {
        let moment = tx.moment().await?;
        let template = planning::template(tx).await?;
        let house = planning::house(tx, dams).await?;
        let own = planning::own_tasks(tx).await?;
        let here = RecordsHere::load(tx).await?;
        let marks = planning::marks(tx).await?;
        let dams = dams.to_vec();
        // Whoever asks has a seat in the room for work.
        aside(move || {
            let (time, today, rules) = (moment.time(), moment.today(), &moment.rules);
            let ahead = litters_ahead(&dams, &house, time, rules);
            let mut tasks = preparation_tasks(&ahead, &template, today, rules);
            let list = shopping(&ahead, &template, &house.stock, (today, None), rules);
            tasks.extend(shopping_tasks(&list, today));
            tasks.extend(cycle_tasks(&dams, time, rules));
            tasks.extend(own_tasks(&own, rules));
            tasks.extend(here.tasks(&moment));
            Self { tasks, marks, rules: rules.clone(), today }
        })
        .await
    }

    /// All that is asked for in the kennel.
    async fn in_kennel(tx: &mut Tx, book: &Studbook<Uuid>) -> StoreResult<Self> {
        let dam_ids = litters::planned_dams(tx).await?;
        let dams = litters::of_dams(tx, book, &dam_ids).await?;
        Self::of(tx, &dams).await
    }

    /// The list.
    pub(super) fn lines(&self) -> Vec<TaskLine> {
        self.lines_of(self.tasks.clone())
    }

    fn lines_of(&self, tasks: Vec<GeneratedTask>) -> Vec<TaskLine> {
        task_list(tasks, &self.marks, self.today, DaysAhead::usual(&self.rules))
    }

    /// The line of a key, and the tasks that it stands for: one, or those of a group.
    fn find(&self, key: &str) -> StoreResult<(TaskLine, Vec<GeneratedTask>)> {
        let alone = |task: &GeneratedTask| GeneratedTask { group: None, ..task.clone() };
        if let Some(task) = self.tasks.iter().find(|task| task.key == key) {
            let line = self.lines_of(vec![alone(task)]).pop().ok_or(StoreError::NotFound)?;
            return Ok((line, vec![alone(task)]));
        }
        let line = self.lines().into_iter().find(|line| line.key == key);
        let line = line.ok_or(StoreError::NotFound)?;
        let is_part = |task: &&GeneratedTask| line.parts.iter().any(|part| part.key == task.key);
        let tasks = self.tasks.iter().filter(is_part).map(alone).collect();
        Ok((line, tasks))
    }
}

/// The litters and grown dogs here, and the pups that have gone.
struct RecordsHere {
    litters: Vec<(Core, Watched)>,
    /// Of pups that have gone; `None` for who may not know of them.
    gone: Option<Vec<FollowUpsOfPup>>,
}

impl RecordsHere {
    async fn load(tx: &mut Tx) -> StoreResult<Self> {
        let litters = litters::load::<Watched>(tx, Which::Kennel).await?;
        let gone = match tx.scope().require(Right::Placing) {
            Ok(()) => Some(after_placement::reminders(tx, None).await?),
            Err(_) => None,
        };
        Ok(Self { litters, gone })
    }

    /// What they ask for.
    fn tasks(&self, moment: &Moment) -> Vec<GeneratedTask> {
        let litters = &self.litters;
        let doses: Vec<Dosed<'_>> =
            litters.iter().map(|(core, parts)| (core, &parts.2, &parts.5)).collect();
        let nests = litters.iter().filter(|(core, _)| core.here(moment).next().is_some());
        let watched: Vec<(&Core, WatchedLitter)> =
            nests.map(|(core, parts)| (core, look_at(core, parts, moment))).collect();
        let (dogs, _) = followed(&doses, moment);
        let mut tasks = health_tasks(&dogs, &moment.rules);
        tasks.extend(history_tasks(&dogs, moment.today()));
        tasks.extend(growth_tasks(&watched, moment));
        let Some(gone) = &self.gone else { return tasks };
        let cores: Vec<&Core> = litters.iter().map(|(core, _)| core).collect();
        tasks.extend(bereft_tasks(&cores, moment));
        for pup in gone {
            let dog = (pup.dog_id, pup.dog_name.as_deref());
            let today = moment.today();
            let made = follow_up_tasks(pup.placement_id, dog, &pup.reminders, today, &moment.rules);
            tasks.extend(made);
        }
        tasks
    }
}

/// Which tasks to list.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct TaskQuery {
    /// Only with this status; what is done, or of no more use, is listed only when asked for.
    status: Option<TaskStatus>,
    /// Only from this origin.
    origin: Option<TaskOrigin>,
    /// Only about this litter, alone or with others.
    litter_id: Option<Uuid>,
    /// Only about this dog, alone or with others.
    dog_id: Option<Uuid>,
    /// Only for this person.
    assignee_id: Option<Uuid>,
    /// Only due on this day or earlier; a later one than the horizon's moves that.
    #[param(example = "2026-05-31")]
    due_by: Option<NaiveDate>,
    /// How many days ahead to look; 14 when left out, or what the kennel set as `tasks.horizon`.
    #[param(value_type = Option<i64>, minimum = 0, maximum = 366, example = 14)]
    horizon_days: Option<DaysAhead>,
}

impl TaskQuery {
    fn wants(&self, line: &TaskLine, today: NaiveDate, rules: &Rules) -> bool {
        let usual = DaysAhead::usual(rules);
        let usual = self.due_by.map_or(usual, |day| usual.at_least_to(day, today));
        let past = self.status == Some(line.status) && !line.status.is_to_do();
        (past || within(line, today, self.horizon_days.unwrap_or(usual)))
            && self.status.is_none_or(|status| status == line.status)
            && self.origin.is_none_or(|origin| origin == line.origin)
            && self.litter_id.is_none_or(|id| line.is_about_litter(id))
            && self.dog_id.is_none_or(|id| line.is_about_dog(id))
            && self.assignee_id.is_none_or(|id| Some(id) == line.assignee_id)
            && self.due_by.is_none_or(|day| line.due_on <= day)
    }
}

/// Everything due.
#[derive(Serialize, ToSchema)]
pub struct TaskListAnswer {
    /// In the order in which one would do it.
    items: Vec<TaskLine>,
    /// Always null: the list comes whole.
    next_cursor: Option<String>,
}

/// List what is to do: from preparation, health, growth, tests, follow-up, and what people wrote.
///
/// First where somebody has to look at once and what is late, then the round of the day, place by place
/// as one walks; then what can be done already, what is to come and what is put off. The rounds of a day are one line a place, shopping is one line; their
/// `parts` can be ticked one by one. A task closes itself when what it asks for is recorded, and ends
/// when it is of no more use.
#[utoipa::path(tag = "tasks", params(TaskQuery),
    responses((status = 200, description = "The list.", body = TaskListAnswer)))]
#[get("/v1/kennels/{kennel_id}/tasks")]
pub async fn list_tasks(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    _path: web::Path<Uuid>,
    query: Query<TaskQuery>,
) -> Result<HttpResponse, Problem> {
    unless_unchanged(&scope.0, &request, async || {
        let _seat = app.room.seat(scope.0.kennel_id()).await?;
        let book = current_book(&app, &scope.0).await?;
        let work = async |tx: &mut Tx| Asked::in_kennel(tx, &book).await;
        let asked = app.db.within(&scope.0, work).await?;
        let listed = move || {
            let mut items = asked.lines();
            items.retain(|line| query.0.wants(line, asked.today, &asked.rules));
            items
        };
        let items = aside(listed).await?;
        Ok(HttpResponse::Ok().json(TaskListAnswer { items, next_cursor: None }))
    })
    .await
}

/// Read a task, a part of one, or a line of several.
#[utoipa::path(tag = "tasks", responses((status = 200, description = "It.", body = TaskLine)))]
#[get("/v1/kennels/{kennel_id}/tasks/{task_key}")]
pub async fn read_task(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, String)>,
) -> Result<HttpResponse, Problem> {
    let _seat = app.room.seat(scope.0.kennel_id()).await?;
    let book = current_book(&app, &scope.0).await?;
    let work = async |tx: &mut Tx| Asked::in_kennel(tx, &book).await?.find(&path.1);
    let (line, _) = app.db.within(&scope.0, work).await?;
    Ok(answer::tagged(line.version, &line))
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
async fn marked(line: &TaskLine, body: &JsonBody, by: Uuid) -> Result<TaskMark, Problem> {
    let patch = &body.0;
    let mut value = json!({
        "assignee_id": line.assignee_id,
        "done_at": line.done_at,
        "snoozed_until": line.snoozed_until,
        "snooze_reason": line.snooze_reason,
    });
    json_patch::merge(&mut value, patch);
    let change: TaskChange = body.with(value).parse().await?;
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

/// Note that a task is done, put off, or whose it is; of a line of several, that all of them are.
#[utoipa::path(tag = "tasks",
    request_body(content = TaskChange, content_type = "application/merge-patch+json"),
    responses((status = 200, description = "As it is now.", body = TaskLine)))]
#[patch("/v1/kennels/{kennel_id}/tasks/{task_key}")]
pub async fn change_task(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, String)>,
    version: IfMatch,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Observations)?;
    if !body.0.is_object() {
        let kind = super::problem::Kind::NotAcceptable;
        return Err(Problem::fault(kind, "", "is not an object of fields to change"));
    }
    let _seat = app.room.seat(scope.0.kennel_id()).await?;
    let book = current_book(&app, &scope.0).await?;
    let answer = app
        .db
        .within(&scope.0, async |tx| {
            let asked = Asked::in_kennel(tx, &book).await?;
            let (line, tasks) = asked.find(&path.1)?;
            version.0.must_be(line.version)?;
            let is_line_of_several = !line.parts.is_empty();
            for task in tasks {
                let (own, _) = asked.find(&task.key)?;
                if is_line_of_several && !own.status.is_to_do() && says_done(&body.0) {
                    // It was done before the rest.
                    continue;
                }
                let mark = match marked(&own, &body, tx.scope().person_id()).await {
                    Ok(mark) => mark,
                    Err(problem) => return Ok(Err(problem)),
                };
                check_mark(&mark, tx.scope().now(), asked.today).map_err(StoreError::Refused)?;
                planning::mark(tx, &task, own.version, &mark).await?;
            }
            let marks = planning::marks(tx).await?;
            Ok(Ok(Asked { marks, ..asked }.find(&path.1)?.0))
        })
        .await??;
    Ok(answer::tagged(answer.version, &answer))
}

fn says_done(patch: &serde_json::Value) -> bool {
    patch.get("done_at").is_some_and(|at| !at.is_null())
}
