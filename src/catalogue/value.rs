//! What stands in a text: figures, days, names, and other texts.

use crate::{Text, figures};
use chrono::{NaiveDate, NaiveTime};
use fluent_bundle::{FluentValue, types::FluentNumber};
use serde_json::json;

/// Something that stands in a text by name.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A whole number: an entry may choose its words by it (one pup, two pups).
    Count(i64),
    /// A number with so many digits after the point; all that it has, where none are said.
    Figure(f64, Option<u8>),
    /// A day.
    Day(NaiveDate),
    /// A time of day, to the minute.
    Time(NaiveTime),
    /// What a person or another program wrote, or a word of the document: the same in each language.
    Words(String),
    /// Another text.
    Text(Box<Text>),
    /// Texts of which all hold: `a, b and c`.
    All(Vec<Text>),
    /// Texts of which one holds: `a, b or c`.
    Any(Vec<Text>),
}

/// A number with so many digits after the point.
pub fn figure(value: f64, digits: u8) -> Value {
    Value::Figure(value, Some(digits))
}

impl Value {
    /// Texts of which all hold: `a, b and c`.
    pub fn all<T: Into<Text>>(texts: impl IntoIterator<Item = T>) -> Self {
        Self::All(texts.into_iter().map(Into::into).collect())
    }

    /// Texts of which one holds: `a, b or c`.
    pub fn any<T: Into<Text>>(texts: impl IntoIterator<Item = T>) -> Self {
        Self::Any(texts.into_iter().map(Into::into).collect())
    }

    /// As Fluent takes it.
    pub(crate) fn for_fluent(&self) -> FluentValue<'static> {
        match self {
            Self::Count(count) => FluentValue::from(*count),
            Self::Figure(figure, digits) => {
                let mut number = FluentNumber::from(*figure);
                number.options.minimum_fraction_digits = digits.map(usize::from);
                number.options.maximum_fraction_digits = digits.map(usize::from);
                FluentValue::Number(number)
            }
            Self::Day(day) => FluentValue::from(figures::day(*day)),
            Self::Time(time) => FluentValue::from(time.format("%H:%M").to_string()),
            Self::Words(words) => FluentValue::from(words.clone()),
            Self::Text(text) => FluentValue::from(text.to_string()),
            Self::All(texts) => FluentValue::from(listed(texts, "list-and")),
            Self::Any(texts) => FluentValue::from(listed(texts, "list-or")),
        }
    }

    /// As an answer has it beside the words: numbers as numbers, days as ISO 8601 has them.
    pub fn to_json(&self) -> serde_json::Value {
        match self {
            Self::Count(count) => json!(count),
            Self::Figure(figure, _) => json!(figure),
            Self::Day(day) => json!(day),
            Self::Time(time) => json!(time.format("%H:%M").to_string()),
            Self::Words(words) => json!(words),
            Self::Text(text) => json!(text.to_string()),
            Self::All(texts) | Self::Any(texts) => {
                json!(texts.iter().map(Text::to_string).collect::<Vec<_>>())
            }
        }
    }
}

/// `a, b and c`, with the language's word before the last.
fn listed(texts: &[Text], last: &'static str) -> String {
    let Some((end, begin)) = texts.split_last() else { return String::new() };
    let end = end.to_string();
    if begin.is_empty() {
        return end;
    }
    let begin = begin.iter().map(Text::to_string).collect::<Vec<_>>().join(", ");
    Text::said(last, vec![("begin", Value::Words(begin)), ("end", Value::Words(end))]).to_string()
}

/// Words as they may be told: neither a person nor Postgres can do with U+0000.
pub(crate) fn shown(words: String) -> String {
    if words.contains('\0') { words.replace('\0', "\u{fffd}") } else { words }
}

impl From<&str> for Value {
    fn from(words: &str) -> Self {
        Self::Words(shown(words.to_owned()))
    }
}

impl From<String> for Value {
    fn from(words: String) -> Self {
        Self::Words(shown(words))
    }
}

impl From<&String> for Value {
    fn from(words: &String) -> Self {
        Self::Words(shown(words.clone()))
    }
}

impl From<Text> for Value {
    fn from(text: Text) -> Self {
        Self::Text(Box::new(text))
    }
}

impl From<&Text> for Value {
    fn from(text: &Text) -> Self {
        Self::Text(Box::new(text.clone()))
    }
}

impl From<NaiveDate> for Value {
    fn from(day: NaiveDate) -> Self {
        Self::Day(day)
    }
}

impl From<NaiveTime> for Value {
    fn from(time: NaiveTime) -> Self {
        Self::Time(time)
    }
}

impl From<f64> for Value {
    fn from(figure: f64) -> Self {
        Self::Figure(figure, None)
    }
}

/// Whole numbers of each width.
macro_rules! count {
    ($($number:ty),*) => {
        $(impl From<$number> for Value {
            fn from(count: $number) -> Self {
                Self::Count(i64::try_from(count).unwrap_or(i64::MAX))
            }
        })*
    };
}

count!(u8, u16, u32, u64, usize, i8, i16, i32, i64, isize);
