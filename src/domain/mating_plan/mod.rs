//! Which sire for this dam, and which matings this year?

mod convex;
mod flow;
mod kinship_table;
mod proposal;
#[cfg(test)]
mod proposal_tests;
mod search;

pub use kinship_table::KinshipTable;
pub use proposal::{
    ParentContribution, ProposalAnimal, ProposalPair, ProposedMating, YearPlanRequest,
    YearProposal, propose_year,
};
