//! The value of one field of a file.

use super::{ImportedDog, PedigreeColumn as Column, StatedRegistration, StatedSex};
use crate::{
    partial_date::PartialDate,
    text::{Lines, refused},
};
use chrono::NaiveDate;

/// The register of an entry that states a number only.
const UNNAMED_REGISTRY: &str = "register not named";
/// Characters that a note can have.
const LONGEST_NOTE: usize = 10_000;
/// Entries in registers that one dog can have.
const MOST_REGISTRATIONS: usize = 20;
/// Grams that a grown dog can weigh.
const ADULT_WEIGHT_G: std::ops::RangeInclusive<i32> = 300..=150_000;

/// Sets the field `column` of `dog` to `text`, which is not blank.
///
/// # Errors
/// What is wrong with the text and what would be accepted.
pub(super) fn set(
    dog: &mut ImportedDog,
    column: Column,
    text: &str,
    today: NaiveDate,
) -> Result<(), String> {
    let words = |longest: usize| -> Result<Option<Box<str>>, String> {
        if let Some(detail) = refused(text, Lines::One) {
            return Err(detail);
        }
        let length = text.chars().count();
        if length > longest {
            return Err(format!("is {length} characters long; {longest} is the most"));
        }
        Ok(Some(text.into()))
    };
    match column {
        Column::Id => dog.imported_id = words(200)?.unwrap_or_default(),
        Column::Sire => dog.sire = words(200)?,
        Column::Dam => dog.dam = words(200)?,
        Column::Name => dog.name = words(200)?,
        Column::CallName => dog.call_name = words(100)?,
        Column::Breed => dog.breed = words(100)?,
        Column::Colour => dog.colour = words(100)?,
        Column::Markings => dog.markings = words(500)?,
        Column::Note => dog.note = Some(note(text)?),
        Column::Sex => dog.sex = Some(sex(text)?),
        Column::BornOn => dog.born_on = Some(birth(text, today)?),
        Column::DiedOn => dog.died_on = Some(death(text, today)?),
        Column::ChipNumber => dog.chip_number = Some(chip(text)?),
        Column::Registrations => dog.registrations = registrations(text)?,
        Column::AdultWeight => dog.adult_weight_g = Some(adult_weight(text)?),
        Column::Residence => dog.lives_here = Some(either(text, "here", "elsewhere")?),
        Column::ForBreeding => dog.for_breeding = Some(either(text, "true", "false")?),
    }
    Ok(())
}

/// Several lines, which files of some systems end with CR and LF.
fn note(text: &str) -> Result<Box<str>, String> {
    let text = text.replace("\r\n", "\n");
    if let Some(detail) = refused(&text, Lines::Several) {
        return Err(detail);
    }
    let length = text.chars().count();
    if length > LONGEST_NOTE {
        return Err(format!("is {length} characters long; {LONGEST_NOTE} is the most"));
    }
    Ok(text.into())
}

fn sex(text: &str) -> Result<StatedSex, String> {
    match text.to_lowercase().as_str() {
        "f" | "female" => Ok(StatedSex::Female),
        "m" | "male" => Ok(StatedSex::Male),
        _ => Err("is not a sex; write F, M, female, male or nothing".to_owned()),
    }
}

fn birth(text: &str, today: NaiveDate) -> Result<PartialDate, String> {
    let date: PartialDate = text.parse().map_err(|e| format!("{e}"))?;
    if date.earliest() > today {
        return Err(format!("is after today ({today}); give the day the dog was born"));
    }
    Ok(date)
}

fn death(text: &str, today: NaiveDate) -> Result<NaiveDate, String> {
    let date: PartialDate = text.parse().map_err(|e| format!("{e}"))?;
    let day = date.day().ok_or("is not a day; write it as 2020-05-17")?;
    if day > today {
        return Err(format!("is after today ({today}); give the day the dog died"));
    }
    Ok(day)
}

fn chip(text: &str) -> Result<Box<str>, String> {
    let plain: String = text.chars().filter(|c| !matches!(c, ' ' | '-')).collect();
    let fits = (9..=15).contains(&plain.len()) && plain.bytes().all(|b| b.is_ascii_alphanumeric());
    if fits {
        Ok(plain.into())
    } else {
        Err("is not a chip number; write 9 to 15 digits or letters".to_owned())
    }
}

fn registrations(text: &str) -> Result<Vec<StatedRegistration>, String> {
    let mut entries = Vec::new();
    for entry in text.split(';').map(str::trim).filter(|entry| !entry.is_empty()) {
        let (registry, number) = entry.split_once(": ").unwrap_or((UNNAMED_REGISTRY, entry));
        let (registry, number) = (registry.trim(), number.trim());
        let fits = |part: &str| (1..=100).contains(&part.chars().count());
        if let Some(detail) = refused(entry, Lines::One) {
            return Err(detail);
        }
        if !fits(registry) || !fits(number) {
            return Err("needs a registry and a number of up to 100 characters each, as \
                        \"National stud book: SB 10/2231\""
                .to_owned());
        }
        entries.push(StatedRegistration { registry: registry.into(), number: number.into() });
    }
    if entries.len() > MOST_REGISTRATIONS {
        return Err(format!("has {} entries; {MOST_REGISTRATIONS} is the most", entries.len()));
    }
    Ok(entries)
}

fn adult_weight(text: &str) -> Result<i32, String> {
    text.parse().ok().filter(|grams| ADULT_WEIGHT_G.contains(grams)).ok_or_else(|| {
        let (least, most) = (ADULT_WEIGHT_G.start(), ADULT_WEIGHT_G.end());
        format!("is not a weight; write whole grams from {least} to {most}")
    })
}

fn either(text: &str, yes: &str, no: &str) -> Result<bool, String> {
    let plain = text.to_lowercase();
    if plain == yes || plain == no {
        Ok(plain == yes)
    } else {
        Err(format!("is neither {yes} nor {no}"))
    }
}
