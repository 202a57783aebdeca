//! Daily weights and temperatures.

use super::{Record, check_observed};
use crate::{fault::Faults, temperature::celsius_from_fahrenheit};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{
    IntoParams, PartialSchema, ToSchema,
    openapi::{RefOr, Schema},
};
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
            format!("is more than a pup weighs at birth (at most {MOST_AT_BIRTH_G} g); give grams")
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
    /// Only weighed at or after this time.
    pub since: Option<DateTime<Utc>>,
}

/// A body temperature.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "TemperatureAsSent")]
pub struct Temperature {
    /// The dog, from the path.
    pub dog_id: Uuid,
    /// When it was taken.
    pub measured_at: DateTime<Utc>,
    /// Degrees Celsius.
    pub temperature_c: f64,
    /// Anything else.
    pub note: Option<String>,
}

/// A body temperature as a thermometer shows it, in one unit or the other.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
struct TemperatureAsSent {
    /// The dog, from the path.
    #[serde(default)]
    #[schema(read_only)]
    dog_id: Uuid,
    /// When it was taken.
    #[schema(example = "2026-05-14T20:00:00+02:00")]
    measured_at: DateTime<Utc>,
    /// Degrees Celsius. Always there in an answer.
    #[serde(default)]
    #[schema(example = 37.1, minimum = 25, maximum = 45)]
    temperature_c: Option<f64>,
    /// Degrees Fahrenheit, instead of `temperature_c`; answered and kept in degrees Celsius.
    #[serde(default)]
    #[schema(minimum = 77, maximum = 113, write_only)]
    temperature_f: Option<f64>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    note: Option<String>,
}

impl TryFrom<TemperatureAsSent> for Temperature {
    type Error = &'static str;

    fn try_from(sent: TemperatureAsSent) -> Result<Self, Self::Error> {
        let temperature_c = match (sent.temperature_c, sent.temperature_f) {
            (Some(celsius), None) => celsius,
            // A tenth of a degree Fahrenheit is less than a tenth of one Celsius.
            (None, Some(fahrenheit)) => {
                (celsius_from_fahrenheit(fahrenheit) * 100.0).round() / 100.0
            }
            (None, None) => return Err("needs temperature_c or temperature_f"),
            (Some(_), Some(_)) => {
                return Err(
                    "has temperature_c and temperature_f; give one, and null for the other",
                );
            }
        };
        let TemperatureAsSent { dog_id, measured_at, note, .. } = sent;
        Ok(Self { dog_id, measured_at, temperature_c, note })
    }
}

impl PartialSchema for Temperature {
    fn schema() -> RefOr<Schema> {
        TemperatureAsSent::schema()
    }
}

impl ToSchema for Temperature {
    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        TemperatureAsSent::schemas(schemas);
    }
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
