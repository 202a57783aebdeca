//! F of every animal, sire by sire: the modified indirect method.
//!
//! The relationships of one sire with all his mates take one walk up his ancestors and one down
//! theirs (Colleau 2002, Genet Sel Evol 34:409-421; Sargolzaei, Iwaisaki & Colleau 2005, J Anim
//! Breed Genet 122:325-331). Eight sires share a walk, some hundred of them the numbering of
//! their ancestors ([`lineage`]). Memory grows with the number of animals only, whatever the shape
//! of the pedigree.
//!
//! A walk needs F of the ancestors of its sires, and so the walks of the sires of those, which are
//! two generations behind: threads go along the sires in one order and wait for one another only
//! there ([`turns`]). Every sum is taken in the order of positions, so that neither the number of
//! threads nor the parts into which the sires are cut change a bit of it.
//!
//! What was tried and what it gave stands in `DEVELOPERS.md`, "Speed".

mod lineage;
mod turns;

use super::mendelian_variance;
use crate::pedigree::{Animal, Parents, UNKNOWN};
use crate::stop;
use lineage::{LANES, Lineage};
use std::sync::atomic::{AtomicU64, Ordering};
use turns::Turns;

/// Sires that share a numbering of their ancestors, at most: it costs as much as some walks.
const SIRES_A_PART: usize = 128;

/// Parts from which on another thread is worth its start.
const PARTS_A_THREAD: usize = 2;

/// F of every animal by position.
pub(super) fn coefficients(parents: &Parents, threads: usize) -> Vec<f64> {
    let plan = Plan::of(parents, threads);
    let found = Coefficients::zero(parents.len());
    let turns = Turns::new(plan.parts.len());
    let stop = stop::here();
    let work = || stop::carried(stop.clone(), || serve(parents, &plan, &turns, &found));
    std::thread::scope(|scope| {
        let wanted = (plan.parts.len() / PARTS_A_THREAD).clamp(1, threads);
        let others: Vec<_> = (1..wanted).map(|_| scope.spawn(work)).collect();
        work();
        for other in others {
            if let Err(panic) = other.join() {
                std::panic::resume_unwind(panic);
            }
        }
    });
    found.into_values()
}

/// One thread's share of the parts.
fn serve(parents: &Parents, plan: &Plan, turns: &Turns, found: &Coefficients) {
    let mut lineage = Lineage::within(plan.depth.len());
    while let Some(turn) = turns.take() {
        let part = &plan.parts[turn.part];
        if !turns.wait_for(part.after) {
            return;
        }
        lineage.gather(parents, plan, part.from..part.to, found);
        let mut from = part.from;
        while from < part.to {
            stop::look();
            let to = plan.block_end(from, part.to);
            lineage.walk(parents, plan, from..to, found);
            from = to;
        }
        turn.over();
    }
}

/// F as far as it is known, written and read by many threads: [`Turns`] says what is known.
struct Coefficients(Vec<AtomicU64>);

impl Coefficients {
    fn zero(animals: usize) -> Self {
        Self((0..animals).map(|_| AtomicU64::new(0)).collect())
    }

    fn of(&self, animal: Animal) -> f64 {
        f64::from_bits(self.0[animal as usize].load(Ordering::Relaxed))
    }

    fn set(&self, animal: Animal, f: f64) {
        self.0[animal as usize].store(f.to_bits(), Ordering::Relaxed);
    }

    fn mendelian_variance(&self, parents: &Parents, animal: Animal) -> f64 {
        mendelian_variance(parents.pairs()[animal as usize], |parent| self.of(parent))
    }

    fn into_values(self) -> Vec<f64> {
        self.0.into_iter().map(|bits| f64::from_bits(bits.into_inner())).collect()
    }
}

/// Sires from `from` to `to` in the order of the plan, served by one thread.
struct Part {
    from: usize,
    to: usize,
    /// Parts that must be over before: the first so many.
    after: usize,
}

/// Whom each sire has offspring with, and in which order sires are served.
struct Plan {
    /// Sires of offspring with two known parents, parents before offspring.
    sires: Vec<Animal>,
    /// How many sires, in their order, must be served before each.
    after: Vec<u32>,
    /// Where the offspring of each sire begin, by his place in the order.
    first: Vec<u32>,
    /// Offspring and dam.
    offspring: Vec<(Animal, Animal)>,
    /// Generations above each animal that has offspring.
    depth: Vec<u32>,
    parts: Vec<Part>,
}

