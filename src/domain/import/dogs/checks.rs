//! What the rows of a file say about one another.

use super::ImportedDog;
use crate::{
    fault::{MOST_TOLD, quoted},
    import::{LineFault, LineFaultKind as Kind, LineFaults},
    pedigree::{UNKNOWN, loops, parents_first},
    record::Sex,
};
use catalogue::{Value, said};
use std::collections::{HashMap, hash_map::Entry};

/// Checks the rows against each other and completes them with the parents that have none.
/// The dogs come back parents first, with the places of their sires and dams; `None` if that cannot be, which is then
/// among the faults.
pub(super) fn check(
    mut dogs: Vec<ImportedDog>,
    has_ids: bool,
    faults: &mut LineFaults,
) -> Option<(Vec<ImportedDog>, Vec<[u32; 2]>)> {
    let before = faults.len();
    let parents = link(&mut dogs, has_ids, faults);
    let order = parents_first(&parents);
    let rows = Rows { dogs: &dogs, parents };
    rows.check_values_held_once(faults);
    rows.check_roles(faults);
    let looped = if order.is_none() { rows.check_loops(faults) } else { HashMap::new() };
    rows.check_ages(&looped, faults);
    let sexes = rows.sexes();
    let Rows { mut parents, .. } = rows;
    for (dog, sex) in dogs.iter_mut().zip(sexes) {
        dog.sex = dog.sex.or(sex);
    }
    if faults.len() == before && !faults.is_full() {
        arrange(&mut dogs, &mut parents, &order?);
        Some((dogs, parents))
    } else {
        None
    }
}

/// Finds the parents of each row by position; of rows with the same id the first counts. Parents
/// without a row are added as ancestors that live elsewhere.
fn link(dogs: &mut Vec<ImportedDog>, has_ids: bool, faults: &mut LineFaults) -> Vec<[u32; 2]> {
    let mut place: HashMap<&str, u32> = HashMap::with_capacity(dogs.len());
    for (at, dog) in dogs.iter().enumerate() {
        match place.entry(&dog.imported_id) {
            Entry::Vacant(free) => drop(free.insert(at as u32)),
            Entry::Occupied(first) => {
                let own = &*dog.imported_id;
                let id = quoted(dog.label());
                let first = line(&dogs[*first.get() as usize]);
                let detail = match has_ids {
                    true => said!("fault-twice-id", id = id, line = first),
                    false => said!("fault-twice-dog", dog = id, line = first),
                };
                faults.push(LineFault::at_line(Kind::DuplicateId, line(dog), &[own], detail));
            }
        }
    }
    let mut added = Vec::new();
    let mut parents = Vec::with_capacity(dogs.len());
    for dog in dogs.iter() {
        parents.push([&dog.sire, &dog.dam].map(|id| {
            let Some(id) = id else { return UNKNOWN };
            *place.entry(id).or_insert_with(|| {
                added.push(ImportedDog {
                    imported_id: id.clone(),
                    without_id: !has_ids,
                    name: (!has_ids).then(|| id.clone()),
                    lives_here: Some(false),
                    ..ImportedDog::default()
                });
                (dogs.len() + added.len() - 1) as u32
            })
        }));
    }
    parents.resize(dogs.len() + added.len(), [UNKNOWN; 2]);
    dogs.append(&mut added);
    parents
}

/// Puts the dogs into the order given, without a second list of them.
fn arrange(dogs: &mut [ImportedDog], parents: &mut [[u32; 2]], order: &[u32]) {
    let mut target = vec![0; order.len()];
    for (to, from) in order.iter().enumerate() {
        target[*from as usize] = to;
    }
    for parent in parents.iter_mut().flatten().filter(|parent| **parent != UNKNOWN) {
        *parent = target[*parent as usize] as u32;
    }
    for at in 0..dogs.len() {
        while target[at] != at {
            let to = target[at];
            dogs.swap(at, to);
            parents.swap(at, to);
            target.swap(at, to);
        }
    }
}

/// The dogs of a file with their parents by position.
struct Rows<'a> {
    dogs: &'a [ImportedDog],
    parents: Vec<[u32; 2]>,
}

