//! Up to which age a pup is fed as often as one with nothing in store.

use super::*;
use crate::limits_tests::{Limit, check, less_than};
use crate::rules::Rules;
use chrono::{DateTime, Duration, Utc};

/// Whether a weak pup of an age in days is fed at least every two hours.
fn often(days: f64, rules: &Rules) -> bool {
    let now: DateTime<Utc> = "2026-03-20T12:00:00Z".parse().unwrap();
    let pup = HandFedPup {
        weight_g: 900.0,
        born_at: now - Duration::days(days as i64),
        started_at: None,
        replacer_kcal_per_ml: Some(1.0),
        share: 1.0,
        temperature_c: Some(37.5),
        adult_weight_g: Some(28_000.0),
        weak: true,
    };
    pup_ration(&pup, now, rules).unwrap().interval_hours <= 2.0
}

pub(crate) const LIMITS: &[Limit] =
    &[less_than("feeding.early_days", "younger than this", 1.0, often)];

#[test]
fn each_limit_of_the_first_weeks_on_it_before_and_after() {
    check(LIMITS);
}
