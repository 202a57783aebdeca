//! The model against a second computation by general solvers, plausibility, and exchanged pups.

use super::forecast::{gompertz, gompertz_through};
use super::plausibility::{ImplausibleReason, ImplausibleWeight};
use super::standards::adult_curve_of;
use super::tests::{at, litter, pup, weighing};
use super::*;
use crate::rules::Rules;
use chrono::{DateTime, Duration, Utc};
use proptest::prelude::*;
use serde::Deserialize;
use uuid::Uuid;

#[derive(Deserialize)]
struct Reference {
    adult_weight_g: f64,
    weights: Vec<ReferenceWeight>,
    forecasts: Vec<ReferenceForecast>,
    gompertz: ReferenceGompertz,
}

#[derive(Deserialize)]
struct ReferenceWeight {
    pup: u128,
    age_days: f64,
    weight_g: f64,
}

#[derive(Deserialize)]
struct ReferenceForecast {
    pup: u128,
    age_days: f64,
    mean: f64,
    variance: f64,
    gain_variance_7_to_14: Option<f64>,
}

#[derive(Deserialize)]
struct ReferenceGompertz {
    adult_weight_g: f64,
    growth_days: f64,
    age_days: f64,
    weight_g: f64,
    c_days: f64,
}

fn reference() -> Reference {
    let text = include_str!("../../../tests/reference/growth/model.json");
    serde_json::from_str(text).unwrap()
}

/// numpy and scipy: the litter as one multivariate normal vector, the wandering rate integrated
/// numerically (tests/outside/growth_model.py).
#[test]
fn the_posterior_equals_conditioning_the_whole_litter_by_scipy() {
    let reference = reference();
    let pups = (1..=4)
        .map(|number| {
            let own: Vec<(i64, f64)> = reference
                .weights
                .iter()
                .filter(|w| w.pup == number)
                .map(|w| ((w.age_days * 24.0) as i64, w.weight_g))
                .collect();
            pup(number, &own)
        })
        .collect();
    let litter = GrowthLitter { adult_weight_g: Some(reference.adult_weight_g), ..litter(pups) };
    let model = GrowthModel::fit(&litter, hours(24 * 7), &Rules::standard()).unwrap();
    assert_eq!(reference.forecasts.len(), 24);
    for expected in &reference.forecasts {
        let id = Uuid::from_u128(expected.pup);
        let at = model.at(id, expected.age_days).unwrap();
        let place = format!("pup {} day {}", expected.pup, expected.age_days);
        assert!((at.mean - expected.mean).abs() < 1e-6, "{place}: {} {}", at.mean, expected.mean);
        assert!((at.variance - expected.variance).abs() < 1e-7, "{place}: {}", at.variance);
        if let Some(variance) = expected.gain_variance_7_to_14 {
            let gain = model.gain(id, 7.0, 14.0).unwrap();
            assert!((gain.variance - variance).abs() < 1e-7, "{place} gain {}", gain.variance);
        }
    }
}

#[test]
fn the_gompertz_curve_goes_through_the_weight_as_scipy_finds_it() {
    let wanted = reference().gompertz;
    let curve = adult_curve_of("Labrador Retriever", false).unwrap();
    assert_eq!(
        (curve.adult_weight_g, curve.growth_days),
        (wanted.adult_weight_g, wanted.growth_days)
    );
    let c = gompertz_through(curve, wanted.age_days, wanted.weight_g).unwrap();
    assert!((c - wanted.c_days).abs() < 1e-6, "{c}");
    assert!(gompertz_through(curve, 56.0, 40_000.0).is_none(), "heavier than an adult");
}

proptest! {
    /// Of any Gompertz curve: at the age of fastest growth the weight is Wmax / e.
    #[test]
    fn at_the_turning_point_a_gompertz_curve_is_at_a_share_of_one_by_e(
        adult in 1_000.0..80_000.0_f64, c in 40.0..200.0_f64, b in 20.0..90.0_f64,
    ) {
        let share = gompertz(adult, c, b, c) / adult;
        prop_assert!((share - 0.367_879_441).abs() < 1e-8);
        prop_assert!(gompertz(adult, c, b, c + 10.0) > gompertz(adult, c, b, c));
    }

    /// More or fewer weights never make the model fail, and intervals stay in order.
    #[test]
    fn any_set_of_weights_gives_a_sane_forecast(
        weights in prop::collection::vec((0i64..1200, 150.0..3000.0_f64), 0..30),
    ) {
        let litter = litter(vec![pup(1, &weights), pup(2, &[(0, 400.0)])]);
        let model = GrowthModel::fit(&litter, hours(1200), &Rules::standard()).unwrap();
        for day in [0.0, 3.0, 20.0, 56.0] {
            let at = model.at(Uuid::from_u128(1), day).unwrap();
            prop_assert!(at.mean.is_finite() && at.variance > 0.0);
            prop_assert!(at.weight_g(-2.0) < at.weight_g(0.0));
        }
    }
}

