//! Weights of dogs and pups.

use super::{
    ImportHow, LineFault, StatedRow,
    columns::fields,
    records::{self, Holds, RecordFile},
};
use chrono_tz::Tz;

fields! {
    /// A column of a file of weights.
    WeightColumn of "weights" {
        Dog = "dog" "The dog: its id, chip, registration or name.",
        MeasuredAt = "measured_at" "The day, with a time or without.",
        Time = "time" "The time of day.",
        Grams = "weight_g" "Grams.",
        Kilograms = "weight_kg" "Kilograms.",
        Pounds = "weight_lb" "Pounds, with ounces beside them or without.",
        Ounces = "weight_oz" "Ounces.",
        Confirmed = "confirmed" "Whether a weight that looks mistaken is right.",
        Note = "note" "Anything else.",
    }
}

impl RecordFile for WeightColumn {
    const NEEDED: &'static [&'static [Self]] = &[
        &[Self::Dog],
        &[Self::MeasuredAt],
        &[Self::Grams, Self::Kilograms, Self::Pounds, Self::Ounces],
    ];

    fn holds(self) -> Holds {
        match self {
            Self::Dog => Holds::Dog,
            Self::MeasuredAt => Holds::At,
            Self::Time => Holds::Time,
            Self::Grams => Holds::Grams,
            Self::Kilograms => Holds::Kilograms,
            Self::Pounds => Holds::Pounds,
            Self::Ounces => Holds::Ounces,
            Self::Confirmed => Holds::Truth,
            Self::Note => Holds::Lines,
        }
    }
}

/// Reads a file of weights. A weight without a time of day is of noon.
///
/// # Errors
/// Every fault of the file, by line and column.
pub fn read(bytes: &[u8], how: &ImportHow, zone: Tz) -> Result<Vec<StatedRow>, Vec<LineFault>> {
    records::read::<WeightColumn>(bytes, how, zone)
}
