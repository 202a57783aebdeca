//! What a weight is taken for: a slip, another pup's, a failing pup's; and the way to adult weight.

use super::forecast::gompertz_through;
use super::plausibility::{ImplausibleReason, ImplausibleWeight};
use super::standards::adult_curve_of;
use super::tests::{at, litter, pup, weighing};
use super::*;
use crate::rules::Rules;
use chrono::{DateTime, Duration, Utc};
use uuid::Uuid;

fn day(days: i64) -> DateTime<Utc> {
    at("2026-03-01T00:00:00Z") + Duration::days(days)
}

/// Weighed daily, growing 7 % a day from day 1.
fn daily(number: u128, birth: f64, days: i64) -> GrowthPup {
    let weight = |day: i64| (birth * 1.07_f64.powi(day.max(1) as i32 - 1)).round();
    let weights: Vec<(i64, f64)> = (0..=days).map(|day| (day * 24, weight(day))).collect();
    pup(number, &weights)
}

fn judged(known: &GrowthLitter, number: u128, days: i64, weight_g: f64) -> WeightVerdict {
    let new = weighing(day(days), weight_g);
    plausibility(known, Uuid::from_u128(number), &new, day(500), &Rules::standard()).unwrap()
}

fn misfit(known: &GrowthLitter, number: u128, days: i64, weight_g: f64) -> ImplausibleWeight {
    match judged(known, number, days, weight_g) {
        WeightVerdict::Implausible(misfit) => misfit,
        WeightVerdict::Plausible => panic!("{weight_g} g passed"),
    }
}

/// On day 6 the first is expected at about 560 g, the third at 322 g.
fn three() -> GrowthLitter {
    litter(vec![daily(1, 400.0, 5), daily(2, 540.0, 5), daily(3, 230.0, 5)])
}

/// A male Labrador of 5.5 kg at 8 weeks; the curve by hand from the age of fastest growth that scipy
/// finds (tests/outside/growth_model.py): 31.4 kg exp(-exp(-(t - 89.02) / 59.49)).
#[test]
fn the_way_to_adult_weight_goes_through_the_last_weight() {
    let mut one = pup(1, &[(0, 420.0), (56 * 24, 5_500.0)]);
    one.is_female = Some(false);
    let until = "2026-05-10".parse().unwrap();
    let found = litter_forecast(&litter(vec![one]), until, day(57), &Rules::standard());
    let adult = found.pups[0].adult.as_ref().unwrap();
    assert!((adult.fastest_at_days - 89.023_32).abs() < 1e-4);
    assert_eq!((adult.adult_weight_g, adult.grown_at_days), (31_400.0, 327.0));
    let ages: Vec<f64> = adult.curve.iter().map(|point| point.age_days).collect();
    assert_eq!(ages, (2..=12).map(|k| f64::from(k) * 28.0).collect::<Vec<_>>());
    for (place, weight_g) in [(0, 5_500.0), (1, 10_577.3), (2, 15_913.6), (10, 30_909.5)] {
        let point = adult.curve[place];
        assert!((point.weight_g - weight_g).abs() < 1.0, "{point:?} {weight_g}");
    }
}

/// No curve goes through a weight that is none, an adult one, or one out of its time.
#[test]
fn a_curve_to_adult_weight_exists_within_its_bounds() {
    let curve = adult_curve_of("Labrador Retriever", false).unwrap();
    let through = |age, weight| gompertz_through(curve, age, weight).is_some();
    assert!(through(56.0, 5_500.0) && through(323.5, 30_800.0));
    assert!(!through(56.0, 0.0) && !through(56.0, 31_400.0));
    // All but grown: b would be nothing or less.
    assert!(!through(347.3, 31_000.0));
    // It would have grown fastest before birth, or after it was grown.
    assert!(!through(300.0, 30_800.0) && !through(400.0, 5_500.0));
}

/// A failing pup loses 9 % a day at most (`growth.failing_rate` and twice its deviation), for four days.
#[test]
fn a_low_weight_may_be_a_failing_pups() {
    let known = litter(vec![daily(1, 400.0, 5)]);
    // Of 524 g on day 5: 400.0 g are left after three days, 365.6 g after four and more.
    for (days, least) in [(8, 400.0), (15, 365.6)] {
        let fits = |grams| judged(&known, 1, days, grams) == WeightVerdict::Plausible;
        assert!(fits(least + 1.0) && !fits(least - 1.0), "day {days}");
    }
    let beside = litter(vec![daily(2, 300.0, 5), daily(1, 400.0, 5)]);
    assert_eq!(judged(&beside, 1, 8, 401.0), WeightVerdict::Plausible, "by its own last weight");
}

