//! Published thresholds and hand-worked figures.

use super::series::{by_day, median};
use super::standards::{
    BirthWeightClass, adult_curve_of, birth_weights, birth_weights_of, grade_birth_weight,
    growth_norms,
};
use super::summary::{GrowthDay, reached};
use super::*;
use crate::advice::{Caution, CautionCode, Level};
use crate::alarms;
use crate::rules::Rules;
use chrono::{DateTime, Duration, Utc};
use uuid::Uuid;

pub(super) fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

pub(super) fn weighing(at: DateTime<Utc>, weight_g: f64) -> Weighing {
    Weighing { id: None, measured_at: at, weight_g, doubtful: false }
}

/// A pup born at midnight UTC of 1 March with a weight at each of these hours of age.
pub(super) fn pup(number: u128, weights: &[(i64, f64)]) -> GrowthPup {
    let born_at = at("2026-03-01T00:00:00Z");
    GrowthPup {
        dog_id: Uuid::from_u128(number),
        label: format!("pup {number}").into(),
        born_at,
        birth_weight_g: None,
        is_female: None,
        left_at: None,
        weighings: weights
            .iter()
            .map(|(h, w)| weighing(born_at + Duration::hours(*h), *w))
            .collect(),
    }
}

pub(super) fn litter(pups: Vec<GrowthPup>) -> GrowthLitter {
    GrowthLitter {
        litter_id: Uuid::from_u128(1),
        breed: Some("Labrador Retriever".to_owned()),
        adult_weight_g: Some(29_000.0),
        dam_weight_g: Some(27_000.0),
        time_zone: chrono_tz::UTC,
        pups,
    }
}

/// All that the weights say of a pup, each ground by itself.
fn grounds(growth: &LitterGrowth, index: usize) -> Vec<Caution> {
    let pup = &growth.pups[index];
    let risk = growth.risks.iter().find(|risk| risk.dog_id == pup.dog_id);
    let found = alarms::growth::of_pup(pup, risk, growth.as_of, &Rules::standard());
    found.into_iter().map(|one| one.caution).collect()
}

fn hours(h: i64) -> DateTime<Utc> {
    at("2026-03-01T00:00:00Z") + Duration::hours(h)
}

#[test]
fn every_rule_of_the_night_and_the_weeks_after_has_a_source_and_fits_its_bounds() {
    let rules = Rules::standard();
    let tables = ["dam_after_birth.", "feeding.", "growth.", "whelping."];
    let own = || rules.iter().filter(|(key, _)| tables.iter().any(|t| key.starts_with(t)));
    assert!(own().count() > 100);
    for (key, rule) in own() {
        assert!((rule.min..=rule.max).contains(&rule.value), "{key}");
        assert!(rule.source.len() > 20 && rule.meaning.to_string().ends_with('.'), "{key}");
        let common = rule.source.starts_with("common practice");
        let verified = rule.status == crate::rules::Status::Verified;
        assert!(!(common && verified), "{key}: nothing common is verified");
    }
    let norms = growth_norms();
    assert!(norms.gain_band.iter().all(|b| b.low < b.usual && b.usual < b.high));
}

#[test]
fn birth_weights_are_graded_as_mugnier_2020_tables_1_and_2() {
    let cases = [
        ("Labrador Retriever", 406.0, BirthWeightClass::Normal, 0.028),
        ("labrador", 405.9, BirthWeightClass::Low, 0.087),
        ("Labrador Retriever", 248.0, BirthWeightClass::Low, 0.087),
        ("Labrador Retriever", 247.9, BirthWeightClass::VeryLow, 0.577),
        ("MALTESE", 115.0, BirthWeightClass::VeryLow, 0.571),
        ("German Shepherd Dog", 480.0, BirthWeightClass::Normal, 0.033),
        ("Bichon Frisé", 163.5, BirthWeightClass::Low, 0.167),
        ("Westie", 128.0, BirthWeightClass::VeryLow, 0.538),
    ];
    for (breed, weight, class, death) in cases {
        let grade = grade_birth_weight(breed, weight).unwrap();
        assert_eq!((grade.class, grade.death_within_21_days), (class, death), "{breed} {weight}");
    }
    assert!(grade_birth_weight("Lagotto", 300.0).is_none(), "no figure is made up");
    assert_eq!(birth_weights().breed.len(), 10);
    for row in &birth_weights().breed {
        assert!(row.low_from_g < row.normal_from_g && row.death_normal < row.death_very_low);
    }
    assert_eq!(birth_weights_of("rottie").unwrap().mean_g, 403.8);
}

