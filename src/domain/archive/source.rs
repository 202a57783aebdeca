//! Reads an archive that anybody may have made: nothing in it is trusted.

use super::{
    ArchiveRow, MOST_FAULTS,
    cell::ArchiveColumn,
    manifest::{ArchiveFile, ArchiveManifest, FORMAT, FORMAT_VERSION, FileHolds, MANIFEST},
    tables::{ArchiveTable, HISTORY, PEOPLE, TABLES},
    writer::hexadecimal,
};
use crate::fault::{Fault, Faults, cut, in_brief, quoted};
use serde_json::{Map, Value};
use sha2::{Digest as _, Sha256};
use std::{
    cell::Cell,
    collections::{BTreeMap, BTreeSet},
    io::{self, Cursor, Read},
    rc::Rc,
};
use zip::ZipArchive;

/// Bytes that all files of an archive may hold together: some million dogs with their records.
const MOST_BYTES: u64 = 1 << 30;
/// Bytes that one line may hold: four of the longest texts there are.
const LONGEST_LINE: u64 = 1 << 20;
/// Bytes of `manifest.json`.
const LONGEST_MANIFEST: u64 = 1 << 20;

/// Reports what is wrong with a row of a table by itself.
pub type RowCheck = dyn Fn(&str, Map<String, Value>) -> Vec<Fault>;

/// An archive whose outline has been checked.
#[derive(Debug, Clone)]
pub struct ArchiveSource<B> {
    bytes: B,
    manifest: ArchiveManifest,
}

impl<B: AsRef<[u8]> + Clone> ArchiveSource<B> {
    /// Opens an archive: its list of files and its manifest, not the files themselves.
    ///
    /// # Errors
    /// Every fault: no ZIP file, a file that does not belong, a format that is not known.
    pub fn open(bytes: B) -> Result<Self, Vec<Fault>> {
        let mut zip = ZipArchive::new(Cursor::new(bytes.clone())).map_err(|_| {
            fault("", "is not a ZIP file, or not a whole one; send the archive as it was written")
        })?;
        let mut faults = Faults::new();
        let mut names = BTreeSet::new();
        for index in 0..zip.len().min(2 * TABLES.len()) {
            let name = match zip.name_for_index(index) {
                Some(Ok(name)) => name.into_owned(),
                _ => "a name that is no text".to_owned(),
            };
            let known = name == MANIFEST
                || name == PEOPLE
                || name == HISTORY
                || ArchiveTable::of_file(&name).is_some();
            let shown = cut(&name).replace(char::is_control, "");
            faults.unless(known, &shown, || "is no file of an archive; take it out".to_owned());
            names.insert(name);
        }
        faults.unless(zip.len() <= 2 * TABLES.len() && !zip.has_duplicate_names(), "", || {
            "has too many files, or two of one name".to_owned()
        });
        faults.into_result()?;
        let manifest = read_manifest(&mut zip)?;
        check_outline(&manifest, &names)?;
        Ok(Self { bytes, manifest })
    }

    /// What the archive says about itself.
    pub fn manifest(&self) -> &ArchiveManifest {
        &self.manifest
    }

    /// The tables in the order in which they are taken in, with their files.
    pub fn tables(&self) -> impl Iterator<Item = (&'static ArchiveTable, &ArchiveFile)> {
        let file = |table: &ArchiveTable| {
            self.manifest.files.iter().find(|file| file.name == table.file())
        };
        TABLES.iter().filter_map(move |table| Some((table, file(table)?)))
    }

    /// Reads everything once: checksums, numbers of rows, columns, every cell and every row.
    ///
    /// # Errors
    /// Every fault with its file and line, up to [`MOST_FAULTS`].
    pub fn check(
        &self,
        columns: &BTreeMap<String, Vec<ArchiveColumn>>,
        check: &RowCheck,
    ) -> Result<(), Vec<Fault>> {
        let mut faults = Vec::new();
        let left = Rc::new(Cell::new(MOST_BYTES));
        for file in &self.manifest.files {
            let table = ArchiveTable::of_file(&file.name);
            let columns = match table.and_then(|table| columns.get(table.name)) {
                Some(known) => match places(file, known) {
                    Ok(places) => Some(places),
                    Err(found) => {
                        faults.extend(found);
                        continue;
                    }
                },
                None => None,
            };
            let mut rows = 0;
            let outcome = self.lines(file, &left, &mut |line, cells| {
                rows += 1;
                crate::stop::look();
                let (Some(columns), Some(table)) = (&columns, table) else { return true };
                let found = match row_of(columns, cells) {
                    Ok((_, members)) => check(table.name, members),
                    Err(found) => found,
                };
                faults.extend(found.into_iter().map(|fault| at_line(&file.name, line, fault)));
                faults.len() < MOST_FAULTS
            });
            match outcome {
                Err(error) => faults.push(one(&file.name, error.to_string())),
                Ok(_) if faults.len() >= MOST_FAULTS => break,
                Ok(_) if rows != file.rows => faults.push(one(
                    &file.name,
                    format!("has {rows} rows, and manifest.json says {}", file.rows),
                )),
                Ok(sha256) if sha256 != file.sha256 => faults.push(one(
                    &file.name,
                    "is not the file that manifest.json has the checksum of; it was changed or damaged",
                )),
                Ok(_) => {}
            }
        }
        faults.truncate(MOST_FAULTS);
        if faults.is_empty() { Ok(()) } else { Err(faults) }
    }

