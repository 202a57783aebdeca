//! What a pup will weigh at go-home, when it reaches a weight, and when it is grown.

use super::model::{GrowthModel, LogWeight};
use super::series::{GrowthLitter, GrowthPup, WeightPoint, age_days, by_day};
use super::standards::{AdultCurve, adult_curve_of, growth_norms};
use crate::rules::Rules;
use catalogue::{Text, said};
use chrono::{DateTime, Duration, NaiveDate, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

/// Share of weighings that the intervals should hold.
const HELD: f64 = 0.95;
/// Half the width of such an interval of a normal distribution, in standard deviations.
const HELD_SD: f64 = 1.959_963_985;

/// The weight expected on a day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct WeightForecast {
    /// The day on the kennel's calendar.
    #[schema(example = "2026-04-26")]
    #[serde(rename = "expected_on")]
    pub day: NaiveDate,
    /// Age in whole days.
    #[schema(example = 56)]
    pub age_days: i64,
    /// The middle of what is expected, in grams.
    #[schema(example = 5400.0)]
    pub weight_g: f64,
    /// Lower end of the interval in grams.
    #[schema(example = 4600.0)]
    pub low_g: f64,
    /// Upper end of the interval in grams.
    #[schema(example = 6300.0)]
    pub high_g: f64,
}

/// When a pup will reach a weight.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub(crate) struct WeightReached {
    /// The weight asked for, in grams.
    #[schema(example = 1000.0)]
    pub weight_g: f64,
    /// The likely day; `null` when beyond what can be forecast.
    #[schema(example = "2026-03-22")]
    pub likely_on: Option<NaiveDate>,
    /// The earliest day of the interval.
    #[schema(example = "2026-03-20")]
    pub earliest_on: Option<NaiveDate>,
    /// The latest day of the interval; `null` when beyond what can be forecast.
    #[schema(example = "2026-03-25")]
    pub latest_on: Option<NaiveDate>,
    /// Whether it was weighed at or above that weight already.
    pub reached: bool,
}

/// A published curve to adult weight laid through the pup's last weight.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct AdultForecast {
    /// Mean adult weight of breed and sex in grams.
    #[schema(example = 31400.0)]
    pub adult_weight_g: f64,
    /// Standard error of that mean in grams; the spread between dogs is not published.
    #[schema(example = 300.0)]
    pub adult_weight_se_g: f64,
    /// Age of fastest growth in days, from the pup's own weight.
    #[schema(example = 88.0)]
    pub fastest_at_days: f64,
    /// Age in days at which growth is nearly complete (the published time of growth).
    #[schema(example = 327.0)]
    pub grown_at_days: f64,
    /// The curve, a point every four weeks.
    pub curve: Vec<AdultCurvePoint>,
    /// The paper.
    pub source: String,
}

/// A point of the curve to adult weight.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct AdultCurvePoint {
    /// Age in days.
    #[schema(example = 112.0)]
    pub age_days: f64,
    /// Weight in grams.
    #[schema(example = 15200.0)]
    pub weight_g: f64,
}

/// The growth of one pup as the model sees it.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PupGrowthForecast {
    /// The pup.
    pub dog_id: Uuid,
    /// Current gain a day as a fraction.
    #[schema(example = 0.062)]
    pub gain_fraction_per_day: Option<f64>,
    /// Lower end of its interval.
    #[schema(example = 0.05)]
    pub gain_low_fraction_per_day: Option<f64>,
    /// Upper end of its interval.
    #[schema(example = 0.074)]
    pub gain_high_fraction_per_day: Option<f64>,
    /// Fit and forecast, a point a day from birth to the day asked for.
    pub days: Vec<WeightForecast>,
    /// Last day of age for which there are norms to forecast by.
    #[schema(example = 84.0)]
    pub forecast_to_age_days: f64,
    /// The way to adult weight; `null` where no curve is published for breed and sex.
    pub adult: Option<AdultForecast>,
    /// What was not known and would be needed.
    #[schema(value_type = Vec<String>)]
    pub lacks: Vec<Text>,
}

