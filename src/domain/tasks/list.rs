//! The list: tasks with their marks, those of one go together, in the order in which one does them.

use super::{GeneratedTask, TaskMark, TaskOrigin, TaskStatus, Turn, task_status};
use crate::{day_chances::shift, listing::commas, rules::Rules, schedule::rule_days};
use catalogue::{Text, said};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use utoipa::ToSchema;
use uuid::Uuid;

/// Most parts that the title of a line names; more are counted.
const NAMED: usize = 6;

/// Most days ahead that a list looks.
const MOST_DAYS_AHEAD: i64 = 366;

/// What people did about a task, and how often they wrote about it.
pub type Marked = (i64, TaskMark);

/// A litter that a line is for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct TaskLitter {
    /// The litter.
    pub litter_id: Uuid,
    /// Its name, or whose it is.
    #[schema(value_type = Option<String>, example = "K litter")]
    pub name: Option<Text>,
}

/// One of several things that a line asks for. It is a task, too, with a key of its own.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct TaskPart {
    /// Counts what people did about it, 0 for nothing yet: its `ETag`.
    #[schema(example = 0)]
    pub version: i64,
    /// Key.
    #[schema(example = "litter:018f2f3e-0000-7000-8000-000000000001:prep:bedding:2026-05-04")]
    pub key: String,
    /// What to do.
    #[schema(value_type = String)]
    pub title: Text,
    /// Where it stands.
    pub status: TaskStatus,
    /// Litter concerned.
    pub litter_id: Option<Uuid>,
    /// Dog concerned.
    pub dog_id: Option<Uuid>,
    /// Last day on which it should be done.
    pub due_on: NaiveDate,
    /// Days past `due_on`; 0 when in time, done or of no more use.
    #[schema(example = 0)]
    pub days_late: i64,
    /// Day on which what it asks for was recorded.
    pub recorded_on: Option<NaiveDate>,
    /// When a person said that it is done.
    pub done_at: Option<DateTime<Utc>>,
    /// Who did it.
    pub done_by: Option<Uuid>,
}

/// One line of the list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct TaskLine {
    /// Counts what people did about it, 0 for nothing yet: its `ETag`.
    #[schema(example = 0)]
    pub version: i64,
    /// Key.
    #[schema(example = "litter:018f2f3e-0000-7000-8000-000000000001:prep:xray_count")]
    pub key: String,
    /// What made it.
    pub origin: TaskOrigin,
    /// What to do.
    #[schema(value_type = String)]
    pub title: Text,
    /// Where it stands.
    pub status: TaskStatus,
    /// Room or box where it is done.
    #[schema(example = "Whelping room")]
    pub place: Option<String>,
    /// The litters it is for.
    pub litters: Vec<TaskLitter>,
    /// Litter concerned; null when it is about several, or none.
    pub litter_id: Option<Uuid>,
    /// Dog concerned; null when it is about several, or none.
    pub dog_id: Option<Uuid>,
    /// First day on which it can be done.
    #[serde(rename = "possible_on")]
    pub from: Option<NaiveDate>,
    /// Last day on which it should be done.
    pub due_on: NaiveDate,
    /// Days past `due_on`, also while put off; 0 when in time, done or of no more use.
    #[schema(example = 0)]
    pub days_late: i64,
    /// Last day on which it is of use; null if always.
    #[serde(rename = "last_useful_on")]
    pub of_use_until: Option<NaiveDate>,
    /// Day on which what it asks for was recorded: it closed itself.
    pub recorded_on: Option<NaiveDate>,
    /// Who is to do it.
    pub assignee_id: Option<Uuid>,
    /// When a person said that it is done.
    pub done_at: Option<DateTime<Utc>>,
    /// Who did it.
    pub done_by: Option<Uuid>,
    /// Put off to this day.
    #[serde(rename = "snooze_ends_on")]
    pub snoozed_until: Option<NaiveDate>,
    /// Why it was put off.
    pub snooze_reason: Option<String>,
    /// What is done in one go: each can be ticked by its own key, all by that of the line.
    pub parts: Vec<TaskPart>,
    /// Where it comes from.
    pub source: String,
    #[serde(skip)]
    turn: Turn,
}

/// The tasks joined with their marks, in the order in which one does them.
///
/// First where somebody has to look at once, then what is late, the longest first. Then the round of
/// the day: place by place in the order of a walk, at each place by its turn, then what has no place.
/// After that what can be done already and what is to come, by day; what is put off, done and of no
/// more use comes last. Of two
/// tasks of one key the one due sooner is kept. Tasks of one group that can be begun within
/// `ahead` are one line. A mark whose task is no longer made has no line.
pub fn task_list(
    tasks: Vec<GeneratedTask>,
    marks: &BTreeMap<String, Marked>,
    today: NaiveDate,
    ahead: DaysAhead,
) -> Vec<TaskLine> {
    let reach = shift(today, ahead.0);
    let mut by_key: BTreeMap<String, GeneratedTask> = BTreeMap::new();
    for task in tasks {
        match by_key.get(&task.key) {
            Some(kept) if kept.due_on <= task.due_on => {}
            _ => {
                by_key.insert(task.key.clone(), task);
            }
        }
    }
    let mut lines = Vec::new();
    let mut groups: BTreeMap<String, Vec<GeneratedTask>> = BTreeMap::new();
    for task in by_key.into_values() {
        let near = task.from.unwrap_or(task.due_on) <= reach;
        match task.group.as_ref().filter(|_| near) {
            Some(group) => groups.entry(group.key.clone()).or_default().push(task),
            None => lines.push(line(&task, marks, today)),
        }
    }
    lines.extend(groups.into_values().filter_map(|tasks| line_of_group(&tasks, marks, today)));
    lines.sort_by_cached_key(TaskLine::order);
    lines
}

