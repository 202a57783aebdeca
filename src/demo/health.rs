//! What was given and tested: pups by their age, the breeding dogs once a year.

use super::{births::CHIPPED_AT_DAYS, book::Book};
use domain::record::{HealthEvent, HealthKind};
use store::StoreResult;
use uuid::Uuid;

const VETERINARIAN: &str = "Dr Ilse Brandt";

/// Pups of the litter near go-home, and days since their birth.
const NEAR_GO_HOME: (&[&str], i64) =
    (&["harebell", "heron", "hawk", "heather", "hickory", "honey", "hobby"], 53);

/// Kind, age in days, product, note.
type Step = (HealthKind, i64, Option<&'static str>, Option<&'static str>);

const PUP_STEPS: &[Step] = &[
    (HealthKind::Worming, 14, Some("wormer suspension for pups"), None),
    (HealthKind::Worming, 28, Some("wormer suspension for pups"), None),
    (HealthKind::Worming, 42, Some("wormer paste"), None),
    (HealthKind::Vaccination, CHIPPED_AT_DAYS, Some("core vaccine, first dose"), None),
    (HealthKind::Microchip, CHIPPED_AT_DAYS, None, Some("set left of the neck and read")),
    (
        HealthKind::Examination,
        CHIPPED_AT_DAYS,
        None,
        Some("heart, eyes, bite, hernia: nothing found"),
    ),
];

const BREEDING_DOGS: &[&str] =
    &["juno", "bramble", "otter", "moss", "tansy", "wren", "fern", "gorse"];

/// Kind, days ago, product, note.
const GROWN_STEPS: &[Step] = &[
    (HealthKind::Vaccination, 214, Some("core vaccine, booster"), None),
    (HealthKind::Worming, 76, Some("wormer tablet"), None),
];

/// Tests on which breeding rests: dog, days ago, what was found.
const TESTS: &[(&str, i64, &str)] = &[
    ("juno", 1290, "hips A/A, elbows 0/0"),
    ("juno", 190, "eyes: clear of inherited disease"),
    ("bramble", 1310, "hips B/A, elbows 0/0"),
    ("bramble", 188, "eyes: clear of inherited disease"),
    ("otter", 1302, "hips A/B, elbows 0/0"),
    ("moss", 1105, "hips A/A, elbows 0/0"),
    ("moss", 187, "eyes: clear of inherited disease"),
    ("tansy", 1101, "hips A/A, elbows 0/1"),
    ("wren", 702, "hips B/B, elbows 0/0"),
    ("wren", 186, "eyes: clear of inherited disease"),
    ("fern", 215, "hips A/A, elbows 0/0"),
];

/// Writes all health events.
pub async fn load(book: &mut Book<'_>) -> StoreResult<()> {
    let (pups, age) = NEAR_GO_HOME;
    for pup in pups {
        let dog_id = book.dog(pup)?;
        for &(kind, at_age, product, note) in PUP_STEPS {
            add(book, dog_id, (kind, age - at_age, product, note)).await?;
        }
    }
    let dam = book.dog("bramble")?;
    add(book, dam, (HealthKind::Worming, age - 14, Some("wormer tablet"), Some("with her pups")))
        .await?;
    for name in BREEDING_DOGS {
        let dog_id = book.dog(name)?;
        for &step in GROWN_STEPS {
            add(book, dog_id, step).await?;
        }
    }
    for &(name, days, found) in TESTS {
        let dog_id = book.dog(name)?;
        add(book, dog_id, (HealthKind::Test, days, None, Some(found))).await?;
    }
    Ok(())
}

async fn add(
    book: &mut Book<'_>,
    dog_id: Uuid,
    (kind, days, product, note): Step,
) -> StoreResult<()> {
    // Worming is done at home, the rest at the practice.
    let at_home = kind == HealthKind::Worming;
    let event = HealthEvent {
        dog_id,
        kind,
        given_at: book.calendar.at(days, if at_home { 9 } else { 15 }, 30),
        product: product.map(str::to_owned),
        batch: product.map(|_| format!("B{:04}", 2200 + days)),
        expires_on: product.map(|_| book.calendar.day(days - 500)),
        given_by: Some(if at_home { "Maren Holt" } else { VETERINARIAN }.to_owned()),
        series: None,
        step: None,
        also_series: Vec::new(),
        result: None,
        protective: None,
        site: None,
        reaction: None,
        buyer_id: None,
        note: note.map(str::to_owned),
        confirmed: false,
    };
    book.add(&event).await?;
    Ok(())
}
