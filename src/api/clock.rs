//! The clock of the edge: the one place that the time of a request comes from.

use chrono::{DateTime, Utc};
use std::sync::{
    Arc,
    atomic::{AtomicI64, Ordering},
};

/// What a request takes for now. Sessions and secrets end by the system's clock whatever this one shows.
#[derive(Debug, Clone, Default)]
pub struct Clock(Option<Arc<AtomicI64>>);

impl Clock {
    /// The system's clock: what the service runs by.
    pub fn system() -> Self {
        Self(None)
    }

    /// A clock that stands still until it is set, for tests.
    pub fn by_hand(at: DateTime<Utc>) -> Self {
        Self(Some(Arc::new(AtomicI64::new(at.timestamp_micros()))))
    }

    /// Sets a clock that is set by hand, for all who share it; the system's is left alone.
    pub fn set(&self, at: DateTime<Utc>) {
        if let Some(micros) = &self.0 {
            micros.store(at.timestamp_micros(), Ordering::Relaxed);
        }
    }

    /// The time.
    pub fn now(&self) -> DateTime<Utc> {
        let by_hand = self.0.as_ref().map(|micros| micros.load(Ordering::Relaxed));
        by_hand.and_then(DateTime::from_timestamp_micros).unwrap_or_else(Utc::now)
    }
}