/// A weight that is written anew is held against the others, not against itself.
#[test]
fn a_corrected_weight_is_not_held_against_what_it_corrects() {
    let mut known = three();
    let id = Some(Uuid::from_u128(70));
    let wrong = Weighing { id, ..weighing(day(6), 5_600.0) };
    known.pups[0].weighings.push(wrong);
    let right = Weighing { id, ..weighing(day(6), 562.0) };
    let verdict =
        plausibility(&known, Uuid::from_u128(1), &right, day(7), &Rules::standard()).unwrap();
    assert_eq!(verdict, WeightVerdict::Plausible);
    // Without ids nothing is taken out: 300 g is not what this pup weighs.
    assert_ne!(judged(&three(), 1, 6, 300.0), WeightVerdict::Plausible);
}

/// Beyond the norms: 1.5 % and half of 10 % a day around the last weight, for two weeks at most.
#[test]
fn a_grown_dog_is_judged_by_its_last_weight() {
    let mut one = pup(1, &[(365 * 24, 20_000.0)]);
    let alone = |one: &GrowthPup| litter(vec![one.clone()]);
    let near = |found: f64, wanted: f64| assert!((found - wanted).abs() < 1.0, "{found} {wanted}");
    // 20 kg times exp(-2.5 x 0.115) and exp(2.5 x 0.115) after two days.
    let heavy = misfit(&alone(&one), 1, 367, 34_000.5);
    assert_eq!(heavy.reason, ImplausibleReason::TooHeavy);
    near(heavy.expected_low_g, 15_002.8);
    near(heavy.expected_high_g, 26_661.7);
    let light = misfit(&alone(&one), 1, 367, 10_000.5);
    assert_eq!(light.reason, ImplausibleReason::TooLight);
    // 1.5 % and 70 % after two weeks and more.
    near(misfit(&alone(&one), 1, 395, 700.5).expected_low_g, 3_347.6);
    // Doubtful weights, and those of before its birth, are none.
    one.weighings.push(Weighing { doubtful: true, ..weighing(day(366), 9_000.0) });
    one.weighings.push(weighing(day(366), 0.0));
    assert_eq!(judged(&alone(&one), 1, 367, 20_500.0), WeightVerdict::Plausible);
    one.weighings = vec![weighing(day(-1), 9_000.0)];
    assert_eq!(judged(&alone(&one), 1, 367, 20_500.0), WeightVerdict::Plausible);
}

#[test]
fn what_was_meant_is_told_once_and_the_likeliest_first() {
    let known = three();
    let meant = |number, weight| {
        let found = misfit(&known, number, 6, weight);
        let meant: Vec<(f64, String)> =
            found.likely_meant.iter().map(|one| (one.weight_g, one.how.to_string())).collect();
        (found.reason, meant)
    };
    // 5620 is 562 with a point left out; that a digit is too many tells the same.
    let (reason, found) = meant(1, 5_620.0);
    assert_eq!(reason, ImplausibleReason::DigitSlip);
    assert_eq!(found.iter().filter(|(grams, _)| (grams - 562.0).abs() < 0.5).count(), 1);
    // Of 5500 the nearest with a digit less is what it is with its point moved.
    let (_, found) = meant(1, 5_500.0);
    assert_eq!(found.iter().filter(|(grams, _)| *grams == 550.0).count(), 1, "{found:?}");
    // 56.2 is 562 with its point a place too far, and no number of digits.
    let (reason, found) = meant(1, 56.2);
    assert_eq!(reason, ImplausibleReason::DigitSlip);
    assert_eq!((found.len(), found[0].0), (1, 562.0), "{found:?}");
    // 232 is 322 with its first digits exchanged.
    let (reason, found) = meant(3, 232.0);
    assert_eq!(reason, ImplausibleReason::DigitSlip);
    assert_eq!((found[0].0, found[0].1.contains("exchanged")), (322.0, true), "{found:?}");
}

#[test]
fn only_what_is_above_the_dam_is_told_of_her() {
    let known = three();
    let told = |weight| misfit(&known, 1, 6, weight).detail.contains("dam");
    assert_eq!([28_888.0, 1_780.0].map(told), [true, false]);
}
