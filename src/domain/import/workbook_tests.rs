//! Workbooks, good ones and such as do harm.

use super::*;
use crate::import::table::{self, Part, TableHow};

const TYPES: &str =
    r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>"#;
const RELS: &str = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#;
const BOOK_RELS: &str = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="r2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet2.xml"/></Relationships>"#;
/// Format 1 is a day (14 of the built-in ones).
const STYLES: &str = r#"<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="14"/></cellXfs></styleSheet>"#;

fn book(properties: &str) -> String {
    format!(
        r#"<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships">{properties}<sheets><sheet name="Dogs" sheetId="1" r:id="r1"/><sheet name="Others" sheetId="2" r:id="r2"/></sheets></workbook>"#
    )
}

fn sheet(rows: &str) -> String {
    format!(
        r#"<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{rows}</sheetData></worksheet>"#
    )
}

/// An archive of these parts, beside those that every workbook has.
fn packed(parts: &[(&str, &str)]) -> Vec<u8> {
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    let book = book("");
    let others = sheet("");
    let usual = [
        ("[Content_Types].xml", TYPES),
        ("_rels/.rels", RELS),
        ("xl/workbook.xml", &book),
        ("xl/_rels/workbook.xml.rels", BOOK_RELS),
        ("xl/styles.xml", STYLES),
        ("xl/worksheets/sheet2.xml", &others),
    ];
    let usual = usual.iter().filter(|(name, _)| parts.iter().all(|(own, _)| own != name));
    for (name, text) in usual.chain(parts) {
        archive.start_file(*name, SimpleFileOptions::default()).unwrap();
        archive.write_all(text.as_bytes()).unwrap();
    }
    archive.finish().unwrap().into_inner()
}

/// The number of a line, and its cells.
type Line = (u64, Vec<String>);

/// The lines of a sheet, or the place and words of what is wrong.
fn taken(bytes: &[u8], name: Option<&str>) -> Result<Vec<Line>, (String, String)> {
    let how = TableHow { separator: None, sheet: name.map(str::to_owned) };
    let mut rows = Vec::new();
    let mut take = |part: Part<'_>| {
        match part {
            Part::Header(names, line) => rows.push((line, names)),
            Part::Row(row) => rows.push((row.line, row.cells().map(|cell| cell.shown()).collect())),
            Part::Fault(fault) => panic!("{fault:?}"),
        }
        true
    };
    table::read(bytes, &how, &mut take)
        .map_err(|fault| (fault.pointer, fault.detail.to_string()))?;
    Ok(rows)
}

const SHARED: &str = r#"<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" count="2" uniqueCount="2"><si><t>name</t></si><si><r><t>Ju</t></r><r><t>no</t></r></si></sst>"#;

#[test]
fn a_sheet_is_read_with_its_lines_days_and_gaps() {
    let rows = sheet(
        r#"<row r="2"><c r="A2" t="s"><v>0</v></c><c r="B2" t="inlineStr"><is><t>born_on</t></is></c><c r="C2" t="inlineStr"><is><t>chip_number</t></is></c></row>
        <row r="4"><c r="A4" t="s"><v>1</v></c><c r="B4" s="1"><v>44289</v></c><c r="C4"><v>276098100123456</v></c></row>
        <row r="5"><c r="C5" t="str"><f>1+1</f><v> x </v></c></row><row r="6"><c r="A6" s="1"/></row>
        <row r="7"><c r="A7" t="b"><v>1</v></c><c r="B7" t="e"><v>#N/A</v></c></row>"#,
    );
    let bytes = packed(&[("xl/sharedStrings.xml", SHARED), ("xl/worksheets/sheet1.xml", &rows)]);
    let row = |line, cells: [&str; 3]| (line, cells.map(str::to_owned).to_vec());
    assert_eq!(
        taken(&bytes, None).unwrap(),
        [
            row(2, ["name", "born_on", "chip_number"]),
            row(4, ["Juno", "2021-04-03", "276098100123456"]),
            row(5, ["", "", "x"]),
            row(7, ["true", "#N/A", ""]),
        ]
    );
    assert_eq!(taken(&bytes, Some("dogs")).unwrap().len(), 4);
    assert_eq!(taken(&bytes, Some("Others")).unwrap_err().0, "#line/1", "that sheet is empty");
    let missing = taken(&bytes, Some("Pups")).unwrap_err();
    assert_eq!(missing.0, "#query/sheet");
    assert!(missing.1.contains("it has \"Dogs\", \"Others\""), "{}", missing.1);
}

