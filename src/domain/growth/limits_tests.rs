//! The limits of the scale: what is compared, what is believed, and when the early warning speaks.

use super::own_lines::{LineDog, own_lines};
use super::plausibility::ImplausibleReason;
use super::standards::grade_birth_weight;
use super::*;
use crate::limits_tests::{
    Ask, Limit, MINUTE, Side, at_least, at_most, check, less_than, minutes, more_than,
};
use crate::{record::Sex, rules::Rules};
use chrono::{DateTime, Duration, Utc};
use uuid::Uuid;

fn at(hours: f64) -> DateTime<Utc> {
    let born: DateTime<Utc> = "2026-03-01T00:00:00Z".parse().unwrap();
    born + Duration::minutes(minutes(hours))
}

fn weighing(hours: f64, weight_g: f64) -> Weighing {
    Weighing { id: None, measured_at: at(hours), weight_g, doubtful: false }
}

/// A pup with weights at hours of age.
fn pup(number: u128, weights: &[(f64, f64)]) -> GrowthPup {
    GrowthPup {
        dog_id: Uuid::from_u128(number),
        label: format!("pup {number}").into(),
        born_at: at(0.0),
        birth_weight_g: None,
        is_female: None,
        left_at: None,
        weighings: weights.iter().map(|(hours, g)| weighing(*hours, *g)).collect(),
    }
}

fn litter(pups: Vec<GrowthPup>, dam_weight_g: Option<f64>) -> GrowthLitter {
    GrowthLitter {
        litter_id: Uuid::from_u128(9),
        breed: Some("Labrador Retriever".to_owned()),
        adult_weight_g: Some(29_000.0),
        dam_weight_g,
        time_zone: chrono_tz::UTC,
        pups,
    }
}

fn first() -> Uuid {
    Uuid::from_u128(1)
}

fn reason(known: &GrowthLitter, new: &Weighing, rules: &Rules) -> Option<ImplausibleReason> {
    match plausibility(known, first(), new, at(1e5), rules).unwrap() {
        WeightVerdict::Plausible => None,
        WeightVerdict::Implausible(verdict) => Some(verdict.reason),
    }
}

/// A pup of 450 g whose dam weighs as much, weighed at a share of that.
fn above_dam(share: f64, rules: &Rules) -> bool {
    let known = litter(vec![pup(1, &[(0.0, 400.0), (24.0, 430.0)])], Some(450.0));
    reason(&known, &weighing(48.0, 450.0 * share), rules).is_some()
}

/// A pup of a year that weighed 20 kg is weighed again, at once, at 25 kg.
fn grown() -> (GrowthLitter, Weighing) {
    let hours = 365.0 * 24.0;
    (litter(vec![pup(1, &[(hours, 20_000.0)])], None), weighing(hours, 25_000.0))
}

fn step_of_grown(_: &Rules) -> f64 {
    (25_000.0_f64.ln() - 20_000.0_f64.ln()).abs()
}

fn is_asked(rules: &Rules) -> bool {
    let (known, new) = grown();
    reason(&known, &new, rules).is_some()
}

/// Minutes after now, or before the birth, at which a weight is dated.
fn dated(minutes_after: f64, before_birth: bool, rules: &Rules) -> bool {
    let known = litter(vec![pup(1, &[])], None);
    let off = minutes_after / 60.0;
    let (new, now) = if before_birth { (-off, 10.0) } else { (10.0 + off, 10.0) };
    plausibility(&known, first(), &weighing(new, 400.0), at(now), rules).is_ok()
}

/// A pup whose probability of failing both limits of the warning may be set to.
fn failing(rules: &Rules) -> PupRisk {
    let risk = |grams: i32| {
        let slow = pup(1, &[(0.0, 400.0), (24.0, 396.0), (48.0, f64::from(grams))]);
        litter_risks(&litter(vec![slow], None), at(48.0), rules).remove(0)
    };
    (370..=430).map(risk).find(|risk| (0.15..0.45).contains(&risk.probability)).unwrap()
}

fn probability(rules: &Rules) -> f64 {
    failing(rules).probability
}

fn compared(hours: f64, rules: &Rules) -> bool {
    let known = litter(vec![pup(1, &[(48.0 - hours, 400.0), (48.0, 420.0)])], None);
    litter_growth(&known, at(48.0), rules).pups[0].since_yesterday.is_some()
}

/// Whether the weights of so many grown dogs are used.
fn own_lines_are_used(dogs: f64, rules: &Rules) -> bool {
    let dog = LineDog {
        litter_id: Uuid::from_u128(1),
        sex: Sex::Male,
        adult_weight_g: Some(30_000.0),
        weights: Vec::new(),
    };
    let lines = own_lines("Labrador Retriever", &vec![dog; dogs as usize], rules);
    lines.sexes[1].adult_weight.is_used
}

