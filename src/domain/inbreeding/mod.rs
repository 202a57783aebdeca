//! Inbreeding and kinship, exact over the whole pedigree.
//!
//! The kinship of two animals is the probability that a gene drawn from one and a gene drawn from
//! the other at the same place are copies of one ancestral gene; the inbreeding coefficient F of
//! an animal is the kinship of its parents (Wright 1922, Am Nat 56:330-338; Malecot 1948, Les
//! mathematiques de l'heredite). Founders count as unrelated and not inbred; an animal with an
//! unknown parent has F = 0. All figures are fractions (0-1).
//!
//! | question | file |
//! |---|---|
//! | F of every animal | [`coefficients`] |
//! | a pedigree with all its F, kept while it grows | [`Studbook`] |
//! | kinship of two, F of a trial mating | [`kinship`] |
//! | F of every pair of a list of dams and sires | [`kinship_grid`] |
//! | F limited to some generations | [`limited`] |
//! | what is not known, and so might add to it | [`lower_bound`] |
//! | where the F comes from | [`explanation`] |
//! | shares of blood, founders | [`contributions`] |
//! | rate of inbreeding, effective size | [`population`] |
//! | all of it by dog, for a person | [`report`], [`choice`] |

mod ancestry;
mod by_sire;
pub mod choice;
pub(crate) mod contributions;
pub mod explanation;
mod grid;
pub(crate) mod limited;
pub mod lower_bound;
mod pair;
pub mod population;
pub mod report;
mod studbook;

pub use grid::kinship_grid;
pub use pair::kinship;
pub(crate) use pair::mean_kinships;
pub use studbook::Studbook;

pub(crate) use ancestry::{Ancestry, ancestors};

use super::pedigree::{Animal, Parents, UNKNOWN};

/// F of every animal, by position, on up to `threads` threads.
pub fn coefficients(parents: &Parents, threads: usize) -> Vec<f64> {
    by_sire::coefficients(parents, threads.max(1))
}

/// The part of an animal's genetic variance that its parents do not explain: the diagonal of D
/// in A = TDT' (Henderson 1976, Biometrics 32:69-83; with inbreeding: Quaas 1976, 32:949-953).
#[inline]
fn mendelian_variance(pair: [Animal; 2], inbreeding: impl Fn(Animal) -> f64) -> f64 {
    let explained = |p: Animal| if p == UNKNOWN { 0.0 } else { (1.0 + inbreeding(p)) / 4.0 };
    1.0 - explained(pair[0]) - explained(pair[1])
}

#[cfg(test)]
mod tests;
