//! Invented litters in which some pups decline, by generators that are none of the early warning's own:
//! three ways to grow, and three ways to be weighed.
//!
//! Growth is by a constant rate; by a Gompertz curve (form and ranges of Helmink 2000, from birth to a grown
//! dog); or by the curve of Alves 2020 (DOI 10.1002/vms3.322) at some share of its rates, since it is a ceiling.

#![allow(dead_code, reason = "each of those who share them asks for some")]

use super::dice::Dice;
use chrono::{DateTime, Duration, Utc};
use domain::growth::{GrowthLitter, GrowthPup, Weighing};
use uuid::Uuid;

/// How pups grow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Curve {
    Constant,
    Gompertz,
    Ceiling,
}

/// How they are weighed, and how even their days are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Round {
    pub name: &'static str,
    /// Standard deviation of the log of a weighing.
    pub error: f64,
    /// The same of how full the stomach is.
    pub filling: f64,
    /// Of the rate of one day of one pup, and of a day of the whole litter.
    pub day_of_pup: f64,
    pub day_of_litter: f64,
    /// Weighings a day, the share of them missed, and hours by which one comes early or late.
    pub a_day: i64,
    pub missed: f64,
    pub late_hours: f64,
    /// Step of the scale in grams.
    pub step_g: f64,
}

/// All the ways to grow; on the first one the rules of the early warning were set, the others judge it.
pub const CURVES: [Curve; 3] = [Curve::Constant, Curve::Gompertz, Curve::Ceiling];

/// The ways to be weighed that are measured.
pub const ROUNDS: [Round; 4] = [
    Round {
        name: "calm",
        error: 0.006,
        filling: 0.0,
        day_of_pup: 0.008,
        day_of_litter: 0.0,
        a_day: 1,
        missed: 0.0,
        late_hours: 0.5,
        step_g: 1.0,
    },
    Round {
        name: "noisy, days that hit a litter",
        error: 0.015,
        filling: 0.01,
        day_of_pup: 0.012,
        day_of_litter: 0.02,
        a_day: 1,
        missed: 0.1,
        late_hours: 3.0,
        step_g: 1.0,
    },
    Round {
        name: "twice a day, full and empty",
        error: 0.008,
        filling: 0.025,
        day_of_pup: 0.01,
        day_of_litter: 0.005,
        a_day: 2,
        missed: 0.1,
        late_hours: 2.0,
        step_g: 1.0,
    },
    Round {
        name: "to the ounce",
        error: 0.008,
        filling: 0.01,
        day_of_pup: 0.01,
        day_of_litter: 0.005,
        a_day: 1,
        missed: 0.1,
        late_hours: 3.0,
        step_g: 28.349_523_125,
    },
];

/// When a pup began to decline and how long it went on, in days.
#[derive(Debug, Clone, Copy)]
pub struct Decline {
    pub onset: f64,
    pub days: f64,
}

/// A litter and the truth of it.
pub struct Declining {
    pub litter: GrowthLitter,
    pub declines: Vec<Option<Decline>>,
}

pub const DAYS: i64 = 21;

pub fn born_at() -> DateTime<Utc> {
    DateTime::from_timestamp(1_772_323_200, 0).unwrap_or_default()
}

/// Four to nine pups of a middling dog, of which so many decline slowly: over days their rate falls from
/// its own to about nothing.
pub fn declining(dice: &mut Dice, curve: Curve, round: &Round, share: f64) -> Declining {
    let count = 4 + dice.below(6) as usize;
    let birth_of_litter = dice.normal(0.0, 0.1);
    let pace_of_litter = dice.normal(1.0, 0.1);
    let days_of_litter: Vec<f64> =
        (0..=DAYS).map(|_| dice.normal(0.0, round.day_of_litter)).collect();
    let mut made = Declining {
        litter: GrowthLitter {
            litter_id: Uuid::from_u128(1),
            breed: None,
            adult_weight_g: Some(22_000.0),
            dam_weight_g: Some(21_000.0),
            time_zone: chrono_tz::UTC,
            pups: Vec::new(),
        },
        declines: Vec::new(),
    };
    for number in 0..count {
        let decline = dice
            .chance(share)
            .then(|| Decline { onset: dice.between(2.0, 13.0), days: dice.between(5.0, 8.0) });
        let pace = pace_of_litter * dice.normal(1.0, 0.08);
        let birth_g = 380.0 * (birth_of_litter + dice.normal(0.0, 0.12)).exp();
        let end = dice.between(-0.02, 0.015);
        let mut log = birth_g.ln();
        let mut truth = vec![log];
        // In steps of half a day.
        for half in 0..2 * DAYS {
            let age = half as f64 / 2.0;
            let day = age as usize;
            let own =
                if age < 1.0 { dice.normal(0.005, 0.02) } else { pace * rate(curve, age, log) };
            let gone = decline.map_or(0.0, |it| ((age - it.onset) / 4.0).clamp(0.0, 1.0));
            let rate =
                own + gone * (end - own) + days_of_litter[day] + dice.normal(0.0, round.day_of_pup);
            log += rate / 2.0;
            truth.push(log);
        }
        made.litter.pups.push(weighed(dice, round, number, &truth, decline));
        made.declines.push(decline);
    }
    made
}

/// The usual rate in log weight a day.
fn rate(curve: Curve, age: f64, log: f64) -> f64 {
    match curve {
        Curve::Constant if age < 7.0 => 0.075,
        Curve::Constant => 0.05,
        // W = Wmax exp(-exp(-(t - c) / b)): the rate is ln(Wmax / W) / b; of a grown dog of 22 kg, b 55 days.
        Curve::Gompertz => (22_000.0_f64.ln() - log) / 55.0,
        Curve::Ceiling => 0.75 * (0.13084 - 2.0 * 0.001616 * age),
    }
}

fn weighed(
    dice: &mut Dice,
    round: &Round,
    number: usize,
    truth: &[f64],
    decline: Option<Decline>,
) -> GrowthPup {
    let born_at = born_at();
    let mut pup = GrowthPup {
        dog_id: Uuid::from_u128(100 + number as u128),
        label: format!("pup {}", number + 1).into(),
        born_at,
        birth_weight_g: None,
        is_female: None,
        left_at: decline.map(|it| born_at + minutes(it.onset + it.days)),
        weighings: Vec::new(),
    };
    for turn in 0..DAYS * round.a_day {
        let planned = turn as f64 / round.a_day as f64;
        let moved = dice.between(-round.late_hours, round.late_hours) / 24.0;
        let age = if turn == 0 { 0.0 } else { (planned + moved).max(0.1) };
        let at = born_at + minutes(age);
        let place = (age * 2.0).floor() as usize;
        let part = age * 2.0 - place as f64;
        let true_log =
            truth[place] + part * (truth[(place + 1).min(truth.len() - 1)] - truth[place]);
        let log = true_log + dice.normal(0.0, round.error) + dice.normal(0.0, round.filling);
        let weight_g =
            ((log.exp() / round.step_g).round() * round.step_g).round().max(round.step_g.round());
        if turn == 0 {
            pup.birth_weight_g = Some(weight_g);
        } else if !dice.chance(round.missed) && pup.left_at.is_none_or(|left| at < left) {
            pup.weighings.push(Weighing { id: None, measured_at: at, weight_g, doubtful: false });
        }
    }
    pup
}

fn minutes(days: f64) -> Duration {
    Duration::minutes((days * 1440.0) as i64)
}
