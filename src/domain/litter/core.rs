//! What is always known of a litter when it is asked about.

use super::{Placed, Presence};
use crate::{
    moment::Moment,
    partial_date::PartialDate,
    record::{Birth, BirthOutcome, Dog, Kept, Litter, Sex},
    schedule::{plus, rule_days},
};
use catalogue::{Text, Value, said};
use chrono::{DateTime, NaiveDate, Utc};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// A litter: its dam and sire, its dates, its births and pups. Without a litter, dogs that are followed
/// by themselves, or pups of one that the asker may not see.
#[derive(Debug, Clone, PartialEq)]
pub struct Core {
    /// The litter; null for dogs of none, and where the asker may not see it.
    pub litter: Option<Kept<Litter>>,
    /// Name of the place where it lies.
    pub place: Option<String>,
    /// First tie of its mating.
    pub mated_at: Option<DateTime<Utc>>,
    /// The dam; null when the asker may not see her.
    pub dam: Option<Dog>,
    /// Whether she was born in this kennel, and all that she was given is on record.
    pub dam_born_here: bool,
    /// The sire; null when he is unknown or may not be seen.
    pub sire: Option<Dog>,
    /// All litters of the dam, this one among them, oldest first; an expected one comes last.
    pub of_dam: Vec<LitterOfDam>,
    /// The pups in the order of birth, those born dead among them.
    pub pups: Vec<Pup>,
}

/// One of the litters that a dam had or carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LitterOfDam {
    /// The litter.
    pub litter_id: Uuid,
    /// The dam.
    pub dam_id: Uuid,
    /// Day of whelping; null while it is expected.
    pub whelped_on: Option<NaiveDate>,
    /// Day of weaning.
    pub weaned_on: Option<NaiveDate>,
    /// Pups born, alive or not.
    pub born: u32,
}

/// The litter for which a dog is followed as its dam, of all that it had or carries, oldest first: the newest, until
/// `schedule.dam_followed` days after whelping, or weaning where that is later.
///
/// What is found of her then belongs to the record of that litter, and to no other one: neither to that into which
/// she was born nor to her own.
fn followed_for(of_dam: &[LitterOfDam], dam: Option<&Dog>, moment: &Moment) -> Option<Uuid> {
    dam.filter(|dam| dam.died_on.is_none())?;
    let newest = of_dam.last()?;
    let followed = rule_days(&moment.rules, "schedule.dam_followed");
    let last = newest.whelped_on.map(|on| plus(on, followed).max(newest.weaned_on.unwrap_or(on)));
    last.is_none_or(|last| moment.today() <= last).then_some(newest.litter_id)
}

/// A pup of a litter, or a dog that is followed by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Pup {
    /// The dog.
    pub dog_id: Uuid,
    /// Its record; null when the asker may not see it.
    pub dog: Option<Dog>,
    /// Its birth; null for a dog that was not born here.
    pub birth: Option<Kept<Birth>>,
    /// Its placements, oldest first.
    pub placements: Vec<Placed>,
    /// The litters that it had itself or carries, oldest first; an expected one comes last.
    pub litters: Vec<LitterOfDam>,
}

impl Core {
    /// Dogs of no litter.
    pub fn of_dogs(pups: Vec<Pup>) -> Self {
        Self {
            litter: None,
            place: None,
            mated_at: None,
            dam: None,
            dam_born_here: false,
            sire: None,
            of_dam: Vec::new(),
            pups,
        }
    }

    /// Whether these are pups that were born here, though the asker may not see their litter: a co-owner who
    /// shares a pup and not its dam.
    pub fn is_of_unseen_litter(&self) -> bool {
        self.litter.is_none() && self.births().next().is_some()
    }

    /// The litter's id.
    pub fn id(&self) -> Option<Uuid> {
        self.litter.as_ref().map(|litter| litter.id)
    }

    /// The dam's id.
    pub fn dam_id(&self) -> Option<Uuid> {
        self.litter.as_ref().map(|litter| litter.record.dam_id)
    }

    /// The sire's id.
    pub fn sire_id(&self) -> Option<Uuid> {
        self.litter.as_ref().and_then(|litter| litter.record.sire_id)
    }

    /// Day of whelping; null while it is expected.
    pub fn whelped_on(&self) -> Option<NaiveDate> {
        self.litter.as_ref().and_then(|litter| litter.record.whelped_on)
    }

    /// Day of weaning.
    pub fn weaned_on(&self) -> Option<NaiveDate> {
        self.litter.as_ref().and_then(|litter| litter.record.weaned_on)
    }

    /// Day of the first tie on the kennel's calendar.
    pub(crate) fn mated_on(&self, moment: &Moment) -> Option<NaiveDate> {
        self.mated_at.map(|at| moment.day_of(at))
    }

    /// The litter's name, else what its dam is called.
    pub fn called(&self) -> Option<String> {
        let own = self.litter.as_ref().and_then(|litter| litter.record.name.clone());
        own.or_else(|| self.dam.as_ref().and_then(called))
    }

    /// The litter's name for a heading.
    pub fn title(&self) -> String {
        let own = self.litter.as_ref().and_then(|litter| litter.record.name.clone());
        own.unwrap_or_else(|| match self.dam.as_ref().and_then(called) {
            Some(dam) => said!("called-litter-of", dam = dam).to_string(),
            None => said!("called-litter").to_string(),
        })
    }

