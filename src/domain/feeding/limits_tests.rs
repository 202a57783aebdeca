//! The limits of feeding.

use super::*;
use crate::advice::CautionCode;
use crate::limits_tests::{Limit, MINUTE, at_least, check, less_than, minutes, more_than};
use crate::rules::Rules;
use chrono::{DateTime, Duration, Utc};

fn now() -> DateTime<Utc> {
    "2026-03-10T12:00:00Z".parse().unwrap()
}

/// A pup of 500 g, so many hours old.
fn pup(hours: f64) -> HandFedPup {
    HandFedPup {
        weight_g: 500.0,
        born_at: now() - Duration::minutes(minutes(hours)),
        started_at: None,
        replacer_kcal_per_ml: Some(1.0),
        share: 1.0,
        temperature_c: Some(36.5),
        adult_weight_g: Some(28_000.0),
        weak: false,
    }
}

fn warned(pup: &HandFedPup, code: CautionCode, rules: &Rules) -> bool {
    let ration = pup_ration(pup, now(), rules).unwrap();
    ration.cautions.iter().any(|caution| caution.code == code)
}

/// Whether a pup of three days is fed as often as a weak one.
fn often(pup: HandFedPup, rules: &Rules) -> bool {
    pup_ration(&pup, now(), rules).unwrap().interval_hours < 4.0
}

/// The next feed of a pup of three days that took so much of what was planned, hours ago.
fn next(share: f64, late_minutes: f64, code: CautionCode, rules: &Rules) -> bool {
    let ration = pup_ration(&pup(72.0), now(), rules).unwrap();
    let interval = (ration.interval_hours * 60.0).round() as i64 + late_minutes as i64;
    let feed = |minutes, volume_ml| FeedTaken { at: now() - Duration::minutes(minutes), volume_ml };
    let log = [feed(30 * 60, 1.0), feed(interval, ration.volume_ml_per_day * share)];
    next_feed(&log, &ration, now(), rules).cautions.iter().any(|caution| caution.code == code)
}

fn growing(of_adult: f64, rules: &Rules) -> f64 {
    let adult = 20_000.0;
    let weight = adult * of_adult;
    let found = growing_energy(weight, adult, rules).unwrap();
    found.by_rule[1].low_kcal / (weight / 1000.0).powf(0.75)
}

pub(crate) const LIMITS: &[Limit] = &[
    at_least("feeding.gestation_late_from_day", "day of pregnancy from which", 1.0, |day, r| {
        let stage = DamStage::Pregnant { day: day as i64 };
        dam_energy(20_000.0, stage, r).unwrap().formula.contains("26 x 20")
    }),
    less_than("feeding.toy_adult_g", "under which", 1.0, |g, r| {
        often(HandFedPup { adult_weight_g: Some(g), ..pup(72.0) }, r)
    }),
    less_than("feeding.toy_adult_g", "counts as toy", 1.0, |g, r| {
        growing_energy(500.0, g, r).unwrap().notes.iter().any(|note| note.contains("A toy breed"))
    }),
    less_than("feeding.tiny_pup_g", "under this weight", 1.0, |g, r| {
        often(HandFedPup { weight_g: g, ..pup(72.0) }, r)
    }),
    less_than("feeding.too_cold_to_feed", "below this", 0.1, |t, r| {
        let cold = HandFedPup { temperature_c: Some(t), ..pup(72.0) };
        !pup_ration(&cold, now(), r).unwrap().feed_now
    }),
    less_than("feeding.first_days", "days at the start", 1.0 / 1440.0, |days, r| {
        let since = Duration::minutes((days * 1440.0).round() as i64);
        let begun = HandFedPup { started_at: Some(now() - since), ..pup(120.0) };
        warned(&begun, CautionCode::FeedingBeginLow, r)
    }),
    less_than("newborn.first_milk_ends_hours", "within this time", MINUTE, |h, r| {
        warned(&pup(h), CautionCode::FeedingFirstMilk, r)
    }),
    less_than("feeding.little_taken", "below which", 0.001, |share, r| {
        next(share, 0.0, CautionCode::FeedingLittle, r)
    }),
    at_least("feeding.late_feed_minutes", "a feed this late", 1.0, |late, r| {
        next(1.0, late, CautionCode::FeedingLate, r)
    }),
    at_least("feeding.solids_from_day", "age from which", 1.0, |days, r| {
        warned(&pup(days * 24.0), CautionCode::FeedingSolids, r)
    }),
    less_than("feeding.growing_half", "below which", 0.001, |share, r| growing(share, r) > 200.0),
    less_than("feeding.growing_four_fifths", "below which", 0.001, |share, r| {
        growing(share, r) > 150.0
    }),
    more_than("feeding.large_breed_g", "above which", 1.0, |g, r| {
        growing_energy(2_000.0, g, r).unwrap().begins_low
    }),
];

#[test]
fn each_limit_of_feeding_on_it_before_and_after() {
    check(LIMITS);
}

