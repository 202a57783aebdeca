//! A row of a table, whatever file it comes from.

use catalogue::{Text, said};
use chrono::{Days, NaiveDate, NaiveDateTime, NaiveTime};
use std::ops::Range;

/// What stands in a cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cell<'a> {
    /// Nothing.
    Empty,
    /// A text without blanks around it; every cell of a text file.
    Text(&'a str),
    /// A number of a spreadsheet, which may be a day that has lost its format.
    Number(f64),
    /// A day or time of a spreadsheet.
    Moment(NaiveDateTime),
    /// Yes or no.
    Truth(bool),
    /// What a spreadsheet could not reckon, such as `#N/A`.
    Broken(&'a str),
}

#[derive(Debug, Clone)]
enum Held {
    Empty,
    Text(Range<usize>),
    Number(f64),
    Moment(NaiveDateTime),
    Truth(bool),
    Broken(Range<usize>),
}

/// A row of a table with the line on which it begins. It is filled again for each row: a table is never in
/// memory as a whole.
#[derive(Debug, Clone, Default)]
pub struct Row {
    /// The line, or the row of a spreadsheet, 1 the first.
    pub line: u64,
    text: String,
    cells: Vec<Held>,
    /// Whether its spreadsheet counts days from 1904 and not from 1900.
    from_1904: bool,
    /// Whether a comma is decimal, as where semicolons part the columns.
    pub(super) decimal_comma: bool,
}

/// Days before the first of 1904, as counted from 1900 by spreadsheets.
const DAYS_TO_1904: f64 = 1462.0;
/// The number of 18 May 1927, the first that is taken for a day: below it numbers may be years.
const FIRST_SERIAL: f64 = 10_000.0;
/// The number of the last day of the year 9999.
const LAST_SERIAL: f64 = 2_958_465.0;

impl Row {
    /// A row of a text, where a comma may be decimal.
    pub(super) fn of_text(decimal_comma: bool) -> Self {
        Self { decimal_comma, ..Self::default() }
    }

    /// A row of a workbook, whose days may be counted from 1904.
    pub(super) fn of_workbook(from_1904: bool) -> Self {
        Self { from_1904, ..Self::default() }
    }

    pub(super) fn begin(&mut self, line: u64) {
        self.line = line;
        self.text.clear();
        self.cells.clear();
    }

    /// Bytes of its texts.
    pub(super) fn text_bytes(&self) -> usize {
        self.text.len()
    }

    fn keep(&mut self, text: &str) -> Range<usize> {
        let from = self.text.len();
        self.text.push_str(text);
        from..self.text.len()
    }

    pub(super) fn push(&mut self, cell: Cell<'_>) {
        let held = match cell {
            Cell::Empty => Held::Empty,
            Cell::Text("") => Held::Empty,
            Cell::Text(text) => Held::Text(self.keep(text)),
            Cell::Number(number) => Held::Number(number),
            Cell::Moment(moment) => Held::Moment(moment),
            Cell::Truth(truth) => Held::Truth(truth),
            Cell::Broken(text) => Held::Broken(self.keep(text)),
        };
        self.cells.push(held);
    }

    /// Takes away empty cells at the end down to so many, and adds up to so many.
    pub(super) fn fit(&mut self, columns: usize) {
        while self.cells.len() > columns && matches!(self.cells.last(), Some(Held::Empty)) {
            self.cells.pop();
        }
        while self.cells.len() < columns {
            self.cells.push(Held::Empty);
        }
    }

    /// How many cells it has.
    pub fn len(&self) -> usize {
        self.cells.len()
    }

    /// Whether nothing stands in it.
    pub fn is_empty(&self) -> bool {
        self.cells.iter().all(|cell| matches!(cell, Held::Empty))
    }

    /// The cell at a place; nothing beyond the last.
    pub(crate) fn cell(&self, at: usize) -> Cell<'_> {
        let text = |range: &Range<usize>| self.text.get(range.clone()).unwrap_or_default();
        match self.cells.get(at) {
            None | Some(Held::Empty) => Cell::Empty,
            Some(Held::Text(range)) => Cell::Text(text(range)),
            Some(Held::Number(number)) => Cell::Number(*number),
            Some(Held::Moment(moment)) => Cell::Moment(*moment),
            Some(Held::Truth(truth)) => Cell::Truth(*truth),
            Some(Held::Broken(range)) => Cell::Broken(text(range)),
        }
    }

    /// The cells in order.
    pub(crate) fn cells(&self) -> impl Iterator<Item = Cell<'_>> {
        (0..self.len()).map(|at| self.cell(at))
    }

    /// The time that a number of a spreadsheet stands for; `None` where it is too small or large to be one.
    pub(crate) fn moment_of(&self, number: f64) -> Option<NaiveDateTime> {
        let number = if self.from_1904 { number + DAYS_TO_1904 } else { number };
        serial_moment(number)
    }
}

