//! Transponder numbers of dogs.

use super::{
    ImportHow, LineFault, StatedRow,
    columns::fields,
    records::{self, Holds, RecordFile},
};
use chrono_tz::Tz;

fields! {
    /// A column of a file of chips.
    ChipColumn of "chips" {
        Dog = "dog" "The dog: its id, registration or name.",
        ChipNumber = "chip_number" "The number (ISO 11784, or an older one of 9 or 10 digits).",
    }
}

impl RecordFile for ChipColumn {
    const NEEDED: &'static [&'static [Self]] = &[&[Self::Dog], &[Self::ChipNumber]];

    fn holds(self) -> Holds {
        match self {
            Self::Dog => Holds::Dog,
            Self::ChipNumber => Holds::Chip,
        }
    }
}

/// Reads a file of chips.
///
/// # Errors
/// Every fault of the file, by line and column.
pub fn read(bytes: &[u8], how: &ImportHow, zone: Tz) -> Result<Vec<StatedRow>, Vec<LineFault>> {
    records::read::<ChipColumn>(bytes, how, zone)
}
