//! Reads an archive that anybody may have made: nothing in it is trusted.

use super::{
    ArchiveRow, MOST_FAULTS,
    cell::{ArchiveColumn, CellKind},
    manifest::{ArchiveFile, ArchiveManifest, FORMAT, FORMAT_VERSION, FileHolds, MANIFEST},
    pictures::{MOST_PICTURES, picture_of},
    tables::{ArchiveTable, HISTORY, PEOPLE, tables},
    writer::hexadecimal,
};
use crate::fault::{Fault, Faults, cut, near, quoted};
use crate::record::renew;
use catalogue::{Text, said};
use serde_json::{Map, Value};
use sha2::{Digest as _, Sha256};
use std::{
    cell::Cell,
    collections::{BTreeMap, BTreeSet},
    io::{self, Cursor, Read},
    ops::Deref,
    rc::Rc,
};
use zip::ZipArchive;

/// Bytes that all files of an archive may hold together: some million dogs with their records.
const MOST_BYTES: u64 = 1 << 30;
/// Bytes that one line may hold: four of the longest texts there are.
const LONGEST_LINE: u64 = 1 << 20;
/// Bytes of `manifest.json`.
const LONGEST_MANIFEST: u64 = 1 << 20;

/// Files that are looked at: more than any archive has.
fn most_files() -> usize {
    2 * tables().count()
}

/// Reports what is wrong with a row of a table by itself.
pub type RowCheck = dyn Fn(&str, Map<String, Value>) -> Vec<Fault>;

/// An archive whose outline has been checked.
#[derive(Debug, Clone)]
pub struct ArchiveSource<B> {
    pub(super) bytes: B,
    manifest: ArchiveManifest,
    /// SHA-256 of the files of pictures and papers.
    pub(super) pictures: BTreeSet<String>,
}

/// An archive of which every row was found good by itself: only such a one is taken in.
#[derive(Debug, Clone)]
pub struct CheckedArchive<B>(ArchiveSource<B>);

impl<B> Deref for CheckedArchive<B> {
    type Target = ArchiveSource<B>;

    fn deref(&self) -> &ArchiveSource<B> {
        &self.0
    }
}

impl<B: AsRef<[u8]> + Clone> ArchiveSource<B> {
    /// Opens an archive: its list of files and its manifest, not the files themselves.
    ///
    /// # Errors
    /// Every fault: no ZIP file, a file that does not belong, a format that is not known.
    pub fn open(bytes: B) -> Result<Self, Vec<Fault>> {
        let mut zip = ZipArchive::new(Cursor::new(bytes.clone()))
            .map_err(|_| fault("", said!("fault-unreadable-archive")))?;
        let mut faults = Faults::new();
        let (mut names, mut pictures) = (BTreeSet::new(), BTreeSet::new());
        for index in 0..zip.len().min(MOST_PICTURES) {
            let name = match zip.name_for_index(index) {
                Some(Ok(name)) => name.into_owned(),
                _ => said!("archive-name-no-text").to_string(),
            };
            if let Some(sha256) = picture_of(&name) {
                pictures.insert(sha256.to_owned());
                continue;
            }
            if names.len() > most_files() {
                break;
            }
            let known = name == MANIFEST
                || name == PEOPLE
                || name == HISTORY
                || ArchiveTable::of_file(&name).is_some();
            let shown = cut(&name).replace(char::is_control, "");
            faults.unless(known, &shown, || said!("fault-unknown-field-archive-file"));
            names.insert(name);
        }
        let is_small = names.len() <= most_files() && zip.len() <= MOST_PICTURES;
        faults.unless(is_small && !zip.has_duplicate_names(), "", || {
            said!("fault-too-many-archive-files")
        });
        faults.into_result()?;
        let manifest = read_manifest(&mut zip)?;
        check_outline(&manifest, &names)?;
        Ok(Self { bytes, manifest, pictures })
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
        tables().filter_map(move |table| Some((table, file(table)?)))
    }

    /// The archive, when everything in it is good by itself: see [`ArchiveSource::check`].
    ///
    /// # Errors
    /// Every fault with its file and line, up to [`MOST_FAULTS`].
    pub fn checked(
        self,
        columns: &BTreeMap<String, Vec<ArchiveColumn>>,
        check: &RowCheck,
    ) -> Result<CheckedArchive<B>, Vec<Fault>> {
        self.check(columns, check)?;
        Ok(CheckedArchive(self))
    }

