//! What is given and tested, and the plans for it.

use super::{Record, check_observed, words::words};
use crate::{
    fault::Faults,
    schedule::{HealthKind, HealthPlan},
};
use catalogue::said;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

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
    /// The series of doses it belongs to; when null, that of `step`, else the first of the kind.
    #[serde(default)]
    #[schema(example = "core", min_length = 1, max_length = 60)]
    pub series: Option<String>,
    /// The step of a health plan it was given for.
    #[serde(default)]
    #[schema(example = "core-first", min_length = 1, max_length = 60)]
    pub step: Option<String>,
    /// Further series that the same product is a dose of, as with combined vaccines.
    #[serde(default)]
    #[schema(example = json!(["leptospirosis"]), max_items = 10)]
    pub also_series: Vec<String>,
    /// Of a test, what it said. In `mating-tests` the series names what was tested: `brucellosis`, `herpes`, `hips`,
    /// `elbows`, `eyes`, `heart`, `patella`, `thyroid`, `hearing`, `breathing`, `spine`, or what the kennel calls it.
    #[serde(default)]
    pub result: Option<TestResult>,
    /// Of a test of antibodies, whether it showed that what the series protects from cannot harm: such a test
    /// stands for a dose where the plan lets it, and one that did not brings the dose forward.
    #[serde(default)]
    #[schema(example = true)]
    pub protective: Option<bool>,
    /// The product.
    #[serde(default)]
    #[schema(example = "wormer paste", min_length = 1, max_length = 200)]
    pub product: Option<String>,
    /// Its batch.
    #[serde(default)]
    #[schema(example = "B2291", min_length = 1, max_length = 100)]
    pub batch: Option<String>,
    /// Its expiry date; a product given past it is kept, with a caution.
    #[serde(default)]
    pub expires_on: Option<NaiveDate>,
    /// Who gave it.
    #[serde(default)]
    #[schema(example = "Dr Ilse Brandt", min_length = 1, max_length = 200)]
    pub given_by: Option<String>,
    /// Where on the body.
    #[serde(default)]
    #[schema(example = "left shoulder", min_length = 1, max_length = 200)]
    pub site: Option<String>,
    /// What was seen afterwards.
    #[serde(default)]
    #[schema(example = "none", min_length = 1, max_length = 2000, format = "several-lines")]
    pub reaction: Option<String>,
    /// The new owner who told it, for news of a pup that has gone.
    #[serde(default)]
    pub buyer_id: Option<Uuid>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
    /// Set it to keep what looks mistaken.
    #[serde(default)]
    pub confirmed: bool,
}

impl Record for HealthEvent {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_observed(self.given_at, now, "/given_at", faults);
        for (index, series) in self.also_series.iter().enumerate() {
            let pointer = format!("/also_series/{index}");
            let length = series.trim().chars().count();
            faults.unless((1..=MOST_SERIES_LENGTH).contains(&length), &pointer, || {
                said!("fault-out-of-range-series-length", least = 1, most = MOST_SERIES_LENGTH)
            });
            let named = self.series.iter().chain(&self.also_series[..index]);
            let twice = named.into_iter().any(|other| other == series);
            faults.unless(!twice, &pointer, || said!("fault-twice-series"));
        }
        let is_test = matches!(self.kind, HealthKind::Test | HealthKind::Examination);
        faults.unless(self.result.is_none() || is_test, "/result", || {
            said!("fault-only-together-result")
        });
        let of_test = self.kind == HealthKind::Test && self.series.is_some();
        faults.unless(self.protective.is_none() || of_test, "/protective", || {
            said!("fault-only-together-protective")
        });
    }
}

words! {
    /// What a test said.
    TestResult {
        /// Not found, or free.
        Negative = "negative",
        /// Found, or affected.
        Positive = "positive",
        /// To be repeated, or between the two.
        Unclear = "unclear",
    }
}

/// The longest name of a series.
const MOST_SERIES_LENGTH: usize = 60;

/// Which health events to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct HealthEventFilter {
    /// Only of this dog.
    pub dog_id: Option<Uuid>,
    /// Only of this kind.
    pub kind: Option<HealthKind>,
    /// Only of this batch, as written; `batch-recall` finds other ways to write it.
    pub batch: Option<String>,
    /// Only news told by this new owner.
    pub buyer_id: Option<Uuid>,
    /// Only at or after this time.
    pub since: Option<DateTime<Utc>>,
    /// Only before this time.
    pub until: Option<DateTime<Utc>>,
}

impl Record for HealthPlan {
    const STORED_AS: &'static [(&'static str, &'static str)] = &[("by_default", "default")];

    fn check(&self, _now: DateTime<Utc>, faults: &mut Faults) {
        faults.extend(Self::check(self).err().unwrap_or_default());
    }
}

/// Which of the kennel's own health plans to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct HealthPlanFilter {
    /// Only the plan with this key.
    pub key: Option<String>,
}

/// A health plan that a litter follows beside the ones it follows by default.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LitterPlan {
    /// The litter, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub litter_id: Uuid,
    /// Key of a plan of the kennel's own, or of a standard plan.
    #[schema(example = "pup-worming-2-4-6-8", min_length = 1, max_length = 300)]
    pub plan_key: String,
    /// The version of the kennel's plan that it follows, the one in force when it was applied;
    /// null for a standard plan.
    #[serde(default)]
    #[schema(read_only, example = 2)]
    pub plan_version: Option<i32>,
    /// Why this litter follows it.
    #[serde(default)]
    #[schema(example = "giardia in the last litter; our vet", min_length = 1, max_length = 2000)]
    pub reason: Option<String>,
}

impl Record for LitterPlan {
    fn check(&self, _now: DateTime<Utc>, _faults: &mut Faults) {}
}

/// Which of a litter's plans to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct LitterPlanFilter {
    /// Only the plan with this key.
    pub plan_key: Option<String>,
}
