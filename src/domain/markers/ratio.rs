//! Exact chances: rationals inside, a range of fractions for the reader.

use num_rational::BigRational;
use num_traits::{One, ToPrimitive, Zero};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// An exact rational number of any size.
pub type Ratio = BigRational;

/// `numerator / denominator`; a denominator of zero counts as one.
pub(crate) fn ratio(numerator: i64, denominator: i64) -> Ratio {
    let denominator = if denominator == 0 { 1 } else { denominator };
    Ratio::new(numerator.into(), denominator.into())
}

/// The nearest `f64`.
pub(crate) fn to_f64(value: &Ratio) -> f64 {
    value.to_f64().unwrap_or(f64::NAN)
}

/// The rational that a decimal fraction is written as: 0.1 is 1/10, not the nearest binary.
pub(crate) fn from_decimal(value: f64) -> Option<Ratio> {
    if !value.is_finite() {
        return None;
    }
    let text = format!("{value}");
    let (whole, part) = text.split_once('.').unwrap_or((&text, ""));
    let digits: Ratio = format!("{whole}{part}").parse().ok()?;
    let ten = ratio(10, 1);
    Some(part.chars().fold(digits, |number, _| number / &ten))
}

/// A chance from 0 to 1: one figure, or the range that what is known allows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct MendelianChance {
    /// Smallest chance that agrees with what is known.
    #[schema(example = 0.25)]
    pub lowest: f64,
    /// Greatest chance that agrees with what is known.
    #[schema(example = 0.25)]
    pub highest: f64,
    /// The chance as a fraction, when it is one figure that rests on tested alleles alone.
    #[schema(example = "1/4")]
    pub exact: Option<String>,
}

/// A chance as a pair of bounds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Bounds {
    /// Smallest value.
    pub low: Ratio,
    /// Greatest value.
    pub high: Ratio,
}

impl Bounds {
    /// The bounds of a set of values; 0 to 1 when there is none.
    pub fn of(values: impl IntoIterator<Item = Ratio>) -> Self {
        let mut all = values.into_iter();
        let Some(first) = all.next() else {
            return Self { low: Ratio::zero(), high: Ratio::one() };
        };
        all.fold(Self { low: first.clone(), high: first }, |b, v| Self {
            low: b.low.min(v.clone()),
            high: b.high.max(v),
        })
    }

    /// Chance of two independent things at once.
    pub fn times(&self, other: &Self) -> Self {
        Self { low: &self.low * &other.low, high: &self.high * &other.high }
    }

    /// As the reader gets it; `estimated` when population frequencies entered.
    pub(crate) fn chance(&self, estimated: bool) -> MendelianChance {
        let exact = (self.low == self.high && !estimated).then(|| self.low.to_string());
        MendelianChance { lowest: to_f64(&self.low), highest: to_f64(&self.high), exact }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_decimals_as_written() {
        assert_eq!(from_decimal(0.1), Some(ratio(1, 10)));
        assert_eq!(from_decimal(0.125), Some(ratio(1, 8)));
        assert_eq!(from_decimal(1.0), Some(ratio(1, 1)));
        assert_eq!(from_decimal(1e-7), Some(ratio(1, 10_000_000)));
        assert_eq!(from_decimal(f64::NAN), None);
    }
}
