//! Heats, what was measured in them, and the mating that is planned.

use super::book::Book;
use domain::record::{
    Heat, HeatReading, Mating, MatingMethod, MatingStatus, ReadingKind, ReadingUnit,
};
use store::StoreResult;
use uuid::Uuid;

/// Heats without a litter: the dam, how many days ago it began, how many days it lasted.
const HEATS: &[(&str, i64, i64)] = &[
    ("juno", 1105, 20),
    ("juno", 900, 21),
    ("juno", 690, 20),
    ("juno", 283, 21),
    ("bramble", 1240, 19),
    ("bramble", 1036, 20),
    ("bramble", 530, 21),
    ("bramble", 329, 20),
    ("wren", 650, 19),
    ("wren", 456, 20),
    ("wren", 258, 20),
    ("wren", 60, 20),
    ("tansy", 1004, 21),
    ("tansy", 804, 20),
    ("tansy", 602, 22),
    ("tansy", 398, 21),
    ("tansy", 204, 20),
    ("fern", 301, 18),
    ("gorse", 38, 19),
];

/// Progesterone before, at and after the surge of luteinising hormone: days after the surge and
/// nanograms per millilitre.
const RISE: &[(i64, f64)] = &[(-4, 0.4), (-2, 1.0), (0, 2.3), (2, 5.8), (3, 8.9)];

/// Days from the first day of a heat to the surge, in the demo.
pub(crate) const SURGE_DAY: i64 = 9;

/// Writes the heats that led to no litter.
pub async fn load(book: &mut Book<'_>) -> StoreResult<()> {
    for &(dam, began, lasted) in HEATS {
        add(book, dam, began, Some(lasted)).await?;
    }
    Ok(())
}

/// Writes a heat that began `began` days ago; it lasts still when `lasted` is none.
pub async fn add(
    book: &mut Book<'_>,
    dam: &str,
    began: i64,
    lasted: Option<i64>,
) -> StoreResult<Uuid> {
    let heat = Heat {
        dog_id: book.dog(dam)?,
        began_on: book.calendar.day(began),
        ended_on: lasted.map(|days| book.calendar.day(began - days)),
        note: None,
        confirmed: false,
    };
    book.add(&heat).await
}

fn reading(heat_id: Uuid, taken_at: chrono::DateTime<chrono::Utc>) -> HeatReading {
    HeatReading {
        heat_id,
        kind: ReadingKind::Sign,
        taken_at,
        value: None,
        unit: None,
        finding: None,
        note: None,
        confirmed: false,
    }
}

/// Writes what was measured in a heat of which the surge was `surge` days ago (before today when
/// positive), as far as it has happened.
pub(crate) async fn measure(book: &mut Book<'_>, heat_id: Uuid, surge: i64) -> StoreResult<()> {
    for &(after, ng_per_ml) in RISE {
        let taken_at = book.calendar.at(surge - after, 9, 10);
        if book.calendar.has_passed(taken_at) {
            let progesterone = HeatReading {
                kind: ReadingKind::Progesterone,
                value: Some(ng_per_ml),
                unit: Some(ReadingUnit::NgPerMl),
                ..reading(heat_id, taken_at)
            };
            book.add(&progesterone).await?;
        }
    }
    let smear = HeatReading {
        kind: ReadingKind::Cytology,
        value: Some(0.72),
        unit: Some(ReadingUnit::CornifiedFraction),
        ..reading(heat_id, book.calendar.at(surge + 2, 9, 10))
    };
    book.add(&smear).await?;
    for (after, finding) in [(-8, "swelling and bloody discharge"), (2, "standing, tail aside")] {
        let seen_at = book.calendar.at(surge - after, 18, 0);
        if book.calendar.has_passed(seen_at) {
            let sign =
                HeatReading { finding: Some(finding.to_owned()), ..reading(heat_id, seen_at) };
            book.add(&sign).await?;
        }
    }
    Ok(())
}

/// Tansy is in heat, the surge was yesterday, and she goes to Lodestar in three days.
pub(crate) async fn plan_mating(book: &mut Book<'_>) -> StoreResult<()> {
    let heat_id = add(book, "tansy", SURGE_DAY + 1, None).await?;
    measure(book, heat_id, 1).await?;
    let mating = Mating {
        dam_id: book.dog("tansy")?,
        sire_id: book.dog("lodestar")?,
        heat_id: Some(heat_id),
        status: MatingStatus::Planned,
        method: MatingMethod::Natural,
        planned_on: Some(book.calendar.day(-3)),
        ties: Vec::new(),
        note: Some("Lodestar's people expect us; call the evening before.".to_owned()),
    };
    book.add(&mating).await?;
    Ok(())
}
