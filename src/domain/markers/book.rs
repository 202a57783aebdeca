//! Genetic risks of many pairs at once, from each dog's own chances worked out only once.

use super::{
    catalogue::{Genotype, Marker, MarkerCatalogue},
    family::{AlleleFrequencies, MarkerFamily, check_results, contradiction, transmission},
    peeling::{PeelingLimits, peel_dog},
    ratio::to_f64,
};
use crate::{
    fault::{Fault, Faults},
    rules::Rules,
};
use catalogue::Text;
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use utoipa::ToSchema;
use uuid::Uuid;

/// What can befall a pup.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum GeneticRiskKind {
    /// It is affected by a disease.
    Affected,
    /// It has a copy of a variant of which one copy harms already, or raises the risk.
    OneCopyHarms,
    /// It has two copies of merle.
    DoubleMerle,
    /// It dies before birth.
    DiesBeforeBirth,
}

/// A risk of a pair's pups at one marker, of the sex that is worse off.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PairGeneticRisk {
    /// Key of the marker.
    pub marker: String,
    /// Name of the condition or locus.
    #[schema(value_type = String)]
    pub name: Text,
    /// What can happen.
    pub risk: GeneticRiskKind,
    /// Least chance that agrees with what is known.
    pub lowest: f64,
    /// Greatest chance that agrees with what is known.
    pub highest: f64,
    /// Where the marker's row comes from.
    pub source: String,
}

/// Chances of each pup genotype by the parents' genotypes.
type Crossing = Vec<Vec<f64>>;

struct BookMarker<'a> {
    marker: &'a Marker,
    /// Risk and sex; chance of it for each dam genotype (row) and sire genotype.
    risks: Vec<(GeneticRiskKind, Crossing)>,
    dogs: HashMap<Uuid, Vec<Vec<f64>>>,
}

/// Every candidate's genotype chances, for screening pairs.
///
/// Dam and sire are taken as independent given the results on file; a single trial mating
/// ([`super::TrialMatingGenetics`]) takes shared untested ancestors into account. Which chances
/// are 0 is the same up to that: independence never calls a possible risk impossible.
pub(crate) struct GenotypeBook<'a> {
    markers: Vec<BookMarker<'a>>,
}

impl<'a> GenotypeBook<'a> {
    /// Works out the chances of `dogs` at every marker that carries a risk and that some member
    /// is tested for.
    ///
    /// # Errors
    /// Results that the catalogue cannot hold or that contradict each other, unsound frequencies.
    pub fn new(
        family: &MarkerFamily,
        catalogue: &'a MarkerCatalogue,
        frequencies: &[AlleleFrequencies],
        dogs: &[Uuid],
        rules: &Rules,
    ) -> Result<Self, Vec<Fault>> {
        let mut faults = Faults::new();
        check_results(family, catalogue, &mut faults);
        faults.into_result()?;
        let mut markers = Vec::new();
        for marker in family.tested_markers(catalogue) {
            let risks = risks(marker);
            if risks.is_empty() {
                continue;
            }
            let entry = frequencies.iter().find(|f| f.marker == marker.key);
            let network = family.network(marker, entry.map(|f| f.check(marker)).transpose()?)?;
            let mut known = HashMap::new();
            for dog in dogs {
                if let Some(place) = family.place(*dog) {
                    let rows = peel_dog(&network, marker, place, PeelingLimits::of(rules))
                        .map_err(|_| contradiction(marker))?;
                    let plain = rows.iter().map(|row| row.iter().map(to_f64).collect());
                    known.insert(*dog, plain.collect());
                }
            }
            markers.push(BookMarker { marker, risks, dogs: known });
        }
        Ok(Self { markers })
    }

    /// Whether no marker with a risk is on file.
    pub fn is_empty(&self) -> bool {
        self.markers.is_empty()
    }

    /// Risks of a pair's pups that are not ruled out, each of the worse-off sex.
    pub(crate) fn risks(&self, dam: Uuid, sire: Uuid) -> Vec<PairGeneticRisk> {
        let mut found: Vec<PairGeneticRisk> = Vec::new();
        for entry in &self.markers {
            let dams = entry.cases(dam, false);
            let sires = entry.cases(sire, true);
            for (risk, crossing) in &entry.risks {
                let (lowest, highest) = bounds(&dams, &sires, crossing);
                let known =
                    found.iter_mut().find(|r| r.marker == entry.marker.key && r.risk == *risk);
                match known {
                    _ if highest <= 0.0 => {}
                    Some(row) => {
                        row.lowest = row.lowest.max(lowest);
                        row.highest = row.highest.max(highest);
                    }
                    None => found.push(PairGeneticRisk {
                        marker: entry.marker.key.clone(),
                        name: entry.marker.name.clone(),
                        risk: *risk,
                        lowest,
                        highest,
                        source: entry.marker.source.clone(),
                    }),
                }
            }
        }
        found
    }
}

impl BookMarker<'_> {
    /// A dog's cases; any genotype where it is not in the family or there were too many.
    fn cases(&self, dog: Uuid, male: bool) -> Vec<Vec<f64>> {
        let size = self.marker.genotypes(male).len();
        match self.dogs.get(&dog) {
            Some(rows) if !rows.is_empty() && rows.iter().all(|row| row.len() == size) => {
                rows.clone()
            }
            _ => (0..size)
                .map(|at| (0..size).map(|i| f64::from(u8::from(i == at))).collect())
                .collect(),
        }
    }
}

fn bounds(dams: &[Vec<f64>], sires: &[Vec<f64>], crossing: &Crossing) -> (f64, f64) {
    let mut bounds = (f64::INFINITY, 0.0_f64);
    for dam in dams {
        let row: Vec<f64> = (0..crossing.first().map_or(0, Vec::len))
            .map(|s| dam.iter().zip(crossing).map(|(p, row)| p * row[s]).sum())
            .collect();
        for sire in sires {
            let chance: f64 = row.iter().zip(sire).map(|(c, p)| c * p).sum();
            bounds = (bounds.0.min(chance), bounds.1.max(chance));
        }
    }
    (bounds.0.min(bounds.1), bounds.1)
}

fn risks(marker: &Marker) -> Vec<(GeneticRiskKind, Crossing)> {
    let mut found = Vec::new();
    for male in [false, true] {
        let mut add = |risk, counts: &dyn Fn(Genotype) -> bool| {
            let crossing = crossing(marker, male, counts);
            if crossing.iter().flatten().any(|chance| *chance > 0.0) {
                found.push((risk, crossing));
            }
        };
        add(GeneticRiskKind::Affected, &|g| marker.affected(g));
        add(GeneticRiskKind::OneCopyHarms, &|g| marker.at_risk(g));
        add(GeneticRiskKind::DiesBeforeBirth, &|g| marker.lethal(g));
        if marker.key == "coat_m" {
            add(GeneticRiskKind::DoubleMerle, &|g| marker.variant_copies(g) == 2);
        }
    }
    found
}

fn crossing(marker: &Marker, male: bool, counts: &dyn Fn(Genotype) -> bool) -> Crossing {
    let pups: Vec<Genotype> = marker.genotypes(male).into_iter().filter(|g| counts(*g)).collect();
    let of = |dam: Genotype, sire: Genotype| {
        pups.iter().map(|pup| to_f64(&transmission(marker, sire, dam, *pup, male))).sum()
    };
    let sires = marker.genotypes(true);
    marker
        .genotypes(false)
        .into_iter()
        .map(|dam| sires.iter().map(|sire| of(dam, *sire)).collect())
        .collect()
}