/// The growth of a litter as the model sees it.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LitterForecast {
    /// The litter.
    pub litter_id: Uuid,
    /// The moment it was looked at.
    #[serde(rename = "reckoned_at")]
    pub as_of: DateTime<Utc>,
    /// Share of weighings that the intervals should hold.
    #[schema(example = 0.95)]
    pub interval: f64,
    /// The norms used.
    pub sources: Vec<String>,
    /// The pups in the order given.
    pub pups: Vec<PupGrowthForecast>,
}

/// Fits the litter and forecasts every pup day by day `until` a day of the kennel's calendar.
///
/// Norms reach to 12 weeks (4 when neither adult nor dam's weight is known): beyond that no day is
/// answered. Intervals hold 95 % of weighings.
pub fn litter_forecast(
    litter: &GrowthLitter,
    until: NaiveDate,
    now: DateTime<Utc>,
    rules: &Rules,
) -> LitterForecast {
    let model = GrowthModel::fit(litter, now, rules);
    let norms = growth_norms();
    let mut sources: Vec<String> = norms.gain_band.iter().map(|b| b.source.clone()).collect();
    sources.push(norms.first_day.source.clone());
    sources.push(norms.adult_gain.source.clone());
    sources.dedup();
    let pups = litter
        .pups
        .iter()
        .filter_map(|pup| Some(pup_forecast(litter, pup, model.as_ref()?, until, now)))
        .collect();
    LitterForecast { litter_id: litter.litter_id, as_of: now, interval: HELD, sources, pups }
}

fn pup_forecast(
    litter: &GrowthLitter,
    pup: &GrowthPup,
    model: &GrowthModel,
    until: NaiveDate,
    now: DateTime<Utc>,
) -> PupGrowthForecast {
    let born_on = pup.born_at.with_timezone(&litter.time_zone).date_naive();
    let last_day = ((until - born_on).num_days().max(0) as f64).min(model.to_day()).floor() as i64;
    let days = (0..=last_day)
        .filter_map(|day| {
            crate::stop::look();
            let at = with_error(model.at(pup.dog_id, day as f64)?, model);
            Some(WeightForecast {
                day: born_on + Duration::days(day),
                age_days: day,
                weight_g: at.weight_g(0.0),
                low_g: at.weight_g(-HELD_SD),
                high_g: at.weight_g(HELD_SD),
            })
        })
        .collect();
    // The rate over the day and a half before the last weight: shorter is noise, longer is history.
    let gain = model.last_age(pup.dog_id).and_then(|last| {
        let from = (last - 1.5).max(0.0);
        let span = last - from;
        let gain = model.gain(pup.dog_id, from, last).filter(|_| span >= 0.5)?;
        let per_day = |z: f64| ((gain.mean + z * gain.variance.sqrt()) / span).exp() - 1.0;
        Some((per_day(0.0), per_day(-HELD_SD), per_day(HELD_SD)))
    });
    PupGrowthForecast {
        dog_id: pup.dog_id,
        gain_fraction_per_day: gain.map(|g| g.0),
        gain_low_fraction_per_day: gain.map(|g| g.1),
        gain_high_fraction_per_day: gain.map(|g| g.2),
        days,
        forecast_to_age_days: model.to_day(),
        adult: adult_forecast(litter, pup, now),
        lacks: lacks(litter, pup, model),
    }
}

fn lacks(litter: &GrowthLitter, pup: &GrowthPup, model: &GrowthModel) -> Vec<Text> {
    let mut lacks = Vec::new();
    if model.last_age(pup.dog_id).is_none() {
        lacks.push(said!("growth-lacks-weight-of-pup"));
    }
    match (litter.adult_weight_g, litter.dam_weight_g) {
        (Some(_), _) => {}
        (None, Some(_)) => lacks.push(said!("growth-lacks-adult-weight-dam")),
        (None, None) => lacks.push(said!("growth-lacks-adult-weight")),
    }
    lacks
}

