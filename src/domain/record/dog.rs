//! Dogs of the kennel, outside ancestors and pups alike; and who holds which share of one.

use super::{Record, Search, check_past_day, words::words};
use crate::{fault::Faults, partial_date::PartialDate};
use catalogue::said;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

words! {
    /// Sex of a dog.
    Sex {
        /// Can be a dam.
        Female = "female",
        /// Can be a sire.
        Male = "male",
    }
}

words! {
    /// Where a dog lives.
    Residence {
        /// In the kennel.
        Here = "here",
        /// Elsewhere: an outside sire, an ancestor, a pup that has gone.
        Elsewhere = "elsewhere",
    }
}

/// An entry of the dog in a stud book or another register.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Registration {
    /// Who keeps the register.
    #[schema(example = "National stud book", min_length = 1, max_length = 100)]
    pub registry: String,
    /// The number there.
    #[schema(example = "SB 10/2231", min_length = 1, max_length = 100)]
    pub number: String,
}

/// A dog: one of the kennel's, an ancestor living elsewhere, or a pup from its birth on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Dog {
    /// Registered name.
    #[serde(default)]
    #[schema(example = "Juno of Larkfell", min_length = 1, max_length = 200)]
    pub name: Option<String>,
    /// The name it is called by.
    #[serde(default)]
    #[schema(example = "Juno", min_length = 1, max_length = 100)]
    pub call_name: Option<String>,
    /// Null while unknown.
    #[serde(default)]
    pub sex: Option<Sex>,
    /// Breed, or the cross.
    #[serde(default)]
    #[schema(example = "Labrador Retriever", min_length = 1, max_length = 100)]
    pub breed: Option<String>,
    /// Coat colour.
    #[serde(default)]
    #[schema(example = "black", min_length = 1, max_length = 100)]
    pub colour: Option<String>,
    /// White marks and other signs to tell it by.
    #[serde(default)]
    #[schema(example = "white spot on chest", min_length = 1, max_length = 500)]
    pub markings: Option<String>,
    /// Birth, as precisely as it is known.
    #[serde(default)]
    pub born_on: Option<PartialDate>,
    /// Day of death.
    #[serde(default)]
    pub died_on: Option<NaiveDate>,
    /// What it died of, as found or thought.
    #[serde(default)]
    #[schema(example = "faded on day 3; not examined", min_length = 1, max_length = 500)]
    pub died_of: Option<String>,
    /// Father: a male dog of this kennel's list.
    #[serde(default)]
    pub sire_id: Option<Uuid>,
    /// Mother: a female dog of this kennel's list.
    #[serde(default)]
    pub dam_id: Option<Uuid>,
    /// Microchip: 15 digits (ISO 11784), or 9–10 characters of an older chip.
    #[serde(default)]
    #[schema(example = "276098100123456", pattern = "^[0-9A-Za-z]{9,15}$")]
    pub chip_number: Option<String>,
    /// Entries in registers.
    #[serde(default)]
    #[schema(max_items = 20)]
    pub registrations: Vec<Registration>,
    /// Weight grown up, known or expected, in grams.
    #[serde(default)]
    #[schema(example = 28000, minimum = 300, maximum = 150000)]
    pub adult_weight_g: Option<i32>,
    /// Where it lives; here when left out.
    #[serde(default = "here")]
    pub residence: Residence,
    /// Day on which a dog that was not born here came to live here, the day of entry when left out.
    /// What it got before is known only as far as it is recorded, and is asked about.
    #[serde(default)]
    #[schema(example = "2026-03-14")]
    pub came_on: Option<NaiveDate>,
    /// Whether the kennel breeds from it now.
    #[serde(default)]
    pub for_breeding: bool,
    /// Its id in the pedigree file it came from.
    #[serde(default)]
    #[schema(example = "A-1042", min_length = 1, max_length = 200)]
    pub imported_id: Option<String>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

fn here() -> Residence {
    Residence::Here
}

impl Dog {
    /// The dog with the day on which it came, where that was left out: who comes to live here came `today`.
    #[must_use]
    pub fn completed_on(self, before: Option<&Self>, today: NaiveDate) -> Self {
        let was_here = before.is_some_and(|before| before.residence == Residence::Here);
        let comes = self.residence == Residence::Here && !was_here;
        Self { came_on: self.came_on.or(comes.then_some(today)), ..self }
    }
}

