//! What the rows of a file say about one another.

use super::{ImportedDog, LineFaults, PedigreeFault, PedigreeFaultKind as Kind, StatedSex};
use crate::fault::{MOST_TOLD, quoted};
use crate::pedigree::{UNKNOWN, loops, parents_first};
use std::collections::{HashMap, hash_map::Entry};

/// Checks the rows against each other and completes them with the parents that have none.
/// The dogs come back parents first; `None` if that cannot be, which is then among the faults.
pub(super) fn check(
    mut dogs: Vec<ImportedDog>,
    faults: &mut LineFaults,
) -> Option<Vec<ImportedDog>> {
    let before = faults.len();
    let parents = link(&mut dogs, faults);
    let order = parents_first(&parents);
    let rows = Rows { dogs: &dogs, parents };
    rows.check_values_held_once(faults);
    rows.check_roles(faults);
    let looped = if order.is_none() { rows.check_loops(faults) } else { HashMap::new() };
    rows.check_ages(&looped, faults);
    let sexes = rows.sexes();
    for (dog, sex) in dogs.iter_mut().zip(sexes) {
        dog.sex = dog.sex.or(sex);
    }
    if faults.len() == before && !faults.is_full() {
        arrange(&mut dogs, &order?);
        Some(dogs)
    } else {
        None
    }
}

/// Finds the parents of each row by position; of rows with the same id the first counts. Parents
/// without a row are added as ancestors that live elsewhere.
fn link(dogs: &mut Vec<ImportedDog>, faults: &mut LineFaults) -> Vec<[u32; 2]> {
    let mut place: HashMap<&str, u32> = HashMap::with_capacity(dogs.len());
    for (at, dog) in dogs.iter().enumerate() {
        match place.entry(&dog.imported_id) {
            Entry::Vacant(free) => drop(free.insert(at as u32)),
            Entry::Occupied(first) => {
                let own = &*dog.imported_id;
                let id = quoted(own);
                let first = line(&dogs[*first.get() as usize]);
                let detail = format!("id {id} is on line {first} already");
                faults.push(PedigreeFault::at_line(Kind::DuplicateId, line(dog), &[own], detail));
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
fn arrange(dogs: &mut [ImportedDog], order: &[u32]) {
    let mut target = vec![0; order.len()];
    for (to, from) in order.iter().enumerate() {
        target[*from as usize] = to;
    }
    for at in 0..dogs.len() {
        while target[at] != at {
            let to = target[at];
            dogs.swap(at, to);
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

    /// Parents as they count for roles, ages and loops: none where one animal is both of them.
    fn distinct_parents(&self) -> impl Iterator<Item = (u32, [u32; 2])> {
        (0..).zip(self.parents.iter().copied()).filter(|(_, pair)| !is_same(*pair))
    }

    fn check_values_held_once(&self, faults: &mut LineFaults) {
        let mut chips: HashMap<&str, u64> = HashMap::new();
        for dog in self.dogs {
            let Some(chip) = dog.chip_number.as_deref() else { continue };
            if let Some(first) = chips.insert(chip, line(dog)) {
                let detail = format!("chip_number {} is on line {first} already", quoted(chip));
                let id = &[&*dog.imported_id];
                faults.push(PedigreeFault::at_line(Kind::Value, line(dog), id, detail));
            }
            if let (Some(born), Some(died)) = (dog.born_on, dog.died_on)
                && died < born.earliest()
            {
                let detail = format!("died_on {died} is before the birth ({born})");
                let id = &[&*dog.imported_id];
                faults.push(PedigreeFault::at_line(Kind::Value, line(dog), id, detail));
            }
        }
    }

    fn check_roles(&self, faults: &mut LineFaults) {
        const ROLES: [(&str, StatedSex); 2] =
            [("sire", StatedSex::Male), ("dam", StatedSex::Female)];
        for (dog, pair) in self.dogs.iter().zip(&self.parents).filter(|(_, p)| is_same(**p)) {
            let detail =
                format!("{} is both sire and dam; a dog has two parents", quoted(self.id(pair[0])));
            let id = &[&*dog.imported_id];
            faults.push(PedigreeFault::at_line(Kind::SameParent, line(dog), id, detail));
        }
        let mut role: Vec<Option<(usize, u64)>> = vec![None; self.dogs.len()];
        let mut reported = vec![false; self.dogs.len()];
        for (child, pair) in self.distinct_parents() {
            if faults.is_full() {
                break;
            }
            let at_line = line(&self.dogs[child as usize]);
            for side in (0..2).filter(|side| pair[*side] != UNKNOWN) {
                let (word, sex) = ROLES[side];
                let parent = pair[side];
                let own = self.id(parent);
                let id = quoted(own);
                let stated = self.dogs[parent as usize].sex.filter(|stated| *stated != sex);
                if let Some(stated) = stated {
                    let detail = format!(
                        "{word} {id} is {} on line {}",
                        stated.as_str(),
                        line(&self.dogs[parent as usize])
                    );
                    faults.push(PedigreeFault::at_line(Kind::Sex, at_line, &[own], detail));
                }
                let (first, first_line) = *role[parent as usize].get_or_insert((side, at_line));
                if first != side && !reported[parent as usize] {
                    reported[parent as usize] = true;
                    let other = ROLES[first].0;
                    let detail = format!("{word} {id} is a {other} on line {first_line}");
                    faults.push(PedigreeFault::at_line(Kind::BothRoles, at_line, &[own], detail));
                }
            }
        }
    }

    /// Reports each loop once, on the first line of its members; marks its members.
    fn check_loops(&self, faults: &mut LineFaults) -> HashMap<u32, usize> {
        let mut member = HashMap::new();
        for (number, mut group) in loops(&self.parents).into_iter().enumerate() {
            group.sort_by_key(|at| line(&self.dogs[*at as usize]));
            let named: Vec<String> = group
                .iter()
                .take(MOST_TOLD)
                .map(|at| {
                    let line = line(&self.dogs[*at as usize]);
                    format!("{} (line {line})", quoted(self.id(*at)))
                })
                .collect();
            let detail = format!(
                "{} would be their own ancestors; correct a sire or dam among them",
                named.join(", ")
            );
            let ids: Vec<&str> = group.iter().map(|at| self.id(*at)).collect();
            let first = group.first().map_or(1, |at| line(&self.dogs[*at as usize]));
            faults.push(PedigreeFault::at_line(Kind::Cycle, first, &ids, detail));
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
            for (word, parent) in ["sire", "dam"].into_iter().zip(pair) {
                let in_loop = looped.get(&child).is_some_and(|of| looped.get(&parent) == Some(of));
                let parent = self.dogs.get(parent as usize);
                let Some((parent, parent_born)) = parent.and_then(|p| Some((p, p.born_on?))) else {
                    continue;
                };
                if parent_born.year() >= born.year() && !in_loop {
                    let own = &*parent.imported_id;
                    let id = quoted(own);
                    let detail = format!(
                        "{word} {id} was born {parent_born}, not in a year before its \
                         offspring ({born})"
                    );
                    let kind = Kind::ParentNotOlder;
                    let ids = [&*dog.imported_id, own];
                    faults.push(PedigreeFault::at_line(kind, line(dog), &ids, detail));
                }
            }
        }
    }

    /// The sex that each dog's role as a parent tells.
    fn sexes(&self) -> Vec<Option<StatedSex>> {
        let mut sexes = vec![None; self.dogs.len()];
        for (_, pair) in self.distinct_parents() {
            for (parent, sex) in pair.into_iter().zip([StatedSex::Male, StatedSex::Female]) {
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
