//! The ancestors of some sires and of their mates, numbered so that walks over them are fast.
//!
//! On the way up an animal takes half of what its offspring hold, where others let each give half
//! to its parents: so a place is written once, and need not be emptied before. Animals of one depth
//! stand together, and among them those with the same number of offspring, whom one loop without a
//! branch serves.

use super::super::ancestry::YoungestFirst;
use super::{Coefficients, Plan};
use crate::pedigree::{Animal, Parents, UNKNOWN};
use std::ops::Range;

/// Sires that share a walk: one cache line of columns.
pub(super) const LANES: usize = 8;

/// What the sires of a walk have to do with an animal.
type Held = [f64; LANES];

/// An animal with so many offspring or more is a run of its own.
const MANY: usize = 12;

/// Animals of one depth with the same number of offspring, next to each other.
#[derive(Debug, Clone, Copy)]
struct Run {
    from: usize,
    to: usize,
    /// Where their offspring begin.
    links: usize,
    /// The number of offspring of each.
    offspring: usize,
}

/// The ancestors of some sires and of their mates, themselves included.
#[derive(Default)]
pub(super) struct Lineage {
    waiting: YoungestFirst,
    /// By position in the pedigree: the number here, [`UNKNOWN`] if it is not here.
    number: Vec<u32>,
    /// By position in the pedigree: how many of its offspring are here.
    count: Vec<u32>,
    /// In the order in which offspring are summed: by depth and position.
    animals: Vec<Animal>,
    runs: Vec<Run>,
    /// By number: the position in the pedigree.
    position: Vec<Animal>,
    /// By number: sire and dam, the number of animals where unknown.
    pairs: Vec<[u32; 2]>,
    /// By number: the variance that the parents do not explain, 0 while it is not known.
    mendelian: Vec<f64>,
    /// By number: behind its last offspring in `offspring`.
    offspring_end: Vec<u32>,
    offspring: Vec<u32>,
    /// By number, and nothing behind the last, for parents that are unknown.
    held: Vec<Held>,
}

impl Lineage {
    /// Room for those of a pedigree in which so many animals have offspring.
    pub(super) fn within(breeding: usize) -> Self {
        Self {
            waiting: YoungestFirst::with_len(breeding),
            number: vec![UNKNOWN; breeding],
            count: vec![0; breeding],
            ..Self::default()
        }
    }

    /// Takes in the ancestors of some sires of the plan and of their mates, instead of those before.
    pub(super) fn gather(
        &mut self,
        parents: &Parents,
        plan: &Plan,
        sires: Range<usize>,
        found: &Coefficients,
    ) {
        for animal in self.animals.drain(..) {
            self.number[animal as usize] = UNKNOWN;
            self.count[animal as usize] = 0;
        }
        for at in sires {
            self.waiting.put(plan.sires[at]);
            plan.offspring_of(at).iter().for_each(|(_, dam)| self.waiting.put(*dam));
        }
        while let Some(animal) = self.waiting.take() {
            self.animals.push(animal);
            for parent in parents.known(animal) {
                self.count[parent as usize] += 1;
                self.waiting.put(parent);
            }
        }
        self.animals.reverse();
        self.animals.sort_by_key(|animal| plan.depth[*animal as usize]);
        self.give_numbers(&plan.depth);
        self.link(parents);
        self.held.resize(self.animals.len() + 1, [0.0; LANES]);
        self.held[self.animals.len()] = [0.0; LANES];
        for number in 0..self.animals.len() {
            self.mendelian[number] = found.mendelian_variance(parents, self.position[number]);
        }
    }

    /// Numbers the animals by depth and number of offspring.
    fn give_numbers(&mut self, depth: &[u32]) {
        self.runs.clear();
        self.offspring_end.clear();
        let (mut from, mut links) = (0, 0);
        for class in self.animals.chunk_by(|a, b| depth[*a as usize] == depth[*b as usize]) {
            let kind = |animal: &Animal| (self.count[*animal as usize] as usize).min(MANY);
            let mut next = [0; MANY + 2];
            class.iter().for_each(|animal| next[kind(animal) + 1] += 1);
            next[0] = from;
            let mut add = |from: usize, to: usize, offspring: usize| {
                self.runs.push(Run { from, to, links, offspring });
                self.offspring_end.extend((0..to - from).map(|at| (links + at * offspring) as u32));
                links += (to - from) * offspring;
            };
            for kind in 0..MANY {
                next[kind + 1] += next[kind];
                if next[kind] < next[kind + 1] {
                    add(next[kind], next[kind + 1], kind);
                }
            }
            let many = class.iter().filter(|animal| kind(animal) == MANY);
            for (own, animal) in (next[MANY]..).zip(many) {
                add(own, own + 1, self.count[*animal as usize] as usize);
            }
            for animal in class {
                let place = &mut next[kind(animal)];
                self.number[*animal as usize] = *place as u32;
                *place += 1;
            }
            from += class.len();
        }
        self.offspring.resize(links, 0);
    }

