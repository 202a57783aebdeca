//! How akin a kennel's dogs, and the pups of a plan, are to the breed.

use super::{MatingGrid, YearProposal, proposal::BreedAim};
use crate::{
    inbreeding::{Studbook, choice::MeanKinship},
    partial_date::PartialDate,
    pedigree::PedigreeError,
    rules::Rules,
};
use chrono::{Months, NaiveDate};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// A dog of a breed of which no death is on record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BreedDog {
    /// The dog.
    pub id: Uuid,
    /// When it was born.
    pub born_on: Option<PartialDate>,
}

/// Dogs of a breed of which no death is on record, of those that whoever asks may see.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BreedGroup {
    /// The breed, as it was asked for.
    pub breed: String,
    /// Its dogs.
    pub dogs: Vec<BreedDog>,
}

/// How dogs are akin to the living dogs of their breed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BreedKinship {
    /// The breed, as it was asked for.
    #[schema(example = "Labrador Retriever")]
    pub breed: String,
    /// Living dogs of it on record.
    #[schema(example = 412)]
    pub dogs: usize,
    /// Mean kinship among them, each with itself included (0-1); null without any.
    #[schema(example = 0.061)]
    pub mean_kinship: Option<f64>,
    /// The dams and sires with their mean kinship to them, rarest blood first.
    pub of_candidates: Vec<MeanKinship>,
    /// Mean kinship to them of the pups of the proposal; null without one.
    #[schema(example = 0.058)]
    pub of_proposal: Option<f64>,
}

impl BreedDog {
    /// Whether it counts as living: no death is known, and it was born at most `breeding.breed_living_years` ago.
    /// A day that is not known whole counts as its last possible one.
    fn lives(&self, on: NaiveDate, rules: &Rules) -> bool {
        // Whole years within the bounds of the rule.
        let months = (12.0 * rules.value("breeding.breed_living_years")).max(0.0) as u32;
        let oldest = on.checked_sub_months(Months::new(months));
        self.born_on.zip(oldest).is_some_and(|(born, oldest)| born.latest() >= oldest)
    }
}

impl BreedGroup {
    /// How candidates are akin to the living dogs of the breed.
    ///
    /// Mean kinship after Ballou & Lacy 1995: fractions 0-1, founders unrelated, a dog of the breed with itself
    /// included.
    ///
    /// # Errors
    /// A dog that is not in the pedigree.
    pub(super) fn kinship(
        &self,
        book: &Studbook<Uuid>,
        candidates: &[Uuid],
        on: NaiveDate,
        rules: &Rules,
    ) -> Result<BreedKinship, PedigreeError<Uuid>> {
        let living: Vec<Uuid> =
            self.dogs.iter().filter(|dog| dog.lives(on, rules)).map(|dog| dog.id).collect();
        let within = book.mean_kinships(&living, &living)?;
        Ok(BreedKinship {
            breed: self.breed.clone(),
            dogs: living.len(),
            mean_kinship: MeanKinship::mean_of(&within),
            of_candidates: book.mean_kinships(candidates, &living)?,
            of_proposal: None,
        })
    }
}

impl BreedKinship {
    fn of(&self, dog: Uuid) -> Option<f64> {
        let found = self.of_candidates.iter().find(|one| one.dog_id == dog)?;
        Some(found.mean_kinship)
    }

    /// What a plan makes low when kinship to the breed weighs so much.
    pub(super) fn aim(&self, weight: f64) -> BreedAim {
        let of_dogs = self.of_candidates.iter().map(|one| (one.dog_id, one.mean_kinship));
        BreedAim { weight, of_dogs: of_dogs.collect() }
    }

    fn of_pups(&self, dam: Uuid, sire: Uuid) -> Option<f64> {
        Some(0.5 * (self.of(dam)? + self.of(sire)?))
    }

    /// Tells of every mating how akin its pups are to the breed.
    pub(super) fn tell(&self, grid: &mut MatingGrid, proposal: Option<&mut YearProposal>) {
        for mating in grid.dams.iter_mut().flat_map(|dam| &mut dam.ranked) {
            mating.mean_kinship_to_breed = self.of_pups(mating.dam_id, mating.sire_id);
        }
        for mating in proposal.into_iter().flat_map(|proposal| &mut proposal.matings) {
            mating.mean_kinship_to_breed = self.of_pups(mating.dam_id, mating.sire_id);
        }
    }

    /// The same with the mean over the pups of a proposal.
    pub(super) fn of_proposal(mut self, proposal: Option<&YearProposal>) -> Self {
        self.of_proposal = proposal.and_then(|proposal| {
            let shares = proposal.contributions.iter();
            shares.map(|one| Some(one.contribution * self.of(one.dog_id)?)).sum()
        });
        self
    }
}
