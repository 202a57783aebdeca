//! What others ask of a dose, and what a dose tells of itself.

use super::due::{of_step, undated};
use super::*;
use crate::rules::Rules;
use chrono::NaiveDate;
use uuid::Uuid;

fn born() -> NaiveDate {
    "2026-01-01".parse().unwrap()
}

fn day(age: i64) -> NaiveDate {
    plus(born(), age)
}

/// A step of birth that is not repeated, for every dog.
fn step() -> PlanStep {
    let steps = standard_plans().iter().flat_map(|plan| &plan.steps);
    let mut once = steps.filter(|step| step.anchor == StepAnchor::Birth && step.repeat.is_none());
    once.find(|step| !step.optional).unwrap().clone()
}

fn given(kind: HealthKind, age: i64) -> GivenEvent {
    GivenEvent { id: None, kind, series: None, step: None, given_on: day(age), by_test: false }
}

fn of_birth() -> ScheduleDates {
    ScheduleDates { born_on: Some(born()), ..ScheduleDates::default() }
}

fn laid_out(steps: &[PlanStep], events: &[GivenEvent], today: i64) -> DueList {
    due(steps, of_birth(), events, day(today), &Rules::standard())
}

/// A step that has to be done holds a pup back until it is; one whose day has come, from that day on.
#[test]
fn a_dose_holds_a_pup_back_as_its_step_says() {
    let dose = |before_go_home, state, ideal: Option<i64>| DueStep {
        state,
        ideal_on: ideal.map(day),
        optional: false,
        before_go_home,
        ..of_step(&step())
    };
    use BeforeGoHome::{Done, Nothing, UpToDate};
    use DueState::{Due, Upcoming};
    let hinders = |dose: DueStep| dose.hinders_go_home(day(50));
    let by_day = |ideal| hinders(dose(UpToDate, Due, ideal));
    assert_eq!([Some(49), Some(50), Some(51), None].map(by_day), [true, true, false, false]);
    assert!(hinders(dose(Done, Upcoming, Some(60))), "however young it is");
    assert!(!hinders(dose(Nothing, Due, Some(49))));
    for asked in [UpToDate, Done] {
        assert!(!hinders(dose(asked, DueState::Done, Some(49))), "{asked:?}");
        assert!(!hinders(DueStep { optional: true, ..dose(asked, Due, Some(49)) }), "{asked:?}");
    }
}

#[test]
fn a_dose_is_asked_about_when_nobody_knows_of_it_and_why() {
    let lacks = || undated(&step()).lacks;
    let asked = |state, lacks| DueStep { state, lacks, ..of_step(&step()) }.is_asked();
    assert!(asked(DueState::Unknown, lacks()));
    assert!(!asked(DueState::Unknown, None));
    assert!(!asked(DueState::Due, lacks()));
}

#[test]
fn what_a_dose_lacks_is_known_by_its_anchor() {
    let lacking = |anchor| undated(&PlanStep { anchor, ..step() });
    let (birth, last) = (lacking(StepAnchor::Birth), lacking(StepAnchor::LastDose));
    assert_eq!([birth.lacks_day_of_birth(), birth.lacks_last_dose()], [true, false]);
    assert_eq!([last.lacks_day_of_birth(), last.lacks_last_dose()], [false, true]);
    let dated = of_step(&step());
    assert_eq!([dated.lacks_day_of_birth(), dated.lacks_last_dose()], [false, false]);
}

#[test]
fn a_dose_names_the_event_by_which_it_was_given() {
    let one = step();
    let id = Some(Uuid::from_u128(7));
    let event = GivenEvent { id, ..given(one.kind, i64::from(one.ideal_days)) };
    let list = laid_out(std::slice::from_ref(&one), &[event], i64::from(one.latest_days));
    assert_eq!((list.steps[0].state, list.steps[0].event_id), (DueState::Done, id));
}

