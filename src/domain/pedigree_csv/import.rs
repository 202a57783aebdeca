//! From the bytes of a file to its dogs, or all its faults.

use super::{
    ColumnMap, ImportedDog, LineFaults, ParsedPedigree, PedigreeColumn as Column, PedigreeFault,
    PedigreeFaultKind as Kind, checks, values,
};
use crate::{fault::quoted, stop, text::from_cell};
use chrono::NaiveDate;
use csv::{ByteRecord, ReaderBuilder};

/// Most rows of a file: each takes some 300 bytes of memory, however short its line is.
const MOST_DOGS: usize = 1_000_000;
/// Most columns of a file: a line without line ends is one row of as many fields as it has commas.
pub(super) const MOST_COLUMNS: usize = 200;
/// Longest line in bytes. The reader takes a row as a whole, twice while it grows: a file of one line would
/// cost many times its size.
pub(super) const MOST_LINE_BYTES: usize = 100_000;
const BYTE_ORDER_MARK: &[u8] = b"\xef\xbb\xbf";

/// Reads a pedigree file. Rows may stand in any order, lines end in LF or CRLF, a UTF-8
/// byte-order mark is skipped; blanks around a value do not count; an empty value is unknown.
/// A birth or death after `today` is a fault.
///
/// # Errors
/// Every fault of the file, by line.
///
/// ```
/// use domain::pedigree_csv::{ColumnMap, parse};
/// let today = chrono::NaiveDate::from_ymd_opt(2026, 3, 1).unwrap();
/// let map = ColumnMap::new([("born_on".to_owned(), "birth".to_owned())]);
/// let file = parse(b"id,sire,dam,sex,birth\nJuno,Rex,Alma,F,2020-05\n", &map, today).unwrap();
/// assert_eq!(file.dogs.len(), 3);
/// ```
pub fn parse(
    bytes: &[u8],
    map: &ColumnMap,
    today: NaiveDate,
) -> Result<ParsedPedigree, Vec<PedigreeFault>> {
    let bytes = bytes.strip_prefix(BYTE_ORDER_MARK).unwrap_or(bytes);
    let lines = bytes.split(|byte| matches!(byte, b'\n' | b'\r'));
    if lines.map(<[u8]>::len).max() > Some(MOST_LINE_BYTES) {
        let detail = format!(
            "has a line of more than {MOST_LINE_BYTES} bytes; rows are parted by line ends"
        );
        return Err(vec![PedigreeFault::at_line(Kind::Encoding, 1, &[], detail)]);
    }
    let mut rows = ReaderBuilder::new().has_headers(false).flexible(true).from_reader(bytes);
    let mut faults = LineFaults::default();
    let mut record = ByteRecord::new();
    if !next(&mut rows, &mut record, &mut faults) {
        let detail = "the file is empty; the first line names the columns, a row follows for \
                      each dog";
        faults.push(PedigreeFault::at_line(Kind::Empty, 1, &[], detail));
        return Err(faults.in_order());
    }
    let header_line = line_of(&record, bytes);
    if record.len() > MOST_COLUMNS {
        let detail = format!(
            "has {} columns where {MOST_COLUMNS} are the most; rows are parted by line ends",
            record.len()
        );
        faults.push(PedigreeFault::at_line(Kind::Column, header_line, &[], detail));
        return Err(faults.in_order());
    }
    let Some(header) = texts(&record, header_line, &mut faults) else {
        return Err(faults.in_order());
    };
    let header: Vec<String> = header.into_iter().map(str::to_owned).collect();
    let columns = map.resolve(&header, header_line, &mut faults);
    if !columns.contains(&Some(Column::Id)) {
        return Err(faults.in_order());
    }
    let mut dogs = Vec::new();
    let mut ids_missing = false;
    while next(&mut rows, &mut record, &mut faults) {
        stop::look();
        let line = line_of(&record, bytes);
        if dogs.len() == MOST_DOGS {
            let detail =
                format!("is one row too many; {MOST_DOGS} are the most, send several files");
            faults.push(PedigreeFault::at_line(Kind::Value, line, &[], detail));
        }
        if faults.is_full() || dogs.len() == MOST_DOGS {
            return Err(faults.in_order());
        }
        match dog(&record, line, &columns, today, &mut faults) {
            Some(dog) => dogs.push(dog),
            None => ids_missing = true,
        }
    }
    if dogs.is_empty() && !ids_missing {
        let detail = "there is no row below the columns; give a row for each dog";
        faults.push(PedigreeFault::at_line(Kind::Empty, header_line, &[], detail));
    }
    let dogs = checks::check(dogs, &mut faults);
    match dogs {
        Some(dogs) if faults.is_empty() => {
            let columns = columns.into_iter().flatten().collect();
            Ok(ParsedPedigree { dogs, columns })
        }
        _ => Err(faults.in_order()),
    }
}

