//! Expected shares of blood: how much of an animal's genes come from each ancestor and founder.

use super::ancestry::Ancestry;
use crate::pedigree::{Animal, Parents};

/// An ancestor's expected share of an animal's genes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct AncestorShare {
    /// The ancestor.
    pub ancestor: Animal,
    /// Expected share of the animal's genes (0-1): the sum over all lines to it of one half to
    /// the power of their length.
    pub share: f64,
    /// Whether neither of its parents is known.
    pub is_founder: bool,
}

/// The shares of all ancestors, and how much comes from parents that are not known.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct BloodShares {
    /// All ancestors, largest share first. Ancestors of one line overlap; founders do not.
    pub ancestors: Vec<AncestorShare>,
    /// Share that comes from the unknown parent of animals with one known parent (0-1). With the
    /// founders' shares it sums to one.
    pub unknown: f64,
}

/// Expected shares of the ancestors of `animals`, themselves included, on average over them. Give
/// sire and dam for the pups of a mating.
pub(crate) fn blood_shares(parents: &Parents, animals: &[Animal]) -> BloodShares {
    let unweighted = vec![0.0; parents.len()];
    let ancestry = Ancestry::of(parents, &unweighted, animals);
    let mut held = vec![[0.0f64]; ancestry.len() + 1];
    for at in animals.iter().filter_map(|animal| ancestry.find(*animal)) {
        held[at][0] += 1.0 / animals.len() as f64;
    }
    ancestry.up(&mut held);
    let nobody = ancestry.len() as u32;
    let mut shares = BloodShares { ancestors: Vec::new(), unknown: 0.0 };
    for (at, animal) in ancestry.animals.iter().enumerate() {
        let unknown = ancestry.pairs[at].iter().filter(|parent| **parent == nobody).count();
        let share = held[at][0];
        if unknown == 1 {
            shares.unknown += share / 2.0;
        }
        let is_founder = unknown == 2;
        shares.ancestors.push(AncestorShare { ancestor: *animal, share, is_founder });
    }
    shares.ancestors.sort_by(|a, b| b.share.total_cmp(&a.share).then(a.ancestor.cmp(&b.ancestor)));
    shares
}