    /// Hands out the rows of a file, each with its line and with one value for each of `columns`,
    /// until `take` gives `false`.
    ///
    /// # Errors
    /// What [`ArchiveSource::check`] would have found.
    pub fn rows(
        &self,
        file: &ArchiveFile,
        columns: &[ArchiveColumn],
        take: &mut dyn FnMut(u64, ArchiveRow) -> bool,
    ) -> Result<(), Vec<Fault>> {
        let columns = places(file, columns)?;
        let mut faults = Vec::new();
        let left = Rc::new(Cell::new(MOST_BYTES));
        let outcome = self.lines(file, &left, &mut |line, cells| match row_of(&columns, cells) {
            Ok((row, _)) => take(line, row),
            Err(found) => {
                faults.extend(found.into_iter().map(|fault| at_line(&file.name, line, fault)));
                false
            }
        });
        outcome.map_err(|error| fault(&file.name, error.to_string()))?;
        if faults.is_empty() { Ok(()) } else { Err(faults) }
    }

    /// Hands out the lines of a file after its first; gives the checksum of all that was read.
    fn lines(
        &self,
        file: &ArchiveFile,
        left: &Rc<Cell<u64>>,
        take: &mut dyn FnMut(u64, &csv::StringRecord) -> bool,
    ) -> io::Result<String> {
        let mut zip = ZipArchive::new(Cursor::new(self.bytes.clone())).map_err(io::Error::other)?;
        let entry = zip.by_name(&file.name).map_err(io::Error::other)?;
        let line = Rc::new(Cell::new(0));
        let mut hash = Sha256::new();
        let counted = Counted {
            inner: entry,
            left: Rc::clone(left),
            line: Rc::clone(&line),
            hash: &mut hash,
        };
        let mut csv = csv::ReaderBuilder::new().from_reader(counted);
        if csv.headers().map_err(csv_fault)?.iter().ne(file.columns.iter().map(String::as_str)) {
            return Err(io::Error::other("has other columns than manifest.json says"));
        }
        let mut record = csv::StringRecord::new();
        while csv.read_record(&mut record).map_err(csv_fault)? {
            line.set(0);
            let number = record.position().map_or(0, csv::Position::line);
            if !take(number, &record) {
                return Ok(String::new());
            }
        }
        drop(csv);
        Ok(hexadecimal(&hash.finalize()))
    }
}

/// Says in our words why lines could not be read.
fn csv_fault(error: csv::Error) -> io::Error {
    let at = error.position().map_or(0, csv::Position::line);
    match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        csv::ErrorKind::Utf8 { .. } => io::Error::other(format!("is not UTF-8 at line {at}")),
        csv::ErrorKind::UnequalLengths { expected_len, len, .. } => {
            io::Error::other(format!("has {len} cells in line {at}; each line has {expected_len}"))
        }
        _ => io::Error::other(format!("is not comma-separated text at line {at}")),
    }
}

/// Reads no more than may be read, and takes the checksum of it.
struct Counted<'a, R> {
    inner: R,
    /// Bytes that all files may still give.
    left: Rc<Cell<u64>>,
    /// Bytes since the last line ended.
    line: Rc<Cell<u64>>,
    hash: &'a mut Sha256,
}

impl<R: Read> Read for Counted<'_, R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let count = self.inner.read(buffer).map_err(|error| {
            io::Error::other(format!("cannot be unpacked ({error}); the archive is damaged"))
        })?;
        let bytes = count as u64;
        let Some(left) = self.left.get().checked_sub(bytes) else {
            return Err(io::Error::other(format!(
                "makes the archive larger than {} MB unpacked",
                MOST_BYTES >> 20
            )));
        };
        self.left.set(left);
        self.line.set(self.line.get() + bytes);
        if self.line.get() > LONGEST_LINE {
            return Err(io::Error::other("has a line that is longer than 1 MB"));
        }
        self.hash.update(&buffer[..count]);
        Ok(count)
    }
}

