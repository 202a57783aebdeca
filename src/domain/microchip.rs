//! Is this a transponder number, and whose?
//!
//! By ISO 11784 a number is 15 decimal digits: three for the country (ISO 3166-1 numeric) or the
//! maker (900 and above), twelve for the animal, of which 38 bits are coded. It has no check digit.

use super::fault::{Fault, Faults};
use catalogue::{Text, said};
use serde::{Deserialize, Serialize};
use std::{
    collections::{BTreeMap, BTreeSet},
    fmt,
    sync::LazyLock,
};
use utoipa::ToSchema;
use uuid::Uuid;

/// The largest individual number that fits in 38 bits (ISO 11784).
const MAX_INDIVIDUAL: u64 = (1 << 38) - 1;
/// Last code of a country; above are makers (ISO 11784).
const LAST_COUNTRY: u16 = 899;
/// Code for tests, which no animal may carry (ICAR, misuse of manufacturer codes).
const TEST_CODE: u16 = 999;
/// Code shared by makers, of which each holds blocks of numbers (ICAR).
const SHARED_MAKER: u16 = 900;

const CODES: &str = include_str!("rules/microchip_codes.toml");

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CodeFile {
    #[expect(dead_code, reason = "each table names its source")]
    source: String,
    country: BTreeMap<String, String>,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static COUNTRIES: LazyLock<BTreeMap<u16, String>> = LazyLock::new(|| {
    let file: CodeFile = toml::from_str(CODES).expect("embedded country codes");
    let number = |code: String| code.parse().expect("numeric country code");
    file.country.into_iter().map(|(code, name)| (number(code), name)).collect()
});

/// What the first three digits say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ChipIssuer {
    /// A country's code, 001 to 899.
    Country,
    /// A maker's code, 901 to 998.
    Maker,
    /// The code 900, shared by makers.
    SharedMaker,
    /// A number older than ISO 11784: nothing is known.
    NotIso,
}

/// A transponder number, read and checked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ChipNumber {
    /// The digits without blanks.
    #[schema(example = "276098100123456")]
    pub number: String,
    /// Who issued it.
    pub issuer: ChipIssuer,
    /// Country or maker code.
    #[schema(example = 276)]
    pub code: Option<u16>,
    /// Name of the country, when it is in the table.
    #[schema(value_type = Option<String>, example = "Germany")]
    pub country: Option<Text>,
    /// Whether it has the structure of ISO 11784.
    pub iso_11784: bool,
    /// What to know about it.
    #[schema(value_type = Option<String>)]
    pub note: Option<Text>,
}

/// Why a text is no transponder number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum ChipError {
    /// Something other than digits and separators.
    NotDigits(char),
    /// Neither 15 digits nor the 9 or 10 of older chips.
    Length(usize),
    /// The code 000.
    NoCode,
    /// The code 999.
    TestCode,
    /// More than 38 bits.
    TooLarge(u64),
}

impl ChipError {
    /// What is wrong with the number, as a fault tells it.
    pub fn text(&self) -> Text {
        match self {
            Self::NotDigits(found) => {
                said!("fault-malformed-chip-number", character = format!("{found:?}"))
            }
            Self::Length(digits) if *digits < 15 => {
                said!("fault-too-short-chip", digits = *digits)
            }
            Self::Length(digits) => said!("fault-too-long-chip", digits = *digits),
            Self::NoCode => said!("fault-unknown-value-chip-no-code"),
            Self::TestCode => said!("fault-wrong-kind-chip-test-code"),
            Self::TooLarge(number) => {
                said!("fault-out-of-range-chip", number = *number, most = MAX_INDIVIDUAL)
            }
        }
    }
}

impl fmt::Display for ChipError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.text())
    }
}

impl std::error::Error for ChipError {}

/// Reads a transponder number; blanks, hyphens and dots between the digits are dropped.
///
/// 15 digits are checked by ISO 11784: code 000 (no country) and 999 (tests) are refused, as is an
/// individual number over 38 bits. 9 and 10 digits are chips older than the standard: they pass,
/// with a note.
///
/// # Errors
/// What is wrong with the number.
pub(crate) fn read_chip(text: &str) -> Result<ChipNumber, ChipError> {
    let separator = |c: &char| c.is_whitespace() || matches!(c, '-' | '.');
    let number: String = text.chars().filter(|c| !separator(c)).collect();
    if let Some(other) = number.chars().find(|c| !c.is_ascii_digit()) {
        return Err(ChipError::NotDigits(other));
    }
    match number.len() {
        15 => iso_number(number),
        9 | 10 => Ok(ChipNumber {
            issuer: ChipIssuer::NotIso,
            code: None,
            country: None,
            iso_11784: false,
            note: Some(said!("chip-old")),
            number,
        }),
        length => Err(ChipError::Length(length)),
    }
}

