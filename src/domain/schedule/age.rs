//! Ages on the kennel's calendar.

use crate::rules::Rules;
use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use chrono_tz::Tz;

/// The kennel's calendar day at a moment.
///
/// A pup born at 23:30 in Sydney is a day older than one dated by the same moment in UTC.
pub fn kennel_day(at: DateTime<Utc>, zone: Tz) -> NaiveDate {
    at.with_timezone(&zone).date_naive()
}

/// Completed days of age; `None` before birth.
pub fn completed_days(born_on: NaiveDate, on: NaiveDate) -> Option<i64> {
    let days = (on - born_on).num_days();
    (days >= 0).then_some(days)
}

/// Completed weeks of age; `None` before birth.
///
/// The eighth week is completed on the 56th day after the day of birth. Calendar days are counted,
/// so a change of the clock adds or takes no day.
pub fn completed_weeks(born_on: NaiveDate, on: NaiveDate) -> Option<i64> {
    completed_days(born_on, on).map(|days| days / 7)
}

/// `days` after `day`, which stays within the calendar.
pub fn plus(day: NaiveDate, days: i64) -> NaiveDate {
    let edge = if days < 0 { NaiveDate::MIN } else { NaiveDate::MAX };
    TimeDelta::try_days(days).and_then(|delta| day.checked_add_signed(delta)).unwrap_or(edge)
}

/// The value of a rule whose unit is days, as whole days.
pub fn rule_days(rules: &Rules, key: &'static str) -> i64 {
    debug_assert_eq!(rules.get(key).unit, "days");
    #[expect(clippy::cast_possible_truncation, reason = "rounded, and bounded by the rule's max")]
    let days = rules.value(key).round() as i64;
    days
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn eight_weeks_are_complete_on_day_56() {
        let born = day("2026-01-01");
        assert_eq!(completed_weeks(born, day("2026-02-25")), Some(7)); // day 55
        assert_eq!(completed_weeks(born, day("2026-02-26")), Some(8)); // day 56
        assert_eq!(completed_weeks(born, born), Some(0));
        assert_eq!(completed_weeks(born, day("2025-12-31")), None);
    }

    #[test]
    fn a_clock_change_adds_no_day() {
        // Berlin sets the clock forward on 2026-03-29: 23 hours lie between these two midnights.
        let zone = chrono_tz::Europe::Berlin;
        let before = kennel_day("2026-03-28T23:00:00Z".parse().unwrap(), zone);
        let after = kennel_day("2026-03-29T22:00:00Z".parse().unwrap(), zone);
        assert_eq!((before, after), (day("2026-03-29"), day("2026-03-30")));
        assert_eq!(completed_days(before, after), Some(1));
    }

    #[test]
    fn the_day_is_the_kennels_own() {
        let at = "2026-03-01T13:30:00Z".parse().unwrap();
        assert_eq!(kennel_day(at, chrono_tz::Australia::Sydney), day("2026-03-02"));
        assert_eq!(kennel_day(at, chrono_tz::America::Los_Angeles), day("2026-03-01"));
    }

    #[test]
    fn far_days_stay_within_the_calendar() {
        assert_eq!(plus(day("2026-01-01"), i64::MAX), NaiveDate::MAX);
        assert_eq!(plus(day("2026-01-01"), -1), day("2025-12-31"));
    }
}