impl<'a> Rows<'a> {
    fn id(&self, at: u32) -> &'a str {
        &self.dogs[at as usize].imported_id
    }

    /// A dog as a fault names it.
    fn named(&self, at: u32) -> String {
        quoted(self.dogs[at as usize].label())
    }

    /// Parents as they count for roles, ages and loops: none where one animal is both of them.
    fn distinct_parents(&self) -> impl Iterator<Item = (u32, [u32; 2])> {
        (0..).zip(self.parents.iter().copied()).filter(|(_, pair)| !is_same(*pair))
    }

    fn check_values_held_once(&self, faults: &mut LineFaults) {
        let mut chips: HashMap<&str, u64> = HashMap::new();
        for dog in self.dogs {
            let Some(chip) = dog.chip_number.as_deref() else { continue };
            if let Some(first) = chips.insert(chip, line(dog)) {
                let detail = said!("fault-twice-chip", chip_number = quoted(chip), line = first);
                let id = &[&*dog.imported_id];
                faults.push(LineFault::at_line(Kind::Value, line(dog), id, detail));
            }
            if let (Some(born), Some(died)) = (dog.born_on, dog.died_on)
                && died < born.earliest()
            {
                let detail = said!("fault-too-early-death", died_on = died, born = born);
                let id = &[&*dog.imported_id];
                faults.push(LineFault::at_line(Kind::Value, line(dog), id, detail));
            }
        }
    }

    fn check_roles(&self, faults: &mut LineFaults) {
        const SEXES: [Sex; 2] = [Sex::Male, Sex::Female];
        for (dog, pair) in self.dogs.iter().zip(&self.parents).filter(|(_, p)| is_same(**p)) {
            let detail = said!("fault-not-together-both-parents", dog = self.named(pair[0]));
            let id = &[&*dog.imported_id];
            faults.push(LineFault::at_line(Kind::SameParent, line(dog), id, detail));
        }
        let mut role: Vec<Option<(usize, u64)>> = vec![None; self.dogs.len()];
        let mut reported = vec![false; self.dogs.len()];
        for (child, pair) in self.distinct_parents() {
            if faults.is_full() {
                break;
            }
            let at_line = line(&self.dogs[child as usize]);
            for side in (0..2).filter(|side| pair[*side] != UNKNOWN) {
                let sex = SEXES[side];
                let parent = pair[side];
                let (own, id) = (self.id(parent), self.named(parent));
                let stated = self.dogs[parent as usize].sex.filter(|stated| *stated != sex);
                if stated.is_some() {
                    let (id, line) = (id.as_str(), line(&self.dogs[parent as usize]));
                    let detail = match sex {
                        Sex::Male => said!("fault-wrong-sex-sire-on-line", dog = id, line = line),
                        Sex::Female => said!("fault-wrong-sex-dam-on-line", dog = id, line = line),
                    };
                    faults.push(LineFault::at_line(Kind::Sex, at_line, &[own], detail));
                }
                let (first, first_line) = *role[parent as usize].get_or_insert((side, at_line));
                if first != side && !reported[parent as usize] {
                    reported[parent as usize] = true;
                    let line = first_line;
                    let detail = match sex {
                        Sex::Male => said!("fault-wrong-sex-sire-is-dam", dog = id, line = line),
                        Sex::Female => said!("fault-wrong-sex-dam-is-sire", dog = id, line = line),
                    };
                    faults.push(LineFault::at_line(Kind::BothRoles, at_line, &[own], detail));
                }
            }
        }
    }

    /// Reports each loop once, on the first line of its members; marks its members.
    fn check_loops(&self, faults: &mut LineFaults) -> HashMap<u32, usize> {
        let mut member = HashMap::new();
        for (number, mut group) in loops(&self.parents).into_iter().enumerate() {
            group.sort_by_key(|at| line(&self.dogs[*at as usize]));
            let named = group.iter().take(MOST_TOLD).map(|at| {
                let line = line(&self.dogs[*at as usize]);
                said!("dog-on-line", name = self.named(*at), line = line)
            });
            let detail = said!("fault-own-ancestor-in-file", dogs = Value::all(named));
            let ids: Vec<&str> = group.iter().map(|at| self.id(*at)).collect();
            let first = group.first().map_or(1, |at| line(&self.dogs[*at as usize]));
            faults.push(LineFault::at_line(Kind::Cycle, first, &ids, detail));
            member.extend(group.into_iter().map(|at| (at, number)));
        }
        member
    }

    fn check_ages(&self, looped: &HashMap<u32, usize>, faults: &mut LineFaults) {
        for (child, pair) in self.distinct_parents() {
            if faults.is_full() {
                break;
            }
            let dog = &self.dogs[child as usize];
            let Some(born) = dog.born_on else { continue };
            for (sex, parent) in [Sex::Male, Sex::Female].into_iter().zip(pair) {
                let in_loop = looped.get(&child).is_some_and(|of| looped.get(&parent) == Some(of));
                let parent = self.dogs.get(parent as usize);
                let Some((parent, parent_born)) = parent.and_then(|p| Some((p, p.born_on?))) else {
                    continue;
                };
                if parent_born.year() >= born.year() && !in_loop {
                    let own = &*parent.imported_id;
                    let id = quoted(parent.label());
                    let detail = match sex {
                        Sex::Male => said!(
                            "fault-too-young-sire-in-file",
                            dog = id,
                            born = parent_born,
                            offspring_born = born
                        ),
                        Sex::Female => said!(
                            "fault-too-young-dam-in-file",
                            dog = id,
                            born = parent_born,
                            offspring_born = born
                        ),
                    };
                    let kind = Kind::ParentNotOlder;
                    let ids = [&*dog.imported_id, own];
                    faults.push(LineFault::at_line(kind, line(dog), &ids, detail));
                }
            }
        }
    }

    /// The sex that each dog's role as a parent tells.
    fn sexes(&self) -> Vec<Option<Sex>> {
        let mut sexes = vec![None; self.dogs.len()];
        for (_, pair) in self.distinct_parents() {
            for (parent, sex) in pair.into_iter().zip([Sex::Male, Sex::Female]) {
                if parent != UNKNOWN {
                    sexes[parent as usize] = Some(sex);
                }
            }
        }
        sexes
    }
}

fn is_same(pair: [u32; 2]) -> bool {
    pair[0] == pair[1] && pair[0] != UNKNOWN
}

fn line(dog: &ImportedDog) -> u64 {
    dog.line.unwrap_or(1)
}
