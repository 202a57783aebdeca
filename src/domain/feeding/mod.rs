//! How much does the dam need, how much the pup, and when is the next feed.

pub mod dam;
pub mod hand_rearing;
pub mod weaning;

pub use dam::{DamEnergy, DamStage, dam_energy, dam_energy_weeks};
pub use hand_rearing::{FeedTaken, HandFedPup, NextFeed, PupRation, next_feed, pup_ration};
pub use weaning::{GrowingEnergy, WeaningPlan, growing_energy, weaning_plan};
