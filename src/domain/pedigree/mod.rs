//! A pedigree: animals in an order in which parents stand before their offspring.
//!
//! Ids are kept outside the hot path: the engine sees positions only ([`Parents`]). Animals that
//! have offspring stand first, those without behind them, since only parents carry genes on: a
//! walk through ancestors then touches a short front part of the arrays.

pub mod completeness;
mod loops;
mod parents;

use catalogue::{Text, said};
pub use parents::{Animal, Parents};
use std::fmt;

pub(crate) use loops::loops;
pub(crate) use parents::UNKNOWN;

/// An animal and its parents, as they are written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PedigreeRow<Id> {
    /// The animal.
    pub id: Id,
    /// Its sire, if known.
    pub sire: Option<Id>,
    /// Its dam, if known.
    pub dam: Option<Id>,
}

/// Why rows are not a pedigree.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PedigreeError<Id> {
    /// The same animal twice.
    Duplicate(Id),
    /// One animal given as sire and dam of the same offspring, which is named.
    SameParents(Id),
    /// Animals that are their own ancestors: the members of each loop.
    Loop(Vec<Vec<Id>>),
    /// An animal that the pedigree does not hold.
    NotThere(Id),
    /// More animals than positions (4 billion).
    TooMany,
}

impl<Id> PedigreeError<Id> {
    /// What is wrong, in a few words.
    pub fn text(&self) -> Text {
        match self {
            Self::Duplicate(_) => said!("pedigree-twice"),
            Self::SameParents(_) => said!("pedigree-same-parents"),
            Self::Loop(_) => said!("pedigree-loop"),
            Self::NotThere(_) => said!("pedigree-not-there"),
            Self::TooMany => said!("pedigree-too-many"),
        }
    }
}

impl<Id> fmt::Display for PedigreeError<Id> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.text())
    }
}

impl<Id: fmt::Debug> std::error::Error for PedigreeError<Id> {}

/// Animals by id, each with its parents, parents first.
#[derive(Debug, Clone)]
pub struct Pedigree<Id> {
    ids: Vec<Id>,
    /// Positions in the order of their ids: a search in it costs a fifth of a hash map's memory.
    by_id: Vec<Animal>,
    /// The same of those that were added last, so that adding one moves few of them.
    added: Vec<Animal>,
    parents: Parents,
}

impl<Id: PartialEq> PartialEq for Pedigree<Id> {
    /// The index follows from the ids.
    fn eq(&self, other: &Self) -> bool {
        self.ids == other.ids && self.parents == other.parents
    }
}

impl<Id: Eq> Eq for Pedigree<Id> {}

/// So many added animals are sorted in among the others at once.
const ADDED_APART: usize = 2_048;

impl<Id: Ord + Clone> Pedigree<Id> {
    /// Builds a pedigree from rows in any order. A parent without a row of its own is a founder.
    ///
    /// # Errors
    /// A duplicate id, one animal as both parents of another, or animals that are their own
    /// ancestors.
    ///
    /// ```
    /// use domain::pedigree::{Pedigree, PedigreeRow};
    /// let rows = [
    ///     PedigreeRow { id: "Juno", sire: Some("Rex"), dam: Some("Alma") },
    ///     PedigreeRow { id: "Alma", sire: Some("Rex"), dam: None },
    /// ];
    /// let pedigree = Pedigree::build(rows).unwrap();
    /// assert_eq!(pedigree.len(), 3);
    /// ```
    pub fn build(
        rows: impl IntoIterator<Item = PedigreeRow<Id>>,
    ) -> Result<Self, PedigreeError<Id>> {
        let rows: Vec<PedigreeRow<Id>> = rows.into_iter().collect();
        let (ids, pairs) = number(rows)?;
        let order =
            parents_first(&pairs).ok_or_else(|| PedigreeError::Loop(named(&ids, loops(&pairs))))?;
        let mut position = vec![UNKNOWN; ids.len()];
        for (new, old) in order.iter().enumerate() {
            position[*old as usize] = new as Animal;
        }
        let place = |old: Animal| (old != UNKNOWN).then(|| position[old as usize]);
        let mut parents = Parents::with_capacity(ids.len());
        for old in &order {
            let [sire, dam] = pairs[*old as usize];
            parents.push(place(sire), place(dam)).ok_or(PedigreeError::TooMany)?;
        }
        // The ids came out of `number` sorted, so the map from old to new position is the index.
        let ids = order.iter().map(|old| ids[*old as usize].clone()).collect();
        Ok(Self { ids, by_id: position, added: Vec::new(), parents })
    }

