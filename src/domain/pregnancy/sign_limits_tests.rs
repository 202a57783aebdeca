//! How old a sign of now may be.

use super::signs_since;
use crate::{
    limits_tests::{Limit, at_most, check},
    moment::Moment,
    rules::Rules,
};
use chrono::Duration;

fn is_of_now(days: f64, rules: &Rules) -> bool {
    let now = "2026-03-01T12:00:00Z".parse().unwrap();
    let moment =
        Moment { rules: rules.clone(), ..Moment::by_standard_rules(now, chrono_tz::Tz::UTC) };
    now - Duration::minutes((days * 1440.0).round() as i64) >= signs_since(&moment)
}

pub(crate) const LIMITS: &[Limit] =
    &[at_most("dating.sign_days", "at most this old", 1.0 / 1440.0, is_of_now)];

#[test]
fn each_limit_of_signs_on_it_before_and_after() {
    check(LIMITS);
}
