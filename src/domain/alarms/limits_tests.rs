//! The limits by which the dam, a newborn and a growing pup call.

use super::record::{NewbornFacts, PupCheckFact, RevivalFact};
use super::{Finding, dam, growth, health, newborn};
use crate::advice::{Caution, CautionCode, Level};
use crate::call_signs::PupSign;
use crate::dam_after_birth::{DamAfterBirth, DamObservation, DamSign, GlandState};
use crate::feeding::FeedTaken;
use crate::growth::summary::LitterPosition;
use crate::growth::{GrowthLitter, GrowthPup, PupGrowth, Weighing, litter_growth};
use crate::limits_tests::{Limit, MINUTE, at_least, at_most, check, less_than, minutes, more_than};
use crate::moment::Moment;
use crate::rules::Rules;
use crate::vital_signs::pup_temperature;
use crate::whelping::{DischargeColour, NewbornSigns};
use CautionCode::*;
use Level::{Act, Emergency, Note};
use chrono::{DateTime, Duration, Utc};
use uuid::Uuid;

pub(super) fn birth() -> DateTime<Utc> {
    "2026-03-01T06:00:00Z".parse().unwrap()
}

/// So many hours after the birth.
pub(super) fn at(hours: f64) -> DateTime<Utc> {
    birth() + Duration::minutes(minutes(hours))
}

pub(super) fn said(found: &[Finding], code: CautionCode) -> Option<Level> {
    found.iter().filter(|one| one.caution.code == code).map(|one| one.caution.level).max()
}

pub(super) fn seen(hours: f64) -> DamObservation {
    DamObservation::at(at(hours))
}

pub(super) fn of_dam(observations: Vec<DamObservation>, hours: f64, rules: &Rules) -> Vec<Finding> {
    let dam = DamAfterBirth {
        last_pup_at: birth(),
        pups: 7,
        first_litter: Some(false),
        placentas_missing: Some(0),
        observations,
    };
    dam::findings(&dam, at(hours), rules)
}

pub(super) fn warm(hours: f64, temperature_c: f64) -> DamObservation {
    DamObservation { temperature_c: Some(temperature_c), ..seen(hours) }
}

pub(super) fn signed(hours: f64, sign: DamSign) -> DamObservation {
    DamObservation { signs: vec![sign], ..seen(hours) }
}

pub(super) fn discharging(hours: f64, colour: DischargeColour) -> DamObservation {
    DamObservation { discharge: Some(colour), ..seen(hours) }
}

/// What is found of her fever at a temperature on day 3.
pub(super) fn fever(temperature_c: f64, rules: &Rules) -> Option<Level> {
    said(&of_dam(vec![warm(72.0, temperature_c)], 72.0, rules), DamFever)
}

pub(super) fn refuses(hours: f64, rules: &Rules) -> Option<Level> {
    let eats = |hours, eats| DamObservation { eats: Some(eats), ..seen(hours) };
    said(&of_dam(vec![eats(10.0, false), eats(hours, false)], hours, rules), DamNotEating)
}

pub(super) fn newborn_facts() -> NewbornFacts {
    NewbornFacts {
        dog_id: Uuid::from_u128(1),
        label: "red".into(),
        born_at: birth(),
        present: true,
        vitality: None,
        vitality_minutes: 5,
        revived: Vec::new(),
        temperatures: Vec::new(),
        checks: Vec::new(),
        feeds: Vec::new(),
    }
}

pub(super) fn of_newborn(pup: &NewbornFacts, hours: f64, rules: &Rules) -> Vec<Finding> {
    newborn::findings(pup, true, at(hours), rules)
}

/// What its temperatures, each at hours of age, call for.
pub(super) fn warmth(readings: &[(f64, f64)], hours: f64, rules: &Rules) -> Option<Level> {
    let temperatures = readings.iter().map(|(hours, t)| (at(*hours), *t)).collect();
    let pup = NewbornFacts { temperatures, ..newborn_facts() };
    said(&of_newborn(&pup, hours, rules), NewbornCold)
}

pub(super) fn judged(
    temperature_c: f64,
    age_days: i64,
    rules: &Rules,
) -> Option<(CautionCode, Level)> {
    let warmth = pup_temperature(temperature_c, age_days, rules).unwrap();
    warmth.map(|warmth| (warmth.code, warmth.level))
}

