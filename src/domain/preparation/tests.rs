//! Lists are checked by dates and amounts worked by hand.

use super::*;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn dates() -> PreparationDates {
    PreparationDates {
        litter_id: Uuid::from_u128(1),
        pregnancy_from: Some(day("2024-01-03")),
        earliest: day("2024-03-05"),
        likely: day("2024-03-06"),
        latest: day("2024-03-07"),
        whelped_on: None,
    }
}

fn list(dates: &PreparationDates) -> Vec<PreparationTask> {
    checklist(dates, &PreparationTemplate::standard(), &Rules::standard())
}

#[test]
fn dates_the_default_list() {
    let tasks = list(&dates());
    let one = |item: &str| tasks.iter().find(|t| t.item == item).unwrap();
    let prefix = "litter:00000000-0000-0000-0000-000000000001:prep:";
    assert_eq!(one("xray_count").key, format!("{prefix}xray_count"));
    // Day 55 of a pregnancy counted from 3 January 2024, over the leap day: 27 February.
    assert_eq!(
        (one("xray_count").from, one("xray_count").due_on),
        (day("2024-02-27"), day("2024-03-02"))
    );
    assert_eq!(one("pregnancy_check").from, day("2024-01-31"));
    assert_eq!(one("place_ready").due_on, day("2024-02-27"));
    let temperature: Vec<_> = tasks.iter().filter(|t| t.item == "temperature").collect();
    assert_eq!(temperature.len(), 10); // 27 February to 7 March
    assert_eq!(temperature[0].key, format!("{prefix}temperature:2024-02-27"));
    let task = temperature[0].to_task(Uuid::from_u128(1));
    assert_eq!(task.title, "Take her temperature (2 times a day)");
    assert_eq!((task.from, task.due_on), (Some(day("2024-02-27")), day("2024-02-27")));
    for item in [
        "diet_change",
        "place_used",
        "supplies_packed",
        "vet_number",
        "emergency_plan",
        "heat_source",
    ] {
        assert!(tasks.iter().any(|t| t.item == item), "{item}");
    }
    assert!(tasks.windows(2).all(|w| w[0].due_on <= w[1].due_on));
    assert!(tasks.iter().filter(|t| t.item == "pen").all(|t| t.provisional));
}

#[test]
fn after_birth_only_the_nursing_weeks_remain() {
    let born = PreparationDates { whelped_on: Some(day("2024-03-08")), ..dates() };
    let tasks = list(&born);
    assert!(tasks.iter().all(|t| t.from >= day("2024-03-08") && !t.provisional));
    let bedding: Vec<_> = tasks.iter().filter(|t| t.item == "bedding").collect();
    assert_eq!((bedding.len(), bedding[21].due_on), (22, day("2024-03-29")));
    assert_eq!(tasks.iter().filter(|t| t.item == "consumables").count(), 9);
}

fn own_task(key: &str, from_day: i64, to_day: i64) -> TemplateTask {
    TemplateTask {
        key: key.into(),
        title: "Wash the run".into(),
        why: String::new(),
        anchor: PreparationAnchor::DueLikely,
        from_day,
        to_day,
        to_anchor: None,
        every_days: None,
        times_a_day: None,
        source: "our kennel".into(),
        status: Status::Kennel,
    }
}

