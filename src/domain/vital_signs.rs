//! Temperature, heart and breath of a pup and the warmth around it, by age.

use crate::advice::{CautionCode, Level};
use crate::fault::{Fault, Faults};
use crate::rules::{Rules, Status};
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

/// What a pup's temperature calls for.
#[derive(Debug, Clone, PartialEq)]
pub struct Warmth {
    /// Cold or hot.
    pub code: CautionCode,
    /// How soon to act.
    pub level: Level,
    /// What to do, as the rest of a sentence about the pup.
    pub what: &'static str,
    /// The figures.
    pub why: String,
    /// The limit it is beyond, in degrees Celsius.
    pub limit_c: f64,
    /// Where that comes from.
    pub source: String,
}

/// Judges a pup's body temperature in degrees Celsius at an age in days.
///
/// The limits of alarms are the table `newborn` of the rules, what is usual is [`vital_norm`].
///
/// # Errors
/// A temperature outside 20 to 45 degrees, which is not Celsius or not a pup's.
pub fn pup_temperature(
    temperature_c: f64,
    age_days: i64,
    rules: &Rules,
) -> Result<Option<Warmth>, Vec<Fault>> {
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
    let t = temperature_c;
    let beyond = cold(t, age_days, rules).or_else(|| hot(t, age_days, rules));
    Ok(beyond.map(|(code, level, what, rule)| {
        let rule = rules.get(rule);
        Warmth {
            code,
            level,
            what,
            why: format!("{t:.1} degrees at {age_days} days; the limit is {:.1}.", rule.value),
            limit_c: rule.value,
            source: rule.source.clone(),
        }
    }))
}

type Beyond = (CautionCode, Level, &'static str, &'static str);

fn cold(t: f64, age_days: i64, rules: &Rules) -> Option<Beyond> {
    let act = match age_days {
        ..1 => "newborn.cold_day_1_c",
        1..7 => "newborn.cold_week_1_c",
        7..14 => "newborn.cold_week_2_c",
        14..28 => "newborn.cold_week_3_c",
        _ => "newborn.cold_later_c",
    };
    let cool = if age_days < 7 { "newborn.cool_c" } else { "newborn.cool_week_2_c" };
    let code = CautionCode::NewbornCold;
    if age_days < 28 && t < rules.value("newborn.cold_emergency_c") {
        let what = "is chilled: warm it slowly against your skin, do not feed it before it is warm, and call the vet now";
        return Some((code, Level::Emergency, what, "newborn.cold_emergency_c"));
    }
    if t < rules.value(act) {
        let what = "is too cool: warm it slowly before anything is fed, see that it nurses, and ask the vet if it stays so";
        return Some((code, Level::Act, what, act));
    }
    (age_days < 14 && t < rules.value(cool)).then_some((
        code,
        Level::Note,
        "is a little cool: look at the warmth of the nest and take its temperature again in an hour",
        cool,
    ))
}

fn hot(t: f64, age_days: i64, rules: &Rules) -> Option<Beyond> {
    let code = CautionCode::NewbornHot;
    if t >= rules.value("newborn.hot_emergency_c") {
        let what =
            "is dangerously hot: take it out of the warmth, cool it slowly, and call the vet now";
        return Some((code, Level::Emergency, what, "newborn.hot_emergency_c"));
    }
    if t >= rules.value("newborn.fever_c") {
        let what = "has a fever: look whether the nest is too hot, and call the vet today";
        return Some((code, Level::Act, what, "newborn.fever_c"));
    }
    let later = "newborn.warm_later_c";
    if age_days >= 28 && t > rules.value(later) {
        let what = "is a little warm: take its temperature again when it has rested";
        return Some((code, Level::Note, what, later));
    }
    let young = "newborn.hot_young_c";
    (age_days < 14 && t >= rules.value(young)).then_some((
        code,
        Level::Act,
        "is too warm: look whether the nest is too hot; if it stays so, call the vet",
        young,
    ))
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

    /// Each limit on it, one before and one after. The normal of table 16-1 is silent at every age.
    #[test]
    fn cold_and_heat_are_graded_by_age() {
        let rules = Rules::standard();
        let level = |t, age| pup_temperature(t, age, &rules).unwrap().map(|c| c.level);
        use Level::{Act, Emergency, Note};
        for (t, age, expected) in [
            (34.3, 0, Some(Emergency)),
            (34.4, 0, Some(Act)),
            (34.7, 0, Some(Note)),
            (35.5, 0, None),
            (34.3, 3, Some(Emergency)),
            (34.9, 3, Some(Act)),
            (35.0, 3, Some(Note)),
            (35.5, 3, None),
            (34.6, 10, Some(Act)),
            (35.4, 10, Some(Act)),
            (35.5, 10, Some(Note)),
            (36.0, 10, None),
            (35.9, 14, Some(Act)),
            (36.0, 14, None),
            (34.3, 27, Some(Emergency)),
            (36.6, 28, Some(Act)),
            (36.7, 28, None),
            (37.2, 3, None),
            (38.2, 3, None),
            (38.3, 13, Some(Act)),
            (38.3, 14, None),
            (38.5, 50, None),
            (39.2, 50, None),
            (39.4, 50, Some(Note)),
            (39.5, 50, Some(Act)),
            (39.9, 50, Some(Act)),
            (40.0, 50, Some(Emergency)),
        ] {
            assert_eq!(level(t, age), expected, "{t} at {age} days");
        }
        let fault = pup_temperature(96.8, 3, &rules).unwrap_err();
        assert!(fault[0].detail.contains("36.0"), "{}", fault[0].detail);
    }
}
