//! Which pup is in danger: the probability that it fails, from its birth weight and its daily gain.
//!
//! Two states, thriving and failing, followed from weighing to weighing (forward algorithm of a
//! hidden Markov model: Rabiner LR 1989, Proc IEEE 77:257-286, DOI 10.1109/5.18626). The prior at birth is
//! the published share of deaths for the birth weight; a thriving pup's gain is expected from
//! the norms and from its littermates of the same day, so that a shifted scale or a cold night that hits
//! all of them frightens for none alone.

use super::model::GrowthModel;
use super::prior::Prior;
use super::scale_step::ScaleSteps;
use super::series::{GrowthLitter, WeightPoint};
use super::standards::{birth_weights, grade_birth_weight};
use super::summary::is_of_birth;
use crate::rules::Rules;
use crate::units::signed;
use catalogue::{Text, figure, said};
use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use std::collections::BTreeMap;
use std::f64::consts::PI;
use utoipa::ToSchema;
use uuid::Uuid;

/// How loud a warning is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum RiskLevel {
    /// Nothing to be said.
    None,
    /// Keep an eye on it.
    Watch,
    /// See to it now.
    Act,
}

/// The risk of one pup.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PupRisk {
    /// The pup.
    pub dog_id: Uuid,
    /// Probability that it is failing.
    #[schema(example = 0.64)]
    pub probability: f64,
    /// What that means.
    pub level: RiskLevel,
    /// Its last gain a day as a fraction.
    #[schema(example = -0.021)]
    pub gain_fraction_per_day: Option<f64>,
    /// What was expected of it, from the norms and its littermates.
    #[schema(example = 0.071)]
    pub expected_fraction_per_day: Option<f64>,
    /// In one plain sentence.
    #[schema(value_type = String, example = "gains -2.1 % a day where 7.1 % was expected")]
    pub why: Text,
}

/// The pups present, those most in danger first.
///
/// Follows pups to the last age for which there are norms (week 12, or week 4 without an adult
/// weight); after that the last known probability is left out. Rules used: `growth.failing_*`,
/// `growth.onset_later`, `growth.early_death_base`, `growth.recovery`, `growth.outlier`, `growth.warning_*`.
pub fn litter_risks(litter: &GrowthLitter, now: DateTime<Utc>, rules: &Rules) -> Vec<PupRisk> {
    let steps = ScaleSteps::of(&litter.points(now));
    risks_of(litter, &litter.days(now), &steps, now, rules)
}

/// The same from the weights by day of each pup, and the steps of the scale that they were taken on.
pub(super) fn risks_of(
    litter: &GrowthLitter,
    series: &[Vec<WeightPoint>],
    steps: &ScaleSteps,
    now: DateTime<Utc>,
    rules: &Rules,
) -> Vec<PupRisk> {
    let prior = GrowthModel::prior_of(litter, series, rules);
    let prior = prior.unwrap_or_else(|| Prior::of(litter, rules));
    let chances = Chances::of(rules);
    let gains: Vec<Vec<(WeightPoint, Gain)>> =
        series.iter().map(|points| gains(points, steps, prior.weighing_sd)).collect();
    let by_date = by_date(&gains);
    let mut risks: Vec<PupRisk> = litter
        .pups
        .iter()
        .enumerate()
        .filter(|(_, pup)| pup.present(now))
        .map(|(index, pup)| {
            let start =
                at_birth(litter, pup.birth_weight_g.or(first_day(&series[index], rules)), rules);
            let mates = |day: NaiveDate| mates_gain(index, by_date.get(&day)?);
            follow(pup.dog_id, start, &gains[index], mates, &prior, &chances)
        })
        .collect();
    risks.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    risks
}

fn first_day(points: &[WeightPoint], rules: &Rules) -> Option<f64> {
    points.first().filter(|first| is_of_birth(first, rules)).map(|first| first.weight_g)
}

/// The published share of deaths for the birth weight, or the base rate where it is not graded.
fn at_birth(litter: &GrowthLitter, birth_weight_g: Option<f64>, rules: &Rules) -> f64 {
    let graded = litter
        .breed
        .as_deref()
        .zip(birth_weight_g)
        .and_then(|(breed, weight)| grade_birth_weight(breed, weight));
    match graded {
        Some(grade) => grade.death_within_21_days,
        None if birth_weight_g.is_some() => birth_weights().all_breeds.death_normal,
        None => rules.value("growth.early_death_base"),
    }
}

/// A gain a day in log weight over a span in days.
#[derive(Clone, Copy)]
struct Gain {
    from_age: f64,
    to_age: f64,
    rate: f64,
    /// Variance of the difference of the two log weights by the scale: its error and its step.
    scale_variance: f64,
}

fn gains(points: &[WeightPoint], steps: &ScaleSteps, weighing_sd: f64) -> Vec<(WeightPoint, Gain)> {
    points
        .windows(2)
        .filter_map(|pair| {
            let [before, after] = pair else { return None };
            let span = after.age_days - before.age_days;
            let rate = (after.weight_g / before.weight_g).ln() / span;
            let rounded = |p: &WeightPoint| (steps.on(p.day) / p.weight_g).powi(2) / 12.0;
            let scale_variance = 2.0 * weighing_sd.powi(2) + rounded(before) + rounded(after);
            (span > 0.2).then_some((
                *after,
                Gain { from_age: before.age_days, to_age: after.age_days, rate, scale_variance },
            ))
        })
        .collect()
}

