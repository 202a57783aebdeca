use super::*;
use crate::record::Kennel;
use manifest::{FORMAT, FORMAT_VERSION, MANIFEST, NOTATION};
use proptest::prelude::*;
use std::{
    collections::BTreeMap,
    io::{Cursor, Write as _},
};
use uuid::Uuid;
use zip::{ZipWriter, write::SimpleFileOptions};

fn manifest() -> ArchiveManifest {
    ArchiveManifest {
        format: FORMAT.to_owned(),
        format_version: FORMAT_VERSION,
        schema: "2026".to_owned(),
        written_at: "2026-05-17T04:10:00Z".parse().unwrap(),
        kennel_id: Uuid::from_u128(1),
        kennel: Kennel::of("Larkfell".into(), "Europe/London".into(), None, "GBP".into()),
        notation: NOTATION.to_owned(),
        files: Vec::new(),
    }
}

fn columns() -> BTreeMap<String, Vec<ArchiveColumn>> {
    let column = |name: &str, kind, required| ArchiveColumn { name: name.into(), kind, required };
    let dogs = vec![
        column("id", CellKind::Id, true),
        column("note", CellKind::Text, false),
        column("weight", CellKind::Integer, false),
    ];
    BTreeMap::from([("dogs".to_owned(), dogs)])
}

fn written(rows: &[ArchiveRow]) -> Vec<u8> {
    let mut writer = ArchiveWriter::new(Cursor::new(Vec::new()));
    let shape = columns();
    let shape: Vec<_> = shape["dogs"].iter().map(|c| (c.name.as_str(), c.kind)).collect();
    writer.begin("dogs.csv", FileHolds::Records, &shape).unwrap();
    writer.rows(rows).unwrap();
    writer.finish(manifest()).unwrap().into_inner()
}

