//! The feed, read back by an independent parser.

use super::*;
use catalogue::speaking;
use chrono::NaiveDate;
use domain::planner::{DateSpan, PlannedHeat, PlannedLitter};
use domain::tasks::{DaysAhead, GeneratedTask, TaskMark, TaskOrigin, Turn, task_list};

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn span(from: &str, to: &str) -> DateSpan {
    DateSpan { from: day(from), to: day(to) }
}

fn plan() -> KennelPlan {
    let litter = PlannedLitter {
        key: "litter:1".into(),
        dam_id: Uuid::from_u128(2),
        name: "Müller; \\ litter, the \u{201c}F\u{201d} one with a name so long that its line is folded".into(),
        draft: false,
        chance_of_litter: 0.9,
        birth: span("2026-03-28", "2026-03-31"),
        likely: day("2026-03-29"),
        coverage: 0.95,
        place_needed: span("2026-03-20", "2026-05-30"),
        place_id: None,
        critical: span("2026-03-27", "2026-04-14"),
        birth_hands: 2,
        go_home: span("2026-05-23", "2026-06-02"),
        pups_mean: None,
        pups_range: None,
    };
    KennelPlan {
        span: span("2026-01-01", "2026-12-31"),
        heats: Vec::new(),
        litters: vec![litter],
        clashes: Vec::new(),
        demand: Vec::new(),
    }
}

/// Two tasks, the second of them ticked.
fn tasks() -> Vec<TaskLine> {
    let task = |key: &str| {
        let made = (TaskOrigin::Own, Turn::Own);
        let title = "Line one\nline two".to_owned();
        GeneratedTask::new(key.into(), made, title, day("2026-10-25"), "test".into())
    };
    let done =
        TaskMark { done_at: Some("2026-02-28T12:00:00Z".parse().unwrap()), ..TaskMark::default() };
    let marks = [("own:2".to_owned(), (1, done))].into();
    let ahead = DaysAhead::try_from(14).unwrap();
    task_list(vec![task("own:1"), task("own:2")], &marks, day("2026-03-01"), ahead)
}

fn wanted<'f>(plan: &'f KennelPlan, tasks: &'f [TaskLine]) -> Feed<'f> {
    Feed {
        kennel_id: Uuid::from_u128(9),
        name: "Larkfell, Kennel",
        time_zone: "Europe/Berlin",
        plan,
        tasks,
        people: &[],
        kinds: &[],
        alarms: false,
    }
}

fn written(made: &Feed<'_>) -> String {
    feed(made, "2026-03-01T12:00:00Z".parse().unwrap())
}

fn text() -> String {
    written(&wanted(&plan(), &tasks()))
}

/// The events as the `ical` crate reads them.
fn read(text: &str) -> Vec<ical::parser::ical::component::IcalEvent> {
    let mut calendars = ical::IcalParser::new(text.as_bytes());
    let calendar = calendars.next().unwrap().unwrap();
    assert!(calendars.next().is_none());
    calendar.events
}

fn value(properties: &[ical::property::Property], name: &str) -> String {
    let found = properties.iter().find(|property| property.name == name);
    found.and_then(|property| property.value.clone()).unwrap_or_default()
}

/// Read back by an independent parser (the `ical` crate), which unfolds lines.
#[test]
fn an_independent_parser_reads_days_and_stable_ids() {
    let text = text();
    assert!(text.lines().all(|line| line.len() <= 75), "a line is longer than 75 octets");
    let calendar = ical::IcalParser::new(text.as_bytes()).next().unwrap().unwrap();
    let property = |name: &str| {
        calendar.properties.iter().find(|p| p.name == name).and_then(|p| p.value.clone())
    };
    assert_eq!(property("VERSION").as_deref(), Some("2.0"));
    assert!(property("PRODID").is_some());
    assert_eq!(calendar.events.len(), 3);
    let birth = &calendar.events[0];
    let value = |name: &str| value(&birth.properties, name);
    let id = Uuid::from_u128(9);
    assert_eq!(value("UID"), format!("litter:1:birth:{id}@denwright"));
    // The clocks change on 29 March in Berlin: a DATE does not mind. DTEND is exclusive.
    assert_eq!((value("DTSTART"), value("DTEND")), ("20260329".into(), "20260330".into()));
    let said = "Likely on 29 March 2026\\; 95 % from 28 March 2026 to 31 March 2026";
    assert!(value("DESCRIPTION").starts_with(said), "{}", value("DESCRIPTION"));
    assert_eq!(value("CATEGORIES"), "Whelping");
    let start = birth.properties.iter().find(|p| p.name == "DTSTART").unwrap();
    assert_eq!(start.params.as_ref().unwrap()[0], ("VALUE".to_owned(), vec!["DATE".to_owned()]));
    assert_eq!(value("DTSTAMP"), "20260301T120000Z");
    assert!(value("SUMMARY").starts_with(r"Müller\; \\ litter\, the"), "{}", value("SUMMARY"));
}

