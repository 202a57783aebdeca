//! Rows of a spreadsheet (.xlsx), which anybody may have made: nothing in it is trusted.
//!
//! A workbook is a ZIP archive of XML. What is needed of it is unpacked first, no more than so many bytes of
//! it, and packed anew without compression; only that copy is given to the reader. So what an archive says of
//! its sizes does not matter, and the reader has no more to do than the limits allow.

use super::{
    fault::{LineFault, LineFaultKind as Kind},
    row::{Cell, Row},
    table::{MOST_COLUMNS, MOST_LINE_BYTES},
};
use crate::{fault::quoted, stop};
use calamine::{DataRef, Reader as _, Xlsx};
use catalogue::{Text, said};
use chrono::{NaiveDate, NaiveDateTime};
use std::io::{Cursor, Read, Write as _};
use zip::{CompressionMethod, ZipArchive, ZipWriter, write::SimpleFileOptions};

/// Largest workbook in bytes.
pub(crate) const MOST_WORKBOOK_BYTES: usize = 16 << 20;
/// Bytes of all its parts, unpacked.
pub(crate) const MOST_UNPACKED_BYTES: u64 = 64 << 20;
/// Bytes of a part that is not cells or their texts: names of sheets, formats, what belongs to what.
const MOST_PART_BYTES: u64 = 1 << 20;
/// Files in the archive.
const MOST_PARTS: usize = 2_000;
/// Cells that are not empty.
pub(crate) const MOST_CELLS: usize = 2_000_000;
/// Texts that cells share.
const MOST_SHARED_TEXTS: usize = 1_000_000;
/// Where a list of shared texts says its length.
const LENGTH_ATTRIBUTE: &[u8] = b"uniqueCount";

/// With which an archive begins.
const ARCHIVE: &[u8] = b"PK\x03\x04";
/// With which each entry of the list of an archive begins.
const ENTRY: &[u8] = b"PK\x01\x02";
/// With which older spreadsheets begin, and those that are locked by a password.
const OLD_OR_LOCKED: &[u8] = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1";

/// Whether the bytes are a spreadsheet, and not text.
pub(super) fn is_workbook(bytes: &[u8]) -> bool {
    bytes.starts_with(ARCHIVE) || bytes.starts_with(OLD_OR_LOCKED)
}

fn refused(detail: impl Into<Text>) -> LineFault {
    LineFault::at_line(Kind::Encoding, 1, &[], detail)
}

/// Hands out the rows of a sheet, the first when none is named, until `take` gives `false`.
///
/// # Errors
/// What is no workbook, or one beyond the limits; a sheet that is not there.
pub(super) fn rows(
    bytes: &[u8],
    sheet: Option<&str>,
    take: &mut dyn FnMut(Result<&Row, LineFault>) -> bool,
) -> Result<(), LineFault> {
    if bytes.starts_with(OLD_OR_LOCKED) {
        return Err(refused(said!("fault-unsupported-old-workbook")));
    }
    let copy = unpacked(bytes)?;
    let broken = |_| refused(said!("fault-unreadable-workbook"));
    let from_1904 = copy.from_1904;
    let mut book = Xlsx::new(Cursor::new(copy.bytes)).map_err(broken)?;
    let name = sheet_named(&book.sheet_names(), sheet)?;
    let mut cells = book.worksheet_cells_reader(&name).map_err(broken)?;
    let mut row = Row::of_workbook(from_1904);
    let (mut at, mut count) = (None, 0);
    loop {
        stop::look();
        let Some(cell) = cells.next_cell().map_err(broken)? else { break };
        let (number, column) = cell.get_position();
        if *cell.get_value() == DataRef::Empty {
            continue;
        }
        count += 1;
        if count > MOST_CELLS {
            return Err(refused(said!("fault-too-many-cells", most = MOST_CELLS)));
        }
        if at != Some(number) {
            if at.is_some() && !handed_out(&mut row, take) {
                return Ok(());
            }
            if at.is_some_and(|before| number < before) {
                return Err(refused(said!("fault-unreadable-row-order")));
            }
            at = Some(number);
            row.begin(u64::from(number) + 1);
        }
        let column = column as usize;
        if column >= MOST_COLUMNS || column < row.len() {
            let detail = said!("fault-too-many-cells-of-row", most = MOST_COLUMNS);
            return Err(LineFault::at_line(Kind::Column, row.line, &[], detail));
        }
        row.fit(column);
        push(&mut row, cell.get_value());
        if row.text_bytes() > MOST_LINE_BYTES {
            let detail = said!("fault-too-long-row", most_bytes = MOST_LINE_BYTES);
            return Err(LineFault::at_line(Kind::Encoding, row.line, &[], detail));
        }
    }
    if at.is_some() {
        handed_out(&mut row, take);
    }
    Ok(())
}