    /// A pedigree as [`Pedigree::ids`] and [`Pedigree::parents`] of another one were: positions stay.
    ///
    /// # Errors
    /// A duplicate id, one animal as both parents of another, or not as many ids as animals.
    pub fn restored(ids: Vec<Id>, parents: Parents) -> Result<Self, PedigreeError<Id>> {
        if ids.len() != parents.len() {
            return Err(PedigreeError::TooMany);
        }
        let same = |pair: &[Animal; 2]| pair[0] == pair[1] && pair[0] != UNKNOWN;
        if let Some(at) = parents.pairs().iter().position(same) {
            return Err(PedigreeError::SameParents(ids[at].clone()));
        }
        let mut sorted: Vec<(&Id, Animal)> = ids.iter().zip(0..).collect();
        sorted.sort_unstable();
        if let Some(pair) = sorted.windows(2).find(|pair| pair[0].0 == pair[1].0) {
            return Err(PedigreeError::Duplicate(pair[0].0.clone()));
        }
        let by_id = sorted.into_iter().map(|(_, animal)| animal).collect();
        Ok(Self { ids, by_id, added: Vec::new(), parents })
    }

    /// Number of animals.
    pub fn len(&self) -> usize {
        self.ids.len()
    }

    /// Whether there is no animal.
    pub fn is_empty(&self) -> bool {
        self.ids.is_empty()
    }

    /// The position of an animal, if it is in the pedigree.
    pub fn find(&self, id: &Id) -> Option<Animal> {
        let search = |sorted: &[Animal]| self.search(sorted, id).ok().map(|at| sorted[at]);
        search(&self.by_id).or_else(|| search(&self.added))
    }

    /// The id of the animal at a position.
    pub fn id(&self, animal: Animal) -> &Id {
        &self.ids[animal as usize]
    }

    /// All ids, by position.
    pub fn ids(&self) -> &[Id] {
        &self.ids
    }

    /// Sires and dams by position.
    pub fn parents(&self) -> &Parents {
        &self.parents
    }

    /// Every animal with its parents, parents first.
    pub fn rows(&self) -> impl Iterator<Item = PedigreeRow<Id>> {
        let id = |animal: Option<Animal>| animal.map(|a| self.id(a).clone());
        self.parents.animals().map(move |animal| PedigreeRow {
            id: self.id(animal).clone(),
            sire: id(self.parents.sire(animal)),
            dam: id(self.parents.dam(animal)),
        })
    }

    /// Adds one animal behind all others; parents that are not there yet are added as founders.
    /// Positions of the others stay.
    ///
    /// # Errors
    /// The animal is there already, would be its own parent, or has one animal as both parents.
    pub fn append(&mut self, row: PedigreeRow<Id>) -> Result<Animal, PedigreeError<Id>> {
        if self.find(&row.id).is_some() {
            return Err(PedigreeError::Duplicate(row.id));
        }
        refuse_odd_parents(&row)?;
        let sire = row.sire.map(|id| self.find_or_found(id)).transpose()?;
        let dam = row.dam.map(|id| self.find_or_found(id)).transpose()?;
        self.put(row.id, sire, dam)
    }

