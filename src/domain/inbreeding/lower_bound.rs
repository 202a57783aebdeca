//! Why an inbreeding coefficient is a lower bound, and how much of the pedigree is behind it.
//!
//! Every pedigree ends. By convention ancestors beyond it count as unrelated and a dog with an
//! unknown parent has F = 0 (Wright 1922; Malecot 1948), so that what is not known can only add.

use crate::pedigree::completeness::Depth;
use catalogue::{Text, figure, said};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What is not known of a pedigree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum UnknownAncestry {
    /// Neither parent.
    BothParents,
    /// The sire.
    Sire,
    /// The dam.
    Dam,
    /// Both parents are known, some ancestors before them are not.
    Ancestors,
}

/// Why a coefficient is a lower bound.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LowerBound {
    /// What is not known.
    pub unknown: UnknownAncestry,
    /// First generation with an unknown place; 1 is that of the parents.
    #[schema(example = 4)]
    pub unknown_from_generation: u32,
    /// Complete generation equivalents of what is known.
    #[schema(example = 6.4)]
    pub complete_generation_equivalents: f64,
    /// The same in a sentence.
    #[schema(
        value_type = String,
        example = "A lower bound: from generation 4 on ancestors are not known and count as unrelated; known are 6.4 complete generations."
    )]
    pub why: Text,
}

/// The sentence that stands beside many coefficients at once.
pub fn about_inbreeding() -> Text {
    said!("about-inbreeding")
}

impl LowerBound {
    /// Of a dog with these known parents and this depth of pedigree.
    pub fn of(sire_known: bool, dam_known: bool, depth: Depth) -> Self {
        let generations = || figure(depth.equivalents, 1);
        let (unknown, why) = match (sire_known, dam_known) {
            (false, false) => (UnknownAncestry::BothParents, said!("lower-bound-neither")),
            (false, true) => {
                (UnknownAncestry::Sire, said!("lower-bound-sire", generations = generations()))
            }
            (true, false) => {
                (UnknownAncestry::Dam, said!("lower-bound-dam", generations = generations()))
            }
            (true, true) => (
                UnknownAncestry::Ancestors,
                said!(
                    "lower-bound-ancestors",
                    from_generation = depth.full + 1,
                    generations = generations()
                ),
            ),
        };
        Self {
            unknown,
            unknown_from_generation: depth.full + 1,
            complete_generation_equivalents: depth.equivalents,
            why,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn says_what_is_not_known() {
        let founder = Depth::default();
        let pup = Depth::of_offspring(Some(founder), Some(founder));
        let of = |sire, dam, depth| {
            let found = LowerBound::of(sire, dam, depth);
            (found.unknown, found.unknown_from_generation)
        };
        assert_eq!(of(true, true, pup), (UnknownAncestry::Ancestors, 2));
        assert_eq!(of(false, false, founder), (UnknownAncestry::BothParents, 1));
        let half = Depth::of_offspring(Some(pup), None);
        assert_eq!(of(true, false, half), (UnknownAncestry::Dam, 1));
        assert_eq!(of(false, true, half), (UnknownAncestry::Sire, 1));
        let why = LowerBound::of(true, false, half).why;
        assert!(why.contains("0 by convention") && why.contains("1.0 complete"), "{why}");
        assert!(about_inbreeding().contains("lower bound"));
    }
}
