//! Litters that thrive, by what is published of pups and not by what the growth model supposes.
//!
//! - Birth weights and litter sizes: Mugnier A et al. 2020, BMC Vet Res 16:354, tables 1 and 2, the pups of
//!   very low birth weight (half of which die) left out.
//! - The first day: a slight loss may be normal (Root Kustritz MV, University of Minnesota teaching notes).
//! - Gain a day: 5 to 10 % of body weight in week 1, about 8; 3.5 to 6 % in weeks 2 to 4, about 5 (Hand MS
//!   et al. 2010, Small Animal Clinical Nutrition, 5th ed.). A pup has its place between the two ends, and
//!   each day its own.
//! - Temperatures of pups in a warm nest: the upper half of what the same book prints by age. Of the dam: up
//!   to 39.4 °C for two days, then to 38.9 (notes on the bitch after whelping).
//!
//! No source tells how a kennel writes: here the scale errs by a hundredth, one weighing in twelve is
//! missed, at times all of a day, and nobody counts placentas or closes the log.

use super::dice::Dice;
use chrono::{DateTime, Duration, Utc};
use domain::{
    alarms::{Sights, Watched},
    growth::Weighing,
    litter::{ByDog, Core, Health, LitterOfDam, Nursing, Pregnancy, Pup, Weights, WhelpingWatch},
    pregnancy::DamRecords,
    record::{Birth, DamCheck, Dog, Kept, Litter, PupCheck, Temperature},
};
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use uuid::Uuid;

/// A breed: mean birth weight in grams, standard deviation, limit of a very low one, mean litter, weight
/// of a grown dam in grams.
const BREEDS: [(&str, f64, f64, f64, f64, f64); 4] = [
    ("Labrador Retriever", 409.9, 69.2, 248.0, 7.8, 29_000.0),
    ("German Shepherd", 513.7, 90.8, 338.0, 7.0, 30_000.0),
    ("Cocker Spaniel", 262.6, 59.4, 142.5, 5.7, 13_000.0),
    ("Maltese", 161.9, 34.2, 115.5, 5.1, 3_500.0),
];

/// Days that a litter is followed.
pub const DAYS: i64 = 21;

/// How the scale rounds: its step in grams, and what it is called.
pub const SCALES: [(f64, &str); 5] = [
    (1.0, "1 g"),
    (5.0, "5 g"),
    (10.0, "10 g"),
    (14.174_761_562_5, "half an ounce"),
    (28.349_523_125, "an ounce"),
];

/// When the first pup of a litter was born.
pub fn birth() -> DateTime<Utc> {
    DateTime::from_timestamp(1_780_279_200, 0).unwrap_or_default()
}

/// A litter as it is on record at the end of its three weeks.
pub struct HealthyLitter {
    pub core: Core,
    pub parts: Watched,
}

fn read<R: DeserializeOwned>(body: Value) -> R {
    serde_json::from_value(body.clone()).unwrap_or_else(|error| panic!("{error}: {body}"))
}

fn kept<R: DeserializeOwned>(id: u128, body: Value) -> Kept<R> {
    let (created_at, updated_at) = (birth(), birth());
    Kept { id: Uuid::from_u128(id), version: 1, created_at, updated_at, record: read(body) }
}

/// A weight as a scale of this step shows it, written in whole grams.
pub fn shown(weight_g: f64, step_g: f64) -> f64 {
    ((weight_g / step_g).round() * step_g).round()
}

/// The true weights of a pup in grams, a quarter of a day each.
fn grows(dice: &mut Dice, birth_g: f64) -> Vec<f64> {
    let place = 0.5 * (dice.share() + dice.share());
    // All that it lost is lost by the end of the first day.
    let first_day = dice.between(-0.05, 0.03);
    let mut weight_g = birth_g;
    let mut weights = vec![birth_g];
    for day in 0..DAYS {
        let own = (0.7 * place + 0.3 * dice.share()).clamp(0.0, 1.0);
        let gain = match day {
            0 => first_day,
            1..7 => 0.05 + 0.05 * own,
            _ => 0.035 + 0.025 * own,
        };
        for _ in 0..4 {
            weight_g *= (1.0 + gain).powf(0.25);
            weights.push(weight_g);
        }
    }
    weights
}