fn iso_number(number: String) -> Result<ChipNumber, ChipError> {
    let (code, individual) = number.split_at(3);
    let code: u16 = code.parse().map_err(|_| ChipError::NoCode)?;
    let individual: u64 = individual.parse().map_err(|_| ChipError::NoCode)?;
    match code {
        0 => return Err(ChipError::NoCode),
        TEST_CODE => return Err(ChipError::TestCode),
        _ if individual > MAX_INDIVIDUAL => return Err(ChipError::TooLarge(individual)),
        _ => {}
    }
    let issuer = match code {
        ..=LAST_COUNTRY => ChipIssuer::Country,
        SHARED_MAKER => ChipIssuer::SharedMaker,
        _ => ChipIssuer::Maker,
    };
    let named = |name: &String| Text::keyed("chip-country", &format!("{code:03}"), name);
    let country = COUNTRIES.get(&code).map(named);
    let unknown = issuer == ChipIssuer::Country && country.is_none();
    let note = unknown.then(|| said!("chip-unknown-country", code = format!("{code:03}")));
    Ok(ChipNumber { number, issuer, code: Some(code), country, iso_11784: true, note })
}

/// One line of a bulk reading.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ChipReading {
    /// Line of the text, from 1.
    #[schema(example = 1)]
    pub line: usize,
    /// What stands before the number: a collar, a name, an ordinal; empty when nothing does.
    #[schema(example = "red")]
    pub label: String,
    /// The number.
    pub chip: ChipNumber,
}

/// Reads many numbers at once: one a line, as a reader device or a spreadsheet writes them.
///
/// A line is a number, or a label and a number with a comma, semicolon or tab between. Empty lines
/// are skipped.
///
/// # Errors
/// Every line that is wrong, at `#line/N`: no number, or one that stands on an earlier line too.
pub fn read_chips(text: &str) -> Result<Vec<ChipReading>, Vec<Fault>> {
    let mut faults = Faults::new();
    let mut seen = BTreeSet::new();
    let mut readings = Vec::new();
    for (index, content) in text.lines().enumerate() {
        let line = index + 1;
        if content.trim().is_empty() {
            continue;
        }
        let (label, number) = content.rsplit_once([',', ';', '\t']).unwrap_or(("", content));
        match read_chip(number) {
            Ok(chip) if seen.insert(chip.number.clone()) => {
                readings.push(ChipReading { line, label: label.trim().to_owned(), chip });
            }
            Ok(chip) => faults
                .add(format!("#line/{line}"), said!("fault-twice-chip-line", number = chip.number)),
            Err(error) => faults.add(format!("#line/{line}"), error.text()),
        }
    }
    faults.into_result().map(|()| readings)
}

/// A pup, by what a label may name it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChipSubject {
    /// The dog.
    pub dog_id: Uuid,
    /// Its place in the litter.
    pub ordinal: Option<u32>,
    /// Its collar, its call name, its registered name.
    pub names: [Option<String>; 3],
}

