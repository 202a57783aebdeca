//! Published norms of birth weight and growth, by breed and age.

use crate::rules::Status;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use utoipa::ToSchema;

/// Birth weights of one breed (Mugnier et al. 2020).
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BreedBirthWeight {
    /// The breed.
    pub name: String,
    /// Other ways to write it, in lower case.
    pub aliases: Vec<String>,
    /// Mean birth weight in grams.
    pub mean_g: f64,
    /// Standard deviation of birth weight in grams.
    pub sd_g: f64,
    /// Mean size of litter.
    pub mean_litter: f64,
    /// From this weight in grams a pup is of normal weight.
    pub normal_from_g: f64,
    /// From this weight in grams, below `normal_from_g`, it is low; below it very low.
    pub low_from_g: f64,
    /// Share of pups of normal weight that die within 21 days.
    pub death_normal: f64,
    /// Share of pups of low weight that die within 21 days.
    pub death_low: f64,
    /// Share of pups of very low weight that die within 21 days.
    pub death_very_low: f64,
}

/// Birth weights of all breeds together (Mugnier et al. 2020).
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AllBreedsBirthWeight {
    /// Mean birth weight in grams.
    pub mean_g: f64,
    /// Standard deviation of birth weight in grams.
    pub sd_g: f64,
    /// Mean size of litter.
    pub mean_litter: f64,
    /// Share of pups of normal weight that die within 21 days.
    pub death_normal: f64,
    /// Share of pups of low weight that die within 21 days.
    pub death_low: f64,
    /// Share of pups of very low weight that die within 21 days.
    pub death_very_low: f64,
}

/// The table of birth weights.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BirthWeights {
    /// Where it comes from.
    pub source: String,
    /// How far to trust it.
    #[serde(rename = "confirmation")]
    pub status: Status,
    /// All breeds together.
    pub all_breeds: AllBreedsBirthWeight,
    /// By breed.
    pub breed: Vec<BreedBirthWeight>,
}

/// Usual gain a day as a fraction of body weight.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GainBand {
    /// First age in days.
    pub from_day: f64,
    /// Last age in days (excluded).
    pub to_day: f64,
    /// Lower end of the usual.
    pub low: f64,
    /// The usual.
    pub usual: f64,
    /// Upper end of the usual.
    pub high: f64,
    /// Where it comes from.
    pub source: String,
    /// How far to trust it.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

/// Usual gain a day from week 5, in grams per kilogram of adult weight.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AdultGain {
    /// First age in days.
    pub from_day: f64,
    /// Last age in days to which forecasts by it go.
    pub to_day: f64,
    /// Lower end of the usual.
    pub low_g_per_kg: f64,
    /// The usual.
    pub usual_g_per_kg: f64,
    /// Upper end of the usual.
    pub high_g_per_kg: f64,
    /// Where it comes from.
    pub source: String,
    /// How far to trust it.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

/// Usual change over the first day as a fraction of birth weight.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FirstDay {
    /// Lower end of the usual.
    pub low: f64,
    /// The usual.
    pub usual: f64,
    /// Upper end of the usual.
    pub high: f64,
    /// Where it comes from.
    pub source: String,
    /// How far to trust it.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

