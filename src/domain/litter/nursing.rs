//! How the pups are kept warm and fed: temperatures, and what was fed by hand.

use super::ByDog;
use crate::{
    feeding::FeedTaken,
    record::{Feed, Kept, PupCheck, Temperature},
};
use chrono::{DateTime, Utc};
use uuid::Uuid;

/// Temperatures and feeds of the pups, and the same of the dam. How lively a pup was at birth stands with
/// its birth in the core.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Nursing {
    /// Temperatures by dog since the pregnancy, in order of time.
    pub temperatures: ByDog<Kept<Temperature>>,
    /// Feeds by hand by dog, in order of time.
    pub feeds: ByDog<Kept<Feed>>,
    /// Looks at the pups by dog, in order of time.
    pub pup_checks: ByDog<Kept<PupCheck>>,
}

impl Nursing {
    /// The last temperature of a dog in degrees Celsius at `now`, and when it was taken.
    pub(crate) fn last_temperature(
        &self,
        dog_id: Uuid,
        now: DateTime<Utc>,
    ) -> Option<(DateTime<Utc>, f64)> {
        let all = self.temperatures.of(dog_id);
        let known = &all.iter().rfind(|kept| kept.record.measured_at <= now)?.record;
        Some((known.measured_at, known.temperature_c))
    }

    /// What a dog was fed by hand, as the questions of feeding see it.
    pub(crate) fn feeds_taken(&self, dog_id: Uuid) -> Vec<FeedTaken> {
        let taken = |kept: &Kept<Feed>| FeedTaken {
            at: kept.record.fed_at,
            volume_ml: kept.record.volume_ml,
        };
        self.feeds.of(dog_id).iter().map(taken).collect()
    }
}
