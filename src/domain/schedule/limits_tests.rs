//! The limits of the schedule, and every window of every published plan.

use super::due::{state_on, window};
use super::*;
use crate::limits_tests::{Limit, at_least, check, less_than};
use crate::rules::Rules;
use chrono::NaiveDate;

fn born() -> NaiveDate {
    "2026-01-01".parse().unwrap()
}

pub(crate) const LIMITS: &[Limit] = &[
    at_least("schedule.grown_from", "age from which", 1.0, |days, r| {
        let dates = ScheduleDates { born_on: Some(born()), ..ScheduleDates::default() };
        Lifetime { dates, born_by: None }.is_grown(plus(born(), days as i64), r)
    }),
    at_least("schedule.antibody_test_after_dose_days", "from which", 1.0, |days, r| {
        // The last pup dose at 18 weeks, the test so many days after it.
        let dose = |age: i64, by_test| GivenEvent {
            id: None,
            kind: HealthKind::Vaccination,
            series: Some("core".to_owned()),
            step: None,
            given_on: plus(born(), age),
            by_test,
        };
        let events =
            [dose(56, false), dose(84, false), dose(126, false), dose(126 + days as i64, true)];
        let steps = steps_in_force(PlanSubject::Pup, &[], &[], "");
        let dates = ScheduleDates { born_on: Some(born()), ..ScheduleDates::default() };
        due(&steps, dates, &events, plus(born(), 300), r).steps.iter().any(|step| step.by_test)
    }),
    less_than("schedule.live_vaccines_apart_days", "least days", 1.0, |days, r| {
        let dose = |series: &str, age: i64| GivenEvent {
            id: None,
            kind: HealthKind::Vaccination,
            series: Some(series.to_owned()),
            step: None,
            given_on: plus(born(), age),
            by_test: false,
        };
        let given = [dose("parvovirus", 28), dose("core", 28 + days as i64)];
        let mut list = DueList::default();
        keep_apart(&mut list, &given, plus(born(), 100), r);
        !list.cautions.is_empty()
    }),
];

#[test]
fn each_limit_of_the_schedule_on_it_before_and_after() {
    check(LIMITS);
}

/// Of each step: the day before its first, its first, its best and its last day, and the day after.
#[test]
fn each_window_of_each_plan_opens_and_closes_on_its_day() {
    for step in standard_plans().iter().flat_map(|plan| &plan.steps) {
        let slot = window(step, born(), None);
        let state = |days: i32| state_on(&slot, plus(born(), i64::from(days)));
        let (earliest, ideal, latest) = (step.earliest_days, step.ideal_days, step.latest_days);
        assert_eq!(state(earliest - 1), DueState::TooEarly, "{}", step.key);
        let first = if ideal == earliest { DueState::Due } else { DueState::Upcoming };
        assert_eq!(state(earliest), first, "{}", step.key);
        if ideal > earliest {
            assert_eq!(state(ideal - 1), DueState::Upcoming, "{}", step.key);
        }
        assert_eq!([state(ideal), state(latest)], [DueState::Due; 2], "{}", step.key);
        assert_eq!(state(latest + 1), DueState::Late, "{}", step.key);
        // Spacing moves a window that it reaches into, and no other.
        let gap = i64::from(step.min_spacing_days);
        for moved in [-1, 0, 1] {
            let before = plus(born(), i64::from(earliest) - gap + moved);
            let slot = window(step, born(), Some(before));
            assert_eq!(
                slot.earliest,
                plus(born(), i64::from(earliest) + moved.max(0)),
                "{}",
                step.key
            );
        }
    }
}

/// A step of a plan of one, given on days of age.
fn given(step: &PlanStep, days: &[i64], today: i64) -> DueList {
    let dates = ScheduleDates { born_on: Some(born()), ..ScheduleDates::default() };
    let event = |day: &i64| GivenEvent {
        id: None,
        kind: step.kind,
        series: None,
        step: None,
        given_on: plus(born(), *day),
        by_test: false,
    };
    let events: Vec<GivenEvent> = days.iter().map(event).collect();
    due(std::slice::from_ref(step), dates, &events, plus(born(), today), &Rules::standard())
}

