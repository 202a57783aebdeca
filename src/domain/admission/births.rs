//! A birth beside its mating, its dam, and the pups that are written down already.

use super::{Admission, Refusal, without};
use crate::{
    litter::Presence,
    partial_date::PartialDate,
    record::{Birth, BirthOutcome, Dog, Kept, Litter, Residence, Role},
    rules::Rules,
    slips,
    whelping::{BirthMarks, double_of, same_pup},
};
use catalogue::said;
use chrono::{DateTime, NaiveDate, Utc};
use uuid::Uuid;

#[cfg(test)]
mod tests;

/// The most pups of a litter that are numbered; the largest litter on record had 24.
pub(crate) const LARGEST_LITTER: i32 = 30;

/// What a birth is held against.
#[derive(Debug, Clone, Copy)]
pub struct BirthFacts<'a> {
    /// The first tie of the litter's mating.
    pub first_tie_at: Option<DateTime<Utc>>,
    /// The day of the litter's whelping.
    pub whelped_on: Option<NaiveDate>,
    /// The day of the birth on the kennel's calendar.
    pub born_on: NaiveDate,
    /// What the dam weighs when grown, in grams.
    pub dam_weight_g: Option<i32>,
    /// The rules in force.
    pub rules: &'a Rules,
}

/// A pup of the litter that was born alive and got a collar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CollaredPup {
    /// Its number.
    pub ordinal: i32,
    /// The pup's dog.
    pub dog_id: Uuid,
    /// The collar.
    pub collar: Option<String>,
    /// The day it died.
    pub died_on: Option<NaiveDate>,
    /// Where it lives.
    pub residence: Residence,
}

impl Birth {
    /// Refuses a birth before its mating, or a pup that weighs as much as its dam; asks about one days
    /// away from the litter's whelping.
    ///
    /// # Errors
    /// A fault at `/born_at` or `/weight_g`.
    pub fn admit(&self, facts: &BirthFacts<'_>) -> Admission {
        if let Some(first) = facts.first_tie_at.filter(|first| self.born_at <= *first) {
            let mated_at = first.format("%FT%TZ").to_string();
            let detail = said!("fault-too-early-before-mating", mated_at = mated_at);
            return Err(Refusal::at("/born_at", detail));
        }
        if !self.confirmed {
            without(slips::birth_day(facts.born_on, facts.whelped_on, facts.rules))?;
        }
        match (self.weight_g, facts.dam_weight_g) {
            (Some(pup_g), Some(dam_g)) if pup_g >= dam_g => Err(Refusal::at(
                "/weight_g",
                said!("fault-out-of-range-birth-above-dam", dam_weight_g = dam_g),
            )),
            _ => Ok(()),
        }
    }

    /// Refuses to make another birth, or another pup, out of this one.
    ///
    /// # Errors
    /// A fault of the whole body.
    pub fn admit_change(&self, before: &Self) -> Admission {
        let given = (before.litter_id, before.dog_id, before.ordinal);
        if (self.litter_id, self.dog_id, self.ordinal) == given {
            return Ok(());
        }
        Err(Refusal::at("", said!("fault-fixed-birth")))
    }

    /// Whether it is to be asked if another pup wears its collar: a pup born alive that has one.
    pub fn wears_collar(&self) -> bool {
        self.collar.is_some() && self.outcome == BirthOutcome::Alive
    }

    /// Refuses a collar that another pup of the litter wears that is here and lives; letters large and
    /// small are one.
    ///
    /// # Errors
    /// [`Refusal::Conflict`] with the number of the pup that wears it.
    pub fn admit_collar(&self, litter: &[CollaredPup], today: NaiveDate) -> Admission {
        let Some(collar) = self.collar.as_ref().filter(|_| self.wears_collar()) else {
            return Ok(());
        };
        let named = |collar: &str| collar.trim().to_lowercase();
        let wears = |pup: &&CollaredPup| {
            pup.dog_id != self.dog_id
                && Presence::by_record(pup.died_on, pup.residence, today).is_here()
                && pup.collar.as_deref().map(named) == Some(named(collar))
        };
        match litter.iter().find(wears) {
            Some(CollaredPup { ordinal, .. }) => {
                Err(Refusal::Conflict(said!("problem-conflict-collar", ordinal = *ordinal)))
            }
            None => Ok(()),
        }
    }

