//! What can the pups of a mating inherit, by the genotype tests of the parents and their kin?
//!
//! Markers, their alleles and inheritance are data (`rules/markers.toml`). Chances are exact
//! rational numbers; they become fractions of 1 only in the report. What is not known widens a
//! chance to a range instead of being guessed.

mod book;
mod catalogue;
mod cautions;
mod family;
mod mating;
mod peeling;
mod ratio;
mod result;
mod risk;
#[cfg(test)]
mod tests;

pub(crate) use book::GenotypeBook;
pub use book::{GeneticRiskKind, PairGeneticRisk};
pub use catalogue::{Genotype, Inheritance, Marker, MarkerCatalogue, MarkerKind};
pub(crate) use cautions::double_merle_harm;
pub use family::{AlleleFrequencies, FamilyMember, MarkerFamily};
pub use mating::{
    GenotypeBasis, GenotypeChance, MarkerClassChance, MarkerMatingReport, MarkerOutlook,
    MatingGenotypes, ParentGenotype, TrialMatingGenetics,
};
pub(crate) use ratio::{Bounds, ratio, to_f64};
pub use ratio::{MendelianChance, Ratio};
pub(crate) use result::UNKNOWN_ALLELE;
pub use result::{Evidence, GenotypeResult};
pub use risk::{MarkerRisk, RiskCopies, RiskMeasure};