    /// Replaces the parents of an animal that is there. Where all were numbered anew for it, it
    /// answers the new position of each.
    ///
    /// # Errors
    /// The animal is not there, one animal as both parents, or the animal would become its own
    /// ancestor; the pedigree is then as before.
    pub fn set_parents(
        &mut self,
        row: PedigreeRow<Id>,
    ) -> Result<Option<Vec<Animal>>, PedigreeError<Id>> {
        let animal = self.find(&row.id).ok_or_else(|| PedigreeError::NotThere(row.id.clone()))?;
        refuse_odd_parents(&row)?;
        let place = |id: &Option<Id>| match id {
            None => Some(UNKNOWN),
            Some(id) => self.find(id),
        };
        if let (Some(sire), Some(dam)) = (place(&row.sire), place(&row.dam))
            && self.parents.replace(animal, [sire, dam])
        {
            return Ok(None);
        }
        let rows = self.rows().map(|old| if old.id == row.id { row.clone() } else { old });
        let new = Self::build(rows)?;
        // Nobody gets lost by it.
        let moved = self.ids.iter().map(|id| new.find(id).unwrap_or(UNKNOWN)).collect();
        *self = new;
        Ok(Some(moved))
    }

    fn find_or_found(&mut self, id: Id) -> Result<Animal, PedigreeError<Id>> {
        match self.find(&id) {
            Some(animal) => Ok(animal),
            None => self.put(id, None, None),
        }
    }

    fn put(
        &mut self,
        id: Id,
        sire: Option<Animal>,
        dam: Option<Animal>,
    ) -> Result<Animal, PedigreeError<Id>> {
        let animal = self.parents.push(sire, dam).ok_or(PedigreeError::TooMany)?;
        let (Ok(at) | Err(at)) = self.search(&self.added, &id);
        self.added.insert(at, animal);
        self.ids.push(id);
        if self.added.len() == ADDED_APART {
            self.sort_in_added();
        }
        Ok(animal)
    }

    fn sort_in_added(&mut self) {
        let mut merged = Vec::with_capacity(self.by_id.len() + self.added.len());
        let mut rest = self.by_id.as_slice();
        for animal in self.added.drain(..) {
            let id = &self.ids[animal as usize];
            let (before, behind) =
                rest.split_at(rest.partition_point(|other| self.ids[*other as usize] < *id));
            merged.extend_from_slice(before);
            merged.push(animal);
            rest = behind;
        }
        merged.extend_from_slice(rest);
        self.by_id = merged;
    }

    fn search(&self, sorted: &[Animal], id: &Id) -> Result<usize, usize> {
        sorted.binary_search_by(|animal| self.ids[*animal as usize].cmp(id))
    }
}

fn refuse_odd_parents<Id: Ord + Clone>(row: &PedigreeRow<Id>) -> Result<(), PedigreeError<Id>> {
    if row.sire.is_some() && row.sire == row.dam {
        return Err(PedigreeError::SameParents(row.id.clone()));
    }
    if row.sire.as_ref() == Some(&row.id) || row.dam.as_ref() == Some(&row.id) {
        return Err(PedigreeError::Loop(vec![vec![row.id.clone()]]));
    }
    Ok(())
}

