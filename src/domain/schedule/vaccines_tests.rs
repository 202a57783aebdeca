//! Tests of antibodies in place of a dose, several series in one product, live vaccines apart, boosters.

use super::*;
use crate::rules::Rules;
use chrono::NaiveDate;

fn born() -> NaiveDate {
    "2026-01-01".parse().unwrap()
}

fn day(age: i64) -> NaiveDate {
    plus(born(), age)
}

fn age(on: Option<NaiveDate>) -> Option<i64> {
    on.map(|on| (on - born()).num_days())
}

fn of_birth() -> ScheduleDates {
    ScheduleDates { born_on: Some(born()), ..ScheduleDates::default() }
}

fn plan(key: &str) -> Vec<PlanStep> {
    standard_plans().iter().find(|plan| plan.key == key).unwrap().steps.clone()
}

fn dose(series: &str, age: i64) -> GivenEvent {
    GivenEvent {
        id: None,
        kind: HealthKind::Vaccination,
        series: Some(series.to_owned()),
        step: None,
        given_on: day(age),
        by_test: false,
    }
}

fn test(age: i64) -> GivenEvent {
    GivenEvent { by_test: true, ..dose("core", age) }
}

fn core(events: &[GivenEvent], today: i64) -> DueList {
    due(&plan("pup-vaccination"), of_birth(), events, day(today), &Rules::standard())
}

fn step<'l>(list: &'l DueList, key: &str) -> &'l DueStep {
    list.steps.iter().rev().find(|step| step.step == key).unwrap()
}

fn series() -> Vec<GivenEvent> {
    [56, 84, 112].map(|age| dose("core", age)).to_vec()
}

/// World Small Animal Veterinary Association: a test at 20 weeks or later, four weeks after the last dose,
/// that shows antibodies, and the dose at 26 weeks is not needed; the next is three years on.
#[test]
fn a_test_at_twenty_weeks_stands_for_the_dose_at_twenty_six() {
    let shown = |tested: i64| {
        let events = [series(), vec![test(tested)]].concat();
        let list = core(&events, 150);
        let booster = step(&list, "core-26-weeks");
        (booster.state, booster.by_test, age(step(&list, "core-adult").ideal_on))
    };
    // A day too young; on the day; later.
    assert_eq!(shown(139), (DueState::TooEarly, false, Some(182 + 1095)));
    assert_eq!(shown(140), (DueState::Done, true, Some(140 + 1095)));
    assert_eq!(shown(150), (DueState::Done, true, Some(150 + 1095)));
    let without = core(&series(), 150);
    assert!(step(&without, "core-26-weeks").or_test);
    assert_eq!(step(&without, "core-26-weeks").state, DueState::TooEarly);
}

/// What a test shows in the first four weeks after a dose is that dose's.
#[test]
fn a_test_too_soon_after_a_dose_stands_for_none() {
    let shown = |last: i64, tested: i64| {
        let events = [56, 84, last].map(|age| dose("core", age)).to_vec();
        step(&core(&[events, vec![test(tested)]].concat(), 200), "core-26-weeks").by_test
    };
    assert!(!shown(126, 126 + 27));
    assert!(shown(126, 126 + 28));
}

/// A pup whose series broke off and that is protected all the same needs no more of it.
#[test]
fn a_test_ends_a_series_that_broke_off() {
    let events = vec![dose("core", 56), dose("core", 84), test(150)];
    let list = core(&events, 160);
    assert!(list.steps.iter().all(|step| step.state != DueState::Late), "{list:?}");
    assert_eq!(age(step(&list, "core-adult").ideal_on), Some(150 + 1095));
    assert!(list.cautions.is_empty());
    // Without it the third dose is late.
    let list = core(&events[..2], 160);
    assert_eq!(step(&list, "core-series").state, DueState::Late);
}

#[test]
fn of_a_dose_and_a_test_on_one_day_the_dose_counts() {
    let events = [series(), vec![test(182), dose("core", 182)]].concat();
    let list = core(&events, 190);
    let booster = step(&list, "core-26-weeks");
    assert_eq!((booster.state, booster.by_test), (DueState::Done, false));
}

/// Law, not antibodies, decides about rabies: no test stands for it.
#[test]
fn no_test_stands_for_rabies_or_leptospirosis() {
    for (key, of) in [("pup-rabies", "rabies"), ("pup-leptospirosis", "leptospirosis")] {
        let tested = GivenEvent { by_test: true, ..dose(of, 200) };
        let list = due(&plan(key), of_birth(), &[tested], day(210), &Rules::standard());
        assert!(list.steps.iter().all(|step| step.state != DueState::Done && !step.or_test));
    }
}