    /// Refuses a number that is not the next of the litter; 0 leaves it to the service.
    ///
    /// # Errors
    /// [`Refusal::Conflict`]: somebody else wrote down a pup meanwhile.
    pub fn admit_ordinal(&self, next: i32) -> Admission {
        if self.ordinal == 0 || self.ordinal == next {
            return Ok(());
        }
        Err(Refusal::Conflict(said!(
            "problem-conflict-not-next-pup",
            ordinal = self.ordinal,
            next = next
        )))
    }

    /// Refuses a pup that is written down already, by its marks, as number `next`; answers the one that it
    /// may be where nothing tells the two apart.
    ///
    /// # Errors
    /// [`Refusal::Conflict`] for a pup of the same marks within `whelping.double_minutes`.
    pub fn admit_beside<'k>(
        &self,
        known: &'k [Kept<Self>],
        next: i32,
        rules: &Rules,
    ) -> Result<Option<&'k Kept<Self>>, Refusal> {
        let marks: Vec<BirthMarks> = known.iter().map(|kept| kept.record.marks()).collect();
        if let Some(same) = same_pup(&marks, &self.marks(), rules) {
            return Err(Refusal::Conflict(said!(
                "problem-conflict-same-pup",
                ordinal = same.ordinal,
                seconds = self.seconds_from(same.born_at),
                next = next
            )));
        }
        let double = double_of(&marks, &self.marks(), rules);
        Ok(double.and_then(|one| known.iter().find(|kept| kept.record.ordinal == one.ordinal)))
    }

    /// Refuses a pup that may be another one, as number `next`. Who writes down two pups knows that they
    /// are two, so it is asked only where `same_writer` is false.
    ///
    /// # Errors
    /// [`Refusal::Conflict`] with the number of the other.
    pub fn admit_double(&self, other: &Self, same_writer: bool, next: i32) -> Admission {
        if same_writer {
            return Ok(());
        }
        Err(Refusal::Conflict(said!(
            "problem-conflict-maybe-same-pup",
            ordinal = other.ordinal,
            seconds = self.seconds_from(other.born_at),
            next = next
        )))
    }

    /// Refuses a helper who takes away a birth older than `whelping.helper_removes_hours`: one takes back
    /// what happened in the night, and no older pup.
    ///
    /// # Errors
    /// [`Refusal::Forbidden`].
    pub fn admit_removal(&self, by: Role, now: DateTime<Utc>, rules: &Rules) -> Admission {
        let within = rules.span("whelping.helper_removes_hours");
        if by == Role::Helper && now - self.born_at > within {
            let hours = rules.value("whelping.helper_removes_hours");
            return Err(Refusal::Forbidden(said!("problem-forbidden-helpers-day", hours = hours)));
        }
        Ok(())
    }

    fn seconds_from(&self, at: DateTime<Utc>) -> i64 {
        (at - self.born_at).num_seconds().abs()
    }

    /// The dog that a birth makes, born on `born_on` of the kennel's calendar.
    pub fn pup(&self, litter: &Litter, breed: Option<String>, born_on: NaiveDate) -> Dog {
        Dog {
            name: self.name.clone(),
            call_name: None,
            sex: self.sex,
            breed,
            colour: self.colour.clone(),
            markings: self.markings.clone(),
            born_on: Some(PartialDate::Day(born_on)),
            died_on: None,
            died_of: None,
            sire_id: litter.sire_id,
            dam_id: Some(litter.dam_id),
            chip_number: None,
            registrations: Vec::new(),
            adult_weight_g: None,
            residence: Residence::Here,
            came_on: None,
            for_breeding: false,
            imported_id: None,
            note: None,
        }
    }
}

/// The breed of a pup: that of its dam, where its sire is of the same.
pub fn shared_breed(dam: Option<String>, sire: Option<&str>) -> Option<String> {
    dam.filter(|breed| sire == Some(breed))
}

/// The number of the next pup of a litter after the `last`.
///
/// # Errors
/// [`Refusal::Conflict`] after pup 30.
pub fn next_ordinal(last: Option<i32>) -> Result<i32, Refusal> {
    let next = last.unwrap_or(0) + 1;
    if next > LARGEST_LITTER {
        return Err(Refusal::Conflict(said!(
            "problem-conflict-litter-full",
            most = LARGEST_LITTER
        )));
    }
    Ok(next)
}