impl Plan {
    fn of(parents: &Parents, threads: usize) -> Self {
        let pairs = parents.pairs();
        let both = |pair: &[Animal; 2]| pair[0] != UNKNOWN && pair[1] != UNKNOWN;
        let known = pairs.iter().flatten().filter(|parent| **parent != UNKNOWN);
        let breeding_end = known.max().map_or(0, |last| *last as usize + 1);
        let mut count = vec![0u32; breeding_end];
        pairs.iter().filter(|pair| both(pair)).for_each(|pair| count[pair[0] as usize] += 1);
        let depth = depths(parents, breeding_end);
        let mut sires: Vec<Animal> =
            (0..).zip(&count).filter(|(_, n)| **n > 0).map(|(s, _)| s).collect();
        sires.sort_by_key(|sire| depth[*sire as usize]);

        let mut first = Vec::with_capacity(sires.len() + 1);
        let mut place = vec![UNKNOWN; breeding_end];
        let mut total = 0;
        for (at, sire) in sires.iter().enumerate() {
            first.push(total);
            place[*sire as usize] = at as u32;
            total += std::mem::replace(&mut count[*sire as usize], total);
        }
        first.push(total);
        let mut offspring = vec![(0, 0); total as usize];
        for (animal, pair) in (0..).zip(pairs).filter(|(_, pair)| both(pair)) {
            let next = &mut count[pair[0] as usize];
            offspring[*next as usize] = (animal, pair[1]);
            *next += 1;
        }
        let after = served_before(parents, &sires, &place);
        let parts = parts(&after, threads);
        Self { sires, after, first, offspring, depth, parts }
    }

    /// The offspring of the sire at a place of the order, each with its dam.
    fn offspring_of(&self, at: usize) -> &[(Animal, Animal)] {
        &self.offspring[self.first[at] as usize..self.first[at + 1] as usize]
    }

    /// The end of the sires from `from` on that can share a walk: none needs another's.
    fn block_end(&self, from: usize, end: usize) -> usize {
        let most = end.min(from + LANES);
        let needs = |at: &usize| self.after[*at] as usize > from;
        (from + 1..most).find(needs).unwrap_or(most)
    }
}

/// Generations above each of the first `end` animals, by the longest line.
fn depths(parents: &Parents, end: usize) -> Vec<u32> {
    let mut depth: Vec<u32> = Vec::with_capacity(end);
    for animal in 0..end {
        let above = parents.known(animal as Animal).map(|parent| depth[parent as usize] + 1);
        depth.push(above.max().unwrap_or(0));
    }
    depth
}

/// For each sire how many, in their order, are served before him: up to the last that is the sire
/// of one of his ancestors.
fn served_before(parents: &Parents, sires: &[Animal], place: &[u32]) -> Vec<u32> {
    // So many must be served before F of an animal and of all its ancestors is known.
    let mut known_after: Vec<u32> = Vec::with_capacity(place.len());
    let mut after = vec![0; sires.len()];
    for animal in 0..place.len() {
        let above = parents.known(animal as Animal).map(|parent| known_after[parent as usize]);
        let above = above.max().unwrap_or(0);
        if place[animal] != UNKNOWN {
            after[place[animal] as usize] = above;
        }
        let own = match (parents.sire(animal as Animal), parents.dam(animal as Animal)) {
            (Some(sire), Some(_)) => place[sire as usize] + 1,
            _ => 0,
        };
        known_after.push(above.max(own));
    }
    after
}

/// Cuts the sires into parts. Many threads get smaller ones, lest a part need the one before.
fn parts(after: &[u32], threads: usize) -> Vec<Part> {
    let distance: usize =
        (0..).zip(after).map(|(at, after): (usize, _)| at - *after as usize).sum();
    let mean = distance / after.len().max(1);
    let size = if threads > 1 { (mean / threads).clamp(LANES, SIRES_A_PART) } else { SIRES_A_PART };
    let part = |(number, after): (usize, &[u32])| {
        let from = number * size;
        let earlier = after.iter().map(|after| (*after as usize).min(from)).max().unwrap_or(0);
        Part { from, to: from + after.len(), after: earlier.div_ceil(size) }
    };
    after.chunks(size).enumerate().map(part).collect()
}
