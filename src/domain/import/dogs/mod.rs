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

/// An entry in a register, as a file states it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StatedRegistration {
    /// Who keeps the register.
    pub registry: Box<str>,
    /// The number there.
    pub number: Box<str>,
}

/// One dog of a pedigree file; `None` where the file says nothing.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ImportedDog {
    /// The line its row begins on; `None` for a parent without a row of its own, which is an
    /// ancestor living elsewhere.
    pub line: Option<u64>,
    /// Its id in the file; in a file without ids a key that no other dog of it has.
    pub imported_id: Box<str>,
    /// Whether the file gives it no id, so that it keeps none.
    pub without_id: bool,
    /// Sire, by its id in the file.
    pub sire: Option<Box<str>>,
    /// Dam, by its id in the file.
    pub dam: Option<Box<str>>,
    /// Sex as stated, or from its role as a parent.
    pub sex: Option<Sex>,
    /// Birth.
    pub born_on: Option<PartialDate>,
    /// Day of death.
    pub died_on: Option<NaiveDate>,
    /// Registered name.
    pub name: Option<Box<str>>,
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
    /// Whether it lives in the kennel (`residence` is `here`).
    pub lives_here: Option<bool>,
    /// Whether the kennel breeds from it now.
    pub for_breeding: Option<bool>,
    /// Anything else.
    pub note: Option<Box<str>>,
}

impl ImportedDog {
    /// What it goes by in a fault: its id, or its name in a file without ids.
    pub fn label(&self) -> &str {
        let names = [&self.name, &self.call_name, &self.chip_number];
        let name = names.into_iter().find_map(Option::as_deref).filter(|_| self.without_id);
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
    /// The columns that the file has: what is not among them says nothing about a dog.
    pub columns: Vec<PedigreeColumn>,
}

#[cfg(test)]
mod tests;

#[cfg(test)]
mod merge_tests;
