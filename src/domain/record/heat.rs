//! Heats and what is measured in them.

use super::{Record, check_observed, check_past_day, words::words};
use crate::fault::Faults;
use catalogue::said;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

/// A heat (season) of a dam, counted from its first day of bleeding or swelling.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Heat {
    /// The dam.
    pub dog_id: Uuid,
    /// First day.
    #[schema(example = "2026-03-02")]
    pub began_on: NaiveDate,
    /// Last day; null while it lasts or unknown.
    #[serde(default)]
    pub ended_on: Option<NaiveDate>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
    /// Set it to keep what looks mistaken.
    #[serde(default)]
    pub confirmed: bool,
}

impl Record for Heat {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_past_day(self.began_on, now, "/began_on", faults);
        if let Some(ended_on) = self.ended_on {
            faults.unless(ended_on >= self.began_on, "/ended_on", || {
                said!("fault-disordered-first-day", first_day = self.began_on)
            });
        }
    }
}

/// Which heats to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct HeatFilter {
    /// Only this dam's.
    pub dog_id: Option<Uuid>,
    /// Only on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}

words! {
    /// What was looked at in a heat.
    ReadingKind {
        /// Progesterone in blood.
        Progesterone = "progesterone",
        /// Luteinising hormone in blood.
        Lh = "lh",
        /// Vaginal cytology.
        Cytology = "cytology",
        /// A sign seen: standing, flagging, colour of discharge…
        Sign = "sign",
    }
}

words! {
    /// Unit of a reading.
    ReadingUnit {
        /// Nanograms per millilitre.
        NgPerMl = "ng_per_ml",
        /// Nanomoles per litre.
        NmolPerL = "nmol_per_l",
        /// Share of cornified cells, 0–1.
        CornifiedFraction = "cornified_fraction",
    }
}

/// A reading taken in a heat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HeatReading {
    /// The heat, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub heat_id: Uuid,
    /// What was looked at.
    pub kind: ReadingKind,
    /// When the sample was taken.
    #[schema(example = "2026-03-10T09:00:00+01:00")]
    pub taken_at: DateTime<Utc>,
    /// The value measured, in `unit`.
    #[serde(default)]
    #[schema(example = 5.4, minimum = 0, maximum = 1000)]
    pub value: Option<f64>,
    /// Unit of `value`: hormones `ng_per_ml` or `nmol_per_l`, cytology `cornified_fraction`.
    #[serde(default)]
    pub unit: Option<ReadingUnit>,
    /// What was seen, in words: needed for a sign, `surge` or `no_surge` for an LH strip test,
    /// `first_day_of_dioestrus` for cytology.
    #[serde(default)]
    #[schema(example = "standing", min_length = 1, max_length = 200)]
    pub finding: Option<String>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
    /// Set it to keep what looks mistaken.
    #[serde(default)]
    pub confirmed: bool,
}

impl Record for HeatReading {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_observed(self.taken_at, now, "/taken_at", faults);
        faults.unless(self.value.is_some() || self.finding.is_some(), "/value", || {
            said!("fault-missing-value-or-finding")
        });
        let fits = match (self.kind, self.value, self.unit) {
            (_, None, _) => true,
            (ReadingKind::Progesterone, Some(_), Some(unit)) => {
                unit != ReadingUnit::CornifiedFraction
            }
            (ReadingKind::Lh, Some(_), Some(unit)) => unit == ReadingUnit::NgPerMl,
            (ReadingKind::Cytology, Some(value), Some(unit)) => {
                unit == ReadingUnit::CornifiedFraction && value <= 1.0
            }
            (ReadingKind::Sign, Some(_), _) | (_, Some(_), None) => false,
        };
        faults.unless(fits, "/unit", || said!("fault-wrong-kind-unit", kind = self.kind.as_str()));
        faults.unless(self.kind != ReadingKind::Sign || self.finding.is_some(), "/finding", || {
            said!("fault-missing-finding")
        });
    }
}

/// Which readings to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct HeatReadingFilter {
    /// Only this kind.
    pub kind: Option<ReadingKind>,
    /// Only at or after this time.
    pub since: Option<DateTime<Utc>>,
    /// Only before this time.
    pub until: Option<DateTime<Utc>>,
}
