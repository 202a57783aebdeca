//! One list of everything due: generated tasks joined with what people did about them.
//!
//! Tasks from plans, preparation, health and growth are generated anew each time, under a key that
//! says what they are about (`litter:{id}:prep:{item}`). What a person adds (who does it, done,
//! put off) is kept under that key, so it survives when a date moves. A task closes itself when what
//! it asks for is recorded, and ends when it is of no more use.

mod change;
mod filter;
mod list;

#[cfg(test)]
mod tests;

pub use change::TaskChange;
pub use filter::TaskFilter;
pub use list::{DaysAhead, Marked, TaskLine, TaskLitter, TaskPart, task_list, within};

use crate::fault::{Fault, Faults};
use catalogue::{Text, said};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// What made a task.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum TaskOrigin {
    /// Heats, matings and tests to come.
    Cycle,
    /// Preparation of a litter, shopping and nursing rounds.
    Preparation,
    /// The health schedule.
    Health,
    /// Weights and growth.
    Growth,
    /// Readiness and going home.
    GoHome,
    /// Written by a person.
    Own,
}

/// When in a round through the day a task comes; at one place, in this order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Turn {
    /// Somebody has to look at once.
    Look,
    /// Before the pups are fed.
    Weigh,
    /// Doses and examinations.
    Health,
    /// Rounds and cleaning.
    Chores,
    /// Tests and matings.
    Cycle,
    /// What a litter to come needs.
    Prepare,
    /// What is to be bought.
    Shop,
    /// New owners, and what is only to be asked.
    Ask,
    /// What people wrote.
    Own,
}

/// Tasks that are done in one go, and stand as one line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TaskGroup {
    /// Key of the line.
    pub key: String,
    /// How its title begins, before the parts.
    pub head: Text,
    /// Day of the line; `None` for that of its first part.
    pub due_on: Option<NaiveDate>,
    /// Whether one task alone stands as a line of the group, too, instead of by itself.
    pub also_of_one: bool,
}

/// A task as its origin makes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GeneratedTask {
    /// Key: the same task has the same key on every day, see [`task_key`].
    pub key: String,
    /// What made it.
    pub origin: TaskOrigin,
    /// What to do.
    pub title: Text,
    /// What to do, within the line of its group.
    pub in_short: Text,
    /// Litter concerned.
    pub litter_id: Option<Uuid>,
    /// Its name.
    pub litter_name: Option<Text>,
    /// Dog concerned.
    pub dog_id: Option<Uuid>,
    /// Room or box where it is done.
    pub place: Option<String>,
    /// First day on which it can be done; `None` if always.
    pub from: Option<NaiveDate>,
    /// Last day on which it should be done.
    pub due_on: NaiveDate,
    /// Last day on which it is of use; `None` if always.
    pub of_use_until: Option<NaiveDate>,
    /// Day on which what it asks for was recorded.
    pub recorded_on: Option<NaiveDate>,
    /// When in the day it comes.
    pub turn: Turn,
    /// The line it stands in with others.
    pub group: Option<TaskGroup>,
    /// Where it comes from.
    pub source: String,
}

impl GeneratedTask {
    /// A task about nobody in particular, that can be done from its day on and stays of use.
    pub fn new(
        key: String,
        (origin, turn): (TaskOrigin, Turn),
        title: impl Into<Text>,
        due_on: NaiveDate,
        source: String,
    ) -> Self {
        let title = title.into();
        Self {
            key,
            origin,
            in_short: title.clone(),
            title,
            litter_id: None,
            litter_name: None,
            dog_id: None,
            place: None,
            from: None,
            due_on,
            of_use_until: None,
            recorded_on: None,
            turn,
            group: None,
            source,
        }
    }
}

/// What people did about a task.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct TaskMark {
    /// Who is to do it.
    pub assignee_id: Option<Uuid>,
    /// When it was done.
    pub done_at: Option<DateTime<Utc>>,
    /// Who did it.
    pub done_by: Option<Uuid>,
    /// Put off to this day.
    pub snoozed_until: Option<NaiveDate>,
    /// Why it was put off.
    pub snooze_reason: Option<String>,
}

/// Where a task stands.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum TaskStatus {
    /// Past its last day and not done.
    Overdue,
    /// Its last day is today.
    DueToday,
    /// It can be done now.
    Open,
    /// Not yet.
    Upcoming,
    /// Put off.
    Snoozed,
    /// Done: a person said so, or what it asks for was recorded.
    Done,
    /// Not done, and of no more use.
    Ended,
}

impl TaskStatus {
    /// Whether there is still something to do.
    pub fn is_to_do(self) -> bool {
        !matches!(self, Self::Done | Self::Ended)
    }
}

/// The key of a task about a subject: `{subject}:{id}:{origin}:{item}`, with a day for what recurs.
pub(crate) fn task_key(
    subject: &str,
    id: Uuid,
    origin: &str,
    item: &str,
    day: Option<NaiveDate>,
) -> String {
    match day {
        Some(day) => format!("{subject}:{id}:{origin}:{item}:{day}"),
        None => format!("{subject}:{id}:{origin}:{item}"),
    }
}

/// Checks what a person wants to note about a task.
///
/// # Errors
/// Faults: done in the future or by nobody, put off to a day not after today, or without a reason,
/// or both done and put off.
pub fn check_mark(mark: &TaskMark, now: DateTime<Utc>, today: NaiveDate) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    faults.unless(mark.done_at.is_none_or(|at| at <= now), "/done_at", || {
        said!("fault-in-future-task-done", now = now.to_string())
    });
    faults.unless(mark.done_at.is_none() || mark.done_by.is_some(), "/done_by", || {
        said!("fault-only-together-task-done-by")
    });
    if let Some(until) = mark.snoozed_until {
        faults.unless(until > today, "/snooze_ends_on", || {
            said!("fault-too-early-task-snooze", today = today)
        });
        let reason = mark.snooze_reason.as_deref().unwrap_or("").trim();
        faults.unless(!reason.is_empty(), "/snooze_reason", || {
            said!("fault-missing-task-snooze-reason")
        });
        faults.unless(mark.done_at.is_none(), "/snooze_ends_on", || {
            said!("fault-already-done-task-snooze")
        });
    }
    faults.into_result()
}

/// Where a task stands on `today`.
///
/// A snooze ends by itself on its day; until then the task is not in the way, though it may be late.
pub(crate) fn task_status(task: &GeneratedTask, mark: &TaskMark, today: NaiveDate) -> TaskStatus {
    if mark.done_at.is_some() || task.recorded_on.is_some() {
        TaskStatus::Done
    } else if task.of_use_until.is_some_and(|until| until < today) {
        TaskStatus::Ended
    } else if mark.snoozed_until.is_some_and(|until| until > today) {
        TaskStatus::Snoozed
    } else if task.due_on < today {
        TaskStatus::Overdue
    } else if task.due_on == today {
        TaskStatus::DueToday
    } else if task.from.is_some_and(|from| from > today) {
        TaskStatus::Upcoming
    } else {
        TaskStatus::Open
    }
}
