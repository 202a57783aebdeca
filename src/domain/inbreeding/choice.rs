//! Figures to choose matings by: a grid of trial matings, mean kinship, shares of blood.

use super::{
    Studbook,
    contributions::blood_shares,
    kinship_grid,
    limited::inbreeding_within,
    mean_kinships,
    population::{InbreedingRate, inbreeding_rate},
};
use crate::pedigree::{
    Animal, PedigreeError, PedigreeRow,
    completeness::{Depth, depths_among},
};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeSet, HashMap};
use utoipa::ToSchema;
use uuid::Uuid;

/// The inbreeding of pups of one pair, as one cell of a grid.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct TrialPair {
    /// The dam.
    pub dam_id: Uuid,
    /// The sire.
    pub sire_id: Uuid,
    /// Inbreeding coefficient of the pups over the whole pedigree (0-1): a lower bound, since
    /// ancestors that are not known count as unrelated.
    #[schema(example = 0.0654)]
    pub inbreeding: f64,
    /// The coefficient over the nearest generations only, when a number of them was asked for.
    #[schema(example = 0.0312)]
    pub limited_inbreeding: Option<f64>,
    /// Complete generation equivalents of the pups' pedigree.
    #[schema(example = 6.4)]
    pub complete_generation_equivalents: f64,
    /// Generations back to the nearest unknown parent, all before it being known.
    #[schema(example = 3)]
    pub full_generations: u32,
    /// Generations back to the most distant known ancestor.
    #[schema(example = 14)]
    pub deepest_generation: u32,
    /// First generation with an unknown place, from which on the figure is a lower bound; 1 is that
    /// of the parents.
    #[schema(example = 4)]
    pub unknown_from_generation: u32,
}

/// A dog's mean kinship with a group.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct MeanKinship {
    /// The dog.
    pub dog_id: Uuid,
    /// Mean kinship with the group, itself included if it is in it (0-1): low for a dog whose
    /// blood is rare in the group.
    #[schema(example = 0.0813)]
    pub mean_kinship: f64,
}

impl MeanKinship {
    /// The mean over a group of the mean kinships within it; `None` for a group of nobody.
    pub fn mean_of(kinships: &[Self]) -> Option<f64> {
        let sum: f64 = kinships.iter().map(|one| one.mean_kinship).sum();
        (!kinships.is_empty()).then(|| sum / kinships.len() as f64)
    }
}

/// An ancestor's part in the blood.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BloodShare {
    /// The ancestor.
    pub dog_id: Uuid,
    /// Expected share of the genes (0-1); those of one line overlap.
    #[schema(example = 0.25)]
    pub share: f64,
    /// Whether neither of its parents is known.
    #[schema(example = false)]
    pub is_founder: bool,
}

impl Studbook<Uuid> {
    /// The inbreeding of pups of every dam with every sire, dam by dam; over `generations` too
    /// if given, which takes a computation for each pair (about a millisecond at ten generations
    /// of a large pedigree).
    ///
    /// # Errors
    /// One of them is not in the pedigree.
    pub fn trial_pairs(
        &self,
        dam_ids: &[Uuid],
        sire_ids: &[Uuid],
        generations: Option<u32>,
    ) -> Result<Vec<TrialPair>, PedigreeError<Uuid>> {
        let parents = self.pedigree().parents();
        let (dams, sires) = (self.positions(dam_ids)?, self.positions(sire_ids)?);
        let grid = kinship_grid(parents, self.coefficients(), &dams, &sires);
        let both: Vec<Animal> = dams.iter().chain(&sires).copied().collect();
        let depths = depths_among(parents, &both);
        let (dam_depths, sire_depths) = depths.split_at(dams.len());
        let mut pairs = Vec::with_capacity(dams.len() * sires.len());
        for (row, dam) in dams.iter().enumerate() {
            for (column, sire) in sires.iter().enumerate() {
                crate::stop::look();
                let depth = Depth::of_offspring(Some(sire_depths[column]), Some(dam_depths[row]));
                pairs.push(TrialPair {
                    dam_id: dam_ids[row],
                    sire_id: sire_ids[column],
                    inbreeding: grid[row][column],
                    limited_inbreeding: generations
                        .map(|limit| inbreeding_within(parents, *sire, *dam, limit)),
                    complete_generation_equivalents: depth.equivalents,
                    full_generations: depth.full,
                    deepest_generation: depth.deepest,
                    unknown_from_generation: depth.full + 1,
                });
            }
        }
        Ok(pairs)
    }

    /// The mean kinship of each dog with the group, lowest first; none for an empty group.
    ///
    /// # Errors
    /// One of them is not in the pedigree.
    pub fn mean_kinships(
        &self,
        dog_ids: &[Uuid],
        group_ids: &[Uuid],
    ) -> Result<Vec<MeanKinship>, PedigreeError<Uuid>> {
        let (dogs, group) = (self.positions(dog_ids)?, self.positions(group_ids)?);
        let parents = self.pedigree().parents();
        let means = mean_kinships(parents, self.coefficients(), &dogs, &group);
        let mut found: Vec<MeanKinship> = dog_ids
            .iter()
            .zip(means.unwrap_or_default())
            .map(|(dog_id, mean_kinship)| MeanKinship { dog_id: *dog_id, mean_kinship })
            .collect();
        found.sort_by(|a, b| a.mean_kinship.total_cmp(&b.mean_kinship));
        Ok(found)
    }