/// How many days ahead somebody looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(try_from = "i64")]
pub struct DaysAhead(i64);

impl DaysAhead {
    /// The number of days.
    pub fn days(self) -> i64 {
        self.0
    }

    /// As far as a list looks of itself, the rule `tasks.horizon`.
    pub(crate) fn usual(rules: &Rules) -> Self {
        Self(rule_days(rules, "tasks.horizon"))
    }

    /// As far as a day, but no less than this.
    pub(crate) fn at_least_to(self, day: NaiveDate, today: NaiveDate) -> Self {
        Self(self.0.max((day - today).num_days()))
    }
}

impl TryFrom<i64> for DaysAhead {
    type Error = Text;

    fn try_from(days: i64) -> Result<Self, Self::Error> {
        if (0..=MOST_DAYS_AHEAD).contains(&days) {
            return Ok(Self(days));
        }
        Err(said!("fault-out-of-range-days-ahead", most = MOST_DAYS_AHEAD))
    }
}

/// Whether a line has something to do that can be begun within so many days.
pub fn within(line: &TaskLine, today: NaiveDate, ahead: DaysAhead) -> bool {
    let from = line.snoozed_until.unwrap_or(line.from.unwrap_or(line.due_on));
    line.status.is_to_do() && from <= shift(today, ahead.0)
}

fn days_late(status: TaskStatus, due_on: NaiveDate, today: NaiveDate) -> i64 {
    if status.is_to_do() { (today - due_on).num_days().max(0) } else { 0 }
}

fn litters(tasks: &[&GeneratedTask]) -> Vec<TaskLitter> {
    let by_name = |task: &&GeneratedTask| {
        let litter = TaskLitter { litter_id: task.litter_id?, name: task.litter_name.clone() };
        Some(((litter.name.as_ref().map(Text::to_string), litter.litter_id), litter))
    };
    let named: BTreeMap<_, _> = tasks.iter().filter_map(by_name).collect();
    named.into_values().collect()
}

fn line(task: &GeneratedTask, marks: &BTreeMap<String, Marked>, today: NaiveDate) -> TaskLine {
    let (version, mark) = marks.get(&task.key).cloned().unwrap_or_default();
    let status = task_status(task, &mark, today);
    TaskLine {
        version,
        status,
        days_late: days_late(status, task.due_on, today),
        key: task.key.clone(),
        origin: task.origin,
        title: task.title.clone(),
        place: task.place.clone(),
        litters: litters(&[task]),
        litter_id: task.litter_id,
        dog_id: task.dog_id,
        from: task.from,
        due_on: task.due_on,
        of_use_until: task.of_use_until,
        recorded_on: task.recorded_on,
        assignee_id: mark.assignee_id,
        done_at: mark.done_at,
        done_by: mark.done_by,
        snoozed_until: mark.snoozed_until,
        snooze_reason: mark.snooze_reason,
        parts: Vec::new(),
        source: task.source.clone(),
        turn: task.turn,
    }
}