    /// The pup with this id.
    pub fn pup(&self, dog_id: Uuid) -> Option<&Pup> {
        self.pups.iter().find(|pup| pup.dog_id == dog_id)
    }

    /// The births, by ordinal.
    pub fn births(&self) -> impl Iterator<Item = &Kept<Birth>> {
        self.pups.iter().filter_map(|pup| pup.birth.as_ref())
    }

    /// The collars that the pups were given.
    pub fn collars(&self) -> BTreeMap<Uuid, String> {
        let births = self.births().map(|birth| &birth.record);
        births.filter_map(|birth| Some((birth.dog_id, birth.collar.clone()?))).collect()
    }

    /// The pups that are in the kennel.
    pub fn here(&self, moment: &Moment) -> impl Iterator<Item = &Pup> {
        self.pups.iter().filter(|pup| pup.presence(moment).is_here())
    }

    /// How many pups are in the kennel.
    pub(crate) fn count_here(&self, moment: &Moment) -> u32 {
        u32::try_from(self.here(moment).count()).unwrap_or(u32::MAX)
    }

    /// When the last pup was born.
    pub(crate) fn last_birth(&self) -> Option<DateTime<Utc>> {
        self.births().map(|birth| birth.record.born_at).max()
    }

    /// The breed of the pups, where all whose breed is known share it.
    pub fn breed(&self) -> Option<String> {
        let breeds: BTreeSet<&str> =
            self.pups.iter().filter_map(|pup| pup.dog.as_ref()?.breed.as_deref()).collect();
        breeds.first().filter(|_| breeds.len() == 1).map(|breed| (*breed).to_owned())
    }

    /// Whether the dam had a litter before this one.
    pub(crate) fn dam_whelped_before(&self) -> bool {
        let others = self.of_dam.iter().filter(|other| Some(other.litter_id) != self.id());
        others.into_iter().any(|other| other.whelped_on.is_some())
    }

    /// Whether the dam is still followed for this litter.
    pub fn follows_dam(&self, moment: &Moment) -> bool {
        self.litter.is_some() && followed_for(&self.of_dam, self.dam.as_ref(), moment) == self.id()
    }
}

impl Pup {
    /// Where it is.
    pub fn presence(&self, moment: &Moment) -> Presence {
        let outcome = self.birth.as_ref().map(|birth| birth.record.outcome);
        match &self.dog {
            Some(dog) => Presence::of(dog, outcome, &self.placements, moment),
            None if outcome == Some(BirthOutcome::Stillborn) => Presence::Stillborn,
            None => Presence::Unseen,
        }
    }

    /// What people call it: its call name, its name, its collar, its number.
    pub fn label(&self) -> Text {
        let birth = self.birth.as_ref().map(|birth| &birth.record);
        let collar = birth.and_then(|birth| birth.collar.as_deref());
        let called = self.dog.as_ref().and_then(called).map(Text::from);
        called
            .or_else(|| collar.map(collar_worn))
            .or_else(|| birth.map(|birth| said!("called-pup-number", number = birth.ordinal)))
            .unwrap_or_else(|| said!("called-without-name"))
    }

    /// The litter for which it is followed as the dam.
    pub(crate) fn followed_for(&self, moment: &Moment) -> Option<Uuid> {
        followed_for(&self.litters, self.dog.as_ref(), moment)
    }

    /// The litter into which it was born; null for a dog that was not born here.
    pub fn litter_id(&self) -> Option<Uuid> {
        self.birth.as_ref().map(|birth| birth.record.litter_id)
    }

    /// Place in the litter.
    pub fn ordinal(&self) -> Option<u32> {
        self.birth.as_ref().and_then(|birth| u32::try_from(birth.record.ordinal).ok())
    }

    /// Day of birth on the kennel's calendar; null when it is known by month or year alone.
    pub fn born_on(&self, moment: &Moment) -> Option<NaiveDate> {
        match (&self.birth, self.dog.as_ref().and_then(|dog| dog.born_on)) {
            (Some(birth), _) => Some(moment.day_of(birth.record.born_at)),
            (None, Some(PartialDate::Day(day))) => Some(day),
            _ => None,
        }
    }

    /// Whether it was born alive; a dog not born here was.
    pub fn born_alive(&self) -> bool {
        self.birth.as_ref().is_none_or(|birth| birth.record.outcome == BirthOutcome::Alive)
    }

    /// Whether it is a female; null when not known.
    pub(crate) fn is_female(&self) -> Option<bool> {
        self.dog.as_ref()?.sex.map(|sex| sex == Sex::Female)
    }

    /// The placement that keeps it from all others.
    pub fn promised(&self) -> Option<&Placed> {
        self.placements.iter().find(|placed| placed.promises())
    }
}

/// The band of a pup, by the colours that it is of: `red and white` are two.
fn collar_worn(collar: &str) -> Text {
    let colour = |word: &str| Text::keyed("print-collar", &word.trim().to_lowercase(), word);
    said!("called-collar", collar = Value::all(collar.split(" and ").map(colour)))
}

/// What a dog is called: its call name, else its registered name.
pub fn called(dog: &Dog) -> Option<String> {
    dog.call_name.clone().or_else(|| dog.name.clone())
}
