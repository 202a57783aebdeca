//! How long a planned mating stays a plan.

use super::records::timing_of;
use crate::{
    limits_tests::{Limit, at_most, check},
    pregnancy::KennelTime,
    record::{Kept, Mating},
    rules::Rules,
};
use chrono::{DateTime, Duration, Utc};
use uuid::Uuid;

/// Whether a mating planned for a day is still planned so many days after it.
fn kept(days: f64, rules: &Rules) -> bool {
    let now: DateTime<Utc> = "2026-05-01T12:00:00Z".parse().unwrap();
    let planned_on = now.date_naive() - Duration::days(days as i64);
    let body = serde_json::json!({
        "dam_id": Uuid::from_u128(1), "sire_id": Uuid::from_u128(2), "status": "planned",
        "planned_on": planned_on,
    });
    let record: Mating = serde_json::from_value(body).unwrap();
    let mating = Kept { id: Uuid::nil(), version: 1, created_at: now, updated_at: now, record };
    let time = KennelTime { now, tz: chrono_tz::Tz::UTC };
    timing_of(&mating, &[], time, rules).is_some()
}

pub(crate) const LIMITS: &[Limit] =
    &[at_most("planner.plan_kept_days", "up to this many days", 1.0, kept)];

#[test]
fn each_limit_of_plans_on_it_before_and_after() {
    check(LIMITS);
}