/// One line for the tasks of a group; `None` without any. It stands as its most pressing part.
fn line_of_group(
    tasks: &[GeneratedTask],
    marks: &BTreeMap<String, Marked>,
    today: NaiveDate,
) -> Option<TaskLine> {
    let (first, rest) = tasks.split_first()?;
    let group = first.group.as_ref()?;
    if rest.is_empty() && !group.also_of_one {
        return Some(line(first, marks, today));
    }
    let singles: Vec<TaskLine> = tasks.iter().map(|task| line(task, marks, today)).collect();
    let to_do: Vec<(&GeneratedTask, &TaskLine)> =
        tasks.iter().zip(&singles).filter(|(_, part)| part.status.is_to_do()).collect();
    // When nothing is left, the line tells what it was about.
    let told: Vec<(&GeneratedTask, &TaskLine)> =
        if to_do.is_empty() { tasks.iter().zip(&singles).collect() } else { to_do };
    let parts = || told.iter().map(|(_, part)| *part);
    let about: Vec<&GeneratedTask> = told.iter().map(|(task, _)| *task).collect();
    let status = parts().map(|part| part.status).min()?;
    let due_on = match group.due_on {
        Some(on) => on,
        None => parts().map(|part| part.due_on).min()?,
    };
    let status = match status {
        // A round of the day is not late for a part of it that is.
        TaskStatus::Overdue if due_on >= today => TaskStatus::DueToday,
        other => other,
    };
    let put_off = parts().filter(|part| part.snoozed_until.is_some());
    let put_off = put_off.min_by_key(|part| part.snoozed_until);
    let put_off = put_off.filter(|_| status == TaskStatus::Snoozed);
    let mut turn: Vec<&GeneratedTask> = about.clone();
    turn.sort_by(|a, b| (a.turn, a.due_on, &a.key).cmp(&(b.turn, b.due_on, &b.key)));
    Some(TaskLine {
        version: singles.iter().map(|part| part.version).sum(),
        key: group.key.clone(),
        origin: first.origin,
        title: title_of(&group.head, &turn),
        status,
        place: first.place.clone(),
        litters: litters(&about),
        litter_id: common(about.iter().map(|task| task.litter_id)),
        dog_id: common(about.iter().map(|task| task.dog_id)),
        from: parts().map(|part| part.from).min().flatten(),
        due_on,
        days_late: days_late(status, due_on, today),
        of_use_until: parts()
            .map(|part| part.of_use_until)
            .reduce(|a, b| a.zip(b).map(|(a, b)| a.max(b)))
            .flatten(),
        recorded_on: common(singles.iter().map(|part| part.recorded_on)),
        assignee_id: common(parts().map(|part| part.assignee_id)),
        done_at: parts()
            .map(|part| part.done_at)
            .max()
            .flatten()
            .filter(|_| status == TaskStatus::Done),
        done_by: common(parts().map(|part| part.done_by)).filter(|_| status == TaskStatus::Done),
        snoozed_until: put_off.and_then(|part| part.snoozed_until),
        snooze_reason: put_off.and_then(|part| part.snooze_reason.clone()),
        source: sources(&turn),
        turn: first.turn,
        parts: singles.into_iter().map(TaskLine::into_part).collect(),
    })
}

/// What all have in common; `None` when they differ.
fn common<T: PartialEq>(mut all: impl Iterator<Item = Option<T>>) -> Option<T> {
    let first = all.next()??;
    all.all(|other| other.as_ref() == Some(&first)).then_some(first)
}

/// The head, what is to be done, and the litters it is for.
fn title_of(head: &Text, tasks: &[&GeneratedTask]) -> Text {
    let mut what: Vec<&Text> = Vec::new();
    for task in tasks {
        if !what.contains(&&task.in_short) {
            what.push(&task.in_short);
        }
    }
    let more = what.len().saturating_sub(NAMED);
    what.truncate(NAMED);
    let parts = commas(what.into_iter().cloned());
    let names: Vec<Text> = litters(tasks).into_iter().filter_map(|litter| litter.name).collect();
    let known = names.iter().all(|name| head.contains(&name.to_string()));
    let whose = commas(names);
    match (more, known) {
        (0, true) => said!("task-line", head = head, parts = parts),
        (0, false) => said!("task-line-of", head = head, parts = parts, litters = whose),
        (_, true) => said!("task-line-more", head = head, parts = parts, more = more),
        (_, false) => {
            said!("task-line-more-of", head = head, parts = parts, more = more, litters = whose)
        }
    }
}

fn sources(tasks: &[&GeneratedTask]) -> String {
    let mut named: Vec<&str> = Vec::new();
    for task in tasks {
        if !named.contains(&task.source.as_str()) {
            named.push(&task.source);
        }
    }
    named.join("; ")
}

type Order = (u8, Option<NaiveDate>, (bool, Option<String>), (Turn, NaiveDate), (String, String));

impl TaskLine {
    /// Whether it is about a litter, by itself or in a part.
    pub(crate) fn is_about_litter(&self, id: Uuid) -> bool {
        self.litter_id == Some(id) || self.litters.iter().any(|litter| litter.litter_id == id)
    }

    /// Whether it is about a dog, by itself or in a part.
    pub(crate) fn is_about_dog(&self, id: Uuid) -> bool {
        self.dog_id == Some(id) || self.parts.iter().any(|part| part.dog_id == Some(id))
    }

    fn order(&self) -> Order {
        let look = self.turn == Turn::Look && self.status.is_to_do();
        let stage = match self.status {
            _ if look => 0,
            TaskStatus::Overdue => 1,
            TaskStatus::DueToday => 2,
            TaskStatus::Open => 3,
            TaskStatus::Upcoming => 4,
            TaskStatus::Snoozed => 5,
            TaskStatus::Done => 6,
            TaskStatus::Ended => 7,
        };
        let place = (self.place.is_none(), self.place.clone());
        let names = (self.title.to_string(), self.key.clone());
        // The round of the day goes from place to place; all else comes by its day.
        let by_day = (self.status != TaskStatus::DueToday).then_some(self.due_on);
        (stage, by_day, place, (self.turn, self.due_on), names)
    }

    fn into_part(self) -> TaskPart {
        TaskPart {
            version: self.version,
            key: self.key,
            title: self.title,
            status: self.status,
            litter_id: self.litter_id,
            dog_id: self.dog_id,
            due_on: self.due_on,
            days_late: self.days_late,
            recorded_on: self.recorded_on,
            done_at: self.done_at,
            done_by: self.done_by,
        }
    }
}