/// What is for a pregnancy is over on the day she whelps, and not the day before.
#[test]
fn steps_of_a_pregnancy_end_with_it() {
    let chosen = ["dam-worming-pregnancy".to_owned()];
    let steps = steps_in_force(PlanSubject::Dam, &[], &chosen, "");
    let of_mating = |list: &DueList| {
        let keys = steps.iter().filter(|step| step.anchor == StepAnchor::Mating);
        keys.filter(|step| list.steps.iter().any(|dose| dose.step == step.key)).count()
    };
    let whelped = plus(born(), 63);
    let dates = ScheduleDates {
        mated_on: Some(born()),
        whelped_on: Some(whelped),
        ..ScheduleDates::default()
    };
    let left =
        |later| of_mating(&due(&steps, dates, &[], plus(whelped, later), &Rules::standard())) > 0;
    assert_eq!([-1, 0, 1].map(left), [true, false, false]);
}

fn of_birth() -> impl Iterator<Item = &'static PlanStep> {
    let steps = standard_plans().iter().flat_map(|plan| &plan.steps);
    steps.filter(|step| step.anchor == StepAnchor::Birth && !step.optional)
}

/// A dose counts from the earliest day on, is late from the day after the last one on, and one of
/// tomorrow is none yet.
#[test]
fn a_dose_counts_on_the_first_day_and_is_in_time_on_the_last() {
    for step in of_birth() {
        let (earliest, latest) = (i64::from(step.earliest_days), i64::from(step.latest_days));
        let list = |day: i64| given(step, &[day], day);
        let counts = |day| list(day).steps[0].state == DueState::Done;
        assert!(counts(earliest) && counts(latest), "{}", step.key);
        if earliest > 0 {
            let early = list(earliest - 1);
            // Of a grown dog it is no dose of a pup's plan, and nothing is said of it.
            let told = usize::from(earliest - 1 < 365);
            let said = (early.not_counted.len(), early.cautions.len());
            assert_eq!(said, (told, told), "{}", step.key);
            assert_ne!(early.steps[0].state, DueState::Done);
        }
        let late = |day| list(day).steps[0].late_days;
        if latest >= 364 {
            continue;
        }
        assert_eq!([late(latest), late(latest + 1)], [None, Some(1)], "{}", step.key);
        let tomorrow = given(step, &[latest], latest - 1);
        assert_ne!(tomorrow.steps[0].state, DueState::Done, "{}", step.key);
    }
}

/// Each day of a kennel's own plan, on the edge of what is believed and just beyond it.
#[test]
fn days_of_a_plan_are_believed_up_to_their_ends() {
    let plan = standard_plans().iter().find(|plan| plan.subject == PlanSubject::Pup).unwrap();
    let fault = |set: &dyn Fn(&mut PlanStep)| {
        let mut own = plan.clone();
        own.steps.truncate(1);
        let step = &mut own.steps[0];
        (step.anchor, step.repeat) = (StepAnchor::Birth, None);
        (step.earliest_days, step.ideal_days, step.latest_days) = (10, 20, 30);
        set(step);
        own.check().err().map(|faults| faults[0].pointer.clone())
    };
    let earliest = |days: i32| {
        fault(&|step: &mut PlanStep| {
            (step.earliest_days, step.ideal_days, step.latest_days) = (days, days.max(0), 3653);
        })
    };
    assert_eq!([0, 3653].map(earliest), [None, None]);
    assert_eq!(earliest(-1).as_deref(), Some("/steps/0/earliest_days"));
    assert_eq!(earliest(3654).as_deref(), Some("/steps/0/earliest_days"));
    let ideal = |days| fault(&|step: &mut PlanStep| step.ideal_days = days);
    assert_eq!([10, 30].map(ideal), [None, None]);
    assert_eq!(ideal(9).as_deref(), Some("/steps/0/ideal_days"));
    assert_eq!(ideal(31).as_deref(), Some("/steps/0/latest_days"));
    let latest = |days| fault(&|step: &mut PlanStep| step.latest_days = days);
    assert_eq!([20, 3653].map(latest), [None, None]);
    assert_eq!([19, 3654].map(|days| latest(days).unwrap()), ["/steps/0/latest_days"; 2]);
    let spacing = |days| fault(&|step: &mut PlanStep| step.min_spacing_days = days);
    assert_eq!([spacing(0), spacing(3653)], [None, None]);
    assert_eq!(spacing(3654).as_deref(), Some("/steps/0/min_spacing_days"));
    let text = |length: usize| fault(&|step: &mut PlanStep| step.name = "x".repeat(length));
    assert_eq!([1, 300].map(text), [None, None]);
    assert_eq!([0, 301].map(|n| text(n).unwrap()), ["/steps/0/name"; 2]);
    // A repetition needs an interval of a day, and an earlier step to count from.
    let repeated = |anchor: StepAnchor, interval, end| {
        let mut own = plan.clone();
        own.steps.truncate(1);
        own.steps[0].anchor = StepAnchor::Birth;
        own.steps[0].repeat = None;
        let repeat =
            StepRepeat { until: Some(PlanAnchor::Birth), days: end, last: LastDose::NotAfter };
        let mut again = own.steps[0].clone();
        (again.key, again.anchor, again.repeat) = ("again".to_owned(), anchor, Some(repeat));
        (again.earliest_days, again.ideal_days, again.latest_days) = (0, interval, 30);
        own.steps.push(again);
        own.check().err().map(|faults| faults[0].pointer.clone())
    };
    let on_dose = || StepAnchor::Step { step: plan.steps[0].key.clone() };
    assert_eq!([repeated(on_dose(), 1, 0), repeated(on_dose(), 1, 3653)], [None, None]);
    assert_eq!(repeated(on_dose(), 0, 9).as_deref(), Some("/steps/1/repeat"));
    assert_eq!(repeated(StepAnchor::Birth, 1, 9).as_deref(), Some("/steps/1/repeat"));
    for end in [-1, 3654] {
        assert_eq!(repeated(on_dose(), 1, end).as_deref(), Some("/steps/1/repeat/days"), "{end}");
    }
}

