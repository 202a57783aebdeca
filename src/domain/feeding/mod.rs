//! How much does the dam need, how much the pup, and when is the next feed.

pub mod dam;
pub mod hand_rearing;
mod next_feed;
pub mod weaning;

pub use dam::{DamEnergy, DamStage, EnergyByOtherRule, dam_energy, dam_energy_weeks};
pub use hand_rearing::{HandFedPup, PupRation, pup_ration};
pub use next_feed::{FeedTaken, NextFeed, next_feed};
pub use weaning::{GrowingEnergy, WeaningPlan, growing_energy, weaned_by, weaning_plan};

#[cfg(test)]
pub(crate) mod early_limits_tests;
#[cfg(test)]
mod figures_tests;
#[cfg(test)]
pub(crate) mod limits_tests;
