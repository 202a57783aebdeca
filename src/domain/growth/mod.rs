//! How do the pups grow: gain, rank, norms, what a weight probably means, and who is in danger.
//!
//! Ages in days with a fraction are time since birth; days are counted on the kennel's calendar.

mod cautions;
pub mod series;
pub mod standards;
pub mod summary;

pub use series::{GrowthLitter, GrowthPup, Weighing, WeightPoint};
pub use standards::{BirthWeightClass, BirthWeightGrade, grade_birth_weight};
pub use summary::{LitterGrowth, PupGrowth, litter_growth};

#[cfg(test)]
mod tests;