fn handed_out(row: &mut Row, take: &mut dyn FnMut(Result<&Row, LineFault>) -> bool) -> bool {
    row.is_empty() || take(Ok(row))
}

fn push(row: &mut Row, value: &DataRef<'_>) {
    match value {
        DataRef::Empty => row.push(Cell::Empty),
        DataRef::Int(number) => row.push(Cell::Number(*number as f64)),
        DataRef::Float(number) => row.push(Cell::Number(*number)),
        DataRef::String(text) => row.push(Cell::Text(text.trim())),
        DataRef::SharedString(text) => row.push(Cell::Text(text.trim())),
        DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => {
            row.push(Cell::Text(text.trim()))
        }
        DataRef::Bool(truth) => row.push(Cell::Truth(*truth)),
        DataRef::Error(error) => row.push(Cell::Broken(&error.to_string())),
        DataRef::DateTime(stamp) => {
            let moment = stamp.is_datetime().then(|| row.moment_of(stamp.as_f64())).flatten();
            let (year, month, day, hour, minute, second, _) = stamp.to_ymd_hms_milli();
            // A time of day by itself stays a number; what is before 1927 is read as it is shown.
            let shown = || {
                let day = NaiveDate::from_ymd_opt(year.into(), month.into(), day.into())?;
                day.and_hms_opt(hour.into(), minute.into(), second.into())
            };
            let moment: Option<NaiveDateTime> =
                moment.or_else(|| if stamp.as_f64() >= 61.0 { shown() } else { None });
            row.push(moment.map_or(Cell::Number(stamp.as_f64()), Cell::Moment));
        }
    }
}

fn sheet_named(names: &[String], wanted: Option<&str>) -> Result<String, LineFault> {
    let found = match wanted {
        None => names.first(),
        Some(wanted) => {
            let exact = names.iter().find(|name| *name == wanted);
            exact.or_else(|| names.iter().find(|name| name.to_lowercase() == wanted.to_lowercase()))
        }
    };
    found.cloned().ok_or_else(|| match wanted {
        None => refused(said!("fault-empty-workbook")),
        Some(wanted) => {
            let names: Vec<String> = names.iter().take(10).map(|name| quoted(name)).collect();
            let (sheet, known) = (quoted(wanted), names.join(", "));
            LineFault::of_query(
                "sheet",
                said!("fault-not-found-sheet", sheet = sheet, known = known),
            )
        }
    })
}

/// A workbook of which nothing is compressed and everything was looked at.
struct Copy {
    bytes: Vec<u8>,
    from_1904: bool,
}

/// Which parts are needed, by their names in small letters, and how many bytes each may have.
fn most_of(name: &str) -> Option<u64> {
    let named = |start: &str, end: &str| {
        let own = name.strip_prefix(start).and_then(|rest| rest.strip_suffix(end));
        own.is_some_and(|own| !own.contains('/'))
    };
    // Elsewhere the reader would look for sheets only, never for the parts that it keeps whole.
    let of_book = ["styles", "sharedstrings", "workbook", "theme"];
    if named("xl/worksheets/", ".xml") {
        return (!of_book.iter().any(|part| name.contains(part))).then_some(MOST_UNPACKED_BYTES);
    }
    if name == "xl/sharedstrings.xml" {
        return Some(MOST_UNPACKED_BYTES);
    }
    let small = ["[content_types].xml", "_rels/.rels", "xl/styles.xml"].contains(&name)
        || named("xl/workbook", ".xml")
        || named("xl/_rels/workbook", ".xml.rels");
    small.then_some(MOST_PART_BYTES)
}