/// Alves 2020: multiples of the birth weight worked out from the printed formula by hand.
#[test]
fn the_ceiling_of_growth_follows_alves_2020() {
    let curve = &growth_norms().upper_reference;
    let printed = [
        (1.0, 1.1379),
        (2.0, 1.2907),
        (3.0, 1.4593),
        (5.0, 1.8474),
        (7.0, 2.3087),
        (10.0, 3.1481),
        (14.0, 4.5495),
        (21.0, 7.6521),
    ];
    for (day, multiple) in printed {
        assert!((curve.multiple(day).unwrap() - multiple).abs() < 5e-4, "day {day}");
    }
    assert!((curve.multiple(5.70).unwrap() - 2.0).abs() < 0.01, "doubles at 5.70 days");
    assert!(curve.multiple(21.5).is_none(), "nothing is published beyond day 21");
}

#[test]
fn curves_to_adult_weight_exist_only_where_published() {
    assert_eq!(adult_curve_of("Labrador", false).unwrap().adult_weight_g, 31_400.0);
    assert_eq!(adult_curve_of("Labrador Retriever", true).unwrap().growth_days, 319.0);
    assert!(adult_curve_of("Shih Tzu", true).is_none());
}

#[test]
fn gain_since_yesterday_is_per_day_whatever_was_missed() {
    let rules = Rules::standard();
    let daily = litter(vec![pup(1, &[(0, 400.0), (24, 400.0), (48, 440.0)])]);
    let growth = litter_growth(&daily, hours(49), &rules);
    let change = growth.pups[0].since_yesterday.as_ref().unwrap();
    assert_eq!((change.gain_g, change.hours), (40.0, 24.0));
    assert!((change.gain_fraction - 0.1).abs() < 1e-12);

    // Two days missed: 440 g to 532.4 g in 48 h is 10 % a day (1.1 squared is 1.21).
    let missed = litter(vec![pup(1, &[(0, 400.0), (48, 440.0), (96, 532.4)])]);
    let growth = litter_growth(&missed, hours(97), &rules);
    let change = growth.pups[0].since_yesterday.as_ref().unwrap();
    assert_eq!(change.hours, 48.0);
    assert!((change.gain_fraction_per_day - 0.10).abs() < 1e-9);
    assert!((change.gain_g_per_day - 46.2).abs() < 1e-9);

    // Several a day: the one nearest to 24 hours before is taken, not the last but one.
    let many =
        litter(vec![pup(1, &[(0, 400.0), (24, 420.0), (36, 430.0), (48, 441.0), (50, 443.0)])]);
    let growth = litter_growth(&many, hours(50), &rules);
    assert_eq!(growth.pups[0].since_yesterday.as_ref().unwrap().from.weight_g, 420.0);
}

#[test]
fn a_doubtful_or_future_weight_moves_nothing() {
    let rules = Rules::standard();
    let mut with = pup(1, &[(0, 400.0), (24, 430.0), (48, 460.0)]);
    let plain = litter_growth(&litter(vec![with.clone()]), hours(48), &rules);
    with.weighings.push(Weighing { doubtful: true, ..weighing(hours(47), 4600.0) });
    with.weighings.push(weighing(hours(90), 900.0));
    with.weighings.push(weighing(hours(-3), 380.0));
    assert_eq!(litter_growth(&litter(vec![with]), hours(48), &rules), plain);
}

#[test]
fn one_odd_weighing_of_three_does_not_move_the_day() {
    let pup = pup(1, &[(30, 430.0), (34, 610.0), (38, 434.0)]);
    let days = by_day(&pup.points(chrono_tz::UTC, hours(60)));
    assert_eq!(days.len(), 1);
    assert_eq!(days[0].weight_g, 434.0);
    assert!((days[0].age_days - 34.0 / 24.0).abs() < 1e-9);
    assert_eq!(median(vec![]), None);
    assert_eq!(median(vec![4.0, 1.0]), Some(2.5));
}

