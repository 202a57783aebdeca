//! How long a dam is watched.

use super::*;
use crate::limits_tests::{Limit, at_most, check};
use chrono::Duration;

fn watched(days: f64, rules: &Rules) -> bool {
    let last_pup_at: DateTime<Utc> = "2026-03-01T00:00:00Z".parse().unwrap();
    let dam = DamAfterBirth {
        last_pup_at,
        pups: 0,
        first_litter: None,
        placentas_missing: None,
        observations: Vec::new(),
    };
    dam.is_watched(last_pup_at + Duration::minutes((days * 1440.0).round() as i64), rules)
}

pub(crate) const LIMITS: &[Limit] =
    &[at_most("dam_after_birth.watched_days", "up to this many days", 1.0 / 1440.0, watched)];

#[test]
fn each_limit_of_the_watch_on_it_before_and_after() {
    check(LIMITS);
}
