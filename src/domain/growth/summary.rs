//! Gain since birth and since yesterday, doubling, rank: the figures of one look at a litter.

use super::scale_jump::{ScaleJump, scale_jump};
use super::scale_step::ScaleSteps;
use super::series::{GrowthLitter, GrowthPup, WeightPoint, by_day, median};
use super::standards::{BirthWeightGrade, grade_birth_weight, growth_norms};
use super::swap::{SwapProposal, swaps_of};
use super::warning::{PupRisk, risks_of};
use crate::advice::Caution;
use crate::alarms::{self, Alarm, AlarmAbout, gather};
use crate::rules::Rules;
use catalogue::{Text, said};
use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

/// The change of weight between two weighings.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct WeightChange {
    /// The earlier weighing.
    #[serde(rename = "earlier")]
    pub from: WeightPoint,
    /// The later weighing.
    #[serde(rename = "later")]
    pub to: WeightPoint,
    /// Gain in grams (negative: loss).
    #[schema(example = 24.0)]
    pub gain_g: f64,
    /// Gain as a fraction of the earlier weight.
    #[schema(example = 0.07)]
    pub gain_fraction: f64,
    /// Time between the two in hours.
    #[schema(example = 23.5)]
    pub hours: f64,
    /// Gain for each 24 hours in grams.
    #[schema(example = 24.5)]
    pub gain_g_per_day: f64,
    /// Gain for each 24 hours as a fraction, compounded.
    #[schema(example = 0.071)]
    pub gain_fraction_per_day: f64,
}

impl WeightChange {
    /// The change from one weighing to a later one; `None` when no time lies between.
    pub fn between(from: WeightPoint, to: WeightPoint) -> Option<Self> {
        let days = to.age_days - from.age_days;
        if days <= 0.0 || from.weight_g <= 0.0 {
            return None;
        }
        let gain_g = to.weight_g - from.weight_g;
        Some(Self {
            from,
            to,
            gain_g,
            gain_fraction: gain_g / from.weight_g,
            hours: days * 24.0,
            gain_g_per_day: gain_g / days,
            gain_fraction_per_day: (to.weight_g / from.weight_g).powf(1.0 / days) - 1.0,
        })
    }
}

/// One day of a pup's life on the scale.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct GrowthDay {
    /// The weight of that day.
    pub weight: WeightPoint,
    /// Gain since the last day weighed, in grams.
    #[schema(example = 22.0)]
    pub gain_g: Option<f64>,
    /// Gain for each 24 hours since the last day weighed, as a fraction.
    #[schema(example = 0.06)]
    pub gain_fraction_per_day: Option<f64>,
    /// Weight as a multiple of the birth weight.
    #[schema(example = 1.4)]
    pub multiple_of_birth: Option<f64>,
}

/// When the birth weight was doubled.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct DoublingDay {
    /// Age in days at which it was reached, between weighings by constant growth in per cent.
    #[schema(example = 8.6)]
    pub age_days: f64,
    /// That day on the kennel's calendar.
    #[schema(example = "2026-03-10")]
    #[serde(rename = "doubles_on")]
    pub day: NaiveDate,
}

/// Where a pup stands in its litter.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LitterPosition {
    /// 1 is the heaviest; pups of equal weight share a rank.
    #[schema(example = 5)]
    pub rank: u32,
    /// Pups ranked.
    #[schema(example = 7)]
    #[serde(rename = "pups_ranked")]
    pub of: u32,
    /// Weight above (or below) the litter's mean as a fraction of it.
    #[schema(example = -0.12)]
    pub above_mean_fraction: f64,
    /// The same in standard deviations of the litter; `null` with fewer than three pups.
    #[schema(example = -1.3)]
    pub z: Option<f64>,
}

