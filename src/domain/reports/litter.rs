//! What became of a litter: survivors, losses and their causes, weights, sexes.

use super::spread::WeightSpread;
use crate::{record::Sex, schedule::completed_days};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use utoipa::ToSchema;
use uuid::Uuid;

/// Ages in days at which weights are set side by side: the weeks of the nest.
const WEIGHT_AGES: [i64; 8] = [7, 14, 21, 28, 35, 42, 49, 56];

/// A pup of the litter, as the report takes it in.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReportPup {
    /// The pup.
    pub dog_id: Uuid,
    /// Its sex.
    pub sex: Option<Sex>,
    /// Whether it was born dead.
    pub stillborn: bool,
    /// First weight.
    pub birth_weight_g: Option<f64>,
    /// Weights by day, in grams; of several on a day the last one counts.
    pub weights: Vec<(NaiveDate, f64)>,
    /// Day of death after a live birth.
    pub died_on: Option<NaiveDate>,
    /// Cause of the loss, in the kennel's or its veterinarian's words.
    pub cause_of_loss: Option<String>,
}

/// A litter, as the report takes it in.
#[derive(Debug, Clone, PartialEq)]
pub struct LitterReportInput {
    /// The litter.
    pub litter_id: Uuid,
    /// Its name.
    pub name: Option<String>,
    /// Day of the mating from which the pregnancy is counted.
    pub mated_on: Option<NaiveDate>,
    /// Day of the whelping.
    pub whelped_on: NaiveDate,
    /// The pups.
    pub pups: Vec<ReportPup>,
}

/// How many of each sex.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SexCount {
    /// Bitches.
    #[schema(example = 4)]
    pub females: usize,
    /// Dogs.
    #[schema(example = 3)]
    pub males: usize,
    /// Not recorded.
    #[schema(example = 0)]
    pub unknown: usize,
    /// Dogs among those of known sex, 0–1; `null` when none is known.
    #[schema(example = 0.43)]
    pub males_fraction: Option<f64>,
}

/// At what age a pup was lost.
///
/// The first week and the 8 weeks are those of Tønnessen et al. 2012, Theriogenology 77:1788–1801
/// (dead before day 8; day 8 to 8 weeks).
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum LossAge {
    /// Born dead.
    Stillborn,
    /// In the first seven days after the day of birth.
    FirstWeek,
    /// From the 8th to the 21st day.
    ToThreeWeeks,
    /// From the 22nd to the 56th day.
    ToEightWeeks,
    /// Later.
    Later,
}

/// Losses at one age.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LossesByAge {
    /// The age.
    pub age: LossAge,
    /// How many pups.
    #[schema(example = 1)]
    pub count: usize,
}

/// Losses of one cause.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct LossesByCause {
    /// The cause as recorded; `null` when none is.
    #[schema(example = "crushed")]
    pub cause: Option<String>,
    /// How many pups.
    #[schema(example = 1)]
    pub count: usize,
}

/// The weights of the litter at one age.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WeightsAtAge {
    /// Age in days.
    #[schema(example = 21)]
    pub age_days: i64,
    /// Of the pups weighed on that day.
    pub weights: WeightSpread,
}

/// The report on a litter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LitterReport {
    /// The litter.
    pub litter_id: Uuid,
    /// Its name.
    #[schema(example = "Juno's spring litter")]
    pub name: Option<String>,
    /// Day of the whelping.
    pub whelped_on: NaiveDate,
    /// Days from the mating to the whelping.
    #[schema(example = 63)]
    pub gestation_days: Option<i64>,
    /// All pups born.
    #[schema(example = 7)]
    pub born: usize,
    /// Born alive.
    #[schema(example = 6)]
    pub born_alive: usize,
    /// Born dead.
    #[schema(example = 1)]
    pub stillborn: usize,
    /// Alive today.
    #[schema(example = 6)]
    pub alive: usize,
    /// Alive at 8 weeks, of those born alive; `null` before all have reached that age or died.
    #[schema(example = 6)]
    pub alive_at_eight_weeks: Option<usize>,
    /// Alive today of all born, 0–1; `null` for a litter without pups.
    #[schema(example = 0.857)]
    pub survival_fraction: Option<f64>,
    /// Losses by age.
    pub losses_by_age: Vec<LossesByAge>,
    /// Losses by cause, the commonest first.
    pub losses_by_cause: Vec<LossesByCause>,
    /// Sexes of all born.
    pub sexes: SexCount,
    /// First weights of all born alive.
    pub birth_weights: WeightSpread,
    /// Weights at each full week to the 8th, of those weighed on the day.
    pub weights: Vec<WeightsAtAge>,
}

