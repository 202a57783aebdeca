//! Cases of newborn and growing pups beside their limits.

use super::limits_tests::*;
use super::record::{NewbornFacts, PupCheckFact, RevivalFact};
use super::{growth, newborn};
use crate::advice::{CautionCode, Level};
use crate::call_signs::PupSign;
use crate::feeding::FeedTaken;
use crate::growth::summary::LitterPosition;
use crate::growth::{PupGrowth, PupRisk, RiskLevel};
use crate::limits_tests::MINUTE;
use crate::rules::Rules;
use CautionCode::*;
use Level::{Act, Note};
use catalogue::Text;
use uuid::Uuid;

/// A tenth of a birth weight that rounding alone can feign calls only once it is more than rounding.
#[test]
fn a_loss_is_held_against_the_step_of_the_scale() {
    let rules = Rules::standard();
    let level = |weight_g: f64, step_g: f64| {
        let mut pup = scaled(&[(0.0, 500.0), (20.0, weight_g)], 20.0, &rules);
        pup.scale_step_g = step_g;
        said(&of_scale(&pup, 20.0, &rules), GrowthEarlyLoss)
    };
    // 5 g of 500 are a hundredth: no more than a fine scale.
    assert_eq!(
        [level(451.0, 5.0), level(450.0, 5.0), level(449.0, 5.0)],
        [Some(Note), Some(Act), Some(Act)]
    );
    // 10 g are a fiftieth: the limit lies at 440 g.
    assert_eq!([level(441.0, 10.0), level(440.0, 10.0)], [Some(Note), Some(Act)]);
}

/// First milk is asked about of pups that are here and born, by the last of them.
#[test]
fn first_milk_is_asked_about_of_pups_that_are_here() {
    let rules = Rules::standard();
    let asked = |pups: &[NewbornFacts], hours: f64| {
        newborn::first_milk(pups, false, at(hours), &rules).map(|found| found.since)
    };
    let born = |hours: f64| NewbornFacts { born_at: at(hours), ..newborn_facts() };
    assert_eq!(asked(&[born(0.0)], 1.0), Some(at(0.0)));
    assert_eq!(asked(&[NewbornFacts { present: false, ..born(0.0) }], 1.0), None);
    assert_eq!(asked(&[born(2.0)], 1.0), None, "not born yet");
    assert_eq!(asked(&[born(1.0)], 1.0), Some(at(1.0)));
    assert_eq!(asked(&[born(0.0), born(3.0)], 4.0), Some(at(3.0)));
    assert_eq!(newborn::first_milk(&[born(0.0)], true, at(1.0), &rules), None, "they are fed");
}

/// A feed that is an hour late is said then, until a day after the last one.
#[test]
fn a_late_feed_is_said_of_a_pup_that_lives_by_hand() {
    let rules = Rules::standard();
    let said = |hours| by_hand(4, hours, &rules);
    let late = 40.0 + 4.0 + 1.0;
    assert_eq!([late - MINUTE, late, late + MINUTE].map(said), [None, Some(Act), Some(Act)]);
    let over = 40.0 + 24.0;
    assert_eq!([over, over + MINUTE].map(said), [Some(Act), None], "its weights tell");
}

/// At its birth weight a pup has lost nothing; a gram more or less is another word.
#[test]
fn nothing_lost_is_no_loss() {
    let rules = Rules::standard();
    for hours in [20.0, 24.0, 40.0, 48.0] {
        assert_eq!(lost(0.0, hours, hours, &rules), None, "{hours}");
        assert_eq!(lost(-0.01, hours, hours, &rules), None, "{hours}");
        assert!(lost(0.01, hours, hours, &rules).is_some(), "{hours}");
    }
    let source = |share| lost(share, 20.0, 20.0, &rules).unwrap().source;
    assert_eq!(source(0.02), rules.get("growth.early_loss_hours").source);
    assert_eq!(source(0.2), rules.get("growth.early_loss").source);
    // A pup of 440 g of 500 that gains since yesterday is left to its gain.
    let level = |second: f64| {
        let pup = scaled(&[(0.0, 500.0), (20.0, 440.0), (44.0, second)], 44.0, &rules);
        said(&of_scale(&pup, 44.0, &rules), GrowthEarlyLoss)
    };
    assert_eq!([439.0, 440.0, 441.0].map(level), [Some(Act), Some(Act), Some(Note)]);
}