    /// The rate of inbreeding in a group; `None` if no dog of it has a known grandparent.
    ///
    /// # Errors
    /// One of them is not in the pedigree.
    pub fn inbreeding_rate(
        &self,
        group_ids: &[Uuid],
    ) -> Result<Option<InbreedingRate>, PedigreeError<Uuid>> {
        let group = self.positions(group_ids)?;
        Ok(inbreeding_rate(self.pedigree().parents(), self.coefficients(), &group))
    }

    /// Expected shares of a dog's ancestors in its genes, largest first.
    ///
    /// # Errors
    /// The dog is not in the pedigree.
    pub fn ancestor_shares(&self, dog_id: Uuid) -> Result<Vec<BloodShare>, PedigreeError<Uuid>> {
        let dog = self.position(dog_id)?;
        let shares = blood_shares(self.pedigree().parents(), &[dog]);
        let ancestors = shares.ancestors.iter().filter(|one| one.ancestor != dog);
        Ok(ancestors
            .map(|one| BloodShare {
                dog_id: *self.pedigree().id(one.ancestor),
                share: one.share,
                is_founder: one.is_founder,
            })
            .collect())
    }

    /// Kinship of every two of some dogs, for a plan.
    ///
    /// # Errors
    /// One of them is not in the pedigree.
    pub(crate) fn kinship_values(&self, dog_ids: &[Uuid]) -> Result<Vec<f64>, PedigreeError<Uuid>> {
        let dogs = self.positions(dog_ids)?;
        let grid = kinship_grid(self.pedigree().parents(), self.coefficients(), &dogs, &dogs);
        Ok(grid.into_iter().flatten().collect())
    }

    /// Complete generation equivalents of the pedigree of each dog.
    ///
    /// # Errors
    /// One of them is not in the pedigree.
    pub(crate) fn generation_equivalents(
        &self,
        dog_ids: &[Uuid],
    ) -> Result<HashMap<Uuid, f64>, PedigreeError<Uuid>> {
        let depths = depths_among(self.pedigree().parents(), &self.positions(dog_ids)?);
        Ok(dog_ids.iter().copied().zip(depths.into_iter().map(|depth| depth.equivalents)).collect())
    }

    /// Some dogs and their ancestors over `generations`, each once with its parents; parents
    /// beyond are left out.
    ///
    /// # Errors
    /// One of them is not in the pedigree.
    pub fn near_ancestors(
        &self,
        dog_ids: &[Uuid],
        generations: u32,
    ) -> Result<Vec<PedigreeRow<Uuid>>, PedigreeError<Uuid>> {
        let parents = self.pedigree().parents();
        let mut found: BTreeSet<Animal> = self.positions(dog_ids)?.into_iter().collect();
        let mut last: Vec<Animal> = found.iter().copied().collect();
        for _ in 0..generations {
            let above: BTreeSet<Animal> = last.iter().flat_map(|dog| parents.known(*dog)).collect();
            last = above.into_iter().filter(|dog| found.insert(*dog)).collect();
        }
        let near = |dog: Option<Animal>| {
            dog.filter(|dog| found.contains(dog)).map(|dog| *self.pedigree().id(dog))
        };
        let row = |dog: &Animal| PedigreeRow {
            id: *self.pedigree().id(*dog),
            sire: near(parents.sire(*dog)),
            dam: near(parents.dam(*dog)),
        };
        Ok(found.iter().map(row).collect())
    }

    fn positions(&self, ids: &[Uuid]) -> Result<Vec<Animal>, PedigreeError<Uuid>> {
        ids.iter().map(|id| self.position(*id)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pedigree::{Pedigree, PedigreeRow};

    /// Small ids for a small pedigree: 1 and 2 unrelated; 3 and 4 full sibs; 5 half sib by 1.
    fn book() -> Studbook<Uuid> {
        let rows = [(3, 1, 2), (4, 1, 2), (5, 1, 0), (6, 3, 4)];
        let id = |n: u128| (n > 0).then(|| Uuid::from_u128(n));
        let row =
            |(n, sire, dam)| PedigreeRow { id: Uuid::from_u128(n), sire: id(sire), dam: id(dam) };
        Studbook::compute(Pedigree::build(rows.map(row)).unwrap(), 1)
    }

    fn id(n: u128) -> Uuid {
        Uuid::from_u128(n)
    }

    #[test]
    fn ranks_pairs_and_kinships() {
        let pairs = book().trial_pairs(&[id(4), id(5)], &[id(3)], Some(2)).unwrap();
        let figures: Vec<_> =
            pairs.iter().map(|p| (p.dam_id, p.inbreeding, p.limited_inbreeding)).collect();
        assert_eq!(figures, [(id(4), 0.25, Some(0.25)), (id(5), 0.125, Some(0.125))]);
        assert_eq!(pairs[1].complete_generation_equivalents, 1.75);
        assert_eq!((pairs[1].full_generations, pairs[1].unknown_from_generation), (1, 2));
        // Kinships of 2 and 3 with themselves 1/2, with each other 1/4.
        let means = book().mean_kinships(&[id(3), id(1), id(2)], &[id(2), id(3)]).unwrap();
        let means: Vec<_> = means.iter().map(|m| (m.dog_id, m.mean_kinship)).collect();
        assert_eq!(means, [(id(1), 0.125), (id(3), 0.375), (id(2), 0.375)]);
        assert_eq!(book().mean_kinships(&[id(3)], &[]), Ok(vec![]));
        let shares = book().ancestor_shares(id(6)).unwrap();
        assert_eq!(shares.len(), 4);
        assert!(shares.iter().all(|one| one.share == 0.5));
        let rate = book().inbreeding_rate(&[id(6)]).unwrap().unwrap();
        assert_eq!((rate.rate_of_inbreeding, rate.effective_size), (0.25, Some(2.0)));
    }
}