/// Reports on a litter as of `today`; whatever happened later is left out.
pub fn litter_report(input: &LitterReportInput, today: NaiveDate) -> LitterReport {
    let born = input.pups.len();
    let live: Vec<&ReportPup> = input.pups.iter().filter(|pup| !pup.stillborn).collect();
    let alive = live.iter().filter(|pup| lost_on(pup, today).is_none()).count();
    let birth_weights: Vec<f64> = live.iter().filter_map(|pup| pup.birth_weight_g).collect();
    LitterReport {
        litter_id: input.litter_id,
        name: input.name.clone(),
        whelped_on: input.whelped_on,
        gestation_days: input.mated_on.map(|on| (input.whelped_on - on).num_days()),
        born,
        born_alive: live.len(),
        stillborn: born - live.len(),
        alive,
        alive_at_eight_weeks: alive_at_eight_weeks(input, &live, today),
        survival_fraction: (born > 0).then(|| alive as f64 / born as f64),
        losses_by_age: losses_by_age(input, today),
        losses_by_cause: losses_by_cause(input, today),
        sexes: sexes(&input.pups),
        birth_weights: WeightSpread::of(&birth_weights),
        weights: WEIGHT_AGES
            .into_iter()
            .filter(|age| completed_days(input.whelped_on, today).is_some_and(|now| *age <= now))
            .map(|age_days| WeightsAtAge { age_days, weights: weights_at(input, age_days) })
            .collect(),
    }
}

fn lost_on(pup: &ReportPup, today: NaiveDate) -> Option<NaiveDate> {
    pup.died_on.filter(|on| *on <= today)
}

fn is_lost(pup: &ReportPup, today: NaiveDate) -> bool {
    pup.stillborn || lost_on(pup, today).is_some()
}

fn alive_at_eight_weeks(
    input: &LitterReportInput,
    live: &[&ReportPup],
    today: NaiveDate,
) -> Option<usize> {
    let age = |on| completed_days(input.whelped_on, on).unwrap_or_default();
    let at_eight_weeks = |pup: &&&ReportPup| lost_on(pup, today).is_none_or(|on| age(on) > 56);
    let decided = age(today) >= 56 || live.iter().all(|pup| lost_on(pup, today).is_some());
    decided.then(|| live.iter().filter(at_eight_weeks).count())
}

fn losses_by_age(input: &LitterReportInput, today: NaiveDate) -> Vec<LossesByAge> {
    let mut counts: BTreeMap<LossAge, usize> = BTreeMap::new();
    for pup in input.pups.iter().filter(|pup| is_lost(pup, today)) {
        let days = pup.died_on.and_then(|on| completed_days(input.whelped_on, on));
        let age = match days.unwrap_or_default() {
            _ if pup.stillborn => LossAge::Stillborn,
            ..=7 => LossAge::FirstWeek,
            8..=21 => LossAge::ToThreeWeeks,
            22..=56 => LossAge::ToEightWeeks,
            _ => LossAge::Later,
        };
        *counts.entry(age).or_default() += 1;
    }
    counts.into_iter().map(|(age, count)| LossesByAge { age, count }).collect()
}

fn losses_by_cause(input: &LitterReportInput, today: NaiveDate) -> Vec<LossesByCause> {
    let mut counts: BTreeMap<Option<String>, usize> = BTreeMap::new();
    for pup in input.pups.iter().filter(|pup| is_lost(pup, today)) {
        let cause = pup.cause_of_loss.as_deref().map(str::trim).filter(|cause| !cause.is_empty());
        *counts.entry(cause.map(str::to_lowercase)).or_default() += 1;
    }
    let mut losses: Vec<LossesByCause> =
        counts.into_iter().map(|(cause, count)| LossesByCause { cause, count }).collect();
    losses.sort_by_key(|losses| std::cmp::Reverse(losses.count));
    losses
}

