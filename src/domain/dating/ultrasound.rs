//! Days before whelping from ultrasound measures of the pups.

use crate::{record::MeasureKind, rules::Status};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use utoipa::ToSchema;

/// The group of dams that a formula was made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum UltrasoundGroup {
    /// Under 10 kg.
    Small,
    /// 10–25 kg; also used when neither weight nor breed is known.
    Medium,
    /// 25–40 kg.
    Large,
    /// Over 40 kg.
    Giant,
    /// The breed's own formula.
    GermanShepherd,
}

/// One published formula: days before whelping = (`intercept_mm` − measure) / `mm_per_day`.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct UltrasoundFormula {
    /// Dams it is for.
    pub group: UltrasoundGroup,
    /// Measure it takes.
    pub measure: MeasureKind,
    /// Measure at whelping, mm.
    pub intercept_mm: f64,
    /// Growth, mm a day.
    pub mm_per_day: f64,
    /// Where it was published.
    pub source: String,
    /// How it was confirmed.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Classes {
    small_below_g: f64,
    medium_to_g: f64,
    large_to_g: f64,
    #[expect(dead_code, reason = "the source stands beside the limits in the table")]
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    formula: Vec<UltrasoundFormula>,
    classes: Classes,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static TABLE: LazyLock<Table> =
    LazyLock::new(|| toml::from_str(include_str!("ultrasound.toml")).expect("ultrasound table"));

impl UltrasoundFormula {
    /// Days before whelping at a measure in mm; negative when the measure is beyond the formula.
    pub(crate) fn days_before_whelping(&self, value_mm: f64) -> f64 {
        (self.intercept_mm - value_mm) / self.mm_per_day
    }
}

/// The group of a dam, by breed, else by adult weight (g), else medium.
pub(crate) fn group_of(breed: Option<&str>, adult_weight_g: Option<f64>) -> UltrasoundGroup {
    let is_shepherd = |name: &str| {
        ["german shepherd", "german shepherd dog"].contains(&name.trim().to_lowercase().as_str())
    };
    if breed.is_some_and(is_shepherd) {
        return UltrasoundGroup::GermanShepherd;
    }
    let classes = &TABLE.classes;
    match adult_weight_g {
        Some(weight) if weight < classes.small_below_g => UltrasoundGroup::Small,
        Some(weight) if weight > classes.large_to_g => UltrasoundGroup::Giant,
        Some(weight) if weight > classes.medium_to_g => UltrasoundGroup::Large,
        _ => UltrasoundGroup::Medium,
    }
}

/// The formula for a group and a measure; every pair has one.
pub(crate) fn formula(group: UltrasoundGroup, measure: MeasureKind) -> &'static UltrasoundFormula {
    let found = TABLE.formula.iter().find(|f| f.group == group && f.measure == measure);
    found.unwrap_or(&TABLE.formula[0])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values worked by hand from the published constants; the German Shepherd line is published
    /// in cm (DBP = 44.76 − 4.34 ICC; 38.65 − 12.86 BP).
    #[test]
    fn gives_the_published_days_before_whelping() {
        use MeasureKind::{Bp, Icc};
        use UltrasoundGroup::{GermanShepherd, Medium, Small};
        let rows = [
            (Icc, 20.0, [31.82, 34.52, 36.08]),
            (Icc, 30.0, [25.28, 28.96, 31.74]),
            (Bp, 15.0, [16.57, 20.26, 19.36]),
            (Bp, 20.0, [8.38, 13.11, 12.93]),
            (Bp, 25.0, [0.18, 5.97, 6.50]),
        ];
        for (measure, mm, days) in rows {
            for (group, expected) in [Small, Medium, GermanShepherd].into_iter().zip(days) {
                let got = formula(group, measure).days_before_whelping(mm);
                assert!((got - expected).abs() < 0.006, "{group:?} {measure:?} {mm}: {got}");
            }
        }
    }

    #[test]
    fn every_group_has_both_formulas_and_the_classes_their_limits() {
        use UltrasoundGroup::{GermanShepherd, Giant, Large, Medium, Small};
        for group in [Small, Medium, Large, Giant, GermanShepherd] {
            for measure in [MeasureKind::Icc, MeasureKind::Bp] {
                let found = formula(group, measure);
                assert_eq!((found.group, found.measure), (group, measure));
            }
        }
        assert_eq!(group_of(None, None), Medium);
        assert_eq!(group_of(None, Some(9_999.0)), Small);
        assert_eq!(group_of(None, Some(10_000.0)), Medium);
        assert_eq!(group_of(None, Some(25_001.0)), Large);
        assert_eq!(group_of(None, Some(40_001.0)), Giant);
        assert_eq!(group_of(Some(" german shepherd"), Some(30_000.0)), GermanShepherd);
    }
}