/// Names and titles from before control characters were refused, and whatever else a text may be.
#[test]
fn no_text_makes_lines_of_its_own() {
    let texts = [
        "x\rEND:VEVENT\rBEGIN:VEVENT\rSUMMARY:forged",
        "x\nEND:VEVENT\nBEGIN:VEVENT",
        "x\r\nATTACH:https://evil.example/",
        "x\u{2028}y\u{85}z\u{b}\u{c}\u{0}\u{202e}",
        "\\nX;Y,Z:\"quoted\"\\",
        "\u{1f415}\r".repeat(60).as_str(),
    ]
    .map(str::to_owned);
    for hostile in texts {
        let mut plan = plan();
        plan.litters[0].name = hostile.as_str().into();
        plan.litters[0].key.clone_from(&hostile);
        let mut tasks = tasks();
        tasks.retain(|task| task.key == "own:1");
        tasks[0].title = hostile.as_str().into();
        tasks[0].source.clone_from(&hostile);
        tasks[0].key.clone_from(&hostile);
        let made = Feed { name: &hostile, alarms: true, ..wanted(&plan, &tasks) };
        let text = written(&made);
        let ends = text.matches("\r\n").count();
        let controls = text.chars().filter(|c| c.is_control()).count();
        assert_eq!(controls, 2 * ends, "{text:?}");
        assert!(text.split("\r\n").all(|line| line.len() <= 75), "{text:?}");
        // Birth, going home and the task; each with the properties of its kind, once.
        let events = read(&text);
        assert_eq!(events.len(), 3);
        for event in &events {
            let mut names: Vec<&str> =
                event.properties.iter().map(|property| property.name.as_str()).collect();
            names.sort_unstable();
            names.retain(|name| *name != "DESCRIPTION");
            let of_each = ["CATEGORIES", "DTEND", "DTSTAMP", "DTSTART", "SUMMARY", "TRANSP", "UID"];
            assert_eq!(names, of_each);
            assert_eq!(event.alarms.len(), 1);
        }
    }
}

/// Chores are known by their day: one that is done leaves the others where they are.
#[test]
fn chores_of_a_day_are_one_event_that_lists_them() {
    let text = text();
    assert!(text.contains("UID:chores:2026-10-25:") && !text.contains("own:2"));
    assert!(text.contains(r"SUMMARY:Line one\nline two"));
    let mut tasks = tasks();
    for n in 3..6 {
        let mut more = tasks[0].clone();
        more.title = format!("Chore {n}").into();
        tasks.push(more);
    }
    let events = read(&written(&wanted(&plan(), &tasks)));
    let chores: Vec<_> = events
        .iter()
        .map(|event| event.properties.as_slice())
        .filter(|of| value(of, "CATEGORIES") == "Chores")
        .collect();
    assert_eq!(chores.len(), 1);
    assert!(value(chores[0], "SUMMARY").ends_with("and 3 more"));
    for n in 3..6 {
        assert!(value(chores[0], "DESCRIPTION").contains(&format!("Chore {n}")), "{n}");
    }
}

/// All that a person reads in a feed: the texts of its events.
fn read_texts(text: &str) -> Vec<String> {
    let of = |event: &ical::parser::ical::component::IcalEvent| {
        ["SUMMARY", "DESCRIPTION", "CATEGORIES"].map(|name| value(&event.properties, name))
    };
    read(text).iter().flat_map(of).filter(|text| !text.is_empty()).collect()
}

#[test]
fn a_german_feed_has_no_english_text_of_ours() {
    let (mut plan, people) = (plan(), away("2026-05-01", "2026-05-31"));
    plan.heats = vec![PlannedHeat {
        key: "heat:2:1".into(),
        dam_id: Uuid::from_u128(2),
        name: "Juno".into(),
        number: 1,
        earliest: day("2026-04-01"),
        likely: day("2026-06-01"),
        latest: day("2026-12-01"),
        coverage: 0.95,
    }];
    let mut born = plan.litters[0].clone();
    (born.key, born.name) = ("litter:2".into(), "F".into());
    (born.chance_of_litter, born.birth) = (1.0, span("2026-03-29", "2026-03-29"));
    plan.litters.push(born);
    let mut tasks = tasks();
    let (more, mut alone) = (tasks[0].clone(), tasks[0].clone());
    alone.due_on = day("2026-10-27");
    tasks.extend([more, alone]);
    let feed = || written(&Feed { people: &people, ..wanted(&plan, &tasks) });
    let [english, german] = Language::ALL.map(|language| speaking(language, feed));
    assert!(german.contains("PRODID:-//denwright//calendar//DE"));
    let [english, german] = [english, german].map(|text| read_texts(&text));
    assert_eq!(english.len(), german.len());
    for (english, german) in english.iter().zip(&german) {
        // The title of a task, and the list of several.
        assert!(english != german || english.contains("Line one"), "{german}");
    }
    // Unfolding a line, the parser may take a blank for a part of the fold.
    let squeezed = |text: &str| text.replace(' ', "");
    let all = squeezed(&german.join("\n"));
    for part in [
        "Juno: Läufigkeit wahrscheinlich",
        "Wahrscheinlich am 29. März 2026\\; zu 95 % vom 28. März 2026 bis zum 31. März 2026\\, wenn es",
        "F: geboren",
        "und eine weitere",
        "Quelle: test",
        "Maren den letzten Tag abwesend",
        "Abgabe",
    ] {
        assert!(all.contains(&squeezed(part)), "{part} in {all}");
    }
}