fn with_error(at: LogWeight, model: &GrowthModel) -> LogWeight {
    LogWeight { mean: at.mean, variance: at.variance + model.weighing_sd().powi(2) }
}

/// The day on which a pup reaches a weight in grams, with the interval of the forecast.
///
/// `None` when the pup is not of this litter. A weight that was reached on the scale already is
/// answered with the day it was.
pub(crate) fn weight_reached_on(
    litter: &GrowthLitter,
    model: &GrowthModel,
    dog_id: Uuid,
    weight_g: f64,
    now: DateTime<Utc>,
) -> Option<WeightReached> {
    let pup = litter.pups.iter().find(|pup| pup.dog_id == dog_id)?;
    let points = by_day(&pup.points(litter.time_zone, now));
    if let Some(point) = points.iter().find(|p| p.weight_g >= weight_g) {
        let on = Some(point.day);
        return Some(WeightReached {
            weight_g,
            likely_on: on,
            earliest_on: on,
            latest_on: on,
            reached: true,
        });
    }
    let born_on = pup.born_at.with_timezone(&litter.time_zone).date_naive();
    let start = age_days(pup.born_at, now).max(0.0).floor() as i64;
    let first = |z: f64| {
        (start..=model.to_day().floor() as i64)
            .find(|day| model.at(dog_id, *day as f64).is_some_and(|at| at.weight_g(z) >= weight_g))
            .map(|day| born_on + Duration::days(day))
    };
    Some(WeightReached {
        weight_g,
        likely_on: first(0.0),
        earliest_on: first(HELD_SD),
        latest_on: first(-HELD_SD),
        reached: false,
    })
}

/// Weight in grams at an age in days by a Gompertz curve `W = Wmax exp(-exp(-(t - c) / b))`.
pub(crate) fn gompertz(adult_weight_g: f64, c_days: f64, b_days: f64, age_days: f64) -> f64 {
    adult_weight_g * (-(-(age_days - c_days) / b_days).exp()).exp()
}

/// The age of fastest growth `c` of the curve with this adult weight and time of growth `4b + c` that
/// goes through a weight in grams at an age in days; `None` where there is no such curve.
///
/// With `L = ln(-ln(W / Wmax))` and `b = (G - c) / 4`: `c = (t + L G / 4) / (1 + L / 4)`.
pub(crate) fn gompertz_through(curve: &AdultCurve, age_days: f64, weight_g: f64) -> Option<f64> {
    let share = weight_g / curve.adult_weight_g;
    if !(share > 0.0 && share < 1.0) {
        return None;
    }
    let l = (-share.ln()).ln();
    let c = (age_days + l * curve.growth_days / 4.0) / (1.0 + l / 4.0);
    (l > -4.0 && c > 0.0 && c < curve.growth_days).then_some(c)
}

fn adult_forecast(
    litter: &GrowthLitter,
    pup: &GrowthPup,
    now: DateTime<Utc>,
) -> Option<AdultForecast> {
    let curve = adult_curve_of(litter.breed.as_deref()?, pup.is_female?)?;
    let last: WeightPoint = *by_day(&pup.points(litter.time_zone, now)).last()?;
    let c = gompertz_through(curve, last.age_days, last.weight_g)?;
    let b = (curve.growth_days - c) / 4.0;
    let start = (last.age_days / 28.0).ceil() as i32;
    let end = (curve.growth_days / 28.0).ceil() as i32;
    Some(AdultForecast {
        adult_weight_g: curve.adult_weight_g,
        adult_weight_se_g: curve.adult_weight_se_g,
        fastest_at_days: c,
        grown_at_days: curve.growth_days,
        curve: (start..=end)
            .map(|k| f64::from(k) * 28.0)
            .map(|age| AdultCurvePoint {
                age_days: age,
                weight_g: gompertz(curve.adult_weight_g, c, b, age),
            })
            .collect(),
        source: growth_norms().adult_curve_source.source.clone(),
    })
}
