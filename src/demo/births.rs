//! The births of a litter and what the pups weigh after.

use super::{
    book::{Book, word},
    calendar::Calendar,
    growth::GrowingPup,
    pedigree::{chip_number, stud_book},
};
use chrono::{DateTime, Duration, Utc};
use domain::record::{
    Birth, BirthOutcome, Dog, Placenta, Presentation, Residence, Sex, Temperature, Weight,
};
use serde::Deserialize;
use store::StoreResult;
use uuid::Uuid;

/// Days after birth at which a pup is chipped, in the demo.
pub(crate) const CHIPPED_AT_DAYS: i64 = 49;

/// Days after birth at which the pups of the demo go home.
pub(crate) const HANDED_OVER_AT_DAYS: i64 = 60;

/// A pup as the table of births tells it.
#[derive(Debug, Clone, Deserialize)]
pub struct Newborn {
    /// Letter of its litter.
    pub litter: String,
    /// What it is called; empty while it is known by its collar.
    pub call_name: Option<String>,
    #[serde(deserialize_with = "word")]
    sex: Option<Sex>,
    colour: String,
    collar: Option<String>,
    weight_g: i32,
    /// Where it stays or goes: `kept`, `sold`, `family`, `co_owner`; `stillborn`; empty when open.
    pub home: Option<String>,
    note: Option<String>,
}

impl Newborn {
    fn stillborn(&self) -> bool {
        self.home.as_deref() == Some("stillborn")
    }

    fn kept(&self) -> bool {
        self.home.as_deref() == Some("kept")
    }

    /// The pup with the white collar of the youngest litter was born small.
    fn thrives(&self) -> bool {
        self.weight_g > 330
    }
}

/// Writes the births of a litter that was whelped `whelped` days ago, and its weights since.
pub(crate) async fn whelp(
    book: &mut Book<'_>,
    litter_id: Uuid,
    whelped: i64,
    pups: &[&Newborn],
) -> StoreResult<()> {
    let first = book.calendar.at(whelped, 0, 40);
    let mut weights = Vec::new();
    for (place, pup) in (0..).zip(pups) {
        // Pauses of 25 to 46 minutes.
        let born_at = first + Duration::minutes(place * 32 + (place * 5) % 14);
        let birth = birth(litter_id, born_at, place, pup);
        let dog_id = book.write(&birth).await?.record.dog_id;
        if pup.stillborn() {
            continue;
        }
        name(book, dog_id, whelped, pup).await?;
        let seed = u64::try_from(whelped * 100 + place).unwrap_or_default();
        let growing = GrowingPup { birth_g: pup.weight_g, thrives: pup.thrives(), seed };
        weights.extend(weighed(&book.calendar, dog_id, whelped, born_at, growing));
        if !pup.thrives() {
            watch(book, dog_id).await?;
        }
    }
    book.add_all(weights).await
}

fn birth(litter_id: Uuid, born_at: DateTime<Utc>, place: i64, pup: &Newborn) -> Birth {
    Birth {
        litter_id,
        dog_id: Uuid::nil(),
        ordinal: 0,
        born_at,
        sex: pup.sex,
        colour: Some(pup.colour.clone()),
        markings: None,
        collar: pup.collar.clone(),
        weight_g: Some(pup.weight_g),
        presentation: if place % 4 == 2 {
            Presentation::TailFirst
        } else {
            Presentation::HeadFirst
        },
        outcome: if pup.stillborn() { BirthOutcome::Stillborn } else { BirthOutcome::Alive },
        vitality: None,
        vitality_minutes: None,
        resuscitation_minutes: None,
        placenta: if place == 3 { Placenta::NotSeen } else { Placenta::Passed },
        name: pup.call_name.as_ref().map(|name| format!("{name} of Larkfell")),
        note: pup.note.clone(),
        confirmed: false,
    }
}

/// Completes the dog of a pup with what came after its birth: names, chip, stud book, home.
async fn name(book: &mut Book<'_>, dog_id: Uuid, whelped: i64, pup: &Newborn) -> StoreResult<()> {
    let Some(call_name) = pup.call_name.clone() else { return Ok(()) };
    book.remember(&call_name, dog_id);
    let number = book.known_dogs();
    let chipped = whelped >= CHIPPED_AT_DAYS;
    let gone = whelped >= HANDED_OVER_AT_DAYS && !pup.kept();
    let grown = whelped > 365 && pup.kept();
    let weight_g = if pup.sex == Some(Sex::Male) { 33_000 } else { 27_500 };
    let change = |dog: Dog| Dog {
        call_name: Some(call_name),
        chip_number: chipped.then(|| chip_number(276, 2000 + number)),
        registrations: dog.born_on.map(|day| stud_book(day, 300 + number)).into_iter().collect(),
        adult_weight_g: grown.then_some(weight_g),
        residence: if gone { Residence::Elsewhere } else { Residence::Here },
        for_breeding: grown,
        ..dog
    };
    book.amend(dog_id, change).await
}

/// The hours at which a pup of that age is weighed: twice a day, from ten days on once a day, from
/// four weeks on every third day. Of litters that have gone one weight a week is kept.
fn weighing_hours(age_days: i64, whelped: i64) -> &'static [u32] {
    let gone = whelped > HANDED_OVER_AT_DAYS;
    match age_days {
        // Weights were not yet written down in the early years.
        _ if whelped > 800 => &[],
        _ if gone && age_days % 7 != 0 => &[],
        _ if gone => &[8],
        0..10 => &[8, 20],
        10..28 => &[8],
        // Counted from today, so that the last weight is of today.
        _ if (whelped - age_days) % 3 != 0 => &[],
        _ => &[8],
    }
}

/// What a pup weighed since its birth.
fn weighed(
    calendar: &Calendar,
    dog_id: Uuid,
    whelped: i64,
    born_at: DateTime<Utc>,
    pup: GrowingPup,
) -> Vec<Weight> {
    let mut weights = Vec::new();
    for age in 0..=whelped.min(HANDED_OVER_AT_DAYS) {
        for &hour in weighing_hours(age, whelped) {
            let measured_at = calendar.at(whelped - age, hour, 0);
            let minutes = (measured_at - born_at).num_minutes();
            if minutes < 60 || !calendar.has_passed(measured_at) {
                continue;
            }
            #[expect(clippy::cast_precision_loss, reason = "minutes of weeks")]
            let weight_g = pup.weight_g(minutes as f64 / 1440.0);
            let (confirmed, at_birth, note) = (false, false, None);
            weights.push(Weight { dog_id, measured_at, weight_g, confirmed, at_birth, note });
        }
    }
    weights
}

/// The pup that falls behind is cool as well.
async fn watch(book: &mut Book<'_>, dog_id: Uuid) -> StoreResult<()> {
    for (days, temperature_c) in [(3, 35.6), (2, 35.1), (1, 34.6)] {
        let note =
            (days == 1).then(|| "sucks weakly, cries; warmed, veterinarian called".to_owned());
        let measured_at = book.calendar.at(days, 20, 10);
        book.add(&Temperature { dog_id, measured_at, temperature_c, note }).await?;
    }
    Ok(())
}
