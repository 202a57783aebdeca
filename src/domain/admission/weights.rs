//! A weight at birth beside the birth.

use super::{Admission, Refusal};
use crate::record::Weight;
use catalogue::said;
use chrono::{DateTime, Utc};

#[cfg(test)]
mod tests;

/// What a weight at birth is held against.
#[derive(Debug, Clone, Copy)]
pub struct BirthWeightFacts {
    /// When the dog was born here; null for one that was not.
    pub born_at: Option<DateTime<Utc>>,
    /// Whether another weight is its weight at birth already.
    pub taken: bool,
}

impl Weight {
    /// The weight at birth is that of a pup born here, at the time of its birth; each has one.
    ///
    /// # Errors
    /// A fault at `/at_birth` or `/measured_at`.
    pub fn admit_at_birth(&self, facts: BirthWeightFacts) -> Admission {
        match facts.born_at {
            None => Err(Refusal::at("/at_birth", said!("fault-not-found-birth-of-weight"))),
            Some(born_at) if born_at != self.measured_at => Err(Refusal::at(
                "/measured_at",
                said!("fault-differs-birth-time", born_at = born_at.format("%FT%TZ").to_string()),
            )),
            Some(_) if facts.taken => {
                Err(Refusal::at("/at_birth", said!("fault-taken-birth-weight")))
            }
            Some(_) => Ok(()),
        }
    }
}
