//! How long a litter is followed, its pups wear their collars and stand on the board.

use super::*;
use crate::alarms::{Sights, look_at};
use crate::limits_tests::{Limit, MINUTE, at_most, check};
use crate::litter_tasks::{follow_up_tasks, growth_tasks};
use crate::moment::Moment;
use crate::placement::{FollowUp, FollowUpAnchor};
use crate::pregnancy::DamRecords;
use crate::record::{Birth, Kept};
use crate::rules::{Rules, Status};
use chrono::{DateTime, Duration, NaiveDate, Utc};
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use uuid::Uuid;

fn born_at() -> DateTime<Utc> {
    "2026-03-01T06:00:00Z".parse().unwrap()
}

pub(crate) fn kept<R: DeserializeOwned>(id: u128, record: Value) -> Kept<R> {
    let record = serde_json::from_value(record).unwrap();
    let id = Uuid::from_u128(id);
    Kept { id, version: 1, created_at: born_at(), updated_at: born_at(), record }
}

/// When the litter was born.
pub(crate) fn whelped() -> DateTime<Utc> {
    born_at()
}

fn pup(number: u128) -> Pup {
    let dog_id = Uuid::from_u128(number);
    let birth: Kept<Birth> = kept(
        100 + number,
        json!({
            "litter_id": Uuid::from_u128(1), "dog_id": dog_id, "ordinal": number,
            "born_at": born_at(), "outcome": "alive", "collar": "red"
        }),
    );
    let dog = serde_json::from_value(json!({ "residence": "here" })).unwrap();
    Pup { dog_id, dog: Some(dog), birth: Some(birth), placements: Vec::new(), litters: Vec::new() }
}

/// A litter of pups with red collars, born on 1 March.
pub(crate) fn core_of(pups: &[u128]) -> Core {
    let dam = json!({ "sex": "female", "residence": "here" });
    let (litter_id, dam_id) = (Uuid::from_u128(1), Uuid::from_u128(7));
    let whelped_on: NaiveDate = "2026-03-01".parse().unwrap();
    Core {
        litter: Some(kept(1, json!({ "dam_id": dam_id, "whelped_on": whelped_on }))),
        dam: Some(serde_json::from_value(dam).unwrap()),
        of_dam: vec![LitterOfDam {
            litter_id,
            dam_id,
            whelped_on: Some(whelped_on),
            weaned_on: None,
            born: 3,
        }],
        ..Core::of_dogs(pups.iter().map(|number| pup(*number)).collect())
    }
}

fn core() -> Core {
    core_of(&[2])
}

/// So many days after the birth, to the minute.
pub(crate) fn after(days: f64, rules: &Rules) -> Moment {
    let now = born_at() + Duration::minutes((days * 1440.0).round() as i64);
    let mut moment = Moment::by_standard_rules(now, chrono_tz::UTC);
    moment.rules = rules.clone();
    moment
}

/// Of whose pregnancy nothing is on record.
pub(crate) fn no_pregnancy() -> Pregnancy {
    Pregnancy {
        dam: DamRecords {
            dam_id: Uuid::from_u128(7),
            dog: None,
            born_here: false,
            heats: Vec::new(),
            readings: Vec::new(),
            matings: Vec::new(),
            checks: Vec::new(),
            temperatures: Vec::new(),
            signs: Vec::new(),
            litters: Vec::new(),
            inbreeding: None,
            pups_inbreeding: BTreeMap::new(),
            whelpings: Vec::new(),
        },
    }
}

fn weighed_today(days: f64, rules: &Rules) -> bool {
    let (core, moment) = (core(), after(days, rules));
    let parts = (
        Weights::default(),
        Nursing::default(),
        Health::default(),
        WhelpingWatch::default(),
        no_pregnancy(),
        Sights::default(),
    );
    let watched = look_at(&core, &parts, &moment);
    growth_tasks(&[(&core, watched)], &moment)
        .iter()
        .any(|task| task.title.contains("weigh the pups"))
}

pub(crate) const LIMITS: &[Limit] = &[
    at_most("schedule.dam_followed", "days after whelping", 1.0, |days, r| {
        core().follows_dam(&after(days, r))
    }),
    at_most("whelping.collars_until_days", "age up to which", MINUTE / 24.0, |days, r| {
        let core = core();
        !collars_worn(std::iter::once(&core), &after(days, r)).is_empty()
    }),
    at_most("growth.weighed_daily", "age up to which", 1.0, weighed_today),
    at_most("today.pups_shown", "age up to which", 1.0, |weeks, r| {
        !crate::today::outgrown(&core(), &after(weeks * 7.0, r))
    }),
    at_most("placement.reminded_days", "how long before", 1.0, |days, r| {
        let due_on = after(days, r).today();
        let reminder = FollowUp {
            key: "call".to_owned(),
            name: "Ask".into(),
            from: FollowUpAnchor::Birth,
            due_on,
            due: false,
            done_on: None,
            source: "source".to_owned(),
            status: Status::CommonPractice,
        };
        let (id, today) = (Uuid::from_u128(2), after(0.0, r).today());
        !follow_up_tasks(Uuid::nil(), (id, None), &[reminder], today, r).is_empty()
    }),
];

#[test]
fn each_limit_of_a_litter_on_it_before_and_after() {
    check(LIMITS);
}
