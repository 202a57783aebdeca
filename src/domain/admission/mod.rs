//! Does what is written down go together with what is there already?
//!
//! The store loads what a record is held against and asks; a rule of the trade refuses here, whatever way
//! the record comes. What is only unlikely is asked about in [`crate::slips`]; what is wrong with a record
//! by itself is its own ([`crate::record::Record::check`]). Whether a row is there, and its version, is the
//! store's.

mod births;
mod genotypes;
mod health;
mod heats;
mod kennel;
#[cfg(test)]
pub(crate) mod limits_tests;
mod litter_parents;
mod litters;
mod matings;
mod placements;
mod trial_matings;
mod weights;

pub use births::{BirthFacts, CollaredPup, next_ordinal, shared_breed};
pub use health::version_to_apply;
pub use litter_parents::PupParents;
pub use litters::LitterFacts;
pub use matings::{CheckFacts, MatingFacts};
pub use placements::{PlacementFacts, end_of};
pub use trial_matings::{KnownSexes, TrialGrid, TrialParents};
pub use weights::BirthWeightFacts;

use crate::fault::Fault;
use catalogue::Text;

/// Why something is not written down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// The body is at fault, at these places.
    Faults(Vec<Fault>),
    /// Nothing is wrong with the body; what is there already stands against it.
    Conflict(Text),
    /// Whoever asks may not, for this record.
    Forbidden(Text),
}

/// Whether something may be written down.
pub type Admission = Result<(), Refusal>;

impl Refusal {
    /// One fault at a place of the body.
    pub fn at(pointer: impl Into<String>, detail: impl Into<Text>) -> Self {
        Self::Faults(vec![Fault::new(pointer, detail)])
    }
}

impl From<Vec<Fault>> for Refusal {
    fn from(faults: Vec<Fault>) -> Self {
        Self::Faults(faults)
    }
}

/// Refuses for any fault.
fn without(faults: Vec<Fault>) -> Admission {
    if faults.is_empty() { Ok(()) } else { Err(Refusal::Faults(faults)) }
}

/// What tests look at.
#[cfg(test)]
pub(crate) mod seen {
    use super::{Admission, Refusal};

    /// The places at fault; empty where it is admitted. Panics at a conflict.
    pub(crate) fn places(admission: Admission) -> Vec<String> {
        match admission {
            Ok(()) => Vec::new(),
            Err(Refusal::Faults(faults)) => faults.into_iter().map(|fault| fault.pointer).collect(),
            Err(other) => panic!("{other:?}"),
        }
    }

    /// The entry of the catalogue by which it is refused; `None` where it is admitted.
    pub(crate) fn entry<T>(admission: Result<T, Refusal>) -> Option<&'static str> {
        match admission.err()? {
            Refusal::Faults(faults) => faults.first()?.detail.id(),
            Refusal::Conflict(text) | Refusal::Forbidden(text) => text.id(),
        }
    }
}
