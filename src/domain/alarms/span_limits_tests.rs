//! How long something is said of a pup.

use super::limits_tests::{by_hand, multiplied, of_scale, said, scaled};
use crate::{
    advice::CautionCode::GrowthNotDoubled,
    limits_tests::{Limit, MINUTE, at_most, check},
    rules::Rules,
};

/// A pup that had not doubled its weight at 13 days, looked at so many hours later.
fn not_doubled(hours: f64, rules: &Rules) -> bool {
    let day = 13.0 * 24.0;
    let pup = scaled(&[(0.0, 400.0), (day, 700.0)], day, rules);
    said(&of_scale(&pup, day + hours, rules), GrowthNotDoubled).is_some()
}

pub(crate) const LIMITS: &[Limit] = &[
    at_most("growth.multiple_fresh_hours", "at most this old", MINUTE, not_doubled),
    at_most("growth.tripled_told_days", "up to this many days", 1.0 / 1440.0, |days, r| {
        multiplied(2.9, 21.0 + days, r)
    }),
    at_most("feeding.by_hand_until_hours", "until this long after", MINUTE, |hours, r| {
        by_hand(4, 40.0 + hours, r).is_some()
    }),
];

#[test]
fn each_limit_of_spans_on_it_before_and_after() {
    check(LIMITS);
}
