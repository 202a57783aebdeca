//! The ancestors of some animals: as a set walked from young to old, and as a small pedigree.

use super::mendelian_variance;
use crate::pedigree::{Animal, Parents, UNKNOWN};

/// Least variance that parents leave unexplained, so that it can be divided by.
const LEAST_VARIANCE: f64 = 1e-12;

/// A set of animals that is emptied from the youngest to the oldest while their parents are put
/// in: each ancestor is then met once, after all its descendants in the set.
#[derive(Debug, Default)]
pub(super) struct YoungestFirst {
    words: Vec<u64>,
    /// The word that holds the youngest; all behind it are empty.
    at: usize,
}

impl YoungestFirst {
    /// An empty set of animals at positions below `len`.
    pub(super) fn with_len(len: usize) -> Self {
        Self { words: vec![0; len.div_ceil(64)], at: 0 }
    }

    /// Puts an animal in.
    #[inline]
    pub(super) fn put(&mut self, animal: Animal) {
        let word = animal as usize / 64;
        self.words[word] |= 1 << (animal % 64);
        self.at = self.at.max(word);
    }

    /// Takes the youngest animal out.
    #[inline]
    pub(super) fn take(&mut self) -> Option<Animal> {
        loop {
            let word = self.words.get_mut(self.at)?;
            if *word != 0 {
                let bit = 63 - word.leading_zeros();
                *word ^= 1 << bit;
                return Some(self.at as Animal * 64 + bit);
            }
            self.at = self.at.checked_sub(1)?;
        }
    }
}

/// The animals of `start` and all their ancestors, parents before offspring, each once.
pub(crate) fn ancestors(parents: &Parents, start: &[Animal]) -> Vec<Animal> {
    let end = start.iter().filter(|a| **a != UNKNOWN).max().map_or(0, |a| *a as usize + 1);
    let mut waiting = YoungestFirst::with_len(end);
    start.iter().filter(|a| **a != UNKNOWN).for_each(|a| waiting.put(*a));
    let mut found = Vec::new();
    while let Some(animal) = waiting.take() {
        found.push(animal);
        parents.known(animal).for_each(|parent| waiting.put(parent));
    }
    found.reverse();
    found
}

/// Some animals with all their ancestors, numbered anew without gaps so that many walks over
/// them stay in the near memory.
#[derive(Debug)]
pub(crate) struct Ancestry {
    /// The position in the whole pedigree, by position here; ascending.
    pub(super) animals: Vec<Animal>,
    /// Sire and dam by position here; the number of animals where unknown, so that a walk can
    /// write to a place behind the last animal instead of asking.
    pub(super) pairs: Vec<[u32; 2]>,
    /// The variance that the parents do not explain, by position here.
    pub(super) mendelian: Vec<f64>,
}

impl Ancestry {
    /// The ancestry of `start`; `inbreeding` by position in the whole pedigree.
    pub(crate) fn of(parents: &Parents, inbreeding: &[f64], start: &[Animal]) -> Self {
        let animals = ancestors(parents, start);
        let end = animals.last().map_or(0, |last| *last as usize + 1);
        let nobody = animals.len() as u32;
        let mut place = vec![nobody; end];
        for (here, animal) in animals.iter().enumerate() {
            place[*animal as usize] = here as u32;
        }
        let whole = parents.pairs();
        let local = |p: Animal| if p == UNKNOWN { nobody } else { place[p as usize] };
        let pairs = animals.iter().map(|a| whole[*a as usize].map(local)).collect();
        let f = |parent: Animal| inbreeding[parent as usize];
        let mendelian = animals.iter().map(|a| mendelian_variance(whole[*a as usize], f)).collect();
        Self { animals, pairs, mendelian }
    }

    /// Number of animals.
    pub(crate) fn len(&self) -> usize {
        self.animals.len()
    }

    /// The position here of an animal of the whole pedigree.
    pub(crate) fn find(&self, animal: Animal) -> Option<usize> {
        self.animals.binary_search(&animal).ok()
    }

    /// Passes what each animal holds on to its parents, half each, from young to old: T' of
    /// A = TDT'. `held` has one place more than there are animals.
    pub(super) fn up<const L: usize>(&self, held: &mut [[f64; L]]) {
        for (animal, pair) in self.pairs.iter().enumerate().rev() {
            let half = held[animal].map(|x| x / 2.0);
            for parent in pair {
                let place = &mut held[*parent as usize];
                (0..L).for_each(|lane| place[lane] += half[lane]);
            }
        }
    }

    /// Adds to each animal half of what its parents hold, from old to young: T of A = TDT'.
    pub(super) fn down<const L: usize>(&self, held: &mut [[f64; L]]) {
        held[self.len()] = [0.0; L];
        for (animal, pair) in self.pairs.iter().enumerate() {
            let (sire, dam) = (held[pair[0] as usize], held[pair[1] as usize]);
            let place = &mut held[animal];
            (0..L).for_each(|lane| place[lane] += (sire[lane] + dam[lane]) / 2.0);
        }
    }

    /// Multiplies A with what is held: up, weight by D, down.
    pub(super) fn relate<const L: usize>(&self, held: &mut [[f64; L]]) {
        self.up(held);
        for (place, variance) in held.iter_mut().zip(&self.mendelian) {
            place.iter_mut().for_each(|x| *x *= variance);
        }
        self.down(held);
    }

    /// Multiplies A with a vector by position here.
    pub(crate) fn times(&self, x: &[f64]) -> Vec<f64> {
        let mut held: Vec<[f64; 1]> = x.iter().map(|x| [*x]).chain([[0.0]]).collect();
        self.relate(&mut held);
        held.truncate(self.len());
        held.into_iter().map(|[x]| x).collect()
    }

    /// Multiplies the inverse of A with a vector, by the rules of Henderson 1976 with inbreeding.
    ///
    /// An animal's variance that its parents do not explain is more than 0 unless both of them have F = 1: after
    /// so many matings of sibs that rounding makes it 0 it counts as next to nothing.
    pub(crate) fn inverse_times(&self, x: &[f64]) -> Vec<f64> {
        let nobody = self.len();
        let mut product = vec![0.0; nobody + 1];
        for (animal, pair) in self.pairs.iter().enumerate() {
            let of = |parent: u32| if parent as usize == nobody { 0.0 } else { x[parent as usize] };
            let variance = self.mendelian[animal].max(LEAST_VARIANCE);
            let sampled = (x[animal] - (of(pair[0]) + of(pair[1])) / 2.0) / variance;
            product[animal] += sampled;
            pair.iter().for_each(|parent| product[*parent as usize] -= sampled / 2.0);
        }
        product.truncate(nobody);
        product
    }
}
