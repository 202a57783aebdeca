//! Looks at a pup: signs of illness, whether it sucks, and the look over a newborn from head to tail.

use super::{Record, check_observed};
use crate::call_signs::PupSign;
use crate::fault::Faults;
use crate::newborn::NewbornExam;
use catalogue::said;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

/// How a pup was at one time; what was not looked at is null. No signs: nothing was found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PupCheck {
    /// The pup, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub dog_id: Uuid,
    /// When.
    #[schema(example = "2026-05-16T08:00:00+02:00")]
    pub checked_at: DateTime<Utc>,
    /// Signs of illness that were seen.
    #[serde(default)]
    #[schema(max_items = 20)]
    pub signs: Vec<PupSign>,
    /// Whether it was seen to suck, at its dam or from the hand.
    #[serde(default)]
    #[schema(example = true)]
    pub nurses: Option<bool>,
    /// What was found where a newborn was looked over from head to tail; null when it was not.
    #[serde(default)]
    pub exam: Option<NewbornExam>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000)]
    pub note: Option<String>,
}

impl Record for PupCheck {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_observed(self.checked_at, now, "/checked_at", faults);
        for (place, sign) in self.signs.iter().enumerate() {
            let twice = self.signs[..place].contains(sign);
            faults.unless(!twice, &format!("/signs/{place}"), || said!("fault-twice-leave-out"));
        }
    }
}

/// Which looks at a pup to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct PupCheckFilter {
    /// Only at or after this time.
    pub since: Option<DateTime<Utc>>,
    /// Only before this time.
    pub until: Option<DateTime<Utc>>,
}
