//! Daily weights and temperatures.

use super::{Record, check_observed};
use crate::fault::Faults;
use catalogue::said;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

/// A weight of a dog or pup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Weight {
    /// The dog, from the path.
    #[serde(default)]
    #[schema(read_only)]
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
    /// The weight at birth, taken at `born_at` of the birth, which shows it as `weight_g`: corrected
    /// there or here, it is the same.
    #[serde(default)]
    pub at_birth: bool,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl Record for Weight {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_observed(self.measured_at, now, "/measured_at", faults);
        faults.unless(!self.at_birth || self.weight_g <= MOST_AT_BIRTH_G, "/weight_g", || {
            said!("fault-out-of-range-birth-weight", most_g = MOST_AT_BIRTH_G)
        });
    }
}

/// The largest weight at birth that a birth takes, in grams.
const MOST_AT_BIRTH_G: i32 = 2_000;

/// Which weights to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct WeightFilter {
    /// Only at or after this time.
    pub since: Option<DateTime<Utc>>,
    /// Only before this time.
    pub until: Option<DateTime<Utc>>,
}

/// A body temperature as a thermometer shows it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Temperature {
    /// The dog, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub dog_id: Uuid,
    /// When it was taken.
    #[schema(example = "2026-05-14T20:00:00+02:00")]
    pub measured_at: DateTime<Utc>,
    /// Degrees Celsius.
    #[schema(example = 37.1, minimum = 25, maximum = 45)]
    pub temperature_c: f64,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl Record for Temperature {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_observed(self.measured_at, now, "/measured_at", faults);
    }
}

/// Which temperatures to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct TemperatureFilter {
    /// Only at or after this time.
    pub since: Option<DateTime<Utc>>,
    /// Only before this time.
    pub until: Option<DateTime<Utc>>,
}
