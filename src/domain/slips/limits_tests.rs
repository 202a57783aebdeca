//! The limits from which a slip of the pen is asked about.

use super::*;
use crate::limits_tests::{Limit, at_least, at_most, check, less_than, more_than};
use chrono::Duration;

fn day() -> NaiveDate {
    "2026-03-01".parse().unwrap()
}

fn noon(days: f64) -> DateTime<Utc> {
    day().and_hms_opt(12, 0, 0).unwrap().and_utc()
        + Duration::minutes((days * 1440.0).round() as i64)
}

fn fed(share_of_stomach: f64, age_days: i64, rules: &Rules) -> bool {
    // Four ml for each 100 g: a pup of 250 g holds ten.
    let body = serde_json::json!({
        "dog_id": Uuid::nil(), "fed_at": "2026-05-16T08:00:00Z", "volume_ml": 10.0 * share_of_stomach
    });
    !feed(&serde_json::from_value(body).unwrap(), Some(250.0), Some(age_days), rules).is_empty()
}

fn progesterone(days: f64, value: f64) -> HeatReading {
    HeatReading {
        heat_id: Uuid::nil(),
        kind: ReadingKind::Progesterone,
        taken_at: noon(days),
        value: Some(value),
        unit: Some(ReadingUnit::NgPerMl),
        finding: None,
        note: None,
        confirmed: false,
    }
}

/// A reading on a day of the heat after one of ten, so many days before it.
fn falls(value: f64, on: f64, after_days: f64, rules: &Rules) -> bool {
    let new = progesterone(on, value);
    let before = [progesterone(on - after_days, 10.0)];
    !reading(&new, new.taken_at.date_naive(), day(), &before, rules).is_empty()
}

fn apart(days: f64) -> NaiveDate {
    day() + Duration::days(days as i64)
}

pub(crate) const LIMITS: &[Limit] = &[
    more_than("slips.feed_share_of_stomach", "above this share", 0.01, |share, r| fed(share, 3, r)),
    at_most("slips.feed_until_days", "age up to which", 1.0, |d, r| fed(2.0, d as i64, r)),
    more_than("slips.progesterone_most_ng_per_ml", "above this", 0.1, |ng, r| {
        let new = progesterone(12.0, ng);
        !reading(&new, new.taken_at.date_naive(), day(), &[], r).is_empty()
    }),
    less_than("slips.progesterone_fall_share", "below this share", 0.01, |share, r| {
        falls(10.0 * share, 12.0, 2.0, r)
    }),
    at_most(
        "slips.progesterone_fall_within_days",
        "at most this long ago",
        1.0 / 1440.0,
        |d, r| falls(1.0, 20.0, d, r),
    ),
    at_most("slips.progesterone_stands_days", "days from the beginning", 1.0, |d, r| {
        falls(1.0, d, 2.0, r)
    }),
    less_than("slips.heat_least_days", "begins sooner", 1.0, |d, r| {
        !heat(apart(d), &[day()], r).is_empty()
    }),
    more_than("slips.birth_days_apart", "further from", 1.0, |d, r| {
        !birth_day(apart(d), Some(day()), r).is_empty()
    }),
    more_than("slips.birth_days_apart", "the day of whelping", 1.0, |d, r| {
        !birth_day(apart(-d), Some(day()), r).is_empty()
    }),
    at_least("cycle.lh_ng_per_ml", "at the LH surge", 0.1, |ng, r| {
        // Below that level there is no rise to fall from.
        let new = progesterone(12.0, 0.1);
        let before = [progesterone(10.0, ng)];
        !reading(&new, new.taken_at.date_naive(), day(), &before, r).is_empty()
    }),
];

#[test]
fn each_limit_of_slips_on_it_before_and_after() {
    check(LIMITS);
}
