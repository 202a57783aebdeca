//! A list as a table, for a spreadsheet.
//!
//! A row a line, a field a cell, the fields of an object within a row as `outer.inner`. A list or an object that
//! has no fields of its own, such as a row of the log, is JSON in one cell. What is unknown is an empty cell.

use crate::text::as_cell;
use csv::{Terminator, WriterBuilder};
use serde_json::Value;
use std::borrow::Cow;

/// Parts between the names of fields within fields.
const WITHIN: char = '.';

/// The rows as comma-separated values (RFC 4180), the names of the columns first.
///
/// A text that a spreadsheet would run has an apostrophe before it; numbers stay as they are.
///
/// # Errors
/// Never, as it writes to memory; those of the writer.
///
/// ```
/// use domain::table::written;
/// use serde_json::json;
/// let columns = ["name", "wishes.sex", "note"].map(str::to_owned);
/// let row = json!({ "name": "Ottilie", "wishes": { "sex": "male" }, "note": "=1+1" });
/// let table = written(&columns, &[row]).unwrap();
/// assert_eq!(String::from_utf8(table).unwrap(), "name,wishes.sex,note\r\nOttilie,male,'=1+1\r\n");
/// ```
pub fn written(columns: &[String], rows: &[Value]) -> csv::Result<Vec<u8>> {
    let mut writer = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(columns)?;
    for row in rows {
        for column in columns {
            writer.write_field(cell(field(row, column)).as_bytes())?;
        }
        writer.write_record(None::<&[u8]>)?;
    }
    writer.into_inner().map_err(|error| error.into_error().into())
}

/// The value of a column; null where an object on the way to it is.
fn field<'r>(row: &'r Value, column: &str) -> &'r Value {
    column.split(WITHIN).fold(row, |within, name| &within[name])
}

/// A value as it stands in a cell.
fn cell(value: &Value) -> Cow<'_, str> {
    match value {
        Value::Null => Cow::Borrowed(""),
        Value::String(text) => as_cell(text),
        other => Cow::Owned(other.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn cells(value: Value) -> String {
        let table = written(&["a".to_owned()], &[json!({ "a": value })]).unwrap();
        String::from_utf8(table).unwrap().strip_prefix("a\r\n").unwrap().trim_end().to_owned()
    }

    #[test]
    fn what_a_spreadsheet_would_run_is_marked() {
        for text in ["=1+1", "+44 20", "-2", "@x"] {
            assert_eq!(cells(json!(text)), format!("'{text}"));
        }
        assert_eq!(cells(json!("\tx")), "'\tx");
        assert_eq!(cells(json!("\rx")), "\"'\rx\"");
        assert_eq!(cells(json!("a=1")), "a=1");
    }

    #[test]
    fn numbers_stay_numbers() {
        assert_eq!(cells(json!(-412)), "-412");
        assert_eq!(cells(json!(-0.5)), "-0.5");
        assert_eq!(cells(json!(38.0)), "38.0");
        assert_eq!(cells(json!(true)), "true");
    }

    #[test]
    fn what_is_unknown_is_empty_and_lists_are_json() {
        assert_eq!(cells(Value::Null), "\"\"");
        assert_eq!(cells(json!(["a", "b"])), "\"[\"\"a\"\",\"\"b\"\"]\"");
        let columns = ["b.c".to_owned(), "d".to_owned()];
        let table = written(&columns, &[json!({ "b": null, "d": "x, \"y\"" })]).unwrap();
        assert_eq!(String::from_utf8(table).unwrap(), "b.c,d\r\n,\"x, \"\"y\"\"\"\r\n");
    }

    #[test]
    fn without_rows_there_are_the_names() {
        let table = written(&["a".to_owned(), "b".to_owned()], &[]).unwrap();
        assert_eq!(table, b"a,b\r\n");
    }
}
