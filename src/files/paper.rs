//! Papers: PDF files, kept as they came.

use catalogue::{Text, said};
use hayro_syntax::Pdf;
use std::panic::catch_unwind;

/// Bytes at the end of a file among which its end mark stands (ISO 32000-1, annex H, implementation note 18).
const END: usize = 1024;
/// Bytes at the end of a file among which that of a ZIP archive stands: its longest comment, and its record.
const ZIP_END: usize = 0xffff + 22;
/// Names of what runs, or brings other files along, by themselves or once a reader lets them.
const ACTIVE: [&[u8]; 5] = [b"/JavaScript", b"/Launch", b"/EmbeddedFile", b"/RichMedia", b"/GoToE"];

/// Whether a file is a whole PDF that can be opened, and nothing else beside.
///
/// Not a promise that it does no harm in a bad reader: names can be hidden in what is compressed. So papers are
/// only ever given out to be saved.
///
/// # Errors
/// In words for the sender.
pub fn check(bytes: &[u8]) -> Result<(), Text> {
    let last = |count: usize| &bytes[bytes.len().saturating_sub(count)..];
    let has = |part: &[u8], mark: &[u8]| part.windows(mark.len()).any(|at| at == mark);
    if !has(last(END), b"%%EOF") {
        return Err(said!("fault-unreadable-pdf-end"));
    }
    if has(last(ZIP_END), b"PK\x05\x06") {
        return Err(said!("fault-unsupported-pdf-archive"));
    }
    if ACTIVE.iter().any(|name| has(bytes, name)) {
        return Err(said!("fault-unsupported-pdf-active"));
    }
    let copy = bytes.to_vec();
    let pages = catch_unwind(move || Pdf::new(copy).ok().map(|pdf| pdf.pages().len()));
    match pages {
        Ok(Some(1..)) => Ok(()),
        _ => Err(said!("fault-unreadable-pdf")),
    }
}
