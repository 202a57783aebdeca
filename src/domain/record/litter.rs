//! Litters, expected or born, and births.

use super::{Record, Sex, check_observed, check_past_day, words::words};
use crate::{
    fault::Faults,
    whelping::{BirthMarks, NewbornSigns},
};
use catalogue::said;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

/// A litter: expected from its mating on, born from its first birth on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Litter {
    /// The dam; may be left out where `mating_id` is given.
    #[serde(default)]
    pub dam_id: Uuid,
    /// The sire; null while unknown. A litter of a mating has that mating's sire.
    #[serde(default)]
    pub sire_id: Option<Uuid>,
    /// The mating it comes from: dam and sire are that mating's.
    #[serde(default)]
    pub mating_id: Option<Uuid>,
    /// What the kennel calls it.
    #[serde(default)]
    #[schema(example = "F litter", min_length = 1, max_length = 100)]
    pub name: Option<String>,
    /// The kennel's place where it lies or will: the stop on a walk, and what the planner counts.
    #[serde(default)]
    pub place_id: Option<Uuid>,
    /// Day of whelping; set by the first birth when null.
    #[serde(default)]
    pub whelped_on: Option<NaiveDate>,
    /// Day on which the pups were weaned.
    #[serde(default)]
    pub weaned_on: Option<NaiveDate>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
    /// Set it to keep what looks mistaken.
    #[serde(default)]
    pub confirmed: bool,
}

impl Record for Litter {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        faults.unless(!self.dam_id.is_nil() || self.mating_id.is_some(), "/dam_id", || {
            said!("fault-missing-dam")
        });
        faults.unless(self.sire_id != Some(self.dam_id), "/sire_id", || {
            said!("fault-not-together-sire-is-dam-or-null")
        });
        if let Some(whelped_on) = self.whelped_on {
            check_past_day(whelped_on, now, "/whelped_on", faults);
        }
        if let Some(weaned_on) = self.weaned_on {
            check_past_day(weaned_on, now, "/weaned_on", faults);
            faults.unless(
                self.whelped_on.is_some_and(|born| weaned_on > born),
                "/weaned_on",
                || said!("fault-too-early-whelping"),
            );
        }
    }
}

/// Which litters to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct LitterFilter {
    /// Only this dam's.
    pub dam_id: Option<Uuid>,
    /// Only this sire's.
    pub sire_id: Option<Uuid>,
    /// The litter of this mating.
    pub mating_id: Option<Uuid>,
    /// Only litters that are born, or only expected ones.
    pub born: Option<bool>,
    /// Only on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}

words! {
    /// How a pup came.
    Presentation {
        /// Head first.
        HeadFirst = "head_first",
        /// Tail or hind feet first.
        TailFirst = "tail_first",
        /// Not seen.
        Unknown = "unknown",
    }
}

words! {
    /// Whether a pup lived when it was born.
    BirthOutcome {
        /// Born alive.
        Alive = "alive",
        /// Born dead.
        Stillborn = "stillborn",
    }
}

words! {
    /// Whether the placenta was seen.
    Placenta {
        /// Seen.
        Passed = "passed",
        /// Not seen (yet).
        NotSeen = "not_seen",
    }
}

/// A birth. It makes the pup's dog, and its first weight when given; the ordinal is the server's.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Birth {
    /// The litter, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub litter_id: Uuid,
    /// The pup's dog, made with the birth.
    #[serde(default)]
    #[schema(read_only)]
    pub dog_id: Uuid,
    /// 1 for the first of the litter, given by the server. Send the number that you expect, and a pup
    /// that somebody else wrote down meanwhile is not written twice: 409. 0 or left out: the next one,
    /// unless somebody else has just written down a pup that nothing tells apart from it: 409 asks.
    #[serde(default)]
    #[schema(example = 3, minimum = 0, maximum = 30)]
    pub ordinal: i32,
    /// When it was born.
    #[schema(example = "2026-05-15T04:10:00+02:00")]
    pub born_at: DateTime<Utc>,
    /// Null when it could not be told.
    #[serde(default)]
    pub sex: Option<Sex>,
    /// Coat colour.
    #[serde(default)]
    #[schema(example = "black", min_length = 1, max_length = 100)]
    pub colour: Option<String>,
    /// White marks and other signs to tell it by.
    #[serde(default)]
    #[schema(example = "white toes on left fore", min_length = 1, max_length = 500)]
    pub markings: Option<String>,
    /// Collar that tells it apart.
    #[serde(default)]
    #[schema(example = "green", min_length = 1, max_length = 50)]
    pub collar: Option<String>,
    /// Weight at birth in grams.
    #[serde(default)]
    #[schema(example = 412, minimum = 20, maximum = 2000)]
    pub weight_g: Option<i32>,
    /// How it came.
    #[serde(default = "unknown_presentation")]
    pub presentation: Presentation,
    /// Alive or stillborn.
    pub outcome: BirthOutcome,
    /// The five signs of its vitality, as far as they were looked at.
    #[serde(default)]
    pub vitality: Option<NewbornSigns>,
    /// Minutes after birth at which they were.
    #[serde(default)]
    #[schema(example = 5, minimum = 0, maximum = 1440)]
    pub vitality_minutes: Option<i32>,
    /// Minutes for which it was helped to breathe; 0 when it needed no help, null when not known.
    #[serde(default)]
    #[schema(example = 0, minimum = 0, maximum = 240)]
    pub resuscitation_minutes: Option<i32>,
    /// Whether its placenta was seen.
    #[serde(default = "placenta_not_seen")]
    pub placenta: Placenta,
    /// Name, when it has one already.
    #[serde(default)]
    #[schema(example = "Fern of Larkfell", min_length = 1, max_length = 200)]
    pub name: Option<String>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
    /// Set it to keep what looks mistaken.
    #[serde(default)]
    pub confirmed: bool,
}

fn unknown_presentation() -> Presentation {
    Presentation::Unknown
}

fn placenta_not_seen() -> Placenta {
    Placenta::NotSeen
}

impl Birth {
    /// What tells it from other births.
    pub fn marks(&self) -> BirthMarks {
        BirthMarks {
            ordinal: self.ordinal,
            born_at: self.born_at,
            female: self.sex.map(|sex| sex == Sex::Female),
            collar: self.collar.clone(),
            colour: self.colour.clone(),
            weight_g: self.weight_g,
        }
    }
}

impl Record for Birth {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_observed(self.born_at, now, "/born_at", faults);
    }
}

/// Which births to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct BirthFilter {
    /// Only pups born alive, or only stillborn ones.
    pub outcome: Option<BirthOutcome>,
    /// Only at or after this time.
    pub since: Option<DateTime<Utc>>,
    /// Only before this time.
    pub until: Option<DateTime<Utc>>,
}