/// How one pup grows.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PupGrowth {
    /// The pup.
    pub dog_id: Uuid,
    /// What people call it.
    #[schema(value_type = String, example = "red collar")]
    pub label: Text,
    /// Whether it is still in the litter.
    pub present: bool,
    /// When it was born.
    pub born_at: DateTime<Utc>,
    /// Day of birth on the kennel's calendar.
    #[schema(example = "2026-03-01")]
    pub born_on: NaiveDate,
    /// Age in days on the kennel's calendar (0 on the day of birth).
    #[schema(example = 5)]
    pub age_days: i64,
    /// Weight at birth in grams: taken then, or the first weight of the day of birth.
    #[schema(example = 380.0)]
    pub birth_weight_g: Option<f64>,
    /// The birth weight by the thresholds of the breed; `null` when none are published for it.
    pub birth_weight_grade: Option<BirthWeightGrade>,
    /// The last weight.
    pub last: Option<WeightPoint>,
    /// Change since the weighing nearest to 24 hours before the last one.
    pub since_yesterday: Option<WeightChange>,
    /// Change since the weighing nearest to 48 hours before the last one.
    pub since_two_days: Option<WeightChange>,
    /// Change since birth.
    pub since_birth: Option<WeightChange>,
    /// Growth from birth to day 2 as a fraction of birth weight.
    #[schema(example = 0.05)]
    pub early_growth_fraction: Option<f64>,
    /// When the birth weight was doubled; `null` when it is not yet or not known.
    pub doubled: Option<DoublingDay>,
    /// Last weight as a fraction of the published ceiling for its age (to day 21); being below 1 is usual.
    #[schema(example = 0.8)]
    #[serde(rename = "upper_reference_share")]
    pub of_upper_reference: Option<f64>,
    /// Its place among the pups weighed in the same round.
    pub position: Option<LitterPosition>,
    /// Day by day.
    pub days: Vec<GrowthDay>,
    /// The step of the scale in grams, as the weights themselves tell.
    #[schema(example = 1.0)]
    pub scale_step_g: f64,
    /// Whether its last weight is of a round in which all pups jumped alike, and not believed before they are
    /// weighed again.
    pub last_in_doubt: bool,
    /// What to look at, the gravest first: the alarms about this pup.
    pub cautions: Vec<Caution>,
    /// What was not known and would be needed.
    #[schema(value_type = Vec<String>)]
    pub lacks: Vec<Text>,
}

/// How a litter grows.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LitterGrowth {
    /// The litter.
    pub litter_id: Uuid,
    /// The moment it was looked at.
    #[serde(rename = "reckoned_at")]
    pub as_of: DateTime<Utc>,
    /// The pups in the order given.
    pub pups: Vec<PupGrowth>,
    /// Mean of the last weights of the pups present, in grams.
    #[schema(example = 402.0)]
    pub mean_weight_g: Option<f64>,
    /// Their sum in grams.
    #[schema(example = 2814.0)]
    pub total_weight_g: Option<f64>,
    /// Middle gain for each 24 hours since yesterday, as a fraction.
    #[schema(example = 0.07)]
    pub median_gain_fraction_per_day: Option<f64>,
    /// Pups that lost weight since yesterday.
    pub losing: Vec<Uuid>,
    /// Pups that stood still since yesterday.
    pub standing_still: Vec<Uuid>,
    /// The pups present by risk, those most in danger first.
    pub risks: Vec<PupRisk>,
    /// The last round, where all its pups weigh less or more than a day ago, and all alike; else null.
    pub scale_jump: Option<ScaleJump>,
    /// Pups that seem to have been taken for one another on the scale.
    pub swaps: Vec<SwapProposal>,
    /// What concerns the litter as a whole.
    pub cautions: Vec<Caution>,
}

/// The growth of a litter as of `now`: gains, ranks and cautions of every pup.
///
/// Doubtful weights and those after `now` are left out. A pup without weights is answered with
/// what it lacks. Thresholds: table `growth` of the rules, each caution names its own.
pub fn litter_growth(litter: &GrowthLitter, now: DateTime<Utc>, rules: &Rules) -> LitterGrowth {
    let mut growth = litter_figures(litter, now, rules);
    growth.hear_the_weights(rules);
    growth
}

/// The same without cautions: for who knows more of the pups than their weights.
pub fn litter_figures(litter: &GrowthLitter, now: DateTime<Utc>, rules: &Rules) -> LitterGrowth {
    let points = litter.points(now);
    let days: Vec<Vec<WeightPoint>> = points.iter().map(|points| by_day(points)).collect();
    let series = points.iter().zip(&days);
    let mut pups: Vec<PupGrowth> = litter
        .pups
        .iter()
        .zip(series)
        .map(|(pup, (points, days))| {
            crate::stop::look();
            pup_growth(litter, pup, points, days, now, rules)
        })
        .collect();
    let round = last_round(&pups, rules);
    for pup in &mut pups {
        pup.position = pup.last.filter(|_| pup.present).and_then(|p| place(p.weight_g, &round));
    }
    let steps = ScaleSteps::of(&points);
    let risks = risks_of(litter, &days, &steps, now, rules);
    for pup in &mut pups {
        pup.scale_step_g = pup.last.map_or(1.0, |last| steps.on(last.day));
    }
    let jump = scale_jump(&pups, rules);
    for pup in &mut pups {
        pup.last_in_doubt = jump.as_ref().is_some_and(|jump| jump.pups.contains(&pup.dog_id));
    }
    let still = rules.value("growth.standstill");
    let gain = |pup: &PupGrowth| pup.since_yesterday.as_ref().map(|c| c.gain_fraction_per_day);
    let who = |wanted: &dyn Fn(f64) -> bool| {
        pups.iter()
            .filter(|p| p.present && gain(p).is_some_and(wanted))
            .map(|p| p.dog_id)
            .collect::<Vec<_>>()
    };
    let losing = who(&|g| g < 0.0);
    let standing_still = who(&|g| (0.0..=still).contains(&g));
    let weights: Vec<f64> =
        pups.iter().filter(|p| p.present).filter_map(|p| p.last.map(|l| l.weight_g)).collect();
    let total = weights.iter().sum::<f64>();
    LitterGrowth {
        litter_id: litter.litter_id,
        as_of: now,
        mean_weight_g: (!weights.is_empty()).then(|| total / weights.len() as f64),
        total_weight_g: (!weights.is_empty()).then_some(total),
        median_gain_fraction_per_day: median(
            pups.iter().filter(|p| p.present).filter_map(gain).collect(),
        ),
        cautions: Vec::new(),
        losing,
        standing_still,
        risks,
        scale_jump: jump,
        swaps: swaps_of(litter, &days, rules),
        pups,
    }
}