impl Record for Dog {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        if let Some(born_on) = self.born_on {
            check_past_day(born_on.earliest(), now, "/born_on", faults);
        }
        if let Some(died_on) = self.died_on {
            check_past_day(died_on, now, "/died_on", faults);
            let born = self.born_on.map(PartialDate::earliest);
            faults.unless(born.is_none_or(|born| died_on >= born), "/died_on", || {
                said!("fault-too-early-birth")
            });
        }
        if let Some(came_on) = self.came_on {
            check_past_day(came_on, now, "/came_on", faults);
            let born = self.born_on.map(PartialDate::earliest);
            faults.unless(born.is_none_or(|born| came_on >= born), "/came_on", || {
                said!("fault-too-early-birth")
            });
        }
        faults.unless(self.died_of.is_none() || self.died_on.is_some(), "/died_on", || {
            said!("fault-missing-died-on")
        });
        let same = self.sire_id.is_some() && self.sire_id == self.dam_id;
        faults.unless(!same, "/dam_id", || said!("fault-not-together-dam-is-sire"));
    }
}

/// Which dogs to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct DogFilter {
    /// Only this sex.
    pub sex: Option<Sex>,
    /// Only dogs that live here, or elsewhere.
    pub residence: Option<Residence>,
    /// Only dogs that the kennel breeds from, or only the others.
    pub for_breeding: Option<bool>,
    /// Only this breed, as written.
    pub breed: Option<String>,
    /// Only offspring of this sire.
    pub sire_id: Option<Uuid>,
    /// Only offspring of this dam.
    pub dam_id: Option<Uuid>,
    /// The dog with this microchip.
    pub chip_number: Option<String>,
    /// The dog that had this id in an imported file.
    pub imported_id: Option<String>,
    /// Only with each of these words in a name, the chip or a number in a register; accents and case aside.
    #[param(value_type = Option<String>, max_length = 100, example = "juno lark")]
    pub search: Option<Search>,
    /// Only born on this day or later, as far as is known.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only born before this day, as far as is known.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}

/// A person's share in a dog, an exact fraction; the shares in a dog sum to at most one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Share {
    /// The dog, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub dog_id: Uuid,
    /// The member who holds it.
    pub person_id: Uuid,
    /// Parts held.
    #[schema(example = 1, minimum = 1, maximum = 10000)]
    pub numerator: i32,
    /// Parts in all.
    #[schema(example = 2, minimum = 1, maximum = 10000)]
    pub denominator: i32,
    /// First day on which it is held so. Null for as long as anything is on record; left out, that for the first shares
    /// in a dog, and today once one has changed. What was held before is kept among the former shares.
    #[serde(default)]
    #[schema(example = "2026-03-01")]
    pub held_from: Option<NaiveDate>,
}

impl Record for Share {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        faults.unless(self.numerator <= self.denominator, "/numerator", || {
            said!("fault-out-of-range-share")
        });
        if let Some(day) = self.held_from {
            check_past_day(day, now, "/held_from", faults);
        }
    }
}

impl Share {
    /// Whether it is another part of the dog, or another's, than this one.
    fn differs(&self, other: &Self) -> bool {
        let held = |share: &Self| (share.person_id, share.numerator, share.denominator);
        held(self) != held(other)
    }

    /// The share with its first day, where that was left out: today once the shares in the dog have changed, also by
    /// this one.
    #[must_use]
    pub fn completed_on(self, before: Option<&Self>, has_former: bool, today: NaiveDate) -> Self {
        let begins_today = match before {
            None => has_former && self.held_from.is_none(),
            Some(before) => self.differs(before) && self.held_from == before.held_from,
        };
        Self { held_from: if begins_today { Some(today) } else { self.held_from }, ..self }
    }

    /// What was held until the day before this one began, where another share was.
    pub fn former(&self, after: &Self) -> Option<FormerShare> {
        self.differs(after).then(|| self.held_before(after.held_from?)).flatten()
    }

    /// What was held until the day before `end`; null where nothing was.
    pub fn held_before(&self, end: NaiveDate) -> Option<FormerShare> {
        let held_until = end.pred_opt()?;
        let was_held = self.held_from.is_none_or(|first| first <= held_until);
        was_held.then_some(FormerShare {
            dog_id: self.dog_id,
            person_id: self.person_id,
            numerator: self.numerator,
            denominator: self.denominator,
            held_from: self.held_from,
            held_until,
        })
    }
}