#[test]
fn a_kennels_own_template_replaces_adds_and_leaves_out() {
    let rules = Rules::standard();
    let overlay = TemplateOverlay {
        tasks: vec![own_task("xray_count", -5, -4), own_task("wash_run", -20, -18)],
        supplies: vec![],
        without: vec!["helpers".into(), "cleaner".into()],
    };
    let template = PreparationTemplate::standard().with(&overlay, &rules).unwrap();
    let tasks = checklist(&dates(), &template, &rules);
    let due = |item: &str| tasks.iter().find(|t| t.item == item).map(|t| t.due_on);
    assert_eq!(due("xray_count"), Some(day("2024-03-02")));
    assert_eq!(due("wash_run"), Some(day("2024-02-17")));
    assert_eq!(due("helpers"), None);
    assert!(template.supplies.iter().all(|s| s.key != "cleaner"));
    let mut twice = own_task("Wash", 3, 1);
    twice.every_days = Some(0);
    let bad = TemplateOverlay {
        tasks: vec![own_task("a", 0, 0), own_task("a", 0, 0), twice],
        supplies: vec![],
        without: vec!["nothing".into()],
    };
    let faults = PreparationTemplate::standard().with(&bad, &rules).unwrap_err();
    let places: Vec<&str> = faults.iter().map(|f| f.pointer.as_str()).collect();
    let expected =
        ["/without/0", "/tasks/1/key", "/tasks/2/key", "/tasks/2/to_day", "/tasks/2/every_days"];
    assert_eq!(places, expected);
}

fn litter(n: u128, earliest: &str, until: &str, pups: u32) -> SupplyLitter {
    SupplyLitter {
        litter_id: Uuid::from_u128(n),
        earliest: day(earliest),
        until: day(until),
        born: false,
        pups,
    }
}

#[test]
fn scales_supplies_to_the_pups() {
    let today = day("2024-01-01");
    let template = PreparationTemplate::standard();
    let need = |pups, key: &str| {
        let litter = litter(1, "2024-03-05", "2024-05-05", pups);
        let needs = supply_needs(&litter, &template, today, &Rules::standard());
        let found = needs.into_iter().find(|n| n.key == key).unwrap();
        (found.amount, found.needed_by)
    };
    assert_eq!(need(6, "pads"), (28.0, day("2024-02-27"))); // (10 + 2·6)·1.25 = 27.5
    assert_eq!(need(6, "towels").0, 16.0); // 4 + 2·6, kept
    assert_eq!(need(6, "liners").0, 190.0); // 8 weeks · (7 + 2·6) · 1.25
    assert_eq!(need(9, "collars").0, 9.0);
}

#[test]
fn shares_the_stock_among_litters_that_come_close() {
    let (today, rules) = (day("2024-01-01"), Rules::standard());
    let template = PreparationTemplate::standard();
    let stock = [
        SupplyStock { key: "whelping_box".into(), on_hand: 1.0 },
        SupplyStock { key: "pads".into(), on_hand: 30.0 },
    ];
    let first = litter(1, "2024-03-05", "2024-05-05", 6);
    let close = litter(2, "2024-04-01", "2024-06-01", 6);
    let far = litter(3, "2024-09-01", "2024-11-01", 6);
    let line = |litters: &[SupplyLitter], key: &str| {
        shopping_list(litters, &stock, &template, today, &rules).into_iter().find(|l| l.key == key)
    };
    // The box serves again in September, not in April.
    assert!(line(&[far.clone(), first.clone()], "whelping_box").is_none());
    let boxes = line(&[close.clone(), first.clone()], "whelping_box").unwrap();
    assert_eq!((boxes.short, boxes.buy_by), (1.0, day("2024-03-25")));
    // 28 pads each: 30 do for the first, the second lacks 26.
    let pads = line(&[first.clone(), far.clone()], "pads").unwrap();
    assert_eq!((pads.short, pads.buy_by), (26.0, day("2024-08-25")));
    assert_eq!(pads.steps[0].litter_id, Uuid::from_u128(3));
    // Once born, what whelping takes is used up; the weeks left still take liners.
    let born = SupplyLitter { born: true, ..first };
    let later = day("2024-04-21");
    let lines = shopping_list(&[born], &stock, &template, later, &rules);
    assert!(lines.iter().all(|l| l.key != "pads"));
    let liners = lines.iter().find(|l| l.key == "liners").unwrap();
    assert_eq!(liners.short, 48.0); // 2 weeks · 19 · 1.25 = 47.5
}