fn unpacked(bytes: &[u8]) -> Result<Copy, LineFault> {
    if bytes.len() > MOST_WORKBOOK_BYTES {
        let most = MOST_WORKBOOK_BYTES >> 20;
        return Err(refused(said!("fault-too-long-workbook", most_mb = most)));
    }
    // The list of an archive is read whole before anything of it is known.
    let entries = bytes.windows(ENTRY.len()).filter(|window| *window == ENTRY).count();
    let broken = |_| refused(said!("fault-unreadable-workbook"));
    if entries > MOST_PARTS {
        return Err(refused(said!("fault-too-many-parts", most = MOST_PARTS)));
    }
    let mut source = ZipArchive::new(Cursor::new(bytes)).map_err(|_| broken(()))?;
    let mut copy = ZipWriter::new(Cursor::new(Vec::new()));
    let (mut left, mut from_1904, mut is_book) = (MOST_UNPACKED_BYTES, false, false);
    for index in 0..source.len() {
        stop::look();
        let mut entry = source.by_index(index).map_err(|_| broken(()))?;
        let name = entry.name().map_err(|_| broken(()))?.to_ascii_lowercase();
        let Some(most) = most_of(&name) else { continue };
        let part = read(&mut entry, most.min(left)).map_err(|_| broken(()))?.ok_or_else(|| {
            let most = MOST_UNPACKED_BYTES >> 20;
            refused(said!("fault-too-long-workbook-unpacked", most_mb = most))
        })?;
        left -= part.len() as u64;
        // Another encoding would hide from us what the reader sees.
        if std::str::from_utf8(&part).is_err() || part.contains(&0) {
            return Err(refused(said!("fault-unreadable-part")));
        }
        check_texts(&part)?;
        if name == "_rels/.rels" && !names_book(&part) {
            return Err(broken(()));
        }
        if name.starts_with("xl/workbook") {
            is_book = true;
            from_1904 = from_1904 || counts_from_1904(&part);
        }
        let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
        copy.start_file(name, stored).map_err(|_| broken(()))?;
        copy.write_all(&part).map_err(|_| broken(()))?;
    }
    if !is_book {
        return Err(broken(()));
    }
    let bytes = copy.finish().map_err(|_| broken(()))?.into_inner();
    Ok(Copy { bytes, from_1904 })
}

/// The bytes of a part, or `None` when it has more than so many.
fn read(part: &mut impl Read, most: u64) -> std::io::Result<Option<Vec<u8>>> {
    let mut bytes = Vec::new();
    let mut piece = vec![0; 64 << 10];
    loop {
        stop::look();
        let count = part.read(&mut piece)?;
        if count == 0 {
            return Ok(Some(bytes));
        }
        if (bytes.len() + count) as u64 > most {
            return Ok(None);
        }
        bytes.extend_from_slice(&piece[..count]);
    }
}

/// Refuses more shared texts than may be, and a length of their list that promises more: the reader takes
/// memory for so many before it sees one.
fn check_texts(part: &[u8]) -> Result<(), LineFault> {
    let too_many = || refused(said!("fault-too-many-texts", most = MOST_SHARED_TEXTS));
    let begins = |window: &&[u8]| matches!(window[0], b'<' | b':') && &window[1..] == b"si";
    if part.windows(3).filter(begins).count() > MOST_SHARED_TEXTS {
        return Err(too_many());
    }
    let mut from = 0;
    while let Some(at) = find(&part[from..], LENGTH_ATTRIBUTE) {
        from += at + LENGTH_ATTRIBUTE.len();
        let sign =
            |byte: &&u8| matches!(**byte, b'=' | b'"' | b'\'' | b'+') || byte.is_ascii_whitespace();
        let signs = part[from..].iter().take_while(sign).count();
        let digits = part[from + signs..].iter().take_while(|byte| byte.is_ascii_digit());
        let mut length = 0_usize;
        for digit in digits {
            length = length.saturating_mul(10).saturating_add(usize::from(digit - b'0'));
        }
        if length > MOST_SHARED_TEXTS {
            return Err(too_many());
        }
    }
    Ok(())
}

/// Whether the head of a package names its workbook where one belongs: the parts that the reader keeps whole
/// are looked for beside it.
fn names_book(part: &[u8]) -> bool {
    let text = String::from_utf8_lossy(part).to_ascii_lowercase();
    text.contains("xl/workbook") && !text.contains("worksheets") && !text.contains("&#")
}

/// Whether the properties of a workbook say that its days are counted from 1904.
fn counts_from_1904(part: &[u8]) -> bool {
    let text = String::from_utf8_lossy(part);
    let Some((_, behind)) = text.split_once("date1904") else { return false };
    let value = behind.trim_start().strip_prefix('=').unwrap_or_default().trim_start();
    ["\"1\"", "'1'", "\"true\"", "'true'"].iter().any(|yes| value.starts_with(yes))
}

fn find(within: &[u8], wanted: &[u8]) -> Option<usize> {
    within.windows(wanted.len()).position(|window| window == wanted)
}

#[cfg(test)]
#[path = "workbook_tests.rs"]
mod tests;
