//! Dogs written as a file that can be read again.

use super::{ImportedDog, PedigreeColumn as Column};
use crate::{import::columns::Field as _, text::as_cell};

/// Writes dogs as UTF-8 text with all columns, in the order given; unknown values are empty. What a
/// spreadsheet would run has an apostrophe before it, which reading takes away.
///
/// # Errors
/// Writing to memory failed.
pub fn export<'a>(
    dogs: impl IntoIterator<Item = &'a ImportedDog>,
) -> Result<Vec<u8>, std::io::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(Column::WRITTEN.iter().map(|column| column.name()))?;
    let mut file = writer.into_inner().map_err(csv::IntoInnerError::into_error)?;
    file.extend(export_rows(dogs)?);
    Ok(file)
}

/// Writes the rows of dogs alone, to follow on what [`export`] wrote of others.
///
/// # Errors
/// Writing to memory failed.
pub fn export_rows<'a>(
    dogs: impl IntoIterator<Item = &'a ImportedDog>,
) -> Result<Vec<u8>, std::io::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for dog in dogs {
        let cells = Column::WRITTEN.iter().map(|column| as_cell(&text(dog, *column)).into_owned());
        writer.write_record(cells)?;
    }
    writer.into_inner().map_err(csv::IntoInnerError::into_error)
}

fn text(dog: &ImportedDog, column: Column) -> String {
    let words = |value: Option<&str>| value.unwrap_or_default().to_owned();
    let either = |value: Option<bool>, yes: &str, no: &str| {
        value.map_or("", |value| if value { yes } else { no }).to_owned()
    };
    match column {
        Column::Id => dog.imported_id.to_string(),
        Column::Name => words(dog.name.as_deref()),
        Column::CallName => words(dog.call_name.as_deref()),
        Column::Sex => dog.sex.map_or("", |sex| sex.as_str()).to_owned(),
        Column::Breed => words(dog.breed.as_deref()),
        Column::Colour => words(dog.colour.as_deref()),
        Column::Markings => words(dog.markings.as_deref()),
        Column::BornOn => dog.born_on.map(|date| date.to_string()).unwrap_or_default(),
        Column::DiedOn => dog.died_on.map(|date| date.to_string()).unwrap_or_default(),
        Column::Sire => words(dog.sire.as_deref()),
        Column::Dam => words(dog.dam.as_deref()),
        Column::ChipNumber => words(dog.chip_number.as_deref()),
        Column::Registrations => {
            let entries = dog.registrations.iter();
            let texts: Vec<String> =
                entries.map(|entry| format!("{}: {}", entry.registry, entry.number)).collect();
            texts.join("; ")
        }
        Column::AdultWeight => dog.adult_weight_g.map(|g| g.to_string()).unwrap_or_default(),
        // Written in grams.
        Column::AdultWeightKg | Column::AdultWeightLb => String::new(),
        Column::Residence => either(dog.lives_here, "here", "elsewhere"),
        Column::ForBreeding => either(dog.for_breeding, "true", "false"),
        Column::Note => words(dog.note.as_deref()),
    }
}
