//! The report on a litter as a club or a studbook takes it: who the parents and the pups are.

use super::litter::LitterReport;
use crate::{
    partial_date::PartialDate,
    record::{BirthOutcome, Registration, Sex},
};
use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

/// A parent in a litter report.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ReportedParent {
    /// The dog.
    pub dog_id: Uuid,
    /// Registered name, or the name it is called by.
    #[schema(example = "Juno of Larkfell")]
    pub name: Option<String>,
    /// Its breed.
    #[schema(example = "Labrador Retriever")]
    pub breed: Option<String>,
    /// Birth, as precisely as it is known.
    pub born_on: Option<PartialDate>,
    /// Entries in registers.
    pub registrations: Vec<Registration>,
}

/// A pup in a litter report.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ReportedPup {
    /// The dog.
    pub dog_id: Uuid,
    /// Place in the litter.
    #[schema(example = 3)]
    pub ordinal: i32,
    /// When it was born.
    pub born_at: DateTime<Utc>,
    /// Alive or stillborn.
    pub outcome: BirthOutcome,
    /// Its name.
    #[schema(example = "Fern of Larkfell")]
    pub name: Option<String>,
    /// Its sex.
    pub sex: Option<Sex>,
    /// Its colour.
    #[schema(example = "black")]
    pub colour: Option<String>,
    /// Weight at birth.
    #[schema(example = 412)]
    pub birth_weight_g: Option<i32>,
    /// Chip number.
    pub chip_number: Option<String>,
    /// Entries in registers.
    pub registrations: Vec<Registration>,
    /// Day of its death.
    pub died_on: Option<NaiveDate>,
    /// What it died of, as found or thought.
    pub died_of: Option<String>,
}

/// A litter for the kennel and its club: nothing of buyers, nothing of money.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ClubLitterReport {
    /// Name of the kennel.
    #[schema(example = "Larkfell Kennel")]
    pub kennel: String,
    /// The day up to which it reports, on the kennel's calendar.
    #[serde(rename = "reported_on")]
    pub as_of: NaiveDate,
    /// The dam.
    pub dam: ReportedParent,
    /// The sire.
    pub sire: Option<ReportedParent>,
    /// Day of the mating from which the pregnancy is counted.
    pub mated_on: Option<NaiveDate>,
    /// Survivors, losses, weights, sexes.
    pub report: LitterReport,
    /// The pups, in order of birth.
    pub pups: Vec<ReportedPup>,
}
