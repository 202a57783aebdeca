//! Where tasks stand, how they close and end, and the order of the list.

use super::*;

const TODAY: &str = "2024-03-05";

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn task(key: &str, from: Option<&str>, due_on: &str) -> GeneratedTask {
    let made = (TaskOrigin::Preparation, Turn::Prepare);
    let task = GeneratedTask::new(key.into(), made, key, day(due_on), "test".into());
    GeneratedTask { from: from.map(day), ..task }
}

fn at(place: &str, turn: Turn, key: &str) -> GeneratedTask {
    GeneratedTask { place: Some(place.into()), turn, ..task(key, None, TODAY) }
}

fn done() -> TaskMark {
    TaskMark {
        done_at: Some("2024-03-04T10:00:00Z".parse().unwrap()),
        done_by: Some(Uuid::from_u128(1)),
        ..Default::default()
    }
}

fn put_off(until: &str) -> TaskMark {
    TaskMark {
        snoozed_until: Some(day(until)),
        snooze_reason: Some("vet is away".into()),
        ..Default::default()
    }
}

fn lines(tasks: Vec<GeneratedTask>, marks: &[(&str, TaskMark)]) -> Vec<TaskLine> {
    let marks = marks.iter().map(|(k, m)| ((*k).to_owned(), (1, m.clone()))).collect();
    task_list(tasks, &marks, day(TODAY), fortnight())
}

#[test]
fn orders_by_urgency_and_keeps_marks_by_key() {
    let tasks = vec![
        task("e", None, "2024-03-01"),
        task("d", Some("2024-03-10"), "2024-03-12"),
        task("c", Some("2024-03-01"), "2024-03-09"),
        task("b", None, TODAY),
        task("a", None, "2024-03-02"),
        task("f", None, "2024-03-02"),
        task("a", None, "2024-03-04"),
    ];
    let found = lines(tasks.clone(), &[("e", done()), ("f", put_off("2024-03-08"))]);
    let got: Vec<(&str, TaskStatus)> = found.iter().map(|l| (l.key.as_str(), l.status)).collect();
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
    assert_eq!((found[4].version, found[0].version), (1, 0));
    let mut turned = tasks;
    turned.reverse();
    assert_eq!(lines(turned, &[])[0].key, "e");
}

#[test]
fn a_day_goes_from_place_to_place_and_by_turns_at_each() {
    let look = at("Pen", Turn::Look, "look");
    let tasks = vec![
        task("call", None, "2024-03-01"),
        at("Pen", Turn::Chores, "clean"),
        at("Whelping room", Turn::Weigh, "weigh"),
        at("Pen", Turn::Health, "dose"),
        at("Whelping room", Turn::Chores, "bedding"),
        GeneratedTask { place: None, ..at("", Turn::Shop, "shop") },
        look,
    ];
    let got: Vec<String> = lines(tasks, &[]).into_iter().map(|line| line.key).collect();
    assert_eq!(got, ["look", "call", "dose", "clean", "weigh", "bedding", "shop"]);
}

#[test]
fn a_snooze_ends_on_its_day() {
    let status = |until| lines(vec![task("a", None, TODAY)], &[("a", put_off(until))])[0].status;
    assert_eq!(status("2024-03-06"), TaskStatus::Snoozed);
    assert_eq!(status(TODAY), TaskStatus::DueToday);
}

#[test]
fn a_task_ends_after_its_last_day_of_use() {
    let until = |on: &str| {
        let task = GeneratedTask { of_use_until: Some(day(on)), ..task("a", None, "2024-03-01") };
        let line = lines(vec![task], &[]).remove(0);
        (line.status, line.days_late)
    };
    assert_eq!(until(TODAY), (TaskStatus::Overdue, 4));
    assert_eq!(until("2024-03-04"), (TaskStatus::Ended, 0));
    // What was done stays done.
    let gone =
        GeneratedTask { of_use_until: Some(day("2024-03-01")), ..task("a", None, "2024-03-01") };
    assert_eq!(lines(vec![gone], &[("a", done())])[0].status, TaskStatus::Done);
}

#[test]
fn a_task_closes_itself_by_what_is_recorded() {
    let recorded = GeneratedTask { recorded_on: Some(day("2024-03-02")), ..task("a", None, TODAY) };
    let line = lines(vec![recorded], &[("a", put_off("2024-03-08"))]).remove(0);
    assert_eq!((line.status, line.recorded_on), (TaskStatus::Done, Some(day("2024-03-02"))));
    assert_eq!(line.done_at, None, "nobody ticked it");
}

fn fortnight() -> DaysAhead {
    DaysAhead::usual(&crate::rules::Rules::standard())
}

