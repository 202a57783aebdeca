//! How well an alarm finds failing pups, and how often it cries for nothing.

use super::dice::Dice;
use super::litters::{Fate, Habits, Simulated, born_at, simulate};
use chrono::{DateTime, Duration, Utc};
use domain::growth::{RiskLevel, litter_risks, series::by_day};
use domain::rules::Rules;

/// The alarms compared.
#[derive(Clone, Copy, PartialEq)]
pub enum Alarm {
    /// Any weight below that of the day before.
    LostSinceYesterday,
    /// The same, from the third day of life on.
    LostAfterDayTwo,
    /// The early warning, watch or louder.
    Watch,
    /// The early warning, act.
    Act,
}

/// What came out.
#[derive(Default)]
pub struct Score {
    pub failing: usize,
    found: usize,
    false_alarms: usize,
    thriving_weeks: f64,
    warning_days: Vec<f64>,
}

impl Score {
    /// Share of failing pups that were flagged between the onset and death.
    pub fn sensitivity(&self) -> f64 {
        self.found as f64 / self.failing.max(1) as f64
    }

    /// New alarms for pups that thrive (or do not fail yet), a week of a pup's life.
    pub fn false_alarms_per_pup_week(&self) -> f64 {
        self.false_alarms as f64 / self.thriving_weeks
    }

    /// Days from the first alarm to death of the pups found.
    pub fn median_warning_days(&self) -> f64 {
        let mut days = self.warning_days.clone();
        days.sort_by(f64::total_cmp);
        days.get(days.len() / 2).copied().unwrap_or_default()
    }
}

/// Scores an alarm on litters made from a seed, looked at once a day from day 1 to day 21.
pub fn score(litters: usize, seed: u64, alarm: Alarm, rules: &Rules) -> Score {
    let habits = Habits { days: 21, failing: 0.08, missed: 0.08, sloppy: 0.01 };
    let mut dice = Dice::new(seed);
    let mut score = Score::default();
    for _ in 0..litters {
        one_litter(&simulate(&mut dice, &habits), alarm, rules, &mut score);
    }
    score
}

fn one_litter(made: &Simulated, alarm: Alarm, rules: &Rules, score: &mut Score) {
    let count = made.litter.pups.len();
    let mut before = vec![false; count];
    let mut first_after_onset = vec![None; count];
    for day in 1..=21 {
        let now = born_at() + Duration::hours(day * 24 + 1);
        let flagged = flags(made, alarm, now, rules);
        for (index, fate) in made.fates.iter().enumerate() {
            let age = day as f64;
            let new = flagged[index] && !before[index];
            match fate {
                Fate::Fails { onset, death } if age >= *onset => {
                    if flagged[index] && age < *death {
                        first_after_onset[index].get_or_insert(age);
                    }
                }
                _ => {
                    score.thriving_weeks += 1.0 / 7.0;
                    score.false_alarms += usize::from(new);
                }
            }
        }
        before = flagged;
    }
    for (fate, first) in made.fates.iter().zip(first_after_onset) {
        if let Fate::Fails { death, .. } = fate {
            score.failing += 1;
            if let Some(first) = first {
                score.found += 1;
                score.warning_days.push(death - first);
            }
        }
    }
}

fn flags(made: &Simulated, alarm: Alarm, now: DateTime<Utc>, rules: &Rules) -> Vec<bool> {
    let wanted = match alarm {
        Alarm::Watch => RiskLevel::Watch,
        Alarm::Act => RiskLevel::Act,
        plain => {
            let from_day = if plain == Alarm::LostAfterDayTwo { 2.5 } else { 0.0 };
            return made
                .litter
                .pups
                .iter()
                .map(|pup| {
                    let points = by_day(&pup.points(chrono_tz::UTC, now));
                    pup.present(now)
                        && matches!(points.as_slice(), [.., a, b]
                            if b.weight_g < a.weight_g && b.age_days >= from_day)
                })
                .collect();
        }
    };
    let risks = litter_risks(&made.litter, now, rules);
    made.litter
        .pups
        .iter()
        .map(|pup| risks.iter().any(|r| r.dog_id == pup.dog_id && r.level >= wanted))
        .collect()
}
