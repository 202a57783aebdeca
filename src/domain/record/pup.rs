//! What a pup needs before it leaves: its papers, and rules that an owner has set aside.

use super::{Record, check_past_day};
use crate::{fault::Faults, readiness::ReadinessRule};
use catalogue::said;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

/// A paper of a pup that is there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Paper {
    /// The pup, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub dog_id: Uuid,
    /// Which, by the name that the readiness rules ask for.
    #[schema(example = "sale_contract", min_length = 1, max_length = 100)]
    pub paper: String,
    /// Since when.
    #[schema(example = "2026-07-02")]
    pub done_on: NaiveDate,
    /// Its number, where it lies, or anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
    /// Set it to keep what looks mistaken.
    #[serde(default)]
    pub confirmed: bool,
}

impl Record for Paper {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_past_day(self.done_on, now, "/done_on", faults);
    }
}

/// Which papers of a pup to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct PaperFilter {
    /// Only this paper.
    pub paper: Option<String>,
    /// Only on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}

/// A readiness rule that an owner sets aside for one pup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SetAside {
    /// The pup, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub dog_id: Uuid,
    /// The rule.
    pub rule: ReadinessRule,
    /// Why.
    #[schema(
        example = "The veterinarian advised an early move for health; letter of 2026-02-20.",
        min_length = 10,
        max_length = 1000,
        format = "several-lines"
    )]
    pub reason: String,
    /// Name of the owner who decided, from the login.
    #[serde(default, rename = "decided_by", alias = "by")]
    #[schema(read_only, example = "Mara Holt")]
    pub by: Option<String>,
    /// The day on which it was decided.
    #[serde(default, rename = "decided_on", alias = "on")]
    #[schema(read_only)]
    pub on: Option<NaiveDate>,
}

impl Record for SetAside {
    const STORED_AS: &'static [(&'static str, &'static str)] =
        &[("by", "decided_by"), ("on", "decided_on")];

    fn check(&self, _now: DateTime<Utc>, faults: &mut Faults) {
        faults.unless(self.reason.trim().chars().count() >= 10, "/reason", || {
            said!("fault-too-short-reason", least = 10, most = 1000)
        });
    }
}

/// Which rules set aside to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct SetAsideFilter {
    /// Only this rule.
    pub rule: Option<ReadinessRule>,
    /// Only on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}
