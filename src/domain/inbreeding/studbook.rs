//! A pedigree together with the inbreeding of all its animals, kept in step while it grows.

use super::{coefficients, kinship};
use crate::pedigree::{Animal, Pedigree, PedigreeError, PedigreeRow, UNKNOWN};

/// From one mating in so many animals on, computing all anew is faster than one by one.
const ANIMALS_A_MATING: usize = 200;
/// So many are computed one by one in any pedigree.
const FEW_MATINGS: usize = 20;

/// A pedigree and F of every animal in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Studbook<Id> {
    pedigree: Pedigree<Id>,
    inbreeding: Vec<f64>,
}

impl<Id: Ord + Clone> Studbook<Id> {
    /// Computes F of every animal, on up to `threads` threads.
    pub fn compute(pedigree: Pedigree<Id>, threads: usize) -> Self {
        let inbreeding = coefficients(pedigree.parents(), threads);
        Self { pedigree, inbreeding }
    }

    /// A pedigree with F of each of its animals by position, as they were; `None` where these cannot be.
    pub fn restored(pedigree: Pedigree<Id>, inbreeding: Vec<f64>) -> Option<Self> {
        let fits = inbreeding.len() == pedigree.len();
        let are_shares = || inbreeding.iter().all(|f| (-1e-9..=1.0 + 1e-9).contains(f));
        (fits && are_shares()).then_some(Self { pedigree, inbreeding })
    }

    /// The pedigree.
    pub fn pedigree(&self) -> &Pedigree<Id> {
        &self.pedigree
    }

    /// F of every animal by position.
    pub fn coefficients(&self) -> &[f64] {
        &self.inbreeding
    }

    /// F of an animal; `None` if it is not there.
    pub fn inbreeding(&self, id: &Id) -> Option<f64> {
        self.pedigree.find(id).map(|animal| self.inbreeding[animal as usize])
    }

    /// The inbreeding of pups of a sire and a dam.
    ///
    /// # Errors
    /// One of them is not in the pedigree.
    pub fn trial_mating(&self, sire: &Id, dam: &Id) -> Result<f64, PedigreeError<Id>> {
        let (sire, dam) = (self.find(sire)?, self.find(dam)?);
        Ok(kinship(self.pedigree.parents(), &self.inbreeding, sire, dam))
    }

    /// Adds animals, parents before their offspring: a litter costs one mating's computation.
    /// Coefficients of the others never change by it.
    ///
    /// # Errors
    /// An animal is there already, or its parents cannot be; the animals before it are in.
    pub fn append(
        &mut self,
        rows: impl IntoIterator<Item = PedigreeRow<Id>>,
    ) -> Result<(), PedigreeError<Id>> {
        for row in rows {
            let added = self.pedigree.append(row)?;
            self.inbreeding.resize(self.pedigree.len(), 0.0);
            let previous = added.checked_sub(1).filter(|_| self.has_both_parents(added));
            self.inbreeding[added as usize] = match previous {
                Some(sib) if self.parents_of(sib) == self.parents_of(added) => {
                    self.inbreeding[sib as usize]
                }
                _ => self.of_parents(added),
            };
        }
        Ok(())
    }

    /// Replaces the parents of an animal and computes it and its descendants again; all others
    /// stay. Answers the ids whose coefficient changed.
    ///
    /// # Errors
    /// The animal is not there, or the parents cannot be; nothing has changed then.
    pub fn set_parents(
        &mut self,
        row: PedigreeRow<Id>,
        threads: usize,
    ) -> Result<Vec<Id>, PedigreeError<Id>> {
        let id = row.id.clone();
        if let Some(moved) = self.pedigree.set_parents(row)? {
            let old = std::mem::take(&mut self.inbreeding);
            self.inbreeding = vec![0.0; self.pedigree.len()];
            for (now, f) in moved.into_iter().zip(old) {
                self.inbreeding[now as usize] = f;
            }
        }
        let again = self.pedigree.parents().with_descendants(self.find(&id)?);
        let before: Vec<f64> = again.iter().map(|a| self.inbreeding[*a as usize]).collect();
        self.compute_again(&again, threads);
        let changed = again
            .into_iter()
            .zip(before)
            .filter(|(animal, before)| *before != self.inbreeding[*animal as usize]);
        Ok(changed.map(|(animal, _)| self.pedigree.id(animal).clone()).collect())
    }

    /// Computes F of `animals`, given in ascending order; F of all their ancestors that are not
    /// among them is known.
    fn compute_again(&mut self, animals: &[Animal], threads: usize) {
        let mut matings: Vec<([Animal; 2], Animal)> =
            animals.iter().map(|animal| (self.parents_of(*animal), *animal)).collect();
        matings.sort_unstable();
        matings.dedup_by_key(|(pair, _)| *pair);
        if matings.len() > FEW_MATINGS + self.pedigree.len() / ANIMALS_A_MATING {
            self.inbreeding = coefficients(self.pedigree.parents(), threads);
            return;
        }
        let mut computed = std::collections::BTreeMap::new();
        for animal in animals {
            let pair = self.parents_of(*animal);
            let f = *computed.entry(pair).or_insert_with(|| self.of_parents(*animal));
            self.inbreeding[*animal as usize] = f;
        }
    }

    fn of_parents(&self, animal: Animal) -> f64 {
        let parents = self.pedigree.parents();
        match (parents.sire(animal), parents.dam(animal)) {
            (Some(sire), Some(dam)) => kinship(parents, &self.inbreeding, sire, dam),
            _ => 0.0,
        }
    }

    fn parents_of(&self, animal: Animal) -> [Animal; 2] {
        self.pedigree.parents().pairs()[animal as usize]
    }

    fn has_both_parents(&self, animal: Animal) -> bool {
        !self.parents_of(animal).contains(&UNKNOWN)
    }

    fn find(&self, id: &Id) -> Result<Animal, PedigreeError<Id>> {
        self.pedigree.find(id).ok_or_else(|| PedigreeError::NotThere(id.clone()))
    }
}