/// A record that begins on the last day of a window could still have seen the dose; a day later not.
#[test]
fn what_was_due_before_the_record_is_asked_about() {
    let step = of_birth().find(|step| step.latest_days < 300).unwrap();
    let latest = i64::from(step.latest_days);
    let state = |from: i64| {
        let dates = ScheduleDates {
            born_on: Some(born()),
            record_from: Some(plus(born(), from)),
            ..ScheduleDates::default()
        };
        let today = plus(born(), latest + 20);
        due(std::slice::from_ref(step), dates, &[], today, &Rules::standard()).steps[0].state
    };
    use DueState::{Late, Unknown};
    assert_eq!([latest - 1, latest, latest + 1].map(state), [Late, Late, Unknown]);
}

/// A dose a year apart: due on its day, late from the day after its last one, told by how much.
#[test]
fn a_grown_dog_is_due_from_its_last_dose() {
    let (of_grown, of_pups) = (
        steps_in_force(PlanSubject::Grown, &[], &[], ""),
        steps_in_force(PlanSubject::Pup, &[], &[], ""),
    );
    let step = of_grown.iter().find(|step| step.anchor == StepAnchor::LastDose).unwrap();
    let (ideal, latest) = (i64::from(step.ideal_days), i64::from(step.latest_days));
    let given = |day: i64| GivenEvent {
        id: None,
        kind: step.kind,
        series: Some(step.series.clone()),
        step: None,
        given_on: plus(born(), day),
        by_test: false,
    };
    let dates = ScheduleDates { born_on: Some(born()), ..ScheduleDates::default() };
    let grown_on = Some(plus(born(), 365));
    let doses = |days: &[i64], today: i64| {
        let events: Vec<GivenEvent> = days.iter().map(|day| given(*day)).collect();
        let plans = (of_grown.as_slice(), of_pups.as_slice());
        let today = plus(born(), today);
        let list = due_when_grown(plans, dates, grown_on, &events, today, &Rules::standard());
        list.steps.into_iter().filter(|dose| dose.step == step.key).collect::<Vec<_>>()
    };
    let next = |later: i64| {
        let dose = doses(&[400], 400 + later).pop().unwrap();
        (dose.state, dose.late_days)
    };
    assert_eq!(next(ideal), (DueState::Due, None));
    assert_eq!(next(latest), (DueState::Due, None));
    assert_eq!(next(latest + 1), (DueState::Late, Some(1)));
    // A dose of the day on which it was grown is told, one of the day before is a pup's.
    let told = |day: i64| doses(&[day], 500).iter().filter(|dose| dose.given_on.is_some()).count();
    assert_eq!([364, 365, 366].map(told), [0, 1, 1]);
    assert_eq!(doses(&[500], 499).iter().filter(|dose| dose.given_on.is_some()).count(), 0);
    assert_eq!(doses(&[500], 500).iter().filter(|dose| dose.given_on.is_some()).count(), 1);
    let late = |gap: i64| {
        let all = doses(&[400, 400 + gap], 400 + gap);
        all.iter().rfind(|dose| dose.given_on.is_some()).unwrap().late_days
    };
    assert_eq!([late(latest), late(latest + 1)], [None, Some(1)]);
}

