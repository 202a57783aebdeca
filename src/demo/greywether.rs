//! A second kennel, whose owner sees nothing of the first.

use super::{
    book::Book,
    heats,
    pedigree::{chip_number, dog},
};
use chrono::Duration;
use domain::{
    partial_date::PartialDate,
    record::{
        Birth, BirthOutcome, Buyer, BuyerWishes, Dog, Kennel, Litter, Placenta, Presentation,
        Residence, Sex,
    },
};
use store::StoreResult;
use uuid::Uuid;

/// The kennel.
pub fn kennel() -> Kennel {
    let own = |text: &str| text.to_owned();
    let law = Some(own("CA-ON"));
    let kennel = Kennel::of(own("Greywether Kennel"), own("America/Toronto"), law, own("CAD"));
    Kennel { vet_phone: Some(own("+1 416 555 0142")), ..kennel }
}

/// Key, name, sex, colour, age in months, sire, dam.
type Row = (&'static str, &'static str, Sex, &'static str, u32, &'static str, &'static str);

const DOGS: &[Row] = &[
    ("beacon", "Greywether Beacon", Sex::Male, "black", 96, "", ""),
    ("plover", "Greywether Plover", Sex::Female, "chocolate", 90, "", ""),
    ("tern", "Greywether Tern", Sex::Female, "black", 47, "beacon", "plover"),
    ("squall", "Greywether Squall", Sex::Male, "chocolate", 55, "", ""),
];

/// Days since whelping.
const WHELPED: i64 = 20;

/// Sex, colour, collar and birth weight in grams.
const PUPS: &[(Sex, &str, &str, i32)] = &[
    (Sex::Female, "black", "red", 402),
    (Sex::Male, "chocolate", "blue", 430),
    (Sex::Female, "chocolate", "green", 391),
];

/// Writes what is in the kennel.
pub async fn load(book: &mut Book<'_>) -> StoreResult<()> {
    for (number, &row) in DOGS.iter().enumerate() {
        enter_dog(book, number, row).await?;
    }
    for began in [WHELPED + 74, 290, 488] {
        heats::add(book, "tern", began, Some(20)).await?;
    }
    whelp(book).await?;
    let buyer = Buyer {
        name: "Maude Lachance".to_owned(),
        email: Some("maude.lachance@example.org".to_owned()),
        phone: None,
        address: None,
        wishes: BuyerWishes { sex: Some(Sex::Female), ..BuyerWishes::default() },
        joined_on: book.calendar.day(64),
        household: None,
        screening: None,
        waiting_order: None,
        left_on: None,
        consented_on: Some(book.calendar.day(64)),
        consent_withdrawn_on: None,
        erased_on: None,
        note: None,
    };
    book.add(&buyer).await?;
    Ok(())
}

async fn enter_dog(book: &mut Book<'_>, number: usize, row: Row) -> StoreResult<()> {
    let (key, name, sex, colour, months, sire, dam) = row;
    let named = |name: &'static str| (!name.is_empty()).then_some(name);
    let record = Dog {
        born_on: Some(PartialDate::Day(book.calendar.months_ago(months))),
        sire_id: book.dog_if_named(named(sire))?,
        dam_id: book.dog_if_named(named(dam))?,
        chip_number: Some(chip_number(124, 500 + number)),
        residence: Residence::Here,
        for_breeding: true,
        ..dog(name, sex, colour)
    };
    let id = book.add(&record).await?;
    book.remember(key, id);
    Ok(())
}

async fn whelp(book: &mut Book<'_>) -> StoreResult<()> {
    let litter = Litter {
        dam_id: book.dog("tern")?,
        sire_id: Some(book.dog("squall")?),
        mating_id: None,
        name: Some("Coast litter".to_owned()),
        whelped_on: None,
        weaned_on: None,
        place_id: None,
        note: None,
        confirmed: false,
    };
    let litter_id = book.add(&litter).await?;
    let mut born_at = book.calendar.at(WHELPED, 4, 15);
    for &(sex, colour, collar, weight_g) in PUPS {
        let birth = Birth {
            litter_id,
            dog_id: Uuid::nil(),
            ordinal: 0,
            born_at,
            sex: Some(sex),
            colour: Some(colour.to_owned()),
            markings: None,
            collar: Some(collar.to_owned()),
            weight_g: Some(weight_g),
            presentation: Presentation::HeadFirst,
            outcome: BirthOutcome::Alive,
            vitality: None,
            vitality_minutes: None,
            resuscitation_minutes: None,
            placenta: Placenta::Passed,
            name: None,
            note: None,
            confirmed: false,
        };
        book.add(&birth).await?;
        born_at += Duration::minutes(38);
    }
    Ok(())
}
