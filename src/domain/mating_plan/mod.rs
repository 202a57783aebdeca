//! Which sire for this dam, and which matings this year?
//!
//! Kinship figures come in as a table, so the plan knows nothing of pedigrees. Ranking screens
//! and scores single matings; the proposal chooses a whole year's, with proof of how good it is.

mod breed;
mod candidate;
mod choices;
#[cfg(test)]
mod choices_tests;
mod convex;
mod flow;
mod kinship_table;
#[cfg(test)]
pub(crate) mod limits_tests;
mod plan;
mod proposal;
#[cfg(test)]
mod proposal_tests;
mod ranking;
#[cfg(test)]
mod ranking_tests;
mod score;
mod search;

pub use breed::{BreedDog, BreedGroup, BreedKinship};
pub use candidate::MatingCandidate;
pub(crate) use candidate::PlanContext;
pub use choices::{ChangedMate, ChoiceCost, PairChoice};
pub(crate) use kinship_table::KinshipTable;
pub use plan::{LitterLimit, MatingPlanFacts, MatingPlanRequest, PlannedYear};
pub use proposal::{ParentContribution, ProposedMating, YearProposal};
pub(crate) use proposal::{ProposalAnimal, YearPlanRequest, propose_year};
pub(crate) use ranking::plan_grid;
pub use ranking::{
    ExcludedMating, MatingExclusion, MatingExclusionKind, MatingGrid, RankedMating, SireRanking,
};
pub use score::{MatingScorePart, ScorePartKind};
