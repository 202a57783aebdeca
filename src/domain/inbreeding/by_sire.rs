//! F of every animal, sire by sire: the modified indirect method.
//!
//! The relationships of one sire with all his mates take one walk up his ancestors and one down
//! theirs (Colleau 2002, Genet Sel Evol 34:409-421; Sargolzaei, Iwaisaki & Colleau 2005, J Anim
//! Breed Genet 122:325-331). Several sires share a walk. Memory grows with the number of animals
//! only, whatever the shape of the pedigree.
//!
//! What made it fast, in order of gain: walks go only over the ancestors of the sires and of
//! their mates, found on the way by a bit set; animals without offspring stand behind all others,
//! so that the columns of a million dogs fit the near memory; sires are served in levels instead
//! of one by one, which fills the lanes. Sixteen lanes gave the same time for twice the memory.

use super::ancestry::YoungestFirst;
use super::mendelian_variance;
use crate::pedigree::{Animal, Parents, UNKNOWN};
use crate::stop;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Sires that share a walk: one cache line of columns.
const LANES: usize = 8;

/// Walks of a level from which on another thread is worth its start.
const WALKS_A_THREAD: usize = 2;

/// F of every animal by position.
pub(super) fn coefficients(parents: &Parents, threads: usize) -> Vec<f64> {
    let offspring = BySire::of(parents);
    let mut inbreeding = vec![0.0; parents.len()];
    let breeding = offspring.breeding_end;
    let mut walkers: Vec<Walker> = (0..threads).map(|_| Walker::with_len(breeding)).collect();
    for level in levels(parents, &offspring) {
        let walks = level.len().div_ceil(LANES);
        let wanted = (walks / WALKS_A_THREAD).clamp(1, threads);
        let level =
            Level { parents, offspring: &offspring, inbreeding: &inbreeding, sires: &level };
        for (animal, f) in level.serve(&mut walkers[..wanted]) {
            inbreeding[animal as usize] = f;
        }
    }
    inbreeding
}

/// Sires whose walks need nothing of one another.
struct Level<'a> {
    parents: &'a Parents,
    offspring: &'a BySire,
    /// F as far as it is known before this level.
    inbreeding: &'a [f64],
    sires: &'a [Animal],
}

impl Level<'_> {
    /// F of all offspring of the sires, one thread a walker; each takes the next block when it
    /// is done with one, since walks differ much in length.
    fn serve(&self, walkers: &mut [Walker]) -> Vec<(Animal, f64)> {
        let next = AtomicUsize::new(0);
        let blocks: Vec<&[Animal]> = self.sires.chunks(LANES).collect();
        let stop = stop::here();
        let serve = |walker: &mut Walker| {
            let mut found = Vec::new();
            while let Some(sires) = blocks.get(next.fetch_add(1, Ordering::Relaxed)) {
                stop::look();
                walker.serve(self, sires, &mut found);
            }
            found
        };
        let work = |walker: &mut Walker| stop::carried(stop.clone(), || serve(walker));
        let Some((own, others)) = walkers.split_first_mut() else { return Vec::new() };
        std::thread::scope(|scope| {
            let jobs: Vec<_> =
                others.iter_mut().map(|walker| scope.spawn(|| work(walker))).collect();
            let mut found = work(own);
            for job in jobs {
                match job.join() {
                    Ok(others) => found.extend(others),
                    Err(panic) => std::panic::resume_unwind(panic),
                }
            }
            found
        })
    }
}

/// The offspring with two known parents of every sire, next to each other.
struct BySire {
    first: Vec<u32>,
    offspring: Vec<Animal>,
    /// One more than the last animal that has offspring.
    breeding_end: usize,
}

impl BySire {
    fn of(parents: &Parents) -> Self {
        let both = |pair: &[Animal; 2]| pair[0] != UNKNOWN && pair[1] != UNKNOWN;
        let known = parents.pairs().iter().flatten().filter(|p| **p != UNKNOWN);
        let breeding_end = known.max().map_or(0, |last| *last as usize + 1);
        let mut first = vec![0u32; breeding_end + 1];
        for pair in parents.pairs().iter().filter(|pair| both(pair)) {
            first[pair[0] as usize + 1] += 1;
        }
        for sire in 0..breeding_end {
            first[sire + 1] += first[sire];
        }
        let mut next = first.clone();
        let mut offspring = vec![0; first[breeding_end] as usize];
        for (animal, pair) in parents.pairs().iter().enumerate().filter(|(_, pair)| both(pair)) {
            let place = &mut next[pair[0] as usize];
            offspring[*place as usize] = animal as Animal;
            *place += 1;
        }
        Self { first, offspring, breeding_end }
    }

