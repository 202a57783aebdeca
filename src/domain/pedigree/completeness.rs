//! How much of a pedigree is known: a low inbreeding coefficient from a short pedigree misleads.

use super::{Animal, Parents, UNKNOWN};
use crate::inbreeding::ancestors;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use utoipa::ToSchema;

/// The deepest generation whose ancestors are counted one by one: 2^52 places can be counted
/// exactly.
pub(crate) const DEEPEST_COUNTED: u32 = 52;

/// The ancestors known in one generation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct GenerationKnown {
    /// 1 for the parents, 2 for the grandparents.
    #[schema(example = 3)]
    pub generation: u32,
    /// Places of the family tree in this generation whose animal is known.
    #[schema(example = 7)]
    pub known: u64,
    /// Places of the family tree in this generation: two to the power of the generation.
    #[schema(example = 8)]
    pub possible: u64,
    /// Different animals on the known places of this generation.
    #[schema(example = 6)]
    pub distinct: u64,
    /// Share of the known places up to this generation that repeat an animal (0–1); `null` when
    /// no ancestor is known.
    #[schema(example = 0.143)]
    pub ancestor_loss: Option<f64>,
}

/// How complete the pedigree of one animal, or of the pups of a trial mating, is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Completeness {
    /// Known ancestors by generation, nearest first.
    pub generations: Vec<GenerationKnown>,
    /// Complete generation equivalents: the sum over all known ancestors of one half to the power
    /// of their generation (Maignel, Boichard & Verrier 1996, Interbull Bulletin 14:49-54).
    #[schema(example = 6.4)]
    pub complete_generation_equivalents: f64,
    /// Generations back to the nearest unknown parent, all before it being known.
    #[schema(example = 3)]
    pub full_generations: u32,
    /// Generations back to the most distant known ancestor.
    #[schema(example = 14)]
    pub deepest_generation: u32,
}

/// How deep the known pedigree of one animal is.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Depth {
    /// Complete generation equivalents; exact for any loops, since they are the mean over both
    /// parents of one more than theirs, an unknown parent counting as zero.
    pub equivalents: f64,
    /// Generations back to the nearest unknown parent, all before it being known.
    pub full: u32,
    /// Generations back to the most distant known ancestor.
    pub deepest: u32,
}

impl Depth {
    /// The depth of offspring of parents of these depths, `None` for an unknown parent.
    pub(crate) fn of_offspring(sire: Option<Self>, dam: Option<Self>) -> Self {
        let known = || [sire, dam].into_iter().flatten();
        let full = match (sire, dam) {
            (Some(sire), Some(dam)) => 1 + sire.full.min(dam.full),
            _ => 0,
        };
        Self {
            // A sum of nothing is -0.0.
            equivalents: known().map(|parent| (1.0 + parent.equivalents) / 2.0).sum::<f64>() + 0.0,
            full,
            deepest: known().map(|parent| 1 + parent.deepest).max().unwrap_or(0),
        }
    }
}

/// The depth of every animal, by position, in one walk.
pub fn depths(parents: &Parents) -> Vec<Depth> {
    let mut depths: Vec<Depth> = Vec::with_capacity(parents.len());
    for animal in parents.animals() {
        let of = |parent: Option<Animal>| parent.map(|parent| depths[parent as usize]);
        depths.push(Depth::of_offspring(of(parents.sire(animal)), of(parents.dam(animal))));
    }
    depths
}

/// The depth of each of `animals`; only their ancestors are walked, so that some animals of a
/// large pedigree cost little.
pub(crate) fn depths_among(parents: &Parents, animals: &[Animal]) -> Vec<Depth> {
    let end = animals.iter().max().map_or(0, |last| *last as usize + 1);
    let mut depths = vec![Depth::default(); end];
    for animal in ancestors(parents, animals) {
        let of = |parent: Option<Animal>| parent.map(|parent| depths[parent as usize]);
        depths[animal as usize] =
            Depth::of_offspring(of(parents.sire(animal)), of(parents.dam(animal)));
    }
    animals.iter().map(|animal| depths[*animal as usize]).collect()
}

/// The depth of offspring of a sire and a dam.
pub(crate) fn depth_of_pair(parents: &Parents, sire: Option<Animal>, dam: Option<Animal>) -> Depth {
    let of = |parent: Option<Animal>| {
        parent.and_then(|parent| depths_among(parents, &[parent]).first().copied())
    };
    Depth::of_offspring(of(sire), of(dam))
}

/// How complete the pedigree of `animal` is; ancestors are counted by generation down to
/// `generations` (at most [`DEEPEST_COUNTED`]).
pub fn completeness(parents: &Parents, animal: Animal, generations: u32) -> Completeness {
    completeness_of_pair(parents, parents.sire(animal), parents.dam(animal), generations)
}

