//! The value of one field of a file.

use super::{ImportedDog, PedigreeColumn as Column, StatedRegistration};
use crate::{
    import::{
        cells::{self, DateOrder},
        row::{Cell, Row},
    },
    partial_date::PartialDate,
    record::Residence,
    text::{Lines, refused},
    units::StatedWeight,
};
use catalogue::{Text, said};
use chrono::NaiveDate;

/// What is to be known to read a value.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reading {
    /// Births and deaths after this are faults.
    pub(super) today: NaiveDate,
    /// In which order days are written.
    pub(super) order: Option<DateOrder>,
}

/// The register of an entry that states a number only.
const UNNAMED_REGISTRY: &str = "register not named";
/// Characters that a note can have.
const LONGEST_NOTE: usize = 10_000;
/// Characters that a register's name, or a number in it, can have.
const LONGEST_ENTRY: usize = 100;
/// Entries in registers that one dog can have.
const MOST_REGISTRATIONS: usize = 20;
/// Grams that a grown dog can weigh.
const ADULT_WEIGHT_G: std::ops::RangeInclusive<i32> = 300..=150_000;

/// Sets the field `column` of `dog` to what stands in a cell of its row, which is not blank.
///
/// # Errors
/// What is wrong with the cell and what would be accepted.
pub(super) fn set(
    dog: &mut ImportedDog,
    column: Column,
    row: &Row,
    cell: Cell<'_>,
    reading: &Reading,
) -> Result<(), Text> {
    let Reading { today, order } = *reading;
    match column {
        Column::BornOn => {
            dog.born_on = Some(birth(cells::partial_date(row, cell, order)?, today)?);
            return Ok(());
        }
        Column::DiedOn => {
            dog.died_on = Some(death(cells::day(row, cell, order)?, today)?);
            return Ok(());
        }
        Column::AdultWeight | Column::AdultWeightKg | Column::AdultWeightLb => {
            return set_weight(dog, column, row, cell);
        }
        _ => {}
    }
    let own;
    let text = match cell {
        Cell::Text(text) => text,
        other => {
            own = other.text()?;
            &own
        }
    };
    let short = |longest: usize| -> Result<&str, Text> {
        if let Some(detail) = refused(text, Lines::One) {
            return Err(detail);
        }
        let length = text.chars().count();
        if length > longest {
            return Err(said!("fault-too-long-by", length = length, most = longest));
        }
        Ok(text)
    };
    let words =
        |longest: usize| -> Result<Option<Box<str>>, Text> { Ok(Some(short(longest)?.into())) };
    match column {
        Column::Id => dog.imported_id = short(200)?.into(),
        Column::Sire => dog.sire = Some(short(200)?.into()),
        Column::Dam => dog.dam = Some(short(200)?.into()),
        Column::Name => dog.name = Some(short(200)?.into()),
        Column::CallName => dog.call_name = words(100)?,
        Column::Breed => dog.breed = words(100)?,
        Column::Colour => dog.colour = words(100)?,
        Column::Markings => dog.markings = words(500)?,
        Column::Note => dog.note = Some(note(text)?),
        Column::Sex => dog.sex = Some(cells::sex(text)?),
        Column::ChipNumber => dog.chip_number = Some(chip(text)?),
        Column::Registrations => dog.registrations = registrations(text)?,
        Column::Residence => dog.lives_here = Some(cells::residence(text)? == Residence::Here),
        Column::ForBreeding => dog.for_breeding = Some(cells::truth(text)?),
        Column::BornOn
        | Column::DiedOn
        | Column::AdultWeight
        | Column::AdultWeightKg
        | Column::AdultWeightLb => {}
    }
    Ok(())
}

/// Several lines, which files of some systems end with CR and LF.
fn note(text: &str) -> Result<Box<str>, Text> {
    let text = text.replace("\r\n", "\n");
    if let Some(detail) = refused(&text, Lines::Several) {
        return Err(detail);
    }
    let length = text.chars().count();
    if length > LONGEST_NOTE {
        return Err(said!("fault-too-long-by", length = length, most = LONGEST_NOTE));
    }
    Ok(text.into())
}

fn birth(date: PartialDate, today: NaiveDate) -> Result<PartialDate, Text> {
    if date.earliest() > today {
        return Err(said!("fault-in-future-birth", today = today));
    }
    Ok(date)
}

fn death(day: NaiveDate, today: NaiveDate) -> Result<NaiveDate, Text> {
    if day > today {
        return Err(said!("fault-in-future-death", today = today));
    }
    Ok(day)
}

fn chip(text: &str) -> Result<Box<str>, Text> {
    let plain: String = text.chars().filter(|c| !matches!(c, ' ' | '-')).collect();
    let fits = (9..=15).contains(&plain.len()) && plain.bytes().all(|b| b.is_ascii_alphanumeric());
    if fits { Ok(plain.into()) } else { Err(said!("fault-malformed-chip")) }
}

fn registrations(text: &str) -> Result<Vec<StatedRegistration>, Text> {
    let mut entries = Vec::new();
    for entry in text.split(';').map(str::trim).filter(|entry| !entry.is_empty()) {
        let (registry, number) = entry.split_once(": ").unwrap_or((UNNAMED_REGISTRY, entry));
        let (registry, number) = (registry.trim(), number.trim());
        let fits = |part: &str| (1..=LONGEST_ENTRY).contains(&part.chars().count());
        if let Some(detail) = refused(entry, Lines::One) {
            return Err(detail);
        }
        if !fits(registry) || !fits(number) {
            return Err(said!("fault-malformed-registration", most = LONGEST_ENTRY));
        }
        entries.push(StatedRegistration { registry: registry.into(), number: number.into() });
    }
    if entries.len() > MOST_REGISTRATIONS {
        let (count, most) = (entries.len(), MOST_REGISTRATIONS);
        return Err(said!("fault-too-many-registrations", count = count, most = most));
    }
    Ok(entries)
}

/// The weight grown up, in one of its units.
fn set_weight(
    dog: &mut ImportedDog,
    column: Column,
    row: &Row,
    cell: Cell<'_>,
) -> Result<(), Text> {
    if dog.adult_weight_g.is_some() {
        return Err(said!("fault-not-together-units"));
    }
    let (least, most) = (*ADULT_WEIGHT_G.start(), *ADULT_WEIGHT_G.end());
    let none = StatedWeight::default();
    let stated = match column {
        Column::AdultWeightKg => StatedWeight { kg: Some(cells::figure(row, cell)?), ..none },
        Column::AdultWeightLb => StatedWeight { lb: Some(cells::figure(row, cell)?), ..none },
        _ => StatedWeight {
            g: Some(cells::whole(row, cell).map_err(|_| {
                said!("fault-malformed-adult-weight", least_g = least, most_g = most)
            })?),
            ..none
        },
    };
    dog.adult_weight_g = stated.grams(least, most).map_err(|(_, detail)| detail)?;
    Ok(())
}