/// All ids sorted, with the numbers of sire and dam beside each.
#[expect(clippy::type_complexity, reason = "used once, right above")]
fn number<Id: Ord + Clone>(
    mut rows: Vec<PedigreeRow<Id>>,
) -> Result<(Vec<Id>, Vec<[Animal; 2]>), PedigreeError<Id>> {
    for row in &rows {
        refuse_odd_parents(row)?;
    }
    rows.sort_unstable_by(|a, b| a.id.cmp(&b.id));
    if let Some(pair) = rows.windows(2).find(|pair| pair[0].id == pair[1].id) {
        return Err(PedigreeError::Duplicate(pair[0].id.clone()));
    }
    // Whose sire (even) or dam (odd) each parent is. Sorting these and going along both lists
    // finds all parents at once, several times faster than a search for each.
    let numbered = || (0..).step_by(2).zip(&rows);
    let sires = numbered().filter_map(|(at, row)| Some((row.sire.clone()?, at)));
    let dams = numbered().filter_map(|(at, row)| Some((row.dam.clone()?, at + 1)));
    let mut links: Vec<(Id, usize)> = sires.chain(dams).collect();
    links.sort_unstable();
    let mut ids: Vec<Id> = Vec::with_capacity(rows.len());
    let mut place_of_row = Vec::with_capacity(rows.len());
    let mut place_of_parent = vec![UNKNOWN; 2 * rows.len()];
    let mut links = links.into_iter().peekable();
    for row in rows {
        while let Some((id, link)) = links.next_if(|(id, _)| *id <= row.id) {
            // A parent without a row comes in as a founder, once.
            if id != row.id && ids.last() != Some(&id) {
                ids.push(id.clone());
            }
            let place = if id == row.id { ids.len() } else { ids.len() - 1 };
            place_of_parent[link] = place as Animal;
        }
        place_of_row.push(ids.len());
        ids.push(row.id);
    }
    for (id, link) in links {
        if ids.last() != Some(&id) {
            ids.push(id);
        }
        place_of_parent[link] = (ids.len() - 1) as Animal;
    }
    if ids.len() >= (UNKNOWN - 8) as usize {
        return Err(PedigreeError::TooMany);
    }
    let mut pairs = vec![[UNKNOWN; 2]; ids.len()];
    for (place, parents) in place_of_row.into_iter().zip(place_of_parent.chunks_exact(2)) {
        pairs[place] = [parents[0], parents[1]];
    }
    Ok((ids, pairs))
}

/// An order with parents before offspring and animals without offspring last; `None` if there is
/// a loop. Both parts go by the number of generations above, so that the ancestors of some animals
/// lie together: walks over them take a fifth less time than in an order of search.
pub(crate) fn parents_first(pairs: &[[Animal; 2]]) -> Option<Vec<Animal>> {
    let mut is_parent = vec![false; pairs.len()];
    for parent in pairs.iter().flatten().filter(|parent| **parent != UNKNOWN) {
        is_parent[*parent as usize] = true;
    }
    let all = 0..pairs.len() as Animal;
    let breeding = all.clone().filter(|animal| is_parent[*animal as usize]);
    let others = all.filter(|animal| !is_parent[*animal as usize]);
    let mut depth = vec![0u32; pairs.len()];
    let mut met = vec![false; pairs.len()];
    let mut placed = vec![false; pairs.len()];
    let mut order = Vec::with_capacity(pairs.len());
    let mut path = Vec::new();
    for start in breeding.chain(others) {
        path.push(start);
        while let Some(animal) = path.last().copied() {
            let at = animal as usize;
            if placed[at] {
                path.pop();
                continue;
            }
            let missing = |p: &Animal| *p != UNKNOWN && !placed[*p as usize];
            let Some(parent) = pairs[at].iter().copied().find(missing) else {
                placed[at] = true;
                let above = pairs[at].iter().filter(|p| **p != UNKNOWN);
                depth[at] = above.map(|p| depth[*p as usize] + 1).max().unwrap_or(0);
                order.push(animal);
                path.pop();
                continue;
            };
            met[at] = true;
            // A parent that was met and is not placed is on the path: a loop.
            if met[parent as usize] {
                return None;
            }
            path.push(parent);
        }
    }
    order.sort_by_key(|animal| (!is_parent[*animal as usize], depth[*animal as usize]));
    Some(order)
}

fn named<Id: Clone>(ids: &[Id], groups: Vec<Vec<Animal>>) -> Vec<Vec<Id>> {
    let name = |animal: Animal| ids[animal as usize].clone();
    groups.into_iter().map(|group| group.into_iter().map(name).collect()).collect()
}

#[cfg(test)]
mod tests;