pub(crate) const LIMITS: &[Limit] = &[
    less_than("growth.yesterday_min_hours", "closer together than this", MINUTE, |h, r| {
        !compared(h, r)
    }),
    at_most("growth.clock_tolerance", "how far after now", 1.0, |m, r| dated(m, false, r)),
    at_most("growth.clock_tolerance", "before its time is refused", 1.0, |m, r| dated(m, true, r)),
    more_than("growth.dam_weight_multiple", "above this fraction", 0.01, above_dam),
    at_least("growth.own_lines_dogs", "From so many dogs", 1.0, own_lines_are_used),
    Limit {
        rule: "growth.implausible_step",
        side: Side::MoreThan,
        words: "smallest distance",
        step: 0.001,
        ask: Ask::Rule(step_of_grown, is_asked),
    },
    Limit {
        rule: "growth.warning_watch",
        side: Side::AtLeast,
        words: "from which",
        step: 0.001,
        ask: Ask::Rule(probability, |r| failing(r).level >= RiskLevel::Watch),
    },
    Limit {
        rule: "growth.warning_act",
        side: Side::AtLeast,
        words: "from which",
        step: 0.001,
        ask: Ask::Rule(probability, |r| failing(r).level == RiskLevel::Act),
    },
];

#[test]
fn each_limit_of_the_scale_on_it_before_and_after() {
    check(LIMITS);
}

/// Half a gram, an hour: when a birth weight and a weighing are one.
#[test]
fn a_birth_weight_that_was_weighed_is_there_once() {
    let points = |hours: f64, grams: f64| {
        let mut one = pup(1, &[(hours, grams)]);
        one.birth_weight_g = Some(400.0);
        one.points(chrono_tz::UTC, at(100.0)).len()
    };
    assert_eq!([1.0 - MINUTE, 1.0, 1.0 + MINUTE].map(|hours| points(hours, 400.0)), [1, 1, 2]);
    assert_eq!([400.4, 400.5, 399.5, 399.6].map(|grams| points(0.5, grams)), [1, 2, 2, 1]);
}

/// Weights of the very moment of birth, of now, and of nothing.
#[test]
fn only_weights_of_its_life_count() {
    let points =
        |hours: f64, grams: f64| pup(1, &[(hours, grams)]).points(chrono_tz::UTC, at(10.0)).len();
    assert_eq!([-MINUTE, 0.0, 10.0, 10.0 + MINUTE].map(|hours| points(hours, 400.0)), [0, 1, 1, 0]);
    assert_eq!([-1.0, 0.0, 1.0, f64::NAN, f64::INFINITY].map(|g| points(5.0, g)), [0, 0, 1, 0, 0]);
    let mut gone = pup(1, &[]);
    gone.left_at = Some(at(10.0));
    assert_eq!(
        [-MINUTE, 0.0, 10.0 - MINUTE, 10.0].map(|h| gone.present(at(h))),
        [false, true, true, false]
    );
    assert_eq!(
        [10.0 - MINUTE, 10.0, 10.0 + MINUTE].map(|hours| {
            let known = litter(vec![gone.clone()], None);
            plausibility(&known, first(), &weighing(hours, 400.0), at(20.0), &Rules::standard())
                .is_ok()
        }),
        [true, true, false],
        "weighed up to the moment it left"
    );
}

/// The birth weight is a weight of the first twelve hours; early growth is judged at 36 to 60 hours.
#[test]
fn the_first_weight_and_that_of_day_two_have_their_hours() {
    let rules = Rules::standard();
    let growth = |weights: &[(f64, f64)]| {
        let known = litter(vec![pup(1, weights)], None);
        litter_growth(&known, at(200.0), &rules).pups.remove(0)
    };
    let birth = |hours: f64| growth(&[(hours, 400.0)]).birth_weight_g.is_some();
    assert_eq!([12.0 - MINUTE, 12.0, 12.0 + MINUTE].map(birth), [true, true, false]);
    let early = |hours: f64| growth(&[(0.0, 400.0), (hours, 440.0)]).early_growth_fraction;
    for hours in [36.0, 48.0, 60.0] {
        assert!((early(hours).unwrap() - 0.1).abs() < 1e-12, "{hours}");
    }
    assert_eq!([36.0 - MINUTE, 60.0 + MINUTE].map(early), [None, None]);
    // The nearest to a day before tells of yesterday, the nearest to two days of both.
    let many = growth(&[(0.0, 400.0), (23.0, 410.0), (24.0, 411.0), (37.0, 419.0), (48.0, 430.0)]);
    assert_eq!(many.since_yesterday.unwrap().from.weight_g, 411.0);
    assert_eq!(many.since_two_days.unwrap().from.weight_g, 400.0);
}