/// A grown dog: three years from the test.
#[test]
fn a_grown_dogs_test_stands_for_its_next_dose() {
    let rules = Rules::standard();
    let pup = plan("pup-vaccination");
    let next = |events: &[GivenEvent]| {
        let plans = (&[][..], pup.as_slice());
        let list = due_when_grown(plans, of_birth(), Some(day(365)), events, day(2000), &rules);
        age(step(&list, "core-adult").ideal_on)
    };
    assert_eq!(next(&[dose("core", 400)]), Some(400 + 1095));
    assert_eq!(next(&[dose("core", 400), test(1500)]), Some(1500 + 1095));
    assert_eq!(next(&[dose("core", 400), test(427)]), Some(400 + 1095));
}

/// What a test showed to be missing is due, until a dose is given.
#[test]
fn a_test_without_protection_brings_the_dose_forward() {
    let shown = |events: &[GivenEvent], today: i64| {
        let mut list = core(events, today);
        let tests = [UnshownTest { series: "core".to_owned(), tested_on: day(145) }];
        due_after(&mut list, &tests, day(today));
        let booster = step(&list, "core-26-weeks").clone();
        (booster.state, booster.not_counted.is_some())
    };
    assert_eq!(shown(&series(), 144), (DueState::TooEarly, false));
    assert_eq!(shown(&series(), 145), (DueState::Due, true));
    let since = [series(), vec![dose("core", 182)]].concat();
    assert_eq!(shown(&since, 190), (DueState::Done, false));
}

fn apart(events: &[GivenEvent], today: i64) -> DueList {
    let mut list = core(events, today);
    keep_apart(&mut list, events, day(today), &Rules::standard());
    list
}

/// Two weeks, or one day: a live dose of another kind makes the core dose wait, and two within are told.
#[test]
fn live_vaccines_of_different_kinds_keep_two_weeks() {
    let first = |other: i64, today: i64| {
        let list = apart(&[dose("parvovirus", other)], today);
        let first = step(&list, "core-first");
        (first.state, age(first.earliest_on), age(first.ideal_on))
    };
    assert_eq!(first(28, 56), (DueState::Due, Some(42), Some(56)));
    assert_eq!(first(50, 56), (DueState::TooEarly, Some(64), Some(64)));
    assert_eq!(first(50, 63), (DueState::TooEarly, Some(64), Some(64)));
    assert_eq!(first(50, 64), (DueState::Due, Some(64), Some(64)));
    let told = |other: &str, between: i64| {
        apart(&[dose(other, 56 - between), dose("core", 56)], 60).cautions.len()
    };
    assert_eq!([0, 1, 13, 14].map(|days| told("parvovirus", days)), [0, 1, 1, 0]);
    // Dead ones, those into the nose, and what nobody knows do not count.
    assert_eq!(["leptospirosis", "rabies", "kennel-cough", "ours"].map(|of| told(of, 7)), [0; 4]);
}

/// Leptospirosis: 8 and 12 weeks, then every year (WSAVA); German commission: 8, 12, 16 weeks, 15 months, then
/// every three years.
#[test]
fn the_plans_of_countries_follow_their_guidelines() {
    let lived = |key: &str, series: &str, until: i64| {
        let (plan, mut events) = (plan(key), Vec::new());
        for today in 0..=until {
            let list = due(&plan, of_birth(), &events, day(today), &Rules::standard());
            assert!(list.steps.iter().all(|step| step.state != DueState::Late), "{key} {today}");
            if list.steps.iter().any(|step| step.state == DueState::Due) {
                events.push(dose(series, today));
            }
            assert!(list.cautions.is_empty(), "{key} {today}");
        }
        events.iter().map(|event| (event.given_on - born()).num_days()).collect::<Vec<_>>()
    };
    assert_eq!(lived("pup-leptospirosis", "leptospirosis", 900), [56, 84, 449, 814]);
    assert_eq!(lived("pup-vaccination-stiko", "core", 1600), [56, 84, 112, 456, 1551]);
    assert_eq!(lived("pup-rabies", "rabies", 500)[..3], [84, 112, 435]);
}

/// American Heartworm Society: at 8 weeks at the latest, every month, a test from seven months on.
#[test]
fn heartworm_starts_by_eight_weeks_and_is_tested_from_seven_months() {
    let plan = plan("pup-heartworm");
    let list = due(&plan, of_birth(), &[], day(40), &Rules::standard());
    assert_eq!(age(step(&list, "heartworm-first").latest_on), Some(56));
    assert_eq!(age(step(&list, "heartworm-test-first").earliest_on), Some(213));
    let given = GivenEvent { kind: HealthKind::Worming, ..dose("heartworm", 56) };
    let list = due(&plan, of_birth(), &[given], day(57), &Rules::standard());
    assert_eq!(age(step(&list, "heartworm-monthly").ideal_on), Some(86));
}
