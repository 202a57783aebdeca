//! What is given and tested, and the plans for it.

use super::{Record, check_observed, words::words};
use crate::domain::fault::Faults;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

words! {
    /// What kind of event it was.
    HealthKind {
        /// Against worms.
        Worming = "worming",
        /// A vaccination.
        Vaccination = "vaccination",
        /// The microchip set or read.
        Microchip = "microchip",
        /// By a veterinarian.
        Examination = "examination",
        /// A laboratory or health test.
        Test = "test",
        /// Illness seen.
        Illness = "illness",
        /// A treatment on a veterinarian's advice.
        Treatment = "treatment",
        /// Anything else.
        Other = "other",
    }
}

/// Something given to a dog, or found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HealthEvent {
    /// The dog.
    pub dog_id: Uuid,
    /// What kind of event.
    pub kind: HealthKind,
    /// When it was given or found.
    #[schema(example = "2026-05-29T10:00:00+02:00")]
    pub given_at: DateTime<Utc>,
    /// The product.
    #[serde(default)]
    #[schema(example = "wormer paste", min_length = 1, max_length = 200)]
    pub product: Option<String>,
    /// Its batch.
    #[serde(default)]
    #[schema(example = "B2291", min_length = 1, max_length = 100)]
    pub batch: Option<String>,
    /// Its expiry date.
    #[serde(default)]
    pub expires_on: Option<NaiveDate>,
    /// Who gave it.
    #[serde(default)]
    #[schema(example = "Dr Ilse Brandt", min_length = 1, max_length = 200)]
    pub given_by: Option<String>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000)]
    pub note: Option<String>,
}

impl Record for HealthEvent {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_observed(self.given_at, now, "/given_at", faults);
        if let Some(expires_on) = self.expires_on {
            faults.unless(expires_on >= self.given_at.date_naive(), "/expires_on", || {
                "is before it was given; check the pack: an expired product does not count"
                    .to_owned()
            });
        }
    }
}

/// Which health events to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct HealthEventFilter {
    /// Only of this dog.
    pub dog_id: Option<Uuid>,
    /// Only of this kind.
    pub kind: Option<HealthKind>,
}
