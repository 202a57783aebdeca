//! Words, days, times and figures as people write them in cells.

use super::{
    fold::folded,
    row::{Cell, Row},
};
use crate::{
    partial_date::{PartialDate, not_a_date},
    record::{Residence, Sex, TestResult, words::words},
    schedule::HealthKind,
};
use catalogue::{Text, said};
use chrono::{Datelike as _, NaiveDate, NaiveDateTime, NaiveTime, Timelike as _};
use std::{collections::BTreeMap, sync::LazyLock};

words! {
    /// In which order a file writes day, month and year.
    DateOrder {
        /// 3 April 2021 is 03/04/2021.
        Dmy = "dmy",
        /// 3 April 2021 is 04/03/2021.
        Mdy = "mdy",
        /// 3 April 2021 is 2021/04/03, and nothing else is taken.
        Ymd = "ymd",
    }
}

const WORDS: &str = include_str!("words.toml");

/// The words for a meaning, by what is asked and what is meant.
type Meanings = BTreeMap<String, BTreeMap<String, Vec<String>>>;

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static MEANINGS: LazyLock<Meanings> = LazyLock::new(|| {
    let mut meanings: Meanings = toml::from_str(WORDS).expect("embedded words");
    for words in meanings.values_mut().flat_map(BTreeMap::values_mut).flatten() {
        *words = folded(words);
    }
    meanings
});

/// What a word means, of the meanings that are asked for.
fn meaning(of: &str, text: &str) -> Option<&'static str> {
    let text = folded(text);
    let mut meanings = MEANINGS.get(of)?.iter();
    meanings.find(|(_, words)| words.contains(&text)).map(|(meaning, _)| meaning.as_str())
}

/// Sex, by the words of several languages.
///
/// # Errors
/// When the word is none of them.
///
/// ```
/// use domain::{import::cells::sex, record::Sex};
/// assert_eq!((sex("Bitch"), sex("RÜDE")), (Ok(Sex::Female), Ok(Sex::Male)));
/// ```
pub fn sex(text: &str) -> Result<Sex, Text> {
    let found = meaning("sex", text).and_then(|word| word.parse().ok());
    found.ok_or_else(|| said!("fault-unknown-value-sex"))
}

/// Yes or no.
///
/// # Errors
/// When the word is neither.
pub(crate) fn truth(text: &str) -> Result<bool, Text> {
    match meaning("truth", text) {
        Some(word) => Ok(word == "yes"),
        None => Err(said!("fault-unknown-value-truth")),
    }
}

/// Where a dog lives.
///
/// # Errors
/// When the word is neither.
pub fn residence(text: &str) -> Result<Residence, Text> {
    let found = meaning("residence", text).and_then(|word| word.parse().ok());
    found.ok_or_else(|| said!("fault-unknown-value-residence"))
}

/// What kind of health event.
///
/// # Errors
/// When the word is none.
pub fn health_kind(text: &str) -> Result<HealthKind, Text> {
    let found = meaning("health", text).and_then(|word| word.parse().ok());
    found.ok_or_else(|| {
        let words: Vec<&str> = HealthKind::ALL.iter().map(|kind| kind.as_str()).collect();
        said!("fault-unknown-value-health-kind", known = words.join(", "))
    })
}

/// What a test said.
///
/// # Errors
/// When the word is none.
pub(crate) fn test_result(text: &str) -> Result<TestResult, Text> {
    let found = meaning("test_result", text).and_then(|word| word.parse().ok());
    found.ok_or_else(|| {
        let words: Vec<&str> = TestResult::ALL.iter().map(|result| result.as_str()).collect();
        said!("fault-unknown-value-test-result", known = words.join(", "))
    })
}

/// Several names in a cell: a list of JSON, as a table of ours writes it, else what stands between commas,
/// semicolons and plus signs.
pub(crate) fn names(text: &str) -> Vec<String> {
    if let Ok(names) = serde_json::from_str::<Vec<String>>(text) {
        return names;
    }
    let parts = text.split([',', ';', '+']).map(str::trim);
    parts.filter(|name| !name.is_empty()).map(str::to_owned).collect()
}

