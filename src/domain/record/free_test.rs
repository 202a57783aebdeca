//! Genetic tests that no catalogue knows, and inbreeding as a laboratory measured it.

use super::{Record, check_past_day, words::words};
use crate::{
    fault::Faults,
    markers::{Inheritance, MarkerCatalogue, MarkerKind},
};
use catalogue::said;
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

/// A genetic test that the catalogue of markers does not know, as the laboratory reports it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FreeTest {
    /// The dog, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub dog_id: Uuid,
    /// What was tested for; the same name for all dogs, so that they can be looked at together.
    #[schema(example = "An invented neuropathy", min_length = 1, max_length = 200)]
    pub name: String,
    /// The result, in the laboratory's words.
    #[schema(example = "carrier", min_length = 1, max_length = 200)]
    pub result: String,
    /// What it tells of; only of a disease anything is cautioned.
    #[serde(default)]
    pub kind: Option<MarkerKind>,
    /// Gene symbol.
    #[serde(default)]
    #[schema(example = "GENE1", min_length = 1, max_length = 50)]
    pub gene: Option<String>,
    /// Variant tested.
    #[serde(default)]
    #[schema(min_length = 1, max_length = 200)]
    pub variant: Option<String>,
    /// How the laboratory says it is inherited; with it and `copies`, chances of pups are worked out. A series of
    /// alleles has no copies to count.
    #[serde(default)]
    pub inheritance: Option<Inheritance>,
    /// Copies of the variant that were found: 0 to 2; a male's one X has 1 at most.
    #[serde(default)]
    #[schema(example = 1, minimum = 0, maximum = 2)]
    pub copies: Option<i32>,
    /// Who tested.
    #[serde(default)]
    #[schema(example = "An invented laboratory", min_length = 1, max_length = 200)]
    pub laboratory: Option<String>,
    /// Day of the result.
    #[serde(default)]
    pub tested_on: Option<NaiveDate>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl Record for FreeTest {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        if let Some(tested_on) = self.tested_on {
            check_past_day(tested_on, now, "/tested_on", faults);
        }
        let series = self.inheritance == Some(Inheritance::MultiAlleleSeries);
        faults.unless(!(series && self.copies.is_some()), "/copies", || {
            said!("fault-wrong-kind-copies-of-series")
        });
        // A test that the catalogue knows is recorded as one, and is then reckoned with everywhere.
        let name = self.name.trim().to_lowercase();
        let known = MarkerCatalogue::standard()
            .iter()
            .find(|marker| marker.key == name || marker.name.to_string().to_lowercase() == name);
        if let Some(marker) = known {
            faults.add("/name", said!("fault-taken-known-marker", marker = &marker.key));
        }
    }
}

/// Which free tests to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct FreeTestFilter {
    /// Only of this name.
    pub name: Option<String>,
    /// Only on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}

words! {
    /// How a laboratory measured inbreeding.
    GenomicMethod {
        /// The share of the genome in long runs where both copies are the same.
        RunsOfHomozygosity = "runs_of_homozygosity",
        /// More markers with two equal copies than expected.
        ExcessHomozygosity = "excess_homozygosity",
        /// From a matrix of genomic relationships.
        RelationshipMatrix = "relationship_matrix",
        /// Another way, or one that the report does not tell.
        Other = "other",
    }
}

/// A dog's inbreeding as a laboratory measured it in its genome.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GenomicInbreeding {
    /// The dog, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub dog_id: Uuid,
    /// The coefficient as a fraction (29 % is 0.29). Below 0 for a dog with fewer equal copies than expected; runs of
    /// homozygosity give 0 at least.
    #[schema(example = 0.29, minimum = -1, maximum = 1)]
    pub inbreeding: f64,
    /// How it was measured.
    pub method: GenomicMethod,
    /// Shortest run that counted, in millions of bases, of runs of homozygosity.
    #[serde(default)]
    #[schema(example = 1.0, minimum = 0.01, maximum = 50)]
    pub shortest_run_mb: Option<f64>,
    /// Who measured.
    #[serde(default)]
    #[schema(example = "An invented laboratory", min_length = 1, max_length = 200)]
    pub laboratory: Option<String>,
    /// Day of the result.
    #[serde(default)]
    pub tested_on: Option<NaiveDate>,
    /// Anything else.
    #[serde(default)]
    #[schema(max_length = 10000, format = "several-lines")]
    pub note: Option<String>,
}

impl Record for GenomicInbreeding {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        if let Some(tested_on) = self.tested_on {
            check_past_day(tested_on, now, "/tested_on", faults);
        }
        let runs = self.method == GenomicMethod::RunsOfHomozygosity;
        faults.unless(!runs || self.inbreeding >= 0.0, "/inbreeding", || {
            said!("fault-out-of-range-share-of-runs")
        });
        faults.unless(runs || self.shortest_run_mb.is_none(), "/shortest_run_mb", || {
            said!("fault-wrong-kind-shortest-run")
        });
    }
}

/// Which measurements to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct GenomicInbreedingFilter {
    /// Only by this method.
    pub method: Option<GenomicMethod>,
    /// Only on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}
