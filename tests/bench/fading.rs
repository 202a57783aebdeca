//! What is seen of pups that decline, and of others, beside their weights: temperatures, whether they suck, signs.
//!
//! None of it is the score's own model. A declining pup has a severity that rises over four days from its onset
//! (the one by which its growth falls, see `decline.rs`); how it shows is by one of three courses, and everything
//! that is seen follows from it, so that signs come together. Thriving pups cry, lie aside and have a loose stool now
//! and then, and in a cold night all of a litter are cool. No study has counted how often; the courses bracket what
//! reviews describe (chilled and limp; gut first; quiet until late).

#![allow(dead_code, reason = "each of those who share them asks for some")]
#![allow(clippy::panic, reason = "an invented record that is none ends the measurement")]

use super::decline::{Curve, DAYS, Decline, Declining, Round, born_at, declining};
use super::dice::Dice;
use super::ranking::{Ranked, ranked};
use chrono::{DateTime, Duration, Utc};
use domain::{
    alarms::{Sights, Watched},
    litter::{ByDog, Core, Health, Nursing, Pregnancy, Pup, Weights, WhelpingWatch},
    moment::Moment,
    newborn::newborn_round,
    pregnancy::DamRecords,
    record::{Birth, Dog, Kept, Litter, PupCheck, Temperature},
};
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::ops::Range;
use uuid::Uuid;

/// How illness shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Course {
    /// Cold first, then limp.
    Chilled,
    /// Diarrhoea and a bloated belly, warm for long.
    Gut,
    /// Nothing until late, but that it sucks less.
    Quiet,
}

/// On the first course (and the first way to grow) the weights of the score were set; the others judge them.
pub const COURSES: [Course; 3] = [Course::Chilled, Course::Gut, Course::Quiet];

/// What a kennel writes down: shares of days with a look at a pup, and with a temperature.
#[derive(Debug, Clone, Copy)]
pub struct Diary {
    pub name: &'static str,
    pub look: f64,
    pub temperature: f64,
}

pub const DIARIES: [Diary; 3] = [
    Diary { name: "all of it", look: 1.0, temperature: 0.9 },
    Diary { name: "half of it", look: 0.6, temperature: 0.4 },
    Diary { name: "little", look: 0.2, temperature: 0.1 },
];

/// How ill a pup is at an age in days, 0 to 1.
fn severity(decline: Option<Decline>, age: f64) -> f64 {
    decline.map_or(0.0, |it| ((age - it.onset) / 4.0).clamp(0.0, 1.0))
}

/// Degrees below its usual temperature.
fn cooled(course: Course, s: f64) -> f64 {
    match course {
        Course::Chilled => 2.0 * s.powf(0.8),
        Course::Gut => 0.6 * s,
        Course::Quiet => 1.2 * s * s,
    }
}

/// The chance that a look finds it not sucking.
fn refuses(course: Course, s: f64) -> f64 {
    let ill = match course {
        Course::Chilled => 0.55 * s,
        Course::Gut => 0.3 * s,
        Course::Quiet => 0.5 * s.powf(1.5),
    };
    (0.06 + ill).min(1.0)
}

