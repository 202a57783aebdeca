//! A birth date as precisely as it is known: a year, a month or a day.

use crate::fault::quoted;
use catalogue::{Text, Value, said};
use chrono::{Datelike, Months, NaiveDate};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::{fmt, str::FromStr};
use utoipa::{PartialSchema, ToSchema, openapi};

/// A date of which the day, or the month and day, may be unknown; written `2020`, `2020-05` or
/// `2020-05-17` (ISO 8601 reduced precision).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PartialDate {
    /// Only the year is known.
    Year(i32),
    /// Year and month (1–12) are known.
    Month(i32, u32),
    /// The full date.
    Day(NaiveDate),
}

/// Why a text is not a [`PartialDate`].
pub(crate) fn not_a_date() -> Text {
    said!("fault-malformed-partial-date")
}

/// In a text: a day as the language writes it, or what is known of it.
impl From<PartialDate> for Value {
    fn from(date: PartialDate) -> Self {
        match date {
            PartialDate::Year(year) => Self::from(format!("{year:04}")),
            PartialDate::Month(year, month) => Self::from(said!(
                "month-of-year",
                year = format!("{year:04}"),
                month = format!("{month:02}")
            )),
            PartialDate::Day(day) => Self::from(day),
        }
    }
}

impl PartialDate {
    /// The earliest day it can mean.
    pub fn earliest(self) -> NaiveDate {
        let first = |year, month| NaiveDate::from_ymd_opt(year, month, 1).unwrap_or(NaiveDate::MIN);
        match self {
            Self::Year(year) => first(year, 1),
            Self::Month(year, month) => first(year, month),
            Self::Day(day) => day,
        }
    }

    /// The latest day it can mean.
    pub fn latest(self) -> NaiveDate {
        let last = |from: NaiveDate, months| {
            from.checked_add_months(Months::new(months)).and_then(|d| d.pred_opt()).unwrap_or(from)
        };
        match self {
            Self::Year(_) => last(self.earliest(), 12),
            Self::Month(..) => last(self.earliest(), 1),
            Self::Day(day) => day,
        }
    }

    /// The day, if it is known.
    pub fn day(self) -> Option<NaiveDate> {
        if let Self::Day(day) = self { Some(day) } else { None }
    }

    /// The year.
    pub fn year(self) -> i32 {
        match self {
            Self::Year(year) | Self::Month(year, _) => year,
            Self::Day(day) => day.year(),
        }
    }
}

impl fmt::Display for PartialDate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Year(year) => write!(f, "{year:04}"),
            Self::Month(year, month) => write!(f, "{year:04}-{month:02}"),
            Self::Day(day) => write!(f, "{day}"),
        }
    }
}

impl FromStr for PartialDate {
    type Err = Text;

    fn from_str(text: &str) -> Result<Self, Text> {
        let parts: Vec<&str> = text.split('-').collect();
        let widths: Vec<usize> = parts.iter().map(|part| part.len()).collect();
        let digits = parts.iter().all(|part| part.bytes().all(|b| b.is_ascii_digit()));
        if !digits {
            return Err(not_a_date());
        }
        let number = |index: usize| parts.get(index).and_then(|p| p.parse::<u32>().ok());
        let year = number(0).and_then(|y| i32::try_from(y).ok()).filter(|y| *y >= 1);
        match (widths.as_slice(), year, number(1), number(2)) {
            ([4], Some(year), ..) => Ok(Self::Year(year)),
            ([4, 2], Some(year), Some(month @ 1..=12), _) => Ok(Self::Month(year, month)),
            ([4, 2, 2], Some(year), Some(month), Some(day)) => {
                NaiveDate::from_ymd_opt(year, month, day).map(Self::Day).ok_or_else(not_a_date)
            }
            _ => Err(not_a_date()),
        }
    }
}

impl Serialize for PartialDate {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for PartialDate {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse()
            .map_err(|why| serde::de::Error::custom(Text::sentences([quoted(&text).into(), why])))
    }
}

impl PartialSchema for PartialDate {
    fn schema() -> openapi::RefOr<openapi::schema::Schema> {
        openapi::ObjectBuilder::new()
            .schema_type(openapi::schema::Type::String)
            .description(Some("A day (2020-05-17), a month (2020-05) or a year (2020)."))
            .pattern(Some(r"^[0-9]{4}(-(0[1-9]|1[0-2])(-(0[1-9]|[12][0-9]|3[01]))?)?$"))
            // The pattern does not know the length of the months.
            .format(Some(openapi::SchemaFormat::Custom("partial-date".to_owned())))
            .examples(["2020-05-17"])
            .into()
    }
}

impl ToSchema for PartialDate {}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::{Language, speaking};
    use proptest::prelude::*;

    #[test]
    fn keeps_what_is_known_and_no_more() {
        for text in ["2020", "2020-05", "2020-05-17", "0988-02-28"] {
            assert_eq!(text.parse::<PartialDate>().unwrap().to_string(), text);
        }
        let bad = [
            "",
            "20",
            "2020-13",
            "2020-02-30",
            "2020-5",
            "17.05.2020",
            "2020-05-17T00",
            "0000",
            "+202",
        ];
        for text in bad {
            assert!(text.parse::<PartialDate>().is_err(), "{text}");
        }
    }

    #[test]
    fn spans_the_days_it_can_mean() {
        let leap: PartialDate = "2024-02".parse().unwrap();
        assert_eq!(leap.earliest().to_string(), "2024-02-01");
        assert_eq!(leap.latest().to_string(), "2024-02-29");
        let year: PartialDate = "2023".parse().unwrap();
        assert_eq!(year.latest().to_string(), "2023-12-31");
    }

    #[test]
    fn a_language_writes_what_is_known_its_way() {
        let born = |text: &str| {
            let born: PartialDate = text.parse().unwrap();
            said!("dog-on-line-born", name = "Juno", line = 7, born = born)
        };
        for (date, german) in
            [("2020", "2020"), ("2020-05", "05.2020"), ("2020-05-17", "17.05.2020")]
        {
            assert_eq!(born(date), format!("Juno (line 7, born {date})").as_str());
            speaking(Language::German, || {
                assert_eq!(born(date), format!("Juno (Zeile 7, geboren {german})").as_str());
            });
        }
    }

    proptest! {
        #[test]
        fn every_part_of_every_day_comes_back(
            year in 1i32..=9999, month in 1u32..=12, day in 1u32..=31, parts in 1usize..=3,
        ) {
            let text = [format!("{year:04}"), format!("{month:02}"), format!("{day:02}")];
            let text = text[..parts].join("-");
            let known = parts < 3 || chrono::NaiveDate::from_ymd_opt(year, month, day).is_some();
            match text.parse::<PartialDate>() {
                Ok(date) => {
                    prop_assert!(known);
                    prop_assert_eq!(date.to_string(), text);
                    prop_assert!(date.earliest() <= date.latest());
                    let json = serde_json::to_string(&date).unwrap();
                    prop_assert_eq!(serde_json::from_str::<PartialDate>(&json).unwrap(), date);
                }
                Err(_) => prop_assert!(!known, "{} was refused", text),
            }
        }

        #[test]
        fn whatever_is_read_is_written_the_same(text in "[0-9+ -]{0,12}|.{0,12}") {
            if let Ok(date) = text.parse::<PartialDate>() {
                prop_assert_eq!(date.to_string(), text);
            }
        }
    }
}
