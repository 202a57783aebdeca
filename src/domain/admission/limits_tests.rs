//! The limits from which something is refused beside what is there.

use super::Refusal;
use crate::{
    limits_tests::{Limit, MINUTE, at_most, check, minutes},
    record::{Birth, Role},
    rules::Rules,
};
use chrono::{DateTime, Duration, Utc};

fn born_at() -> DateTime<Utc> {
    "2026-05-15T04:10:00Z".parse().unwrap()
}

/// Whether somebody may take a birth back so many hours after it.
fn taken_back(by: Role, hours: f64, rules: &Rules) -> bool {
    let body = serde_json::json!({ "born_at": born_at(), "outcome": "alive" });
    let birth: Birth = serde_json::from_value(body).unwrap();
    let now = born_at() + Duration::minutes(minutes(hours));
    match birth.admit_removal(by, now, rules) {
        Ok(()) => true,
        Err(Refusal::Forbidden(_)) => false,
        Err(other) => panic!("{other:?}"),
    }
}

pub(crate) const LIMITS: &[Limit] =
    &[at_most("whelping.helper_removes_hours", "at most this old", MINUTE, |hours, r| {
        taken_back(Role::Helper, hours, r)
    })];

#[test]
fn each_limit_of_admission_on_it_before_and_after() {
    check(LIMITS);
}

#[test]
fn others_than_helpers_take_a_birth_back_later() {
    let rules = Rules::standard();
    for role in [Role::Owner, Role::CoOwner] {
        assert!(taken_back(role, 1_000.0, &rules), "{role:?}");
    }
}
