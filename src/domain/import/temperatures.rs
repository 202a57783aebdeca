//! Body temperatures.

use super::{
    ImportHow, LineFault, StatedRow,
    columns::fields,
    records::{self, Holds, RecordFile},
};
use chrono_tz::Tz;

fields! {
    /// A column of a file of temperatures.
    TemperatureColumn of "temperatures" {
        Dog = "dog" "The dog: its id, chip, registration or name.",
        MeasuredAt = "measured_at" "The day, with a time or without.",
        Time = "time" "The time of day.",
        Celsius = "temperature_c" "Degrees Celsius.",
        Fahrenheit = "temperature_f" "Degrees Fahrenheit.",
        Note = "note" "Anything else.",
    }
}

impl RecordFile for TemperatureColumn {
    const NEEDED: &'static [&'static [Self]] =
        &[&[Self::Dog], &[Self::MeasuredAt], &[Self::Celsius, Self::Fahrenheit]];

    fn holds(self) -> Holds {
        match self {
            Self::Dog => Holds::Dog,
            Self::MeasuredAt => Holds::At,
            Self::Time => Holds::Time,
            Self::Celsius => Holds::Celsius,
            Self::Fahrenheit => Holds::Fahrenheit,
            Self::Note => Holds::Lines,
        }
    }
}

/// Reads a file of temperatures. One without a time of day is of noon.
///
/// # Errors
/// Every fault of the file, by line and column.
pub fn read(bytes: &[u8], how: &ImportHow, zone: Tz) -> Result<Vec<StatedRow>, Vec<LineFault>> {
    records::read::<TemperatureColumn>(bytes, how, zone)
}
