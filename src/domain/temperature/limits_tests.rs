//! The limits of the dam's temperature before the birth.

use super::*;
use crate::limits_tests::{Limit, MINUTE, at_least, at_most, check, less_than, minutes, more_than};

fn at(hours: f64) -> DateTime<Utc> {
    let begins: DateTime<Utc> = "2024-03-01T08:00:00Z".parse().unwrap();
    begins + Duration::minutes(minutes(hours))
}

fn assess(
    readings: &[(f64, f64)],
    now: f64,
    rules: &Rules,
) -> Result<TemperatureAssessment, Vec<Fault>> {
    let reading = |(hours, temperature_c): &(f64, f64)| TemperatureReading {
        taken_at: at(*hours),
        temperature_c: *temperature_c,
    };
    let readings: Vec<_> = readings.iter().map(reading).collect();
    assess_temperature(&readings, at(now), rules)
}

/// Readings twice a day from a value on that does not vary, then others.
fn after_usual(usual: f64, more: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let before = (0..7).map(|n| (12.0 * f64::from(n), usual));
    before.chain(more.iter().copied()).collect()
}

fn state(readings: &[(f64, f64)], rules: &Rules) -> TemperatureState {
    let now = readings.iter().map(|(hours, _)| *hours).fold(0.0, f64::max);
    assess(readings, now, rules).unwrap().state
}

fn fell(readings: &[(f64, f64)], rules: &Rules) -> bool {
    state(readings, rules) == TemperatureState::PossibleFall
}

fn said(readings: &[(f64, f64)], now: f64, code: CautionCode, rules: &Rules) -> bool {
    assess(readings, now, rules).unwrap().cautions.iter().any(|caution| caution.code == code)
}

pub(crate) const LIMITS: &[Limit] = &[
    // Of a dam whose readings nobody knows.
    at_most("temperature.alert_c", "at or under this", 0.1, |t, r| fell(&[(0.0, t)], r)),
    at_most("temperature.fall_c", "at or under this", 0.1, |t, r| {
        fell(&after_usual(38.5, &[(84.0, t)]), r)
    }),
    at_least("temperature.least_fall_c", "least fall", 0.01, |fall, r| {
        // From 37.9 to the 37.4 that lies under the limit of all dams.
        fell(&after_usual(37.9, &[(84.0, ((37.9 - fall) * 100.0).round() / 100.0)]), r)
    }),
    at_least("temperature.least_readings", "least readings", 1.0, |count, r| {
        let readings: Vec<_> = (0..count as i32).map(|n| (12.0 * f64::from(n), 38.1)).collect();
        state(&readings, r) == TemperatureState::Steady
    }),
    more_than("temperature.missed_after_hours", "longer without a reading", MINUTE, |h, r| {
        said(&[(0.0, 38.1)], h, CautionCode::TemperatureUntaken, r)
    }),
    at_most("temperature.confirm_within_hours", "within this time", MINUTE, |h, r| {
        let readings = after_usual(38.1, &[(84.0, 37.0), (84.0 + h, 37.0)]);
        state(&readings, r) == TemperatureState::Fall
    }),
    at_most("temperature.repeat_after_hours", "taken again after this", MINUTE, |h, r| {
        // A usual reading up to two hours later still tells a slip.
        let readings = after_usual(38.1, &[(84.0, 37.0), (84.0 + h + 2.0, 38.1)]);
        state(&readings, r) == TemperatureState::Steady
    }),
    at_most("temperature.baseline_days", "readings of so many days", 1.0 / 1440.0, |days, r| {
        // Four readings make a baseline; the first of them lies so many days before the last one.
        let last = days * 24.0;
        let readings = [(0.0, 38.1), (12.0, 38.1), (24.0, 38.1), (36.0, 38.1), (last, 37.4)];
        fell(&readings, r)
    }),
    at_least("temperature.baseline_skip_hours", "left out of the baseline", MINUTE, |h, r| {
        // The fifth reading turns the middle, once it lies so long before the last one.
        let last = 36.0 + h;
        let readings =
            [(0.0, 38.2), (12.0, 38.2), (24.0, 37.9), (30.0, 37.9), (36.0, 37.9), (last, 38.2)];
        let usual = assess(&readings, last, r).unwrap().baseline_c.unwrap();
        (usual - 37.9).abs() < 1e-9
    }),
    at_least("temperature.fever_c", "at or over this", 0.1, |t, r| {
        said(&[(0.0, t)], 0.0, CautionCode::FeverBeforeBirth, r)
    }),
    at_most("dam_after_birth.sign_hours", "a temperature of the dam", MINUTE, |h, r| {
        said(&[(0.0, 40.5), (h, 38.1)], h, CautionCode::FeverBeforeBirth, r)
    }),
    less_than("temperature.lowest_c", "under this", 0.1, |t, r| {
        assess(&[(0.0, t)], 0.0, r).is_err()
    }),
    more_than("temperature.highest_c", "over this", 0.1, |t, r| {
        assess(&[(0.0, t)], 0.0, r).is_err()
    }),
];

#[test]
fn each_limit_of_her_temperature_on_it_before_and_after() {
    check(LIMITS);
}

#[test]
fn a_reading_of_now_counts_and_none_of_later() {
    let rules = Rules::standard();
    let faults =
        |hours: f64| assess(&[(hours, 38.0)], 10.0, &rules).err().map(|f| f[0].pointer.clone());
    assert_eq!([10.0 - MINUTE, 10.0].map(faults), [None, None]);
    assert_eq!(faults(10.0 + MINUTE).as_deref(), Some("/readings/0/taken_at"));
}
