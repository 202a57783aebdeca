//! The litters: four of earlier years, one near go-home, one a week old, one expected.

use super::{
    births::{self, Newborn},
    book::{Book, read_table},
    heats,
};
use domain::record::{
    Litter, Mating, MatingMethod, MatingStatus, Measure, MeasureKind, Place, PlaceKind,
    PregnancyCheck, PregnancyMethod, PregnancyResult, Temperature, Tie,
};
use std::collections::HashMap;
use store::StoreResult;
use uuid::Uuid;

/// Every pup born, litter by litter in order of birth.
const BIRTHS: &str = include_str!("births.csv");

/// Days from the surge of luteinising hormone to whelping, in the demo.
const SURGE_TO_WHELPING: i64 = 65;

/// A pregnancy of the demo.
struct Pregnancy {
    letter: &'static str,
    dam: &'static str,
    sire: &'static str,
    method: MatingMethod,
    /// Days since whelping; before it when negative.
    whelped: i64,
}

const LITTERS: &[Pregnancy] = &[
    natural("D", "sorrel", "merlin", 1643),
    natural("E", "sorrel", "otter", 1240),
    natural("F", "bramble", "moss", 760),
    natural("G", "juno", "lodestar", 410),
    natural("H", "bramble", "sextant", 53),
    natural("J", "juno", "moss", 7),
];

/// The kennel's places, and the litter that lies there.
const PLACES: &[(&str, PlaceKind, Option<&str>)] = &[
    ("Whelping room", PlaceKind::WhelpingRoom, Some("J")),
    ("Quiet room", PlaceKind::WhelpingRoom, None),
    ("Garden pen", PlaceKind::Pen, Some("H")),
];

const EXPECTED: Pregnancy =
    Pregnancy { method: MatingMethod::Chilled, ..natural("K", "fern", "halyard", -11) };

const fn natural(
    letter: &'static str,
    dam: &'static str,
    sire: &'static str,
    whelped: i64,
) -> Pregnancy {
    Pregnancy { letter, dam, sire, method: MatingMethod::Natural, whelped }
}

/// The table of births.
pub fn births() -> StoreResult<Vec<Newborn>> {
    read_table(BIRTHS)
}

/// Writes all litters, oldest first, since pups that are kept become dams and sires.
pub async fn load(book: &mut Book<'_>) -> StoreResult<()> {
    let births = births()?;
    let mut litters = HashMap::new();
    for pregnancy in LITTERS {
        let litter_id = mate(book, pregnancy).await?;
        litters.insert(pregnancy.letter, litter_id);
        let pups: Vec<&Newborn> =
            births.iter().filter(|pup| pup.litter == pregnancy.letter).collect();
        if pregnancy.whelped < 30 {
            take_temperatures(book, pregnancy.dam, pregnancy.whelped, FALL).await?;
        }
        births::whelp(book, litter_id, pregnancy.whelped, &pups).await?;
        if pregnancy.whelped > 42 {
            let weaned_on = Some(book.calendar.day(pregnancy.whelped - 42));
            book.amend(litter_id, |litter| Litter { weaned_on, ..litter }).await?;
        }
    }
    lodge(book, &litters).await?;
    mate(book, &EXPECTED).await?;
    take_temperatures(book, EXPECTED.dam, 0, STEADY).await
}

/// Writes the places, each with the litter in it.
async fn lodge(book: &mut Book<'_>, litters: &HashMap<&str, Uuid>) -> StoreResult<()> {
    for (name, kind, letter) in PLACES {
        let place = Place {
            name: (*name).to_owned(),
            kind: *kind,
            capacity: 1,
            closed: Vec::new(),
            note: None,
        };
        let place_id = Some(book.add(&place).await?);
        if let Some(litter_id) = letter.and_then(|letter| litters.get(letter)) {
            book.amend(*litter_id, |litter| Litter { place_id, ..litter }).await?;
        }
    }
    Ok(())
}

