//! Tests that a kennel asks for itself before a mating.

use super::{Record, words::words};
use crate::fault::Faults;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

words! {
    /// Which of the two a test is of.
    WhichParent {
        /// The dam.
        Dam = "dam",
        /// The sire.
        Sire = "sire",
        /// Each of them.
        Both = "both",
    }
}

impl WhichParent {
    /// Whether what is of these is of this one.
    pub(crate) fn holds(self, one: Self) -> bool {
        self == Self::Both || self == one
    }
}

/// A test that a kennel asks for before a mating, for a breed of its own or for every dog.
///
/// Of its series it stands for what a breed's clubs ask for, so a kennel also changes with it what is asked for already.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BreedTest {
    /// The breed, as it stands at the dogs; null for every dog.
    #[serde(default)]
    #[schema(example = "Kooikerhondje", min_length = 1, max_length = 100)]
    pub breed: Option<String>,
    /// The series under which the test is recorded among the health events.
    #[schema(example = "patella", min_length = 1, max_length = 60)]
    pub series: String,
    /// What people call it; left out, the name of a series that is known, else the series.
    #[serde(default)]
    #[schema(example = "Kneecaps", min_length = 1, max_length = 100)]
    pub name: Option<String>,
    /// Which of the two it is of.
    #[serde(default = "both")]
    pub of: WhichParent,
    /// Whether it is asked for before every mating; else it is offered.
    #[serde(default = "needed")]
    pub needed: bool,
    /// The age in days that it may have on the day of mating; null when it counts for life.
    #[serde(default)]
    #[schema(example = 365, minimum = 1, maximum = 7300)]
    pub valid_days: Option<i32>,
    /// Who asks for it, and where that was read.
    #[schema(example = "Our breed club, rules of 2026", min_length = 1, max_length = 500)]
    pub source: String,
}

fn both() -> WhichParent {
    WhichParent::Both
}

fn needed() -> bool {
    true
}

impl Record for BreedTest {
    fn check(&self, _now: DateTime<Utc>, _faults: &mut Faults) {}
}

/// Which of the kennel's own tests to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct BreedTestFilter {
    /// Only of this series.
    pub series: Option<String>,
    /// Only of this breed.
    pub breed: Option<String>,
}
