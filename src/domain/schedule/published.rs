//! The standard plans against the published schedules, day by day.

use super::*;
use crate::rules::Rules;
use chrono::NaiveDate;

fn born() -> NaiveDate {
    "2026-01-01".parse().unwrap()
}

fn day(age: i64) -> NaiveDate {
    plus(born(), age)
}

fn plan(key: &str) -> Vec<PlanStep> {
    standard_plans().iter().find(|plan| plan.key == key).unwrap().steps.clone()
}

fn dates(weaned_age: Option<i64>) -> ScheduleDates {
    ScheduleDates {
        born_on: Some(born()),
        mated_on: None,
        whelped_on: Some(born()),
        weaned_on: weaned_age.map(day),
        record_from: None,
    }
}

fn given(kind: HealthKind, age: i64) -> GivenEvent {
    GivenEvent { id: None, kind, series: None, step: None, given_on: day(age), by_test: false }
}

fn list(key: &str, weaned: Option<i64>, events: &[(HealthKind, i64)], today: i64) -> DueList {
    let events: Vec<GivenEvent> = events.iter().map(|(kind, age)| given(*kind, *age)).collect();
    due(&plan(key), dates(weaned), &events, day(today), &Rules::standard())
}

fn ideal_ages(list: &DueList) -> Vec<i64> {
    list.steps.iter().filter_map(|step| step.ideal_on).map(|on| (on - born()).num_days()).collect()
}

/// Acts as a kennel that gives every dose on the first day it is due, day by day.
fn lived(key: &str, weaned: i64, until: i64) -> Vec<i64> {
    let kind = plan(key)[0].kind;
    let mut events: Vec<(HealthKind, i64)> = Vec::new();
    for today in 0..=until {
        let weaned = (today >= weaned).then_some(weaned);
        let open = list(key, weaned, &events, today);
        if open.steps.iter().any(|step| step.state == DueState::Due) {
            events.push((kind, today));
        }
        assert!(open.cautions.is_empty(), "day {today}: {:?}", open.cautions);
        assert!(open.steps.iter().all(|step| step.state != DueState::Late), "day {today}");
    }
    events.into_iter().map(|(_, age)| age).collect()
}

/// ESCCAP guideline GL1: from 2 weeks, every 14 days to 2 weeks after weaning, then monthly to six
/// months of age.
#[test]
fn worming_follows_esccap_day_by_day() {
    assert_eq!(lived("pup-worming", 42, 400), [14, 28, 42, 56, 86, 116, 146, 176]);
    assert_eq!(lived("pup-worming", 56, 400), [14, 28, 42, 56, 70, 100, 130, 160]);
}

/// Companion Animal Parasite Council: 2, 4, 6 and 8 weeks, then a monthly preventive.
#[test]
fn worming_follows_capc_day_by_day() {
    assert_eq!(lived("pup-worming-2-4-6-8", 49, 120), [14, 28, 42, 56, 86, 116]);
    assert_eq!(lived("dam-worming-2-4-6-8", 49, 120), [14, 28, 42, 56]);
    assert_eq!(lived("dam-worming", 49, 120), [14]);
}

/// World Small Animal Veterinary Association: start at 6 to 8 weeks, every 2 to 4 weeks, last dose
/// at 16 weeks or later, 26 weeks instead of 12 months, then not more often than every 3 years.
#[test]
fn core_vaccination_follows_wsava_day_by_day() {
    assert_eq!(lived("pup-vaccination", 49, 2400), [56, 84, 112, 182, 1277, 2372]);
}

/// The series for each age of the first dose, at the longest distance of four weeks.
#[test]
fn core_series_ends_at_sixteen_weeks_or_later() {
    let series: [(i64, &[i64]); 3] = [(6, &[10, 14, 18]), (7, &[11, 15, 19]), (8, &[12, 16])];
    for (first, expected) in series {
        let first = first * 7;
        let list = list("pup-vaccination", None, &[(HealthKind::Vaccination, first)], first);
        let weeks: Vec<i64> = list
            .steps
            .iter()
            .filter(|step| step.step == "core-series")
            .filter_map(|step| step.ideal_on)
            .map(|on| (on - born()).num_days() / 7)
            .collect();
        assert_eq!(weeks, expected, "first at {first} days");
    }
}

#[test]
fn a_late_dose_moves_what_follows() {
    let wormer = HealthKind::Worming;
    // Second worming five days late: the third is 14 days after the day it was given.
    let list = list("pup-worming", Some(49), &[(wormer, 14), (wormer, 33)], 34);
    assert_eq!(ideal_ages(&list)[..4], [14, 28, 47, 61]);
    assert_eq!(list.steps[1].late_days, Some(2));
    assert!(list.cautions.is_empty());
}