fn sexes(pups: &[ReportPup]) -> SexCount {
    let of = |sex: Option<Sex>| pups.iter().filter(|pup| pup.sex == sex).count();
    let (females, males) = (of(Some(Sex::Female)), of(Some(Sex::Male)));
    let known = females + males;
    let males_fraction = (known > 0).then(|| males as f64 / known as f64);
    SexCount { females, males, unknown: of(None), males_fraction }
}

fn weights_at(input: &LitterReportInput, age_days: i64) -> WeightSpread {
    let on_day = |pup: &ReportPup| {
        let day =
            |(on, _): &&(NaiveDate, f64)| completed_days(input.whelped_on, *on) == Some(age_days);
        pup.weights.iter().rfind(day).map(|(_, weight_g)| *weight_g)
    };
    let weights: Vec<f64> = input.pups.iter().filter_map(on_day).collect();
    WeightSpread::of(&weights)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::schedule::plus;

    fn born() -> NaiveDate {
        "2026-01-01".parse().unwrap()
    }

    fn pup(n: u128, sex: Sex, birth_weight_g: f64) -> ReportPup {
        let weights = vec![(plus(born(), 7), 2.0 * birth_weight_g)];
        ReportPup {
            dog_id: Uuid::from_u128(n),
            sex: Some(sex),
            birth_weight_g: Some(birth_weight_g),
            weights,
            ..Default::default()
        }
    }

    /// Seven born: one dead at birth, lost on days 0, 7, 8 and 56, two alive.
    fn litter() -> LitterReportInput {
        let lost = |n, age, cause: Option<&str>| ReportPup {
            died_on: Some(plus(born(), age)),
            cause_of_loss: cause.map(Into::into),
            ..pup(n, Sex::Male, 300.0)
        };
        let dead = ReportPup { stillborn: true, sex: None, ..pup(1, Sex::Male, 250.0) };
        LitterReportInput {
            litter_id: Uuid::from_u128(100),
            name: None,
            mated_on: Some(plus(born(), -63)),
            whelped_on: born(),
            pups: vec![
                dead,
                lost(2, 0, Some("Crushed")),
                lost(3, 7, Some("crushed ")),
                lost(4, 8, Some("septicaemia")),
                lost(5, 56, None),
                pup(6, Sex::Female, 400.0),
                pup(7, Sex::Female, 500.0),
            ],
        }
    }

    #[test]
    fn every_pup_is_counted_once() {
        let report = litter_report(&litter(), plus(born(), 70));
        assert_eq!((report.born, report.born_alive, report.stillborn, report.alive), (7, 6, 1, 2));
        assert_eq!(report.alive_at_eight_weeks, Some(2));
        assert_eq!(report.survival_fraction, Some(2.0 / 7.0));
        assert_eq!(report.gestation_days, Some(63));
        let ages: Vec<_> = report.losses_by_age.iter().map(|l| (l.age, l.count)).collect();
        let expected = [
            (LossAge::Stillborn, 1),
            (LossAge::FirstWeek, 2),
            (LossAge::ToThreeWeeks, 1),
            (LossAge::ToEightWeeks, 1),
        ];
        assert_eq!(ages, expected);
        assert_eq!(report.alive + ages.iter().map(|(_, n)| n).sum::<usize>(), report.born);
        let causes: Vec<_> =
            report.losses_by_cause.iter().map(|l| (l.cause.as_deref(), l.count)).collect();
        assert_eq!(causes, [(None, 2), (Some("crushed"), 2), (Some("septicaemia"), 1)]);
        assert_eq!((report.sexes.females, report.sexes.males, report.sexes.unknown), (2, 4, 1));
        assert_eq!(report.birth_weights.mean_g, Some(350.0));
        assert_eq!(report.weights.len(), 8);
        assert_eq!(report.weights[0].weights.count, 7);
        assert_eq!(report.weights[1].weights.mean_g, None);
    }

    #[test]
    fn what_is_to_come_is_not_reported() {
        let report = litter_report(&litter(), plus(born(), 6));
        assert_eq!((report.alive, report.alive_at_eight_weeks), (5, None));
        assert!(report.weights.is_empty());
        let empty = LitterReportInput { pups: Vec::new(), ..litter() };
        let report = litter_report(&empty, plus(born(), 70));
        assert_eq!((report.survival_fraction, report.sexes.males_fraction), (None, None));
    }
}
