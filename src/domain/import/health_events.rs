//! What was given to dogs and found.

use super::{
    ImportHow, LineFault, StatedRow,
    columns::fields,
    records::{self, Holds, RecordFile},
};
use chrono_tz::Tz;

fields! {
    /// A column of a file of health events.
    HealthColumn of "health_events" {
        Dog = "dog" "The dog: its id, chip, registration or name.",
        Kind = "kind" "What kind of event.",
        GivenAt = "given_at" "The day, with a time or without.",
        Time = "time" "The time of day.",
        Series = "series" "The series of doses.",
        Step = "step" "The step of a health plan.",
        AlsoSeries = "also_series" "Further series of a combined product.",
        Result = "result" "What a test said.",
        Protective = "protective" "Whether a test of antibodies showed protection.",
        Product = "product" "The product.",
        Batch = "batch" "Its batch.",
        ExpiresOn = "expires_on" "Its expiry date.",
        GivenBy = "given_by" "Who gave it.",
        Site = "site" "Where on the body.",
        Reaction = "reaction" "What was seen afterwards.",
        Confirmed = "confirmed" "Whether what looks mistaken is right.",
        Note = "note" "Anything else.",
    }
}

impl RecordFile for HealthColumn {
    const NEEDED: &'static [&'static [Self]] = &[&[Self::Dog], &[Self::Kind], &[Self::GivenAt]];

    fn holds(self) -> Holds {
        match self {
            Self::Dog => Holds::Dog,
            Self::Kind => Holds::HealthKind,
            Self::GivenAt => Holds::At,
            Self::Time => Holds::Time,
            Self::ExpiresOn => Holds::Day,
            Self::AlsoSeries => Holds::Names,
            Self::Result => Holds::TestResult,
            Self::Protective | Self::Confirmed => Holds::Truth,
            Self::Reaction | Self::Note => Holds::Lines,
            Self::Series
            | Self::Step
            | Self::Product
            | Self::Batch
            | Self::GivenBy
            | Self::Site => Holds::Text,
        }
    }
}

/// Reads a file of health events. One without a time of day is of noon.
///
/// # Errors
/// Every fault of the file, by line and column.
pub fn read(bytes: &[u8], how: &ImportHow, zone: Tz) -> Result<Vec<StatedRow>, Vec<LineFault>> {
    records::read::<HealthColumn>(bytes, how, zone)
}
