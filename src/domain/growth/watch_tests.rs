//! The early warning, exchanged pups and the intervals against a second computation
//! (tests/outside/growth_model.py).

use super::plausibility::ImplausibleWeight;
use super::tests::{at, litter, pup, weighing};
use super::*;
use crate::rules::Rules;
use chrono::{DateTime, Duration, Utc};
use serde::Deserialize;
use uuid::Uuid;

#[derive(Deserialize)]
struct Reference {
    adult_weight_g: f64,
    weights: Vec<WeightAt>,
    forecasts: Vec<Forecast>,
    gains: Vec<Gain>,
    risks: Vec<Watched>,
    swaps: Vec<Swap>,
}

#[derive(Deserialize)]
struct WeightAt {
    pup: u128,
    age_days: f64,
    weight_g: f64,
}

#[derive(Deserialize)]
struct Forecast {
    pup: u128,
    age_days: f64,
    mean: f64,
    variance: f64,
}

#[derive(Deserialize)]
struct Gain {
    pup: u128,
    mean: f64,
    variance: f64,
}

#[derive(Deserialize)]
struct Watched {
    litter: String,
    weights: Vec<WeightAt>,
    risks: Vec<Risk>,
}

#[derive(Deserialize)]
struct Risk {
    pup: u128,
    probability: f64,
    gain: f64,
    expected: f64,
}

#[derive(Deserialize)]
struct Swap {
    births: Vec<f64>,
    exchanged: Vec<usize>,
    days: Vec<i64>,
    log_odds: f64,
}

fn reference() -> Reference {
    let text = include_str!("../../../tests/reference/growth/model.json");
    serde_json::from_str(text).unwrap()
}

fn hours(hours: f64) -> DateTime<Utc> {
    at("2026-03-01T00:00:00Z") + Duration::minutes((hours * 60.0).round() as i64)
}

/// The pups of 1 to `last` with their weights.
fn pups(weights: &[WeightAt], last: u128) -> Vec<GrowthPup> {
    let own = |number: u128| {
        let of_pup = weights.iter().filter(|w| w.pup == number);
        let weighings = of_pup.map(|w| weighing(hours(w.age_days * 24.0), w.weight_g)).collect();
        GrowthPup { weighings, ..pup(number, &[]) }
    };
    (1..=last).map(own).collect()
}

/// The litter of the reference, as it stands on day 7.
fn known() -> (Reference, GrowthLitter) {
    let reference = reference();
    let pups = pups(&reference.weights, 4);
    let known = GrowthLitter { adult_weight_g: Some(reference.adult_weight_g), ..litter(pups) };
    (reference, known)
}

fn near(found: f64, wanted: f64, place: &str) {
    assert!((found - wanted).abs() <= 1e-5 * wanted.abs().max(1e-3), "{place}: {found} {wanted}");
}

/// The error of one weighing, as in the rule table.
const WEIGHING_SD: f64 = 0.015;

#[test]
fn each_chance_of_failing_is_that_of_the_second_computation() {
    for watched in reference().risks {
        let last = watched.risks.iter().map(|risk| risk.pup).max().unwrap();
        let known =
            GrowthLitter { adult_weight_g: Some(29_000.0), ..litter(pups(&watched.weights, last)) };
        let found = litter_risks(&known, hours(24.0 * 40.0), &Rules::standard());
        assert_eq!(found.len(), watched.risks.len());
        let chances: Vec<f64> = found.iter().map(|risk| risk.probability).collect();
        assert!(chances.is_sorted_by(|a, b| a >= b), "most in danger first: {chances:?}");
        for wanted in &watched.risks {
            let place = format!("{} {}", watched.litter, wanted.pup);
            let id = Uuid::from_u128(wanted.pup);
            let risk = found.iter().find(|risk| risk.dog_id == id).unwrap();
            near(risk.probability, wanted.probability, &place);
            near(risk.gain_fraction_per_day.unwrap(), wanted.gain, &place);
            near(risk.expected_fraction_per_day.unwrap(), wanted.expected, &place);
        }
    }
}

