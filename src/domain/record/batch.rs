//! Many observations at once, from a phone or scale that was offline.

use super::{Weight, words::words};
use crate::{fault::Fault, rules::Rules};
use catalogue::{Text, said};
use chrono::{DateTime, Duration, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// Most rows of one batch.
pub const MOST_ROWS: usize = 10_000;

/// What a batch says of itself, beside its rows.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BatchHead {
    /// The device's own time when it sends: tells whether its clock is off.
    #[serde(default)]
    #[schema(example = "2026-05-16T08:05:00+02:00")]
    pub sent_at: Option<DateTime<Utc>>,
    /// Move all times by as much as the device's clock is off; needs `sent_at`.
    #[serde(default)]
    pub shift_times: bool,
}

/// A weight of a batch, under an id that the client made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WeightRow {
    /// The client's UUID for this weight: sent again, it is known.
    pub id: Uuid,
    /// The dog.
    pub dog_id: Uuid,
    /// When it was weighed.
    #[schema(example = "2026-05-16T08:00:00+02:00")]
    pub measured_at: DateTime<Utc>,
    /// Grams.
    #[schema(example = 431, minimum = 20, maximum = 150000)]
    pub weight_g: i32,
    /// Set it to keep a weight that looks mistaken.
    #[serde(default)]
    pub confirmed: bool,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl WeightRow {
    /// Its id and the weight.
    pub fn into_weight(self) -> (Uuid, Weight) {
        let Self { id, dog_id, measured_at, weight_g, confirmed, note } = self;
        (id, Weight { dog_id, measured_at, weight_g, confirmed, at_birth: false, note })
    }
}

/// Weights, in any order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct WeightBatch {
    /// The device's own time when it sends: tells whether its clock is off.
    #[serde(default)]
    #[schema(example = "2026-05-16T08:05:00+02:00")]
    pub sent_at: Option<DateTime<Utc>>,
    /// Move all times by as much as the device's clock is off; needs `sent_at`.
    #[serde(default)]
    pub shift_times: bool,
    /// The weights, 1 to 10,000.
    #[schema(min_items = 1, max_items = 10000)]
    pub items: Vec<WeightRow>,
}

macro_rules! kinds {
    ($(($record:path, $kind:ident, $word:tt, $at:ident))+) => {
        words! {
            /// What one row of a general batch is: one of the register's records that are observed.
            ObservationKind { $(#[doc = concat!("`", $word, "`")] $kind = $word),+ }
        }
    };
}
crate::each_observation!(kinds);

/// A row of a general batch, under an id that the client made: sent again, it is known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ObservationRow {
    /// The client's.
    pub id: Uuid,
    /// What it is.
    pub kind: ObservationKind,
    /// What it is about: a litter for a birth, a line of its log or a check of its dam, a heat for its
    /// readings, a mating for checks of the pregnancy; else a dog, the dam for a mating.
    pub subject_id: Uuid,
    /// What was observed.
    #[schema(value_type = Object)]
    pub record: serde_json::Value,
}

/// Observations of all kinds, in any order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ObservationBatch {
    /// The device's own time when it sends: tells whether its clock is off.
    #[serde(default)]
    #[schema(example = "2026-05-16T08:05:00+02:00")]
    pub sent_at: Option<DateTime<Utc>>,
    /// Move all times by as much as the device's clock is off; needs `sent_at`.
    #[serde(default)]
    pub shift_times: bool,
    /// The observations, 1 to 10,000.
    #[schema(min_items = 1, max_items = 10000)]
    pub items: Vec<ObservationRow>,
}

words! {
    /// What became of a row.
    RowStatus {
        /// It is kept.
        Stored = "stored",
        /// It was kept before; nothing was done.
        AlreadyThere = "already_there",
        /// It is not kept; `errors` say why.
        Refused = "refused",
    }
}

/// What became of one row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BatchRowAnswer {
    /// Its place in the batch, 0 the first.
    #[schema(example = 0)]
    pub index: usize,
    /// Its id; null when it had none that could be read.
    pub id: Option<Uuid>,
    /// What became of it.
    pub status: RowStatus,
    /// More about it, where there is more to say.
    #[schema(
        value_type = Option<String>,
        example = "it was corrected since, and stays as corrected"
    )]
    pub detail: Option<Text>,
    /// Why it was refused; the pointers lead into the batch.
    pub errors: Vec<Fault>,
}