#[test]
fn one_looks_ahead_from_today_to_a_year() {
    assert_eq!(fortnight().days(), 14);
    let days = |days| DaysAhead::try_from(days).map(DaysAhead::days);
    assert_eq!((days(0), days(366)), (Ok(0), Ok(366)));
    assert!(days(-1).is_err() && days(367).is_err());
    assert_eq!(fortnight().at_least_to(day("2024-03-20"), day(TODAY)).days(), 15);
    assert_eq!(fortnight().at_least_to(day("2024-03-18"), day(TODAY)).days(), 14);
}

#[test]
fn the_horizon_ends_with_its_last_day() {
    let shows = |from: &str| {
        within(&lines(vec![task("a", Some(from), "2024-04-30")], &[])[0], day(TODAY), fortnight())
    };
    assert!(shows("2024-03-19"));
    assert!(!shows("2024-03-20"));
    // Put off, it comes when it is due again; done, it is not shown.
    let off = |until| {
        within(
            &lines(vec![task("a", None, TODAY)], &[("a", put_off(until))])[0],
            day(TODAY),
            fortnight(),
        )
    };
    assert!(off("2024-03-19") && !off("2024-03-20"));
    assert!(!within(
        &lines(vec![task("a", None, TODAY)], &[("a", done())])[0],
        day(TODAY),
        fortnight()
    ));
}

fn chore(key: &str, litter: u128, what: &str) -> GeneratedTask {
    GeneratedTask {
        title: format!("litter {litter}: {what}").into(),
        in_short: what.into(),
        litter_id: Some(Uuid::from_u128(litter)),
        litter_name: Some(format!("litter {litter}").into()),
        group: Some(TaskGroup {
            key: "pen:chores".into(),
            head: "Pen".into(),
            due_on: Some(day(TODAY)),
            also_of_one: true,
        }),
        ..at("Pen", Turn::Chores, key)
    }
}

#[test]
fn chores_of_a_place_are_one_line_for_its_litters() {
    let tasks = || {
        vec![
            chore("a", 1, "clean the pen"),
            chore("b", 2, "clean the pen"),
            GeneratedTask { due_on: day("2024-03-03"), ..chore("c", 2, "cut claws") },
        ]
    };
    let open = lines(tasks(), &[]);
    assert_eq!(open.len(), 1);
    let line = &open[0];
    assert_eq!(line.title, "Pen: cut claws, clean the pen (litter 1, litter 2)");
    assert_eq!((line.status, line.days_late), (TaskStatus::DueToday, 0));
    assert_eq!(line.litters.len(), 2);
    assert_eq!((line.litter_id, line.parts.len()), (None, 3));
    assert_eq!((line.parts[2].status, line.parts[2].days_late), (TaskStatus::Overdue, 2));
    // One ticked: the line goes on with the rest.
    let some = &lines(tasks(), &[("a", done()), ("c", done())])[0];
    assert_eq!(some.title, "Pen: clean the pen (litter 2)");
    assert_eq!((some.status, some.version, some.done_at), (TaskStatus::DueToday, 2, None));
    assert_eq!(some.litter_id, Some(Uuid::from_u128(2)));
    // All of them, by ticks or by records: done.
    let mut all = tasks();
    all[1].recorded_on = Some(day(TODAY));
    let all = &lines(all, &[("a", done()), ("c", done())])[0];
    assert_eq!(all.status, TaskStatus::Done);
}

#[test]
fn one_alone_stands_by_itself_where_its_group_says_so() {
    let by_itself = |also_of_one| {
        let mut one = chore("a", 1, "clean the pen");
        one.group.as_mut().unwrap().also_of_one = also_of_one;
        lines(vec![one], &[]).remove(0)
    };
    assert_eq!(by_itself(false).key, "a");
    assert_eq!(by_itself(true).key, "pen:chores");
    // What lies beyond the reach is no part of the line.
    let far = GeneratedTask {
        from: Some(day("2024-03-20")),
        due_on: day("2024-03-20"),
        ..chore("b", 1, "later")
    };
    let near = GeneratedTask {
        from: Some(day("2024-03-19")),
        due_on: day("2024-03-19"),
        ..chore("c", 1, "soon")
    };
    let found = lines(vec![chore("a", 1, "clean the pen"), far, near], &[]);
    let keys: Vec<&str> = found.iter().map(|line| line.key.as_str()).collect();
    assert_eq!(keys, ["pen:chores", "b"]);
    assert_eq!(found[0].parts.len(), 2);
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
    let expected = ["/done_at", "/done_by", "/snooze_ends_on", "/snooze_reason", "/snooze_ends_on"];
    assert_eq!(places, expected);
    assert!(check_mark(&TaskMark::default(), now, day(TODAY)).is_ok());
}

#[test]
fn makes_stable_keys() {
    let id = Uuid::from_u128(1);
    let key = task_key("litter", id, "prep", "xray_count", None);
    assert_eq!(key, format!("litter:{id}:prep:xray_count"));
    let daily = task_key("litter", id, "prep", "temperature", Some(day(TODAY)));
    assert!(daily.ends_with(":temperature:2024-03-05"));
}