/// How a kennel writes: on which days it does not weigh, and whether it writes down that pups suck.
struct Habit {
    idle: Vec<bool>,
    writes_sucking: bool,
}

/// A litter that thrives, weighed by a scale of this step.
pub fn healthy(dice: &mut Dice, step_g: f64) -> HealthyLitter {
    let (breed, mean_g, sd_g, very_low_g, litter, dam_g) =
        BREEDS[(dice.share() * BREEDS.len() as f64) as usize];
    let count = dice.normal(litter, 2.0).round().clamp(2.0, 12.0) as u128;
    // Half of the variance of birth weights lies between litters.
    let usual_g = dice.normal(mean_g, sd_g * 0.7);
    let idle = (0..DAYS).map(|day| day > 3 && dice.share() < 0.05).collect();
    let habit = Habit { idle, writes_sucking: dice.share() < 0.5 };
    let mut made = Making::default();
    let mut born_at = birth();
    for number in 1..=count {
        if number > 1 {
            born_at += Duration::minutes(dice.between(15.0, 75.0) as i64);
        }
        let mut birth_g = dice.normal(usual_g, sd_g * 0.7);
        while birth_g < very_low_g {
            birth_g = dice.normal(usual_g.max(very_low_g), sd_g * 0.7);
        }
        made.pup(dice, number, (born_at, birth_g, step_g), breed, &habit);
    }
    made.finish(dice, breed, dam_g, born_at)
}

#[derive(Default)]
struct Making {
    pups: Vec<Pup>,
    weighings: BTreeMap<Uuid, Vec<Weighing>>,
    temperatures: Vec<Kept<Temperature>>,
    checks: Vec<Kept<PupCheck>>,
}

impl Making {
    fn pup(
        &mut self,
        dice: &mut Dice,
        number: u128,
        (born_at, birth_g, step_g): (DateTime<Utc>, f64, f64),
        breed: &str,
        habit: &Habit,
    ) {
        let dog_id = Uuid::from_u128(100 + number);
        let weight_g = shown(birth_g, step_g);
        let fields = json!({
            "litter_id": Uuid::from_u128(1), "dog_id": dog_id, "ordinal": number, "born_at": born_at,
            "weight_g": weight_g as i64, "outcome": "alive", "placenta": "not_seen",
        });
        let dog: Dog = read(json!({ "breed": breed, "sex": "female" }));
        let birth = Some(kept::<Birth>(200 + number, fields));
        self.pups.push(Pup {
            dog_id,
            dog: Some(dog),
            birth,
            placements: Vec::new(),
            litters: Vec::new(),
        });
        let at = |quarter: i64| born_at + Duration::hours(6 * quarter);
        let mut own = vec![Weighing { id: None, measured_at: born_at, weight_g, doubtful: false }];
        for (quarter, weight_g) in grows(dice, birth_g).into_iter().enumerate().skip(1) {
            let (quarter, day) = (quarter as i64, (quarter / 4) as i64);
            let twice = day < 10 && quarter % 2 == 0;
            let missed = dice.share() < 1.0 / 12.0;
            if !(twice || quarter % 4 == 0)
                || missed
                || *habit.idle.get(day as usize).unwrap_or(&false)
            {
                continue;
            }
            let weight_g = shown(weight_g * (1.0 + dice.normal(0.0, 0.01)), step_g);
            let minutes = dice.between(-40.0, 40.0) as i64;
            let measured_at = at(quarter) + Duration::minutes(minutes);
            own.push(Weighing { id: None, measured_at, weight_g, doubtful: false });
        }
        self.weighings.insert(dog_id, own);
        for quarter in (1..=12).chain([20, 32, 48, 64]) {
            let (low, high) = match quarter {
                ..4 => (35.5, 36.3),
                4..56 => (35.9, 37.2),
                _ => (36.9, 37.8),
            };
            let t = (dice.between(low, high) * 10.0).round() / 10.0;
            let body = json!({ "dog_id": dog_id, "measured_at": at(quarter), "temperature_c": t });
            self.temperatures.push(kept(1_000 * number + quarter as u128, body));
        }
        if habit.writes_sucking {
            let checked_at = born_at + Duration::minutes(90);
            let body = json!({ "dog_id": dog_id, "checked_at": checked_at, "nurses": true });
            self.checks.push(kept(300 + number, body));
        }
    }

