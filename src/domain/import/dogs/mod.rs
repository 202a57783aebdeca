//! Dogs with their parents, a pedigree: read with every fault named, and written back.
//!
//! Exports of other programs differ: rows may stand in any order and go by ids of the file or by names. Nothing
//! is guessed: a name that may mean two dogs is a fault, and a parent that nobody knows is told.

mod checks;
mod columns;
mod export;
mod identity;
mod merge;
mod parse;
mod values;

pub(crate) use columns::PedigreeColumn;
pub use export::{export, export_rows};
pub use identity::Unresolved;
pub use merge::{MergePlan, Merged, PlacedDog, check_new_parents, merge};
pub use parse::{parse, read};

use crate::{partial_date::PartialDate, record::Sex};
use chrono::NaiveDate;
use std::ops::{Deref, DerefMut};

/// An entry in a register, as a file states it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StatedRegistration {
    /// Who keeps the register.
    pub registry: Box<str>,
    /// The number there.
    pub number: Box<str>,
}

/// A short text: up to 24 bytes take no memory of their own. A million ids with those of both parents and a name are half
/// as large by it.
pub type Words = compact_str::CompactString;

/// One dog of a pedigree file; `None` where the file says nothing. What most files leave out is in its [`Details`], whose
/// fields are reached as its own.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ImportedDog {
    /// The line its row begins on; `None` for a parent without a row of its own, which is an
    /// ancestor living elsewhere.
    pub line: Option<u64>,
    /// Its id in the file; in a file without ids a key that no other dog of it has.
    pub imported_id: Words,
    /// Sire, by its id in the file.
    pub sire: Option<Words>,
    /// Dam, by its id in the file.
    pub dam: Option<Words>,
    /// Registered name.
    pub name: Option<Words>,
    /// Birth.
    pub born_on: Option<PartialDate>,
    /// Whether the file gives it no id, so that it keeps none.
    pub without_id: bool,
    /// Sex as stated, or from its role as a parent.
    pub sex: Option<Sex>,
    /// Whether it lives in the kennel (`residence` is `here`).
    pub lives_here: Option<bool>,
    /// Whether the kennel breeds from it now.
    pub for_breeding: Option<bool>,
    /// The rest, as far as there is any.
    pub details: Option<Box<Details>>,
}

/// What a file says of a dog beyond its parents and name.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Details {
    /// Day of death.
    pub died_on: Option<NaiveDate>,
    /// The name it is called by.
    pub call_name: Option<Box<str>>,
    /// Breed, or the cross.
    pub breed: Option<Box<str>>,
    /// Coat colour.
    pub colour: Option<Box<str>>,
    /// Marks to tell it by.
    pub markings: Option<Box<str>>,
    /// Microchip.
    pub chip_number: Option<Box<str>>,
    /// Entries in registers.
    pub registrations: Vec<StatedRegistration>,
    /// Weight grown up, in grams.
    pub adult_weight_g: Option<i32>,
    /// Anything else.
    pub note: Option<Box<str>>,
}

static NO_DETAILS: Details = Details {
    died_on: None,
    call_name: None,
    breed: None,
    colour: None,
    markings: None,
    chip_number: None,
    registrations: Vec::new(),
    adult_weight_g: None,
    note: None,
};

impl Deref for ImportedDog {
    type Target = Details;

    fn deref(&self) -> &Details {
        self.details.as_deref().unwrap_or(&NO_DETAILS)
    }
}

impl DerefMut for ImportedDog {
    fn deref_mut(&mut self) -> &mut Details {
        self.details.get_or_insert_default()
    }
}

impl ImportedDog {
    /// What it goes by in a fault: its id, or its name in a file without ids.
    pub fn label(&self) -> &str {
        let names = || self.call_name.as_deref().or(self.chip_number.as_deref());
        let name = self.name.as_deref().or_else(names).filter(|_| self.without_id);
        let number = || self.registrations.first().map(|entry| &*entry.number);
        name.or_else(|| number().filter(|_| self.without_id)).unwrap_or(&self.imported_id)
    }
}

/// The rows of a file, each good by itself.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PedigreeFile {
    /// Its dogs, in the order of lines.
    pub dogs: Vec<ImportedDog>,
    /// The columns that the file has: what is not among them says nothing about a dog.
    pub columns: Vec<PedigreeColumn>,
    /// Whether there is a column of ids; else rows are known by chip, registration or name.
    pub has_ids: bool,
}

/// A file without a fault.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ParsedPedigree {
    /// Its dogs, parents before offspring; parents without a row of their own included.
    pub dogs: Vec<ImportedDog>,
    /// Sire and dam of each by their places among the dogs; `UNKNOWN` for none.
    pub(crate) parents: Vec<[u32; 2]>,
    /// The columns that the file has: what is not among them says nothing about a dog.
    pub columns: Vec<PedigreeColumn>,
}

#[cfg(test)]
mod tests;

#[cfg(test)]
mod merge_tests;
