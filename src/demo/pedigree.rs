//! The dogs that were there before the first litter of the book: ancestors and breeding stock.

use super::book::{Book, read_table, word};
use chrono::Datelike as _;
use domain::{
    partial_date::PartialDate,
    record::{Dog, Registration, Residence, Sex},
};
use serde::Deserialize;
use store::{StoreError, StoreResult};
use uuid::Uuid;

/// The breed of every dog of the demo.
pub(crate) const BREED: &str = "Labrador Retriever";

/// Parents stand above their offspring. Age in years (`26y`: only the year of birth is known) or
/// months (`62m`: the day is known).
const PEDIGREE: &str = include_str!("pedigree.csv");

/// A row of the pedigree.
#[derive(Debug, Deserialize)]
pub(crate) struct Ancestor {
    key: String,
    name: String,
    call_name: Option<String>,
    #[serde(deserialize_with = "word")]
    sex: Option<Sex>,
    colour: String,
    age: String,
    sire: Option<String>,
    dam: Option<String>,
    #[serde(deserialize_with = "word")]
    home: Option<Residence>,
    breeding: Option<String>,
    weight_kg: Option<i32>,
}

/// A dog of the breed without anything else known; the start of every dog that is written here.
pub fn dog(name: &str, sex: Sex, colour: &str) -> Dog {
    Dog {
        name: Some(name.to_owned()),
        call_name: None,
        sex: Some(sex),
        breed: Some(BREED.to_owned()),
        colour: Some(colour.to_owned()),
        markings: None,
        born_on: None,
        died_on: None,
        died_of: None,
        sire_id: None,
        dam_id: None,
        chip_number: None,
        registrations: Vec::new(),
        adult_weight_g: None,
        residence: Residence::Elsewhere,
        came_on: None,
        for_breeding: false,
        imported_id: None,
        note: None,
    }
}

/// An entry in the stud book under an invented number.
pub(crate) fn stud_book(born_on: PartialDate, number: usize) -> Registration {
    Registration {
        registry: "National stud book".to_owned(),
        number: format!("LR {}/{number:04}", born_on.year()),
    }
}

/// An invented microchip number with the code of a country (ISO 3166-1 numeric, ISO 11784).
pub fn chip_number(country: u16, number: usize) -> String {
    format!("{country:03}0971{number:08}")
}

/// Writes all ancestors.
pub async fn load(book: &mut Book<'_>) -> StoreResult<()> {
    for (row, ancestor) in read_table::<Ancestor>(PEDIGREE)?.iter().enumerate() {
        let dog = ancestor.dog(book, row)?;
        let id: Uuid = book.add(&dog).await?;
        book.remember(&ancestor.key, id);
    }
    Ok(())
}

impl Ancestor {
    fn born_on(&self, book: &Book<'_>) -> StoreResult<PartialDate> {
        let parsed = |count: &str| count.parse::<u32>().ok();
        let (years, months) = (self.age.strip_suffix('y'), self.age.strip_suffix('m'));
        let today = book.calendar.day(0);
        match (years.and_then(parsed), months.and_then(parsed)) {
            (Some(years), _) => {
                Ok(PartialDate::Year(today.year() - i32::try_from(years).unwrap_or(0)))
            }
            (_, Some(months)) => Ok(PartialDate::Day(book.calendar.months_ago(months))),
            _ => Err(StoreError::Internal(format!("the demo: {} is no age", self.age))),
        }
    }

    fn dog(&self, book: &Book<'_>, row: usize) -> StoreResult<Dog> {
        let sex = self.sex.ok_or(StoreError::NotFound)?;
        let born_on = self.born_on(book)?;
        let here = self.home == Some(Residence::Here);
        Ok(Dog {
            call_name: self.call_name.clone(),
            born_on: Some(born_on),
            sire_id: book.dog_if_named(self.sire.as_deref())?,
            dam_id: book.dog_if_named(self.dam.as_deref())?,
            chip_number: here.then(|| chip_number(276, 1000 + row)),
            registrations: vec![stud_book(born_on, 100 + row)],
            adult_weight_g: self.weight_kg.map(|kg| kg * 1000),
            residence: self.home.unwrap_or(Residence::Elsewhere),
            for_breeding: self.breeding.is_some(),
            ..dog(&self.name, sex, &self.colour)
        })
    }
}
