//! The parents of a litter are the parents of its pups: before a correction reaches pups that have
//! offspring or parents of their own, it is asked about.

use super::{Admission, Refusal, without};
use crate::{
    fault::Faults,
    record::{Litter, Mating},
};
use catalogue::{Text, said};
use uuid::Uuid;

#[cfg(test)]
mod tests;

/// A pup with the parents that its own record names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PupParents {
    /// Its number.
    pub ordinal: i32,
    /// The pup's dog.
    pub dog_id: Uuid,
    /// Its dam.
    pub dam_id: Option<Uuid>,
    /// Its sire.
    pub sire_id: Option<Uuid>,
    /// Whether it is a parent itself.
    pub has_offspring: bool,
}

/// Why a correction of the parents of a litter is asked about, with the numbers of the pups.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum QuestionOfParents {
    /// They have offspring, whose pedigree changes with it.
    Offspring(String),
    /// They have other parents than the litter had.
    OtherParents(String),
}

impl QuestionOfParents {
    /// What is to be asked of the pups of a litter before its parents are corrected.
    pub fn of(litter: &Litter, pups: &[PupParents]) -> Vec<Self> {
        let numbers = |of: &dyn Fn(&PupParents) -> bool| {
            let numbers = pups.iter().filter(|pup| of(pup)).map(|pup| pup.ordinal.to_string());
            numbers.collect::<Vec<_>>().join(", ")
        };
        let parents = (Some(litter.dam_id), litter.sire_id);
        let bred = numbers(&|pup| pup.has_offspring);
        let own = numbers(&|pup| (pup.dam_id, pup.sire_id) != parents);
        let bred = (!bred.is_empty()).then_some(Self::Offspring(bred));
        let own = (!own.is_empty()).then_some(Self::OtherParents(own));
        bred.into_iter().chain(own).collect()
    }

    /// As it is said where the litter is corrected.
    fn of_litter(self) -> Text {
        match self {
            Self::Offspring(pups) => said!("fault-unlikely-litter-offspring", pups = pups),
            Self::OtherParents(pups) => said!("fault-unlikely-litter-parents", pups = pups),
        }
    }

    /// As it is said where the mating of the litter is.
    fn of_mating(self) -> Text {
        match self {
            Self::Offspring(pups) => said!("fault-fixed-mating-offspring", pups = pups),
            Self::OtherParents(pups) => said!("fault-fixed-mating-parents", pups = pups),
        }
    }
}

/// The field that a correction is said at.
fn corrected<T: PartialEq>(dam_before: T, dam_after: T) -> &'static str {
    if dam_before == dam_after { "/sire_id" } else { "/dam_id" }
}

impl Litter {
    /// Whether its dam or its sire are others than before.
    pub fn has_other_parents(&self, before: &Self) -> bool {
        (before.dam_id, before.sire_id) != (self.dam_id, self.sire_id)
    }

    /// Asks before a correction of the parents reaches pups with offspring or parents of their own.
    ///
    /// # Errors
    /// A fault a question, at the parent that was corrected; none where it is confirmed.
    pub fn admit_parents(&self, before: &Self, pups: &[PupParents]) -> Admission {
        if self.confirmed || !self.has_other_parents(before) {
            return Ok(());
        }
        let mut faults = Faults::new();
        for question in QuestionOfParents::of(before, pups) {
            faults.add(corrected(before.dam_id, self.dam_id), question.of_litter());
        }
        without(faults.into_vec())
    }

    /// The same with the parents of its mating, when those were corrected.
    #[must_use]
    pub fn with_parents_of(&self, mating: &Mating) -> Self {
        Self { dam_id: mating.dam_id, sire_id: Some(mating.sire_id), ..self.clone() }
    }
}

impl Mating {
    /// Whether its dam or its sire are others than before.
    pub fn has_other_parents(&self, before: &Self) -> bool {
        (before.dam_id, before.sire_id) != (self.dam_id, self.sire_id)
    }

    /// Refuses a correction that would change pups with offspring or parents of their own: that is asked
    /// where the litter is, and here nothing confirms it.
    ///
    /// # Errors
    /// A fault for the first question, at the parent that was corrected.
    pub fn admit_parents(&self, before: &Self, litter: &Litter, pups: &[PupParents]) -> Admission {
        if !self.has_other_parents(before) {
            return Ok(());
        }
        match QuestionOfParents::of(litter, pups).into_iter().next() {
            Some(question) => {
                Err(Refusal::at(corrected(before.dam_id, self.dam_id), question.of_mating()))
            }
            None => Ok(()),
        }
    }
}
