use super::*;
use crate::tasks::{DaysAhead, GeneratedTask, TaskOrigin, Turn, task_list};
use std::collections::BTreeMap;

const ANNA: Uuid = Uuid::from_u128(1);
const BEN: Uuid = Uuid::from_u128(2);

fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn line(mark: TaskMark) -> TaskLine {
    let made = (TaskOrigin::Own, Turn::Own);
    let today = day("2026-05-04");
    let task = GeneratedTask::new("own:1".to_owned(), made, "a task", today, "us".to_owned());
    let marks = BTreeMap::from([("own:1".to_owned(), (1, mark))]);
    task_list(vec![task], &marks, today, DaysAhead::usual(&crate::rules::Rules::standard()))
        .pop()
        .unwrap()
}

fn done(by: Uuid) -> TaskMark {
    TaskMark { done_at: Some(at("2026-05-04T08:00:00Z")), done_by: Some(by), ..TaskMark::default() }
}

#[test]
fn who_says_that_it_is_done_has_done_it() {
    let open = line(TaskMark::default());
    let change = TaskChange { done_at: Some(at("2026-05-04T08:00:00Z")), ..TaskChange::of(&open) };
    assert_eq!(change.mark(&open, true, ANNA), done(ANNA));
    let known = line(done(ANNA));
    let given = TaskChange { assignee_id: Some(BEN), ..TaskChange::of(&known) };
    let expected = TaskMark { assignee_id: Some(BEN), ..done(ANNA) };
    assert_eq!(given.mark(&known, false, BEN), expected, "another change leaves who did it");
    assert_eq!(TaskChange::of(&known).mark(&known, true, BEN), done(BEN));
    let undone = TaskChange { done_at: None, ..TaskChange::of(&known) };
    assert_eq!(undone.mark(&known, true, BEN), TaskMark::default());
}

#[test]
fn what_is_done_is_no_longer_put_off() {
    let put_off = TaskMark {
        snoozed_until: Some(day("2026-05-08")),
        snooze_reason: Some("the vet is away".to_owned()),
        ..TaskMark::default()
    };
    let known = line(put_off.clone());
    assert_eq!(TaskChange::of(&known).mark(&known, false, ANNA), put_off);
    let change = TaskChange { done_at: Some(at("2026-05-04T08:00:00Z")), ..TaskChange::of(&known) };
    assert_eq!(change.mark(&known, true, ANNA), done(ANNA));
    // It is done already: the day is kept, to be refused.
    let after = line(done(ANNA));
    let later = TaskChange { snoozed_until: Some(day("2026-05-08")), ..TaskChange::of(&after) };
    let mark = later.mark(&after, false, ANNA);
    assert_eq!((mark.snoozed_until, mark.done_by), (Some(day("2026-05-08")), Some(ANNA)));
}