#[test]
fn an_open_dose_is_late_and_the_forecast_starts_today() {
    let list = list("pup-worming", Some(49), &[(HealthKind::Worming, 14)], 40);
    let second = &list.steps[1];
    assert_eq!((second.state, second.late_days), (DueState::Late, Some(9)));
    assert_eq!(ideal_ages(&list)[2], 54);
    assert!(list.steps[2].forecast);
}

#[test]
fn a_dose_too_early_is_not_counted() {
    let list = list("pup-vaccination", None, &[(HealthKind::Vaccination, 41)], 60);
    assert_eq!(list.not_counted.len(), 1);
    assert_eq!(list.cautions.len(), 1);
    assert_eq!(list.steps[0].state, DueState::Late);
    // One day later it would have counted.
    let list = self::list("pup-vaccination", None, &[(HealthKind::Vaccination, 42)], 60);
    assert!(list.not_counted.is_empty() && list.cautions.is_empty());
    assert_eq!(list.steps.iter().filter(|step| step.state == DueState::Done).count(), 1);
}

#[test]
fn a_dose_too_close_is_not_counted_and_keeps_its_distance() {
    let vaccine = HealthKind::Vaccination;
    let list = list("pup-vaccination", None, &[(vaccine, 56), (vaccine, 69)], 70);
    assert_eq!(list.not_counted[0].given_on, day(69));
    let next = list.steps.iter().find(|step| step.step == "core-series").unwrap();
    // 28 days after the dose that counts; never within 14 days of the one that does not.
    assert_eq!(next.ideal_on, Some(day(84)));
    assert_eq!(next.earliest_on, Some(day(83)));
    let list = self::list("pup-vaccination", None, &[(vaccine, 56), (vaccine, 70)], 70);
    assert!(list.not_counted.is_empty());
}

#[test]
fn two_products_on_one_day_are_one_dose() {
    let wormer = HealthKind::Worming;
    let list = list("pup-worming", Some(49), &[(wormer, 14), (wormer, 14), (wormer, 28)], 28);
    assert!(list.not_counted.is_empty() && list.cautions.is_empty());
    assert_eq!(list.steps.iter().filter(|step| step.state == DueState::Done).count(), 2);
}

#[test]
fn series_are_kept_apart() {
    let mut steps = plan("pup-vaccination");
    steps.extend(plan("pup-rabies"));
    let mut rabies = given(HealthKind::Vaccination, 84);
    rabies.step = Some("rabies-first".into());
    let events = [given(HealthKind::Vaccination, 56), given(HealthKind::Vaccination, 84), rabies];
    let list = due(&steps, dates(None), &events, day(90), &Rules::standard());
    let done: Vec<&str> = list
        .steps
        .iter()
        .filter(|step| step.state == DueState::Done)
        .map(|step| step.step.as_str())
        .collect();
    assert_eq!(done, ["core-first", "core-series", "rabies-first"]);
    assert!(list.cautions.is_empty());
}

#[test]
fn what_cannot_be_dated_says_what_is_missing() {
    let list = due(
        &plan("dam-worming-pregnancy"),
        ScheduleDates::default(),
        &[],
        day(0),
        &Rules::standard(),
    );
    assert!(list.steps.iter().all(|step| step.state == DueState::Unknown));
    assert_eq!(list.steps[0].lacks.clone().unwrap(), "the day of the mating");
}

#[test]
fn the_walk_goes_by_place_then_litter_then_dog() {
    let open = list("pup-worming", Some(49), &[], 14).steps;
    let entry = |name: &str, ordinal, place: Option<&str>, litter: u128| WalkEntry {
        dog_id: uuid::Uuid::from_u128(litter * 100 + u128::from(ordinal)),
        dog_name: name.into(),
        ordinal: (ordinal > 0).then_some(ordinal),
        place: place.map(Into::into),
        litter_id: Some(uuid::Uuid::from_u128(litter)),
        litter_name: Some(format!("litter {litter}")),
        steps: open.clone().into(),
    };
    let mut idle = entry("idle", 4, Some("A"), 1);
    idle.steps = open.iter().filter(|step| !step.is_open()).cloned().collect::<Vec<_>>().into();
    let stops = walk(vec![
        entry("outside", 1, None, 3),
        entry("blue", 2, Some("B"), 2),
        entry("green", 2, Some("A"), 1),
        entry("red", 1, Some("A"), 1),
        entry("dam", 0, Some("A"), 1),
        idle,
    ]);
    let names: Vec<Vec<&str>> = stops
        .iter()
        .map(|stop| stop.dogs.iter().map(|dog| dog.dog_name.as_str()).collect())
        .collect();
    assert_eq!(names, [vec!["dam", "red", "green"], vec!["blue"], vec!["outside"]]);
    assert_eq!(stops[0].state, DueState::Due);
    assert_eq!(stops[0].dogs[0].steps.len(), 1);
}
