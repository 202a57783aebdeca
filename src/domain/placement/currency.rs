//! Currencies by ISO 4217.

use crate::fault::quoted;
use catalogue::{Text, said};
use serde::{Deserialize, Deserializer, Serialize};
use std::{collections::BTreeMap, fmt, str::FromStr, sync::LazyLock};
use utoipa::{ToSchema, openapi};

const CURRENCIES: &str = include_str!("../rules/currencies.toml");

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CurrencyFile {
    #[expect(dead_code, reason = "each table names its source")]
    source: String,
    minor_unit_digits: BTreeMap<String, u32>,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static DIGITS: LazyLock<BTreeMap<String, u32>> = LazyLock::new(|| {
    toml::from_str::<CurrencyFile>(CURRENCIES).expect("embedded currencies").minor_unit_digits
});

/// An active ISO 4217 currency, written as its three letters.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency([u8; 3]);

/// Why a text is not a [`Currency`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NotACurrency;

impl NotACurrency {
    /// What is wrong, as a fault tells it.
    pub fn text(self) -> Text {
        said!("fault-unknown-value-currency-code")
    }
}

impl fmt::Display for NotACurrency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.text())
    }
}

impl std::error::Error for NotACurrency {}

impl Currency {
    /// The three letters.
    pub fn code(&self) -> &str {
        std::str::from_utf8(&self.0).unwrap_or_default()
    }

    /// Decimal places of the minor unit: 2 for EUR, 0 for JPY, 3 for KWD.
    pub(crate) fn minor_unit_digits(&self) -> u32 {
        DIGITS.get(self.code()).copied().unwrap_or_default()
    }
}

impl FromStr for Currency {
    type Err = NotACurrency;

    fn from_str(text: &str) -> Result<Self, NotACurrency> {
        let letters = text.as_bytes().try_into().map_err(|_| NotACurrency)?;
        if DIGITS.contains_key(text) { Ok(Self(letters)) } else { Err(NotACurrency) }
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

impl fmt::Debug for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

impl Serialize for Currency {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.code())
    }
}

impl<'de> Deserialize<'de> for Currency {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(|NotACurrency| {
            let told = said!("fault-unknown-value-currency-code-given", value = quoted(&text));
            serde::de::Error::custom(told)
        })
    }
}

impl utoipa::PartialSchema for Currency {
    fn schema() -> openapi::RefOr<openapi::schema::Schema> {
        openapi::ObjectBuilder::new()
            .schema_type(openapi::schema::Type::String)
            .description(Some("An active ISO 4217 currency."))
            .pattern(Some("^[A-Z]{3}$"))
            .examples(["EUR"])
            .into()
    }
}

impl ToSchema for Currency {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_active_codes_are_currencies() {
        for text in ["eur", "EURO", "", "DEM", "XXX", "€"] {
            assert!(text.parse::<Currency>().is_err(), "{text}");
        }
        assert!(NotACurrency.to_string().contains("ISO 4217"));
        let francs: Currency = "CHF".parse().unwrap();
        assert_eq!(format!("{francs} {francs:?}"), "CHF CHF");
        assert!(DIGITS.len() > 150);
        let json = serde_json::to_string(&"CHF".parse::<Currency>().unwrap()).unwrap();
        assert_eq!(json, r#""CHF""#);
        assert!(serde_json::from_str::<Currency>(r#""chf""#).is_err());
    }

    /// Decimal places by ISO 4217: EUR 2, JPY 0, KWD 3.
    #[test]
    fn minor_units_follow_the_standard() {
        for (code, digits) in [("EUR", 2), ("JPY", 0), ("KWD", 3)] {
            assert_eq!(code.parse::<Currency>().unwrap().minor_unit_digits(), digits);
        }
    }
}
