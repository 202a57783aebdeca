//! People who wait for a pup.

use super::{Record, Sex, check_past_day};
use crate::domain::fault::Faults;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

/// What a buyer would like; null where it does not matter.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Wishes {
    /// Sex wished for.
    #[serde(default)]
    pub sex: Option<Sex>,
    /// Colour wished for.
    #[serde(default)]
    #[schema(example = "yellow", min_length = 1, max_length = 100)]
    pub colour: Option<String>,
    /// What the dog is for.
    #[serde(default)]
    #[schema(example = "family companion", min_length = 1, max_length = 200)]
    pub purpose: Option<String>,
}

/// A buyer on the waiting list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Buyer {
    /// Full name.
    #[schema(example = "Ottilie Marsh", min_length = 1, max_length = 200)]
    pub name: String,
    /// Hidden (null) from roles that need not see contact data.
    #[serde(default)]
    #[schema(example = "ottilie@example.org", format = "email", min_length = 3, max_length = 254)]
    pub email: Option<String>,
    /// Hidden (null) from roles that need not see contact data.
    #[serde(default)]
    #[schema(example = "+44 20 7946 0018", min_length = 1, max_length = 50)]
    pub phone: Option<String>,
    /// Hidden (null) from roles that need not see contact data.
    #[serde(default)]
    #[schema(min_length = 1, max_length = 1000)]
    pub address: Option<String>,
    /// What they would like.
    #[serde(default)]
    pub wishes: Wishes,
    /// Day they joined the waiting list: its order.
    #[schema(example = "2026-01-20")]
    pub joined_on: NaiveDate,
    /// Hidden (null) from roles that need not see contact data.
    #[serde(default)]
    #[schema(max_length = 10000)]
    pub note: Option<String>,
}

impl Buyer {
    /// The buyer without contact data, for roles that need not see it.
    pub fn without_contact(self) -> Self {
        Self { email: None, phone: None, address: None, note: None, ..self }
    }
}

impl Record for Buyer {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_past_day(self.joined_on, now, "/joined_on", faults);
    }
}

/// Which buyers to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct BuyerFilter {
    /// Only buyers with no pup promised or handed over, or only the others.
    pub waiting: Option<bool>,
}