fn hours(h: i64) -> DateTime<Utc> {
    at("2026-03-01T00:00:00Z") + Duration::hours(h)
}

/// A daily series from a birth weight, growing 7 % a day from day 1.
fn daily(number: u128, birth: f64, days: i64) -> GrowthPup {
    let weights: Vec<(i64, f64)> =
        (0..=days).map(|d| (d * 24, (birth * 1.07f64.powi(d.max(1) as i32 - 1)).round())).collect();
    pup(number, &weights)
}

#[test]
fn a_three_day_old_pup_has_a_sane_forecast() {
    let litter = litter(vec![daily(1, 400.0, 3), daily(2, 420.0, 3), daily(3, 370.0, 3)]);
    let until = "2026-04-26".parse().unwrap();
    let forecast = litter_forecast(&litter, until, hours(73), &Rules::standard());
    let pup = &forecast.pups[0];
    assert_eq!(pup.days.len(), 57);
    let last = pup.days.last().unwrap();
    assert_eq!((last.day, last.age_days), (until, 56));
    // Tripled by week 3 and 2 to 4 g per kg adult weight a day after week 4, as published.
    assert!((1100.0..1700.0).contains(&pup.days[21].weight_g), "{}", pup.days[21].weight_g);
    let late = (last.weight_g - pup.days[28].weight_g) / 28.0 / 29.0;
    assert!((2.0..4.0).contains(&late), "{late} g per kg adult and day");
    assert!(last.low_g < last.weight_g * 0.9 && last.high_g < last.weight_g * 2.0);
    assert!(pup.adult.is_none(), "sex unknown: no curve");
}

/// The early warning asks for the prior alone, which is that of the model: of the time after week 4 once a pup was
/// weighed there.
#[test]
fn the_time_after_week_four_has_its_norm_from_the_first_weight_in_it() {
    let to_days = |days: i64| {
        let known = litter(vec![daily(1, 400.0, days), daily(2, 420.0, 26), daily(3, 370.0, 26)]);
        let (now, rules) = (hours(24 * days), Rules::standard());
        let prior = GrowthModel::prior_of(&known, &known.days(now), &rules).unwrap();
        (prior.to_day, GrowthModel::fit(&known, now, &rules).unwrap().to_day())
    };
    assert_eq!([27, 28].map(|days| to_days(days).0), [28.0; 2]);
    assert_eq!(to_days(29), (84.0, 84.0));
}

#[test]
fn without_an_adult_weight_nothing_is_forecast_beyond_the_norms() {
    let mut litter = litter(vec![daily(1, 400.0, 10)]);
    litter.adult_weight_g = None;
    litter.dam_weight_g = None;
    let until = "2026-04-26".parse().unwrap();
    let forecast = litter_forecast(&litter, until, hours(241), &Rules::standard());
    assert_eq!(forecast.pups[0].days.len(), 29);
    assert!(forecast.pups[0].lacks[0].contains("adult weight"));
}

#[test]
fn the_day_a_weight_is_reached_has_an_interval_until_it_is_weighed() {
    let rules = Rules::standard();
    let litter = litter(vec![daily(1, 400.0, 10), daily(2, 420.0, 10)]);
    let now = hours(241);
    let model = GrowthModel::fit(&litter, now, &rules).unwrap();
    let id = Uuid::from_u128(1);
    let soon = weight_reached_on(&litter, &model, id, 1000.0, now).unwrap();
    let (early, likely, late) =
        (soon.earliest_on.unwrap(), soon.likely_on.unwrap(), soon.latest_on.unwrap());
    assert!(!soon.reached && early <= likely && likely <= late);
    // 735 g on day 10 (11 March), 5 to 7 % a day: 1000 g between day 14.5 and 16.3.
    assert!(("2026-03-15".parse().unwrap()..="2026-03-18".parse().unwrap()).contains(&likely));
    let past = weight_reached_on(&litter, &model, id, 600.0, now).unwrap();
    assert!(past.reached);
    // 400 g grown 7 % a day from day 1: 600 g at day 1 + ln 1.5 / ln 1.07 = 6.99.
    assert_eq!(past.likely_on, Some("2026-03-08".parse().unwrap()));
    assert!(weight_reached_on(&litter, &model, Uuid::from_u128(9), 600.0, now).is_none());
    let far = weight_reached_on(&litter, &model, id, 60_000.0, now).unwrap();
    assert_eq!((far.likely_on, far.reached), (None, false));
}

fn judge(weight_g: f64) -> WeightVerdict {
    // On day 6 (524 g and 707 g on the day before), the next day is expected at about 560 g.
    let litter = litter(vec![daily(1, 400.0, 5), daily(2, 540.0, 5), daily(3, 230.0, 5)]);
    let new = weighing(hours(144), weight_g);
    plausibility(&litter, Uuid::from_u128(1), &new, hours(144), &Rules::standard()).unwrap()
}

