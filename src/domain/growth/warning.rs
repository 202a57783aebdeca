//! Which pup is in danger: the probability that it fails, from its birth weight and its daily gain.
//!
//! The published share of deaths for its birth weight is where it begins; then it is followed from weighing to
//! weighing, whether it thrives, falls behind or fails ([`super::regimes`]), beside what is expected of it by
//! the norms and its litter ([`super::litter_pace`]).

use super::litter_pace::{Gain, LitterPace};
use super::model::GrowthModel;
use super::prior::Prior;
use super::regimes::{Belief, Chances};
use super::scale_step::ScaleSteps;
use super::series::{GrowthLitter, WeightPoint};
use super::standards::{birth_weights, grade_birth_weight};
use super::summary::is_of_birth;
use crate::rules::Rules;
use crate::units::signed;
use catalogue::{Text, figure, said};
use chrono::{DateTime, Utc};
use serde::Serialize;
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
/// weight); after that the last known probability stays. Rules used: `growth.failing_*`, `growth.faltering_*`,
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
    let pace = LitterPace::of(series, steps, &prior);
    let mut risks: Vec<PupRisk> = litter
        .pups
        .iter()
        .enumerate()
        .filter(|(_, pup)| pup.present(now))
        .map(|(index, pup)| {
            let birth_weight = pup.birth_weight_g.or(first_day(&series[index], rules));
            let dies = at_birth(litter, birth_weight, rules);
            match followed(index, dies, &pace, &prior, &chances) {
                Some((probability, gain, expected)) => {
                    PupRisk::of_gain(pup.dog_id, probability, gain.rate, expected, rules)
                }
                None => PupRisk::of_birth(pup.dog_id, dies, rules),
            }
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

/// Follows one pup: how probable it is that it does not thrive, with its last gain and the rate expected of it;
/// `None` before there is a gain.
fn followed<'p>(
    index: usize,
    dies: f64,
    pace: &'p LitterPace,
    prior: &Prior,
    chances: &Chances,
) -> Option<(f64, &'p Gain, f64)> {
    let gains = pace.gains.get(index)?;
    let pace_variance = prior.pace_variance();
    let mut belief = Belief::at_first(gains.first()?.first(), pace_variance, dies, chances);
    let mut last = None;
    for gain in gains {
        let expected = pace.expected(index, gain, prior);
        belief = belief.after(gain.weighed(), expected, chances);
        last = Some((belief.is_behind(), gain, expected.rate));
    }
    last
}

impl PupRisk {
    fn of_gain(dog_id: Uuid, probability: f64, gain: f64, expected: f64, rules: &Rules) -> Self {
        let (gain, expected) = (gain.exp_m1(), expected.exp_m1());
        Self {
            dog_id,
            probability,
            level: level(probability, rules),
            gain_fraction_per_day: Some(gain),
            expected_fraction_per_day: Some(expected),
            why: said!(
                "growth-risk-gain",
                gain_percent = signed(gain * 100.0, 1),
                expected_percent = signed(expected * 100.0, 1)
            ),
        }
    }

    fn of_birth(dog_id: Uuid, dies: f64, rules: &Rules) -> Self {
        Self {
            dog_id,
            probability: dies,
            level: level(dies, rules),
            gain_fraction_per_day: None,
            expected_fraction_per_day: None,
            why: said!("growth-risk-at-birth", died_percent = figure(dies * 100.0, 0)),
        }
    }
}

fn level(probability: f64, rules: &Rules) -> RiskLevel {
    if probability >= rules.value("growth.warning_act") {
        RiskLevel::Act
    } else if probability >= rules.value("growth.warning_watch") {
        RiskLevel::Watch
    } else {
        RiskLevel::None
    }
}
