//! Matings, planned or done, and pregnancy checks.

use super::{Record, check_observed, words::words};
use crate::{fault::Faults, slips::same_moment_twice};
use catalogue::said;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

words! {
    /// How far a mating has come.
    MatingStatus {
        /// Intended.
        Planned = "planned",
        /// At least one tie or insemination.
        Done = "done",
        /// Given up.
        CalledOff = "called_off",
    }
}

words! {
    /// How the dam is bred.
    MatingMethod {
        /// By the dog himself.
        Natural = "natural",
        /// Insemination with fresh semen.
        Fresh = "fresh",
        /// Insemination with chilled semen.
        Chilled = "chilled",
        /// Insemination with frozen semen.
        Frozen = "frozen",
    }
}

/// One tie, or one insemination.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Tie {
    /// When it happened.
    #[schema(example = "2026-03-13T18:30:00+01:00")]
    #[serde(rename = "happened_at", alias = "at")]
    pub at: DateTime<Utc>,
}

/// A mating of a dam and a sire in one heat, with all its ties.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Mating {
    /// The dam.
    pub dam_id: Uuid,
    /// The sire.
    pub sire_id: Uuid,
    /// The heat it belongs to; null while it is only planned.
    #[serde(default)]
    pub heat_id: Option<Uuid>,
    /// How far it has come.
    pub status: MatingStatus,
    /// How the dam is bred; natural when left out.
    #[serde(default = "natural")]
    pub method: MatingMethod,
    /// The day intended.
    #[serde(default)]
    #[schema(example = "2026-03-13")]
    pub planned_on: Option<NaiveDate>,
    /// Every tie or insemination, in any order.
    #[serde(default)]
    #[schema(max_items = 20)]
    pub ties: Vec<Tie>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

fn natural() -> MatingMethod {
    MatingMethod::Natural
}

impl Record for Mating {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        for (index, tie) in self.ties.iter().enumerate() {
            check_observed(tie.at, now, &format!("/ties/{index}/happened_at"), faults);
        }
        let times: Vec<DateTime<Utc>> = self.ties.iter().map(|tie| tie.at).collect();
        faults.extend(same_moment_twice("/ties", "happened_at", &times));
        faults.unless(self.dam_id != self.sire_id, "/sire_id", || {
            said!("fault-not-together-sire-is-dam")
        });
        faults.unless(self.status != MatingStatus::Done || !self.ties.is_empty(), "/ties", || {
            said!("fault-empty-ties")
        });
        faults.unless(
            self.status != MatingStatus::Planned || self.ties.is_empty(),
            "/status",
            || said!("fault-not-together-planned-with-ties"),
        );
    }
}

/// Which matings to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct MatingFilter {
    /// Only this dam's.
    pub dam_id: Option<Uuid>,
    /// Only this sire's.
    pub sire_id: Option<Uuid>,
    /// Only in this heat.
    pub heat_id: Option<Uuid>,
    /// Only with this status.
    pub status: Option<MatingStatus>,
}

words! {
    /// How a pregnancy was checked.
    PregnancyMethod {
        /// By hand.
        Palpation = "palpation",
        /// Ultrasound.
        Ultrasound = "ultrasound",
        /// Radiograph.
        Xray = "xray",
        /// Relaxin or another hormone test.
        Hormone = "hormone",
    }
}

words! {
    /// What a pregnancy check said.
    PregnancyResult {
        /// Pups expected.
        Pregnant = "pregnant",
        /// None seen.
        NotPregnant = "not_pregnant",
        /// Check again.
        Unclear = "unclear",
        /// She was pregnant, and has lost all pups.
        Lost = "lost",
    }
}

words! {
    /// How a pregnancy was lost.
    LossKind {
        /// The pups were resorbed.
        Resorbed = "resorbed",
        /// She aborted them.
        Aborted = "aborted",
        /// Nobody knows.
        Unknown = "unknown",
    }
}

impl PregnancyResult {
    /// Whether no pup is carried any more, or none was.
    pub(crate) fn is_empty(self) -> bool {
        matches!(self, Self::NotPregnant | Self::Lost)
    }
}

