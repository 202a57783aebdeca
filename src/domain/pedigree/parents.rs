//! Who descends from whom, as dense arrays: the form in which the engine walks a pedigree.

/// The position of an animal in a [`Parents`].
pub type Animal = u32;

/// The mark of a parent that is not known.
pub(crate) const UNKNOWN: Animal = Animal::MAX;

/// Sire and dam of each animal by position. A parent always stands before its offspring, so one
/// walk up or down the positions is a walk through the generations.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Parents(Vec<[Animal; 2]>);

impl Parents {
    /// An empty pedigree with room for `animals`.
    pub fn with_capacity(animals: usize) -> Self {
        Self(Vec::with_capacity(animals))
    }

    /// Number of animals.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there is no animal.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Adds an animal behind its parents and gives its position; `None` if a parent is not
    /// there yet, or if no position is left.
    pub fn push(&mut self, sire: Option<Animal>, dam: Option<Animal>) -> Option<Animal> {
        let position = Animal::try_from(self.len()).ok().filter(|p| *p < UNKNOWN - 8)?;
        if sire.is_some_and(|s| s >= position) || dam.is_some_and(|d| d >= position) {
            return None;
        }
        self.0.push([sire.unwrap_or(UNKNOWN), dam.unwrap_or(UNKNOWN)]);
        Some(position)
    }

    /// The sire, if known.
    pub fn sire(&self, animal: Animal) -> Option<Animal> {
        known(self.0[animal as usize][0])
    }

    /// The dam, if known.
    pub fn dam(&self, animal: Animal) -> Option<Animal> {
        known(self.0[animal as usize][1])
    }

    /// The parents that are known, sire first.
    pub fn known(&self, animal: Animal) -> impl Iterator<Item = Animal> + use<> {
        self.0[animal as usize].into_iter().filter(|parent| *parent != UNKNOWN)
    }

    /// Sire and dam of every animal, [`UNKNOWN`] where not known.
    pub(crate) fn pairs(&self) -> &[[Animal; 2]] {
        &self.0
    }

    /// Replaces the parents of one animal; `false`, and nothing done, if one stands behind it.
    pub(crate) fn replace(&mut self, animal: Animal, pair: [Animal; 2]) -> bool {
        let fits = pair.iter().all(|parent| *parent == UNKNOWN || *parent < animal);
        if fits {
            self.0[animal as usize] = pair;
        }
        fits
    }

    /// All animals, parents before offspring.
    pub fn animals(&self) -> impl DoubleEndedIterator<Item = Animal> + use<> {
        0..self.len() as Animal
    }

    /// An animal and all that descend from it, ascending.
    pub(crate) fn with_descendants(&self, start: Animal) -> Vec<Animal> {
        let mut marked = vec![0u64; self.len().div_ceil(64)];
        let mut found = vec![start];
        marked[start as usize / 64] |= 1 << (start % 64);
        for animal in start + 1..self.len() as Animal {
            let is_marked =
                |p: &Animal| *p >= start && marked[*p as usize / 64] >> (p % 64) & 1 == 1;
            let pair = &self.0[animal as usize];
            if pair.iter().any(|parent| *parent != UNKNOWN && is_marked(parent)) {
                marked[animal as usize / 64] |= 1 << (animal % 64);
                found.push(animal);
            }
        }
        found
    }

    /// Marks `start` and all that descend from them.
    pub fn descendants(&self, start: &[Animal]) -> Vec<bool> {
        let mut marked = vec![false; self.len()];
        for animal in start {
            marked[*animal as usize] = true;
        }
        let first = start.iter().min().map_or(self.len(), |a| *a as usize);
        for animal in first..self.len() {
            let of_marked = self.0[animal].iter().any(|p| *p != UNKNOWN && marked[*p as usize]);
            marked[animal] |= of_marked;
        }
        marked
    }
}

fn known(parent: Animal) -> Option<Animal> {
    (parent != UNKNOWN).then_some(parent)
}
