//! The limits of a heat: levels of progesterone, days, and intervals that are one cycle.

use super::coming_heats::{HeatHistory, forecast_heats};
use super::womb_watch::{WombSign, WombSignSeen, WombWatch, womb_caution, womb_watch};
use super::*;
use crate::limits_tests::{Limit, at_least, at_most, check, less_than, more_than};
use chrono::Duration;

fn began() -> NaiveDate {
    "2024-01-01".parse().unwrap()
}

fn sample(day: f64, value: f64) -> CycleReading {
    let taken_at =
        began().and_hms_opt(12, 0, 0).unwrap() + Duration::minutes((day * 1440.0).round() as i64);
    CycleReading::Progesterone { taken_at, value, unit: ProgesteroneUnit::NgPerMl }
}

fn read(readings: &[CycleReading], rules: &Rules) -> HeatTiming {
    read_heat(began(), readings, began() + Duration::days(37), rules).unwrap()
}

/// Why the next test is to be taken, after one sample.
fn next_test(ng_per_ml: f64, rules: &Rules) -> Option<String> {
    read(&[sample(9.0, ng_per_ml)], rules).next_test.map(|next| next.why.to_string())
}

/// Whether a sample is the first sharp rise from a baseline.
fn rises(baseline: f64, value: f64, rules: &Rules) -> bool {
    read(&[sample(7.0, baseline), sample(9.0, value)], rules).progesterone_rise_on.is_some()
}

fn used(days: f64, rules: &Rules) -> bool {
    let heats = vec![began(), began() + Duration::days(days as i64)];
    let history = HeatHistory { heats, pregnant_since: false, born_on: None };
    let today = began() + Duration::days(days as i64);
    !forecast_heats(&history, 1, today, rules).unwrap().own_intervals_days.is_empty()
}

/// The watch for an infected womb so many days after a heat began, with a sign seen days ago.
fn watched(after: i64, sign_ago: i64, rules: &Rules) -> WombWatch {
    let today = began() + Duration::days(after);
    let seen_on = today - Duration::days(sign_ago);
    let seen = vec![WombSignSeen { seen_on, sign: WombSign::DrinksMore }];
    womb_watch(began(), seen, today, rules)
}

pub(crate) const LIMITS: &[Limit] = &[
    at_least("cycle.womb_watch_from_days", "from which", 1.0, |days, r| {
        watched(days as i64, 0, r).is_open
    }),
    at_most("cycle.womb_watch_to_days", "at most", 1.0, |days, r| {
        watched(days as i64, 0, r).is_open
    }),
    at_most("cycle.womb_sign_days", "at most", 1.0, |days, r| {
        womb_caution(&watched(80, days as i64, r), began(), began() + Duration::days(80), r)
            .is_some()
    }),
    less_than("cycle.before_surge_ng_per_ml", "under this", 0.1, |ng, r| {
        next_test(ng, r).is_some_and(|why| why.contains("still before"))
    }),
    less_than("cycle.lh_ng_per_ml", "at the LH surge", 0.1, |ng, r| {
        next_test(ng, r)
            .is_some_and(|why| why.contains("near the LH surge") || why.contains("still"))
    }),
    less_than("cycle.ovulation_ng_per_ml", "on the day of ovulation", 0.1, |ng, r| {
        next_test(ng, r).is_some_and(|why| !why.contains("one sample alone"))
    }),
    more_than("cycle.after_ovulation_ng_per_ml", "above this", 0.1, |ng, r| {
        next_test(ng, r).is_none()
    }),
    at_least("cycle.rise_ng_per_ml", "least progesterone", 0.1, |ng, r| rises(0.3, ng, r)),
    at_least("cycle.rise_ratio", "least ratio", 0.01, |ratio, r| rises(1.0, ratio, r)),
    at_most("cycle.test_interval_low_days", "next test", 1.0 / 1440.0, |days, r| {
        // A rise is dated only between samples as close as tests are advised.
        let readings = [sample(5.0, 0.5), sample(5.0 + days, 2.5)];
        let today = began() + Duration::days(30);
        let evidence = dating_evidence(began(), &readings, today, r).unwrap();
        evidence
            .iter()
            .any(|one| matches!(one, crate::dating::DatingEvidence::ProgesteroneRise { .. }))
    }),
    at_most("cycle.heat_longest_days", "later than this", 1.0, |days, r| {
        let today = began() + Duration::days(80);
        read_heat(began(), &[sample(days, 1.0)], today, r).is_ok()
    }),
    at_least("cycle.interval_shortest_days", "a shorter interval", 1.0, used),
    at_most("cycle.interval_longest_days", "in a longer interval", 1.0, used),
];

#[test]
fn each_limit_of_a_heat_on_it_before_and_after() {
    check(LIMITS);
}

/// A sample on a level is at it, however it was written down: no logarithm takes it back.
#[test]
fn a_sample_on_a_level_is_at_it() {
    let rules = Rules::standard();
    for ng in [5.0, 5.1, 6.0] {
        assert!(next_test(ng, &rules).unwrap().contains("one sample alone"), "{ng}");
    }
    assert!(next_test(10.0, &rules).is_some(), "above it is after ovulation, on it is not");
}