/// As [`completeness`], for offspring of a sire and a dam.
pub(crate) fn completeness_of_pair(
    parents: &Parents,
    sire: Option<Animal>,
    dam: Option<Animal>,
    generations: u32,
) -> Completeness {
    let depth = depth_of_pair(parents, sire, dam);
    let pair = [sire.unwrap_or(UNKNOWN), dam.unwrap_or(UNKNOWN)];
    Completeness {
        generations: count_by_generation(parents, pair, generations.min(DEEPEST_COUNTED)),
        complete_generation_equivalents: depth.equivalents,
        full_generations: depth.full,
        deepest_generation: depth.deepest,
    }
}

fn count_by_generation(
    parents: &Parents,
    pair: [Animal; 2],
    generations: u32,
) -> Vec<GenerationKnown> {
    let mut places: BTreeMap<Animal, u64> = BTreeMap::new();
    for animal in pair.into_iter().filter(|animal| *animal != UNKNOWN) {
        *places.entry(animal).or_default() += 1;
    }
    let mut seen = std::collections::BTreeSet::new();
    let mut known_so_far = 0;
    let mut counted = Vec::new();
    for generation in 1..=generations {
        let known: u64 = places.values().sum();
        known_so_far += known;
        seen.extend(places.keys().copied());
        let loss = 1.0 - seen.len() as f64 / known_so_far.max(1) as f64;
        counted.push(GenerationKnown {
            generation,
            known,
            possible: 1 << generation,
            distinct: places.len() as u64,
            ancestor_loss: (known_so_far > 0).then_some(loss),
        });
        let mut above = BTreeMap::new();
        for (animal, count) in places {
            for parent in parents.known(animal) {
                *above.entry(parent).or_default() += count;
            }
        }
        places = above;
    }
    counted
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pedigree::{Pedigree, PedigreeRow};

    fn pedigree(rows: &[(u32, u32, u32)]) -> Pedigree<u32> {
        let known = |id: u32| (id > 0).then_some(id);
        let row = |(id, sire, dam)| PedigreeRow { id, sire: known(sire), dam: known(dam) };
        Pedigree::build(rows.iter().map(|r| row(*r))).unwrap()
    }

    #[test]
    fn counts_places_and_animals() {
        // Full-sib mating: 4 grandparent places, 2 animals.
        let p = pedigree(&[(3, 1, 2), (4, 1, 2), (5, 3, 4)]);
        let found = completeness(p.parents(), p.find(&5).unwrap(), 3);
        let counts: Vec<_> =
            found.generations.iter().map(|g| (g.known, g.possible, g.distinct)).collect();
        assert_eq!(counts, [(2, 2, 2), (4, 4, 2), (0, 8, 0)]);
        assert_eq!(found.complete_generation_equivalents, 2.0);
        assert_eq!((found.full_generations, found.deepest_generation), (2, 2));
        assert_eq!(found.generations[1].ancestor_loss, Some(1.0 - 4.0 / 6.0));
    }

    #[test]
    fn says_that_nothing_is_known() {
        let p = pedigree(&[(1, 0, 0)]);
        let found = completeness(p.parents(), 0, 2);
        assert_eq!(found.complete_generation_equivalents, 0.0);
        assert_eq!(found.generations[0].ancestor_loss, None);
    }

    #[test]
    fn half_known_counts_half() {
        let p = pedigree(&[(2, 1, 0), (3, 2, 0)]);
        let found = completeness(p.parents(), p.find(&3).unwrap(), 2);
        // Sire 1/2, grandsire 1/4.
        assert_eq!(found.complete_generation_equivalents, 0.75);
        assert_eq!((found.full_generations, found.deepest_generation), (0, 2));
    }

    #[test]
    fn is_exact_on_fifty_generations_of_full_sibs() {
        let mut rows = Vec::new();
        for g in 1..=50u32 {
            rows.push((2 * g + 1, 2 * g - 1, 2 * g));
            rows.push((2 * g + 2, 2 * g - 1, 2 * g));
        }
        let p = pedigree(&rows);
        let last = p.find(&102).unwrap();
        let found = completeness(p.parents(), last, DEEPEST_COUNTED);
        assert_eq!(found.complete_generation_equivalents, 50.0);
        assert_eq!(found.generations[49].known, 1 << 50);
        assert_eq!(found.generations[49].distinct, 2);
        assert_eq!(depths(p.parents())[last as usize].equivalents, 50.0);
        assert_eq!(depths_among(p.parents(), &[0, last])[1], depths(p.parents())[last as usize]);
    }
}
