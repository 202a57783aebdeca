//! Laws as data: whose they are, in which country, and when each was last read.
//!
//! A reading of a law grows old: a kennel is told from a year and a day on that it is to ask again.

use crate::{
    advice::{Caution, CautionCode, Level, STANDING_SOURCE},
    listing::semicolons,
};
use catalogue::{Text, said};
use chrono::{Datelike as _, Months, NaiveDate};
use serde::Deserialize;
use std::{fmt, str::FromStr};

/// Months for which a reading of a law is relied on: a choice, since laws change with the year.
const RELIED_ON_MONTHS: u32 = 12;

/// Every country of ISO 3166-1, alpha-2.
const COUNTRIES: &str = "AD AE AF AG AI AL AM AO AQ AR AS AT AU AW AX AZ BA BB BD BE BF BG BH BI BJ BL BM BN BO BQ BR \
    BS BT BV BW BY BZ CA CC CD CF CG CH CI CK CL CM CN CO CR CU CV CW CX CY CZ DE DJ DK DM DO DZ EC EE EG EH ER ES \
    ET FI FJ FK FM FO FR GA GB GD GE GF GG GH GI GL GM GN GP GQ GR GS GT GU GW GY HK HM HN HR HT HU ID IE IL IM IN \
    IO IQ IR IS IT JE JM JO JP KE KG KH KI KM KN KP KR KW KY KZ LA LB LC LI LK LR LS LT LU LV LY MA MC MD ME MF MG \
    MH MK ML MM MN MO MP MQ MR MS MT MU MV MW MX MY MZ NA NC NE NF NG NI NL NO NP NR NU NZ OM PA PE PF PG PH PK PL \
    PM PN PR PS PT PW PY QA RE RO RS RU RW SA SB SC SD SE SG SH SI SJ SK SL SM SN SO SR SS ST SV SX SY SZ TC TD TF \
    TG TH TJ TK TL TM TN TO TR TT TV TW TZ UA UG UM US UY UZ VA VC VE VG VI VN VU WF WS YE YT ZA ZM ZW";

/// A country of ISO 3166-1, by its alpha-2 code.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(try_from = "String")]
pub struct Country([char; 2]);

impl Country {
    /// The country of a jurisdiction: `DE` and `DE-BY` are in `DE`.
    pub(crate) fn of_jurisdiction(code: &str) -> Option<Self> {
        code.trim().split('-').next()?.to_ascii_uppercase().parse().ok()
    }
}

impl FromStr for Country {
    type Err = Text;

    /// # Errors
    /// When no country has the code.
    fn from_str(code: &str) -> Result<Self, Text> {
        let mut letters = code.chars();
        match (letters.next(), letters.next(), letters.next()) {
            (Some(first), Some(second), None)
                if COUNTRIES.split_whitespace().any(|known| known == code) =>
            {
                Ok(Self([first, second]))
            }
            _ => Err(said!("fault-unknown-value-country")),
        }
    }
}

impl TryFrom<String> for Country {
    type Error = Text;

    fn try_from(code: String) -> Result<Self, Text> {
        code.parse()
    }
}

impl fmt::Display for Country {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|letter| write!(f, "{letter}"))
    }
}

/// Of entries by jurisdiction that of `code`, else that of its country; `None` for neither.
pub(crate) fn nearest<'a, T>(
    entries: impl IntoIterator<Item = &'a T> + Clone,
    code: &str,
    jurisdiction: impl Fn(&T) -> Option<&str>,
) -> Option<&'a T> {
    let of = |wanted: &str| {
        let is =
            |entry: &&T| jurisdiction(entry).is_some_and(|own| own.eq_ignore_ascii_case(wanted));
        entries.clone().into_iter().find(is)
    };
    of(code.trim()).or_else(|| of(code.trim().split('-').next().unwrap_or_default()))
}

