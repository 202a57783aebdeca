//! Sums of money in minor units.

use super::currency::Currency;
use catalogue::{Text, said};
use serde::{Deserialize, Serialize};
use std::fmt;
use utoipa::ToSchema;

/// A sum of money.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Money {
    /// The sum in the currency's minor unit (cents).
    #[schema(example = 150_000)]
    pub amount_minor: i64,
    /// The currency.
    pub currency: Currency,
}

impl Money {
    /// The sum with its decimal places: `1500.00 EUR`, `1500,00 EUR` in German.
    ///
    /// Its digits are written one by one, since a number with a point would lose the last of a large sum.
    pub fn text(&self) -> Text {
        let digits = self.currency.minor_unit_digits();
        let unit = 10u64.pow(digits);
        let sign = if self.amount_minor < 0 { "-" } else { "" };
        let (whole, part) =
            (self.amount_minor.unsigned_abs() / unit, self.amount_minor.unsigned_abs() % unit);
        let (whole, currency) = (format!("{sign}{whole}"), self.currency.code());
        match digits {
            0 => said!("money-whole", whole = whole, currency = currency),
            _ => {
                let width = usize::try_from(digits).unwrap_or_default();
                let part = format!("{part:0width$}");
                said!("money", whole = whole, part = part, currency = currency)
            }
        }
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.text())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::{Language, speaking};

    fn money(amount_minor: i64, currency: &str) -> Money {
        Money { amount_minor, currency: currency.parse().unwrap() }
    }

    /// Decimal places by ISO 4217: EUR 2, JPY 0, KWD 3.
    #[test]
    fn sums_are_written_with_the_places_of_their_currency() {
        assert_eq!(money(150_005, "EUR").to_string(), "1500.05 EUR");
        assert_eq!(money(-5, "EUR").to_string(), "-0.05 EUR");
        assert_eq!(money(0, "EUR").to_string(), "0.00 EUR");
        let german = speaking(Language::German, || money(150_005, "EUR").to_string());
        assert_eq!(german, "1500,05 EUR");
        assert_eq!(money(150_000, "JPY").to_string(), "150000 JPY");
        assert_eq!(money(1_500, "KWD").to_string(), "1.500 KWD");
        assert_eq!(money(i64::MIN, "JPY").to_string(), "-9223372036854775808 JPY");
    }
}
