//! Texts as tables.

use super::*;
use catalogue::{Language, speaking};

/// The header and rows of a text, or the place of what is wrong with it.
fn taken(text: impl AsRef<[u8]>, how: &TableHow) -> Result<Vec<Vec<String>>, (String, String)> {
    let mut rows = Vec::new();
    let mut faults = Vec::new();
    let mut take = |part: Part<'_>| {
        match part {
            Part::Header(names, _) => rows.push(names),
            Part::Row(row) => rows.push(row.cells().map(|cell| cell.text().unwrap()).collect()),
            Part::Fault(fault) => faults.push((fault.pointer, fault.detail.to_string())),
        }
        true
    };
    let outcome = read(text.as_ref(), how, &mut take);
    outcome.map_err(|fault| (fault.pointer, fault.detail.to_string()))?;
    faults.into_iter().next().map_or(Ok(rows), Err)
}

fn columns(text: &str, separator: Option<Separator>) -> Result<usize, String> {
    let how = TableHow { separator, sheet: None };
    taken(text, &how).map(|rows| rows[0].len()).map_err(|(pointer, _)| pointer)
}

#[test]
fn the_header_tells_what_parts_the_columns() {
    use Separator::{Comma, Semicolon, Tab};
    for (text, stated, found) in [
        ("id,name,sex\na,b,c\n", None, Ok(3)),
        ("id;name;sex\na;b, c;d\n", None, Ok(3)),
        ("id\tname\na\tb,c;d\n", None, Ok(2)),
        ("id;\"name, full\";sex\na;b;c\n", None, Ok(3)),
        ("id\na\n", None, Ok(1)),
        ("\r\n\r\nid;name\r\na;b\r\n", None, Ok(2)),
        ("id;name,sex\na;b,c\n", None, Err("#line/1".to_owned())),
        ("\n\nid;name,sex\na;b,c\n", None, Err("#line/3".to_owned())),
        ("id;name,sex\na;b,c\n", Some(Semicolon), Ok(2)),
        ("id;name,sex\na;b,c\n", Some(Comma), Ok(2)),
        ("id,name\na,b\n", Some(Tab), Ok(1)),
        ("sep=;\nid;name,sex\na;b,c\n", None, Ok(2)),
    ] {
        assert_eq!(columns(text, stated), found, "{text:?} {stated:?}");
    }
}

#[test]
fn a_line_that_names_the_separator_counts_as_a_line() {
    let how = TableHow::default();
    let found = taken("sep=;\nid;name\na;b\nc\n", &how).unwrap_err();
    assert_eq!(found.0, "#line/4");
    assert!(found.1.contains("has 1 fields where the first line has 2"), "{}", found.1);
    speaking(Language::German, || {
        let words = |text: &str| taken(text, &how).unwrap_err().1;
        let few = words("id;name\nc\n");
        assert!(few.starts_with("hat ein Feld, die erste Zeile aber 2 Spalten; ein Wert"), "{few}");
        let many = words("id\na,b\n");
        assert!(many.starts_with("hat 2 Felder, die erste Zeile aber nur eine Spalte; "), "{many}");
    });
}

#[test]
fn a_text_has_no_sheets() {
    let how = TableHow { sheet: Some("Dogs".to_owned()), separator: None };
    assert_eq!(taken("id\na\n", &how).unwrap_err().0, "#query/sheet");
}

#[test]
fn values_keep_what_stands_in_quotes() {
    let rows = taken("id;note\na;\"two; three\"\n", &TableHow::default()).unwrap();
    assert_eq!(rows[1], ["a", "two; three"]);
}