/// Weeks are counted from the birth: day 6 is the first, day 7 the second.
#[test]
fn weeks_change_on_their_day() {
    let rules = Rules::standard();
    let kcal = |day: i64| {
        let ration = pup_ration(&pup(24.0 * day as f64), now(), &rules).unwrap();
        (ration.energy_kcal_per_day / 5.0 * 10.0).round() / 10.0
    };
    assert_eq!([6, 7, 13, 14, 20, 21, 40].map(kcal), [13.2, 15.4, 15.4, 17.6, 17.6, 19.8, 19.8]);
    let milk = |day| {
        let stage = DamStage::Lactating { day, pups: 1 };
        let found = dam_energy(20_000.0, stage, &rules).unwrap();
        let factor = found.formula.to_string().rsplit(' ').next().unwrap().to_owned();
        (found.week, factor, found.notes.len())
    };
    let week = |number: i64, factor: &str, notes| (number, factor.to_owned(), notes);
    assert_eq!(
        [0, 6, 7, 13, 14, 20, 21, 27, 28].map(milk),
        [
            week(1, "0.75", 0),
            week(1, "0.75", 0),
            week(2, "0.95", 0),
            week(2, "0.95", 0),
            week(3, "1.1", 0),
            week(3, "1.1", 0),
            week(4, "1.2", 0),
            week(4, "1.2", 0),
            week(5, "1.2", 1),
        ]
    );
    let weeks = |day| dam_energy(20_000.0, DamStage::Pregnant { day }, &rules).unwrap().week;
    assert_eq!([0, 6, 7, 62, 63].map(weeks), [1, 1, 2, 9, 10]);
}

/// Toy pups are fed more often for two weeks, so that long their adult weight is asked for.
#[test]
fn what_is_not_known_is_asked_for_while_it_matters() {
    let rules = Rules::standard();
    let lacks = |day: i64| {
        let unknown = HandFedPup {
            adult_weight_g: None,
            temperature_c: None,
            replacer_kcal_per_ml: None,
            ..pup(24.0 * day as f64)
        };
        pup_ration(&unknown, now(), &rules).unwrap().lacks.len()
    };
    assert_eq!([0, 13, 14, 15].map(lacks), [3, 3, 2, 2]);
    assert!(pup_ration(&pup(72.0), now(), &rules).unwrap().lacks.is_empty());
    let often = |day: i64| {
        let weak = HandFedPup { weak: true, ..pup(24.0 * day as f64) };
        pup_ration(&weak, now(), &rules).unwrap().interval_hours
    };
    assert_eq!([13, 14].map(often), [2.0, 4.8], "then as its stomach needs");
}

/// Each input on the edge of what is believed, and just beyond it.
#[test]
fn values_are_believed_up_to_their_ends() {
    let rules = Rules::standard();
    let dam =
        |weight_g, stage| dam_energy(weight_g, stage, &rules).map_err(|f| f[0].pointer.clone());
    let carries = |day| DamStage::Pregnant { day };
    let nurses = |day, pups| DamStage::Lactating { day, pups };
    for (weight, stage) in [
        (500.0, carries(0)),
        (150_000.0, carries(75)),
        (9_000.0, nurses(0, 0)),
        (9_000.0, nurses(70, 30)),
    ] {
        assert!(dam(weight, stage).is_ok(), "{weight} {stage:?}");
    }
    for (weight, stage, place) in [
        (499.0, carries(0), "/weight_g"),
        (150_001.0, carries(0), "/weight_g"),
        (9_000.0, carries(-1), "/day"),
        (9_000.0, carries(76), "/day"),
        (9_000.0, nurses(-1, 4), "/day"),
        (9_000.0, nurses(71, 4), "/day"),
        (9_000.0, nurses(9, 31), "/pups"),
    ] {
        assert_eq!(dam(weight, stage).err().as_deref(), Some(place), "{weight} {stage:?}");
    }
    let faulty =
        |pup: HandFedPup| pup_ration(&pup, now(), &rules).err().map(|f| f[0].pointer.clone());
    type Set = fn(f64) -> HandFedPup;
    let cases: [(&str, Set, [f64; 2], f64); 5] = [
        ("/weight_g", |g| HandFedPup { weight_g: g, ..pup(72.0) }, [20.0, 20_000.0], 0.1),
        ("/share", |s| HandFedPup { share: s, ..pup(72.0) }, [0.0, 1.0], 0.01),
        (
            "/replacer_kcal_per_ml",
            |k| HandFedPup { replacer_kcal_per_ml: Some(k), ..pup(72.0) },
            [0.5, 2.5],
            0.01,
        ),
        (
            "/temperature_c",
            |t| HandFedPup { temperature_c: Some(t), ..pup(72.0) },
            [20.0, 45.0],
            0.1,
        ),
        ("/born_at", pup, [0.0, 1_000.0], MINUTE),
    ];
    for (place, set, [low, high], step) in cases {
        assert_eq!([faulty(set(low)), faulty(set(high))], [None, None], "{place}");
        assert_eq!(faulty(set(low - step)).as_deref(), Some(place));
        if place != "/born_at" {
            assert_eq!(faulty(set(high + step)).as_deref(), Some(place));
        }
    }
}
