//! The hour at which tasks ring on it, one before and one after; each task once; whose it is.

use super::*;
use crate::{
    record::{QuietHours, RingChoices, RingWay},
    tasks::{TaskMark, TaskStatus, task_list},
};
use chrono::{DateTime, Days, NaiveDate, Utc};
use chrono_tz::Tz;
use uuid::Uuid;

const ZONE: Tz = Tz::Europe__Berlin;

fn at(time: &str) -> DateTime<Utc> {
    time.parse().unwrap()
}

/// A task of a key as it stands on the day of `now`: due so many days before.
fn task(key: &str, days_late: i64, now: &str, mark: TaskMark) -> TaskToRing {
    use crate::{
        rules::Rules,
        tasks::{DaysAhead, GeneratedTask, TaskOrigin, Turn},
    };
    let today = at(now).with_timezone(&ZONE).date_naive();
    let due_on = today - chrono::Duration::days(days_late);
    let made = (TaskOrigin::Own, Turn::Own);
    let task = GeneratedTask::new(key.into(), made, key, due_on, String::new());
    let marks = [(key.to_owned(), (1, mark))].into();
    let ahead = DaysAhead::usual(&Rules::standard());
    let line = task_list(vec![task], &marks, today, ahead).remove(0);
    TaskToRing { line, together: key.to_owned(), chore: false }
}

fn open(key: &str, days_late: i64, now: &str) -> TaskToRing {
    task(key, days_late, now, TaskMark::default())
}

fn chore(key: &str, now: &str) -> TaskToRing {
    TaskToRing { together: "chores".into(), chore: true, ..open(key, 0, now) }
}

fn listener(change: impl FnOnce(&mut RingChoices)) -> Listener {
    let mut choices = RingChoices {
        ways: vec![RingWay::Push],
        tasks_at: Some("07:30".into()),
        ..RingChoices::default()
    };
    change(&mut choices);
    Listener { membership_id: Uuid::from_u128(1), choices, on_duty: false }
}

/// Somebody whom tasks ring, with what they were told.
struct Ear {
    listener: Listener,
    first: bool,
    told: Vec<TasksTold>,
}

impl Ear {
    fn new() -> Self {
        Self { listener: listener(|_| ()), first: false, told: Vec::new() }
    }

    /// The keys that ring now, those of each ring together, with its turn.
    fn hears(&mut self, tasks: &[TaskToRing], now: &str) -> Vec<(i32, Vec<String>)> {
        let hearing = Hearing {
            listener: &self.listener,
            person_id: Uuid::from_u128(5),
            first: std::mem::take(&mut self.first),
            now: at(now),
            zone: ZONE,
        };
        let (rings, states) = due_tasks(&self.told, tasks, hearing);
        let keys = |ring: &RingOfTasks<'_>| {
            let keys = ring.tasks.iter().map(|task| task.key.clone());
            (ring.told.turn, keys.collect())
        };
        let heard = rings.iter().map(keys).collect();
        for state in states {
            self.told.retain(|old| old.told.alarm_id != state.told.alarm_id);
            self.told.push(state);
        }
        heard
    }
}

fn once(key: &str) -> Vec<(i32, Vec<String>)> {
    vec![(1, vec![key.to_owned()])]
}

#[test]
fn a_task_rings_from_its_hour_on() {
    // Berlin is an hour ahead of UTC in February.
    for (now, rings) in
        [("2026-02-01T06:29:59Z", 0), ("2026-02-01T06:30:00Z", 1), ("2026-02-01T06:30:01Z", 1)]
    {
        assert_eq!(Ear::new().hears(&[open("a", 0, now)], now).len(), rings, "{now}");
    }
    let now = "2026-02-01T06:30:00Z";
    let mut never = Ear { listener: listener(|choices| choices.tasks_at = None), ..Ear::new() };
    assert!(never.hears(&[open("a", 0, now)], now).is_empty());
}

#[test]
fn it_rings_late_by_a_day_at_most() {
    let now = "2026-02-01T06:30:00Z";
    for (days_late, rings) in [(-1, 0), (0, 1), (1, 1), (2, 0)] {
        assert_eq!(Ear::new().hears(&[open("a", days_late, now)], now).len(), rings, "{days_late}");
    }
}

#[test]
fn it_rings_once_whatever_becomes_of_it() {
    let mut ear = Ear::new();
    let (now, morrow) = ("2026-02-01T06:30:00Z", "2026-02-02T06:30:00Z");
    assert_eq!(ear.hears(&[open("a", 0, now)], now), once("a"));
    assert!(ear.hears(&[open("a", 0, now)], now).is_empty());
    assert!(ear.hears(&[open("a", 1, morrow)], morrow).is_empty(), "the day after");
    assert!(ear.hears(&[open("a", 0, morrow)], morrow).is_empty(), "its day has moved");
    let done_at = Some(at(now));
    let done = task("a", 0, now, TaskMark { done_at, ..TaskMark::default() });
    assert_eq!(done.line.status, TaskStatus::Done);
    assert!(ear.hears(&[done], now).is_empty() && ear.told.iter().all(|told| told.told.over));
    assert!(ear.hears(&[open("a", 0, now)], now).is_empty(), "undone again");
    assert_eq!(ear.hears(&[open("a", 0, now), open("b", 0, now)], now), once("b"));
}