/// Of one day: lost is less than before, stood still is as much, and both call only beyond noise.
#[test]
fn a_loss_and_a_standstill_have_each_their_word() {
    let rules = Rules::standard();
    let by = |gain_g: f64| {
        let set = |pup: &mut PupGrowth| {
            if let Some(change) = &mut pup.since_yesterday {
                change.gain_g = gain_g;
                change.gain_fraction_per_day = gain_g / change.from.weight_g;
                change.to.weight_g = change.from.weight_g + gain_g;
            }
        };
        let found = changed(set, 6.0, &rules);
        (said(&found, GrowthLosing), said(&found, GrowthStandstill))
    };
    assert_eq!(by(-1.0), (Some(Note), None));
    assert_eq!(by(0.0), (None, Some(Note)));
    assert_eq!(by(3.0), (None, Some(Note)), "half a per cent of 630 g");
    assert_eq!(by(4.0), (None, None));
    assert_eq!(by(-90.0), (Some(Act), None));
    // Two days of standing still call where more was expected than noise.
    let risk = |expected| PupRisk {
        dog_id: Uuid::from_u128(1),
        probability: 0.3,
        level: RiskLevel::None,
        gain_fraction_per_day: Some(0.0),
        expected_fraction_per_day: Some(expected),
        why: Text::default(),
    };
    let stands = |two_days: f64, expected: f64| {
        let weights = [(96.0, 700.0 - two_days), (120.0, 700.0), (144.0, 700.0)];
        let pup = scaled(&[&[(0.0, 400.0)], &weights[..]].concat(), 144.0, &rules);
        let found = growth::of_pup(&pup, Some(&risk(expected)), at(144.0), &rules);
        said(&found, GrowthStandstill)
    };
    assert_eq!(stands(0.0, 0.06), Some(Act));
    assert_eq!(stands(0.0, 0.0), Some(Note), "nothing was expected of it");
    assert_eq!(stands(60.0, 0.06), Some(Note), "it gained the day before");
}

/// The warning is said where less is gained than expected, as loudly as it is.
#[test]
fn a_warning_is_said_of_a_pup_behind_what_was_expected() {
    let rules = Rules::standard();
    let pup = scaled(&[(0.0, 400.0), (24.0, 420.0), (48.0, 440.0)], 48.0, &rules);
    let level = |gain, level| {
        let risk = PupRisk {
            dog_id: Uuid::from_u128(1),
            probability: 0.6,
            level,
            gain_fraction_per_day: Some(gain),
            expected_fraction_per_day: Some(0.06),
            why: Text::default(),
        };
        said(&growth::of_pup(&pup, Some(&risk), at(48.0), &rules), GrowthFailing)
    };
    assert_eq!([0.05, 0.06, 0.07].map(|gain| level(gain, RiskLevel::Act)), [Some(Act), None, None]);
    assert_eq!(level(0.05, RiskLevel::Watch), Some(Note));
    assert_eq!(level(0.05, RiskLevel::None), None);
}

/// Too little early growth calls until it is above its birth weight and gains.
#[test]
fn too_little_early_growth_calls_until_it_gains() {
    let rules = Rules::standard();
    let level = |weight_g: f64, gain: f64| {
        let set = |pup: &mut PupGrowth| {
            pup.early_growth_fraction = Some(-0.1);
            if let Some(last) = &mut pup.last {
                last.weight_g = weight_g;
            }
            if let Some(change) = &mut pup.since_yesterday {
                change.gain_fraction_per_day = gain;
            }
        };
        said(&changed(set, 6.0, &rules), GrowthEarly)
    };
    // Born at 400 g; a gain of half a per cent a day is none.
    assert_eq!([399.0, 400.0, 401.0].map(|g| level(g, 0.05)), [Some(Act), Some(Act), Some(Note)]);
    assert_eq!(
        [0.004, 0.005, 0.006].map(|gain| level(600.0, gain)),
        [Some(Act), Some(Act), Some(Note)]
    );
}