/// The chance of each sign at a look.
fn signs(course: Course, s: f64) -> [(&'static str, f64); 5] {
    let [crying, diarrhoea, bloated, weak, limp] = match course {
        Course::Chilled => [0.35 * s * (1.0 - s / 2.0), 0.0, 0.0, 0.3 * s * s, 0.15 * s * s],
        Course::Gut => [0.3 * s, 0.45 * s, 0.3 * s, 0.1 * s * s, 0.05 * s * s],
        Course::Quiet => [0.0, 0.0, 0.05 * s, 0.35 * s * s, 0.1 * s * s],
    };
    [
        ("crying", 0.04 + crying),
        ("diarrhoea", 0.015 + diarrhoea),
        ("bloated", 0.01 + bloated),
        ("weak", 0.004 + weak),
        ("limp", 0.001 + limp),
    ]
}

fn read<R: DeserializeOwned>(body: Value) -> R {
    serde_json::from_value(body.clone()).unwrap_or_else(|error| panic!("{error}: {body}"))
}

fn kept<R: DeserializeOwned>(id: u128, body: Value) -> Kept<R> {
    let (created_at, updated_at) = (born_at(), born_at());
    Kept { id: Uuid::from_u128(id), version: 1, created_at, updated_at, record: read(body) }
}

/// The record of a litter with what was seen of it.
fn recorded(dice: &mut Dice, made: &Declining, course: Course, diary: Diary) -> (Core, Watched) {
    let (litter_id, dam_id) = (Uuid::from_u128(1), Uuid::from_u128(2));
    let cold_nights: Vec<bool> = (0..=DAYS).map(|_| dice.chance(0.1)).collect();
    let (mut temperatures, mut checks, mut pups) = (Vec::new(), Vec::new(), Vec::new());
    let mut row = 1_000;
    for (index, pup) in made.litter.pups.iter().enumerate() {
        let own_c = dice.normal(0.0, 0.25);
        for day in 1..DAYS {
            let at = born_at() + Duration::hours(24 * day + 2);
            let age = day as f64 + 0.1;
            let s = severity(made.declines[index], age);
            row += 2;
            if dice.chance(diary.temperature) {
                let usual = match day {
                    ..7 => 36.2,
                    7..14 => 36.6,
                    _ => 37.1,
                };
                let night = if cold_nights[day as usize] { 0.7 } else { 0.0 };
                let t = usual + own_c + dice.normal(0.0, 0.2) - night - cooled(course, s);
                let t = (t * 10.0).round() / 10.0;
                let body = json!({ "dog_id": pup.dog_id, "measured_at": at, "temperature_c": t });
                temperatures.push(kept::<Temperature>(row, body));
            }
            if dice.chance(diary.look) {
                let seen: Vec<&str> = signs(course, s)
                    .into_iter()
                    .filter(|(_, chance)| dice.chance(*chance))
                    .map(|(sign, _)| sign)
                    .collect();
                let nurses = (!dice.chance(0.3)).then(|| !dice.chance(refuses(course, s)));
                let body = json!({
                    "dog_id": pup.dog_id, "checked_at": at, "signs": seen, "nurses": nurses,
                });
                checks.push(kept::<PupCheck>(row + 1, body));
            }
        }
        let fields = json!({
            "litter_id": litter_id, "dog_id": pup.dog_id, "ordinal": index + 1, "born_at": pup.born_at,
            "weight_g": pup.birth_weight_g.map(|g| g as i64), "outcome": "alive", "placenta": "not_seen",
        });
        let dog: Dog = read(json!({ "sex": "female" }));
        let birth = Some(kept::<Birth>(200 + index as u128, fields));
        pups.push(Pup {
            dog_id: pup.dog_id,
            dog: Some(dog),
            birth,
            placements: Vec::new(),
            litters: Vec::new(),
        });
    }
    let dam: Dog = read(json!({
        "name": "Juno", "sex": "female", "adult_weight_g": 22_000, "born_on": "2022-03-04",
    }));
    let whelped_on = born_at().date_naive();
    let core = Core {
        litter: Some(kept::<Litter>(1, json!({ "dam_id": dam_id, "whelped_on": whelped_on }))),
        place: None,
        mated_at: None,
        dam: Some(dam.clone()),
        dam_born_here: false,
        sire: None,
        of_dam: Vec::new(),
        pups,
    };
    let weighings = made.litter.pups.iter().map(|pup| (pup.dog_id, pup.weighings.clone()));
    let nursing = Nursing {
        temperatures: ByDog::group(temperatures, |row| row.record.dog_id),
        feeds: ByDog::default(),
        pup_checks: ByDog::group(checks, |row| row.record.dog_id),
    };
    let dam = DamRecords {
        dam_id,
        dog: Some(dam),
        born_here: false,
        heats: Vec::new(),
        readings: Vec::new(),
        matings: Vec::new(),
        checks: Vec::new(),
        temperatures: Vec::new(),
        signs: Vec::new(),
        litters: Vec::new(),
        whelpings: Vec::new(),
        inbreeding: None,
        pups_inbreeding: BTreeMap::new(),
    };
    let weights = Weights { weighings: weighings.collect::<BTreeMap<_, _>>().into() };
    let night = WhelpingWatch::default();
    let parts = (weights, nursing, Health::default(), night, Pregnancy { dam }, Sights::default());
    (core, parts)
}

/// How well the weights alone, and the score of all that is known, tell pups in decline; and what the score finds at
/// the false alarms that the weights have at their own limit.
pub struct Compared {
    pub weights: Ranked,
    pub score: Ranked,
    /// Declining pups that call at some time before they die, by weights and by score, and false calls a pup-week.
    pub found: [f64; 2],
    pub false_a_week: [f64; 2],
}

/// Looks once a day at a litter of each seed; a look at a pup in decline counts from a day after its onset.
pub fn compare(
    seeds: Range<u64>,
    (curve, course): (Curve, Course),
    round: &Round,
    diary: Diary,
    base: &Moment,
) -> Compared {
    let limits = [base.rules.value("growth.warning_act"), base.rules.value("newborn.fading_act")];
    let (mut bad, mut good) = ([Vec::new(), Vec::new()], [Vec::new(), Vec::new()]);
    let (mut declining_pups, mut found) = (0usize, [0usize; 2]);
    let (mut weeks, mut false_calls) = (0.0, [0usize; 2]);
    for seed in seeds {
        let mut dice = Dice::new(seed);
        let made = declining(&mut dice, curve, round, 0.15);
        let (core, parts) = recorded(&mut dice, &made, course, diary);
        let mut heard = vec![[false; 2]; made.declines.len()];
        let mut called = vec![[false; 2]; made.declines.len()];
        for day in 2..DAYS {
            let now = born_at() + Duration::hours(24 * day + 4);
            for (index, scores) in scored(&made, (&core, &parts), now, base) {
                let age = day as f64;
                let decline = made.declines[index];
                let ill = decline.is_some_and(|it| age >= it.onset + 1.0);
                let early = decline.is_some_and(|it| age >= it.onset) && !ill;
                for kind in 0..2 {
                    let calls = scores[kind] >= limits[kind];
                    if ill {
                        bad[kind].push(scores[kind]);
                        heard[index][kind] |= calls;
                    } else if !early {
                        good[kind].push(scores[kind]);
                        false_calls[kind] += usize::from(calls && !called[index][kind]);
                    }
                    called[index][kind] = calls;
                }
                weeks += if ill || early { 0.0 } else { 1.0 / 7.0 };
            }
        }
        for (decline, heard) in made.declines.iter().zip(heard) {
            if decline.is_some() {
                declining_pups += 1;
                (0..2).for_each(|kind| found[kind] += usize::from(heard[kind]));
            }
        }
    }
    let [mut bad_weights, mut bad_score] = bad;
    let [mut good_weights, mut good_score] = good;
    Compared {
        weights: ranked(&mut bad_weights, &mut good_weights),
        score: ranked(&mut bad_score, &mut good_score),
        found: found.map(|found| found as f64 / declining_pups.max(1) as f64),
        false_a_week: false_calls.map(|calls| calls as f64 / weeks),
    }
}

fn scored(
    made: &Declining,
    (core, parts): (&Core, &Watched),
    now: DateTime<Utc>,
    base: &Moment,
) -> Vec<(usize, [f64; 2])> {
    let round = newborn_round(core, parts, &[], &Moment { now, ..base.clone() });
    let pups = made.litter.pups.iter().enumerate().filter(|(_, pup)| pup.present(now));
    let of = |(index, pup): (usize, &domain::growth::GrowthPup)| {
        let line = round.pups.iter().find(|line| line.dog_id == pup.dog_id)?;
        let score = line.fading.as_ref()?;
        Some((index, [score.by_weights_alone?, score.probability]))
    };
    pups.filter_map(of).collect()
}
