//! Which weighing stands for which age.

use super::*;
use crate::{
    growth::tests::{litter, pup},
    limits_tests::{Limit, MINUTE, at_most, check, minutes},
    rules::Rules,
};
use chrono::Duration;

/// The figures of a pup with weights at hours of age.
fn figures(weights: &[(f64, f64)], rules: &Rules) -> PupGrowth {
    let mut known = pup(1, &[]);
    known.weighings = weights
        .iter()
        .map(|(hours, weight_g)| Weighing {
            id: None,
            measured_at: known.born_at + Duration::minutes(minutes(*hours)),
            weight_g: *weight_g,
            doubtful: false,
        })
        .collect();
    let now = known.born_at + Duration::days(9);
    litter_growth(&litter(vec![known]), now, rules).pups.remove(0)
}

pub(crate) const LIMITS: &[Limit] = &[
    at_most("growth.first_weighing_hours", "up to this age", MINUTE, |hours, r| {
        figures(&[(hours, 400.0)], r).birth_weight_g.is_some()
    }),
    at_most("growth.early_growth_within_hours", "at most this far", MINUTE, |hours, r| {
        figures(&[(0.0, 400.0), (48.0 + hours, 440.0)], r).early_growth_fraction.is_some()
    }),
    at_most("growth.early_growth_within_hours", "from its day", MINUTE, |hours, r| {
        figures(&[(0.0, 400.0), (48.0 - hours, 440.0)], r).early_growth_fraction.is_some()
    }),
];

#[test]
fn each_limit_of_the_hours_on_it_before_and_after() {
    check(LIMITS);
}