fn follow(
    dog_id: Uuid,
    start: f64,
    own: &[(WeightPoint, Gain)],
    mates: impl Fn(NaiveDate) -> Option<(f64, f64)>,
    prior: &Prior,
    chances: &Chances,
) -> PupRisk {
    let mut probability = start;
    let mut last = None;
    for (point, gain) in own.iter().take_while(|(_, gain)| gain.to_age <= prior.to_day) {
        let mates = mates(point.day);
        let expected = thriving(*gain, mates, prior);
        probability = chances.step(probability, *gain, expected);
        last = Some((gain.rate.exp_m1(), expected.0.exp_m1()));
    }
    let level = if probability >= chances.act {
        RiskLevel::Act
    } else if probability >= chances.watch {
        RiskLevel::Watch
    } else {
        RiskLevel::None
    };
    let why = match last {
        Some((gain, expected)) => said!(
            "growth-risk-gain",
            gain_percent = signed(gain * 100.0, 1),
            expected_percent = signed(expected * 100.0, 1)
        ),
        None => said!("growth-risk-at-birth", died_percent = figure(start * 100.0, 0)),
    };
    PupRisk {
        dog_id,
        probability,
        level,
        gain_fraction_per_day: last.map(|l| l.0),
        expected_fraction_per_day: last.map(|l| l.1),
        why,
    }
}

/// The gains that end on each day, the least first, with the place of the pup.
fn by_date(gains: &[Vec<(WeightPoint, Gain)>]) -> BTreeMap<NaiveDate, Vec<(usize, f64)>> {
    let mut by_date: BTreeMap<NaiveDate, Vec<(usize, f64)>> = BTreeMap::new();
    for (index, own) in gains.iter().enumerate() {
        for (point, gain) in own {
            by_date.entry(point.day).or_default().push((index, gain.rate));
        }
    }
    for of_day in by_date.values_mut() {
        of_day.sort_by(|a, b| a.1.total_cmp(&b.1));
    }
    by_date
}

/// The middle gain of the littermates weighed on the same day, of which there are two at least, and how
/// many they are. `of_day` is in the order of gains.
fn mates_gain(index: usize, of_day: &[(usize, f64)]) -> Option<(f64, f64)> {
    let own = of_day.iter().position(|(other, _)| *other == index).unwrap_or(of_day.len());
    let mates = of_day.len() - usize::from(own < of_day.len());
    // Without its own, what stands behind it moves up by a place.
    let mate = |place: usize| of_day.get(place + usize::from(place >= own)).map(|(_, rate)| *rate);
    let upper = mate(mates / 2).filter(|_| mates >= 2)?;
    let middle = match mates % 2 {
        1 => upper,
        _ => (mate(mates / 2 - 1)? + upper) / 2.0,
    };
    Some((middle, mates as f64))
}

/// Mean and variance of the gain of a thriving pup: the norm, drawn towards its littermates.
fn thriving(gain: Gain, mates: Option<(f64, f64)>, prior: &Prior) -> (f64, f64) {
    let span = gain.to_age - gain.from_age;
    let rate = prior.rate(gain.from_age, gain.to_age);
    let (usual, between) = (rate.mean, rate.between_litters);
    let single = rate.between_pups + gain.scale_variance / (span * span);
    let Some((middle, count)) = mates else {
        return (usual, between + single);
    };
    // A median of n normal values varies by about pi / 2n of one value.
    let error = single * PI / (2.0 * count);
    let share = between / (between + error);
    (usual + share * (middle - usual), between * (1.0 - share) + single)
}

/// The rules of the two states, read once.
struct Chances {
    onset_early_per_day: f64,
    onset_later_per_day: f64,
    recovery_per_day: f64,
    failing_rate: f64,
    failing_variance: f64,
    outlier: f64,
    act: f64,
    watch: f64,
}

impl Chances {
    fn of(rules: &Rules) -> Self {
        Self {
            onset_early_per_day: rules.value("growth.early_death_base") / 7.0,
            onset_later_per_day: rules.value("growth.onset_later") / 49.0,
            recovery_per_day: rules.value("growth.recovery"),
            failing_rate: rules.value("growth.failing_rate"),
            failing_variance: rules.value("growth.failing_rate_sd").powi(2),
            outlier: rules.value("growth.outlier"),
            act: rules.value("growth.warning_act"),
            watch: rules.value("growth.warning_watch"),
        }
    }

    /// One step of the forward algorithm.
    fn step(&self, probability: f64, gain: Gain, expected: (f64, f64)) -> f64 {
        let span = gain.to_age - gain.from_age;
        let early = gain.to_age <= 7.0;
        let per_day = if early { self.onset_early_per_day } else { self.onset_later_per_day };
        let onset = 1.0 - (1.0 - per_day).powf(span);
        let recovery = 1.0 - (1.0 - self.recovery_per_day).powf(span);
        let failing = probability * (1.0 - recovery) + (1.0 - probability) * onset;
        let spread = self.failing_variance + gain.scale_variance / (span * span);
        let as_failing = normal(gain.rate, self.failing_rate, spread);
        let odd = self.outlier;
        // One weighing that is far off, a tenth, says little of the pup.
        let as_thriving = (1.0 - odd) * normal(gain.rate, expected.0, expected.1)
            + odd * normal(gain.rate, expected.0, expected.1 + (0.1 / span).powi(2));
        // Growth beyond what is expected never speaks for failing, whatever the wide tail says.
        if gain.rate >= expected.0 {
            let ratio = (as_failing / as_thriving).min(1.0);
            return odds_step(failing, ratio);
        }
        odds_step(failing, as_failing / as_thriving)
    }
}

fn odds_step(probability: f64, ratio: f64) -> f64 {
    let odds = probability / (1.0 - probability).max(1e-9) * ratio;
    odds / (1.0 + odds)
}

fn normal(value: f64, mean: f64, variance: f64) -> f64 {
    (-(value - mean).powi(2) / (2.0 * variance)).exp() / (2.0 * PI * variance).sqrt()
}