/// Which shares to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct ShareFilter {
    /// Only this person's.
    pub person_id: Option<Uuid>,
}

/// A share in a dog as somebody held it until a day. It lets nobody see the dog; statements go by it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FormerShare {
    /// The dog, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub dog_id: Uuid,
    /// Who held it: a member, or somebody who was one.
    pub person_id: Uuid,
    /// Parts held.
    #[schema(example = 1, minimum = 1, maximum = 10000)]
    pub numerator: i32,
    /// Parts in all.
    #[schema(example = 2, minimum = 1, maximum = 10000)]
    pub denominator: i32,
    /// First day; null for as long as anything is on record.
    #[serde(default)]
    #[schema(example = "2025-01-01")]
    pub held_from: Option<NaiveDate>,
    /// Last day.
    #[schema(example = "2025-12-31")]
    pub held_until: NaiveDate,
}

impl Record for FormerShare {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        faults.unless(self.numerator <= self.denominator, "/numerator", || {
            said!("fault-out-of-range-share")
        });
        check_past_day(self.held_until, now, "/held_until", faults);
        let first = self.held_from;
        faults.unless(first.is_none_or(|first| first <= self.held_until), "/held_until", || {
            said!("fault-too-early-held-until")
        });
    }
}

impl FormerShare {
    /// What is left of it once the same person holds another share from a day on: itself where it ended before,
    /// the days before it, or nothing.
    pub fn left_before(&self, first: Option<NaiveDate>) -> Option<Self> {
        let last = first?.pred_opt()?;
        let begins = self.held_from.is_none_or(|from| from <= last);
        begins.then(|| Self { held_until: self.held_until.min(last), ..self.clone() })
    }
}

/// Which former shares to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct FormerShareFilter {
    /// Only this person's.
    pub person_id: Option<Uuid>,
    /// Only those that ended on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only those that ended before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn share(parts: (i32, i32), held_from: Option<&str>) -> Share {
        Share {
            dog_id: Uuid::from_u128(1),
            person_id: Uuid::from_u128(2),
            numerator: parts.0,
            denominator: parts.1,
            held_from: held_from.map(day),
        }
    }

    #[test]
    fn the_first_share_is_held_since_ever_and_a_changed_one_since_today() {
        let today = day("2026-07-01");
        let first = share((1, 2), None);
        assert_eq!(first.clone().completed_on(None, false, today).held_from, None);
        assert_eq!(first.clone().completed_on(None, true, today).held_from, Some(today));
        let third = share((1, 3), None);
        assert_eq!(third.completed_on(Some(&first), false, today).held_from, Some(today));
        let said = share((1, 3), Some("2026-05-01"));
        assert_eq!(said.clone().completed_on(Some(&first), true, today), said);
        // Nothing but the note of its first day: a correction.
        let since = share((1, 2), Some("2026-02-01"));
        assert_eq!(since.clone().completed_on(Some(&first), true, today), since);
    }

    #[test]
    fn what_was_held_before_ends_the_day_before() {
        let half = share((1, 2), Some("2026-03-01"));
        let later = share((1, 3), Some("2026-07-01"));
        let former = half.former(&later).unwrap();
        assert_eq!((former.held_from, former.held_until), (half.held_from, day("2026-06-30")));
        // It begins on the same day: nothing was held before; a day later one day was.
        assert_eq!(half.former(&share((1, 3), Some("2026-03-01"))), None);
        let one = half.former(&share((1, 3), Some("2026-03-02"))).unwrap();
        assert_eq!(one.held_until, day("2026-03-01"));
        // The same part from another day on is a correction.
        assert_eq!(half.former(&share((1, 2), Some("2026-07-01"))), None);
        assert_eq!(half.former(&share((1, 3), None)), None);
    }

    #[test]
    fn a_share_takes_the_place_of_former_ones_from_its_day_on() {
        let former = share((1, 2), Some("2026-03-01")).held_before(day("2026-07-01")).unwrap();
        let left = |first: Option<&str>| former.left_before(first.map(day));
        assert_eq!(left(Some("2026-07-01")), Some(former.clone()));
        assert_eq!(left(Some("2026-06-30")).unwrap().held_until, day("2026-06-29"));
        assert_eq!(left(Some("2026-03-02")).unwrap().held_until, day("2026-03-01"));
        assert_eq!(left(Some("2026-03-01")), None);
        assert_eq!(left(None), None);
    }
}
