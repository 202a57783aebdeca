//! The daily letter: what is late, due and coming, and when it is written.

use crate::tasks::{TaskLine, TaskStatus};
use chrono::{Days, NaiveDate};

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