fn misfit(weight_g: f64) -> ImplausibleWeight {
    match judge(weight_g) {
        WeightVerdict::Implausible(misfit) => misfit,
        WeightVerdict::Plausible => panic!("{weight_g} g passed"),
    }
}

#[test]
fn a_weight_in_another_unit_is_told_apart_and_asked() {
    // 0.562 kg, 19.8 oz and 1.24 lb are all 562 g.
    for (written, how) in [(0.562, "kilograms"), (19.8, "ounces"), (1.24, "pounds")] {
        let found = misfit(written);
        assert_eq!(found.reason, ImplausibleReason::WrongUnit, "{written}");
        assert!((found.likely_meant[0].weight_g - 562.0).abs() < 2.0, "{written}");
        assert!(found.likely_meant[0].how.contains(how), "{written}");
        assert!(found.detail.contains("meant"), "{}", found.detail);
    }
}

#[test]
fn a_slipped_digit_is_found() {
    for (written, meant) in [(5620.0, 562.0), (56.0, 562.0), (5562.0, 562.0), (962.0, 562.0)] {
        let found = misfit(written);
        let near = found.likely_meant.iter().any(|m| (m.weight_g - meant).abs() < 15.0);
        assert!(near, "{written}: {:?}", found.likely_meant);
        assert_eq!(found.reason, ImplausibleReason::DigitSlip, "{written}");
    }
}

#[test]
fn the_weight_of_a_littermate_is_recognised() {
    let found = misfit(322.0);
    let mate = found.likely_meant.iter().find_map(|m| m.dog_id);
    assert_eq!((found.reason, mate), (ImplausibleReason::OtherPup, Some(Uuid::from_u128(3))));
}

#[test]
fn a_pup_heavier_than_its_dam_and_a_senseless_weight_are_asked_about() {
    assert_eq!(misfit(28_888.0).reason, ImplausibleReason::HeavierThanDam);
    assert_eq!(misfit(1780.0).reason, ImplausibleReason::TooHeavy);
}

#[test]
fn a_sick_pup_is_not_a_slip_of_the_pen() {
    for weight in [524.0, 500.0, 470.0, 590.0, 600.0] {
        assert_eq!(judge(weight), WeightVerdict::Plausible, "{weight}");
    }
}

#[test]
fn times_and_values_that_cannot_be_are_faults() {
    let rules = Rules::standard();
    let litter = litter(vec![daily(1, 400.0, 3)]);
    let pointers = |weight: f64, at: DateTime<Utc>| {
        let new = weighing(at, weight);
        let id = Uuid::from_u128(1);
        plausibility(&litter, id, &new, hours(80), &rules)
            .map(|_| vec![])
            .unwrap_or_else(|faults| faults.into_iter().map(|f| f.pointer).collect::<Vec<_>>())
    };
    assert_eq!(pointers(0.0, hours(90)), ["/weight_g", "/measured_at"], "all at once");
    assert_eq!(pointers(f64::NAN, hours(79)), ["/weight_g"]);
    assert_eq!(pointers(400.0, hours(-2)), ["/measured_at"]);
    assert!(pointers(480.0, hours(80)).is_empty());
}

/// Pups 1 and 2 (400 g and 500 g at birth) written down for one another on the days given.
fn exchanged(days: &[usize]) -> Vec<SwapProposal> {
    let mut pups = vec![
        daily(1, 400.0, 9),
        daily(2, 500.0, 9),
        daily(3, 405.0, 9),
        daily(4, 450.0, 9),
        daily(5, 480.0, 9),
    ];
    for day in days {
        let one = pups[0].weighings[*day].weight_g;
        pups[0].weighings[*day].weight_g = pups[1].weighings[*day].weight_g;
        pups[1].weighings[*day].weight_g = one;
    }
    find_swaps(&litter(pups), hours(300), &Rules::standard())
}

#[test]
fn two_pups_exchanged_are_found_and_proposed() {
    assert!(exchanged(&[]).is_empty());
    let once = exchanged(&[6]);
    assert_eq!(once.len(), 1);
    assert_eq!(once[0].dog_ids, [Uuid::from_u128(1), Uuid::from_u128(2)]);
    assert_eq!(once[0].days, ["2026-03-07".parse().unwrap()]);
    assert!(!once[0].still_going_on, "the next day was right again");
    let last = exchanged(&[9]);
    assert_eq!((last.len(), last[0].days.len()), (1, 1));
    assert!(!last[0].still_going_on, "one day is a slip of the pen");
    let two = exchanged(&[8, 9]);
    assert!(two[0].days.len() == 2 && two[0].still_going_on);
    let collars = exchanged(&[7, 8, 9]);
    assert_eq!(collars[0].days.len(), 3);
    assert!(collars[0].still_going_on && collars[0].detail.contains("collars"));
}
