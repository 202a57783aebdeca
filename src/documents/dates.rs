//! Dates as people write them: the way of the language that is spoken, the month in words.

use catalogue::{Language, spoken};
use chrono::{DateTime, Datelike as _, NaiveDate, TimeZone};
use domain::partial_date::PartialDate;
use std::fmt::Display;

const ENGLISH: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];
const GERMAN: [&str; 12] = [
    "Januar",
    "Februar",
    "März",
    "April",
    "Mai",
    "Juni",
    "Juli",
    "August",
    "September",
    "Oktober",
    "November",
    "Dezember",
];

/// A month (1–12) in words.
fn month(month: u32) -> &'static str {
    let months = match spoken() {
        Language::English => ENGLISH,
        Language::German => GERMAN,
    };
    months.get(month.saturating_sub(1) as usize).copied().unwrap_or_default()
}

/// A day: 5 March 2026, 5. März 2026.
pub fn day(day: NaiveDate) -> String {
    let point = match spoken() {
        Language::English => "",
        Language::German => ".",
    };
    format!("{}{point} {} {}", day.day(), month(day.month()), day.year())
}

/// A day where there is little room: 5 Mar 2026, 05.03.2026.
pub(crate) fn brief(day: NaiveDate) -> String {
    match spoken() {
        Language::English => format!("{} {}", short(day), day.year()),
        Language::German => day.format("%d.%m.%Y").to_string(),
    }
}

/// A day without its year: 5 Mar, 5.3.
pub(crate) fn short(day: NaiveDate) -> String {
    match spoken() {
        Language::English => {
            let month = month(day.month());
            format!("{} {}", day.day(), month.get(..3).unwrap_or(month))
        }
        Language::German => format!("{}.{}.", day.day(), day.month()),
    }
}

/// A day and a time of it, in figures alone: 2026-03-05 04:10, 05.03.2026 04:10.
pub(crate) fn to_the_minute<Z: TimeZone<Offset: Display>>(at: &DateTime<Z>) -> String {
    let format = match spoken() {
        Language::English => "%Y-%m-%d %H:%M",
        Language::German => "%d.%m.%Y %H:%M",
    };
    at.format(format).to_string()
}

/// The same without the year: 03-05 04:10, 05.03. 04:10.
pub(crate) fn to_the_minute_short<Z: TimeZone<Offset: Display>>(at: &DateTime<Z>) -> String {
    let format = match spoken() {
        Language::English => "%m-%d %H:%M",
        Language::German => "%d.%m. %H:%M",
    };
    at.format(format).to_string()
}

/// A text with the days in it that are written by ISO 8601.
pub fn within(text: &str) -> String {
    let day = |word: &str| Some(brief(word.get(..10)?.parse().ok()?) + word.get(10..)?);
    let words = text.split(' ').map(|word| day(word).unwrap_or_else(|| word.to_owned()));
    words.collect::<Vec<_>>().join(" ")
}

/// As much of a date as is known.
pub(crate) fn partial(date: PartialDate) -> String {
    match date {
        PartialDate::Day(on) => day(on),
        PartialDate::Month(year, number) => format!("{} {year}", month(number)),
        PartialDate::Year(year) => year.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::speaking;

    #[test]
    fn each_language_writes_its_own_way() {
        let (on, last) = ("2026-03-05".parse().unwrap(), "2025-12-31".parse().unwrap());
        let at: DateTime<chrono::Utc> = "2026-03-05T04:10:00Z".parse().unwrap();
        let written = || {
            let minutes = [to_the_minute(&at), to_the_minute_short(&at)].join(", ");
            [day(on), day(last), brief(on), short(on), minutes].join("; ")
        };
        assert_eq!(
            written(),
            "5 March 2026; 31 December 2025; 5 Mar 2026; 5 Mar; 2026-03-05 04:10, 03-05 04:10"
        );
        assert_eq!(
            speaking(Language::German, written),
            "5. März 2026; 31. Dezember 2025; 05.03.2026; 5.3.; 05.03.2026 04:10, 05.03. 04:10"
        );
        let text = "the batch of the worming of 2026-03-05, and 2026-13-05";
        let expected = "the batch of the worming of 5 Mar 2026, and 2026-13-05";
        assert_eq!(within(text), expected);
    }

    #[test]
    fn no_more_than_is_known() {
        speaking(Language::German, || {
            let known = |text: &str| partial(text.parse().unwrap());
            assert_eq!(known("2020"), "2020");
            assert_eq!(known("2020-01"), "Januar 2020");
            assert_eq!(known("2020-01-17"), "17. Januar 2020");
        });
    }
}
