//! Who held which part of a dog on a day.

use crate::{fault::Fault, markers::ratio};
use catalogue::said;
use chrono::NaiveDate;
use num_rational::BigRational;
use num_traits::{One as _, Zero as _};
use std::collections::BTreeMap;
use uuid::Uuid;

/// Who holds a part of a dog.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Holder {
    /// The kennel: what nobody holds by name.
    Kennel,
    /// A person, member or former member of the kennel.
    Person(Uuid),
}

/// A share in a dog over a span of days, both ends included.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Holding {
    /// The dog.
    pub dog_id: Uuid,
    /// Who holds it.
    pub person_id: Uuid,
    /// Parts held.
    pub numerator: i32,
    /// Parts in all.
    pub denominator: i32,
    /// First day; `None` for as long as anything is on record.
    pub held_from: Option<NaiveDate>,
    /// Last day; `None` while it is held.
    pub held_until: Option<NaiveDate>,
}

impl Holding {
    fn is_held_on(&self, day: NaiveDate) -> bool {
        self.held_from.is_none_or(|first| first <= day)
            && self.held_until.is_none_or(|last| day <= last)
    }
}

/// The parts of one dog on one day, by holder; together exactly 1.
pub(super) type Parts = BTreeMap<Holder, BigRational>;

/// All shares, now and before, by dog.
#[derive(Debug, Clone, Default)]
pub struct Holdings(BTreeMap<Uuid, Vec<Holding>>);

impl FromIterator<Holding> for Holdings {
    fn from_iter<I: IntoIterator<Item = Holding>>(all: I) -> Self {
        let mut by_dog: BTreeMap<Uuid, Vec<Holding>> = BTreeMap::new();
        for holding in all {
            by_dog.entry(holding.dog_id).or_default().push(holding);
        }
        Self(by_dog)
    }
}

impl Holdings {
    /// The parts of a dog on a day; `None` where nobody held a share by name.
    ///
    /// # Errors
    /// A fault when the shares make more than the whole dog.
    fn of_dog(&self, dog_id: Uuid, day: NaiveDate) -> Result<Option<Parts>, Fault> {
        let held = self.0.get(&dog_id).into_iter().flatten().filter(|held| held.is_held_on(day));
        let mut parts = Parts::new();
        for Holding { person_id, numerator, denominator, .. } in held {
            let part = ratio((*numerator).into(), (*denominator).into());
            *parts.entry(Holder::Person(*person_id)).or_insert_with(BigRational::zero) += part;
        }
        if parts.is_empty() {
            return Ok(None);
        }
        let named: BigRational = parts.values().sum();
        if named > BigRational::one() {
            return Err(Fault::new("", said!("fault-out-of-range-shares-sum")));
        }
        if named < BigRational::one() {
            parts.insert(Holder::Kennel, BigRational::one() - named);
        }
        Ok(Some(parts))
    }

    /// Whether somebody held a share by name in this very dog on a day.
    pub(super) fn are_in(&self, dog_id: Uuid, day: NaiveDate) -> Result<bool, Fault> {
        Ok(self.of_dog(dog_id, day)?.is_some())
    }

    /// The parts of a dog on a day: by its own shares where somebody held one, else by those in its dam, else
    /// the kennel's.
    ///
    /// # Errors
    /// A fault when the shares make more than the whole dog.
    pub(super) fn on(
        &self,
        dog_id: Option<Uuid>,
        dam_id: Option<Uuid>,
        day: NaiveDate,
    ) -> Result<Parts, Fault> {
        for dog_id in [dog_id, dam_id].into_iter().flatten() {
            if let Some(parts) = self.of_dog(dog_id, day)? {
                return Ok(parts);
            }
        }
        Ok(Parts::from([(Holder::Kennel, BigRational::one())]))
    }
}