/// Three doses of a grown dog: each tells its number, its event and the window it had.
#[test]
fn a_grown_dogs_doses_tell_their_windows() {
    let of_grown = steps_in_force(PlanSubject::Grown, &[], &[], "");
    let step = of_grown.iter().find(|step| step.anchor == StepAnchor::LastDose).unwrap();
    let id = |n| Some(Uuid::from_u128(n));
    let series = Some(step.series.clone());
    let events = [(1, 400), (2, 400 + i64::from(step.ideal_days))].map(|(n, age)| GivenEvent {
        id: id(n),
        series: series.clone(),
        ..given(step.kind, age)
    });
    let (first, second) = (events[0].given_on, events[1].given_on);
    let plans = (std::slice::from_ref(step), [].as_slice());
    let today = plus(second, 1);
    let rules = Rules::standard();
    let list = due_when_grown(plans, of_birth(), Some(day(365)), &events, today, &rules);
    let after = |on, days: i32| Some(plus(on, i64::from(days)));
    let told: Vec<_> = list
        .steps
        .iter()
        .map(|dose| (dose.occurrence, dose.event_id, dose.ideal_on, dose.latest_on))
        .collect();
    assert_eq!(
        told,
        [
            (1, id(1), None, None),
            (2, id(2), after(first, step.ideal_days), after(first, step.latest_days)),
            (3, None, after(second, step.ideal_days), after(second, step.latest_days)),
        ]
    );
    let earliest = i64::from(step.earliest_days).max(i64::from(step.min_spacing_days));
    assert_eq!(list.steps[2].earliest_on, Some(plus(second, earliest)));
}

/// Two steps of one series, fourteen days apart at least, the second from day 60 on. Given on day 58 it
/// is too early by its own day, or too close to the first, whichever day is the later.
#[test]
fn a_dose_that_does_not_count_says_which_day_it_missed() {
    let first = PlanStep {
        key: "first".to_owned(),
        earliest_days: 40,
        ideal_days: 45,
        latest_days: 50,
        min_spacing_days: 0,
        ..step()
    };
    let second = PlanStep {
        key: "second".to_owned(),
        earliest_days: 60,
        ideal_days: 60,
        latest_days: 80,
        min_spacing_days: 14,
        ..step()
    };
    let why = |before: i64| {
        let events = [given(first.kind, before), given(first.kind, 58)];
        let list = laid_out(&[first.clone(), second.clone()], &events, 58);
        assert_eq!(list.not_counted.len(), 1, "{before}");
        list.cautions[0].why.to_string()
    };
    for before in [45, 46] {
        assert!(why(before).contains("it counts from 2026-03-02 on"), "{}", why(before));
    }
    assert!(why(47).contains("11 days after the one before"), "{}", why(47));
}

#[test]
fn what_was_due_before_the_record_says_from_when_it_is_kept() {
    let one = step();
    let from = day(i64::from(one.latest_days) + 1);
    let dates = ScheduleDates { record_from: Some(from), ..of_birth() };
    let list = due(std::slice::from_ref(&one), dates, &[], plus(from, 5), &Rules::standard());
    let lacks = list.steps[0].lacks.clone().unwrap();
    assert!(lacks.contains(&from.to_string()), "{lacks}");
}

/// Who came after the day on which pups are weaned was weaned on it; a pup that was here then is not
/// weaned before today.
#[test]
fn a_dog_that_came_later_was_weaned() {
    let rules = Rules::standard();
    let age = rules.value("schedule.assumed_weaning_age") as i64;
    let weaned = PlanStep {
        anchor: StepAnchor::Weaning,
        earliest_days: 0,
        ideal_days: 0,
        latest_days: 400,
        min_spacing_days: 0,
        ..step()
    };
    let ideal = |record_from: i64| {
        let dates = ScheduleDates { record_from: Some(day(record_from)), ..of_birth() };
        let steps = std::slice::from_ref(&weaned);
        due(steps, dates, &[], day(age + 30), &rules).steps[0].ideal_on
    };
    assert_eq!([age - 1, age].map(ideal), [Some(day(age + 30)); 2]);
    assert_eq!(ideal(age + 1), Some(day(age)));
}

#[test]
fn days_end_with_the_calendar() {
    assert_eq!(plus(born(), i64::MAX), NaiveDate::MAX);
    assert_eq!(plus(born(), i64::MIN), NaiveDate::MIN);
    assert_eq!([plus(born(), -1), plus(born(), 0)], [born().pred_opt().unwrap(), born()]);
}

#[test]
fn a_stop_is_told_from_others_by_its_place_and_its_litter() {
    let stop = |place: Option<&str>, litter: Option<u128>| WalkStop {
        place: place.map(str::to_owned),
        litter_id: litter.map(Uuid::from_u128),
        litter_name: None,
        state: DueState::Due,
        dogs: Vec::new(),
    };
    let stops = [(None, None), (Some("barn"), None), (None, Some(1)), (Some("barn"), Some(1))];
    let keys: std::collections::BTreeSet<String> =
        stops.iter().map(|(place, litter)| stop(*place, *litter).key()).collect();
    assert_eq!(keys.len(), stops.len());
    assert!(keys.iter().any(|key| key.ends_with("barn")));
}
