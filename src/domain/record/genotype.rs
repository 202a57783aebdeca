//! Genotypes that laboratories found.

use super::{Record, check_past_day};
use crate::{fault::Faults, markers::GenotypeResult};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

/// A dog's genotype at one marker.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GenotypeTest {
    /// The dog, from the path.
    #[serde(default)]
    #[schema(read_only)]
    pub dog_id: Uuid,
    /// Key of a marker of the catalogue.
    #[schema(example = "prcd_pra", min_length = 1, max_length = 100)]
    pub marker: String,
    /// Allele symbols: two, or one for a male's X; `?` for one that is not known.
    #[schema(example = json!(["N", "prcd"]), min_items = 1, max_items = 2)]
    pub alleles: Vec<String>,
    /// Who tested.
    #[serde(default)]
    #[schema(example = "An invented laboratory", min_length = 1, max_length = 200)]
    pub laboratory: Option<String>,
    /// Day of the result.
    #[serde(default)]
    pub tested_on: Option<NaiveDate>,
    /// Identifier of the condition in OMIA, if the laboratory gives one.
    #[serde(default)]
    #[schema(example = "OMIA:001298-9615", min_length = 1, max_length = 50)]
    pub omia: Option<String>,
}

impl GenotypeTest {
    /// The result as the marker catalogue checks it.
    pub fn result(&self) -> GenotypeResult {
        GenotypeResult {
            marker: self.marker.clone(),
            alleles: self.alleles.clone(),
            laboratory: self.laboratory.clone(),
            tested_on: self.tested_on,
            omia: self.omia.clone(),
        }
    }
}

impl Record for GenotypeTest {
    fn check(&self, now: DateTime<Utc>, faults: &mut Faults) {
        if let Some(tested_on) = self.tested_on {
            check_past_day(tested_on, now, "/tested_on", faults);
        }
    }
}

/// Which genotypes to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct GenotypeTestFilter {
    /// Only this marker.
    pub marker: Option<String>,
    /// Only on this day or later.
    #[param(example = "2026-01-01")]
    pub since: Option<NaiveDate>,
    /// Only before this day.
    #[param(example = "2027-01-01")]
    pub until: Option<NaiveDate>,
}