#[test]
fn what_was_put_off_does_not_ring_when_it_comes_back() {
    let (now, morrow) = ("2026-02-01T06:30:00Z", "2026-02-02T06:30:00Z");
    let until: NaiveDate = "2026-02-02".parse().unwrap();
    let mark = || TaskMark {
        snoozed_until: Some(until),
        snooze_reason: Some("away".into()),
        ..TaskMark::default()
    };
    let mut ear = Ear::new();
    assert!(ear.hears(&[task("a", 0, now, mark())], now).is_empty());
    let back = task("a", 1, morrow, mark());
    assert_eq!(back.line.status, TaskStatus::Overdue);
    assert!(ear.hears(&[back], morrow).is_empty());
}

#[test]
fn who_begins_is_told_of_what_comes() {
    let (before, after) = ("2026-02-01T06:00:00Z", "2026-02-01T06:30:00Z");
    let mut early = Ear { first: true, ..Ear::new() };
    assert!(early.hears(&[open("a", 0, before), open("b", 1, before)], before).is_empty());
    assert_eq!(early.hears(&[open("a", 0, after), open("b", 1, after)], after), once("a"));
    let mut with_chores = Ear { first: true, ..Ear::new() };
    let late_chore = TaskToRing { line: open("a:0", 1, before).line, ..chore("a:0", before) };
    assert!(with_chores.hears(&[late_chore, chore("a:1", before)], before).is_empty());
    assert_eq!(with_chores.hears(&[chore("a:1", after)], after), once("a:1"), "the day's chores");
    let mut late = Ear { first: true, ..Ear::new() };
    assert!(late.hears(&[open("a", 0, after)], after).is_empty());
    assert_eq!(late.hears(&[open("a", 0, after), open("b", 0, after)], after), once("b"));
}

#[test]
fn the_chores_of_a_day_ring_once_and_other_lines_anew() {
    let (now, morrow) = ("2026-02-01T06:30:00Z", "2026-02-02T06:30:00Z");
    let mut ear = Ear::new();
    let both = [chore("a:1", now), chore("b:1", now)];
    assert_eq!(ear.hears(&both, now), [(1, vec!["a:1".to_owned(), "b:1".to_owned()])]);
    let more = [chore("a:1", now), chore("b:1", now), chore("c:1", now)];
    assert!(ear.hears(&more, now).is_empty(), "one more the same day");
    assert_eq!(ear.hears(&[chore("a:2", morrow)], morrow), once("a:2"));
    let dose = |key: &str| TaskToRing { together: "dose".into(), ..open(key, 0, morrow) };
    assert_eq!(ear.hears(&[dose("d")], morrow), once("d"));
    let again = ear.hears(&[dose("d"), dose("e")], morrow);
    assert_eq!(again, [(2, vec!["d".to_owned(), "e".to_owned()])], "in the place of the first");
}

#[test]
fn what_somebody_else_is_to_do_and_other_litters_do_not_ring() {
    let now = "2026-02-01T06:30:00Z";
    let given = |number: u128| {
        let assignee_id = Some(Uuid::from_u128(number));
        task("a", 0, now, TaskMark { assignee_id, ..TaskMark::default() })
    };
    assert_eq!(Ear::new().hears(&[given(5)], now), once("a"));
    assert!(Ear::new().hears(&[given(6)], now).is_empty());
    let of_litter = |number: u128| {
        let mut task = open("a", 0, now);
        task.line.litter_id = Some(Uuid::from_u128(number));
        task
    };
    let chosen = || Ear {
        listener: listener(|choices| choices.litter_ids = vec![Uuid::from_u128(7)]),
        ..Ear::new()
    };
    assert_eq!(chosen().hears(&[of_litter(7)], now), once("a"));
    assert!(chosen().hears(&[of_litter(8)], now).is_empty());
    assert!(chosen().hears(&[open("a", 0, now)], now).is_empty());
}

#[test]
fn quiet_hours_put_a_ring_off_to_their_end() {
    let quiet = QuietHours { begin: "07:00".into(), end: "08:00".into(), emergencies: false };
    let listener = listener(|choices| {
        choices.quiet = Some(quiet);
        choices.ways = vec![RingWay::Push, RingWay::Mail];
    });
    let planned = |now: &str| {
        let person_id = Uuid::from_u128(5);
        let hearing =
            Hearing { listener: &listener, person_id, first: false, now: at(now), zone: ZONE };
        let rings = hearing.planned();
        assert_eq!(rings.len(), 2);
        (rings[0].due_at - at(now)).num_minutes()
    };
    assert_eq!(planned("2026-02-01T06:30:00Z"), 30);
    assert_eq!(planned("2026-02-01T07:00:00Z"), 0);
}

#[test]
fn one_day_has_one_hour_also_when_clocks_change() {
    let mut ear =
        Ear { listener: listener(|choices| choices.tasks_at = Some("02:30".into())), ..Ear::new() };
    // There is no 2:30 in Berlin on that day: 3:30 is the first time after it.
    for (now, rings) in [("2026-03-29T01:29:59Z", 0), ("2026-03-29T01:30:00Z", 1)] {
        assert_eq!(ear.hears(&[open("a", 0, now)], now).len(), rings, "{now}");
    }
    let next = next_time("02:30", at("2026-03-29T01:30:00Z"), ZONE).unwrap();
    assert_eq!(next, at("2026-03-30T00:30:00Z"));
    assert_eq!(next.date_naive(), "2026-03-29".parse::<NaiveDate>().unwrap() + Days::new(1));
}
