//! A round in which all pups jump alike is the scale's; pups that differ, and one that fails, are not.

use super::tests::{litter, pup};
use super::*;
use crate::advice::{CautionCode, Level};
use crate::alarms;
use crate::limits_tests::{Limit, MINUTE, at_least, at_most, check, minutes};
use crate::rules::Rules;
use chrono::{DateTime, Duration, Utc};

/// Weights of four pups on day 4, in grams.
const DAY_4: [f64; 4] = [500.0, 540.0, 580.0, 620.0];

fn born_at() -> DateTime<Utc> {
    "2026-03-01T00:00:00Z".parse().unwrap()
}

/// Four pups that grew well to day 4, and what the scale then showed at each an hour of age and a weight.
fn weighed(last: [(f64, f64); 4]) -> GrowthLitter {
    let one = |number: usize| {
        let day_4 = DAY_4[number];
        let mut known = pup(
            number as u128 + 1,
            &[(0, day_4 / 1.29), (24, day_4 / 1.22), (48, day_4 / 1.15), (72, day_4 / 1.07)],
        );
        let (hours, weight_g) = last[number];
        known.weighings.push(Weighing {
            id: None,
            measured_at: born_at() + Duration::minutes(minutes(96.0)),
            weight_g: day_4,
            doubtful: false,
        });
        known.weighings.push(Weighing {
            id: None,
            measured_at: born_at() + Duration::minutes(minutes(hours)),
            weight_g,
            doubtful: false,
        });
        known
    };
    litter((0..4).map(one).collect())
}

fn figures(last: [(f64, f64); 4], rules: &Rules) -> LitterGrowth {
    litter_figures(&weighed(last), born_at() + Duration::days(8), rules)
}

fn by_share(share: f64) -> [(f64, f64); 4] {
    DAY_4.map(|g| (120.0, g * (1.0 + share)))
}

fn jumps(last: [(f64, f64); 4], rules: &Rules) -> bool {
    figures(last, rules).scale_jump.is_some()
}

/// A tenth lost by all but one, which lost so much less (the lightest) or more (the heaviest): so that grams do not
/// agree where shares do not. The middle of four does not move with one of them.
fn differs_by(share: f64) -> [(f64, f64); 4] {
    let mut last = by_share(-0.1);
    let one = if share > 0.0 { 0 } else { 3 };
    last[one].1 = DAY_4[one] * (0.9 + share);
    last
}

pub(crate) const LIMITS: &[Limit] = &[
    at_least("growth.jump_down", "lost at least this share", 0.001, |share, r| {
        jumps(by_share(-share), r)
    }),
    at_least("growth.jump_up", "gained at least this share", 0.001, |share, r| {
        jumps(by_share(share), r)
    }),
    at_most("growth.jump_spread", "at most this far", 0.001, |share, r| {
        jumps(differs_by(share), r)
    }),
    at_most("growth.jump_spread", "from the middle one", 0.001, |share, r| {
        jumps(differs_by(-share), r)
    }),
    at_most("growth.jump_round_hours", "at most this long before", MINUTE, |hours, r| {
        let mut last = by_share(-0.1);
        last[0].0 = 120.0 - hours;
        jumps(last, r)
    }),
    at_most("growth.jump_hours", "over at most this time", MINUTE, |hours, r| {
        jumps(DAY_4.map(|g| (96.0 + hours, g * 0.9)), r)
    }),
];

#[test]
fn each_limit_of_a_jump_on_it_before_and_after() {
    check(LIMITS);
}

/// A scale that shows tens of grams adds its step, as a share of the pup, and no more.
#[test]
fn a_coarse_scale_allows_its_step_and_no_more() {
    let in_tens = |last: [f64; 4]| {
        let mut known = weighed(last.map(|g| (120.0, g)));
        for weighing in known.pups.iter_mut().flat_map(|pup| &mut pup.weighings) {
            weighing.weight_g = (weighing.weight_g / 10.0).round() * 10.0;
        }
        let found = litter_figures(&known, born_at() + Duration::days(8), &Rules::standard());
        assert!(found.pups.iter().all(|pup| pup.scale_step_g == 10.0));
        found.scale_jump.is_some()
    };
    assert!(in_tens([450.0, 490.0, 520.0, 560.0]), "each a tenth less, to the nearest ten");
    assert!(!in_tens([500.0, 490.0, 520.0, 560.0]), "one that lost nothing is no scale's");
}

fn loud(growth: &LitterGrowth) -> Vec<(CautionCode, Level)> {
    let rules = Rules::standard();
    let mut found: Vec<_> = growth
        .pups
        .iter()
        .flat_map(|pup| {
            let risk = growth.risks.iter().find(|risk| risk.dog_id == pup.dog_id);
            alarms::growth::of_pup(pup, risk, growth.as_of, &rules)
        })
        .collect();
    found.extend(alarms::growth::of_litter(growth, &rules));
    let act = found.iter().filter(|one| one.caution.level >= Level::Act);
    act.map(|one| (one.caution.code, one.caution.level)).collect()
}

fn at_once(last: [(f64, f64); 4]) -> LitterGrowth {
    let now = born_at() + Duration::hours(121);
    litter_figures(&weighed(last), now, &Rules::standard())
}

