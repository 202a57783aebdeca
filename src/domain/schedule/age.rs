//! Ages on the kennel's calendar.

use crate::rules::Rules;
use chrono::{NaiveDate, TimeDelta};

/// Completed days of age; `None` before birth.
pub(crate) fn completed_days(born_on: NaiveDate, on: NaiveDate) -> Option<i64> {
    let days = (on - born_on).num_days();
    (days >= 0).then_some(days)
}

/// Completed weeks of age; `None` before birth.
///
/// The eighth week is completed on the 56th day after the day of birth. Calendar days are counted,
/// so a change of the clock adds or takes no day.
pub(crate) fn completed_weeks(born_on: NaiveDate, on: NaiveDate) -> Option<i64> {
    completed_days(born_on, on).map(|days| days / 7)
}

/// `days` after `day`, which stays within the calendar.
pub(crate) fn plus(day: NaiveDate, days: i64) -> NaiveDate {
    let edge = if days < 0 { NaiveDate::MIN } else { NaiveDate::MAX };
    TimeDelta::try_days(days).and_then(|delta| day.checked_add_signed(delta)).unwrap_or(edge)
}

/// The value of a rule whose unit is days, as whole days.
pub(crate) fn rule_days(rules: &Rules, key: &'static str) -> i64 {
    // Any test that asks for a rule in other units finds it.
    #[cfg(test)]
    assert_eq!(rules.get(key).unit, "days", "{key}");
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
    fn far_days_stay_within_the_calendar() {
        assert_eq!(plus(day("2026-01-01"), i64::MAX), NaiveDate::MAX);
        assert_eq!(plus(day("2026-01-01"), -1), day("2025-12-31"));
    }
}
