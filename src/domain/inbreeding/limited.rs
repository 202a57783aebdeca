//! Inbreeding over a limited number of generations, the way certificates often quote it.
//!
//! Tools differ in what they cut. Here the parents are generation 1; walking back breadth-first,
//! an animal whose shortest distance is the limit has its parents cut, every nearer animal keeps
//! them; then the ordinary coefficient is computed over what is left. An animal that stands both
//! near and far counts by its nearest place. The figure can be 0.00 where the full one is 0.4:
//! never show it without saying how many generations it covers.

use super::{coefficients, kinship};
use crate::pedigree::{Animal, Parents};
use std::collections::{BTreeMap, VecDeque};

/// The inbreeding of pups of `sire` and `dam` over the nearest `generations` only.
pub(crate) fn inbreeding_within(
    parents: &Parents,
    sire: Animal,
    dam: Animal,
    generations: u32,
) -> f64 {
    let distance = shortest_distances(parents, [sire, dam], generations);
    let mut place: BTreeMap<Animal, Animal> = BTreeMap::new();
    let mut subset = Parents::with_capacity(distance.len());
    for (animal, away) in &distance {
        let keeps = *away < generations;
        let local = |p: Option<Animal>| p.filter(|_| keeps).and_then(|p| place.get(&p).copied());
        // Positions ascend, so that parents are there before their offspring.
        if let Some(at) = subset.push(local(parents.sire(*animal)), local(parents.dam(*animal))) {
            place.insert(*animal, at);
        }
    }
    match (place.get(&sire), place.get(&dam)) {
        (Some(sire), Some(dam)) => kinship(&subset, &coefficients(&subset, 1), *sire, *dam),
        _ => 0.0,
    }
}

/// The ancestors within `generations`, each with its shortest distance.
fn shortest_distances(
    parents: &Parents,
    pair: [Animal; 2],
    generations: u32,
) -> BTreeMap<Animal, u32> {
    let mut distance = BTreeMap::new();
    let mut waiting: VecDeque<(Animal, u32)> = pair.iter().map(|animal| (*animal, 1)).collect();
    while let Some((animal, away)) = waiting.pop_front() {
        if away > generations || distance.contains_key(&animal) {
            continue;
        }
        distance.insert(animal, away);
        waiting.extend(parents.known(animal).map(|parent| (parent, away + 1)));
    }
    distance
}
