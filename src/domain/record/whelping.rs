//! The log of a whelping, the checks of the dam after it, and what pups are fed by hand.

use super::{Record, check_observed};
use crate::{
    dam_after_birth::{DamObservation, DamSign, GlandState, check_dam_observation},
    fault::Faults,
    whelping::{DischargeAmount, DischargeColour, WhelpingEntry, WhelpingEvent, check_entry},
};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

/// One line of the log of a whelping. Births are written as births, not here.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WhelpingLine {
    /// The litter, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub litter_id: Uuid,
    /// When it happened.
    #[schema(example = "2026-05-15T03:40:00+02:00")]
    #[serde(rename = "happened_at", alias = "at")]
    pub at: DateTime<Utc>,
    /// What happened. A patch that makes it another kind clears the members of the old one with null.
    pub event: WhelpingEvent,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl WhelpingLine {
    /// The line as the questions of a whelping see it.
    pub fn entry(&self) -> WhelpingEntry {
        WhelpingEntry { at: self.at, event: self.event.clone() }
    }
}

impl Record for WhelpingLine {
    const STORED_AS: &'static [(&'static str, &'static str)] = &[("at", "happened_at")];

    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        faults.extend(check_entry(&self.entry(), now).err().unwrap_or_default());
    }
}

/// Which lines of a log to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct WhelpingLineFilter {
    /// Only at or after this time.
    pub since: Option<DateTime<Utc>>,
    /// Only before this time.
    pub until: Option<DateTime<Utc>>,
}

/// How the dam was at one time after whelping; what was not looked at is null.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DamCheck {
    /// The litter, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub litter_id: Uuid,
    /// When.
    #[schema(example = "2026-05-16T08:00:00+02:00")]
    pub checked_at: DateTime<Utc>,
    /// Degrees Celsius.
    #[serde(default)]
    #[schema(example = 38.9, minimum = 30, maximum = 44)]
    pub temperature_c: Option<f64>,
    /// Discharge seen.
    #[serde(default)]
    pub discharge: Option<DischargeColour>,
    /// How much of it; fresh blood calls for the vet unless it is spotting.
    #[serde(default)]
    pub discharge_amount: Option<DischargeAmount>,
    /// Whether she eats.
    #[serde(default)]
    pub eats: Option<bool>,
    /// Her glands.
    #[serde(default)]
    pub glands: Option<GlandState>,
    /// Signs.
    #[serde(default)]
    #[schema(max_items = 20)]
    pub signs: Vec<DamSign>,
    /// Whether the pups cry and do not settle.
    #[serde(default)]
    pub pups_cry: Option<bool>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl DamCheck {
    /// The check as the question of the dam's health sees it.
    pub(crate) fn observation(&self) -> DamObservation {
        DamObservation {
            at: self.checked_at,
            temperature_c: self.temperature_c,
            discharge: self.discharge,
            discharge_amount: self.discharge_amount,
            eats: self.eats,
            glands: self.glands,
            signs: self.signs.clone(),
            pups_cry: self.pups_cry,
        }
    }
}

impl Record for DamCheck {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        let mut found = check_dam_observation(&self.observation(), now).err().unwrap_or_default();
        for fault in found.iter_mut().filter(|fault| fault.pointer == "/at") {
            fault.pointer = "/checked_at".to_owned();
        }
        faults.extend(found);
    }
}

/// Which checks of the dam to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct DamCheckFilter {
    /// Only at or after this time.
    pub since: Option<DateTime<Utc>>,
    /// Only before this time.
    pub until: Option<DateTime<Utc>>,
}

/// What a pup took by hand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Feed {
    /// The pup, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub dog_id: Uuid,
    /// When.
    #[schema(example = "2026-05-16T08:00:00+02:00")]
    pub fed_at: DateTime<Utc>,
    /// What it took, in millilitres.
    #[schema(example = 5.5, exclusive_minimum = 0, maximum = 1000)]
    pub volume_ml: f64,
    /// What it was fed.
    #[serde(default)]
    #[schema(example = "milk replacer", min_length = 1, max_length = 200)]
    pub food: Option<String>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
    /// Set it to keep what looks mistaken.
    #[serde(default)]
    pub confirmed: bool,
}

impl Record for Feed {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_observed(self.fed_at, now, "/fed_at", faults);
    }
}

/// Which feeds to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct FeedFilter {
    /// Only at or after this time.
    pub since: Option<DateTime<Utc>>,
    /// Only before this time.
    pub until: Option<DateTime<Utc>>,
}