/// One call for the litter: weigh them again; no pup rings for itself.
#[test]
fn a_round_that_is_off_calls_once_for_the_litter() {
    assert_eq!(loud(&at_once(by_share(-0.1))), [(CautionCode::GrowthScaleJump, Level::Act)]);
    // Sixty grams each, of a scale that was not zeroed.
    let not_zeroed = DAY_4.map(|g| (120.0, g - 60.0));
    assert_eq!(loud(&at_once(not_zeroed)), [(CautionCode::GrowthScaleJump, Level::Act)]);
    assert_eq!(loud(&at_once(by_share(0.25))), [], "heavier: pointed out");
    assert!(at_once(by_share(0.25)).scale_jump.is_some());
}

/// Pups that lose by different shares have lost: each of them calls, and so does the litter.
#[test]
fn a_litter_without_milk_is_not_the_scales() {
    let unlike = [-0.07, -0.14, -0.09, -0.12];
    let last = std::array::from_fn(|n| (120.0, DAY_4[n] * (1.0 + unlike[n])));
    let growth = at_once(last);
    assert_eq!(growth.scale_jump, None);
    let codes = loud(&growth);
    assert!(codes.iter().filter(|(code, _)| *code == CautionCode::GrowthLosing).count() == 4);
    assert!(codes.contains(&(CautionCode::GrowthLitterLosing, Level::Act)), "{codes:?}");
}

/// One pup that fails among others that gain, two pups alone, and a pup left out of the round are no jump.
#[test]
fn fewer_than_all_are_no_jump() {
    let mut one = by_share(0.06);
    one[2].1 = DAY_4[2] * 0.88;
    let growth = at_once(one);
    assert_eq!(growth.scale_jump, None);
    assert!(loud(&growth).iter().any(|(code, _)| *code == CautionCode::GrowthLosing));
    let rules = Rules::standard();
    let now = born_at() + Duration::hours(121);
    let of = |pups: usize| {
        let mut few = weighed(by_share(-0.1));
        few.pups.truncate(pups);
        litter_figures(&few, now, &rules).scale_jump.is_some()
    };
    assert_eq!([of(2), of(3), of(4)], [false, true, true]);
    let mut left_out = weighed(by_share(-0.1));
    left_out.pups[0].weighings.pop();
    assert_eq!(litter_figures(&left_out, now, &rules).scale_jump, None);
}

/// On their first day all may lose: nothing is said of the scale.
#[test]
fn the_first_day_is_left_alone() {
    let rules = Rules::standard();
    let lost = |from: i64| {
        let pups = (1..=3)
            .map(|n| {
                let g = 400.0 + 20.0 * n as f64;
                pup(n, &[(from, g), (from + 22, g * 0.9)])
            })
            .collect();
        let now = born_at() + Duration::hours(from + 23);
        litter_figures(&litter(pups), now, &rules).scale_jump.is_some()
    };
    assert_eq!([lost(0), lost(23), lost(24), lost(25)], [false, false, true, true]);
}

/// An ounce is a twentieth of a pup of 567 g: two steps lost may be the scale's, three are the pup's; by a scale of a
/// gram the loss of two ounces calls.
#[test]
fn an_ounce_is_not_a_loss_where_the_scale_has_no_less() {
    const OUNCE_G: f64 = 28.349_523_125;
    let level = |steps: f64, step_g: f64| {
        // In ounces as the scale counts them, written in whole grams.
        let shown = |ounces: f64| (ounces * OUNCE_G).round();
        let one = |number: u128| {
            let first = if number == 1 { 17.0 } else { 17.0 + number as f64 };
            let mut ounces: Vec<f64> = (0..4).map(|day| first + f64::from(day)).collect();
            ounces.push(if number == 1 { ounces[3] - steps } else { ounces[3] + 1.0 });
            let fine = if step_g < OUNCE_G && number > 1 { number as f64 } else { 0.0 };
            let weights: Vec<(i64, f64)> =
                (1..).zip(&ounces).map(|(day, it)| (24 * day, shown(*it) + fine)).collect();
            pup(number, &weights)
        };
        let growth = litter_figures(
            &litter((1..=5).map(one).collect()),
            born_at() + Duration::hours(121),
            &Rules::standard(),
        );
        let of_first = &growth.pups[0];
        let found = alarms::growth::of_pup(of_first, None, growth.as_of, &Rules::standard());
        let change = [CautionCode::GrowthLosing, CautionCode::GrowthStandstill];
        let change = found.iter().filter(|one| change.contains(&one.caution.code));
        (of_first.scale_step_g, change.map(|one| one.caution.level).max())
    };
    let ounces = [0.0, 1.0, 2.0, 3.0].map(|steps| level(steps, OUNCE_G));
    assert!(ounces.iter().all(|(step_g, _)| (step_g - OUNCE_G).abs() < 1e-9), "{ounces:?}");
    use Level::{Act, Note};
    let levels = ounces.map(|(_, level)| level);
    assert_eq!(levels, [Some(Note), Some(Note), Some(Note), Some(Act)]);
    // The same weights of the pup beside mates whose weights say that the scale shows grams.
    let grams = [1.0, 2.0].map(|steps| level(steps, 1.0));
    assert!(grams.iter().all(|(step_g, _)| *step_g == 1.0), "{grams:?}");
    assert_eq!(grams.map(|(_, level)| level), [Some(Note), Some(Act)]);
}