/// A ZIP of these files, whatever they are.
fn zipped(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        zip.start_file(*name, SimpleFileOptions::default()).unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

fn told(file: &str, columns: &[&str], text: &str) -> Vec<u8> {
    use sha2::{Digest as _, Sha256};
    let file = ArchiveFile {
        name: file.to_owned(),
        holds: FileHolds::Records,
        rows: text.lines().count().saturating_sub(1) as u64,
        sha256: writer::hexadecimal(&Sha256::digest(text)),
        columns: columns.iter().map(|column| (*column).to_owned()).collect(),
    };
    let manifest = ArchiveManifest { files: vec![file.clone()], ..manifest() };
    let manifest = serde_json::to_vec(&manifest).unwrap();
    zipped(&[(&file.name, text.as_bytes()), (MANIFEST, &manifest)])
}

fn faults_of(bytes: Vec<u8>) -> Vec<String> {
    let checked =
        ArchiveSource::open(bytes).and_then(|source| source.check(&columns(), &|_, _| Vec::new()));
    checked.unwrap_err().into_iter().map(|fault| fault.pointer).collect()
}

fn read(bytes: Vec<u8>) -> Vec<ArchiveRow> {
    let source = ArchiveSource::open(bytes).unwrap();
    source.check(&columns(), &|_, _| Vec::new()).unwrap();
    let (_, file) = source.tables().next().unwrap();
    let mut rows = Vec::new();
    let mut take = |_, row| {
        rows.push(row);
        true
    };
    source.rows(file, &columns()["dogs"], &mut take).unwrap();
    rows
}

proptest! {
    /// Whatever a text is, it comes back, and unknown stays unknown.
    #[test]
    fn what_is_written_is_read(
        notes in prop::collection::vec(
            prop::option::of("[^\\x00]{0,12}|[\\\\=+@\t\r\n\",-].{0,5}".prop_filter("no NUL", |t| !t.contains('\0'))),
            0..8,
        ),
    ) {
        let row = |(n, note): (usize, &Option<String>)| {
            vec![Some(Uuid::from_u128(n as u128).to_string()), note.clone(), None]
        };
        let rows: Vec<ArchiveRow> = notes.iter().enumerate().map(row).collect();
        prop_assert_eq!(read(written(&rows)), rows);
    }
}

#[test]
fn nothing_in_a_file_begins_a_formula() {
    for text in ["=1+1", "+49 30 1234", "-1", "@SUM(A1)", "\t=1", "\\x", ""] {
        let cell = CellKind::Text.written(Some(text));
        assert!(cell.starts_with('\\'), "{text:?} is written {cell:?}");
    }
    assert_eq!(CellKind::Text.written(Some("a=b")), "a=b");
    assert_eq!(CellKind::Integer.written(Some("-5")), "-5");
}

#[test]
fn every_faulty_line_is_named() {
    let id = Uuid::from_u128(7);
    let text = format!("id,note,weight\n{id},ok,5\nx,,\n{id},,heavy\n,,1\n");
    assert_eq!(
        faults_of(told("dogs.csv", &["id", "note", "weight"], &text)),
        ["dogs.csv#line/3/id", "dogs.csv#line/4/weight", "dogs.csv#line/5/id"]
    );
    let text = format!("id,colour\n{id},red\n");
    assert_eq!(faults_of(told("dogs.csv", &["id", "colour"], &text)), ["dogs.csv"]);
    assert_eq!(faults_of(told("dogs.csv", &["note"], "note\nx\n")), ["dogs.csv"]);
    let text = format!("id,note\n{id}\n");
    assert_eq!(faults_of(told("dogs.csv", &["id", "note"], &text)), ["dogs.csv"]);
}

#[test]
fn what_is_no_archive_is_refused() {
    assert_eq!(faults_of(b"not a zip".to_vec()), [""]);
    assert_eq!(faults_of(zipped(&[("dogs.csv", b"id\n")])), [MANIFEST]);
    assert_eq!(faults_of(zipped(&[("../../etc/passwd", b"x")])), ["../../etc/passwd"]);
    assert_eq!(faults_of(zipped(&[(MANIFEST, b"{}")])), [MANIFEST]);
    let newer = ArchiveManifest { format_version: FORMAT_VERSION + 1, ..manifest() };
    let newer = serde_json::to_vec(&newer).unwrap();
    assert_eq!(faults_of(zipped(&[(MANIFEST, &newer)])), [MANIFEST]);
    // Told of and not there, there and not told of.
    let own = serde_json::to_vec(&manifest()).unwrap();
    assert_eq!(faults_of(zipped(&[(MANIFEST, &own), ("dogs.csv", b"id\n")])), ["dogs.csv"]);
    let mut cut = written(&[]);
    cut.truncate(cut.len() / 2);
    assert_eq!(faults_of(cut), [""]);
}

#[test]
fn a_changed_file_is_noticed() {
    let id = Uuid::from_u128(7).to_string();
    let honest = written(&[vec![Some(id.clone()), Some("a".to_owned()), None]]);
    let source = ArchiveSource::open(honest).unwrap();
    let manifest = serde_json::to_vec(source.manifest()).unwrap();
    let changed = format!("id,note,weight\n{id},b,\n");
    let files: [(&str, &[u8]); 2] = [("dogs.csv", changed.as_bytes()), (MANIFEST, &manifest)];
    assert_eq!(faults_of(zipped(&files)), ["dogs.csv"]);
}

/// A line without end is given up early, however well it packs.
#[test]
fn a_line_without_end_is_refused() {
    let text = format!("id,note\n{},{}\n", Uuid::from_u128(7), "a".repeat(40_000_000));
    let bytes = told("dogs.csv", &["id", "note"], &text);
    assert!(bytes.len() < 200_000, "it packs well: {}", bytes.len());
    assert_eq!(faults_of(bytes), ["dogs.csv"]);
}

/// Members of a stored object were called otherwise: they are taken in by the names of now.
#[test]
fn an_archive_of_before_is_read_by_the_names_of_now() {
    let column = |name: &str, kind| ArchiveColumn { name: name.into(), kind, required: true };
    let matings = vec![column("id", CellKind::Id), column("ties", CellKind::Json)];
    let columns = BTreeMap::from([("matings".to_owned(), matings)]);
    let id = Uuid::from_u128(7);
    for member in ["at", "happened_at"] {
        let ties = format!("[{{\"\"{member}\"\":\"\"2026-03-13T18:30:00Z\"\"}}]");
        let text = format!("id,ties\n{id},\"{ties}\"\n");
        let source = ArchiveSource::open(told("matings.csv", &["id", "ties"], &text)).unwrap();
        let seen = |table: &str, row: serde_json::Map<String, serde_json::Value>| {
            assert_eq!((table, row["ties"][0]["happened_at"].is_string()), ("matings", true));
            Vec::new()
        };
        source.check(&columns, &seen).unwrap();
        let (_, file) = source.tables().next().unwrap();
        let mut cells = Vec::new();
        let mut take = |_, row: ArchiveRow| {
            cells.extend(row[1].clone());
            true
        };
        source.rows(file, &columns["matings"], &mut take).unwrap();
        assert_eq!(cells, [r#"[{"happened_at":"2026-03-13T18:30:00Z"}]"#]);
    }
}