words! {
    /// What was measured on ultrasound.
    MeasureKind {
        /// Inner chorionic cavity (diameter), about weeks 3–5.
        Icc = "inner_chorionic_cavity",
        /// Biparietal diameter of the head, from about week 5.
        Bp = "biparietal",
    }
}

/// One ultrasound measure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Measure {
    /// What was measured.
    pub kind: MeasureKind,
    /// Millimetres, the mean over the pups measured.
    #[schema(example = 21.5, exclusive_minimum = 0, maximum = 100)]
    pub value_mm: f64,
}

/// No pregnancy lasts longer after a check; a due day beyond it is a slip of the pen.
const LONGEST_FORECAST_DAYS: i64 = 75;

/// A pregnancy check after a mating.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PregnancyCheck {
    /// The mating, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub mating_id: Uuid,
    /// When it was done.
    #[schema(example = "2026-04-10T10:00:00+02:00")]
    pub checked_at: DateTime<Utc>,
    /// How.
    pub method: PregnancyMethod,
    /// What it said.
    pub result: PregnancyResult,
    /// Pups seen for certain: an X-ray count is usually a lower bound.
    #[serde(default)]
    #[schema(example = 6, minimum = 0, maximum = 30)]
    pub count_at_least: Option<i32>,
    /// Pups at the most; null when the count is only a lower bound.
    #[serde(default)]
    #[schema(minimum = 0, maximum = 30)]
    pub count_at_most: Option<i32>,
    /// Pups whose heart was seen to beat, by ultrasound.
    #[serde(default)]
    #[schema(example = 6, minimum = 0, maximum = 30)]
    pub heartbeats: Option<i32>,
    /// Pups seen that had died or were being resorbed.
    #[serde(default)]
    #[schema(example = 1, minimum = 0, maximum = 30)]
    pub resorptions: Option<i32>,
    /// How the pregnancy was lost, when it was.
    #[serde(default)]
    pub lost_how: Option<LossKind>,
    /// Measures that date the litter.
    #[serde(default)]
    #[schema(max_items = 20)]
    pub measures: Vec<Measure>,
    /// The due day that the vet told at this check, from a radiograph or otherwise.
    #[serde(default)]
    #[schema(example = "2026-05-15")]
    pub due_on: Option<NaiveDate>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl Record for PregnancyCheck {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        check_observed(self.checked_at, now, "/checked_at", faults);
        if let (Some(least), Some(most)) = (self.count_at_least, self.count_at_most) {
            faults.unless(most >= least, "/count_at_most", || {
                said!("fault-out-of-range-count", least = least)
            });
        }
        faults.unless(
            self.due_on.is_none_or(|due_on| {
                let days = (due_on - self.checked_at.date_naive()).num_days();
                (-1..=LONGEST_FORECAST_DAYS).contains(&days)
            }),
            "/due_on",
            || {
                said!(
                    "fault-out-of-range-due-on",
                    checked_on = self.checked_at.date_naive(),
                    most_days = LONGEST_FORECAST_DAYS
                )
            },
        );
        let alive = [self.count_at_least, self.count_at_most, self.heartbeats];
        let counted = alive.into_iter().flatten().any(|pups| pups > 0);
        faults.unless(!(counted && self.result.is_empty()), "/result", || {
            said!("fault-not-together-counted-pups")
        });
        let by_ultrasound = self.method == PregnancyMethod::Ultrasound;
        faults.unless(self.heartbeats.is_none() || by_ultrasound, "/heartbeats", || {
            said!("fault-only-together-heartbeats")
        });
        faults.unless(
            self.lost_how.is_none() || self.result == PregnancyResult::Lost,
            "/lost_how",
            || said!("fault-only-together-lost-how"),
        );
    }
}

/// Which pregnancy checks to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct PregnancyCheckFilter {
    /// Only with this result.
    pub result: Option<PregnancyResult>,
    /// Only at or after this time.
    pub since: Option<DateTime<Utc>>,
    /// Only before this time.
    pub until: Option<DateTime<Utc>>,
}
