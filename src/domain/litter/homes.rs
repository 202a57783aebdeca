//! Where the pups go: papers, accounts, and rules that an owner has set aside.

use super::ByDog;
use crate::{
    readiness::{BalanceFact, PaperDone, ReadinessOverride},
    record::{Kept, Paper, SetAside},
};
use std::collections::BTreeMap;
use uuid::Uuid;

/// What is recorded of the pups' new homes; the placements themselves are in the core.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Homes {
    /// Papers by pup, oldest first.
    pub papers: ByDog<Kept<Paper>>,
    /// Rules set aside by pup, oldest first.
    pub set_aside: ByDog<Kept<SetAside>>,
    /// How the account of each pup's sale stands; a pup without one is not sold.
    pub balances: BTreeMap<Uuid, BalanceFact>,
}

impl Homes {
    /// The papers of a pup that are there.
    pub(crate) fn papers_done(&self, dog_id: Uuid) -> Vec<PaperDone> {
        let done = |kept: &Kept<Paper>| PaperDone {
            paper: kept.record.paper.clone(),
            done_on: kept.record.done_on,
        };
        self.papers.of(dog_id).iter().map(done).collect()
    }

    /// The rules set aside for a pup, by whom and why.
    pub(crate) fn overrides(&self, dog_id: Uuid) -> Vec<ReadinessOverride> {
        let rule = |kept: &Kept<SetAside>| {
            let SetAside { rule, reason, by, on, .. } = &kept.record;
            Some(ReadinessOverride {
                rule: *rule,
                reason: reason.clone(),
                by: by.clone()?,
                on: (*on)?,
            })
        };
        self.set_aside.of(dog_id).iter().filter_map(rule).collect()
    }
}
