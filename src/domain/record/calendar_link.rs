//! Links by which a calendar program shows the kennel's days.

use super::{Record, words::words};
use crate::fault::Faults;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

words! {
    /// What a calendar shows.
    CalendarKind {
        /// Births, expected and past.
        Whelping = "whelping",
        /// Pups that may go home, and calls to their families.
        GoHome = "go_home",
        /// Doses and examinations.
        Health = "health",
        /// The next heat of each dam, tests and matings.
        Heats = "heats",
        /// All else to do, one event a day.
        Chores = "chores",
        /// People who are away.
        Absences = "absences",
    }
}

/// A link to the calendar.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CalendarLink {
    /// What it is for.
    #[schema(example = "Maren's phone", min_length = 1, max_length = 200)]
    pub name: String,
    /// What it shows; empty for everything.
    #[serde(default)]
    #[schema(max_items = 6)]
    pub kinds: Vec<CalendarKind>,
    /// Whether its events ring.
    #[serde(default)]
    pub alarms: bool,
}

impl Record for CalendarLink {
    fn check(&self, _now: DateTime<Utc>, _faults: &mut Faults) {}
}
