//! A dog's age decides its steps: each limit one day before and on it.

use super::*;
use crate::rules::Rules;
use chrono::NaiveDate;

const WORMING: HealthKind = HealthKind::Worming;
const VACCINE: HealthKind = HealthKind::Vaccination;

fn born() -> NaiveDate {
    "2020-03-01".parse().unwrap()
}

fn day(age: i64) -> NaiveDate {
    plus(born(), age)
}

fn given(kind: HealthKind, age: i64) -> GivenEvent {
    GivenEvent { id: None, kind, series: None, step: None, given_on: day(age), by_test: false }
}

fn named(kind: HealthKind, age: i64, step: &str) -> GivenEvent {
    GivenEvent { step: Some(step.to_owned()), ..given(kind, age) }
}

/// A dog whose record begins at an age; from birth on when `None`.
fn life(record_from: Option<i64>) -> Lifetime {
    let dates = ScheduleDates {
        born_on: Some(born()),
        weaned_on: record_from.is_none().then(|| day(49)),
        record_from: record_from.map(day),
        ..ScheduleDates::default()
    };
    Lifetime { dates, born_by: None }
}

fn list(life: Lifetime, events: &[GivenEvent], today: i64) -> DueList {
    let steps = |subject| steps_in_force(subject, &[], &[], "");
    let (pup, grown) = (steps(PlanSubject::Pup), steps(PlanSubject::Grown));
    follow((&pup, &grown), life, events, day(today), &Rules::standard())
}

fn step<'l>(list: &'l DueList, key: &str) -> Vec<&'l DueStep> {
    list.steps.iter().filter(|step| step.step == key).collect()
}

fn state(list: &DueList, key: &str) -> Option<DueState> {
    step(list, key).last().map(|step| step.state)
}

fn reproaches(list: &DueList) -> usize {
    let late = list.steps.iter().filter(|step| step.late_days.is_some()).count();
    late + list.cautions.len() + list.not_counted.len()
}

#[test]
fn a_dam_of_five_has_no_first_worming() {
    // Wormed for the first time on record at five years, as in a kennel that began to write then.
    for record_from in [None, Some(1900)] {
        let events = [given(WORMING, 1931), given(VACCINE, 1793)];
        let list = list(life(record_from), &events, 1938);
        assert!(step(&list, "worming-first").is_empty(), "{list:?}");
        assert!(step(&list, "core-first").is_empty());
        assert_eq!(reproaches(&list), 0, "{list:?}");
        let done: Vec<_> = list.steps.iter().filter(|s| s.state == DueState::Done).collect();
        assert_eq!(done.len(), 2);
        let next = step(&list, "grown-worming");
        assert_eq!(next.last().unwrap().ideal_on, Some(day(1931 + 91)));
        assert_eq!(step(&list, "core-adult").last().unwrap().ideal_on, Some(day(1793 + 1095)));
    }
}

#[test]
fn a_dose_of_a_grown_dog_is_none_of_a_pup() {
    // The last day of puphood and the first of a grown dog (schedule.grown_from = 365 days).
    let rules = Rules::standard();
    let steps = steps_in_force(PlanSubject::Pup, &[], &[], "");
    let at = |age| due(&steps, life(None).dates, &[given(WORMING, age)], day(400), &rules);
    assert_eq!(state(&at(364), "worming-first"), Some(DueState::Done));
    assert_eq!(state(&at(365), "worming-first"), Some(DueState::Late));
}

#[test]
fn a_kept_pup_changes_its_plans_on_the_day_it_is_grown() {
    let events: Vec<GivenEvent> = [
        (WORMING, 14),
        (WORMING, 28),
        (WORMING, 42),
        (WORMING, 56),
        (WORMING, 86),
        (WORMING, 116),
        (WORMING, 146),
        (WORMING, 176),
        (VACCINE, 56),
        (VACCINE, 84),
        (VACCINE, 112),
    ]
    .map(|(kind, age)| given(kind, age))
    .to_vec();
    let pup = list(life(None), &events, 364);
    assert!(step(&pup, "grown-worming").is_empty());
    assert_eq!(state(&pup, "core-26-weeks"), Some(DueState::Due));
    // Grown: the plan of grown dogs, and the vaccination at 26 weeks that is still in time.
    let grown = list(life(None), &events, 365);
    assert_eq!(state(&grown, "core-26-weeks"), Some(DueState::Due));
    assert_eq!(state(&grown, "grown-worming"), Some(DueState::Late));
    assert_eq!(step(&grown, "worming-monthly").len(), 4);
    assert_eq!(state(&list(life(None), &events, 366), "core-26-weeks"), Some(DueState::Late));
    // Given late it is done, and the next one is three years from it.
    let mut late = events.clone();
    late.push(given(VACCINE, 400));
    let late = list(life(None), &late, 401);
    let done = step(&late, "core-26-weeks");
    assert_eq!((done[0].state, done[0].late_days), (DueState::Done, Some(35)));
    assert_eq!(step(&late, "core-adult").last().unwrap().ideal_on, Some(day(400 + 1095)));
}

