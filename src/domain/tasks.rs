//! One list of everything due: generated tasks joined with what people did about them.
//!
//! Tasks from plans, preparation, health and growth are generated anew each time, under a key that
//! says what they are about (`litter:{id}:prep:{item}`). What a person adds (who does it, done,
//! put off) is kept under that key, so it survives when a date moves.

use crate::domain::fault::{Fault, Faults};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
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
    /// Preparation of a litter and nursing rounds.
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

/// A task as its origin makes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GeneratedTask {
    /// Key: the same task has the same key on every day, see [`task_key`].
    pub key: String,
    /// What made it.
    pub origin: TaskOrigin,
    /// What to do.
    pub title: String,
    /// Litter concerned.
    pub litter_id: Option<Uuid>,
    /// Dog concerned.
    pub dog_id: Option<Uuid>,
    /// First day on which it can be done; `None` if always.
    pub from: Option<NaiveDate>,
    /// Last day on which it should be done.
    pub due_on: NaiveDate,
    /// Where it comes from.
    pub source: String,
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
    /// Done.
    Done,
}

/// One line of the list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct TaskLine {
    /// Key.
    #[schema(example = "litter:018f2f3e-0000-7000-8000-000000000001:prep:xray_count")]
    pub key: String,
    /// What made it.
    pub origin: TaskOrigin,
    /// What to do.
    pub title: String,
    /// Where it stands.
    pub status: TaskStatus,
    /// Litter concerned.
    pub litter_id: Option<Uuid>,
    /// Dog concerned.
    pub dog_id: Option<Uuid>,
    /// First day on which it can be done.
    pub from: Option<NaiveDate>,
    /// Last day on which it should be done.
    pub due_on: NaiveDate,
    /// Days past `due_on`, also while put off; 0 when in time or done.
    #[schema(example = 0)]
    pub days_late: i64,
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
    /// Where it comes from.
    pub source: String,
}

/// The key of a task about a subject: `{subject}:{id}:{origin}:{item}`, with a day for what recurs.
pub fn task_key(
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
        format!("is after now ({now})")
    });
    faults.unless(mark.done_at.is_none() || mark.done_by.is_some(), "/done_by", || {
        "must be given with done_at".to_owned()
    });
    if let Some(until) = mark.snoozed_until {
        faults.unless(until > today, "/snoozed_until", || {
            format!("must be after today ({today}); to do it today, take the snooze away")
        });
        let reason = mark.snooze_reason.as_deref().unwrap_or("").trim();
        faults.unless(!reason.is_empty(), "/snooze_reason", || "say why it is put off".to_owned());
        faults.unless(mark.done_at.is_none(), "/snoozed_until", || {
            "a task that is done cannot be put off".to_owned()
        });
    }
    faults.into_result()
}

