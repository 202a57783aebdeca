//! How a value stands in a cell.
//!
//! Unknown is an empty cell. A text that is empty, or begins with a character that a spreadsheet
//! takes for a formula, has a backslash before it; one that begins with a backslash has another.

use crate::text::FORMULA_SIGNS;
use catalogue::{Text, said};
use chrono::{DateTime, NaiveDate};
use serde_json::Value;
use std::borrow::Cow;
use uuid::Uuid;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CellKind {
    /// An id.
    Id,
    /// Any text.
    Text,
    /// A day, as 2026-05-17.
    Day,
    /// A time, as 2026-05-17T04:10:00.000000Z.
    Time,
    /// A whole number of 32 bits.
    Integer,
    /// A whole number of 64 bits.
    BigInteger,
    /// A number.
    Number,
    /// `true` or `false`.
    Truth,
    /// A list or an object, as JSON.
    Json,
    /// The email address of a person.
    Person,
}

/// A column of an archive's table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ArchiveColumn {
    /// Its name.
    pub name: String,
    /// What it holds.
    pub kind: CellKind,
    /// Whether each row must have it.
    pub required: bool,
}

/// Years that both sides can hold.
const YEARS: std::ops::RangeInclusive<i32> = 1..=9999;

impl CellKind {
    /// Whether people write it as they like.
    fn is_free(self) -> bool {
        matches!(self, Self::Text | Self::Person)
    }

    /// The kind of a column of this type of the database.
    pub fn of_type(sql: &str) -> Option<Self> {
        Some(match sql {
            "uuid" => Self::Id,
            "text" => Self::Text,
            "date" => Self::Day,
            "timestamp with time zone" => Self::Time,
            "integer" => Self::Integer,
            "bigint" => Self::BigInteger,
            "double precision" => Self::Number,
            "boolean" => Self::Truth,
            "jsonb" => Self::Json,
            _ => return None,
        })
    }

    /// A value as it is written in a cell.
    pub fn written(self, value: Option<&str>) -> Cow<'_, str> {
        match value {
            None => Cow::Borrowed(""),
            Some(text) if self.is_free() && is_marked(text) => Cow::Owned(format!("\\{text}")),
            Some(text) => Cow::Borrowed(text),
        }
    }

    /// A cell as it was read: its value as text, and as JSON.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn read(self, cell: &str) -> Result<Option<(String, Value)>, Text> {
        if cell.is_empty() {
            return Ok(None);
        }
        if cell.contains('\0') {
            return Err(nul());
        }
        let json = match self {
            Self::Text | Self::Person => {
                let text = cell.strip_prefix('\\').unwrap_or(cell);
                return Ok(Some((text.to_owned(), Value::from(text))));
            }
            Self::Id => {
                let id: Uuid = cell.parse().map_err(|_| said!("fault-not-an-id-of-row"))?;
                return Ok(Some((id.to_string(), Value::from(id.to_string()))));
            }
            Self::Day => day(cell)?,
            Self::Time => time(cell)?,
            Self::Integer => Value::from(cell.parse::<i32>().map_err(|_| no_integer())?),
            Self::BigInteger => Value::from(cell.parse::<i64>().map_err(|_| no_integer())?),
            Self::Number => number(cell)?,
            Self::Truth => match cell {
                "true" => Value::from(true),
                "false" => Value::from(false),
                _ => return Err(said!("fault-unknown-value-truth")),
            },
            Self::Json => json(cell)?,
        };
        Ok(Some((cell.to_owned(), json)))
    }
}

/// Whether a text needs a mark before it: it is empty, a spreadsheet would run it, or it begins with one.
fn is_marked(text: &str) -> bool {
    text.is_empty() || text.starts_with('\\') || text.starts_with(FORMULA_SIGNS)
}

fn no_integer() -> Text {
    said!("fault-out-of-range-whole-number")
}

fn nul() -> Text {
    said!("fault-malformed-character", character = "U+0000")
}

fn day(cell: &str) -> Result<Value, Text> {
    use chrono::Datelike as _;
    NaiveDate::parse_from_str(cell, "%Y-%m-%d")
        .ok()
        .filter(|day| YEARS.contains(&day.year()) && cell.len() == 10)
        .map(|_| Value::from(cell))
        .ok_or_else(|| said!("fault-malformed-archive-day"))
}

fn time(cell: &str) -> Result<Value, Text> {
    use chrono::Datelike as _;
    DateTime::parse_from_rfc3339(cell)
        .ok()
        .filter(|time| YEARS.contains(&time.year()))
        .map(|_| Value::from(cell))
        .ok_or_else(|| said!("fault-malformed-archive-time"))
}

fn number(cell: &str) -> Result<Value, Text> {
    let number = cell.parse::<f64>().ok().filter(|number| number.is_finite());
    number.map(Value::from).ok_or_else(|| said!("fault-malformed-archive-number"))
}

fn json(cell: &str) -> Result<Value, Text> {
    let value: Value = serde_json::from_str(cell)
        .map_err(|error| said!("fault-malformed-archive-json", column = error.column()))?;
    if holds_nul(&value) {
        return Err(nul());
    }
    Ok(value)
}

fn holds_nul(value: &Value) -> bool {
    match value {
        Value::String(text) => text.contains('\0'),
        Value::Array(items) => items.iter().any(holds_nul),
        Value::Object(members) => {
            members.iter().any(|(name, member)| name.contains('\0') || holds_nul(member))
        }
        _ => false,
    }
}