pub(super) fn weak(hours: f64, rules: &Rules) -> Option<Level> {
    let limp = serde_json::json!({ "heart_per_min": 100, "breath_per_min": 2, "reflex": "absent", "motility": "flaccid", "gums": "blue" });
    let vitality: NewbornSigns = serde_json::from_value(limp).unwrap();
    let pup = NewbornFacts { vitality: Some(vitality), ..newborn_facts() };
    said(&of_newborn(&pup, hours, rules), NewbornWeak)
}

pub(super) fn revived(at_hours: f64, hours: f64, rules: &Rules) -> Option<Level> {
    let revived = vec![RevivalFact { at: at(at_hours), breathed: Some(false) }];
    said(&of_newborn(&NewbornFacts { revived, ..newborn_facts() }, hours, rules), NewbornWeak)
}

pub(super) fn unwell(signs: &[PupSign], seen_at: f64, hours: f64, rules: &Rules) -> Vec<Finding> {
    let check = PupCheckFact { at: at(seen_at), signs: signs.to_vec(), nurses: None, exam: None };
    of_newborn(&NewbornFacts { checks: vec![check], ..newborn_facts() }, hours, rules)
}

/// Of these signs the first so many.
pub(super) fn together(signs: f64, day: f64, rules: &Rules) -> bool {
    let all = [PupSign::Crying, PupSign::Diarrhoea, PupSign::Limp, PupSign::Bloated, PupSign::Weak];
    let found = unwell(&all[..signs as usize], day * 24.0, day * 24.0, rules);
    found.iter().any(|one| one.caution.what.contains("several signs"))
}

/// A pup on a scale of a gram, with weights at hours of age, looked at once it is so many hours old.
pub(super) fn scaled(weights: &[(f64, f64)], hours: f64, rules: &Rules) -> PupGrowth {
    let weighing = |(hours, weight_g): &(f64, f64)| Weighing {
        id: None,
        measured_at: at(*hours),
        weight_g: *weight_g,
        doubtful: false,
    };
    let pup = GrowthPup {
        dog_id: Uuid::from_u128(1),
        label: "red".into(),
        born_at: birth(),
        birth_weight_g: None,
        is_female: None,
        left_at: None,
        weighings: weights.iter().map(weighing).collect(),
    };
    let litter = GrowthLitter {
        litter_id: Uuid::from_u128(2),
        breed: Some("Labrador Retriever".to_owned()),
        adult_weight_g: Some(29_000.0),
        dam_weight_g: None,
        time_zone: chrono_tz::UTC,
        pups: vec![pup],
    };
    let mut growth = litter_growth(&litter, at(hours), rules).pups.remove(0);
    growth.scale_step_g = 1.0;
    growth
}

pub(super) fn of_scale(pup: &PupGrowth, hours: f64, rules: &Rules) -> Vec<Finding> {
    growth::of_pup(pup, None, at(hours), rules)
}

/// A pup of 500 g at birth that lost a share of it by an age in hours, looked at later.
pub(super) fn lost(share: f64, weighed: f64, hours: f64, rules: &Rules) -> Option<Caution> {
    let pup = scaled(&[(0.0, 500.0), (weighed, 500.0 - 500.0 * share)], hours, rules);
    let found = of_scale(&pup, hours, rules);
    found.into_iter().map(|one| one.caution).find(|one| one.code == GrowthEarlyLoss)
}

/// A pup that grew by a share in the two days before an age in days, looked at then.
pub(super) fn changed(set: impl Fn(&mut PupGrowth), day: f64, rules: &Rules) -> Vec<Finding> {
    let hours = day * 24.0;
    let weights = [(0.0, 400.0), (hours - 48.0, 600.0), (hours - 24.0, 630.0), (hours, 660.0)];
    let mut pup = scaled(&weights, hours, rules);
    set(&mut pup);
    of_scale(&pup, hours, rules)
}

/// It lost a seventh since yesterday, which no scale feigns.
pub(super) fn lost_weight(pup: &mut PupGrowth) {
    if let Some(change) = &mut pup.since_yesterday {
        (change.gain_g, change.gain_fraction_per_day) = (-0.15 * change.from.weight_g, -0.15);
        change.to.weight_g = 0.85 * change.from.weight_g;
    }
}