fn away(from: &str, to: &str) -> [PlannerPerson; 1] {
    [PlannerPerson { id: Uuid::from_u128(7), name: "Maren".into(), away: vec![span(from, to)] }]
}

/// Fourteen days are one event, fifteen are told by their first day and their last.
#[test]
fn nothing_is_longer_than_fourteen_days() {
    let plan = plan();
    let days = |people: &[PlannerPerson]| -> Vec<(String, String)> {
        let made = Feed { people, kinds: &[CalendarKind::Absences], ..wanted(&plan, &[]) };
        let of = |event: &ical::parser::ical::component::IcalEvent| {
            (value(&event.properties, "DTSTART"), value(&event.properties, "DTEND"))
        };
        read(&written(&made)).iter().map(of).collect()
    };
    let event = |from: &str, after: &str| (from.to_owned(), after.to_owned());
    assert_eq!(days(&away("2026-05-01", "2026-05-13")), [event("20260501", "20260514")]);
    assert_eq!(days(&away("2026-05-01", "2026-05-14")), [event("20260501", "20260515")]);
    let ends = [event("20260501", "20260502"), event("20260515", "20260516")];
    assert_eq!(days(&away("2026-05-01", "2026-05-15")), ends);
    assert!(days(&away("2025-12-01", "2025-12-31")).is_empty(), "it is over when the feed begins");
}

#[test]
fn a_feed_shows_the_kinds_that_are_wanted() {
    let (mut plan, tasks, people) = (plan(), tasks(), away("2026-05-01", "2026-05-02"));
    let heat = |number, likely: &str| PlannedHeat {
        key: format!("heat:2:{number}"),
        dam_id: Uuid::from_u128(2),
        name: "Juno".into(),
        number,
        earliest: day("2026-04-01"),
        likely: day(likely),
        latest: day("2026-12-01"),
        coverage: 0.95,
    };
    plan.heats = vec![heat(1, "2026-06-01"), heat(2, "2026-11-01")];
    let categories = |kinds: &[CalendarKind]| -> Vec<String> {
        let made = Feed { people: &people, kinds, ..wanted(&plan, &tasks) };
        read(&written(&made)).iter().map(|event| value(&event.properties, "CATEGORIES")).collect()
    };
    let all = ["Heats", "Whelping", "Going home", "Chores", "Absences"];
    assert_eq!(categories(&[]), all, "a heat after the next has no day yet");
    for (kind, category) in [
        (CalendarKind::Heats, "Heats"),
        (CalendarKind::Whelping, "Whelping"),
        (CalendarKind::GoHome, "Going home"),
        (CalendarKind::Chores, "Chores"),
        (CalendarKind::Absences, "Absences"),
    ] {
        assert_eq!(categories(&[kind]), [category]);
    }
    assert!(categories(&[CalendarKind::Health]).is_empty());
}

/// On the eve of the first day of a window at nine, on the day of a chore at eight; not without being asked.
#[test]
fn alarms_ring_where_they_are_wanted() {
    let (plan, tasks, people) = (plan(), tasks(), away("2026-05-01", "2026-05-02"));
    let rings = |alarms| -> Vec<(String, Vec<String>)> {
        let made = Feed { people: &people, alarms, ..wanted(&plan, &tasks) };
        let of = |event: &ical::parser::ical::component::IcalEvent| {
            let alarms = event.alarms.iter().map(|alarm| value(&alarm.properties, "TRIGGER"));
            (value(&event.properties, "CATEGORIES"), alarms.collect())
        };
        read(&written(&made)).iter().map(of).collect()
    };
    assert!(rings(false).iter().all(|(_, triggers)| triggers.is_empty()));
    let one = |category: &str, trigger: &str| (category.to_owned(), vec![trigger.to_owned()]);
    // Likely on the 29th, the window opens on the 28th: the 27th at nine is 39 hours before the 29th.
    let expected = [
        one("Whelping", "-PT140400S"),
        one("Going home", "-PT54000S"),
        one("Chores", "PT28800S"),
        ("Absences".to_owned(), Vec::new()),
    ];
    assert_eq!(rings(true), expected);
}
