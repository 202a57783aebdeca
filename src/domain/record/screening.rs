//! What screening found of hips, elbows, knees, hearts and eyes.

use super::{Record, check_past_day};
use crate::fault::Faults;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

/// A result of a screening, by the scheme that gave it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ScreeningResult {
    /// The dog, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub dog_id: Uuid,
    /// Key of a scheme of the catalogue.
    #[schema(example = "fci_hips", min_length = 1, max_length = 100)]
    pub scheme: String,
    /// The condition that was looked for, of an examination of eyes or heart.
    #[serde(default)]
    #[schema(min_length = 1, max_length = 200)]
    pub condition: Option<String>,
    /// The dog's result, as the scheme writes it; left out, it follows from its two sides.
    #[serde(default)]
    #[schema(example = "A2", min_length = 1, max_length = 50)]
    pub result: Option<String>,
    /// Result of the left side.
    #[serde(default)]
    #[schema(min_length = 1, max_length = 50)]
    pub left_side: Option<String>,
    /// Result of the right side.
    #[serde(default)]
    #[schema(min_length = 1, max_length = 50)]
    pub right_side: Option<String>,
    /// Day of the examination or the picture.
    #[serde(default)]
    pub examined_on: Option<NaiveDate>,
    /// Who examined or graded.
    #[serde(default)]
    #[schema(example = "An invented panel", min_length = 1, max_length = 200)]
    pub examiner: Option<String>,
    /// Number of the certificate.
    #[serde(default)]
    #[schema(min_length = 1, max_length = 100)]
    pub certificate: Option<String>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl Record for ScreeningResult {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        self.check_scheme(faults);
        if let Some(examined_on) = self.examined_on {
            check_past_day(examined_on, now, "/examined_on", faults);
        }
    }
}

/// Which results to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct ScreeningResultFilter {
    /// Only of this scheme.
    pub scheme: Option<String>,
    /// Only on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}
