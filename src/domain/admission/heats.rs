//! A reading beside the heat that it is of.

use super::{Admission, Refusal};
use crate::record::{Heat, HeatReading};
use catalogue::said;
use chrono::NaiveDate;

#[cfg(test)]
mod tests;

impl HeatReading {
    /// Refuses a reading before the heat began.
    ///
    /// # Errors
    /// A fault at `/taken_at`.
    pub fn admit(&self, taken_on: NaiveDate, heat: &Heat) -> Admission {
        if taken_on >= heat.began_on {
            return Ok(());
        }
        let detail = said!("fault-too-early-before-heat", began_on = heat.began_on);
        Err(Refusal::at("/taken_at", detail))
    }
}