impl LitterGrowth {
    /// Takes over what the alarms say of the litter and of each pup.
    pub fn hear(&mut self, alarms: &[Alarm]) {
        let of = |dog_id: Option<Uuid>| {
            let about = alarms.iter().filter(|alarm| alarm.about.dog_id == dog_id);
            about.filter(|alarm| alarm.is_of_growth()).map(Alarm::caution).collect()
        };
        self.cautions = of(None);
        for pup in &mut self.pups {
            pup.cautions = of(Some(pup.dog_id));
        }
    }

    /// What the weights alone say, for those who have nothing else of the pups.
    fn hear_the_weights(&mut self, rules: &Rules) {
        let about = |dog_id: Option<Uuid>, label: Text| AlarmAbout {
            litter_id: Some(self.litter_id),
            dog_id,
            label,
        };
        let mut alarms = Vec::new();
        for pup in &self.pups {
            let risk = self.risks.iter().find(|risk| risk.dog_id == pup.dog_id);
            let found = alarms::growth::of_pup(pup, risk, self.as_of, rules);
            alarms.extend(gather(&about(Some(pup.dog_id), pup.label.clone()), found));
        }
        let found = alarms::growth::of_litter(self, rules).into_iter().collect();
        alarms.extend(gather(&about(None, said!("called-litter")), found));
        self.hear(&alarms);
    }
}

fn pup_growth(
    litter: &GrowthLitter,
    pup: &GrowthPup,
    points: &[WeightPoint],
    days: &[WeightPoint],
    now: DateTime<Utc>,
    rules: &Rules,
) -> PupGrowth {
    let last = points.last().copied();
    let birth = birth_point(pup, points, rules);
    let birth_weight_g = birth.map(|p| p.weight_g);
    let born_on = pup.born_at.with_timezone(&litter.time_zone).date_naive();
    let today = now.with_timezone(&litter.time_zone).date_naive();
    let mut lacks = Vec::new();
    if birth_weight_g.is_none() {
        lacks.push(said!("growth-lacks-birth-weight"));
    }
    if litter.breed.is_none() {
        lacks.push(said!("growth-lacks-breed"));
    }
    if last.is_none() {
        lacks.push(said!("growth-lacks-any-weight"));
    }
    PupGrowth {
        dog_id: pup.dog_id,
        label: pup.label.clone(),
        present: pup.present(now),
        born_at: pup.born_at,
        born_on,
        age_days: (today - born_on).num_days(),
        birth_weight_g,
        birth_weight_grade: litter
            .breed
            .as_deref()
            .zip(birth_weight_g)
            .and_then(|(breed, weight)| grade_birth_weight(breed, weight)),
        last,
        since_yesterday: since_yesterday(points, rules),
        since_two_days: change_over(points, 2.0 * rules.value("growth.yesterday_hours"), rules),
        since_birth: birth.zip(last).and_then(|(from, to)| WeightChange::between(from, to)),
        early_growth_fraction: early_growth(birth, points, rules),
        doubled: birth.and_then(|b| reached(b.weight_g * 2.0, days)),
        of_upper_reference: birth.zip(last).and_then(|(b, p)| {
            let multiple = growth_norms().upper_reference.multiple(p.age_days)?;
            Some(p.weight_g / (b.weight_g * multiple))
        }),
        position: None,
        days: growth_days(days, birth_weight_g),
        scale_step_g: 1.0,
        last_in_doubt: false,
        cautions: Vec::new(),
        lacks,
    }
}

/// Whether a weighing may stand for a birth weight that nobody wrote down (`growth.first_weighing_hours`).
pub(super) fn is_of_birth(point: &WeightPoint, rules: &Rules) -> bool {
    point.age_days <= rules.value("growth.first_weighing_hours") / 24.0
}