#[test]
fn a_grown_dog_without_a_record_of_its_puphood_is_not_reproached() {
    let list = list(life(None), &[given(VACCINE, 1026), given(WORMING, 1164)], 1240);
    assert_eq!(state(&list, "core-26-weeks"), None);
    assert_eq!(reproaches(&list), 0, "{list:?}");
}

#[test]
fn an_imported_adult_is_asked() {
    let list = list(life(Some(1000)), &[], 1000);
    assert_eq!(reproaches(&list), 0);
    assert!(!list.steps.iter().any(DueStep::is_open), "{list:?}");
    for key in ["core-adult", "grown-worming"] {
        assert!(step(&list, key)[0].is_asked(), "{key}");
    }
}

#[test]
fn a_pup_bought_at_ten_weeks_is_asked_for_what_was_before() {
    let bought = list(life(Some(70)), &[], 70);
    assert_eq!(reproaches(&bought), 0, "{bought:?}");
    for key in ["worming-first", "worming-fortnightly", "core-first", "microchip"] {
        assert!(step(&bought, key)[0].is_asked(), "{key}");
    }
    // What its age asks for is planned, as if all had been given in time before.
    assert_eq!(step(&bought, "core-series")[0].ideal_on, Some(day(84)));
    let monthly = list(life(Some(70)), &[], 94);
    assert_eq!(state(&monthly, "worming-monthly"), Some(DueState::TooEarly));
    assert_eq!(step(&monthly, "worming-monthly")[0].state, DueState::Late);
    // The first dose given here counts for the step of its age, and nothing before is asked.
    let wormed = list(life(Some(70)), &[given(WORMING, 75)], 76);
    assert_eq!(step(&wormed, "worming-monthly")[0].given_on, Some(day(75)));
    assert!(step(&wormed, "worming-first").is_empty());
    assert_eq!(reproaches(&wormed), 0);
    // One in its passport, between two steps, counts as the dose before.
    let passport = list(life(Some(70)), &[given(WORMING, 65)], 70);
    assert_eq!(step(&passport, "worming-monthly")[0].ideal_on, Some(day(95)));
    assert_eq!(reproaches(&passport), 0, "{passport:?}");
}

#[test]
fn the_record_begins_on_the_day_a_dog_came() {
    // The first worming is in time up to day 17: entered on day 17 it is open, a day later asked.
    assert_eq!(state(&list(life(Some(17)), &[], 18), "worming-first"), Some(DueState::Late));
    assert_eq!(state(&list(life(Some(18)), &[], 18), "worming-first"), Some(DueState::Unknown));
}

#[test]
fn a_dog_of_unknown_birth_follows_the_grown_and_one_of_this_year_does_not() {
    let unknown = Lifetime::default();
    let found = list(unknown, &[given(VACCINE, 0)], 200);
    assert_eq!(step(&found, "core-adult").last().unwrap().ideal_on, Some(day(1095)));
    assert!(step(&found, "worming-first").is_empty());
    assert_eq!(reproaches(&found), 0);
    // Of a dog that may still be young nobody knows the days of its steps.
    let by = |born_by| Lifetime { born_by: Some(day(born_by)), ..Lifetime::default() };
    let young = list(by(30), &[], 394);
    assert_eq!(step(&young, "worming-first")[0].lacks.clone().unwrap(), "the day of birth");
    assert!(step(&list(by(30), &[], 395), "worming-first").is_empty());
}