/// Reads the next row that is not blank.
fn next(rows: &mut csv::Reader<&[u8]>, record: &mut ByteRecord, faults: &mut LineFaults) -> bool {
    loop {
        match rows.read_byte_record(record) {
            // A line of blanks or of commas alone holds no dog.
            Ok(true) if record.iter().all(|field| field.trim_ascii().is_empty()) => {}
            Ok(more) => return more,
            Err(error) => {
                let line = error.position().map_or(1, |position| position.line());
                let detail = format!("cannot be read: {error}");
                faults.push(PedigreeFault::at_line(Kind::Encoding, line, &[], detail));
                return false;
            }
        }
    }
}

/// The line a row begins on. The reader notes where it was before it skipped line ends.
fn line_of(record: &ByteRecord, bytes: &[u8]) -> u64 {
    let Some(position) = record.position() else { return 1 };
    let from = usize::try_from(position.byte()).unwrap_or(usize::MAX);
    let rest = bytes.get(from..).unwrap_or_default();
    let ends = rest.iter().take_while(|byte| matches!(byte, b'\r' | b'\n'));
    position.line() + ends.filter(|byte| **byte == b'\n').count() as u64
}

/// The trimmed fields of a row, if they are text.
fn texts<'a>(record: &'a ByteRecord, line: u64, faults: &mut LineFaults) -> Option<Vec<&'a str>> {
    let mut fault = |detail: &str| {
        faults.push(PedigreeFault::at_line(Kind::Encoding, line, &[], detail));
    };
    if record.as_slice().contains(&0) {
        fault("holds a NUL character; save the file as plain text in UTF-8");
        return None;
    }
    let fields: Result<Vec<&str>, _> =
        record.iter().map(|field| std::str::from_utf8(field).map(str::trim)).collect();
    if fields.is_err() {
        fault("is not UTF-8 text; save the file in UTF-8");
    }
    fields.ok()
}

/// The dog of a row, as far as its values can be read; `None` without an id.
fn dog(
    record: &ByteRecord,
    line: u64,
    columns: &[Option<Column>],
    today: NaiveDate,
    faults: &mut LineFaults,
) -> Option<ImportedDog> {
    let fields = texts(record, line, faults)?;
    if fields.len() != columns.len() {
        let detail = format!(
            "has {} fields where the first line has {} columns; a value with a comma needs \
             double quotes around it",
            fields.len(),
            columns.len()
        );
        faults.push(PedigreeFault::at_line(Kind::Ragged, line, &[], detail));
        // What stands in which column is not certain, save for the id where it comes first.
        let id = fields.first().filter(|id| columns[0] == Some(Column::Id) && !id.is_empty())?;
        let imported_id = (*id).into();
        return Some(ImportedDog { line: Some(line), imported_id, ..ImportedDog::default() });
    }
    let mut dog = ImportedDog { line: Some(line), ..ImportedDog::default() };
    let mut wrong = Vec::new();
    for (text, column) in fields.iter().zip(columns) {
        let text = from_cell(text);
        let Some(column) = column.filter(|_| !text.is_empty()) else { continue };
        if let Err(detail) = values::set(&mut dog, column, text, today) {
            wrong.push(format!("{} {} {detail}", column.name(), quoted(text)));
        }
    }
    let id = &[&*dog.imported_id][..usize::from(!dog.imported_id.is_empty())];
    faults.extend(wrong.into_iter().map(|w| PedigreeFault::at_line(Kind::Value, line, id, w)));
    if dog.imported_id.is_empty() {
        let detail = "has no id; give each dog an id that no other dog of the file has";
        faults.push(PedigreeFault::at_line(Kind::MissingId, line, &[], detail));
        return None;
    }
    Some(dog)
}
