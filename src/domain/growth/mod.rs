//! How do the pups grow: gain, rank, norms, what a weight probably means, and who is in danger.
//!
//! Ages in days with a fraction are time since birth; days are counted on the kennel's calendar.

pub(crate) mod forecast;
mod litter_pace;
mod memory;
pub(crate) mod model;
pub mod own_lines;
pub mod plausibility;
mod prior;
mod regimes;
mod scale_jump;
#[cfg(test)]
pub(crate) mod scale_jump_tests;
mod scale_step;
pub mod series;
pub mod standards;
pub(crate) mod summary;
pub(crate) mod swap;
pub(crate) mod warning;
mod weight_batch;

pub(crate) use forecast::weight_reached_on;
pub use forecast::{LitterForecast, litter_forecast};
pub use memory::GrowthMemory;
pub use model::GrowthModel;
pub use plausibility::{WeightVerdict, plausibility};
pub use scale_jump::ScaleJump;
pub(crate) use series::median;
pub use series::{GrowthLitter, GrowthPup, Weighing, WeightPoint};
pub use standards::{BirthWeightClass, BirthWeightGrade};
pub use summary::{LitterGrowth, PupGrowth, WeightChange, litter_figures, litter_growth};
pub use swap::{SwapProposal, find_swaps};
pub use warning::{PupRisk, RiskLevel, litter_risks};
pub use weight_batch::{BatchVerdict, OfferedWeight, judge_weights};

#[cfg(test)]
pub(crate) mod hours_limits_tests;
#[cfg(test)]
pub(crate) mod limits_tests;
#[cfg(test)]
mod model_tests;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod watch_tests;
#[cfg(test)]
mod weights_tests;