/// The birth weight: as recorded, or the first weighing of the first hours.
fn birth_point(pup: &GrowthPup, points: &[WeightPoint], rules: &Rules) -> Option<WeightPoint> {
    let first = points.first().copied()?;
    let recorded = pup.birth_weight_g.filter(|w| *w > 0.0 && w.is_finite());
    match recorded {
        Some(weight_g) => Some(WeightPoint { weight_g, ..first }),
        None if is_of_birth(&first, rules) => Some(first),
        None => None,
    }
}

/// The change between the last weighing and the one nearest to a day before it.
///
/// After missed days it is the last weighing before; the gain a day tells how they compare.
pub(crate) fn since_yesterday(points: &[WeightPoint], rules: &Rules) -> Option<WeightChange> {
    change_over(points, rules.value("growth.yesterday_hours"), rules)
}

/// The same with the weighing nearest to so many hours before the last.
fn change_over(points: &[WeightPoint], hours: f64, rules: &Rules) -> Option<WeightChange> {
    let (last, earlier) = points.split_last()?;
    let wanted = hours / 24.0;
    let shortest = rules.span("growth.yesterday_min_hours");
    let off = |p: &WeightPoint| (last.age_days - p.age_days - wanted).abs();
    let from = earlier
        .iter()
        .filter(|p| last.measured_at - p.measured_at >= shortest)
        .min_by(|a, b| off(a).total_cmp(&off(b)))?;
    WeightChange::between(*from, *last)
}

/// Growth from birth to day 2 as a fraction: by the weighing nearest to 48 hours, within
/// `growth.early_growth_within_hours`.
fn early_growth(birth: Option<WeightPoint>, points: &[WeightPoint], rules: &Rules) -> Option<f64> {
    let birth = birth?;
    let day = rules.value("growth.early_growth_day");
    // A day and its fraction lose the last digit when one is taken off the other.
    let within = rules.value("growth.early_growth_within_hours") / 24.0 + 1e-9;
    let off = |p: &WeightPoint| (p.age_days - day).abs();
    let second =
        points.iter().filter(|p| off(p) <= within).min_by(|a, b| off(a).total_cmp(&off(b)))?;
    Some(second.weight_g / birth.weight_g - 1.0)
}

/// When a weight in grams was first reached, between the days weighed by constant growth in per cent.
pub(crate) fn reached(weight_g: f64, days: &[WeightPoint]) -> Option<DoublingDay> {
    days.windows(2).find_map(|pair| {
        let [before, after] = pair else { return None };
        if before.weight_g >= weight_g || after.weight_g < weight_g {
            return None;
        }
        let part = (weight_g / before.weight_g).ln() / (after.weight_g / before.weight_g).ln();
        let calendar = (after.day - before.day).num_days() as f64;
        Some(DoublingDay {
            age_days: before.age_days + part * (after.age_days - before.age_days),
            day: before.day + chrono::Duration::days((part * calendar).ceil() as i64),
        })
    })
}

fn growth_days(days: &[WeightPoint], birth_weight_g: Option<f64>) -> Vec<GrowthDay> {
    let mut previous: Option<WeightPoint> = None;
    days.iter()
        .map(|point| {
            let change = previous.and_then(|from| WeightChange::between(from, *point));
            previous = Some(*point);
            GrowthDay {
                weight: *point,
                gain_g: change.as_ref().map(|c| c.gain_g),
                gain_fraction_per_day: change.as_ref().map(|c| c.gain_fraction_per_day),
                multiple_of_birth: birth_weight_g.map(|birth| point.weight_g / birth),
            }
        })
        .collect()
}

/// The last weights of the pups weighed within a day of the newest weight of the litter.
fn last_round(pups: &[PupGrowth], rules: &Rules) -> Vec<f64> {
    let lasts = || pups.iter().filter(|p| p.present).filter_map(|p| p.last);
    let newest = lasts().map(|p| p.measured_at).max();
    let span = rules.value("growth.yesterday_hours");
    lasts()
        .filter(|p| {
            newest.is_some_and(|at| (at - p.measured_at).num_minutes() as f64 <= span * 60.0)
        })
        .map(|p| p.weight_g)
        .collect()
}

/// The place of a weight among those of the litter (the weight itself among them).
fn place(weight_g: f64, round: &[f64]) -> Option<LitterPosition> {
    if round.len() < 2 {
        return None;
    }
    let count = round.len() as f64;
    let mean = round.iter().sum::<f64>() / count;
    let variance = round.iter().map(|w| (w - mean).powi(2)).sum::<f64>() / (count - 1.0);
    let heavier = round.iter().filter(|w| **w > weight_g).count();
    Some(LitterPosition {
        rank: u32::try_from(heavier).unwrap_or(u32::MAX).saturating_add(1),
        of: u32::try_from(round.len()).unwrap_or(u32::MAX),
        above_mean_fraction: weight_g / mean - 1.0,
        z: (round.len() >= 3 && variance > 0.0).then(|| (weight_g - mean) / variance.sqrt()),
    })
}
