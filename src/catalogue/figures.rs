//! How a language writes figures and days.

use crate::{Language, spoken};
use chrono::NaiveDate;
use fluent_bundle::{FluentValue, memoizer::MemoizerKind};

/// A day in the language that is spoken.
pub(crate) fn day(day: NaiveDate) -> String {
    match spoken() {
        Language::English => day.to_string(),
        Language::German => day.format("%d.%m.%Y").to_string(),
    }
}

/// A number in the language that is spoken; what is no number is left to Fluent.
pub(crate) fn number<M: MemoizerKind>(value: &FluentValue, _: &M) -> Option<String> {
    let FluentValue::Number(number) = value else { return None };
    let written = match number.options.maximum_fraction_digits {
        Some(digits) => format!("{:.digits$}", number.value),
        None => number.value.to_string(),
    };
    // What rounds to nothing has no sign.
    let written = match written.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| b == b'0' || b == b'.') => rest.to_owned(),
        _ => written,
    };
    Some(match spoken() {
        Language::English => written,
        Language::German => written.replace('.', ","),
    })
}
