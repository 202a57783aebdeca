//! Rows of single dogs.

use crate::shared::Shared;
use std::collections::BTreeMap;
use uuid::Uuid;

/// What is recorded of single dogs, in the order of its time.
#[derive(Debug, Clone, PartialEq)]
pub struct ByDog<T>(BTreeMap<Uuid, Shared<[T]>>);

impl<T> Default for ByDog<T> {
    fn default() -> Self {
        Self(BTreeMap::new())
    }
}

impl<T> ByDog<T> {
    /// Groups rows, which are in order, by the dog that each names.
    pub fn group(rows: impl IntoIterator<Item = T>, dog: impl Fn(&T) -> Uuid) -> Self {
        let mut by_dog: BTreeMap<Uuid, Vec<T>> = BTreeMap::new();
        for row in rows {
            by_dog.entry(dog(&row)).or_default().push(row);
        }
        by_dog.into()
    }

    /// What is recorded of this dog.
    pub fn of(&self, dog_id: Uuid) -> &[T] {
        self.0.get(&dog_id).map(|rows| &**rows).unwrap_or_default()
    }

    /// What is recorded of these dogs alone.
    #[must_use]
    pub fn only(&self, dogs: &[Uuid]) -> Self {
        dogs.iter().filter_map(|dog| Some((*dog, self.0.get(dog)?.clone()))).collect()
    }
}

impl<T> FromIterator<(Uuid, Shared<[T]>)> for ByDog<T> {
    fn from_iter<I: IntoIterator<Item = (Uuid, Shared<[T]>)>>(rows: I) -> Self {
        Self(rows.into_iter().collect())
    }
}

impl<T> From<BTreeMap<Uuid, Vec<T>>> for ByDog<T> {
    fn from(by_dog: BTreeMap<Uuid, Vec<T>>) -> Self {
        by_dog.into_iter().map(|(dog, rows)| (dog, rows.into())).collect()
    }
}