/// What was given late as a pup is no reproach to a grown dog; a dose of the day on which it was is.
#[test]
fn a_grown_dog_is_not_reproached_with_what_it_got_as_a_pup() {
    let of_pups = steps_in_force(PlanSubject::Pup, &[], &[], "");
    let step = of_birth().find(|step| step.latest_days < 300 && step.repeat.is_none()).unwrap();
    let latest = i64::from(step.latest_days);
    let dates = ScheduleDates { born_on: Some(born()), ..ScheduleDates::default() };
    let life = Lifetime { dates, born_by: None };
    let late = |today: i64| {
        let event = GivenEvent {
            id: None,
            kind: step.kind,
            series: Some(step.series.clone()),
            step: Some(step.key.clone()),
            given_on: plus(born(), latest + 5),
            by_test: false,
        };
        let plans = (of_pups.as_slice(), [].as_slice());
        let list = follow(plans, life, &[event], plus(born(), today), &Rules::standard());
        list.steps.into_iter().find(|dose| dose.step == step.key).and_then(|dose| dose.late_days)
    };
    assert_eq!([364, 365, 366].map(late), [Some(5), None, None]);
}

/// Nobody here saw whether a dose of before the record was late; one of its time is told.
#[test]
fn a_late_dose_of_before_the_record_is_no_reproach() {
    let step = of_birth().find(|step| step.latest_days < 300).unwrap();
    let latest = i64::from(step.latest_days);
    let late = |record_from: Option<i64>| {
        let dates = ScheduleDates {
            born_on: Some(born()),
            record_from: record_from.map(|days| plus(born(), days)),
            ..ScheduleDates::default()
        };
        let event = GivenEvent {
            id: None,
            kind: step.kind,
            series: None,
            step: None,
            given_on: plus(born(), latest + 5),
            by_test: false,
        };
        let today = plus(born(), latest + 9);
        let list = due(std::slice::from_ref(step), dates, &[event], today, &Rules::standard());
        (list.steps[0].state, list.steps[0].late_days)
    };
    let done = DueState::Done;
    assert_eq!([late(None), late(Some(latest))], [(done, Some(5)); 2]);
    assert_eq!(late(Some(latest + 1)), (done, None));
}

/// What a pup's plan repeats for life goes on, unless a plan of grown dogs has that kind and series.
#[test]
fn a_plan_of_grown_dogs_stands_in_the_place_of_what_repeats() {
    let of_grown = steps_in_force(PlanSubject::Grown, &[], &[], "");
    let own = of_grown.iter().find(|step| step.anchor == StepAnchor::LastDose).unwrap();
    let other = if own.kind == HealthKind::Test { HealthKind::Worming } else { HealthKind::Test };
    let dates = ScheduleDates { born_on: Some(born()), ..ScheduleDates::default() };
    let both = |kind: HealthKind, series: &str| {
        let key = "of-pups".to_owned();
        let of_pup = PlanStep { key, kind, series: series.to_owned(), ..own.clone() };
        let plans = (std::slice::from_ref(own), std::slice::from_ref(&of_pup));
        let grown_on = Some(plus(born(), 365));
        let today = plus(born(), 500);
        due_when_grown(plans, dates, grown_on, &[], today, &Rules::standard()).steps.len()
    };
    assert_eq!(both(own.kind, &own.series), 1);
    assert_eq!(both(own.kind, "another"), 2);
    assert_eq!(both(other, &own.series), 2);
    assert_eq!(both(other, "another"), 2);
}
