//! The limits of a forecast of pups.

use super::*;
use crate::limits_tests::{Limit, at_least, at_most, check};

/// The chance of at most five pups when a radiograph on a day counted as many.
fn counted(day: f64, rules: &Rules) -> f64 {
    let count = PupCount {
        method: PupCountMethod::Xray,
        count_at_least: Some(5),
        count_at_most: Some(5),
        day_of_pregnancy: Some(day as i64),
    };
    let input = ExpectedPupsInput { counts: vec![count], ..ExpectedPupsInput::default() };
    expected_pups(&input, rules).unwrap().chance_at_most(5)
}

pub(crate) const LIMITS: &[Limit] = &[
    at_least("expected_pups.xray_count_day", "from this day", 1.0, |day, r| counted(day, r) > 0.9),
    at_most("expected_pups.most", "largest litter", 1.0, |pups, r| {
        let earlier_litters = vec![pups as u32];
        let input = ExpectedPupsInput { earlier_litters, ..ExpectedPupsInput::default() };
        expected_pups(&input, r).is_ok()
    }),
    at_most("dating.small_litter_pups", "largest litter that counts", 1.0, |pups, r| {
        let mut forecast = expected_pups(&ExpectedPupsInput::default(), r).unwrap();
        forecast.chance_by_count.retain(|count| count.pups == pups as u32);
        forecast.chance_small_litter(r) > 0.0
    }),
];

#[test]
fn each_limit_of_a_forecast_on_it_before_and_after() {
    check(LIMITS);
}
