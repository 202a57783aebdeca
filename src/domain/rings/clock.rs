//! Times of day by the kennel's clock.

use chrono::{DateTime, Duration, NaiveDate, NaiveTime, TimeZone as _, Utc};
use chrono_tz::Tz;

/// A time of day as it is written (`06:30`); `None` for what is none.
pub fn time_of_day(text: &str) -> Option<NaiveTime> {
    NaiveTime::parse_from_str(text, "%H:%M").ok()
}

/// When clocks show this time on a day.
///
/// Of two such moments it is the first; where clocks go forward over that time, an hour later is the first
/// after it.
pub fn shown_on(day: NaiveDate, time: NaiveTime, zone: Tz) -> Option<DateTime<Utc>> {
    let local = day.and_time(time);
    let found = zone.from_local_datetime(&local).earliest();
    let found =
        found.or_else(|| zone.from_local_datetime(&(local + Duration::hours(1))).earliest());
    found.map(|at| at.with_timezone(&Utc))
}

/// The first moment after `now` at which clocks show this time; `None` for what is no time of day.
pub fn next_time(time: &str, now: DateTime<Utc>, zone: Tz) -> Option<DateTime<Utc>> {
    let time = time_of_day(time)?;
    let days = now.with_timezone(&zone).date_naive().iter_days().take(3);
    days.filter_map(|day| shown_on(day, time, zone)).find(|at| *at > now)
}