    fn of_sire(&self, sire: Animal) -> &[Animal] {
        let sire = sire as usize;
        &self.offspring[self.first[sire] as usize..self.first[sire + 1] as usize]
    }
}

/// Sires in groups, so that when a group is served, F of all ancestors of its sires is known from
/// the groups before.
fn levels(parents: &Parents, offspring: &BySire) -> Vec<Vec<Animal>> {
    // The latest group that must be over before F of an animal and of its ancestors is known.
    let mut known_after = vec![0u32; offspring.breeding_end];
    let mut group = vec![0u32; offspring.breeding_end];
    let mut levels: Vec<Vec<Animal>> = Vec::new();
    for animal in 0..offspring.breeding_end {
        let pair = parents.pairs()[animal];
        let before = |p: Animal| if p == UNKNOWN { 0 } else { known_after[p as usize] };
        let above = before(pair[0]).max(before(pair[1]));
        group[animal] = above;
        let served = if pair[0] == UNKNOWN { 0 } else { group[pair[0] as usize] + 1 };
        known_after[animal] = above.max(served);
        if !offspring.of_sire(animal as Animal).is_empty() {
            levels.resize_with(levels.len().max(above as usize + 1), Vec::new);
            levels[above as usize].push(animal as Animal);
        }
    }
    levels
}

/// One thread's columns and sets.
struct Walker {
    held: Vec<[f64; LANES]>,
    waiting: YoungestFirst,
    touched: Vec<Animal>,
}

impl Walker {
    fn with_len(breeding: usize) -> Self {
        Self {
            held: vec![[0.0; LANES]; breeding],
            waiting: YoungestFirst::with_len(breeding),
            touched: Vec::new(),
        }
    }

    fn serve(&mut self, level: &Level, sires: &[Animal], found: &mut Vec<(Animal, f64)>) {
        self.walk_up(level.parents, level.inbreeding, sires);
        self.walk_down_to_mates(level.parents, level.offspring, sires);
        for (lane, sire) in sires.iter().enumerate() {
            for animal in level.offspring.of_sire(*sire) {
                let dam = level.parents.pairs()[*animal as usize][1];
                // -0.0 cannot arise: every term is a product of what is not negative.
                found.push((*animal, self.held[dam as usize][lane] / 2.0));
            }
        }
        self.touched.drain(..).for_each(|animal| self.held[animal as usize] = [0.0; LANES]);
    }

    fn walk_up(&mut self, parents: &Parents, inbreeding: &[f64], sires: &[Animal]) {
        for (lane, sire) in sires.iter().enumerate() {
            self.held[*sire as usize][lane] = 1.0;
            self.waiting.put(*sire);
        }
        while let Some(animal) = self.waiting.take() {
            self.touched.push(animal);
            let pair = parents.pairs()[animal as usize];
            let shares = self.held[animal as usize];
            for parent in pair.into_iter().filter(|parent| *parent != UNKNOWN) {
                let place = &mut self.held[parent as usize];
                (0..LANES).for_each(|lane| place[lane] += shares[lane] / 2.0);
                self.waiting.put(parent);
            }
            let variance = mendelian_variance(pair, inbreeding);
            self.held[animal as usize] = shares.map(|share| share * variance);
        }
    }

    fn walk_down_to_mates(&mut self, parents: &Parents, offspring: &BySire, sires: &[Animal]) {
        for animal in sires.iter().flat_map(|sire| offspring.of_sire(*sire)) {
            self.waiting.put(parents.pairs()[*animal as usize][1]);
        }
        let from = self.touched.len();
        while let Some(animal) = self.waiting.take() {
            self.touched.push(animal);
            parents.known(animal).for_each(|parent| self.waiting.put(parent));
        }
        for animal in self.touched[from..].iter().rev() {
            let mut sum = self.held[*animal as usize];
            for parent in parents.known(*animal) {
                let above = &self.held[parent as usize];
                (0..LANES).for_each(|lane| sum[lane] += above[lane] / 2.0);
            }
            self.held[*animal as usize] = sum;
        }
    }
}