    /// Reads everything once: checksums, numbers of rows, columns, every cell and every row.
    ///
    /// # Errors
    /// Every fault with its file and line, up to [`MOST_FAULTS`].
    pub(super) fn check(
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
                Err(error) => faults.push(Fault::new(&file.name, unread(error))),
                Ok(_) if faults.len() >= MOST_FAULTS => break,
                Ok(_) if rows != file.rows => faults.push(Fault::new(
                    &file.name,
                    said!("fault-differs-archive-rows", rows = rows, told = file.rows),
                )),
                Ok(sha256) if sha256 != file.sha256 => {
                    faults.push(Fault::new(&file.name, said!("fault-differs-archive-sum")));
                }
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
        outcome.map_err(|error| fault(&file.name, unread(error)))?;
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
            return Err(io::Error::other(said!("fault-differs-archive-columns")));
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

/// Why a file could not be read: in our words where we refused it, else it could not be unpacked.
fn unread(error: io::Error) -> Text {
    match error.downcast::<Text>() {
        Ok(text) => text,
        Err(_) => said!("fault-unreadable-archive-file"),
    }
}

/// Says in our words why lines could not be read.
fn csv_fault(error: csv::Error) -> io::Error {
    let at = error.position().map_or(0, csv::Position::line);
    match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        csv::ErrorKind::Utf8 { .. } => {
            io::Error::other(said!("fault-unreadable-archive-encoding", line = at))
        }
        csv::ErrorKind::UnequalLengths { expected_len, len, .. } => io::Error::other(said!(
            "fault-differs-archive-cells",
            count = len,
            line = at,
            expected = expected_len
        )),
        _ => io::Error::other(said!("fault-unreadable-archive-line", line = at)),
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
        let count = self.inner.read(buffer)?;
        let bytes = count as u64;
        let Some(left) = self.left.get().checked_sub(bytes) else {
            return Err(io::Error::other(said!(
                "fault-too-many-archive-bytes",
                most_mb = MOST_BYTES >> 20
            )));
        };
        self.left.set(left);
        self.line.set(self.line.get() + bytes);
        if self.line.get() > LONGEST_LINE {
            return Err(io::Error::other(said!("fault-too-long-archive-line")));
        }
        self.hash.update(&buffer[..count]);
        Ok(count)
    }
}

fn read_manifest<R: Read + io::Seek>(
    zip: &mut ZipArchive<R>,
) -> Result<ArchiveManifest, Vec<Fault>> {
    let entry =
        zip.by_name(MANIFEST).map_err(|_| fault(MANIFEST, said!("fault-missing-manifest")))?;
    let mut text = Vec::new();
    entry
        .take(LONGEST_MANIFEST)
        .read_to_end(&mut text)
        .map_err(|_| fault(MANIFEST, said!("fault-unreadable-manifest-unpacked")))?;
    let value: Value = serde_json::from_slice(&text).map_err(|error| {
        fault(
            MANIFEST,
            said!("fault-unreadable-manifest-json", line = error.line(), column = error.column()),
        )
    })?;
    let format = value["format"].as_str().unwrap_or_default();
    if format != FORMAT {
        return Err(fault(MANIFEST, said!("fault-unsupported-archive-format", format = FORMAT)));
    }
    if value["format_version"].as_u64().is_none_or(|version| version > u64::from(FORMAT_VERSION)) {
        let detail = said!("fault-unsupported-archive-version", newest = FORMAT_VERSION);
        return Err(fault(MANIFEST, detail));
    }
    serde_json::from_value(value).map_err(|_| fault(MANIFEST, said!("fault-unreadable-manifest")))
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
            said!("fault-not-found-archive-file", file = quoted(&file.name))
        });
    }
    for name in names.iter().filter(|name| *name != MANIFEST) {
        faults
            .unless(told.contains(name), name, || said!("fault-unknown-field-archive-file-untold"));
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
        let is_known = known.iter().any(|column| column.name == *name);
        let fits = (is_known || former.contains(&name.as_str())) && told.insert(name);
        faults.unless(fits, &file.name, || unknown_column(name, known));
    }
    let place = |column: &ArchiveColumn| file.columns.iter().position(|name| *name == column.name);
    for column in known.iter().filter(|column| column.required) {
        faults.unless(place(column).is_some(), &file.name, || {
            said!("fault-missing-archive-column", column = column.name.as_str())
        });
    }
    faults.into_result()?;
    Ok(known.iter().map(|column| (column, place(column))).collect())
}

/// That a column is not known, and which one may be meant.
fn unknown_column(name: &str, known: &[ArchiveColumn]) -> Text {
    let is_known = known.iter().any(|column| column.name == name);
    let names = known.iter().map(|column| column.name.as_str());
    match near(name, names).filter(|_| !is_known) {
        Some(near) => {
            said!("fault-unknown-field-archive-column-near", column = quoted(name), near = near)
        }
        None => said!("fault-unknown-field-archive-column", column = quoted(name)),
    }
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
            Ok(Some((text, mut json))) => {
                // An archive of an earlier edition.
                let renewed = column.kind == CellKind::Json && renew(&column.name, &mut json);
                row.push(Some(if renewed { json.to_string() } else { text }));
                members.insert(column.name.clone(), json);
            }
            Ok(None) => {
                row.push(None);
                faults.unless(!column.required, &format!("/{}", column.name), || {
                    said!("fault-missing-given")
                });
            }
            Err(detail) => faults.add(format!("/{}", column.name), detail),
        }
    }
    let version = members.get("version").and_then(Value::as_i64);
    faults.unless(version.is_none_or(|version| version >= 1), "/version", || {
        said!("fault-out-of-range-version", least = 1)
    });
    faults.into_result().map(|()| (row, members))
}

/// A fault of a row at its line: `dogs.csv#line/7/born_on`.
fn at_line(file: &str, line: u64, fault: Fault) -> Fault {
    Fault { pointer: format!("{file}#line/{line}{}", fault.pointer), ..fault }
}

fn fault(pointer: &str, detail: impl Into<Text>) -> Vec<Fault> {
    vec![Fault::new(pointer, detail)]
}
