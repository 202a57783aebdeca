//! People who wait for a pup.

use super::{Record, Search, check_past_day};
use crate::{fault::Faults, placement::BuyerWishes};
use catalogue::said;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};

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
    #[schema(min_length = 1, max_length = 1000, format = "several-lines")]
    pub address: Option<String>,
    /// Who lives there: children, other animals, garden. Hidden (null) like contact data.
    #[serde(default)]
    #[schema(min_length = 1, max_length = 10000, format = "several-lines")]
    pub household: Option<String>,
    /// What came of the talks. Hidden (null) like contact data.
    #[serde(default)]
    #[schema(min_length = 1, max_length = 10000, format = "several-lines")]
    pub screening: Option<String>,
    /// What they would like.
    #[serde(default)]
    pub wishes: BuyerWishes,
    /// Day they joined the waiting list: its order.
    #[schema(example = "2026-01-20")]
    pub joined_on: NaiveDate,
    /// Sets somebody before those who only wait by their day: 1 comes before 2, null after both.
    #[serde(default)]
    #[schema(example = 1, minimum = 1, maximum = 10000)]
    pub waiting_order: Option<i32>,
    /// Day from which they wait no more; why, says the note.
    #[serde(default)]
    #[schema(example = "2026-04-02")]
    pub left_on: Option<NaiveDate>,
    /// Day on which they agreed that their data are stored.
    #[serde(default)]
    pub consented_on: Option<NaiveDate>,
    /// Day on which they took that back.
    #[serde(default)]
    pub consent_withdrawn_on: Option<NaiveDate>,
    /// Day on which their personal data were erased.
    #[serde(default)]
    #[schema(read_only)]
    pub erased_on: Option<NaiveDate>,
    /// Hidden (null) from roles that need not see contact data.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl Record for Buyer {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_past_day(self.joined_on, now, "/joined_on", faults);
        for (at, day) in [
            ("/consented_on", self.consented_on),
            ("/consent_withdrawn_on", self.consent_withdrawn_on),
        ] {
            if let Some(day) = day {
                check_past_day(day, now, at, faults);
            }
        }
        if let Some(left_on) = self.left_on {
            faults.unless(left_on >= self.joined_on, "/left_on", || {
                said!("fault-too-early-joined", joined_on = self.joined_on)
            });
        }
        let wrong = self.wishes.check().err().unwrap_or_default();
        faults.extend(wrong.into_iter().map(|fault| fault.within("/wishes")).collect());
    }
}

/// Which buyers to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct BuyerFilter {
    /// Only buyers who have no pup promised or handed over and have not left, or only the others.
    pub waiting: Option<bool>,
    /// Only with each of these words in the name; accents and case aside.
    #[param(value_type = Option<String>, max_length = 100, example = "marsh")]
    pub search: Option<Search>,
    /// Only on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}
