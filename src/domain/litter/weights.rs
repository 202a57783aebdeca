//! What the scale said.

use super::ByDog;
use crate::growth::Weighing;
use chrono::{DateTime, Utc};
use uuid::Uuid;

/// Weights of the pups, the one at birth among them, and of the dam.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Weights {
    /// Weighings by dog, in order of time.
    pub weighings: ByDog<Weighing>,
}

impl Weights {
    /// The last weight of a dog in grams at `now`, and when it was taken.
    pub fn last(&self, dog_id: Uuid, now: DateTime<Utc>) -> Option<(DateTime<Utc>, f64)> {
        let known =
            self.weighings.of(dog_id).iter().rfind(|weighing| weighing.measured_at <= now)?;
        Some((known.measured_at, known.weight_g))
    }
}