/// The time that a serial number of a spreadsheet stands for: days since 30 December 1899, the fraction is the
/// time of day, to the second. (Numbers below 61 would be a day off, since Lotus 1-2-3 took 1900 for a leap
/// year; they are refused with all before 18 May 1927.)
pub(super) fn serial_moment(number: f64) -> Option<NaiveDateTime> {
    if !(FIRST_SERIAL..LAST_SERIAL + 1.0).contains(&number) {
        return None;
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "in the range above"
    )]
    let seconds = (number * 86_400.0).round() as u64;
    let day =
        NaiveDate::from_ymd_opt(1899, 12, 30)?.checked_add_days(Days::new(seconds / 86_400))?;
    let time = NaiveTime::from_num_seconds_from_midnight_opt((seconds % 86_400) as u32, 0)?;
    Some(day.and_time(time))
}

impl Cell<'_> {
    /// The cell as text, as somebody would type it.
    ///
    /// # Errors
    /// What could not be reckoned.
    pub fn text(self) -> Result<String, Text> {
        Ok(match self {
            Self::Empty => String::new(),
            Self::Text(text) => text.to_owned(),
            // A chip number of fifteen digits is exact.
            Self::Number(number) => number.to_string(),
            Self::Moment(moment) if moment.time() == NaiveTime::MIN => moment.date().to_string(),
            Self::Moment(moment) => moment.format("%Y-%m-%d %H:%M:%S").to_string(),
            Self::Truth(truth) => truth.to_string(),
            Self::Broken(what) => return Err(said!("fault-unreadable-cell", error = what)),
        })
    }

    /// The cell as it is quoted in a fault.
    pub fn shown(self) -> String {
        match self {
            Self::Broken(what) => what.to_owned(),
            other => other.text().unwrap_or_default(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Microsoft's own example for DATEVALUE: 1 January 2008 is 39448; 1904 lies 1,462 days later.
    #[test]
    fn numbers_of_spreadsheets_are_days() {
        let day = |number| serial_moment(number).map(|moment| moment.to_string());
        assert_eq!(day(39_448.0).unwrap(), "2008-01-01 00:00:00");
        assert_eq!(day(44_289.75).unwrap(), "2021-04-03 18:00:00");
        assert_eq!(day(10_000.0).unwrap(), "1927-05-18 00:00:00");
        assert_eq!((day(9_999.0), day(f64::NAN), day(f64::INFINITY)), (None, None, None));
        assert_eq!(day(2_958_465.0).unwrap(), "9999-12-31 00:00:00");
        assert_eq!(day(2_958_466.0), None);
        let row = Row { from_1904: true, ..Row::default() };
        assert_eq!(row.moment_of(39_448.0 - 1462.0), serial_moment(39_448.0));
    }

    #[test]
    fn a_row_is_filled_again() {
        let mut row = Row::default();
        row.begin(2);
        for cell in [
            Cell::Text("Juno"),
            Cell::Text(""),
            Cell::Number(276_098_100_123_456.0),
            Cell::Truth(true),
        ] {
            row.push(cell);
        }
        let texts: Vec<String> = row.cells().map(|cell| cell.text().unwrap()).collect();
        assert_eq!(texts, ["Juno", "", "276098100123456", "true"]);
        row.begin(3);
        assert!(row.is_empty());
        row.push(Cell::Broken("#N/A"));
        assert!(row.cell(0).text().unwrap_err().contains("#N/A"));
        row.fit(3);
        assert_eq!((row.len(), row.cell(2), row.cell(9)), (3, Cell::Empty, Cell::Empty));
        row.fit(1);
        assert_eq!(row.len(), 1);
    }
}
