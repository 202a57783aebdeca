//! A pedigree as comma-separated text: read with every fault named, and written back.
//!
//! Exports of other programs differ: columns are matched without regard to case, can be mapped,
//! and rows may stand in any order. Nothing is guessed: a column that is not known is a fault,
//! and either the whole file is taken or none of it.

mod checks;
mod columns;
mod export;
mod import;
mod merge;
mod values;

pub use columns::{ColumnMap, PedigreeColumn};
pub use export::{export, export_rows};
pub use import::parse;
pub use merge::{KnownDog, MergePlan, PlacedDog, check_new_parents, merge};

use super::{
    fault::{Fault, MOST_TOLD},
    partial_date::PartialDate,
};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Sex as a file states it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum StatedSex {
    /// Can be a dam.
    Female,
    /// Can be a sire.
    Male,
}

impl StatedSex {
    /// The word for it: `female` or `male`.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Female => "female",
            Self::Male => "male",
        }
    }
}

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
    /// Its id in the file.
    pub imported_id: Box<str>,
    /// Sire, by its id in the file.
    pub sire: Option<Box<str>>,
    /// Dam, by its id in the file.
    pub dam: Option<Box<str>>,
    /// Sex as stated, or from its role as a parent.
    pub sex: Option<StatedSex>,
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

/// A file without a fault.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ParsedPedigree {
    /// Its dogs, parents before offspring; parents without a row of their own included.
    pub dogs: Vec<ImportedDog>,
    /// The columns that the file has: what is not among them says nothing about a dog.
    pub columns: Vec<PedigreeColumn>,
}

/// What kind of fault a file has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PedigreeFaultKind {
    /// There is no row.
    Empty,
    /// Not UTF-8, or a NUL character.
    Encoding,
    /// A column that is neither known nor mapped, or one field in two columns.
    Column,
    /// A column that must be there is not.
    MissingColumn,
    /// A row with more or fewer fields than there are columns.
    Ragged,
    /// A row without an id.
    MissingId,
    /// The same id in two rows.
    DuplicateId,
    /// A text that is not a value of its column.
    Value,
    /// Animals that are their own ancestors.
    Cycle,
    /// A female sire or a male dam.
    Sex,
    /// One animal as a sire in one row and as a dam in another.
    BothRoles,
    /// One animal as sire and dam of the same row.
    SameParent,
    /// A parent that is not older than its offspring.
    ParentNotOlder,
}

/// One fault of a pedigree file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PedigreeFault {
    /// What kind of fault.
    pub kind: PedigreeFaultKind,
    /// Where: `#line/7`, or `#query/born_on` for a mapping.
    pub pointer: String,
    /// What is wrong and what would be accepted.
    pub detail: String,
    /// The animals at fault, by their ids in the file.
    pub ids: Vec<String>,
}

impl From<PedigreeFault> for Fault {
    fn from(fault: PedigreeFault) -> Self {
        Self { pointer: fault.pointer, detail: fault.detail }
    }
}

/// The faults of a file as they are found: one more than an answer tells, to say that there are more.
#[derive(Debug, Default)]
struct LineFaults(Vec<PedigreeFault>);

impl LineFaults {
    fn push(&mut self, fault: PedigreeFault) {
        if !self.is_full() {
            self.0.push(fault);
        }
    }

    fn extend(&mut self, faults: impl Iterator<Item = PedigreeFault>) {
        let left = MOST_TOLD + 1 - self.0.len();
        self.0.extend(faults.take(left));
    }

    /// Whether there is no need to look for more.
    fn is_full(&self) -> bool {
        self.0.len() > MOST_TOLD
    }

    fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    fn len(&self) -> usize {
        self.0.len()
    }

    /// Those that were found, by line.
    fn in_order(mut self) -> Vec<PedigreeFault> {
        self.0.sort_by_key(PedigreeFault::line);
        self.0
    }
}

impl PedigreeFault {
    fn at_line(
        kind: PedigreeFaultKind,
        line: u64,
        ids: &[&str],
        detail: impl Into<String>,
    ) -> Self {
        let ids = ids.iter().map(|id| (*id).to_owned()).collect();
        Self { kind, pointer: format!("#line/{line}"), detail: detail.into(), ids }
    }

    /// The line it stands on, for sorting; a fault of the mapping comes first.
    fn line(&self) -> u64 {
        self.pointer.strip_prefix("#line/").and_then(|line| line.parse().ok()).unwrap_or(0)
    }
}

/// What an import did, or would do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct PedigreeImport {
    /// Whether it was only tried: nothing is written then.
    pub dry_run: bool,
    /// Dogs added, parents without a row of their own included.
    #[schema(example = 1204)]
    pub created: usize,
    /// Dogs that were there already and were changed by the file.
    #[schema(example = 12)]
    pub updated: usize,
    /// Dogs that were there already just as the file has them.
    #[schema(example = 310)]
    pub unchanged: usize,
    /// How many of those added are parents without a row of their own: ancestors living elsewhere.
    #[schema(example = 41)]
    pub implied_parents: usize,
}

#[cfg(test)]
mod tests;

#[cfg(test)]
mod merge_tests;