/// Whether it is said that the birth weight is not doubled, or not tripled, by an age in days.
pub(super) fn multiplied(multiple: f64, days: f64, rules: &Rules) -> bool {
    let hours = days * 24.0;
    let pup = scaled(&[(0.0, 400.0), (hours, 400.0 * multiple)], hours, rules);
    said(&of_scale(&pup, hours, rules), GrowthNotDoubled).is_some()
}

pub(super) fn unweighed(weighed: f64, hours: f64, rules: &Rules) -> bool {
    let pup = scaled(&[(0.0, 400.0), (weighed, 440.0)], hours, rules);
    said(&of_scale(&pup, hours, rules), GrowthUnweighed).is_some()
}

/// A pup of 200 g at birth, which is very low for its breed, and gains.
pub(super) fn tiny(hours: f64, rules: &Rules) -> Option<Level> {
    let pup = scaled(&[(0.0, 200.0), (hours, 260.0)], hours, rules);
    said(&of_scale(&pup, hours, rules), GrowthBirthWeight)
}

pub(super) fn history(days: f64, rules: &Rules) -> bool {
    let mut moment = Moment::by_standard_rules(at(0.0), chrono_tz::UTC);
    moment.rules = rules.clone();
    let given = moment.today() - Duration::days(days as i64);
    let early = Caution::new(HealthNotCounted, Act, "early", "why", "source");
    !health::findings(&[early.with("given_on", given.to_string())], &moment).is_empty()
}

/// A pup in its first week that had so many feeds, four hours apart, to hour 40.
pub(super) fn by_hand(feeds: i32, hours: f64, rules: &Rules) -> Option<Level> {
    let weighed = [Weighing { id: None, measured_at: at(0.0), weight_g: 400.0, doubtful: false }];
    let fed = |n: i32| FeedTaken { at: at(40.0 - 4.0 * f64::from(n)), volume_ml: 12.0 };
    let pup = NewbornFacts { feeds: (0..feeds).map(fed).collect(), ..newborn_facts() };
    said(&super::feeding::findings(&pup, &weighed, at(hours), rules), FeedingLate)
}

/// A minute, in days.
const MINUTE_OF_DAY: f64 = 1.0 / 1440.0;

const DAY_S: &str = "up to which";

