//! How well a figure tells pups that decline from those that thrive, whatever its limit: the area under the
//! curve of found against false (AUC), and what is found at five false alarms in a hundred looks.

use super::decline::{Curve, DAYS, Declining, Round, born_at, declining};
use super::dice::Dice;
use chrono::{DateTime, Duration, Utc};
use domain::growth::{GrowthPup, litter_risks};
use domain::rules::Rules;
use std::ops::Range;

/// What pups are told apart by, the higher the worse: the early warning's probability; less the gain since
/// yesterday; less that gain beside the middle one of the litter.
pub const FIGURES: [&str; 3] =
    ["early warning", "gain since yesterday", "gain beside the litter's"];

/// How well one figure tells them apart.
pub struct Ranked {
    pub auc: f64,
    pub found_at_five_percent: f64,
}

/// Looks once a day at a litter of each seed. Each look at a pup counts; at one in decline from a day after its onset.
pub fn rank(seeds: Range<u64>, curve: Curve, round: &Round, rules: &Rules) -> [Ranked; 3] {
    let (mut bad, mut good) = (vec![Vec::new(); 3], vec![Vec::new(); 3]);
    for seed in seeds {
        let made = declining(&mut Dice::new(seed), curve, round, 0.15);
        for day in 2..DAYS {
            let now = born_at() + Duration::hours(day * 24 + 4);
            for (index, scores) in scored(&made, now, rules) {
                let declines = made.declines[index];
                let age = day as f64;
                let kind = match declines {
                    Some(it) if age >= it.onset + 1.0 => &mut bad,
                    Some(it) if age >= it.onset => continue,
                    _ => &mut good,
                };
                kind.iter_mut().zip(scores).for_each(|(all, score)| all.push(score));
            }
        }
    }
    std::array::from_fn(|at| ranked(&mut bad[at], &mut good[at]))
}

fn scored(made: &Declining, now: DateTime<Utc>, rules: &Rules) -> Vec<(usize, [f64; 3])> {
    let pups = || made.litter.pups.iter().enumerate().filter(|(_, pup)| pup.present(now));
    let gains: Vec<(usize, f64)> =
        pups().filter_map(|(index, pup)| Some((index, gain(pup, now)?))).collect();
    let mut sorted: Vec<f64> = gains.iter().map(|(_, gain)| *gain).collect();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted.get(sorted.len() / 2).copied().unwrap_or_default();
    let risks = litter_risks(&made.litter, now, rules);
    let of = |index: usize| {
        risks
            .iter()
            .find(|risk| risk.dog_id == made.litter.pups[index].dog_id)
            .map(|it| it.probability)
    };
    gains
        .iter()
        .filter_map(|(index, gain)| Some((*index, [of(*index)?, -gain, middle - gain])))
        .collect()
}

/// The last weight against that of about a day before, in log weight a day; of today's weighings alone.
fn gain(pup: &GrowthPup, now: DateTime<Utc>) -> Option<f64> {
    let points = pup.points(chrono_tz::UTC, now);
    let last = points.last().filter(|last| now - last.measured_at < Duration::hours(20))?;
    let before = points.iter().filter(|it| last.age_days - it.age_days >= 0.7).min_by(|a, b| {
        (last.age_days - a.age_days - 1.0)
            .abs()
            .total_cmp(&(last.age_days - b.age_days - 1.0).abs())
    })?;
    Some((last.weight_g / before.weight_g).ln() / (last.age_days - before.age_days))
}

/// Of the figures of pups in decline, and of the others.
pub fn ranked(bad: &mut [f64], good: &mut [f64]) -> Ranked {
    bad.sort_by(f64::total_cmp);
    good.sort_by(f64::total_cmp);
    // Of each pair, whether the worse one is told; a tie is half.
    let wins: f64 = bad
        .iter()
        .map(|score| {
            let below = good.partition_point(|other| other < score);
            let tied = good.partition_point(|other| other <= score) - below;
            below as f64 + tied as f64 / 2.0
        })
        .sum();
    let limit = good[good.len() - 1 - good.len() / 20];
    let found = bad.len() - bad.partition_point(|score| *score <= limit);
    Ranked {
        auc: wins / (bad.len() as f64 * good.len() as f64),
        found_at_five_percent: found as f64 / bad.len() as f64,
    }
}
