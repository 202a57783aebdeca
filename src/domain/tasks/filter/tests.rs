use super::*;
use crate::tasks::{GeneratedTask, TaskMark, Turn, task_list};
use std::collections::BTreeMap;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn today() -> NaiveDate {
    day("2026-05-04")
}

fn line(due_on: &str, is_done: bool) -> TaskLine {
    let made = (TaskOrigin::Own, Turn::Own);
    let task = GeneratedTask {
        from: Some(day(due_on)),
        dog_id: Some(Uuid::from_u128(1)),
        ..GeneratedTask::new("own:1".to_owned(), made, "a task", day(due_on), "us".to_owned())
    };
    let done_at = is_done.then(|| "2026-05-04T08:00:00Z".parse().unwrap());
    let mark = TaskMark { done_at, assignee_id: Some(Uuid::from_u128(2)), ..TaskMark::default() };
    let marks = BTreeMap::from([("own:1".to_owned(), (1, mark))]);
    let rules = Rules::standard();
    task_list(vec![task], &marks, today(), DaysAhead::usual(&rules)).pop().unwrap()
}

fn wants(filter: &TaskFilter, line: &TaskLine) -> bool {
    filter.wants(line, today(), &Rules::standard())
}

#[test]
fn the_list_looks_fourteen_days_ahead_or_to_the_day_that_is_asked_for() {
    let plain = TaskFilter::default();
    assert_eq!(Rules::standard().value("tasks.horizon"), 14.0);
    assert!(wants(&plain, &line("2026-05-17", false)));
    assert!(wants(&plain, &line("2026-05-18", false)));
    assert!(!wants(&plain, &line("2026-05-19", false)));
    let to = TaskFilter { due_by: Some(day("2026-06-01")), ..TaskFilter::default() };
    assert!(wants(&to, &line("2026-05-31", false)));
    assert!(wants(&to, &line("2026-06-01", false)));
    assert!(!wants(&to, &line("2026-06-02", false)));
}

#[test]
fn what_is_done_is_shown_to_who_asks_for_it() {
    let done = line("2026-05-04", true);
    assert!(!wants(&TaskFilter::default(), &done));
    let asked = TaskFilter { status: Some(TaskStatus::Done), ..TaskFilter::default() };
    assert!(wants(&asked, &done));
    assert!(!wants(&asked, &line("2026-05-04", false)));
}

#[test]
fn each_field_narrows() {
    let open = line("2026-05-04", false);
    let with = |set: &dyn Fn(&mut TaskFilter)| {
        let mut filter = TaskFilter::default();
        set(&mut filter);
        wants(&filter, &open)
    };
    assert!(with(&|f| f.origin = Some(TaskOrigin::Own)));
    assert!(!with(&|f| f.origin = Some(TaskOrigin::Health)));
    assert!(with(&|f| f.dog_id = Some(Uuid::from_u128(1))));
    assert!(!with(&|f| f.dog_id = Some(Uuid::from_u128(9))));
    assert!(!with(&|f| f.litter_id = Some(Uuid::from_u128(1))));
    assert!(with(&|f| f.assignee_id = Some(Uuid::from_u128(2))));
    assert!(!with(&|f| f.assignee_id = Some(Uuid::from_u128(9))));
}
