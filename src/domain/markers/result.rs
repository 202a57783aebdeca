//! A laboratory's result on one dog, and whether it can be right.

use super::catalogue::{Genotype, Marker, MarkerCatalogue};
use crate::{
    breeding_limits::BreedingSex,
    fault::{Fault, Faults, quoted},
};
use catalogue::said;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Symbol of an allele that a result leaves open, as in `E/?`.
pub(crate) const UNKNOWN_ALLELE: &str = "?";

/// A genotype that a laboratory found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct GenotypeResult {
    /// Key of the marker.
    #[schema(example = "prcd_pra")]
    pub marker: String,
    /// Allele symbols: two, or one for a male's X; `?` for one that is not known.
    #[schema(example = json!(["N", "prcd"]))]
    pub alleles: Vec<String>,
    /// Who tested.
    pub laboratory: Option<String>,
    /// Day of the result.
    pub tested_on: Option<NaiveDate>,
    /// Identifier of the condition, if the laboratory gives one.
    #[schema(example = "OMIA:001298-9615")]
    pub omia: Option<String>,
}

/// The genotypes that a result leaves possible, as a flag for each of [`Marker::genotypes`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Evidence(pub Vec<bool>);

impl Evidence {
    /// Nothing is known.
    pub fn open(marker: &Marker, male: bool) -> Self {
        Self(vec![true; marker.genotypes(male).len()])
    }

    /// Whether it says nothing.
    pub(crate) fn is_open(&self) -> bool {
        self.0.iter().all(|possible| *possible)
    }

    /// The only genotype left, by its place.
    pub(crate) fn certain(&self) -> Option<usize> {
        let mut left = (0..self.0.len()).filter(|i| self.0.get(*i) == Some(&true));
        let first = left.next()?;
        left.next().is_none().then_some(first)
    }
}

impl GenotypeResult {
    /// Checks the result against the catalogue and gives the genotypes that it leaves possible.
    ///
    /// # Errors
    /// Every fault at once, pointers relative to the result: an unknown marker (with the known
    /// ones), unknown alleles (with the known ones), a wrong number of alleles (a male has one
    /// of an X-linked marker), another condition's OMIA identifier, a date after `today`.
    pub fn check(
        &self,
        catalogue: &MarkerCatalogue,
        sex: BreedingSex,
        today: NaiveDate,
    ) -> Result<Evidence, Vec<Fault>> {
        let mut faults = Faults::new();
        faults.unless(self.tested_on.is_none_or(|day| day <= today), "/tested_on", || {
            said!("fault-in-future-result", today = today)
        });
        let Some(marker) = catalogue.get(&self.marker) else {
            let known = catalogue.keys();
            faults.add(
                "/marker",
                said!("fault-unknown-value-marker", value = quoted(&self.marker), known = known),
            );
            return Err(faults.into_vec());
        };
        if let (Some(given), Some(known)) = (&self.omia, &marker.omia) {
            let same = digits(given) == digits(known);
            faults.unless(same, "/omia", || {
                said!("fault-differs-omia", name = &marker.name, omia = known)
            });
        }
        self.check_alleles(marker, sex, &mut faults);
        faults.into_result()?;
        Ok(self.evidence(marker, sex == BreedingSex::Male))
    }

    fn check_alleles(&self, marker: &Marker, sex: BreedingSex, faults: &mut Faults) {
        let hemizygous = marker.x_linked() && sex == BreedingSex::Male;
        let wanted = if hemizygous { 1 } else { 2 };
        let given = self.alleles.len();
        faults.unless(given == wanted, "/alleles", || match (hemizygous, given < wanted) {
            (true, true) => said!("fault-too-few-alleles-x", name = &marker.name),
            (true, false) => said!("fault-too-many-alleles-x", name = &marker.name),
            (false, true) => said!("fault-too-few-alleles"),
            (false, false) => said!("fault-too-many-alleles"),
        });
        for (index, symbol) in self.alleles.iter().enumerate() {
            let known = symbol == UNKNOWN_ALLELE || marker.allele(symbol).is_some();
            faults.unless(known, &format!("/alleles/{index}"), || {
                said!(
                    "fault-unknown-value-allele",
                    value = quoted(symbol),
                    marker = &marker.key,
                    known = marker.alleles.join(", ")
                )
            });
        }
    }

    /// The genotypes that agree with the alleles given; alleles must have been checked.
    pub(super) fn evidence(&self, marker: &Marker, male: bool) -> Evidence {
        let agrees = |genotype: &Genotype| {
            let mut left: Vec<usize> =
                [Some(genotype.0), genotype.1].into_iter().flatten().collect();
            self.alleles.iter().filter_map(|symbol| marker.allele(symbol)).all(|allele| {
                let place = left.iter().position(|a| *a == allele);
                place.map(|at| left.swap_remove(at)).is_some()
            })
        };
        Evidence(marker.genotypes(male).iter().map(agrees).collect())
    }
}

/// The condition's number in an OMIA identifier, however it is written.
fn digits(omia: &str) -> String {
    let number = omia.split('-').next().unwrap_or(omia);
    let digits: String = number.chars().filter(char::is_ascii_digit).collect();
    digits.trim_start_matches('0').to_owned()
}