#[test]
fn a_dose_given_once_counts_for_both_steps_whose_time_it_is() {
    // The last of the series so late that it is the dose of 26 weeks as well (from day 182 on).
    let doses = |last| [given(VACCINE, 56), given(VACCINE, 84), given(VACCINE, last)];
    let early = list(life(None), &doses(181), 190);
    assert_eq!(state(&early, "core-26-weeks"), Some(DueState::TooEarly));
    let both = list(life(None), &doses(182), 190);
    // A dose more, too close to that one, is nobody's: nothing is left for it to count for.
    let more = [doses(182).as_slice(), &[given(VACCINE, 195)]].concat();
    let more = list(life(None), &more, 200);
    assert_eq!(step(&more, "core-26-weeks")[0].given_on, Some(day(182)));
    assert!(more.cautions.is_empty());
    let given_on = |key| step(&both, key).last().unwrap().given_on;
    assert_eq!(
        (given_on("core-series"), given_on("core-26-weeks")),
        (Some(day(182)), Some(day(182)))
    );
    // A nursing dam's own worming and that with her pups are one dose too.
    let dam = steps_in_force(PlanSubject::Dam, &[], &[], "");
    let dates = ScheduleDates { whelped_on: Some(day(2000)), ..ScheduleDates::default() };
    let dose = [given(WORMING, 2014)];
    let with_pups = due(&dam, dates, &dose, day(2020), &Rules::standard());
    assert_eq!(with_pups.steps[0].state, DueState::Done);
    let own = list(life(None), &dose, 2020);
    assert_eq!(step(&own, "grown-worming").last().unwrap().ideal_on, Some(day(2014 + 91)));
}

#[test]
fn what_a_dam_got_for_another_reason_is_no_dose_too_early() {
    let dam = steps_in_force(PlanSubject::Dam, &[], &["dam-worming-pregnancy".to_owned()], "");
    let dates = ScheduleDates {
        mated_on: Some(day(1937)),
        whelped_on: Some(day(2000)),
        ..ScheduleDates::default()
    };
    let of = |events: &[GivenEvent]| due(&dam, dates, events, day(2016), &Rules::standard());
    // Before the whelping, and after it before the tenth day: neither counts, neither is wrong.
    for age in [1990, 2009] {
        let list = of(&[given(WORMING, age)]);
        assert_eq!(state(&list, "dam-with-first-worming"), Some(DueState::Due), "{age}");
        assert_eq!(reproaches(&list), 0, "{list:?}");
    }
    assert_eq!(state(&of(&[given(WORMING, 2010)]), "dam-with-first-worming"), Some(DueState::Done));
    // Recorded for that step, it is told.
    let meant = of(&[named(WORMING, 2009, "dam-with-first-worming")]);
    assert_eq!((meant.not_counted.len(), meant.cautions.len()), (1, 1));
    // A dose in pregnancy closes its own step and leaves that after the birth open.
    let both = of(&[named(WORMING, 1977, "pregnancy-day-40"), given(WORMING, 2014)]);
    assert_eq!(state(&both, "dam-with-first-worming"), Some(DueState::Done));
}

#[test]
fn doses_count_by_their_days_in_whatever_order_they_are_written() {
    let events = [given(WORMING, 42), given(WORMING, 14), given(WORMING, 28)];
    let list = list(life(None), &events, 43);
    let on = |key| step(&list, key).iter().filter_map(|s| s.given_on).collect::<Vec<_>>();
    assert_eq!(on("worming-first"), [day(14)]);
    assert_eq!(on("worming-fortnightly"), [day(28), day(42)]);
    assert_eq!(reproaches(&list), 0);
}

#[test]
fn an_event_that_names_a_later_step_leaves_the_earlier_to_be_asked() {
    let list = list(life(None), &[named(VACCINE, 84, "core-series")], 85);
    assert!(step(&list, "core-first").is_empty(), "moot once a later dose is known");
    let second = step(&list, "core-series")[0];
    assert_eq!((second.given_on, second.late_days), (Some(day(84)), None));
    assert!(list.cautions.is_empty() && list.not_counted.is_empty(), "{list:?}");
}

#[test]
fn an_optional_step_reproaches_nobody_with_a_test_for_another_reason() {
    // A test at 30 days is none of the faecal ones, which count from day 42 on.
    let plain = list(life(None), &[given(HealthKind::Test, 30)], 31);
    assert!(plain.cautions.is_empty() && plain.not_counted.is_empty(), "{plain:?}");
    let meant = list(life(None), &[named(HealthKind::Test, 30, "faecal-first")], 31);
    assert_eq!(meant.cautions.len(), 1);
}