/// Two pups are ranked when the second was weighed within a day of the first.
#[test]
fn ranks_are_of_one_round() {
    let rules = Rules::standard();
    let ranked = |apart: f64, weights: [f64; 3]| {
        let [a, b, c] = weights;
        let pups = vec![pup(1, &[(48.0, a)]), pup(2, &[(48.0 - apart, b)]), pup(3, &[(48.0, c)])];
        let found = litter_growth(&litter(pups, None), at(48.0), &rules);
        found.pups.into_iter().map(|pup| pup.position).collect::<Vec<_>>()
    };
    let of = |apart| ranked(apart, [400.0, 420.0, 380.0])[0].clone().unwrap().of;
    assert_eq!([24.0 - MINUTE, 24.0, 24.0 + MINUTE].map(of), [3, 3, 2]);
    let three = ranked(0.0, [400.0, 440.0, 360.0]);
    let of_pup = |n: usize| three[n].clone().unwrap();
    assert_eq!([of_pup(0).rank, of_pup(1).rank, of_pup(2).rank], [2, 1, 3]);
    // By hand: mean 400, deviation 40, a tenth above and below.
    assert!(
        (of_pup(1).z.unwrap() - 1.0).abs() < 1e-12 && (of_pup(2).z.unwrap() + 1.0).abs() < 1e-12
    );
    assert!((of_pup(1).above_mean_fraction - 0.1).abs() < 1e-12);
    let equal = ranked(0.0, [400.0, 400.0, 400.0]);
    assert!(equal.iter().flatten().all(|place| place.rank == 1 && place.z.is_none()));
    let two = ranked(30.0, [400.0, 420.0, 380.0])[0].clone().unwrap();
    assert_eq!((two.of, two.z), (2, None), "two pups have no deviation");
}

/// Doubled on the day by constant growth: from 390 to 410 of 400 a bit after the half.
#[test]
fn a_weight_is_reached_between_two_weighings() {
    let days = |weights: &[(f64, f64)]| {
        super::series::by_day(&pup(1, weights).points(chrono_tz::UTC, at(500.0)))
    };
    let reached = |grams, weights: &[(f64, f64)]| super::summary::reached(grams, &days(weights));
    let found = reached(400.0, &[(0.0, 390.0), (24.0, 410.0)]).unwrap();
    // ln(400/390) / ln(410/390) = 0.5063.
    assert!((found.age_days - 0.5063).abs() < 1e-4, "{}", found.age_days);
    assert_eq!(found.day.to_string(), "2026-03-02");
    let on = reached(410.0, &[(0.0, 390.0), (24.0, 410.0), (48.0, 430.0)]).unwrap();
    assert_eq!((on.age_days, on.day.to_string().as_str()), (1.0, "2026-03-02"));
    assert!(reached(411.0, &[(0.0, 390.0), (24.0, 410.0)]).is_none());
    assert!(reached(390.0, &[(0.0, 390.0), (24.0, 410.0)]).is_none(), "it had it before");
}

/// Mugnier et al. 2020: at the upper threshold normal, under the lower very low.
#[test]
fn birth_weights_are_graded_on_each_threshold_of_each_breed() {
    use BirthWeightClass::{Low, Normal, VeryLow};
    for row in &super::standards::birth_weights().breed {
        let class = |grams| grade_birth_weight(&row.name, grams).unwrap().class;
        let (upper, lower) = (row.normal_from_g, row.low_from_g);
        assert_eq!(
            [upper - 1.0, upper, upper + 1.0].map(class),
            [Low, Normal, Normal],
            "{}",
            row.name
        );
        assert_eq!(
            [lower - 1.0, lower, lower + 1.0].map(class),
            [VeryLow, Low, Low],
            "{}",
            row.name
        );
    }
}

/// Half of the weighed pups and more must lose before the litter is spoken of, and two at least.
#[test]
fn the_litter_is_spoken_of_when_more_than_half_lose() {
    let rules = Rules::standard();
    let level = |losing: u128, of: u128| {
        let weights = |n: u128| if n < losing { 373.0 + n as f64 } else { 431.0 + n as f64 };
        let pups = (0..of).map(|n| pup(n + 1, &[(24.0, 400.0), (48.0, weights(n))])).collect();
        let found = litter_growth(&litter(pups, None), at(48.0), &rules);
        found.cautions.first().map(|caution| caution.level)
    };
    use crate::advice::Level::Act;
    assert_eq!(
        [level(1, 1), level(2, 2), level(2, 3), level(2, 4), level(3, 4)],
        [None, Some(Act), Some(Act), None, Some(Act)]
    );
}