/// The pups that a label names: by collar (`red`, `red collar`), call name, registered name or number (`3`,
/// `pup 3`), in small or large letters. One that names several names none for certain; an empty label names
/// nobody.
pub fn pups_named(pups: &[ChipSubject], label: &str) -> Vec<Uuid> {
    let plain = |text: &str| {
        let text = text.to_lowercase();
        let words: Vec<&str> = text.split_whitespace().collect();
        words.join(" ")
    };
    let label = plain(label);
    if label.is_empty() {
        return Vec::new();
    }
    let collar = label.strip_suffix(" collar");
    let number = label.strip_prefix("pup ").unwrap_or(&label).parse().ok();
    let named = |pup: &&ChipSubject| {
        let [own_collar, ..] = &pup.names;
        pup.names.iter().flatten().any(|name| plain(name) == label)
            || collar
                .is_some_and(|collar| own_collar.as_deref().map(plain).as_deref() == Some(collar))
            || (number.is_some() && pup.ordinal == number)
    };
    pups.iter().filter(named).map(|pup| pup.dog_id).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Made-up numbers in the layout of ISO 11784 (three-digit code, 38-bit individual number).
    #[test]
    fn the_structure_of_iso_11784_decides() {
        let good = [
            ("276098100123456", ChipIssuer::Country, Some("Germany")),
            ("250269812345678", ChipIssuer::Country, Some("France")),
            ("900215000000001", ChipIssuer::SharedMaker, None),
            ("276274877906943", ChipIssuer::Country, Some("Germany")),
            ("985112001234567", ChipIssuer::Maker, None),
            ("276 0981 0012-3456", ChipIssuer::Country, Some("Germany")),
        ];
        for (text, issuer, country) in good {
            let chip = read_chip(text).unwrap();
            let named = chip.country.map(|name| name.to_string());
            assert_eq!((chip.issuer, named.as_deref()), (issuer, country), "{text}");
            assert!(chip.iso_11784 && chip.note.is_none());
        }
        assert_eq!(read_chip("999000000000001"), Err(ChipError::TestCode));
        assert_eq!(read_chip("000123456789012"), Err(ChipError::NoCode));
        assert_eq!(read_chip("276274877906944"), Err(ChipError::TooLarge(274_877_906_944)));
        assert_eq!(read_chip("27609810012345"), Err(ChipError::Length(14)));
        assert_eq!(read_chip("27609810012345X"), Err(ChipError::NotDigits('X')));
        assert_eq!(read_chip(""), Err(ChipError::Length(0)));
    }

    /// The ends of each range of codes, and of each count of digits.
    #[test]
    fn codes_and_lengths_have_ends() {
        use ChipIssuer::{Country, Maker, SharedMaker};
        let issuer = |code: &str| read_chip(&format!("{code}098100123456")).map(|chip| chip.issuer);
        for (code, expected) in [
            ("001", Ok(Country)),
            ("899", Ok(Country)),
            ("900", Ok(SharedMaker)),
            ("901", Ok(Maker)),
            ("998", Ok(Maker)),
            ("000", Err(ChipError::NoCode)),
            ("999", Err(ChipError::TestCode)),
        ] {
            assert_eq!(issuer(code), expected, "{code}");
        }
        let read = |digits: usize| read_chip(&"1".repeat(digits)).is_ok();
        let lengths = [8, 9, 10, 11, 14, 15, 16].map(read);
        assert_eq!(lengths, [false, true, true, false, false, true, false]);
    }

    #[test]
    fn old_numbers_pass_with_a_note() {
        for text in ["123456789", "1234567890"] {
            let chip = read_chip(text).unwrap();
            assert!(!chip.iso_11784 && chip.note.is_some());
            assert_eq!((chip.issuer, chip.code), (ChipIssuer::NotIso, None));
        }
    }

    /// ISO 3166-1 numeric: Australia, Austria, Belgium, Canada, Czechia, Denmark, France, Germany,
    /// Ireland, Italy, Netherlands, Poland, Spain, Sweden, Switzerland, United Kingdom, USA.
    #[test]
    fn countries_are_named_by_iso_3166() {
        let codes =
            [36, 40, 56, 124, 203, 208, 250, 276, 372, 380, 528, 616, 724, 752, 756, 826, 840];
        for code in codes {
            assert!(COUNTRIES.contains_key(&code), "{code}");
        }
        assert_eq!(COUNTRIES[&250], "France");
        assert!(COUNTRIES.keys().all(|code| (1..=LAST_COUNTRY).contains(code)));
        assert!(read_chip("249269812345678").unwrap().note.is_some());
    }

    #[test]
    fn a_bulk_reading_reports_every_bad_line() {
        let text = "red,276098100123456\n\n  276098100123457\nblue; 276098100123458\n";
        let readings = read_chips(text).unwrap();
        let read: Vec<_> = readings.iter().map(|r| (r.line, r.label.as_str())).collect();
        assert_eq!(read, [(1, "red"), (3, ""), (4, "blue")]);
        let faults = read_chips("276098100123456\nred,1\nblue\t276098100123456\n").unwrap_err();
        let at: Vec<&str> = faults.iter().map(|fault| fault.pointer.as_str()).collect();
        assert_eq!(at, ["#line/2", "#line/3"]);
    }

    #[test]
    fn a_label_names_a_pup_by_collar_names_or_number() {
        let pup = |n: u32, names: [&str; 3]| ChipSubject {
            dog_id: Uuid::from_u128(n.into()),
            ordinal: Some(n),
            names: names.map(|name| (!name.is_empty()).then(|| name.to_owned())),
        };
        let pups = [
            pup(1, ["red", "Heron", "Harebell of the Mill"]),
            pup(2, ["blue", "Hazel", ""]),
            pup(3, ["", "Blue", "Hazel of the Mill"]),
        ];
        let named = |label: &str| {
            let ids = pups_named(&pups, label);
            ids.iter().map(Uuid::as_u128).collect::<Vec<_>>()
        };
        for label in ["red", " Red  collar", "heron", "HAREBELL  of the mill", "1", "pup 1"] {
            assert_eq!(named(label), [1], "{label}");
        }
        assert_eq!(named("hazel"), [2]);
        assert_eq!(named("blue collar"), [2]);
        // A collar of one is the call name of another.
        assert_eq!(named("blue"), [2, 3]);
        for label in ["", " ", "4", "green", "pup", "of the mill"] {
            assert_eq!(named(label), [0; 0], "{label}");
        }
    }

    proptest! {
        #[test]
        fn every_coded_value_is_read_back(code in 1u16..999, individual in 0..=MAX_INDIVIDUAL) {
            let chip = read_chip(&format!("{code:03}{individual:012}")).unwrap();
            prop_assert_eq!(chip.code, Some(code));
        }

        #[test]
        fn no_text_breaks_it(text in ".{0,40}") {
            if let Ok(chip) = read_chip(&text) {
                prop_assert!([9, 10, 15].contains(&chip.number.len()));
            }
        }
    }
}
