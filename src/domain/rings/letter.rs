//! The daily letter: what is late, due and coming, and when it is written.

use crate::tasks::{TaskLine, TaskStatus};
use chrono::{DateTime, Days, Duration, NaiveDate, NaiveTime, TimeZone as _, Utc};
use chrono_tz::Tz;

/// How many days ahead the letter looks (common practice, no source).
const DAYS_AHEAD: u64 = 7;

/// What a letter tells.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Letter<'a> {
    /// Past its day.
    pub late: Vec<&'a TaskLine>,
    /// Due today.
    pub due: Vec<&'a TaskLine>,
    /// Due within a week.
    pub coming: Vec<&'a TaskLine>,
}

/// The letter of a day; none when nothing is due or late.
pub fn letter(lines: &[TaskLine], today: NaiveDate) -> Option<Letter<'_>> {
    let reach = today.checked_add_days(Days::new(DAYS_AHEAD)).unwrap_or(today);
    let of =
        |wanted: &dyn Fn(&TaskLine) -> bool| lines.iter().filter(|line| wanted(line)).collect();
    let is_ahead = |line: &TaskLine| {
        matches!(line.status, TaskStatus::Open | TaskStatus::Upcoming) && line.due_on <= reach
    };
    let letter = Letter {
        late: of(&|line| line.status == TaskStatus::Overdue),
        due: of(&|line| line.status == TaskStatus::DueToday),
        coming: of(&is_ahead),
    };
    let is_empty = letter.late.is_empty() && letter.due.is_empty();
    (!is_empty).then_some(letter)
}

/// The first moment after `now` at which the kennel's clocks show this time (`06:30`); `None` for what is no time
/// of day.
pub fn next_letter(time: &str, now: DateTime<Utc>, zone: Tz) -> Option<DateTime<Utc>> {
    let time = NaiveTime::parse_from_str(time, "%H:%M").ok()?;
    let today = now.with_timezone(&zone).date_naive();
    // Where clocks go forward over that time, an hour later is the first after it.
    let on = |day: NaiveDate| {
        let local = day.and_time(time);
        let found = zone.from_local_datetime(&local).earliest();
        found.or_else(|| zone.from_local_datetime(&(local + Duration::hours(1))).earliest())
    };
    let days = today.iter_days().take(3);
    days.filter_map(on).map(|at| at.with_timezone(&Utc)).find(|at| *at > now)
}