/// Writes the heat, the mating, the pregnancy checks and the litter; returns the litter.
async fn mate(book: &mut Book<'_>, pregnancy: &Pregnancy) -> StoreResult<Uuid> {
    let surge = pregnancy.whelped + SURGE_TO_WHELPING;
    let began = surge + heats::SURGE_DAY;
    let heat_id = heats::add(book, pregnancy.dam, began, Some(21)).await?;
    // Readings were not yet written down in the early years.
    if pregnancy.whelped < 500 {
        heats::measure(book, heat_id, surge).await?;
    }
    let ties = vec![
        Tie { at: book.calendar.at(surge - 3, 17, 30) },
        Tie { at: book.calendar.at(surge - 5, 10, 15) },
    ];
    let mating = Mating {
        dam_id: book.dog(pregnancy.dam)?,
        sire_id: book.dog(pregnancy.sire)?,
        heat_id: Some(heat_id),
        status: MatingStatus::Done,
        method: pregnancy.method,
        planned_on: Some(book.calendar.day(surge - 3)),
        ties,
        note: None,
    };
    let mating_id = book.add(&mating).await?;
    check_pregnancy(book, mating_id, pregnancy).await?;
    let litter = Litter {
        dam_id: mating.dam_id,
        sire_id: Some(mating.sire_id),
        mating_id: Some(mating_id),
        name: Some(format!("{} litter", pregnancy.letter)),
        whelped_on: None,
        weaned_on: None,
        place_id: None,
        note: None,
        confirmed: false,
    };
    book.add(&litter).await
}

/// The ultrasound five weeks before whelping, and for recent litters the X-ray twelve days before.
async fn check_pregnancy(
    book: &mut Book<'_>,
    mating_id: Uuid,
    pregnancy: &Pregnancy,
) -> StoreResult<()> {
    let ultrasound = PregnancyCheck {
        mating_id,
        checked_at: book.calendar.at(pregnancy.whelped + 35, 11, 0),
        method: PregnancyMethod::Ultrasound,
        result: PregnancyResult::Pregnant,
        count_at_least: Some(4),
        count_at_most: None,
        // What the formula for large breeds gives 35 days before whelping.
        heartbeats: None,
        resorptions: None,
        lost_how: None,
        measures: vec![Measure { kind: MeasureKind::Icc, value_mm: 17.6 }],
        due_on: None,
        note: None,
    };
    book.add(&ultrasound).await?;
    if pregnancy.whelped < 500 {
        let xray = PregnancyCheck {
            checked_at: book.calendar.at(pregnancy.whelped + 12, 16, 20),
            method: PregnancyMethod::Xray,
            count_at_least: Some(6),
            heartbeats: None,
            resorptions: None,
            lost_how: None,
            measures: Vec::new(),
            ..ultrasound
        };
        book.add(&xray).await?;
    }
    Ok(())
}

/// Temperatures of a dam: days before the last day, hour, °C.
type Readings = &'static [(i64, u32, f64)];

const STEADY: Readings = &[
    (3, 8, 38.2),
    (3, 20, 38.3),
    (2, 8, 38.1),
    (2, 20, 38.3),
    (1, 8, 38.2),
    (1, 20, 38.2),
    (0, 8, 38.1),
    (0, 20, 38.3),
];

const FALL: Readings = &[
    (4, 8, 38.1),
    (4, 20, 38.2),
    (3, 8, 38.2),
    (3, 20, 38.1),
    (2, 8, 38.0),
    (2, 20, 38.1),
    (1, 8, 37.1),
    (1, 14, 36.9),
];

async fn take_temperatures(
    book: &mut Book<'_>,
    dam: &str,
    last_day: i64,
    readings: Readings,
) -> StoreResult<()> {
    let dog_id = book.dog(dam)?;
    for &(before, hour, temperature_c) in readings {
        let measured_at = book.calendar.at(last_day + before, hour, 0);
        if book.calendar.has_passed(measured_at) {
            book.add(&Temperature { dog_id, measured_at, temperature_c, note: None }).await?;
        }
    }
    Ok(())
}
