//! A litter beside its mating.

use super::{Admission, Refusal};
use crate::record::{Litter, Mating};
use catalogue::said;
use chrono::NaiveDate;

#[cfg(test)]
mod tests;

/// What a litter of a mating is held against.
#[derive(Debug, Clone, Copy)]
pub struct LitterFacts<'a> {
    /// The mating that it names.
    pub mating: &'a Mating,
    /// The day of the mating's first tie on the kennel's calendar.
    pub first_tie_on: Option<NaiveDate>,
}

impl Litter {
    /// The litter with the dam and the sire of its mating where it names none.
    #[must_use]
    pub fn completed_by(self, mating: &Mating) -> Self {
        let dam_id = if self.dam_id.is_nil() { mating.dam_id } else { self.dam_id };
        Self { dam_id, sire_id: self.sire_id.or(Some(mating.sire_id)), ..self }
    }

    /// Refuses a mating of other parents, and a whelping on or before the day of the first tie.
    ///
    /// # Errors
    /// A fault at `/mating_id`, `/sire_id` or `/whelped_on`.
    pub fn admit(&self, facts: &LitterFacts<'_>) -> Admission {
        let LitterFacts { mating, first_tie_on } = *facts;
        if mating.dam_id != self.dam_id {
            return Err(Refusal::at("/mating_id", said!("fault-elsewhere-mating")));
        }
        if self.sire_id.is_some_and(|sire| sire != mating.sire_id) {
            return Err(Refusal::at("/sire_id", said!("fault-differs-sire-of-mating")));
        }
        match (self.whelped_on, first_tie_on) {
            (Some(whelped), Some(mated)) if whelped <= mated => Err(Refusal::at(
                "/whelped_on",
                said!("fault-too-early-whelped-before-mating", mated_on = mated),
            )),
            _ => Ok(()),
        }
    }
}