/// How the clock of a device stands against the service's.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct DeviceClock {
    /// Seconds that it runs ahead (negative: behind). Without `sent_at`, the least it can be.
    #[schema(example = 10800)]
    pub ahead_seconds: i64,
    /// Whether that is more than the rule `growth.clock_tolerance` allows.
    #[serde(rename = "beyond_tolerance")]
    pub off: bool,
    /// Whether the times of this batch were moved by it.
    pub shifted: bool,
    /// In one plain sentence.
    #[schema(value_type = String, example = "The clock of the device is right.")]
    pub detail: Text,
}

/// What became of a batch.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BatchAnswer {
    /// Rows kept now.
    #[schema(example = 42)]
    pub stored: usize,
    /// Rows kept before.
    #[schema(example = 0)]
    pub already_there: usize,
    /// Rows not kept.
    #[schema(example = 1)]
    pub refused: usize,
    /// The device's clock; null when nothing tells of it.
    pub clock: Option<DeviceClock>,
    /// Every row, in the order sent.
    pub items: Vec<BatchRowAnswer>,
}

/// Compares the clock of a device with the service's.
///
/// `sent_at` is the device's time when it sent, `latest` the latest time in its rows: without the first, a time
/// after `now` shows that the clock runs ahead. `None` when neither tells anything.
pub fn device_clock(
    head: &BatchHead,
    latest: Option<DateTime<Utc>>,
    now: DateTime<Utc>,
    rules: &Rules,
) -> Option<DeviceClock> {
    let allowed = rules.span("growth.clock_tolerance");
    let ahead = match head.sent_at {
        Some(sent_at) => sent_at - now,
        None => latest.map(|latest| latest - now).filter(|ahead| *ahead > allowed)?,
    };
    let off = ahead.abs() > allowed;
    let shifted = off && head.shift_times && head.sent_at.is_some();
    let minutes = ahead.num_minutes().abs();
    let is_ahead = ahead > Duration::zero();
    let detail = match (off, shifted, head.sent_at.is_some()) {
        (false, ..) => said!("device-clock-right"),
        (true, true, _) if is_ahead => said!("device-clock-ahead-moved", minutes = minutes),
        (true, true, _) => said!("device-clock-behind-moved", minutes = minutes),
        (true, false, true) if is_ahead => said!("device-clock-ahead", minutes = minutes),
        (true, false, true) => said!("device-clock-behind", minutes = minutes),
        (true, false, false) => said!("device-clock-ahead-at-least", minutes = minutes),
    };
    Some(DeviceClock { ahead_seconds: ahead.num_seconds(), off, shifted, detail })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn now() -> DateTime<Utc> {
        "2026-05-16T08:00:00Z".parse().unwrap()
    }

    fn clock(sent: Option<i64>, latest: Option<i64>, shift_times: bool) -> Option<DeviceClock> {
        let at = |minutes: Option<i64>| minutes.map(|m| now() + Duration::minutes(m));
        let head = BatchHead { sent_at: at(sent), shift_times };
        device_clock(&head, at(latest), now(), &Rules::standard())
    }

    #[test]
    fn a_clock_is_off_beyond_the_tolerance_only() {
        assert!(!clock(Some(10), None, false).unwrap().off);
        let ahead = clock(Some(11), None, false).unwrap();
        assert_eq!((ahead.off, ahead.shifted, ahead.ahead_seconds), (true, false, 660));
        assert!(clock(Some(-180), None, true).unwrap().shifted);
        assert!(!clock(Some(5), None, true).unwrap().shifted, "a right clock moves nothing");
    }

    #[test]
    fn a_time_to_come_tells_without_the_time_of_sending() {
        assert_eq!(clock(None, Some(-30), false), None);
        assert_eq!(clock(None, Some(9), false), None);
        let ahead = clock(None, Some(60), true).unwrap();
        assert!(ahead.off && !ahead.shifted && ahead.detail.contains("at least 60 min"));
    }
}
