//! Daily weights and temperatures.

use super::{Record, check_observed};
use crate::domain::fault::Faults;
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
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000)]
    pub note: Option<String>,
}

impl Record for Weight {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_observed(self.measured_at, now, "/measured_at", faults);
    }
}

/// Which weights to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct WeightFilter {
    /// Only weighed at or after this time.
    pub since: Option<DateTime<Utc>>,
}

/// A body temperature.
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
    #[schema(max_length = 10000)]
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
    /// Only taken at or after this time.
    pub since: Option<DateTime<Utc>>,
}
