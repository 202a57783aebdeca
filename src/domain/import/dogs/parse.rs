//! From the bytes of a file to its dogs, or all its faults.

use super::{
    ImportedDog, ParsedPedigree, PedigreeColumn as Column, PedigreeFile, checks, identity,
    values::{self, Reading},
};
use crate::{
    fault::quoted,
    import::{
        ImportHow, LineFault, LineFaultKind as Kind, LineFaults,
        columns::{Field as _, require},
        known_dogs::KnownDog,
        row::{Cell, Row},
        table::{self, Part},
    },
};
use catalogue::said;
use chrono::NaiveDate;

/// Most rows of a file: each takes some 150 bytes of memory, however short its line is.
const MOST_DOGS: usize = 1_000_000;

/// Reads the rows of a file of dogs, which may stand in any order. An empty value is unknown. A birth or death
/// after `today` is a fault. Where there is any, what the rows say of one another is told as well.
///
/// # Errors
/// Every fault of the file, by line.
pub fn read(
    bytes: &[u8],
    how: &ImportHow,
    today: NaiveDate,
) -> Result<PedigreeFile, Vec<LineFault>> {
    let mut reader = DogReader {
        how,
        reading: Reading { today, order: how.date_order },
        columns: Vec::new(),
        header_line: 1,
        file: PedigreeFile::default(),
        without_key: false,
        faults: LineFaults::default(),
    };
    if let Err(fault) = table::read(bytes, &how.table, &mut |part| reader.take(part)) {
        reader.faults.push(fault);
        return Err(reader.faults.in_order());
    }
    reader.finish()
}

/// Reads a file of dogs and holds its rows against each other, as if the kennel had none.
///
/// # Errors
/// Every fault of the file, by line.
///
/// ```
/// use domain::import::{ImportHow, dogs::parse};
/// let today = chrono::NaiveDate::from_ymd_opt(2026, 3, 1).unwrap();
/// let text = b"id;Vater;Mutter;Geschlecht;Geburtsdatum\nJuno;Rex;Alma;H\xc3\xbcndin;2020-05\n";
/// assert_eq!(parse(text, &ImportHow::default(), today).unwrap().dogs.len(), 3);
/// ```
pub fn parse(
    bytes: &[u8],
    how: &ImportHow,
    today: NaiveDate,
) -> Result<ParsedPedigree, Vec<LineFault>> {
    read(bytes, how, today)?.among(&[])
}

impl PedigreeFile {
    /// Finds out which dog each row and each parent is, among the rows and the kennel's dogs that they may mean,
    /// and holds the rows against each other.
    ///
    /// # Errors
    /// Every fault, by line: names that may mean several, and what contradicts itself.
    pub fn among(self, known: &[KnownDog]) -> Result<ParsedPedigree, Vec<LineFault>> {
        let mut faults = LineFaults::default();
        match self.checked(known, &mut faults) {
            Some(parsed) if faults.is_empty() => Ok(parsed),
            _ => Err(faults.in_order()),
        }
    }

    fn checked(mut self, known: &[KnownDog], faults: &mut LineFaults) -> Option<ParsedPedigree> {
        identity::resolve(&mut self, known, faults);
        let (dogs, parents) = checks::check(self.dogs, self.has_ids, faults)?;
        Some(ParsedPedigree { dogs, parents, columns: self.columns })
    }
}

struct DogReader<'a> {
    how: &'a ImportHow,
    reading: Reading,
    columns: Vec<Option<Column>>,
    header_line: u64,
    file: PedigreeFile,
    without_key: bool,
    faults: LineFaults,
}

impl DogReader<'_> {
    fn take(&mut self, part: Part<'_>) -> bool {
        match part {
            Part::Header(names, line) => {
                self.header_line = line;
                self.columns = self.how.columns.resolve(&names, line, &mut self.faults);
                self.file.has_ids = self.columns.contains(&Some(Column::Id));
                let by = [
                    Column::Id,
                    Column::Name,
                    Column::CallName,
                    Column::ChipNumber,
                    Column::Registrations,
                ];
                let before = self.faults.len();
                require(&self.columns, &by, line, &mut self.faults);
                return self.faults.len() == before;
            }
            Part::Fault(fault) => {
                self.without_key = true;
                self.faults.push(fault);
            }
            Part::Row(row) => {
                if self.file.dogs.len() == MOST_DOGS {
                    let detail = said!("fault-too-many-rows", most = MOST_DOGS);
                    self.faults.push(LineFault::at_line(Kind::Value, row.line, &[], detail));
                    return false;
                }
                match self.dog(row) {
                    Some(dog) => self.file.dogs.push(dog),
                    None => self.without_key = true,
                }
            }
        }
        !self.faults.is_full()
    }

    /// The dog of a row, as far as its values can be read; `None` without anything to know it by.
    fn dog(&mut self, row: &Row) -> Option<ImportedDog> {
        let mut dog = ImportedDog { line: Some(row.line), ..ImportedDog::default() };
        let mut wrong = Vec::new();
        for (cell, column) in row.cells().zip(&self.columns) {
            let Some(column) = column.filter(|_| cell != Cell::Empty) else { continue };
            if let Err(detail) = values::set(&mut dog, column, row, cell, &self.reading) {
                let subject = format!("{} {}", column.name(), quoted(&cell.shown()));
                wrong.push((column, subject, detail));
            }
        }
        dog.without_id = !self.file.has_ids;
        let has_key = !dog.imported_id.is_empty() || dog.without_id && !dog.label().is_empty();
        let id = &[&*dog.imported_id][..usize::from(!dog.imported_id.is_empty())];
        self.faults.extend(wrong.into_iter().map(|(at, subject, detail)| {
            LineFault::at_value(row.line, at.name(), id, detail).about(subject)
        }));
        if has_key {
            return Some(dog);
        }
        let detail = match self.file.has_ids {
            true => said!("fault-missing-id"),
            false => said!("fault-missing-mark"),
        };
        self.faults.push(LineFault::at_line(Kind::MissingId, row.line, &[], detail));
        None
    }

    fn finish(mut self) -> Result<PedigreeFile, Vec<LineFault>> {
        if self.columns.iter().all(Option::is_none) {
            return Err(self.faults.in_order());
        }
        if self.file.dogs.is_empty() && !self.without_key {
            let detail = said!("fault-empty-dogs");
            self.faults.push(LineFault::at_line(Kind::Empty, self.header_line, &[], detail));
        }
        self.file.columns = self.columns.into_iter().flatten().collect();
        if self.faults.is_empty() {
            return Ok(self.file);
        }
        if !self.faults.is_full() {
            self.file.checked(&[], &mut self.faults);
        }
        Err(self.faults.in_order())
    }
}
