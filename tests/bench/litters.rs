//! Invented litters with known fates, from a seed: the growth they follow is not the model's own.
//!
//! A thriving pup's rate of growth falls off as an exponential of its age to week 4, wanders from day to
//! day, and the whole litter has a bad night now and then. A failing pup's rate falls
//! over a day or two below nothing, and it dies some days later.

use super::dice::Dice;
use chrono::{DateTime, Duration, Utc};
use domain::growth::{GrowthLitter, GrowthPup, Weighing};
use uuid::Uuid;

/// What became of a pup.
#[derive(Clone, Copy)]
pub enum Fate {
    /// It grew up.
    Thrives,
    /// It began to fail and died, at these ages in days.
    Fails { onset: f64, death: f64 },
}

/// A litter and the truth of it.
pub struct Simulated {
    pub litter: GrowthLitter,
    pub fates: Vec<Fate>,
    /// The true weight of every pup at each whole day of age.
    pub true_g: Vec<Vec<f64>>,
}

/// How litters are made.
pub struct Habits {
    /// Days of age that are weighed.
    pub days: usize,
    /// Share of pups that fail.
    pub failing: f64,
    /// Share of weighings that are missed.
    pub missed: f64,
    /// Share of weighings that are 5 % off.
    pub sloppy: f64,
}

pub fn born_at() -> DateTime<Utc> {
    DateTime::from_timestamp(1_772_323_200, 0).unwrap_or_default()
}

/// Makes a litter of four to nine pups of a dog of about 29 kg.
pub fn simulate(dice: &mut Dice, habits: &Habits) -> Simulated {
    let count = 4 + (dice.share() * 6.0) as usize;
    let litter_birth = dice.normal(0.0, 0.12);
    let litter_rate = dice.normal(1.0, 0.07);
    let bad_nights: Vec<f64> = (0..habits.days)
        .map(|_| if dice.share() < 0.03 { dice.normal(-0.04, 0.01) } else { 0.0 })
        .collect();
    let mut made = Simulated {
        litter: GrowthLitter {
            litter_id: Uuid::from_u128(1),
            breed: Some("Labrador Retriever".to_owned()),
            adult_weight_g: Some(29_000.0),
            dam_weight_g: Some(27_000.0),
            time_zone: chrono_tz::UTC,
            pups: Vec::new(),
        },
        fates: Vec::new(),
        true_g: Vec::new(),
    };
    for number in 0..count {
        let fate = if dice.share() < habits.failing {
            // Most early: squared, so that half of the onsets fall before day 4.
            let onset = 0.5 + 13.5 * dice.share().powi(2);
            Fate::Fails { onset, death: onset + 3.0 + 4.0 * dice.share() }
        } else {
            Fate::Thrives
        };
        let birth = 405.0 * (litter_birth + dice.normal(0.0, 0.12)).exp();
        let weights = grow(dice, birth, litter_rate, &bad_nights, fate);
        made.litter.pups.push(on_the_scale(dice, habits, number, &weights, fate));
        made.true_g.push(weights);
        made.fates.push(fate);
    }
    made
}

fn grow(dice: &mut Dice, birth: f64, litter_rate: f64, bad_nights: &[f64], fate: Fate) -> Vec<f64> {
    let own = litter_rate + dice.normal(0.0, 0.07);
    let failing_rate = dice.normal(-0.025, 0.012).min(-0.005);
    let late = dice.normal(1.0, 0.10);
    let mut wander = 0.0;
    let mut log = birth.ln();
    let mut weights = vec![birth];
    for (day, night) in bad_nights.iter().enumerate() {
        let age = day as f64;
        wander = 0.5 * wander + dice.normal(0.0, 0.008);
        let thriving = if day == 0 {
            dice.normal(-0.01, 0.03)
        } else if day >= 28 {
            // About 2.8 g per kg of adult weight a day, by litter and pup.
            (29.0 * 2.8 * own * late / log.exp()).ln_1p() + wander
        } else {
            // 7.9 % a day at day 2, 5.2 % on average in weeks 2 to 4.
            own * 0.082 * (-0.028 * (age + 0.5)).exp() + wander + night
        };
        let rate = match fate {
            Fate::Fails { onset, .. } => {
                let turned = ((age + 1.0 - onset) / 1.5).clamp(0.0, 1.0);
                thriving + turned * (failing_rate - thriving)
            }
            Fate::Thrives => thriving,
        };
        log += rate;
        weights.push(log.exp());
    }
    weights
}

fn on_the_scale(
    dice: &mut Dice,
    habits: &Habits,
    number: usize,
    weights: &[f64],
    fate: Fate,
) -> GrowthPup {
    let born_at = born_at();
    let mut pup = GrowthPup {
        dog_id: Uuid::from_u128(100 + number as u128),
        label: format!("pup {}", number + 1).into(),
        born_at,
        birth_weight_g: None,
        is_female: None,
        left_at: None,
        weighings: Vec::new(),
    };
    for (day, weight) in weights.iter().enumerate() {
        let age = day as f64;
        if let Fate::Fails { death, .. } = fate
            && age > death
        {
            pup.left_at = Some(born_at + Duration::minutes((death * 1440.0) as i64));
            break;
        }
        let sloppy = if dice.share() < habits.sloppy { 0.05 } else { 0.0 };
        let error = dice.normal(0.0, 0.012_f64.hypot(sloppy));
        let missed = dice.share() < habits.missed;
        if day == 0 {
            pup.birth_weight_g = Some((weight * error.exp()).round());
        } else if !missed {
            pup.weighings.push(Weighing {
                id: None,
                measured_at: born_at + Duration::days(day as i64),
                weight_g: (weight * error.exp()).round(),
                doubtful: false,
            });
        }
    }
    pup
}
