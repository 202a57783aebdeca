//! Rows of comma-, semicolon- or tab-separated text.

use super::{
    fault::{LineFault, LineFaultKind as Kind},
    row::{Cell, Row},
    table::{MOST_LINE_BYTES, Separator},
};
use crate::{stop, text::from_cell};
use catalogue::said;
use csv::{ByteRecord, ReaderBuilder};

const BYTE_ORDER_MARK: &[u8] = b"\xef\xbb\xbf";

/// Hands out the rows of a text, the blank ones left out, until `take` gives `false`.
///
/// Lines end in LF or CRLF; a UTF-8 byte-order mark is skipped; blanks around a value do not count. A first
/// line such as `sep=;`, which spreadsheets write, says the separator.
///
/// # Errors
/// A line that is too long, or a header that does not tell what separates its columns.
pub(super) fn rows(
    bytes: &[u8],
    separator: Option<Separator>,
    take: &mut dyn FnMut(Result<&Row, LineFault>) -> bool,
) -> Result<(), LineFault> {
    let bytes = bytes.strip_prefix(BYTE_ORDER_MARK).unwrap_or(bytes);
    let lines = bytes.split(|byte| matches!(byte, b'\n' | b'\r'));
    if lines.map(<[u8]>::len).max() > Some(MOST_LINE_BYTES) {
        let detail = said!("fault-too-long-line", most_bytes = MOST_LINE_BYTES);
        return Err(LineFault::at_line(Kind::Encoding, 1, &[], detail));
    }
    let (bytes, said, skipped) = without_hint(bytes);
    let separator = match separator.or(said) {
        Some(separator) => separator,
        None => found(bytes)?,
    };
    let mut reader = ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator.byte())
        .from_reader(bytes);
    let mut record = ByteRecord::new();
    let decimal_comma = separator == Separator::Semicolon;
    let mut row = Row::of_text(decimal_comma);
    loop {
        stop::look();
        match reader.read_byte_record(&mut record) {
            // A line of blanks or of separators alone is none.
            Ok(true) if record.iter().all(|field| field.trim_ascii().is_empty()) => continue,
            Ok(true) => {}
            Ok(false) => return Ok(()),
            Err(error) => {
                let line = error.position().map_or(1, csv::Position::line) + skipped;
                let detail = said!("fault-unreadable-row");
                take(Err(LineFault::at_line(Kind::Encoding, line, &[], detail)));
                return Ok(());
            }
        }
        row.begin(line_of(&record, bytes) + skipped);
        if !take(filled(&mut row, &record).map(|()| &row)) {
            return Ok(());
        }
    }
}

/// Fills a row with the trimmed fields, if they are text.
fn filled(row: &mut Row, record: &ByteRecord) -> Result<(), LineFault> {
    let fault = |line, detail| Err(LineFault::at_line(Kind::Encoding, line, &[], detail));
    if record.as_slice().contains(&0) {
        return fault(row.line, said!("fault-unreadable-nul"));
    }
    for field in record {
        let Ok(text) = std::str::from_utf8(field) else {
            return fault(row.line, said!("fault-unreadable-encoding"));
        };
        row.push(Cell::Text(from_cell(text.trim())));
    }
    Ok(())
}

/// The text behind a first line that names the separator.
fn without_hint(bytes: &[u8]) -> (&[u8], Option<Separator>, u64) {
    let Some(rest) = bytes.strip_prefix(b"sep=") else { return (bytes, None, 0) };
    let separator = rest.first().and_then(|byte| Separator::of_byte(*byte));
    let end = rest.get(1..).unwrap_or_default();
    let behind = end.strip_prefix(b"\r\n").or_else(|| end.strip_prefix(b"\n"));
    match (separator, behind) {
        (Some(separator), Some(behind)) => (behind, Some(separator), 1),
        _ => (bytes, None, 0),
    }
}

/// The separator that stands most often in the first line, outside of quotes.
fn found(bytes: &[u8]) -> Result<Separator, LineFault> {
    let start = bytes.iter().position(|byte| !byte.is_ascii_whitespace()).unwrap_or(bytes.len());
    let mut counts = [Separator::Comma, Separator::Semicolon, Separator::Tab]
        .map(|separator| (0_usize, separator));
    let mut quoted = false;
    for byte in &bytes[start..] {
        match byte {
            b'"' => quoted = !quoted,
            b'\n' | b'\r' if !quoted => break,
            byte if !quoted => {
                let own = counts.iter_mut().find(|(_, separator)| separator.byte() == *byte);
                own.into_iter().for_each(|(count, _)| *count += 1);
            }
            _ => {}
        }
    }
    counts.sort_by_key(|(count, _)| std::cmp::Reverse(*count));
    match counts {
        [(first, _), (second, _), _] if first == second && first > 0 => {
            let line = 1 + bytes[..start].iter().filter(|byte| **byte == b'\n').count() as u64;
            Err(LineFault::at_line(Kind::Column, line, &[], said!("fault-unclear-separator")))
        }
        [(0, _), ..] => Ok(Separator::Comma),
        [(_, separator), ..] => Ok(separator),
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