/// Where a task stands on `today`.
///
/// A snooze ends by itself on its day; until then the task is not in the way, though it may be late.
pub fn task_status(task: &GeneratedTask, mark: &TaskMark, today: NaiveDate) -> TaskStatus {
    if mark.done_at.is_some() {
        TaskStatus::Done
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

/// The tasks joined with their marks: what is late first, then by day, then by key.
///
/// Of two tasks of one key the one due sooner is kept. A mark whose task is no longer made has no
/// line (its key can be found with [`stale_marks`]).
pub fn task_list(
    tasks: Vec<GeneratedTask>,
    marks: &BTreeMap<String, TaskMark>,
    today: NaiveDate,
) -> Vec<TaskLine> {
    let mut by_key: BTreeMap<String, GeneratedTask> = BTreeMap::new();
    for task in tasks {
        match by_key.get(&task.key) {
            Some(kept) if kept.due_on <= task.due_on => {}
            _ => {
                by_key.insert(task.key.clone(), task);
            }
        }
    }
    let mut lines: Vec<TaskLine> = by_key
        .into_values()
        .map(|task| {
            let mark = marks.get(&task.key).cloned().unwrap_or_default();
            join(task, mark, today)
        })
        .collect();
    lines.sort_by(|a, b| (a.status, a.due_on, &a.key).cmp(&(b.status, b.due_on, &b.key)));
    lines
}

fn join(task: GeneratedTask, mark: TaskMark, today: NaiveDate) -> TaskLine {
    let status = task_status(&task, &mark, today);
    let late = (today - task.due_on).num_days().max(0);
    TaskLine {
        status,
        days_late: if status == TaskStatus::Done { 0 } else { late },
        key: task.key,
        origin: task.origin,
        title: task.title,
        litter_id: task.litter_id,
        dog_id: task.dog_id,
        from: task.from,
        due_on: task.due_on,
        assignee_id: mark.assignee_id,
        done_at: mark.done_at,
        done_by: mark.done_by,
        snoozed_until: mark.snoozed_until,
        snooze_reason: mark.snooze_reason,
        source: task.source,
    }
}

/// Keys of marks, not done, whose task is no longer made: what was assigned or put off is moot.
pub fn stale_marks<'m>(lines: &[TaskLine], marks: &'m BTreeMap<String, TaskMark>) -> Vec<&'m str> {
    let made = |key: &str| lines.iter().any(|line| line.key == key);
    marks
        .iter()
        .filter(|(key, mark)| mark.done_at.is_none() && !made(key))
        .map(|(key, _)| key.as_str())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn task(key: &str, from: Option<&str>, due_on: &str) -> GeneratedTask {
        GeneratedTask {
            key: key.into(),
            origin: TaskOrigin::Preparation,
            title: key.into(),
            litter_id: None,
            dog_id: None,
            from: from.map(day),
            due_on: day(due_on),
            source: "test".into(),
        }
    }

    const TODAY: &str = "2024-03-05";

    fn lines(tasks: Vec<GeneratedTask>, marks: &[(&str, TaskMark)]) -> Vec<TaskLine> {
        let marks = marks.iter().map(|(k, m)| ((*k).to_owned(), m.clone())).collect();
        task_list(tasks, &marks, day(TODAY))
    }

    #[test]
    fn orders_by_urgency_and_keeps_marks_by_key() {
        let done = TaskMark {
            done_at: Some("2024-03-04T10:00:00Z".parse().unwrap()),
            done_by: Some(Uuid::from_u128(1)),
            ..Default::default()
        };
        let off = TaskMark {
            snoozed_until: Some(day("2024-03-08")),
            snooze_reason: Some("vet is away".into()),
            ..Default::default()
        };
        let tasks = vec![
            task("e", None, "2024-03-01"),
            task("d", Some("2024-03-10"), "2024-03-12"),
            task("c", Some("2024-03-01"), "2024-03-09"),
            task("b", None, TODAY),
            task("a", None, "2024-03-02"),
            task("f", None, "2024-03-02"),
            task("a", None, "2024-03-04"),
        ];
        let found = lines(tasks.clone(), &[("e", done), ("f", off)]);
        let got: Vec<(&str, TaskStatus)> =
            found.iter().map(|l| (l.key.as_str(), l.status)).collect();
        assert_eq!(
            got,
            [
                ("a", TaskStatus::Overdue),
                ("b", TaskStatus::DueToday),
                ("c", TaskStatus::Open),
                ("d", TaskStatus::Upcoming),
                ("f", TaskStatus::Snoozed),
                ("e", TaskStatus::Done),
            ]
        );
        assert_eq!(found[0].days_late, 3); // the sooner of the two
        assert_eq!((found[4].days_late, found[5].days_late), (3, 0));
        let mut turned = tasks;
        turned.reverse();
        assert_eq!(lines(turned, &[])[0].key, "e");
    }

    #[test]
    fn a_snooze_ends_on_its_day() {
        let mark = TaskMark { snoozed_until: Some(day(TODAY)), ..Default::default() };
        assert_eq!(
            lines(vec![task("a", None, TODAY)], &[("a", mark)])[0].status,
            TaskStatus::DueToday
        );
    }

    #[test]
    fn names_what_is_wrong_with_a_mark() {
        let now = "2024-03-05T12:00:00Z".parse().unwrap();
        let bad = TaskMark {
            done_at: Some("2024-03-06T12:00:00Z".parse().unwrap()),
            snoozed_until: Some(day(TODAY)),
            snooze_reason: Some("  ".into()),
            ..Default::default()
        };
        let faults = check_mark(&bad, now, day(TODAY)).unwrap_err();
        let places: Vec<&str> = faults.iter().map(|f| f.pointer.as_str()).collect();
        let expected =
            ["/done_at", "/done_by", "/snoozed_until", "/snooze_reason", "/snoozed_until"];
        assert_eq!(places, expected);
        assert!(check_mark(&TaskMark::default(), now, day(TODAY)).is_ok());
    }

    #[test]
    fn makes_stable_keys_and_finds_stale_marks() {
        let id = Uuid::from_u128(1);
        let key = task_key("litter", id, "prep", "xray_count", None);
        assert_eq!(key, format!("litter:{id}:prep:xray_count"));
        let daily = task_key("litter", id, "prep", "temperature", Some(day(TODAY)));
        assert!(daily.ends_with(":temperature:2024-03-05"));
        let marks: BTreeMap<String, TaskMark> =
            [(key.clone(), TaskMark::default()), ("gone".to_owned(), TaskMark::default())].into();
        let found = task_list(vec![task(&key, None, TODAY)], &marks, day(TODAY));
        assert_eq!(stale_marks(&found, &marks), ["gone"]);
    }
}
