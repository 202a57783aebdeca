//! Tasks that come due: which of them ring for somebody, and what rings together.

use super::{
    Listener, PlannedRing, Told,
    clock::{shown_on, time_of_day},
    plan::after_quiet,
};
use crate::{
    advice::Level,
    tasks::{TaskLine, TaskStatus},
};
use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// A task that was due the day before rings late, since nothing may have been there to ring; what is older is in
/// the list and in the letter (common practice, no source).
const MOST_DAYS_LATE: i64 = 1;

/// What is noted together when somebody begins to be rung of tasks; no task stands under it.
const NOTED_AT_FIRST: &str = "noted";

/// A task by itself, and what it rings together with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TaskToRing {
    /// The task.
    pub line: TaskLine,
    /// The same for all that are done in one go.
    pub together: String,
    /// Whether it is one of the chores, which ring once a day.
    pub chore: bool,
}

/// Which tasks somebody was told of.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Noted {
    /// Their keys: none of them rings again.
    pub keys: BTreeSet<String>,
    /// Whether these are the chores of a day.
    pub chores: bool,
}

/// What somebody was told of tasks that rang together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TasksTold {
    /// How it stands: over when nothing of it is left to do.
    pub told: Told,
    /// Which tasks.
    pub noted: Noted,
}

/// Tasks that ring together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RingOfTasks<'a> {
    /// How they stand now.
    pub told: Told,
    /// The tasks, all that are left to do.
    pub tasks: Vec<&'a TaskLine>,
}

/// Who hears of tasks, and when.
#[derive(Debug, Clone, Copy)]
pub struct Hearing<'a> {
    /// Who wants to.
    pub listener: &'a Listener,
    /// The person: what somebody else is to do does not ring for them.
    pub person_id: Uuid,
    /// Whether they were not rung of tasks before: what is due already is noted, and rings for nobody.
    pub first: bool,
    /// The moment.
    pub now: DateTime<Utc>,
    /// The kennel's time zone.
    pub zone: Tz,
}

impl Hearing<'_> {
    fn today(&self) -> NaiveDate {
        self.now.with_timezone(&self.zone).date_naive()
    }

    /// Whether the hour at which tasks ring has come today.
    fn hour_has_come(&self) -> bool {
        let time = self.listener.choices.tasks_at.as_deref().and_then(time_of_day);
        let hour = time.and_then(|time| shown_on(self.today(), time, self.zone));
        hour.is_some_and(|hour| hour <= self.now)
    }

    fn is_theirs(&self, task: &TaskLine) -> bool {
        let litters = &self.listener.choices.litter_ids;
        task.assignee_id.is_none_or(|id| id == self.person_id)
            && (litters.is_empty() || litters.iter().any(|id| task.is_about_litter(*id)))
    }

    /// The id under which what rings together does so on a day: another one for each member.
    fn id_of(&self, together: &str) -> Uuid {
        let mut hash = Sha256::new();
        hash.update(self.listener.membership_id.as_bytes());
        hash.update(self.today().to_string());
        hash.update(together);
        let mut bytes = [0; 16];
        bytes.copy_from_slice(&hash.finalize()[..16]);
        uuid::Builder::from_custom_bytes(bytes).into_uuid()
    }

    /// The rings, by each way that they chose: at once, or at the end of quiet hours.
    pub fn planned(&self) -> Vec<PlannedRing> {
        let Listener { membership_id, choices, .. } = self.listener;
        let quiet = choices.quiet.as_ref();
        let due_at = quiet.map_or(self.now, |quiet| after_quiet(self.now, quiet, self.zone));
        let ring = |way: &_| PlannedRing { membership_id: *membership_id, way: *way, due_at };
        choices.ways.iter().map(ring).collect()
    }
}

/// Whether it is left to do, and nobody has put it off.
fn is_open(task: &TaskLine) -> bool {
    task.status.is_to_do() && task.status != TaskStatus::Snoozed
}

/// Whether it has come due, and was never put off: what was comes back in the list, and rings no more.
fn has_come_due(task: &TaskLine) -> bool {
    let due = match task.status {
        TaskStatus::DueToday => true,
        TaskStatus::Overdue => task.days_late <= MOST_DAYS_LATE,
        _ => false,
    };
    due && task.snoozed_until.is_none()
}

/// The tasks that ring now, and how all that differs stands.
///
/// At the hour that somebody chose rings what is due that day, and whatever comes due after it rings then. No
/// task rings twice for one person: not the day after, not when its day moves, not after it was done or put off.
/// Tasks of one line ring together; the chores of a day do once.
pub fn due_tasks<'a>(
    told: &[TasksTold],
    tasks: &'a [TaskToRing],
    hearing: Hearing<'_>,
) -> (Vec<RingOfTasks<'a>>, Vec<TasksTold>) {
    let open: BTreeMap<&str, &TaskLine> = tasks
        .iter()
        .filter(|task| is_open(&task.line))
        .map(|task| (task.line.key.as_str(), &task.line))
        .collect();
    let mut states: BTreeMap<Uuid, TasksTold> = BTreeMap::new();
    for before in told.iter().filter(|before| !before.told.over) {
        if !before.noted.keys.iter().any(|key| open.contains_key(key.as_str())) {
            let told = Told { over: true, ..before.told };
            // Chores have the keys of their day: nobody needs them after it.
            let noted = match before.noted.chores {
                true => Noted { keys: BTreeSet::new(), chores: true },
                false => before.noted.clone(),
            };
            states.insert(told.alarm_id, TasksTold { told, noted });
        }
    }
    let known: BTreeSet<&str> =
        told.iter().flat_map(|before| &before.noted.keys).map(String::as_str).collect();
    let hour_has_come = hearing.hour_has_come();
    let mut groups: BTreeMap<&str, Vec<&TaskToRing>> = BTreeMap::new();
    for task in tasks {
        let line = &task.line;
        let was_due = hour_has_come || line.status == TaskStatus::Overdue;
        let is_new = has_come_due(line) && hearing.is_theirs(line);
        let is_time = if hearing.first { was_due } else { hour_has_come };
        if is_new && is_time && !known.contains(line.key.as_str()) {
            let together = if hearing.first { NOTED_AT_FIRST } else { &task.together };
            groups.entry(together).or_default().push(task);
        }
    }
    let mut rings = Vec::new();
    for (together, group) in groups {
        let alarm_id = hearing.id_of(together);
        let before = told.iter().find(|before| before.told.alarm_id == alarm_id);
        let mut noted = before.map(|before| before.noted.clone()).unwrap_or_default();
        noted.keys.extend(group.iter().map(|task| task.line.key.clone()));
        noted.chores = !hearing.first && group.iter().any(|task| task.chore);
        let rings_now = !(hearing.first || noted.chores && before.is_some());
        let turn = before.map_or(0, |before| before.told.turn);
        let now = Told {
            alarm_id,
            level: Level::Note,
            turn: if rings_now || before.is_none() { turn + 1 } else { turn },
            seen: false,
            over: false,
        };
        if rings_now {
            let tasks =
                noted.keys.iter().filter_map(|key| open.get(key.as_str()).copied()).collect();
            rings.push(RingOfTasks { told: now, tasks });
        }
        states.insert(alarm_id, TasksTold { told: now, noted });
    }
    (rings, states.into_values().collect())
}
