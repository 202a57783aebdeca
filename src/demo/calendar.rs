//! Days and times counted back from now, on the kennel's own clock.

use chrono::{DateTime, Days, Duration, Months, NaiveDate, TimeZone as _, Utc};
use chrono_tz::Tz;

/// The kennel's calendar as of now: day 0 is today, day 7 a week ago.
#[derive(Debug, Clone, Copy)]
pub struct Calendar {
    now: DateTime<Utc>,
    zone: Tz,
}

impl Calendar {
    /// The calendar of a kennel in `zone`.
    pub fn new(now: DateTime<Utc>, zone: Tz) -> Self {
        Self { now, zone }
    }

    /// Now.
    pub fn now(&self) -> DateTime<Utc> {
        self.now
    }

    /// The day `days` before today; after today when negative.
    pub fn day(&self, days: i64) -> NaiveDate {
        self.now.with_timezone(&self.zone).date_naive() - Duration::days(days)
    }

    /// The day `months` before today.
    pub(crate) fn months_ago(&self, months: u32) -> NaiveDate {
        let today = self.day(0);
        today.checked_sub_months(Months::new(months)).unwrap_or(today)
    }

    /// The time on the kennel's clock, `days` before today.
    pub fn at(&self, days: i64, hour: u32, minute: u32) -> DateTime<Utc> {
        let day = self.day(days);
        let local = day.and_hms_opt(hour, minute, 0).unwrap_or_default();
        // An hour that the clock leaps over in spring is the next one.
        let after = local + Duration::hours(1);
        self.zone
            .from_local_datetime(&local)
            .earliest()
            .or_else(|| self.zone.from_local_datetime(&after).earliest())
            .map_or_else(|| local.and_utc(), |time| time.with_timezone(&Utc))
    }

    /// Whether this has happened.
    pub(crate) fn has_passed(&self, time: DateTime<Utc>) -> bool {
        time <= self.now
    }

    /// `days` after `day`.
    pub fn later(day: NaiveDate, days: u64) -> NaiveDate {
        day.checked_add_days(Days::new(days)).unwrap_or(day)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn calendar(now: &str) -> Calendar {
        Calendar::new(now.parse().unwrap(), Tz::Europe__Berlin)
    }

    #[test]
    fn counts_days_where_the_kennel_is() {
        // Half past midnight in Berlin, still the day before in UTC.
        let calendar = calendar("2026-06-30T22:30:00Z");
        assert_eq!(calendar.day(0).to_string(), "2026-07-01");
        assert_eq!(calendar.day(7).to_string(), "2026-06-24");
        assert_eq!(calendar.at(0, 8, 0).to_rfc3339(), "2026-07-01T06:00:00+00:00");
        assert!(!calendar.has_passed(calendar.at(0, 8, 0)));
    }

    #[test]
    fn leaps_over_the_hour_that_is_not_there() {
        let calendar = calendar("2026-03-29T12:00:00Z");
        assert_eq!(calendar.at(0, 2, 30).to_rfc3339(), "2026-03-29T01:30:00+00:00");
    }
}