/// A figure with a decimal point, or a decimal comma.
///
/// # Errors
/// What is no figure, or may be one of thousands: `1,234`, but where semicolons part the columns.
pub fn figure(row: &Row, cell: Cell<'_>) -> Result<f64, Text> {
    let text = match cell {
        Cell::Number(number) => return Ok(number),
        other => other.text()?,
    };
    let number = || said!("fault-malformed-number");
    let plain = match text.split_once(',') {
        Some((whole, part)) if part.len() == 3 && whole != "0" && !row.decimal_comma => {
            return Err(said!("fault-unclear-thousand"));
        }
        Some((whole, part)) => format!("{whole}.{part}"),
        None => text,
    };
    let digits = plain.bytes().all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b'-'));
    plain.parse().ok().filter(|_| digits).ok_or_else(number)
}

/// A whole figure.
///
/// # Errors
/// What is none.
pub fn whole(row: &Row, cell: Cell<'_>) -> Result<i32, Text> {
    let figure = figure(row, cell)?;
    let whole = figure.fract() == 0.0 && figure.abs() < 1e9;
    #[expect(clippy::cast_possible_truncation, reason = "a whole number below 2^31")]
    whole.then_some(figure as i32).ok_or_else(|| said!("fault-malformed-whole-number"))
}

/// A day, month or year as precisely as it is known: `2021-04-03`, `2021-04`, `2021`; `03/04/2021` by the
/// order, `04/2021`; a day of a spreadsheet, or its number.
///
/// # Errors
/// What is no date; a day that the order would settle and nobody stated.
pub fn partial_date(
    row: &Row,
    cell: Cell<'_>,
    order: Option<DateOrder>,
) -> Result<PartialDate, Text> {
    match cell {
        Cell::Moment(moment) => Ok(PartialDate::Day(moment.date())),
        Cell::Number(number) => {
            let year = number.fract() == 0.0 && (1800.0..3000.0).contains(&number);
            #[expect(clippy::cast_possible_truncation, reason = "a year")]
            let year = year.then_some(PartialDate::Year(number as i32));
            let day = || row.moment_of(number).map(|moment| PartialDate::Day(moment.date()));
            year.or_else(day).ok_or_else(not_a_date)
        }
        other => written_date(&other.text()?, order),
    }
}

/// A day.
///
/// # Errors
/// As [`partial_date`], and a month or a year alone.
pub fn day(row: &Row, cell: Cell<'_>, order: Option<DateOrder>) -> Result<NaiveDate, Text> {
    let date = partial_date(row, cell, order)?;
    date.day().ok_or_else(no_day)
}

/// A day with a time of day, where the cell has one: `2021-04-03 18:00`, `2021-04-03T18:00`.
///
/// # Errors
/// As [`day`], and a time that is none.
pub fn moment(
    row: &Row,
    cell: Cell<'_>,
    order: Option<DateOrder>,
) -> Result<(NaiveDate, Option<NaiveTime>), Text> {
    let stamped = |moment: NaiveDateTime| {
        let time = Some(moment.time()).filter(|time| *time != NaiveTime::MIN);
        (moment.date(), time)
    };
    match cell {
        Cell::Moment(moment) => Ok(stamped(moment)),
        Cell::Number(number) => match row.moment_of(number) {
            Some(moment) => Ok(stamped(moment)),
            None => Err(no_day()),
        },
        other => {
            let text = other.text()?;
            let (date, time) = match text.split_once(['T', ' ']) {
                Some((date, time)) => (date, Some(written_time(time.trim())?)),
                None => (text.as_str(), None),
            };
            let date = written_date(date, order)?.day();
            Ok((date.ok_or_else(no_day)?, time))
        }
    }
}

/// A time of day: `18:00`, `6:00 pm`, or the part of a day that a spreadsheet keeps.
///
/// # Errors
/// What is none.
pub fn time(cell: Cell<'_>) -> Result<NaiveTime, Text> {
    match cell {
        Cell::Moment(moment) => Ok(moment.time()),
        Cell::Number(part) if (0.0..1.0).contains(&part) => {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "below 86,400"
            )]
            let seconds = (part * 86_400.0).round() as u32;
            NaiveTime::from_num_seconds_from_midnight_opt(seconds.min(86_399), 0)
                .ok_or_else(no_time)
        }
        other => written_time(&other.text()?),
    }
}