/// Far below its litter: a call of the first week, once a day is over, of one that gains less than half.
#[test]
fn far_below_its_litter_calls_in_the_first_week() {
    let rules = Rules::standard();
    let level = |gain: f64, weighed: f64, hours: f64| {
        let mut pup = scaled(&[(0.0, 400.0), (weighed, 420.0)], hours, &rules);
        let (rank, of, z) = (2, 2, None);
        pup.position = Some(LitterPosition { rank, of, above_mean_fraction: -0.3, z });
        if let Some(change) = &mut pup.since_yesterday {
            change.gain_fraction_per_day = gain;
        }
        let risk = PupRisk {
            dog_id: Uuid::from_u128(1),
            probability: 0.1,
            level: RiskLevel::None,
            gain_fraction_per_day: Some(gain),
            expected_fraction_per_day: Some(0.06),
            why: Text::default(),
        };
        said(&growth::of_pup(&pup, Some(&risk), at(hours), &rules), GrowthBelowLitter)
    };
    // Half of 6 % a day, less what one change over three days can err: sqrt(2 * 0.015² + 3 * 0.01²) / 3.
    assert_eq!([0.0206, 0.0207].map(|gain| level(gain, 72.0, 72.0)), [Some(Act), Some(Note)]);
    assert_eq!([24.0, 24.0 + MINUTE].map(|h| level(0.0, h, h)), [Some(Note), Some(Act)]);
    assert_eq!(
        [168.0, 192.0].map(|h| level(0.0, 100.0, h)),
        [Some(Act), Some(Note)],
        "day 7 and 8"
    );
}

/// Two days tell whether it gains, where both lie after the first: one poor day, or one good one, does not.
#[test]
fn far_below_its_litter_is_judged_over_two_days() {
    let rules = Rules::standard();
    let level = |weights: &[(f64, f64)]| {
        let hours = weights.last().map_or(0.0, |(hours, _)| *hours);
        let mut pup = scaled(weights, hours, &rules);
        let (rank, of, z) = (2, 2, None);
        pup.position = Some(LitterPosition { rank, of, above_mean_fraction: -0.3, z });
        let risk = PupRisk {
            dog_id: Uuid::from_u128(1),
            probability: 0.1,
            level: RiskLevel::None,
            gain_fraction_per_day: None,
            expected_fraction_per_day: Some(0.06),
            why: Text::default(),
        };
        said(&growth::of_pup(&pup, Some(&risk), at(hours), &rules), GrowthBelowLitter)
    };
    // 3 % a day from 24 to 72 hours: 400 to 424.36 g; the day before does not count.
    let ends = |g: f64| level(&[(0.0, 420.0), (24.0, 400.0), (48.0, 418.0), (72.0, g)]);
    assert_eq!([424.0, 424.5, 425.0].map(ends), [Some(Act), Some(Note), Some(Note)]);
    assert_eq!(
        level(&[(0.0, 420.0), (24.0, 400.0), (48.0, 402.0), (72.0, 418.0)]),
        Some(Act),
        "one good day"
    );
    // Before the end of the first day nothing is compared: the last day alone tells.
    assert_eq!(level(&[(0.0, 380.0), (23.9, 400.0), (47.9, 425.0), (71.9, 426.0)]), Some(Act));
}

/// Twice, or three times, to the gram; and only a weight of the last day tells.
#[test]
fn a_multiple_is_reached_on_it() {
    let rules = Rules::standard();
    let doubled = [1.99, 2.0, 2.01].map(|times| multiplied(times, 13.0, &rules));
    assert_eq!(doubled, [true, false, false]);
    let tripled = [2.99, 3.0, 3.01].map(|times| multiplied(times, 23.0, &rules));
    assert_eq!(tripled, [true, false, false]);
    let fresh = |hours: f64| {
        let weighed = 14.0 * 24.0;
        let pup = scaled(&[(0.0, 400.0), (weighed, 700.0)], weighed + hours, &rules);
        said(&of_scale(&pup, weighed + hours, &rules), GrowthNotDoubled).is_some()
    };
    let minute = 1.0 / 60.0;
    assert_eq!([24.0 - minute, 24.0, 24.0 + minute].map(fresh), [true, true, false]);
}