pub(crate) const LIMITS: &[Limit] = &[
    // The dam.
    at_least("dam_after_birth.fever_c", "fever of a dam", 0.1, |t, r| fever(t, r) >= Some(Act)),
    at_least("dam_after_birth.very_high_c", "from this", 0.1, |t, r| {
        fever(t, r) == Some(Emergency)
    }),
    more_than("dam_after_birth.raised_c", "above this", 0.1, |t, r| fever(t, r).is_some()),
    at_most("dam_after_birth.first_days_hours", "slight rise is usual", MINUTE, |h, r| {
        said(&of_dam(vec![warm(h, 39.4)], h, r), DamFever).is_none()
    }),
    less_than("dam_after_birth.low_c", "below this", 0.1, |t, r| {
        said(&of_dam(vec![warm(72.0, t)], 72.0, r), DamCold).is_some()
    }),
    more_than("dam_after_birth.green_hours", "longer than this", MINUTE, |h, r| {
        let green = discharging(h, DischargeColour::GreenBlack);
        said(&of_dam(vec![green], h, r), DamGreenDischarge).is_some()
    }),
    more_than("dam_after_birth.lochia_days", "by this day", 1.0, |day, r| {
        let red = discharging(day * 24.0, DischargeColour::RedBrown);
        said(&of_dam(vec![red], day * 24.0, r), DamDischargeLong).is_some()
    }),
    more_than("dam_after_birth.lochia_long_days", "beyond this day", 1.0, |day, r| {
        let red = discharging(day * 24.0, DischargeColour::RedBrown);
        said(&of_dam(vec![red], day * 24.0, r), DamDischargeLong) == Some(Act)
    }),
    at_most(
        "dam_after_birth.discharge_looked_at_hours",
        "after it was last seen",
        MINUTE,
        |h, r| {
            let seen_at = 36.0 * 24.0;
            let red = discharging(seen_at, DischargeColour::RedBrown);
            said(&of_dam(vec![red], seen_at + h, r), DamDischargeLong).is_some()
        },
    ),
    less_than("dam_after_birth.low_calcium_to_day", "before this day", MINUTE_OF_DAY, |day, r| {
        let found = of_dam(vec![signed(day * 24.0, DamSign::Panting)], day * 24.0, r);
        found.iter().any(|one| one.caution.why.contains("the usual time for it"))
    }),
    at_least("dam_after_birth.appetite_hours", "for this long", MINUTE, |h, r| {
        refuses(10.0 + h, r) == Some(Act)
    }),
    at_most("dam_after_birth.appetite_hours", "not eaten for this", MINUTE, |h, r| {
        // A refusal that nobody looked at again is told for twice as long.
        let refusal = DamObservation { eats: Some(false), ..seen(10.0) };
        let now = 10.0 + 2.0 * h;
        said(&of_dam(vec![refusal], now, r), DamNotEating).is_some()
    }),
    at_most("dam_after_birth.sign_hours", "how long a sign", MINUTE, |h, r| {
        !of_dam(vec![signed(72.0, DamSign::Tremor)], 72.0 + h, r).is_empty()
    }),
    at_most("dam_after_birth.mastitis_hours", "how long a look", MINUTE, |h, r| {
        let hot = DamObservation { glands: Some(GlandState::HotPainfulHard), ..seen(72.0) };
        said(&of_dam(vec![hot], 72.0 + h, r), DamGlands).is_some()
    }),
    // A newborn.
    less_than("newborn.cold_emergency_c", "below this", 0.1, |t, r| {
        judged(t, 3, r) == Some((NewbornCold, Emergency))
    }),
    less_than("newborn.cold_day_1_c", "below this", 0.1, |t, r| {
        judged(t, 0, r) >= Some((NewbornCold, Act))
    }),
    less_than("newborn.cold_week_1_c", "below this", 0.1, |t, r| {
        judged(t, 3, r) == Some((NewbornCold, Act))
    }),
    less_than("newborn.cold_week_2_c", "below this", 0.1, |t, r| {
        judged(t, 10, r) == Some((NewbornCold, Act))
    }),
    less_than("newborn.cold_week_3_c", "below this", 0.1, |t, r| {
        judged(t, 20, r) == Some((NewbornCold, Act))
    }),
    less_than("newborn.cold_later_c", "below this", 0.1, |t, r| {
        judged(t, 28, r) == Some((NewbornCold, Act))
    }),
    less_than("newborn.cool_c", "below this", 0.1, |t, r| {
        judged(t, 3, r) == Some((NewbornCold, Note))
    }),
    less_than("newborn.cool_week_2_c", "below this", 0.1, |t, r| {
        judged(t, 10, r) == Some((NewbornCold, Note))
    }),
    at_least("newborn.hot_young_c", "from this", 0.1, |t, r| {
        judged(t, 3, r) == Some((NewbornHot, Act))
    }),
    more_than("newborn.warm_later_c", "above this", 0.1, |t, r| {
        judged(t, 50, r) == Some((NewbornHot, Note))
    }),
    at_least("newborn.fever_c", "fever of a pup", 0.1, |t, r| {
        judged(t, 20, r) == Some((NewbornHot, Act))
    }),
    at_least("newborn.hot_emergency_c", "from this", 0.1, |t, r| {
        judged(t, 20, r) == Some((NewbornHot, Emergency))
    }),
    less_than("newborn.reading_hours", "how long a temperature", MINUTE, |h, r| {
        warmth(&[(10.0, 33.0)], 10.0 + h, r).is_some()
    }),
    less_than("newborn.reading_hours", "or a sign", MINUTE, |h, r| {
        !unwell(&[PupSign::Limp], 60.0, 60.0 + h, r).is_empty()
    }),
    less_than("newborn.warmed_hours", "how long", MINUTE, |h, r| {
        warmth(&[(10.0, 33.0), (10.0 + h, 37.0)], 10.0 + h, r).is_some()
    }),
    less_than("newborn.vitality_watched_hours", "how long after birth", MINUTE, |h, r| {
        weak(h, r).is_some()
    }),
    less_than("newborn.vitality_watched_hours", "a revival that failed", MINUTE, |h, r| {
        revived(0.5, h, r).is_some()
    }),
    less_than("newborn.revival_now_hours", "how long", MINUTE, |h, r| {
        revived(1.0, 1.0 + h, r) == Some(Emergency)
    }),
    at_least("newborn.unfed_hours", "by this time", MINUTE, |h, r| {
        said(&of_newborn(&newborn_facts(), h, r), NewbornUnfed) == Some(Act)
    }),
    less_than("newborn.unfed_asked_hours", "how long after birth", MINUTE, |h, r| {
        said(&of_newborn(&newborn_facts(), h, r), NewbornUnfed).is_some()
    }),
    less_than("newborn.first_milk_ends_hours", "within this time", MINUTE, |h, r| {
        newborn::first_milk(&[newborn_facts()], false, at(h), r).is_some()
    }),
    at_least("newborn.signs_together", "so many signs", 1.0, |n, r| together(n, 5.0, r)),
    at_most("newborn.signs_to_day", "age to which", 1.0, |day, r| together(3.0, day, r)),
    // A growing pup.
    at_most("growth.early_growth_risk", "at or below this", 0.001, |share, r| {
        let found = changed(|pup| pup.early_growth_fraction = Some(share), 6.0, r);
        said(&found, GrowthEarly).is_some()
    }),
    at_least("growth.early_loss", "acted on when reached", 0.002, |share, r| {
        lost(share, 20.0, 20.0, r).is_some_and(|one| one.level == Act)
    }),
    at_least("growth.must_gain_by_hours", "by this age", MINUTE, |h, r| {
        lost(0.12, 20.0, h, r).is_some_and(|one| one.level == Emergency)
    }),
    at_most("growth.first_loss_hours", "within this time", MINUTE, |h, r| {
        lost(0.02, h, h, r).is_some_and(|one| one.what.contains("may be normal"))
    }),
    at_most("growth.early_loss_hours", "the time within which", MINUTE, |h, r| {
        lost(0.02, h, h, r).is_some()
    }),
    at_least("growth.below_litter_mean", "this far below", 0.001, |share, r| {
        let place = |pup: &mut PupGrowth| {
            let (rank, of, z) = (2, 2, None);
            let above_mean_fraction = -share;
            pup.position = Some(LitterPosition { rank, of, above_mean_fraction, z });
        };
        said(&changed(place, 6.0, r), GrowthBelowLitter).is_some()
    }),
    more_than("growth.doubled_late_day", "latest usual age", MINUTE_OF_DAY, |day, r| {
        multiplied(1.9, day, r)
    }),
    more_than("growth.tripled_by_day", "by this age", MINUTE_OF_DAY, |day, r| {
        multiplied(2.9, day, r)
    }),
    at_most("growth.tripled_by_day", "usually tripled", MINUTE_OF_DAY, |day, r| {
        // It is said for a week.
        multiplied(2.9, day + 7.0, r)
    }),
    at_most("growth.standstill", "at or below this", 0.001, |gain, r| {
        let found = changed(
            |pup| {
                if let Some(change) = &mut pup.since_yesterday {
                    change.gain_fraction_per_day = gain;
                }
            },
            6.0,
            r,
        );
        said(&found, GrowthStandstill).is_some()
    }),
    at_least("growth.unweighed_hours", "for this long", MINUTE, |h, r| {
        unweighed(48.0, 48.0 + h, r)
    }),
    at_most("growth.nursing_days", DAY_S, MINUTE_OF_DAY, |day, r| {
        said(&changed(lost_weight, day, r), GrowthLosing) == Some(Act)
    }),
    at_most("growth.nursing_days", DAY_S, 1.0, |day, r| {
        lost(0.12, 20.0, day * 24.0, r).is_some_and(|one| one.level == Emergency)
    }),
    at_most("growth.nursing_days", DAY_S, MINUTE_OF_DAY, |day, r| {
        let found = changed(|pup| pup.early_growth_fraction = Some(-0.2), day, r);
        said(&found, GrowthEarly).is_some()
    }),
    at_most("growth.nursing_days", DAY_S, 1.0, |day, r| tiny(day * 24.0, r).is_some()),
    at_most("growth.nursing_days", DAY_S, 1.0, |day, r| {
        unweighed(day * 24.0 - 50.0, day * 24.0, r)
    }),
    less_than("growth.birth_weight_hours", "how long", MINUTE, |h, r| tiny(h, r) == Some(Act)),
    // A pup that is fed by hand, and what was given.
    at_least("feeding.by_hand_feeds", "so many feeds", 1.0, |feeds, r| {
        by_hand(feeds as i32, 46.0, r).is_some()
    }),
    at_most("schedule.cautioned_days", "how long", 1.0, history),
];

#[test]
fn each_limit_of_dam_and_pups_on_it_before_and_after() {
    check(LIMITS);
}