/// The ceiling of growth in the first three weeks (Alves 2020).
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UpperReference {
    /// Coefficient of the age, per day.
    pub linear: f64,
    /// Coefficient of the square of the age, per day squared.
    pub quadratic: f64,
    /// Last age in days.
    pub to_day: f64,
    /// Where it comes from.
    pub source: String,
    /// How far to trust it.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

impl UpperReference {
    /// Weight at `age_days` as a multiple of birth weight; `None` beyond the published ages.
    pub fn multiple(&self, age_days: f64) -> Option<f64> {
        (0.0..=self.to_day)
            .contains(&age_days)
            .then(|| (self.linear * age_days - self.quadratic * age_days * age_days).exp())
    }
}

/// How growth varies between and within litters.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GrowthSpread {
    /// Share of the variance that lies between litters.
    pub between_litters: f64,
    /// Standard deviation of log birth weight within a breed.
    pub birth_weight_within_breed: f64,
    /// The same for a breed of which nothing is published.
    pub birth_weight_unknown_breed: f64,
    /// Standard deviation of the wandering rate of growth, in log weight per day.
    pub rate_wander_per_day: f64,
    /// Days over which a pup's rate of growth comes back to its own mean.
    pub rate_wander_days: f64,
    /// Standard deviation of what one day does to the rate of a whole litter, in log weight per day.
    pub litter_day: f64,
    /// How far the litter's rate beside the norm drifts in a day.
    pub litter_pace_drift: f64,
    /// How far the pace of one pup beside its litter drifts in a day.
    pub pup_pace_drift: f64,
    /// As many gains as the supposed noise of weighings counts, beside those of the litter.
    pub noise_supposed_gains: f64,
    /// The least multiple of the supposed noise, as a variance, that is learned.
    pub noise_least: f64,
    /// The greatest.
    pub noise_most: f64,
    /// Where it comes from.
    pub source: String,
    /// How far to trust it.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

/// What is published of a breed's growth to adult weight (Gompertz curve).
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AdultCurve {
    /// The breed.
    pub breed: String,
    /// For females or males.
    pub female: bool,
    /// Adult weight in grams.
    pub adult_weight_g: f64,
    /// Its standard error in grams.
    pub adult_weight_se_g: f64,
    /// Time of growth `4b + c` in days.
    pub growth_days: f64,
    /// Its standard error in days.
    pub growth_days_se: f64,
    /// How far to trust it.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

/// Where the adult curves come from.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AdultCurveSource {
    /// The paper.
    pub source: String,
}

/// All norms of growth.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GrowthNorms {
    /// Gain a day while nursing, by age.
    pub gain_band: Vec<GainBand>,
    /// Gain a day from week 5.
    pub adult_gain: AdultGain,
    /// The first day.
    pub first_day: FirstDay,
    /// The ceiling to day 21.
    pub upper_reference: UpperReference,
    /// Spread of growth.
    pub spread: GrowthSpread,
    /// Curves to adult weight.
    pub adult_curve: Vec<AdultCurve>,
    /// Where those curves come from.
    pub adult_curve_source: AdultCurveSource,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static BIRTH_WEIGHTS: LazyLock<BirthWeights> = LazyLock::new(|| {
    toml::from_str(include_str!("../rules/birth_weights.toml")).expect("birth_weights.toml")
});

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static GROWTH_NORMS: LazyLock<GrowthNorms> = LazyLock::new(|| {
    toml::from_str(include_str!("../rules/growth_norms.toml")).expect("growth_norms.toml")
});

/// The table of birth weights.
pub fn birth_weights() -> &'static BirthWeights {
    &BIRTH_WEIGHTS
}

/// The norms of growth.
pub fn growth_norms() -> &'static GrowthNorms {
    &GROWTH_NORMS
}

/// The published birth weights of a breed, however it is capitalised; `None` when there are none.
pub(crate) fn birth_weights_of(breed: &str) -> Option<&'static BreedBirthWeight> {
    let wanted = breed.trim().to_lowercase();
    BIRTH_WEIGHTS
        .breed
        .iter()
        .find(|row| row.name.to_lowercase() == wanted || row.aliases.contains(&wanted))
}

/// The published curve to adult weight of a breed and sex; `None` when there is none.
pub(crate) fn adult_curve_of(breed: &str, female: bool) -> Option<&'static AdultCurve> {
    let name = birth_weights_of(breed).map_or(breed.trim(), |row| row.name.as_str());
    GROWTH_NORMS
        .adult_curve
        .iter()
        .find(|curve| curve.breed.eq_ignore_ascii_case(name) && curve.female == female)
}

/// A birth weight against the thresholds of its breed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum BirthWeightClass {
    /// Normal.
    Normal,
    /// Low: some more risk.
    Low,
    /// Very low: about half of such pups die within three weeks.
    VeryLow,
}

/// Where a birth weight stands for its breed and what that means.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct BirthWeightGrade {
    /// The class.
    pub class: BirthWeightClass,
    /// From this weight in grams it would be normal.
    #[schema(example = 406.0)]
    pub normal_from_g: f64,
    /// Below this weight in grams it would be very low.
    #[schema(example = 248.0)]
    pub low_from_g: f64,
    /// Share of live-born pups of this class that died within 21 days.
    #[schema(example = 0.087)]
    pub death_within_21_days: f64,
    /// The study.
    pub source: String,
}

/// Grades a birth weight in grams by the thresholds of its breed; `None` when none are published.
///
/// At or above the upper threshold is normal, below the lower one very low (Mugnier et al. 2020).
pub(crate) fn grade_birth_weight(breed: &str, weight_g: f64) -> Option<BirthWeightGrade> {
    let row = birth_weights_of(breed)?;
    let (class, death) = if weight_g >= row.normal_from_g {
        (BirthWeightClass::Normal, row.death_normal)
    } else if weight_g >= row.low_from_g {
        (BirthWeightClass::Low, row.death_low)
    } else {
        (BirthWeightClass::VeryLow, row.death_very_low)
    };
    Some(BirthWeightGrade {
        class,
        normal_from_g: row.normal_from_g,
        low_from_g: row.low_from_g,
        death_within_21_days: death,
        source: BIRTH_WEIGHTS.source.clone(),
    })
}