/// Nothing is asked of a pup that is gone, nor of one that is not born.
#[test]
fn only_pups_that_are_here_are_looked_at() {
    let rules = Rules::standard();
    let cold = |born: f64, present: bool| {
        let temperatures = vec![(at(5.0), 30.0)];
        let pup = NewbornFacts { born_at: at(born), present, temperatures, ..newborn_facts() };
        of_newborn(&pup, 5.0, &rules).is_empty()
    };
    assert!(!cold(0.0, true) && !cold(5.0, true));
    assert!(cold(0.0, false), "it has left");
    assert!(cold(5.0 + MINUTE, true), "it is not born yet");
    let mut gone = scaled(&[(0.0, 500.0), (20.0, 400.0)], 20.0, &rules);
    assert!(!of_scale(&gone, 20.0, &rules).is_empty());
    gone.present = false;
    assert!(of_scale(&gone, 20.0, &rules).is_empty());
}

/// What was taken, seen or done in this minute counts; what is dated later does not.
#[test]
fn what_is_dated_later_does_not_count_yet() {
    let rules = Rules::standard();
    let on = [10.0 - MINUTE, 10.0, 10.0 + MINUTE];
    assert_eq!(on.map(|now| revived(10.0, now, &rules).is_some()), [false, true, true]);
    assert_eq!(on.map(|now| warmth(&[(10.0, 33.0)], now, &rules).is_some()), [false, true, true]);
    let limp = |now| {
        unwell(&[PupSign::Limp], 10.0, now, &rules).iter().any(|f| f.caution.code != NewbornUnfed)
    };
    assert_eq!(on.map(limp), [false, true, true]);
    let fed = |now: f64| {
        let feeds = vec![FeedTaken { at: at(10.0), volume_ml: 4.0 }];
        said(&of_newborn(&NewbornFacts { feeds, ..newborn_facts() }, now, &rules), NewbornUnfed)
    };
    assert_eq!(on.map(fed), [Some(Act), None, None]);
    let sucked = |now: f64| {
        let check =
            PupCheckFact { at: at(10.0), signs: Vec::new(), nurses: Some(true), exam: None };
        let pup = NewbornFacts { checks: vec![check], ..newborn_facts() };
        said(&of_newborn(&pup, now, &rules), NewbornUnfed)
    };
    assert_eq!(on.map(sucked), [Some(Act), None, None]);
    let refused = |now: f64| {
        let check =
            PupCheckFact { at: at(10.0), signs: Vec::new(), nurses: Some(false), exam: None };
        let pup = NewbornFacts { checks: vec![check], ..newborn_facts() };
        said(&newborn::findings(&pup, false, at(now), &rules), NewbornUnfed)
    };
    assert_eq!(on.map(refused), [None, Some(Act), Some(Act)], "where nobody writes feeds down");
    // It breathed, or nobody wrote whether it did.
    for breathed in [Some(true), None] {
        let revived = vec![RevivalFact { at: at(1.0), breathed }];
        let pup = NewbornFacts { revived, ..newborn_facts() };
        assert_eq!(said(&of_newborn(&pup, 1.5, &rules), NewbornWeak), None, "{breathed:?}");
    }
    // A reading of before the birth is another's.
    assert_eq!(warmth(&[(-MINUTE, 33.0)], 1.0, &rules), None);
    assert!(warmth(&[(0.0, 33.0)], 1.0, &rules).is_some());
}

/// A look that found nothing lowers what was seen before it, and only that.
#[test]
fn a_look_that_found_none_lowers_what_was_seen_before() {
    let rules = Rules::standard();
    let level = |well_at: f64, nurses| {
        let look = |hours, signs, nurses| PupCheckFact { at: at(hours), signs, nurses, exam: None };
        let checks = vec![look(60.0, vec![PupSign::Limp], None), look(well_at, Vec::new(), nurses)];
        let found = of_newborn(&NewbornFacts { checks, ..newborn_facts() }, 70.0, &rules);
        let of_sign = found.iter().filter(|one| one.caution.params.contains_key("sign"));
        of_sign.map(|one| one.caution.level).max()
    };
    let open = level(50.0, None);
    assert!(open >= Some(Act));
    assert_eq!([60.0 - MINUTE, 60.0].map(|at| level(at, None)), [open, open]);
    assert!(level(60.0 + MINUTE, None) < open);
    assert_eq!(
        level(65.0, Some(false)),
        open,
        "it refused the teat: that is no look that found it well"
    );
}
