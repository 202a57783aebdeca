//! Lists are checked by dates and amounts worked by hand.

use super::*;
use crate::limits_tests::{Limit, at_most, check};

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
    let task = temperature[0].to_task(Uuid::from_u128(1), &PreparationRecords::default());
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
        why: Text::default(),
        anchor: PreparationAnchor::DueLikely,
        from_day,
        to_day,
        to_anchor: None,
        every_days: None,
        times_a_day: None,
        of_use_days: None,
        closed_by: None,
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

fn stock(key: &str, on_hand: f64, counted_on: &str) -> SupplyStock {
    SupplyStock { key: key.into(), on_hand, counted_on: day(counted_on) }
}

fn shopping(
    litters: &[SupplyLitter],
    stock: &[SupplyStock],
    from: &str,
    until: &str,
) -> Vec<ShoppingLine> {
    let template = PreparationTemplate::standard();
    shopping_list(litters, stock, &template, (day(from), day(until)), &Rules::standard())
}

fn find(lines: &[ShoppingLine], key: &str) -> Option<ShoppingLine> {
    lines.iter().find(|line| line.key == key).cloned()
}

#[test]
fn shares_the_stock_among_litters_that_come_close() {
    let counted = [stock("whelping_box", 1.0, "2024-01-01"), stock("pads", 30.0, "2024-01-01")];
    let first = litter(1, "2024-03-05", "2024-05-05", 6);
    let close = litter(2, "2024-04-01", "2024-06-01", 6);
    let far = litter(3, "2024-09-01", "2024-11-01", 6);
    let line = |litters: &[SupplyLitter], key: &str| {
        find(&shopping(litters, &counted, "2024-01-01", "2024-12-31"), key)
    };
    // The box serves again in September, not in April.
    assert!(line(&[far.clone(), first.clone()], "whelping_box").is_none());
    let boxes = line(&[close.clone(), first.clone()], "whelping_box").unwrap();
    assert_eq!((boxes.short, boxes.buy_by), (1.0, day("2024-03-25")));
    // It is free 28 days after the first birth: needed on that day there are two, a day later one.
    let next = |earliest| litter(2, earliest, "2024-06-30", 6);
    assert!(line(&[first.clone(), next("2024-04-09")], "whelping_box").is_some());
    assert!(line(&[first.clone(), next("2024-04-10")], "whelping_box").is_none());
    // 28 pads each: 30 do for the first, the second lacks 26, which is one pack.
    let pads = line(&[first, far], "pads").unwrap();
    assert_eq!((pads.short, pads.packs, pads.buy), (26.0, 1, 30.0));
    assert_eq!(pads.buy_by, day("2024-08-25"));
    assert_eq!(pads.steps[0].litter_id, Uuid::from_u128(3));
    assert_eq!(pads.text, "Absorbent pads: 30 pieces (1 pack of 30)");
}

#[test]
fn a_scale_serves_all_litters_at_once() {
    let litters = [
        litter(1, "2024-03-05", "2024-05-05", 6),
        litter(2, "2024-03-08", "2024-05-08", 6),
        litter(3, "2024-03-12", "2024-05-12", 6),
    ];
    let lines = shopping(&litters, &[], "2024-03-01", "2024-04-01");
    let scale = find(&lines, "scale").unwrap();
    assert_eq!((scale.needed, scale.text.to_string().as_str()), (1.0, "Scale to 1 g: 1 piece"));
    assert_eq!(find(&lines, "whelping_box").unwrap().needed, 3.0);
    assert_eq!(find(&lines, "towels").unwrap().text, "Towels: 48 pieces");
    // Of what was never counted, a litter that is born is seen with what it has in use.
    let born = SupplyLitter { born: true, ..litters[0].clone() };
    let lines = shopping(&[born, litters[1].clone()], &[], "2024-03-06", "2024-04-01");
    assert!(find(&lines, "scale").is_none());
    let boxes = find(&lines, "whelping_box").unwrap();
    assert_eq!((boxes.on_hand, boxes.short, boxes.counted_on), (1.0, 1.0, None));
}

#[test]
fn consumables_are_reckoned_by_their_rate_up_to_the_horizon() {
    let born = SupplyLitter { born: true, ..litter(1, "2024-03-05", "2024-05-05", 6) };
    let liners = |counted: &[SupplyStock], until| {
        find(&shopping(std::slice::from_ref(&born), counted, "2024-03-20", until), "liners")
    };
    // 19 a week and a quarter more: 3.39 a day; fifteen days are 50.9, eight weeks end on 29 April.
    let fortnight = liners(&[], "2024-04-03").unwrap();
    assert_eq!((fortnight.short, fortnight.packs, fortnight.buy), (51.0, 2, 60.0));
    assert_eq!(fortnight.text, "Liners for the pen: 60 pieces (2 packs of 30)");
    assert_eq!(liners(&[], "2024-12-31").unwrap().short, 140.0); // 41 days
    // Counted today they are all there; counted ten days ago, 27 of them have been used since.
    let today = liners(&[stock("liners", 40.0, "2024-03-20")], "2024-04-03").unwrap();
    assert_eq!((today.on_hand, today.short), (40.0, 11.0));
    assert_eq!(today.buy_by, day("2024-03-31")); // 40 / 3.39: eleven days and a part of the next
    let before = liners(&[stock("liners", 40.0, "2024-03-10")], "2024-04-03").unwrap();
    assert_eq!((before.on_hand, before.short), (12.86, 39.0));
    assert!(liners(&[stock("liners", 51.0, "2024-03-20")], "2024-04-03").is_none());
    // Once born, what whelping takes is used up.
    assert!(
        find(&shopping(std::slice::from_ref(&born), &[], "2024-03-20", "2024-04-03"), "pads")
            .is_none()
    );
}

