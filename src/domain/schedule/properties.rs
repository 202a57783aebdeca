//! What holds for any events and any day.

use super::*;
use crate::rules::Rules;
use chrono::NaiveDate;
use proptest::prelude::*;

fn born() -> NaiveDate {
    "2026-01-01".parse().unwrap()
}

fn dates(shift: i64, weaned: Option<i64>) -> ScheduleDates {
    let born = plus(born(), shift);
    ScheduleDates {
        born_on: Some(born),
        mated_on: Some(plus(born, -63)),
        whelped_on: Some(born),
        weaned_on: weaned.map(|age| plus(born, age)),
        record_from: None,
    }
}

fn laid_out(shift: i64, weaned: Option<i64>, ages: &[(bool, i64)], today: i64) -> DueList {
    let steps = steps_in_force(PlanSubject::Pup, &[], &[], "");
    let base = plus(born(), shift);
    let events: Vec<GivenEvent> = ages
        .iter()
        .map(|(wormer, age)| GivenEvent {
            id: None,
            kind: if *wormer { HealthKind::Worming } else { HealthKind::Vaccination },
            series: None,
            step: None,
            given_on: plus(base, *age),
            by_test: false,
        })
        .collect();
    due(&steps, dates(shift, weaned), &events, plus(base, today), &Rules::standard())
}

fn events() -> impl Strategy<Value = Vec<(bool, i64)>> {
    prop::collection::vec((any::<bool>(), 0i64..400), 0..25)
}

proptest! {
    #[test]
    fn windows_are_in_order_and_states_follow_from_them(
        events in events(), weaned in prop::option::of(35i64..70), today in 0i64..500,
    ) {
        let list = laid_out(0, weaned, &events, today);
        let now = plus(born(), today);
        for step in &list.steps {
            let (earliest, ideal, latest) =
                (step.earliest_on.unwrap(), step.ideal_on.unwrap(), step.latest_on.unwrap());
            prop_assert!(earliest <= ideal && ideal <= latest);
            match step.state {
                DueState::Done => {
                    let on = step.given_on.unwrap();
                    prop_assert!(on >= earliest && on <= now);
                    let late = (on - latest).num_days();
                    prop_assert_eq!(step.late_days, (late > 0).then_some(late));
                }
                DueState::Late => prop_assert!(now > latest),
                DueState::Due => prop_assert!(ideal <= now && now <= latest),
                DueState::Upcoming => prop_assert!(earliest <= now && now < ideal),
                DueState::TooEarly => prop_assert!(now < earliest),
                DueState::Unknown => prop_assert!(false, "all dates are known"),
            }
        }
        prop_assert_eq!(list.not_counted.len(), list.cautions.len());
    }

    #[test]
    fn counted_doses_keep_their_distance(events in events(), today in 0i64..500) {
        let list = laid_out(0, Some(49), &events, today);
        let spacing = |key: &str| {
            let steps = steps_in_force(PlanSubject::Pup, &[], &[], "");
            let step = steps.into_iter().find(|step| step.key == key).unwrap();
            i64::from(step.min_spacing_days)
        };
        for kind in [HealthKind::Worming, HealthKind::Vaccination] {
            let mut given: Vec<(NaiveDate, &str)> = list
                .steps
                .iter()
                .filter(|step| step.kind == kind)
                .filter_map(|step| step.given_on.map(|on| (on, step.step.as_str())))
                .collect();
            given.sort();
            // A dose that counts for two steps stands twice.
            given.dedup_by_key(|(on, _)| *on);
            for pair in given.windows(2) {
                prop_assert!((pair[1].0 - pair[0].0).num_days() >= spacing(pair[1].1));
            }
        }
    }

    #[test]
    fn a_plan_moves_with_the_birth_day(
        events in events(), shift in -2000i64..2000, today in 0i64..500,
    ) {
        let here = laid_out(0, Some(49), &events, today);
        let there = laid_out(shift, Some(49), &events, today);
        let moved = |on: Option<NaiveDate>| on.map(|on| plus(on, shift));
        prop_assert_eq!(here.steps.len(), there.steps.len());
        for (a, b) in here.steps.iter().zip(&there.steps) {
            prop_assert_eq!((&a.step, a.state, a.late_days), (&b.step, b.state, b.late_days));
            prop_assert_eq!(moved(a.ideal_on), b.ideal_on);
        }
    }

    #[test]
    fn the_order_in_which_events_are_told_is_of_no_matter(
        events in events(), today in 0i64..500,
    ) {
        let mut turned = events.clone();
        turned.reverse();
        prop_assert_eq!(
            laid_out(0, None, &events, today).steps,
            laid_out(0, None, &turned, today).steps
        );
    }
}
