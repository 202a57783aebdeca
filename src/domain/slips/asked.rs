//! Whether a record is asked about at all: not when a person meant it, nor about what stays as it was.

use crate::record::{Feed, HealthEvent, Heat, HeatReading, Litter, Paper, Weight};

#[cfg(test)]
mod tests;

/// Implements the question for records by the fields that it is about.
macro_rules! asked_about {
    ($($record:ident { $($field:ident),+ }),+ $(,)?) => {$(
        impl $record {
            /// Whether it is asked about: unless it is confirmed, or was kept so before.
            pub fn is_asked_about(&self, before: Option<&Self>) -> bool {
                let same = |before: &Self| $(before.$field == self.$field)&&+;
                !(self.confirmed || before.is_some_and(same))
            }
        }
    )+};
}

asked_about! {
    Feed { volume_ml },
    HealthEvent { given_at, expires_on },
    Heat { began_on, dog_id },
    HeatReading { kind, value, unit, taken_at },
    Paper { paper },
    Weight { weight_g, measured_at },
}

impl Litter {
    /// Whether the day of its whelping is asked about: where it was corrected, and is not confirmed.
    pub fn is_asked_about_whelping(&self, before: &Self) -> bool {
        !self.confirmed && self.whelped_on.is_some() && self.whelped_on != before.whelped_on
    }
}