fn read_manifest<R: Read + io::Seek>(
    zip: &mut ZipArchive<R>,
) -> Result<ArchiveManifest, Vec<Fault>> {
    let entry = zip
        .by_name(MANIFEST)
        .map_err(|_| fault(MANIFEST, "is missing; send the archive as it was written"))?;
    let mut text = Vec::new();
    entry
        .take(LONGEST_MANIFEST)
        .read_to_end(&mut text)
        .map_err(|_| fault(MANIFEST, "cannot be unpacked; the archive is damaged"))?;
    let value: Value = serde_json::from_slice(&text)
        .map_err(|error| fault(MANIFEST, format!("is not JSON: {error}")))?;
    let format = value["format"].as_str().unwrap_or_default();
    if format != FORMAT {
        return Err(fault(MANIFEST, format!("is of another format than {FORMAT}")));
    }
    if value["format_version"].as_u64().is_none_or(|version| version > u64::from(FORMAT_VERSION)) {
        let newest = format!("is of a newer format; this service reads up to {FORMAT_VERSION}");
        return Err(fault(MANIFEST, newest));
    }
    serde_json::from_value(value).map_err(|error| {
        fault(MANIFEST, format!("cannot be read: {}", in_brief(&error.to_string())))
    })
}

/// The files that there are are the files that the manifest tells of.
fn check_outline(manifest: &ArchiveManifest, names: &BTreeSet<String>) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    let mut told = BTreeSet::new();
    for file in &manifest.files {
        let holds = if ArchiveTable::of_file(&file.name).is_some() {
            FileHolds::Records
        } else {
            FileHolds::Reading
        };
        let fits = names.contains(&file.name) && file.name != MANIFEST && file.holds == holds;
        faults.unless(fits && told.insert(&file.name), MANIFEST, || {
            let name = quoted(&file.name);
            format!("tells of {name}, which is not in the archive, or tells of it twice")
        });
    }
    for name in names.iter().filter(|name| *name != MANIFEST) {
        faults.unless(told.contains(name), name, || "is not told of in manifest.json".to_owned());
    }
    faults.into_result()
}

/// The columns of a file with their places: `None` for one that the file does not have.
type Places<'a> = Vec<(&'a ArchiveColumn, Option<usize>)>;

fn places<'a>(file: &ArchiveFile, known: &'a [ArchiveColumn]) -> Result<Places<'a>, Vec<Fault>> {
    let mut faults = Faults::new();
    let mut told = BTreeSet::new();
    let table = ArchiveTable::of_file(&file.name);
    let former = table.map(|table| table.former).unwrap_or_default();
    for name in &file.columns {
        let known = known.iter().any(|column| column.name == *name);
        let fits = (known || former.contains(&name.as_str())) && told.insert(name);
        faults.unless(fits, &file.name, || {
            let name = quoted(name);
            format!("has a column {name} that this service does not know, or has it twice")
        });
    }
    let place = |column: &ArchiveColumn| file.columns.iter().position(|name| *name == column.name);
    for column in known.iter().filter(|column| column.required) {
        faults.unless(place(column).is_some(), &file.name, || {
            format!("has no column {:?}", column.name)
        });
    }
    faults.into_result()?;
    Ok(known.iter().map(|column| (column, place(column))).collect())
}

/// A line as values, and as the members of a record: what is unknown is left out of these.
fn row_of(
    columns: &Places<'_>,
    cells: &csv::StringRecord,
) -> Result<(ArchiveRow, Map<String, Value>), Vec<Fault>> {
    let mut faults = Faults::new();
    let mut row = Vec::with_capacity(columns.len());
    let mut members = Map::new();
    for (column, place) in columns {
        let cell = place.and_then(|place| cells.get(place)).unwrap_or_default();
        match column.kind.read(cell) {
            Ok(Some((text, json))) => {
                row.push(Some(text));
                members.insert(column.name.clone(), json);
            }
            Ok(None) => {
                row.push(None);
                faults.unless(!column.required, &format!("/{}", column.name), || {
                    "is missing; it must be given".to_owned()
                });
            }
            Err(detail) => faults.add(format!("/{}", column.name), detail),
        }
    }
    let version = members.get("version").and_then(Value::as_i64);
    faults.unless(version.is_none_or(|version| version >= 1), "/version", || {
        "is less than 1".to_owned()
    });
    faults.into_result().map(|()| (row, members))
}

/// A fault of a row at its line: `dogs.csv#line/7/born_on`.
fn at_line(file: &str, line: u64, fault: Fault) -> Fault {
    Fault { pointer: format!("{file}#line/{line}{}", fault.pointer), ..fault }
}

fn one(pointer: &str, detail: impl Into<String>) -> Fault {
    Fault { pointer: pointer.to_owned(), detail: detail.into() }
}

fn fault(pointer: &str, detail: impl Into<String>) -> Vec<Fault> {
    vec![one(pointer, detail)]
}