#[test]
fn the_shopping_list_looks_as_far_as_its_horizon() {
    // Supplies are here seven days before: on 27 February.
    let ahead = [litter(1, "2024-03-05", "2024-05-05", 6)];
    assert!(shopping(&ahead, &[], "2024-02-12", "2024-02-26").is_empty());
    let lines = shopping(&ahead, &[], "2024-02-13", "2024-02-27");
    assert!(find(&lines, "pads").is_some() && find(&lines, "whelping_box").is_some());
    // Bowls are for weaning, from day 21 on: seven days before that.
    let bowls = |until| find(&shopping(&ahead, &[], "2024-03-01", until), "pup_bowls");
    assert!(bowls("2024-03-18").is_none());
    assert_eq!(bowls("2024-03-19").unwrap().buy_by, day("2024-03-19"));
}

#[test]
fn what_is_recorded_closes_what_asks_for_it() {
    use crate::record::PregnancyMethod::{Palpation, Ultrasound, Xray};
    let tasks = list(&dates());
    let one = |item: &str| tasks.iter().find(|task| task.item == item).unwrap();
    let closed = |item: &str, records: PreparationRecords| records.recorded_on(one(item));
    let checks = |checks: &[(&str, crate::record::PregnancyMethod)]| PreparationRecords {
        checks: checks.iter().map(|(on, method)| (day(on), *method)).collect(),
        ..PreparationRecords::default()
    };
    let scan = checks(&[("2024-02-02", Ultrasound)]);
    assert_eq!(closed("pregnancy_check", scan.clone()), Some(day("2024-02-02")));
    assert_eq!(closed("xray_count", scan), None);
    let xray = checks(&[("2024-02-28", Xray)]);
    assert_eq!(closed("xray_count", xray.clone()), Some(day("2024-02-28")));
    assert_eq!(closed("pregnancy_check", xray), Some(day("2024-02-28")));
    assert_eq!(closed("pregnancy_check", checks(&[("2024-02-02", Palpation)])), None);
    // Two temperatures are asked for on a day; one is told, and one of another day does not count.
    let taken = |days: &[&str]| PreparationRecords {
        temperatures: days.iter().map(|on| day(on)).collect(),
        ..PreparationRecords::default()
    };
    let first = one("temperature");
    assert_eq!(first.from, day("2024-02-27"));
    let once = taken(&["2024-02-27", "2024-02-26", "2024-02-28"]);
    assert_eq!(once.recorded_on(first), None);
    let title = first.to_task(Uuid::from_u128(1), &once).title;
    assert_eq!(title, "Take her temperature (1 of 2 done)");
    let twice = taken(&["2024-02-27", "2024-02-27"]);
    assert_eq!(twice.recorded_on(first), Some(day("2024-02-27")));
    // A count of the stock closes the round of its week, not that of the week after.
    let born = PreparationDates { whelped_on: Some(day("2024-03-08")), ..dates() };
    let rounds: Vec<_> =
        list(&born).into_iter().filter(|task| task.item == "consumables").collect();
    let counted = |on| PreparationRecords { counted_on: Some(day(on)), ..Default::default() };
    assert_eq!(rounds[1].from, day("2024-03-15"));
    assert_eq!(counted("2024-03-14").recorded_on(&rounds[1]), None);
    assert_eq!(counted("2024-03-15").recorded_on(&rounds[1]), Some(day("2024-03-15")));
}

#[test]
fn each_item_is_of_use_for_its_time() {
    let tasks = list(&dates());
    let until = |item: &str| tasks.iter().find(|task| task.item == item).unwrap().of_use_until;
    assert_eq!(until("xray_count"), day("2024-03-16")); // fourteen days after 2 March
    assert_eq!(until("pregnancy_check"), day("2024-02-27")); // twenty after 7 February
    assert_eq!(until("temperature"), day("2024-02-27")); // its own day
    let born = PreparationDates { whelped_on: Some(day("2024-03-08")), ..dates() };
    let claws = list(&born).into_iter().find(|task| task.item == "claws").unwrap();
    assert_eq!((claws.due_on, claws.of_use_until), (day("2024-03-18"), day("2024-03-24")));
}

#[test]
fn a_supply_says_what_it_is() {
    let rules = Rules::standard();
    let mut supply = PreparationTemplate::standard().supplies[0].clone();
    (supply.reusable, supply.shared, supply.pack_size) = (false, true, Some(0.0));
    (supply.used_from_day, supply.used_to_day) = (Some(22), Some(21));
    let overlay = TemplateOverlay { supplies: vec![supply], ..TemplateOverlay::default() };
    let faults = PreparationTemplate::standard().with(&overlay, &rules).unwrap_err();
    let places: Vec<&str> = faults.iter().map(|fault| fault.pointer.as_str()).collect();
    assert_eq!(places, ["/supplies/0/pack_size", "/supplies/0/shared", "/supplies/0/used_to_day"]);
}

/// A task of the standard template that ends so many days after the birth.
fn ends_after(days: f64, rules: &Rules) -> bool {
    let standard = PreparationTemplate::standard();
    let mut task = standard.tasks[0].clone();
    (task.to_anchor, task.to_day) = (None, days as i64);
    let own = TemplateOverlay { tasks: vec![task], ..TemplateOverlay::default() };
    standard.with(&own, rules).is_ok()
}

pub(crate) const LIMITS: &[Limit] =
    &[at_most("preparation.longest_every_days", "longest span", 1.0, ends_after)];

#[test]
fn each_limit_of_a_list_on_it_before_and_after() {
    check(LIMITS);
}
