//! The step of the scale, as the weights themselves tell: what is rounded to an ounce or to ten grams
//! cannot show less.

use super::series::WeightPoint;
use crate::day_chances::shift;
use chrono::NaiveDate;
use std::collections::BTreeMap;

/// Grams of an ounce.
const OUNCE_G: f64 = 28.349_523_125;

/// Steps that scales have, the coarsest first, in grams.
const STEPS_G: [f64; 9] =
    [OUNCE_G, 20.0, OUNCE_G / 2.0, 10.0, OUNCE_G / 4.0, 5.0, OUNCE_G / 10.0, 2.0, 1.0];

/// Weights that a step must fit before it is believed.
const LEAST_WEIGHTS: usize = 4;

/// Days on either side of a weighing whose weights are looked at.
const DAYS: i64 = 2;

/// The step of the scale on each day on which a litter was weighed, in grams.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ScaleSteps(BTreeMap<NaiveDate, f64>);

impl ScaleSteps {
    /// Of each day the coarsest step that all weights of two days before and after fit to the gram; 1 g
    /// when there are too few to tell.
    pub(super) fn of(litter: &[Vec<WeightPoint>]) -> Self {
        let mut by_day: BTreeMap<NaiveDate, Fitting> = BTreeMap::new();
        for point in litter.iter().flatten() {
            by_day.entry(point.day).or_default().add(point.weight_g);
        }
        let near = |day: NaiveDate| {
            let days = by_day.range(shift(day, -DAYS)..=shift(day, DAYS));
            days.fold(Fitting::default(), |all, (_, of_day)| all.and(*of_day))
        };
        Self(by_day.keys().map(|day| (*day, near(*day).step_g())).collect())
    }

    /// The step on one day; 1 g on a day without weights.
    pub(super) fn on(&self, day: NaiveDate) -> f64 {
        self.0.get(&day).copied().unwrap_or(1.0)
    }
}

/// How many weights there are, and which steps all of them fit.
#[derive(Clone, Copy)]
struct Fitting {
    weights: usize,
    steps: [bool; STEPS_G.len()],
}

impl Default for Fitting {
    fn default() -> Self {
        Self { weights: 0, steps: [true; STEPS_G.len()] }
    }
}

impl Fitting {
    fn add(&mut self, weight_g: f64) {
        self.weights += 1;
        for (fits, step) in self.steps.iter_mut().zip(STEPS_G) {
            *fits &= off(weight_g, step) <= TOLERANCE_G;
        }
    }

    fn and(mut self, other: Self) -> Self {
        self.weights += other.weights;
        self.steps.iter_mut().zip(other.steps).for_each(|(fits, others)| *fits &= others);
        self
    }

    fn step_g(self) -> f64 {
        // So that chance alone makes all of them fit.
        let chance = |step: f64| (2.0 * TOLERANCE_G / step).min(1.0).powi(self.weights as i32);
        let believed = |(step, fits): &(f64, bool)| *fits && chance(*step) < 1e-4;
        let coarsest = || STEPS_G.into_iter().zip(self.steps).find(believed);
        let known = (self.weights >= LEAST_WEIGHTS).then(coarsest).flatten();
        known.map_or(1.0, |(step, _)| step)
    }
}

/// Weights are written in whole grams.
const TOLERANCE_G: f64 = 0.55;

fn off(weight_g: f64, step_g: f64) -> f64 {
    (weight_g - (weight_g / step_g).round() * step_g).abs()
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{DateTime, Duration, Utc};

    fn litter(round: impl Fn(f64) -> f64) -> Vec<Vec<WeightPoint>> {
        let born: DateTime<Utc> = "2026-03-01T06:00:00Z".parse().unwrap();
        let pup = |number: i32| {
            (0..5)
                .map(|day| {
                    let at = born + Duration::days(day);
                    let weight_g = round(380.0 + 13.7 * f64::from(number) + 24.3 * day as f64);
                    WeightPoint {
                        measured_at: at,
                        day: at.date_naive(),
                        age_days: day as f64,
                        weight_g,
                    }
                })
                .collect()
        };
        (0..5).map(pup).collect()
    }

    #[test]
    fn the_step_is_read_from_the_weights() {
        let step = |litter: &[Vec<WeightPoint>]| ScaleSteps::of(litter).on(litter[0][2].day);
        assert_eq!(step(&litter(f64::round)), 1.0);
        assert_eq!(step(&litter(|g| (g / 10.0).round() * 10.0)), 10.0);
        let ounces = litter(|g| ((g / OUNCE_G).round() * OUNCE_G).round());
        assert_eq!(step(&ounces), OUNCE_G);
        let halves = litter(|g| ((g * 2.0 / OUNCE_G).round() * OUNCE_G / 2.0).round());
        assert_eq!(step(&halves), OUNCE_G / 2.0);
        assert_eq!(ScaleSteps::of(&[]).on(ounces[0][0].day), 1.0, "nothing tells");
    }

    /// Even grams by chance alone: 0.55 to the power of 15 is above one in ten thousand, of 16 below.
    #[test]
    fn even_grams_are_a_step_from_the_sixteenth_on() {
        let step_of = |weights: u32| {
            let mut all = Fitting::default();
            (0..weights).for_each(|n| all.add(402.0 + 2.0 * f64::from(n)));
            all.step_g()
        };
        assert_eq!([14, 15, 16, 17].map(step_of), [1.0, 1.0, 2.0, 2.0]);
    }
}
