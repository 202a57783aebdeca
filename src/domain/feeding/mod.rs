//! How much does the dam need, how much the pup, and when is the next feed.

pub(crate) mod dam;
pub(crate) mod hand_rearing;
mod next_feed;
mod rearing_plan;
pub(crate) mod weaning;

pub use dam::{DamEnergy, DamStage, EnergyByOtherRule};
pub(crate) use dam::{dam_energy, dam_energy_weeks};
pub use hand_rearing::PupRation;
pub(crate) use hand_rearing::{HandFedPup, pup_ration};
pub use next_feed::NextFeed;
pub(crate) use next_feed::{FeedTaken, next_feed};
pub(crate) use rearing_plan::{Orphan, rearing_plan};
pub use rearing_plan::{RearingDay, RearingFigure, RearingPlan, RearingSubject, Toileting};
pub use weaning::{GrowingEnergy, WeaningPlan, weaned_by};
pub(crate) use weaning::{growing_energy, weaning_plan};

#[cfg(test)]
pub(crate) mod early_limits_tests;
#[cfg(test)]
mod figures_tests;
#[cfg(test)]
pub(crate) mod limits_tests;
