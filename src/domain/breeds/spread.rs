//! Variance of a realised breed share, exact for any pedigree.
//!
//! Follow one gamete (half of a dog's genes) and mark each locus 1 where it is of the breed. With
//! u = exp(−2d) for loci d morgans apart (Haldane), a parent with gametes 1 and 2 passes loci of
//! the same origin with chance (1 + u)/2. So the covariance at two loci is a polynomial in u:
//! of a gamete with itself `(1+u)/4·(C₁₁ + C₂₂) + (1−u)/2·C₁₂ + u/4·(m₁ − m₂)²`, of two different
//! gametes the mean over the younger one's origins. Pure founders have none.

use super::{BreedFamily, GeneticMap, Origin};
use crate::markers::{Ratio, to_f64};
use num_traits::{One, Zero};
use std::collections::{BTreeSet, HashMap};

/// The gamete that a dog received: the dog's place in parents-first order, and which.
type Gamete = (usize, usize);

pub(super) struct Spread<'a> {
    family: &'a BreedFamily,
    /// Rank of each member, parents before offspring.
    rank: Vec<usize>,
    /// Expected share of each member's two gametes.
    means: Vec<[f64; 2]>,
    pure: Vec<[bool; 2]>,
    known: HashMap<(Gamete, Gamete), Vec<f64>>,
}

impl<'a> Spread<'a> {
    /// `None` when a founder among the ancestors is itself a mixture of the breed, of unknown make.
    pub(super) fn new(
        family: &'a BreedFamily,
        breed: &Option<String>,
        ancestors: &BTreeSet<usize>,
    ) -> Option<Self> {
        let size = family.order.len();
        let mut rank = vec![0; size];
        family.order.iter().enumerate().for_each(|(place, at)| rank[*at] = place);
        let mut means = vec![[0.0; 2]; size];
        let mut pure = vec![[false; 2]; size];
        for at in ancestors {
            for (side, origin) in family.origins(*at).into_iter().enumerate() {
                let part = family.of_origin(origin).remove(breed).unwrap_or_else(Ratio::zero);
                pure[*at][side] = part.is_zero() || part.is_one();
                means[*at][side] = to_f64(&part);
                if matches!(origin, Origin::Stated(_)) && !pure[*at][side] {
                    return None;
                }
            }
        }
        Some(Self { family, rank, means, pure, known: HashMap::new() })
    }

    /// Variance of the share of a dog made of these halves.
    pub(super) fn variance(&mut self, halves: [Origin; 2], map: &GeneticMap) -> f64 {
        let mut total = Vec::new();
        for (side, half) in halves.into_iter().enumerate() {
            let Origin::Parent(parent) = half else { continue };
            add(&mut total, &self.passed(parent), 0.25);
            if let (0, Origin::Parent(other)) = (side, halves[1]) {
                for a in 0..2 {
                    for b in 0..2 {
                        let between = self.between((parent, a), (other, b));
                        add(&mut total, &between, 2.0 * 0.25 * 0.25);
                    }
                }
            }
        }
        map.variance(&total)
    }

    /// Covariance of a gamete that this dog passes on, with itself.
    fn passed(&mut self, parent: usize) -> Vec<f64> {
        let (one, two) = ((parent, 0), (parent, 1));
        let mut own = self.between(one, one);
        add(&mut own, &self.between(two, two), 1.0);
        let across = self.between(one, two);
        let [m, n] = self.means[parent];
        let mut passed = Vec::new();
        add(&mut passed, &own, 0.25);
        add_shifted(&mut passed, &own, 0.25);
        add(&mut passed, &across, 0.5);
        add_shifted(&mut passed, &across, -0.5);
        add(&mut passed, &[0.0, 0.25 * (m - n) * (m - n)], 1.0);
        passed
    }

    /// Covariance of two gametes that dogs received.
    fn between(&mut self, a: Gamete, b: Gamete) -> Vec<f64> {
        let (young, old) = if self.rank[a.0] >= self.rank[b.0] { (a, b) } else { (b, a) };
        if self.pure[young.0][young.1] || self.pure[old.0][old.1] {
            return Vec::new();
        }
        let key = (young.min(old), young.max(old));
        if let Some(found) = self.known.get(&key) {
            return found.clone();
        }
        let found = match self.family.origins(young.0)[young.1] {
            Origin::Stated(_) => Vec::new(),
            Origin::Parent(parent) if young == old => self.passed(parent),
            Origin::Parent(parent) => {
                let mut mean = Vec::new();
                for side in 0..2 {
                    add(&mut mean, &self.between((parent, side), old), 0.5);
                }
                mean
            }
        };
        self.known.insert(key, found.clone());
        found
    }
}

fn add(sum: &mut Vec<f64>, polynomial: &[f64], times: f64) {
    if sum.len() < polynomial.len() {
        sum.resize(polynomial.len(), 0.0);
    }
    sum.iter_mut().zip(polynomial).for_each(|(s, p)| *s += times * p);
}

/// Adds the polynomial times u.
fn add_shifted(sum: &mut Vec<f64>, polynomial: &[f64], times: f64) {
    let mut shifted = vec![0.0];
    shifted.extend_from_slice(polynomial);
    add(sum, &shifted, times);
}