    /// Writes who is whose sire, dam and offspring.
    fn link(&mut self, parents: &Parents) {
        let nobody = self.animals.len() as u32;
        self.position.resize(self.animals.len(), UNKNOWN);
        self.pairs.resize(self.animals.len(), [nobody; 2]);
        self.mendelian.resize(self.animals.len(), 0.0);
        for animal in &self.animals {
            let own = self.number[*animal as usize];
            let number = |parent: Animal| {
                if parent == UNKNOWN { nobody } else { self.number[parent as usize] }
            };
            let pair = parents.pairs()[*animal as usize].map(number);
            self.position[own as usize] = *animal;
            self.pairs[own as usize] = pair;
            for parent in pair.into_iter().filter(|parent| *parent != nobody) {
                let end = &mut self.offspring_end[parent as usize];
                self.offspring[*end as usize] = own;
                *end += 1;
            }
        }
    }

    /// Finds F of the offspring of some sires that need nothing of one another, at most [`LANES`].
    pub(super) fn walk(
        &mut self,
        parents: &Parents,
        plan: &Plan,
        sires: Range<usize>,
        found: &Coefficients,
    ) {
        let number = |animal: Animal| self.number[animal as usize] as usize;
        let starts = sires.clone().map(|at| number(plan.sires[at])).zip(0..).collect();
        let dams = sires.clone().flat_map(|at| plan.offspring_of(at)).map(|(_, dam)| *dam);
        let last = dams.map(number).max().unwrap_or(0);
        self.walk_up(starts);
        walk_down(&mut self.held, &self.pairs[..=last], &self.mendelian);
        for (lane, at) in sires.enumerate() {
            for (animal, dam) in plan.offspring_of(at) {
                // -0.0 cannot arise: every term is a product of what is not negative.
                let relationship = self.held[self.number[*dam as usize] as usize][lane];
                found.set(*animal, relationship / 2.0);
                self.now_known(parents, *animal, found);
            }
        }
    }

    /// Up the ancestors, from the numbers of the sires with their lanes: T' of A = TDT'.
    fn walk_up(&mut self, mut starts: Vec<(usize, usize)>) {
        starts.sort_unstable();
        let top = starts.last().map_or(0, |(number, _)| *number);
        let runs = self.runs.partition_point(|run| run.from <= top);
        let above = self.runs[..runs].last().map_or(0, |run| run.to);
        self.held[above..].fill([0.0; LANES]);
        for run in self.runs[..runs].iter().rev() {
            take_from_offspring(&mut self.held, run, &self.offspring[run.links..]);
            while let Some((number, lane)) = starts.pop_if(|(number, _)| *number >= run.from) {
                self.held[number][lane] += 1.0;
            }
        }
    }

    /// Takes notice that F of an animal is known now.
    fn now_known(&mut self, parents: &Parents, animal: Animal, found: &Coefficients) {
        let number = self.number.get(animal as usize).copied().unwrap_or(UNKNOWN);
        if number != UNKNOWN {
            let end = self.offspring_end[number as usize] as usize;
            let offspring = end - self.count[animal as usize] as usize..end;
            for one in &self.offspring[offspring] {
                let position = self.position[*one as usize];
                self.mendelian[*one as usize] = found.mendelian_variance(parents, position);
            }
        }
    }
}

/// Lets each of a run take half of what its offspring hold.
fn take_from_offspring(held: &mut [Held], run: &Run, offspring: &[u32]) {
    let (older, younger) = held.split_at_mut(run.to);
    let own = &mut older[run.from..];
    let number_of_first = run.to as u32;
    match run.offspring {
        0 => own.fill([0.0; LANES]),
        1 => take::<1>(own, younger, number_of_first, offspring),
        2 => take::<2>(own, younger, number_of_first, offspring),
        3 => take::<3>(own, younger, number_of_first, offspring),
        4 => take::<4>(own, younger, number_of_first, offspring),
        5 => take::<5>(own, younger, number_of_first, offspring),
        6 => take::<6>(own, younger, number_of_first, offspring),
        7 => take::<7>(own, younger, number_of_first, offspring),
        8 => take::<8>(own, younger, number_of_first, offspring),
        any => {
            for (own, offspring) in own.iter_mut().zip(offspring.chunks_exact(any)) {
                *own = half_of(younger, number_of_first, offspring);
            }
        }
    }
}

fn take<const N: usize>(own: &mut [Held], younger: &[Held], first: u32, offspring: &[u32]) {
    for (own, offspring) in own.iter_mut().zip(offspring.as_chunks::<N>().0) {
        *own = half_of(younger, first, offspring);
    }
}

#[inline(always)]
fn half_of(younger: &[Held], first: u32, offspring: &[u32]) -> Held {
    let mut sum = [0.0; LANES];
    for one in offspring {
        let held = &younger[(one - first) as usize];
        (0..LANES).for_each(|lane| sum[lane] += held[lane]);
    }
    sum.map(|sum| sum / 2.0)
}

/// Weighs by D and walks down again: T and D of A = TDT'.
fn walk_down(held: &mut [Held], pairs: &[[u32; 2]], mendelian: &[f64]) {
    for (own, (pair, variance)) in pairs.iter().zip(mendelian).enumerate() {
        let (sire, dam) = (held[pair[0] as usize], held[pair[1] as usize]);
        let place = &mut held[own];
        for lane in 0..LANES {
            place[lane] = place[lane] * variance + (sire[lane] + dam[lane]) / 2.0;
        }
    }
}
