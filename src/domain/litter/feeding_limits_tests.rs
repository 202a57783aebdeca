//! Until when a dam is at a stage, and how fresh a temperature must be.

use super::feeding::tells_of_now;
use crate::{
    feeding::DamStage,
    limits_tests::{Limit, MINUTE, at_most, check, less_than, minutes},
    moment::Moment,
    rules::Rules,
};
use chrono::Duration;

fn tells(hours: f64, rules: &Rules) -> bool {
    let now = "2026-03-01T12:00:00Z".parse().unwrap();
    let moment =
        Moment { rules: rules.clone(), ..Moment::by_standard_rules(now, chrono_tz::Tz::UTC) };
    tells_of_now(now - Duration::minutes(minutes(hours)), &moment)
}

pub(crate) const LIMITS: &[Limit] = &[
    at_most("feeding.nursed_days", "up to this many days", 1.0, |day, r| {
        DamStage::Lactating { day: day as i64, pups: 5 }.is_of_now(r)
    }),
    at_most("feeding.carried_days", "up to this day", 1.0, |day, r| {
        DamStage::Pregnant { day: day as i64 }.is_of_now(r)
    }),
    less_than("feeding.temperature_recent_hours", "younger than this", MINUTE, tells),
];

#[test]
fn each_limit_of_the_stages_on_it_before_and_after() {
    check(LIMITS);
}

#[test]
fn a_dam_without_pups_nurses_none_and_no_stage_lies_ahead() {
    let rules = Rules::standard();
    assert!(!DamStage::Lactating { day: 3, pups: 0 }.is_of_now(&rules));
    assert!(!DamStage::Lactating { day: -1, pups: 5 }.is_of_now(&rules));
    assert!(!DamStage::Pregnant { day: -1 }.is_of_now(&rules));
    assert!(DamStage::Pregnant { day: 0 }.is_of_now(&rules));
}
