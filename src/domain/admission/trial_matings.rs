//! Matings that are only tried: which dogs can be tried with one another, and how many pairs at once.

use super::{Admission, without};
use crate::{fault::Faults, record::Sex};
use catalogue::said;
use std::collections::{HashMap, HashSet};
use uuid::Uuid;

#[cfg(test)]
mod tests;

/// Most pairs of one request: an answer stays under 1 MB.
const MOST_PAIRS: usize = 4_000;
/// Most pairs for which a figure over some generations is computed, each by itself.
const MOST_LIMITED_PAIRS: usize = 2_000;
/// Most pairs that are explained.
const MOST_EXPLAINED: usize = 20;

/// The sex of each dog that whoever asks may see; null where it is not on record.
pub type KnownSexes = HashMap<Uuid, Option<Sex>>;

/// Dams that are tried with sires, each with each.
#[derive(Debug, Clone, Copy)]
pub struct TrialGrid<'a> {
    /// The dams.
    pub dams: &'a [Uuid],
    /// The sires.
    pub sires: &'a [Uuid],
    /// Whether a figure over some generations alone is asked for.
    pub limited: bool,
    /// Whether it is asked where the inbreeding comes from.
    pub explained: bool,
}

impl TrialGrid<'_> {
    /// Refuses more pairs than are computed at once.
    ///
    /// # Errors
    /// A fault at `/sires`, `/generations` or `/explain`.
    pub fn admit_size(&self) -> Admission {
        let pairs = self.dams.len().saturating_mul(self.sires.len());
        let mut faults = Faults::new();
        faults.unless(pairs <= MOST_PAIRS, "/sires", || {
            said!("fault-too-many-pairs", pairs = pairs, most = MOST_PAIRS)
        });
        faults.unless(!self.limited || pairs <= MOST_LIMITED_PAIRS, "/generations", || {
            said!("fault-too-many-pairs-limited", pairs = pairs, most = MOST_LIMITED_PAIRS)
        });
        faults.unless(!self.explained || pairs <= MOST_EXPLAINED, "/explain", || {
            said!("fault-too-many-pairs-explained", pairs = pairs, most = MOST_EXPLAINED)
        });
        without(faults.into_vec())
    }

    /// Refuses dogs that are not there, of the other sex, or twice in a list.
    ///
    /// # Errors
    /// Each fault at its place in `/dams` or `/sires`.
    pub fn admit_parents(&self, sexes: &KnownSexes) -> Admission {
        let mut faults = Faults::new();
        for (list, dogs, wanted) in
            [("dams", self.dams, Sex::Female), ("sires", self.sires, Sex::Male)]
        {
            let mut seen = HashSet::new();
            for (index, dog) in dogs.iter().enumerate() {
                let pointer = format!("/{list}/{index}");
                check_parent(&pointer, *dog, wanted, sexes, &mut faults);
                faults.unless(seen.insert(dog), &pointer, || said!("fault-twice-dog-of-list"));
            }
        }
        without(faults.into_vec())
    }
}

/// A dam that is tried with a sire.
#[derive(Debug, Clone, Copy)]
pub struct TrialParents {
    /// The dam.
    pub dam_id: Uuid,
    /// The sire.
    pub sire_id: Uuid,
}

impl TrialParents {
    /// Refuses dogs that are not there or of the other sex, and one dog as both.
    ///
    /// # Errors
    /// Each fault at `/dam_id` or `/sire_id`.
    pub fn admit(&self, sexes: &KnownSexes) -> Admission {
        let mut faults = Faults::new();
        check_parent("/dam_id", self.dam_id, Sex::Female, sexes, &mut faults);
        check_parent("/sire_id", self.sire_id, Sex::Male, sexes, &mut faults);
        faults.unless(self.dam_id != self.sire_id, "/sire_id", || {
            said!("fault-not-together-sire-is-dam-too")
        });
        without(faults.into_vec())
    }
}

fn check_parent(pointer: &str, dog: Uuid, wanted: Sex, sexes: &KnownSexes, faults: &mut Faults) {
    match sexes.get(&dog) {
        None => faults.add(pointer, said!("fault-not-found-dog-of-list")),
        Some(Some(sex)) if *sex != wanted => {
            let detail = match wanted {
                Sex::Female => said!("fault-wrong-sex-not-female"),
                Sex::Male => said!("fault-wrong-sex-not-male"),
            };
            faults.add(pointer, detail);
        }
        Some(_) => {}
    }
}
