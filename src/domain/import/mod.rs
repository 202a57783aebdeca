//! Files that people bring: pedigrees, weights, health, chips and buyers, from a spreadsheet or as text.
//!
//! A file is read in steps, each by itself: [`table`] gives rows with their lines, whatever kind of file it is
//! ([`text_table`], [`workbook`]); [`columns`] says which field a column holds, [`cells`] what a cell means;
//! and a file a kind of record ([`dogs`], [`weights`] …) makes records of rows. Nothing is guessed: a column that
//! nobody knows, a day that may be two, a name that may be several dogs are faults at their line, and either
//! the whole file is taken or none of it.

pub mod buyers;
pub mod cells;
pub mod chips;
pub mod columns;
pub mod dogs;
pub mod fault;
pub mod fold;
pub mod health_events;
pub mod known_dogs;
mod records;
pub mod report;
pub mod row;
pub mod table;
pub mod temperatures;
mod text_table;
pub mod weights;
pub(crate) mod workbook;

pub use columns::ColumnMap;
pub(crate) use fault::LineFaults;
pub use fault::{LineFault, LineFaultKind};
pub use records::StatedRow;
pub use report::{ImportLine, ImportOutcome, ImportReport, MadeUpParent};

use crate::record::words::words;
use cells::DateOrder;
use chrono_tz::Tz;
use columns::Field;
use table::TableHow;

words! {
    /// What the rows of a file are.
    ImportKind {
        /// Dogs with their parents: a pedigree.
        Dogs = "dogs",
        /// Weights of dogs.
        Weights = "weights",
        /// Body temperatures of dogs.
        Temperatures = "temperatures",
        /// What was given to dogs and found.
        HealthEvents = "health-events",
        /// Transponder numbers of dogs.
        Microchips = "microchips",
        /// Buyers on the waiting list.
        Buyers = "buyers",
    }
}

impl ImportKind {
    /// The fields that columns of such a file can hold.
    pub fn fields(self) -> Vec<&'static str> {
        fn names<F: Field>() -> Vec<&'static str> {
            F::ALL.iter().map(|field| field.name()).collect()
        }
        match self {
            Self::Dogs => names::<dogs::PedigreeColumn>(),
            Self::Weights => names::<weights::WeightColumn>(),
            Self::Temperatures => names::<temperatures::TemperatureColumn>(),
            Self::HealthEvents => names::<health_events::HealthColumn>(),
            Self::Microchips => names::<chips::ChipColumn>(),
            Self::Buyers => names::<buyers::BuyerColumn>(),
        }
    }

    /// Reads the rows of such a file; dogs are read by [`dogs::read`], since their rows speak of one another.
    ///
    /// # Errors
    /// Every fault of the file, by line and column.
    pub fn rows(
        self,
        bytes: &[u8],
        how: &ImportHow,
        zone: Tz,
    ) -> Result<Vec<StatedRow>, Vec<LineFault>> {
        let read = match self {
            Self::Dogs => return Ok(Vec::new()),
            Self::Weights => weights::read,
            Self::Temperatures => temperatures::read,
            Self::HealthEvents => health_events::read,
            Self::Microchips => chips::read,
            Self::Buyers => buyers::read,
        };
        read(bytes, how, zone)
    }
}

/// How a file is to be read: what is said of it beside it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ImportHow {
    /// Which column holds which field, where the names differ.
    pub columns: ColumnMap,
    /// In which order days are written.
    pub date_order: Option<DateOrder>,
    /// What parts its columns, which sheet.
    pub table: TableHow,
}
