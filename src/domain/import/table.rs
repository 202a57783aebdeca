//! A table as somebody sends it: text or spreadsheet, told by its first bytes.

use super::{
    fault::{LineFault, LineFaultKind as Kind},
    row::Row,
    text_table, workbook,
};
use crate::record::words::words;
use catalogue::said;

/// Most columns of a table: a line without line ends is one row of as many fields as it has commas.
pub(crate) const MOST_COLUMNS: usize = 200;
/// Longest line in bytes. The reader takes a row as a whole, twice while it grows: a file of one line would
/// cost many times its size.
pub(crate) const MOST_LINE_BYTES: usize = 100_000;

words! {
    /// What parts the columns of a text.
    Separator {
        /// A comma.
        Comma = "comma",
        /// A semicolon, as where the comma is decimal.
        Semicolon = "semicolon",
        /// A tab.
        Tab = "tab",
    }
}

impl Separator {
    pub(super) fn byte(self) -> u8 {
        match self {
            Self::Comma => b',',
            Self::Semicolon => b';',
            Self::Tab => b'\t',
        }
    }

    pub(super) fn of_byte(byte: u8) -> Option<Self> {
        Self::ALL.iter().copied().find(|separator| separator.byte() == byte)
    }
}

/// What is said of a table beside it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct TableHow {
    /// What parts the columns of a text; found out from the header when left out.
    pub separator: Option<Separator>,
    /// Which sheet of a workbook; the first when left out.
    pub sheet: Option<String>,
}

/// What is handed out of a table.
pub enum Part<'a> {
    /// The first row that is not blank: the names of the columns.
    Header(Vec<String>, u64),
    /// A row below it, with a cell for each column.
    Row(&'a Row),
    /// A row that cannot be read.
    Fault(LineFault),
}

/// Hands out the header of a table and then its rows, the blank ones left out, until `take` gives `false`.
///
/// # Errors
/// What is wrong with the table as a whole: it is empty, is no text and no workbook, is beyond the limits.
pub fn read(
    bytes: &[u8],
    how: &TableHow,
    take: &mut dyn FnMut(Part<'_>) -> bool,
) -> Result<(), LineFault> {
    let mut columns = None;
    let mut faulty = None;
    let mut each = |row: Result<&Row, LineFault>| match (row, columns) {
        (Err(fault), None) => {
            faulty = Some(fault);
            false
        }
        (Err(fault), Some(_)) => take(Part::Fault(fault)),
        (Ok(row), None) => match header(row) {
            Ok(names) => {
                columns = Some(names.len());
                take(Part::Header(names, row.line))
            }
            Err(fault) => {
                faulty = Some(fault);
                false
            }
        },
        (Ok(row), Some(columns)) => take(of_width(row, columns)),
    };
    if workbook::is_workbook(bytes) {
        let mut fitted = Row::default();
        let mut width = None;
        workbook::rows(bytes, how.sheet.as_deref(), &mut |row| {
            // A spreadsheet says nothing of the empty cells at the end of a row.
            each(row.map(|row| {
                fitted.clone_from(row);
                fitted.fit(*width.get_or_insert(row.len()));
                &fitted
            }))
        })?;
    } else {
        if how.sheet.is_some() {
            return Err(LineFault::of_query("sheet", said!("fault-unsupported-sheet")));
        }
        text_table::rows(bytes, how.separator, &mut each)?;
    }
    match (faulty, columns) {
        (Some(fault), _) => Err(fault),
        (None, None) => Err(LineFault::at_line(Kind::Empty, 1, &[], said!("fault-empty-file"))),
        (None, Some(_)) => Ok(()),
    }
}

fn header(row: &Row) -> Result<Vec<String>, LineFault> {
    if row.len() > MOST_COLUMNS {
        let detail = said!("fault-too-many-columns", count = row.len(), most = MOST_COLUMNS);
        return Err(LineFault::at_line(Kind::Column, row.line, &[], detail));
    }
    Ok(row.cells().map(|cell| cell.shown()).collect())
}

fn of_width(row: &Row, columns: usize) -> Part<'_> {
    if row.len() == columns {
        return Part::Row(row);
    }
    let count = row.len();
    let detail = match count < columns {
        true => said!("fault-too-few-fields", count = count, columns = columns),
        false => said!("fault-too-many-fields", count = count, columns = columns),
    };
    Part::Fault(LineFault::at_line(Kind::Ragged, row.line, &[], detail))
}

#[cfg(test)]
#[path = "table_tests.rs"]
mod tests;