#[test]
fn days_are_counted_as_the_workbook_says() {
    let rows = sheet(
        r#"<row r="1"><c r="A1" t="str"><v>day</v></c></row><row r="2"><c r="A2" s="1"><v>42827</v></c></row>"#,
    );
    for (properties, day) in [
        ("", "2017-04-02"),
        (r#"<workbookPr date1904="0"/>"#, "2017-04-02"),
        (r#"<workbookPr date1904="1"/>"#, "2021-04-03"),
        (r#"<workbookPr date1904 = 'true'/>"#, "2021-04-03"),
    ] {
        let book = book(properties);
        let bytes = packed(&[("xl/workbook.xml", &book), ("xl/worksheets/sheet1.xml", &rows)]);
        assert_eq!(taken(&bytes, None).unwrap()[1].1, [day], "{properties}");
    }
}

/// Words of the refusal of a workbook with these parts.
fn why(parts: &[(&str, &str)]) -> String {
    taken(&packed(parts), None).unwrap_err().1
}

#[test]
fn what_is_no_workbook_is_refused_in_plain_words() {
    for (bytes, words) in [
        (OLD_OR_LOCKED.to_vec(), "an old .xls file or locked by a password"),
        (b"PK\x03\x04 and no more".to_vec(), "no .xlsx workbook"),
        (packed(&[("xl/workbook.xml", "<workbook")]), "no .xlsx workbook"),
    ] {
        let (place, detail) = taken(&bytes, None).unwrap_err();
        assert!(place == "#line/1" && detail.contains(words), "{detail}");
    }
    let latin = "<sst encoding=\"\u{0}\"/>";
    assert!(
        why(&[("xl/sharedStrings.xml", latin), ("xl/worksheets/sheet1.xml", &sheet(""))])
            .contains("not UTF-8")
    );
}

/// Sixty-four megabytes unpacked are taken, one byte more is not; packed they are some sixty kilobytes.
#[test]
fn a_bomb_is_refused_at_its_limit() {
    let with = |bytes: u64| {
        let frame = sheet("").len() as u64 + SHARED.len() as u64 + sheet("").len() as u64;
        let frame = frame
            + [TYPES, RELS, BOOK_RELS, STYLES].map(|part| part.len() as u64).iter().sum::<u64>();
        let blank = " ".repeat((bytes - frame - book("").len() as u64) as usize);
        packed(&[("xl/sharedStrings.xml", SHARED), ("xl/worksheets/sheet1.xml", &sheet(&blank))])
    };
    assert_eq!(MOST_UNPACKED_BYTES, 67_108_864);
    let largest = with(MOST_UNPACKED_BYTES);
    assert!(largest.len() < 200_000, "{}", largest.len());
    assert_eq!(
        taken(&largest, None).unwrap_err().1,
        "the file is empty; the first line names the columns, a row follows for each"
    );
    assert!(
        taken(&with(MOST_UNPACKED_BYTES + 1), None)
            .unwrap_err()
            .1
            .contains("unpacks to more than 64 MB")
    );
}

#[test]
fn parts_and_promises_have_limits() {
    let rows = sheet("");
    let promised = |count: &str| {
        let shared = format!("<sst uniqueCount = '{count}'><si><t>a</t></si></sst>");
        why(&[("xl/sharedStrings.xml", &shared), ("xl/worksheets/sheet1.xml", &rows)])
    };
    assert!(promised("1000000").contains("is empty"), "a promise within the limit");
    for count in ["1000001", "99999999999999999999999999", "+1000001"] {
        assert!(promised(count).contains("more than 1000000 texts"), "{count}");
    }
    let texts = |count: usize| {
        let shared = format!("<sst>{}</sst>", "<si/>".repeat(count));
        why(&[("xl/sharedStrings.xml", &shared), ("xl/worksheets/sheet1.xml", &rows)])
    };
    assert!(texts(1_000_000).contains("is empty"));
    assert!(texts(1_000_001).contains("more than 1000000 texts"));
    let styles = |bytes: usize| {
        let styles = format!("{STYLES}{}", " ".repeat(bytes - STYLES.len()));
        why(&[("xl/styles.xml", &styles), ("xl/worksheets/sheet1.xml", &rows)])
    };
    assert!(styles(1 << 20).contains("is empty"));
    assert!(styles((1 << 20) + 1).contains("unpacks to more than"));
    let elsewhere = RELS.replace("xl/workbook.xml", "xl/worksheets/workbook.xml");
    assert!(
        why(&[("_rels/.rels", &elsewhere), ("xl/worksheets/sheet1.xml", &rows)])
            .contains("no .xlsx")
    );
}

#[test]
fn an_archive_of_many_parts_is_not_opened() {
    let with = |count: usize| {
        let names: Vec<String> = (0..count).map(|at| format!("x{at}")).collect();
        let mut parts: Vec<(&str, &str)> = names.iter().map(|name| (name.as_str(), "")).collect();
        let rows = sheet("");
        parts.push(("xl/worksheets/sheet1.xml", &rows));
        why(&parts)
    };
    // Seven parts are the workbook's own.
    assert!(with(1_993).contains("is empty"));
    assert!(with(1_994).contains("more than 2000 parts"));
    let large = [ARCHIVE, &vec![0; MOST_WORKBOOK_BYTES - ARCHIVE.len() + 1]].concat();
    assert!(taken(&large, None).unwrap_err().1.contains("larger than 16 MB"));
    assert!(taken(&large[..MOST_WORKBOOK_BYTES], None).unwrap_err().1.contains("no .xlsx"));
}

#[test]
fn rows_and_columns_have_limits() {
    let cell = |at: &str, text: &str| format!(r#"<c r="{at}" t="str"><v>{text}</v></c>"#);
    let rows = |cells: &str| {
        let rows = sheet(&format!("<row r=\"1\">{cells}</row>"));
        taken(&packed(&[("xl/worksheets/sheet1.xml", &rows)]), None)
    };
    // GR is the 200th column.
    assert_eq!(rows(&cell("GR1", "id")).unwrap()[0].1.len(), 200);
    assert!(rows(&cell("GS1", "id")).unwrap_err().1.contains("beyond the 200 columns"));
    assert!(rows(&cell("XFD1", "id")).unwrap_err().1.contains("beyond the 200 columns"));
    assert_eq!(rows(&cell("A1", &"x".repeat(100_000))).unwrap().len(), 1);
    assert!(
        rows(&cell("A1", &"x".repeat(100_001))).unwrap_err().1.contains("more than 100000 bytes")
    );
    let twice = rows(&format!("{}{}", cell("B1", "id"), cell("A1", "name")));
    assert!(twice.is_err(), "columns come in order");
    let back = sheet(&format!(
        "<row r=\"2\">{}</row><row r=\"1\">{}</row>",
        cell("A2", "id"),
        cell("A1", "a")
    ));
    let back = taken(&packed(&[("xl/worksheets/sheet1.xml", &back)]), None);
    assert!(back.unwrap_err().1.contains("out of order"));
}

/// Every byte of a workbook may be another: it is read or refused, and nothing else.
#[test]
fn no_damage_breaks_the_reader() {
    let rows = sheet(&format!(
        r#"<row r="1"><c r="A1" t="s"><v>0</v></c></row><row r="2"><c r="A2" t="s"><v>1</v></c></row>{}"#,
        ""
    ));
    let good = packed(&[("xl/sharedStrings.xml", SHARED), ("xl/worksheets/sheet1.xml", &rows)]);
    for at in (0..good.len()).step_by(3) {
        for change in [1, 0x80, 0xff] {
            let mut bad = good.clone();
            bad[at] ^= change;
            let _ = taken(&bad, None);
        }
        let _ = taken(&good[..at], None);
    }
}