/// Whether a law that was last read on a day is to be read again: later than a year after.
pub(crate) fn is_dated(checked_on: NaiveDate, today: NaiveDate) -> bool {
    today > checked_on.checked_add_months(Months::new(RELIED_ON_MONTHS)).unwrap_or(NaiveDate::MAX)
}

/// The caution about rows that were last read more than a year ago: what each is about, and when.
pub(crate) fn dated<T: Into<Text>>(
    rows: impl IntoIterator<Item = (T, NaiveDate)>,
    today: NaiveDate,
) -> Option<Caution> {
    let old: Vec<Text> = rows
        .into_iter()
        .filter(|(_, on)| is_dated(*on, today))
        .map(|(about, on)| said!("law-row-read", about = about.into(), on = on))
        .collect();
    (!old.is_empty()).then(|| {
        Caution::new(
            CautionCode::LawDated,
            Level::Note,
            said!("law-dated"),
            said!("law-dated-why", rows = semicolons(old)),
            STANDING_SOURCE,
        )
    })
}

/// That the text which was read of a law is of an earlier year than the last, and where to ask.
pub(crate) fn old_text(about: Text, text_of: i32, today: NaiveDate) -> Option<Caution> {
    (today.year() - text_of > 1).then(|| {
        Caution::new(
            CautionCode::LawDated,
            Level::Note,
            said!("law-old-text", about = about, year = text_of.to_string()),
            said!("law-old-text-why", year = text_of.to_string()),
            STANDING_SOURCE,
        )
        .with("text_of", text_of)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn a_text_is_old_from_the_second_year_after_it_on() {
        let old = |today: &str| old_text(Text::verbatim("rabies"), 2025, day(today));
        assert_eq!(old("2026-12-31"), None);
        let told = old("2027-01-01").unwrap();
        assert_eq!(told.level, Level::Note);
        assert!(told.what.contains("2025") && told.what.contains("rabies"), "{}", told.what);
    }

    /// Exactly a year is not more than a year; 29 February has its anniversary on the 28th.
    #[test]
    fn a_reading_is_dated_from_a_year_and_a_day_on() {
        let dated = |read: &str, today: &str| is_dated(day(read), day(today));
        let read = "2026-11-29";
        assert_eq!(
            ["2027-11-28", "2027-11-29", "2027-11-30"].map(|today| dated(read, today)),
            [false, false, true]
        );
        assert_eq!(
            ["2029-02-27", "2029-02-28", "2029-03-01"].map(|today| dated("2028-02-29", today)),
            [false, false, true]
        );
        let rows = [("the chip".to_owned(), day(read)), ("the age".to_owned(), day("2027-01-01"))];
        assert_eq!(super::dated(rows.clone(), day("2027-11-29")), None);
        let told = super::dated(rows, day("2027-11-30")).unwrap();
        assert_eq!(told.why, "Last read: the chip on 2026-11-29.");
    }

    #[test]
    fn a_country_is_one_of_iso_3166() {
        assert_eq!(COUNTRIES.split_whitespace().count(), 249);
        for code in ["UK", "de", "D", "DEU", "EU", "AD AE", ""] {
            assert!(code.parse::<Country>().is_err(), "{code:?}");
        }
        assert_eq!("CH".parse::<Country>().unwrap().to_string(), "CH");
        let of = |code| Country::of_jurisdiction(code).map(|country| country.to_string());
        assert_eq!(of("gb-sct").as_deref(), Some("GB"));
        assert_eq!([of(""), of("XX")], [None, None]);
    }

    #[test]
    fn a_part_of_a_country_without_an_entry_takes_the_countrys() {
        let listed = [Some("DE"), None, Some("CA-ON")];
        let of = |code| nearest(&listed, code, |own| *own).copied().flatten();
        assert_eq!([of("DE-BY"), of("ca-on")], [Some("DE"), Some("CA-ON")]);
        assert_eq!([of("CA-QC"), of("CA"), of(""), of("DEU")], [None; 4]);
    }
}