#[test]
fn days_are_counted_on_the_kennels_calendar_through_the_change_of_clocks() {
    // Paris springs forward on 29 March 2026: a day of 23 hours is still one day.
    let mut one = pup(1, &[]);
    one.born_at = at("2026-03-28T22:30:00Z"); // 23:30 of the 28th in Paris
    one.weighings = vec![weighing(at("2026-03-29T22:15:00Z"), 400.0)]; // 00:15 of the 30th
    let mut litter = litter(vec![one]);
    litter.time_zone = chrono_tz::Europe::Paris;
    let growth = litter_growth(&litter, at("2026-03-29T22:15:00Z"), &Rules::standard());
    assert_eq!(growth.pups[0].born_on.to_string(), "2026-03-28");
    assert_eq!(growth.pups[0].age_days, 2);
    assert_eq!(growth.pups[0].last.unwrap().day.to_string(), "2026-03-30");
}

#[test]
fn each_day_tells_its_gain_and_what_it_is_of_the_birth_weight() {
    let growth = litter_growth(
        &litter(vec![pup(1, &[(0, 400.0), (24, 440.0), (72, 484.0)])]),
        hours(80),
        &Rules::standard(),
    );
    let of = |day: &GrowthDay| (day.weight.weight_g, day.gain_g, day.multiple_of_birth);
    let days: Vec<_> = growth.pups[0].days.iter().map(of).collect();
    let (first, second) = ((400.0, None, Some(1.0)), (440.0, Some(40.0), Some(1.1)));
    assert_eq!(days, [first, second, (484.0, Some(44.0), Some(1.21))]);
    let a_day = growth.pups[0].days[2].gain_fraction_per_day.unwrap();
    assert!((a_day - (1.1_f64.sqrt() - 1.0)).abs() < 0.002, "{a_day}");
}

#[test]
fn a_birth_weight_is_the_recorded_one_and_none_where_it_is_nothing() {
    let born_with = |recorded: Option<f64>, first_hour: i64| {
        let mut one = pup(1, &[(first_hour, 500.0)]);
        one.birth_weight_g = recorded;
        litter_growth(&litter(vec![one]), hours(120), &Rules::standard()).pups[0].birth_weight_g
    };
    assert_eq!(born_with(Some(400.0), 100), Some(400.0));
    assert_eq!(born_with(Some(400.0), 0), Some(400.0), "as recorded, whatever was weighed first");
    assert_eq!([Some(0.0), Some(-1.0), None].map(|it| born_with(it, 100)), [None; 3]);
}

#[test]
fn doubling_lies_between_weighings_by_constant_growth() {
    let pup = pup(1, &[(0, 400.0), (192, 768.0), (216, 829.44)]);
    let days = by_day(&pup.points(chrono_tz::UTC, hours(300)));
    let doubled = reached(800.0, &days).unwrap();
    // 768 grows 8 % to 829.44: 800 is reached after ln(800/768)/ln(1.08) = 0.5304 of day 9.
    assert!((doubled.age_days - 8.5304).abs() < 1e-3);
    assert_eq!(doubled.day.to_string(), "2026-03-10");
    assert!(reached(900.0, &days).is_none());
}

#[test]
fn rank_and_distance_from_the_litter() {
    let pups = vec![
        pup(1, &[(0, 400.0)]),
        pup(2, &[(0, 400.0)]),
        pup(3, &[(0, 500.0)]),
        pup(4, &[(0, 200.0)]),
    ];
    let growth = litter_growth(&litter(pups), hours(1), &Rules::standard());
    let places: Vec<_> =
        growth.pups.iter().map(|p| p.position.as_ref().unwrap()).map(|p| (p.rank, p.of)).collect();
    assert_eq!(places, [(2, 4), (2, 4), (1, 4), (4, 4)]);
    let last = growth.pups[3].position.as_ref().unwrap();
    assert!((last.above_mean_fraction - (200.0 / 375.0 - 1.0)).abs() < 1e-12);
    // Deviations 25, 25, 125, -175: variance (2*625 + 15625 + 30625)/3, its root 125.83.
    assert!((last.z.unwrap() + 175.0 / 125.830_6).abs() < 1e-4);
    assert!(grounds(&growth, 3).iter().any(|c| c.code == CautionCode::GrowthBelowLitter));
    assert_eq!(growth.pups[3].cautions.len(), 1, "one cause is one alarm");
    assert_eq!(growth.total_weight_g, Some(1500.0));
}