fn no_day() -> Text {
    said!("fault-malformed-day")
}

fn no_time() -> Text {
    said!("fault-malformed-time-of-day")
}

fn written_time(text: &str) -> Result<NaiveTime, Text> {
    let small = text.to_lowercase().replace(['.', ' '], "");
    let (digits, half) = match (small.strip_suffix("am"), small.strip_suffix("pm")) {
        (Some(digits), _) => (digits.to_owned(), Some(0)),
        (_, Some(digits)) => (digits.to_owned(), Some(12)),
        _ => (text.trim_end_matches("Uhr").trim_end_matches('h').trim().to_owned(), None),
    };
    let read = ["%H:%M", "%H:%M:%S"]
        .iter()
        .find_map(|format| NaiveTime::parse_from_str(&digits, format).ok());
    let time = match half {
        None => read,
        Some(half) => read
            .filter(|time| (1..=12).contains(&time.hour()))
            .and_then(|time| time.with_hour(time.hour() % 12 + half)),
    };
    time.ok_or_else(no_time)
}

fn not_in(order: Option<DateOrder>) -> Text {
    said!("fault-malformed-date-order", order = order.map_or("", |order| order.as_str()))
}

/// Which two days of a year a date may be.
fn one_or_other(one: NaiveDate, other: NaiveDate) -> Text {
    let month = |day: NaiveDate| said!("month-name", month = day.month());
    let year = format!("{:04}", other.year());
    said!(
        "fault-unclear-date",
        first = said!("day-of-month", day = one.day(), month = month(one)),
        second =
            said!("day-of-month-and-year", day = other.day(), month = month(other), year = year)
    )
}

/// A date in a text. ISO dates need no order; of the others nothing is guessed.
fn written_date(text: &str, order: Option<DateOrder>) -> Result<PartialDate, Text> {
    if let Ok(date) = text.parse::<PartialDate>() {
        return Ok(date);
    }
    let parts: Vec<&str> = text.split(['/', '.', '-']).map(str::trim).collect();
    let number =
        |part: &str| part.parse::<u32>().ok().filter(|_| part.bytes().all(|b| b.is_ascii_digit()));
    let numbers: Option<Vec<u32>> = parts.iter().map(|part| number(part)).collect();
    let is_year = |part: &str| part.len() == 4;
    let on = |year: u32, month: u32, day: u32| {
        i32::try_from(year).ok().and_then(|year| NaiveDate::from_ymd_opt(year, month, day))
    };
    match (parts.as_slice(), numbers.as_deref()) {
        ([_, year], Some([month @ 1..=12, number])) if is_year(year) => {
            Ok(PartialDate::Month(i32::try_from(*number).unwrap_or_default(), *month))
        }
        ([year, ..], Some([number, month, day])) if is_year(year) => {
            on(*number, *month, *day).map(PartialDate::Day).ok_or_else(not_a_date)
        }
        ([.., year], Some([first, second, number])) if is_year(year) => {
            let (dmy, mdy) = (on(*number, *second, *first), on(*number, *first, *second));
            match (order, dmy, mdy) {
                (Some(DateOrder::Dmy), day, _) | (Some(DateOrder::Mdy), _, day) => {
                    day.map(PartialDate::Day).ok_or_else(|| not_in(order))
                }
                (Some(DateOrder::Ymd), ..) => Err(not_in(order)),
                (None, Some(one), Some(other)) if one != other => Err(one_or_other(one, other)),
                (None, Some(day), _) | (None, None, Some(day)) => Ok(PartialDate::Day(day)),
                (None, None, None) => Err(not_a_date()),
            }
        }
        ([_, _, _], Some(_)) => Err(said!("fault-malformed-year")),
        _ => Err(not_a_date()),
    }
}

#[cfg(test)]
#[path = "cells_tests.rs"]
mod tests;
