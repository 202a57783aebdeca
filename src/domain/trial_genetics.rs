//! What can the pups of a mating inherit? Genotypes with what they show, coat colours, shares of breeds.

use crate::{
    breeds::{BreedFamily, BreedMember, BreedShareReport, GeneticMap},
    coat_colour::{PupColourReport, pup_colours},
    fault::Fault,
    markers::{
        AlleleFrequencies, GenotypeResult, MarkerCatalogue, MarkerFamily, MarkerMatingReport,
        TrialMatingGenetics,
    },
    pedigree::PedigreeRow,
    record::FreeTest,
    rules::Rules,
    seen_traits::{TraitSigns, pair_cautions},
};
use serde::Serialize;
use std::collections::{HashMap, HashSet};
use utoipa::ToSchema;
use uuid::Uuid;

mod free;
#[cfg(test)]
mod tests;

pub use free::{FreeTestGiven, FreeTestOutlook};

/// Generations whose tests tell of an untested parent.
pub const TESTED_GENERATIONS: u32 = 3;
/// Generations whose breeds count; of one beyond, its own breed as written stands.
pub const BREED_GENERATIONS: u32 = 6;

/// What pups of a mating can inherit.
#[derive(Debug, Serialize, ToSchema)]
pub struct TrialGenetics {
    /// Genotypes and what they show, marker by marker, with cautions.
    pub genotypes: MarkerMatingReport,
    /// Coat colours; null while no dog of the family is tested for a colour locus.
    pub colours: Option<PupColourReport>,
    /// Shares of breeds.
    pub breeds: BreedShareReport,
    /// Tests that the catalogue does not know, of which the dam or the sire has a result.
    pub free_tests: Vec<FreeTestOutlook>,
}

/// What is known of a dam, a sire and those before them.
#[derive(Debug, Clone)]
pub struct TrialFamily<'a> {
    /// The dam.
    pub dam_id: Uuid,
    /// The sire.
    pub sire_id: Uuid,
    /// Both, and their ancestors over [`TESTED_GENERATIONS`].
    pub ancestors: &'a [PedigreeRow<Uuid>],
    /// The results of these on file.
    pub results: &'a [(Uuid, GenotypeResult)],
    /// Their tests that the catalogue does not know.
    pub free_tests: &'a [FreeTest],
    /// What is seen of their coats, of those that whoever asks may see.
    pub signs: &'a HashMap<Uuid, TraitSigns>,
    /// Both, and their ancestors over [`BREED_GENERATIONS`], with their breeds.
    pub breeds: Vec<BreedMember>,
}

impl TrialFamily<'_> {
    /// What the pups can inherit; `markers` are answered beyond those that somebody is tested for,
    /// `frequencies` tell of untested founders.
    ///
    /// # Errors
    /// All faults of the results, the markers and the frequencies.
    pub fn genetics(
        self,
        markers: &[String],
        frequencies: &[AlleleFrequencies],
        rules: &Rules,
    ) -> Result<TrialGenetics, Vec<Fault>> {
        let free_tests = free::outlooks(&self, rules);
        let Self { dam_id, sire_id, ancestors, results, signs, breeds, .. } = self;
        let seen = match [dam_id, sire_id].map(|id| signs.get(&id)) {
            [Some(dam), Some(sire)] => pair_cautions(dam, sire, rules),
            _ => Vec::new(),
        };
        let family = MarkerFamily::of_pedigree(ancestors, &HashSet::from([dam_id]), results)?;
        let catalogue = MarkerCatalogue::standard();
        let mating = TrialMatingGenetics {
            family: &family,
            dam_id,
            sire_id,
            catalogue,
            markers,
            frequencies,
        };
        let solved = mating.solve(rules)?;
        let breeds = BreedFamily::new(breeds)?;
        Ok(TrialGenetics {
            genotypes: solved.report_with(&seen, rules),
            colours: pup_colours(&solved, rules).ok(),
            breeds: breeds.shares_of_pups(dam_id, sire_id, GeneticMap::dog(), rules)?,
            free_tests,
        })
    }
}