#[test]
fn the_first_days_follow_the_published_limits() {
    let rules = Rules::standard();
    let level = |weights: &[(i64, f64)], now: i64| {
        let growth = litter_growth(&litter(vec![pup(1, weights)]), hours(now), &rules);
        let mut cautions = grounds(&growth, 0);
        // Growth to day 2, the birth weight and the early warning have their own tests.
        use CautionCode::{GrowthEarlyLoss, GrowthLosing, GrowthStandstill};
        cautions.retain(|c| [GrowthEarlyLoss, GrowthLosing, GrowthStandstill].contains(&c.code));
        cautions.first().map(|c| c.level)
    };
    assert_eq!(level(&[(0, 450.0), (20, 440.0)], 20), Some(Level::Note), "may be normal");
    assert_eq!(level(&[(0, 450.0), (40, 420.0)], 40), Some(Level::Note), "under a tenth: watch");
    assert_eq!(level(&[(0, 450.0), (40, 400.0)], 40), Some(Level::Act), "a tenth");
    assert_eq!(
        level(&[(0, 450.0), (48, 402.0), (73, 400.0)], 73),
        Some(Level::Emergency),
        "a tenth lost and no gain by 72 h"
    );
    assert_eq!(level(&[(0, 450.0), (48, 470.0), (72, 505.0)], 72), None);
    assert_eq!(level(&[(0, 450.0), (48, 480.0), (72, 478.0)], 72), Some(Level::Act), "lost");
    assert_eq!(level(&[(0, 450.0), (48, 480.0), (72, 481.0)], 72), Some(Level::Note), "once");
    let still = [(0, 450.0), (48, 480.0), (72, 481.0), (96, 482.0)];
    assert_eq!(level(&still, 96), Some(Level::Act), "stood still for two days");
}

/// Mila et al. 2015: growth from birth to day 2 of -4 % or less.
#[test]
fn early_growth_is_judged_at_minus_four_per_cent() {
    let flagged = |second: f64| {
        let litter = litter(vec![pup(1, &[(0, 500.0), (48, second)])]);
        let growth = litter_growth(&litter, hours(49), &Rules::standard());
        grounds(&growth, 0).iter().any(|c| c.code == CautionCode::GrowthEarly)
    };
    assert!(flagged(480.0), "-4.0 %");
    assert!(!flagged(481.0), "-3.8 %");
}

#[test]
fn a_litter_that_loses_together_points_at_dam_or_scale() {
    let pups = (1..=4).map(|n| pup(n, &[(0, 400.0), (48, 440.0), (72, 436.0)])).collect();
    let growth = litter_growth(&litter(pups), hours(72), &Rules::standard());
    assert_eq!(growth.losing.len(), 4);
    assert!(growth.cautions[0].what.contains("dam"));
}

#[test]
fn a_pup_without_weights_says_what_it_lacks() {
    let mut litter = litter(vec![pup(1, &[])]);
    litter.breed = None;
    let growth = litter_growth(&litter, hours(10), &Rules::standard());
    assert_eq!(growth.pups[0].lacks.len(), 3);
    assert_eq!(growth.mean_weight_g, None);
}

#[test]
fn nothing_is_asked_of_a_pup_that_died() {
    let mut gone = pup(1, &[(0, 400.0), (24, 360.0)]);
    gone.left_at = Some(hours(30));
    let growth = litter_growth(&litter(vec![gone]), hours(200), &Rules::standard());
    assert!(growth.pups[0].cautions.is_empty() && !growth.pups[0].present);
    assert!(growth.losing.is_empty());
}
