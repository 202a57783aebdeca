//! Temperature, heart and breath of a pup and the warmth around it, by age.

use crate::domain::advice::{Caution, Level};
use crate::domain::fault::{Fault, Faults};
use crate::domain::rules::{Rules, Status};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use utoipa::ToSchema;

/// What is usual at an age.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct VitalNorm {
    /// First age in days.
    #[schema(example = 1)]
    pub from_day: i64,
    /// First age in days that no longer counts.
    #[schema(example = 14)]
    pub to_day: i64,
    /// Lowest usual body temperature in degrees Celsius.
    #[schema(example = 34.5)]
    pub temperature_low_c: Option<f64>,
    /// Highest usual body temperature in degrees Celsius.
    #[schema(example = 37.2)]
    pub temperature_high_c: Option<f64>,
    /// Lowest usual heart rate a minute.
    #[schema(example = 230)]
    pub heart_low_per_min: Option<u32>,
    /// Highest usual heart rate a minute.
    #[schema(example = 240)]
    pub heart_high_per_min: Option<u32>,
    /// Lowest usual breaths a minute.
    #[schema(example = 15)]
    pub breath_low_per_min: Option<u32>,
    /// Highest usual breaths a minute.
    #[schema(example = 35)]
    pub breath_high_per_min: Option<u32>,
    /// Lowest warmth for pups without a dam, in degrees Celsius.
    #[schema(example = 29.4)]
    pub ambient_low_c: Option<f64>,
    /// Highest warmth for pups without a dam, in degrees Celsius.
    #[schema(example = 32.2)]
    pub ambient_high_c: Option<f64>,
    /// Where it comes from.
    pub source: String,
    /// How far to trust it.
    pub status: Status,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct VitalTable {
    norm: Vec<VitalNorm>,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static NORMS: LazyLock<Vec<VitalNorm>> = LazyLock::new(|| {
    toml::from_str::<VitalTable>(include_str!("rules/vital_signs.toml"))
        .expect("vital_signs.toml")
        .norm
});

/// The norms by age, the youngest first.
pub fn vital_norms() -> &'static [VitalNorm] {
    &NORMS
}

/// The norm for an age in days; `None` before birth and after the ages published.
pub fn vital_norm(age_days: i64) -> Option<&'static VitalNorm> {
    NORMS.iter().find(|norm| (norm.from_day..norm.to_day).contains(&age_days))
}

/// Judges a pup's body temperature in degrees Celsius at an age in days.
///
/// Under the limit of feeding it is an emergency, outside the usual something to act on.
///
/// # Errors
/// A temperature outside 20 to 45 degrees, which is not Celsius or not a pup's.
pub fn pup_temperature(
    temperature_c: f64,
    age_days: i64,
    rules: &Rules,
) -> Result<Option<Caution>, Vec<Fault>> {
    let mut faults = Faults::new();
    faults.unless((20.0..=45.0).contains(&temperature_c), "/temperature_c", || {
        let celsius = (temperature_c - 32.0) / 1.8;
        if (20.0..=45.0).contains(&celsius) {
            format!("must be in degrees Celsius; {temperature_c} Fahrenheit is {celsius:.1}")
        } else {
            "must be in degrees Celsius, 20 to 45".to_owned()
        }
    });
    faults.into_result()?;
    let cold = rules.get("feeding.too_cold_to_feed");
    if age_days < 28 && temperature_c < cold.value {
        return Ok(Some(Caution::new(
            Level::Emergency,
            "The pup is too cold to feed: warm it slowly and call the vet.",
            format!("{temperature_c:.1} degrees, limit {:.1}.", cold.value),
            cold.source.clone(),
        )));
    }
    let Some(norm) = vital_norm(age_days) else { return Ok(None) };
    let (Some(low), Some(high)) = (norm.temperature_low_c, norm.temperature_high_c) else {
        return Ok(None);
    };
    let what = if temperature_c < low {
        "The pup is cooler than usual: warm the nest and see that it nurses."
    } else if temperature_c > high {
        "The pup is warmer than usual: check that the nest is not too hot; if it stays, call the vet."
    } else {
        return Ok(None);
    };
    let why = format!("{temperature_c:.1} degrees; usual {low:.1} to {high:.1} at this age.");
    Ok(Some(Caution::new(Level::Act, what, why, norm.source.clone())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ages_follow_one_another_and_ranges_are_in_order() {
        for pair in vital_norms().windows(2) {
            assert_eq!(pair[0].to_day, pair[1].from_day);
        }
        for norm in vital_norms() {
            assert!(norm.temperature_low_c <= norm.temperature_high_c);
            assert!(norm.heart_low_per_min <= norm.heart_high_per_min);
            assert!(norm.ambient_low_c <= norm.ambient_high_c);
        }
        assert_eq!(vital_norm(0).unwrap().temperature_low_c, Some(34.7), "35.5 - 0.8");
        assert_eq!(vital_norm(10).unwrap().heart_high_per_min, Some(240));
        assert!(vital_norm(-1).is_none());
    }

    #[test]
    fn cold_is_graded_and_fahrenheit_is_told_apart() {
        let rules = Rules::standard();
        let level = |t, age| pup_temperature(t, age, &rules).unwrap().map(|c| c.level);
        assert_eq!(level(34.3, 3), Some(Level::Emergency));
        assert_eq!(level(34.4, 3), Some(Level::Act));
        assert_eq!(level(36.0, 3), None);
        assert_eq!(level(37.3, 3), Some(Level::Act));
        assert_eq!(level(37.3, 20), None);
        let fault = pup_temperature(96.8, 3, &rules).unwrap_err();
        assert!(fault[0].detail.contains("36.0"), "{}", fault[0].detail);
    }
}