    fn finish(
        self,
        dice: &mut Dice,
        breed: &str,
        dam_g: f64,
        last: DateTime<Utc>,
    ) -> HealthyLitter {
        let (litter_id, dam_id) = (Uuid::from_u128(1), Uuid::from_u128(2));
        let whelped_on = birth().date_naive();
        let dam: Dog = read(json!({
            "name": "Juno", "sex": "female", "breed": breed, "adult_weight_g": dam_g as i64,
            "born_on": "2022-03-04",
        }));
        let litter: Kept<Litter> =
            kept(1, json!({ "dam_id": dam_id, "name": "K litter", "whelped_on": whelped_on }));
        let born = self.pups.len() as u32;
        let core = Core {
            litter: Some(litter),
            place: None,
            mated_at: None,
            dam: Some(dam.clone()),
            dam_born_here: false,
            sire: None,
            of_dam: vec![LitterOfDam {
                litter_id,
                dam_id,
                whelped_on: Some(whelped_on),
                weaned_on: None,
                born,
            }],
            pups: self.pups,
        };
        let check = |half: u128| {
            let high = if half < 4 { 39.4 } else { 38.9 };
            let t = (dice.between(37.8, high) * 10.0).round() / 10.0;
            let checked_at = last + Duration::hours(6 + 12 * half as i64);
            let body = json!({
                "litter_id": litter_id, "checked_at": checked_at, "temperature_c": t, "eats": true,
            });
            kept::<DamCheck>(500 + half, body)
        };
        let night =
            WhelpingWatch { dam_checks: (0..20).map(check).collect(), ..WhelpingWatch::default() };
        let nursing = Nursing {
            temperatures: ByDog::group(self.temperatures, |row| row.record.dog_id),
            feeds: ByDog::default(),
            pup_checks: ByDog::group(self.checks, |row| row.record.dog_id),
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
        let weights = Weights { weighings: self.weighings.into() };
        let parts =
            (weights, nursing, Health::default(), night, Pregnancy { dam }, Sights::default());
        HealthyLitter { core, parts }
    }
}

impl HealthyLitter {
    /// What was known at a time: what was weighed, taken and seen after it is not written yet.
    pub fn known(&self, now: DateTime<Utc>) -> HealthyLitter {
        let (weights, nursing, health, night, pregnancy, sights) = &self.parts;
        let mut core = self.core.clone();
        core.pups.retain(|pup| pup.birth.as_ref().is_some_and(|b| b.record.born_at <= now));
        let dogs: Vec<Uuid> = core.pups.iter().map(|pup| pup.dog_id).collect();
        let weighings = dogs.iter().map(|dog| {
            let own = weights.weighings.of(*dog).iter().filter(|w| w.measured_at <= now);
            (*dog, own.cloned().collect())
        });
        let weights = Weights { weighings: weighings.collect::<BTreeMap<_, Vec<_>>>().into() };
        HealthyLitter {
            core,
            parts: (
                weights,
                nursing.clone(),
                health.clone(),
                night.clone(),
                pregnancy.clone(),
                sights.clone(),
            ),
        }
    }
}