#[test]
fn the_odds_of_an_exchange_are_those_of_the_second_computation() {
    for wanted in reference().swaps {
        let weights = |birth: f64| {
            (0..10).map(|day: i32| (birth * 1.07_f64.powi(day.max(1) - 1)).round()).collect()
        };
        let mut series: Vec<Vec<f64>> = wanted.births.iter().copied().map(weights).collect();
        let [one, two, ..] = series.as_mut_slice() else { panic!("two pups") };
        for day in &wanted.exchanged {
            std::mem::swap(&mut one[*day], &mut two[*day]);
        }
        let mut pups: Vec<GrowthPup> = (1..)
            .zip(&series)
            .map(|(number, weights)| {
                let days: Vec<(i64, f64)> =
                    (0..).map(|day| day * 24).zip(weights.iter().copied()).collect();
                pup(number, &days)
            })
            .collect();
        for (number, pup) in pups.iter_mut().enumerate() {
            for (day, weighing) in pup.weighings.iter_mut().enumerate() {
                weighing.id = Some(Uuid::from_u128((number * 100 + day) as u128));
            }
        }
        let found = find_swaps(&litter(pups), hours(24.0 * 20.0), &Rules::standard());
        let place = format!("{:?} {:?}", wanted.births, wanted.exchanged);
        assert_eq!(found[0].dog_ids, [1, 2].map(Uuid::from_u128), "{place}");
        near(found[0].log_odds, wanted.log_odds, &place);
        let first = "2026-03-01".parse::<chrono::NaiveDate>().unwrap();
        let days: Vec<_> = wanted.days.iter().map(|day| first + Duration::days(*day)).collect();
        assert_eq!(found[0].days, days, "{place}");
        let changed = [0, 100].into_iter().flat_map(|pup| {
            let of_day = |day: &i64| Uuid::from_u128((pup + day) as u128);
            wanted.days.iter().map(of_day).collect::<Vec<_>>()
        });
        assert_eq!(found[0].weighing_ids, changed.collect::<Vec<_>>(), "{place}");
    }
}

/// Intervals are 1.96 deviations of the model with the error of weighing in them.
#[test]
fn the_forecast_tells_the_model_with_the_error_of_weighing() {
    let (reference, known) = known();
    let until = "2026-04-26".parse().unwrap();
    let found = litter_forecast(&known, until, hours(24.0 * 7.0), &Rules::standard());
    for wanted in &reference.forecasts {
        let place = format!("pup {} day {}", wanted.pup, wanted.age_days);
        let pup = found.pups.iter().find(|p| p.dog_id == Uuid::from_u128(wanted.pup)).unwrap();
        let day = pup.days.iter().find(|day| day.age_days == wanted.age_days as i64).unwrap();
        let sd = (wanted.variance + WEIGHING_SD.powi(2)).sqrt();
        near(day.weight_g, wanted.mean.exp(), &place);
        near(day.low_g, (wanted.mean - 1.959_963_985 * sd).exp(), &place);
        near(day.high_g, (wanted.mean + 1.959_963_985 * sd).exp(), &place);
    }
    for wanted in &reference.gains {
        let place = format!("gain of pup {}", wanted.pup);
        let pup = found.pups.iter().find(|p| p.dog_id == Uuid::from_u128(wanted.pup)).unwrap();
        let per_day = |z: f64| ((wanted.mean + z * wanted.variance.sqrt()) / 1.5).exp_m1();
        near(pup.gain_fraction_per_day.unwrap(), per_day(0.0), &place);
        near(pup.gain_low_fraction_per_day.unwrap(), per_day(-1.959_963_985), &place);
        near(pup.gain_high_fraction_per_day.unwrap(), per_day(1.959_963_985), &place);
    }
    assert_eq!(found.pups[3].gain_fraction_per_day, None, "it was never weighed");
}

fn misfit(known: &GrowthLitter, number: u128, age_days: f64, weight_g: f64) -> ImplausibleWeight {
    let new = weighing(hours(age_days * 24.0), weight_g);
    let id = Uuid::from_u128(number);
    match plausibility(known, id, &new, hours(24.0 * 8.0), &Rules::standard()).unwrap() {
        WeightVerdict::Implausible(misfit) => misfit,
        WeightVerdict::Plausible => panic!("{weight_g} g passed"),
    }
}

/// What was expected is 2.5 deviations to both sides of the model (`growth.likely_sd`).
#[test]
fn what_was_expected_is_the_model_with_the_error_of_weighing() {
    let (reference, known) = known();
    for wanted in reference.forecasts.iter().filter(|f| f.age_days == 7.0 && f.pup < 4) {
        let place = format!("pup {}", wanted.pup);
        let found = misfit(&known, wanted.pup, 7.0, 3_333.0);
        let sd = (wanted.variance + WEIGHING_SD.powi(2)).sqrt();
        near(found.expected_low_g, (wanted.mean - 2.5 * sd).exp(), &place);
        near(found.expected_high_g, (wanted.mean + 2.5 * sd).exp(), &place);
    }
}
