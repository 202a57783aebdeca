//! Tests that no catalogue knows, in a mating that is tried: side by side, and with chances where the laboratory
//! says how the variant is inherited.

use super::TrialFamily;
use crate::{
    advice::Caution,
    markers::{
        GenotypeResult, Inheritance, Marker, MarkerCatalogue, MarkerFamily, MarkerKind,
        MarkerOutlook, TrialMatingGenetics,
    },
    record::FreeTest,
    rules::{Rules, Status},
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::Serialize;
use std::collections::{BTreeMap, HashSet};
use utoipa::ToSchema;
use uuid::Uuid;

/// The normal allele and the variant of a test of which only copies are known.
const ALLELES: [&str; 2] = ["N", "V"];

/// One dog's result.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct FreeTestGiven {
    /// The result, in the laboratory's words.
    pub result: String,
    /// Copies of the variant.
    pub copies: Option<i32>,
    /// Who tested.
    pub laboratory: Option<String>,
    /// Day of the result.
    pub tested_on: Option<NaiveDate>,
}

/// A test that the catalogue does not know, in a mating.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FreeTestOutlook {
    /// What was tested for.
    pub name: String,
    /// The dam's result; null where she has none.
    pub dam: Option<FreeTestGiven>,
    /// The sire's result; null where he has none.
    pub sire: Option<FreeTestGiven>,
    /// Chances of the pups, by Mendel; null where the results do not say how it is inherited or how many copies
    /// there are.
    pub outlook: Option<MarkerOutlook>,
    /// What to mind, of a disease.
    pub cautions: Vec<Caution>,
    /// Why there are no chances; null when there are.
    #[schema(value_type = Option<String>)]
    pub why_none: Option<Text>,
}

/// All free tests of which the dam or the sire has a result, by name.
pub(super) fn outlooks(family: &TrialFamily<'_>, rules: &Rules) -> Vec<FreeTestOutlook> {
    let mut by_name: BTreeMap<String, Vec<&FreeTest>> = BTreeMap::new();
    for test in family.free_tests {
        by_name.entry(test.name.trim().to_lowercase()).or_default().push(test);
    }
    by_name.into_values().filter_map(|tests| outlook(family, &tests, rules)).collect()
}

fn outlook(
    family: &TrialFamily<'_>,
    tests: &[&FreeTest],
    rules: &Rules,
) -> Option<FreeTestOutlook> {
    let of = |dog: Uuid| tests.iter().copied().find(|test| test.dog_id == dog);
    let (dam, sire) = (of(family.dam_id), of(family.sire_id));
    let named = dam.or(sire)?;
    let (worked, why_none) = match chances(family, tests, rules) {
        Ok(worked) => (Some(worked), None),
        Err(why) => (None, Some(why)),
    };
    let is_disease = tests.iter().any(|test| test.kind == Some(MarkerKind::Disease));
    let (outlook, cautions) = worked.map_or((None, Vec::new()), |(outlook, cautions)| {
        (outlook, if is_disease { cautions } else { Vec::new() })
    });
    Some(FreeTestOutlook {
        name: named.name.clone(),
        dam: dam.map(given),
        sire: sire.map(given),
        outlook,
        cautions,
        why_none,
    })
}

fn given(test: &FreeTest) -> FreeTestGiven {
    FreeTestGiven {
        result: test.result.clone(),
        copies: test.copies,
        laboratory: test.laboratory.clone(),
        tested_on: test.tested_on,
    }
}

/// Chances of the pups with cautions, or why there are none.
fn chances(
    family: &TrialFamily<'_>,
    tests: &[&FreeTest],
    rules: &Rules,
) -> Result<(Option<MarkerOutlook>, Vec<Caution>), Text> {
    let said: HashSet<Inheritance> = tests.iter().filter_map(|test| test.inheritance).collect();
    let inheritance = match said.iter().next() {
        None => return Err(said!("free-test-inheritance-unknown")),
        Some(_) if said.len() > 1 => return Err(said!("free-test-inheritance-differs")),
        Some(Inheritance::MultiAlleleSeries) => return Err(said!("free-test-series")),
        Some(inheritance) => *inheritance,
    };
    let marker = marker(tests, inheritance);
    let females: HashSet<Uuid> =
        family.ancestors.iter().filter_map(|row| row.dam).chain([family.dam_id]).collect();
    let result = |test: &&FreeTest| {
        let copies = usize::try_from(test.copies?).ok()?;
        let one_x = inheritance == Inheritance::XLinkedRecessive && !females.contains(&test.dog_id);
        let places: usize = if one_x { 1 } else { 2 };
        let normal = places.saturating_sub(copies);
        let alleles = (0..places).map(|at| ALLELES[usize::from(at >= normal)].to_owned());
        let result = GenotypeResult {
            marker: marker.key.clone(),
            alleles: alleles.collect(),
            laboratory: None,
            tested_on: None,
            omia: None,
        };
        Some((test.dog_id, result))
    };
    let results: Vec<(Uuid, GenotypeResult)> = tests.iter().filter_map(result).collect();
    if results.is_empty() {
        return Err(said!("free-test-copies-unknown"));
    }
    let contradicts = |_| said!("free-test-contradicts");
    let members = MarkerFamily::of_pedigree(family.ancestors, &females, &results);
    let members = members.map_err(contradicts)?;
    let catalogue = MarkerCatalogue::of_one(marker);
    let mating = TrialMatingGenetics {
        family: &members,
        dam_id: family.dam_id,
        sire_id: family.sire_id,
        catalogue: &catalogue,
        markers: &[],
        frequencies: &[],
    };
    let report = mating.solve(rules).map_err(contradicts)?.report(rules);
    Ok((report.markers.into_iter().next(), report.cautions))
}

/// The marker that a laboratory's words make of a test.
fn marker(tests: &[&FreeTest], inheritance: Inheritance) -> Marker {
    let first = |of: fn(&FreeTest) -> Option<&String>| {
        tests.iter().find_map(|test| of(test)).cloned().unwrap_or_default()
    };
    let name = tests.first().map_or("", |test| test.name.as_str());
    let laboratory = first(|test| test.laboratory.as_ref());
    Marker {
        key: name.to_owned(),
        name: Text::verbatim(name),
        kind: tests.iter().find_map(|test| test.kind).unwrap_or(MarkerKind::Trait),
        gene: first(|test| test.gene.as_ref()),
        variant: Text::verbatim(first(|test| test.variant.as_ref())),
        inheritance,
        alleles: ALLELES.map(str::to_owned).to_vec(),
        normal: Some(ALLELES[0].to_owned()),
        lethal_homozygote: None,
        silent_alleles: Vec::new(),
        one_copy: None,
        raises_risk: false,
        risks: Vec::new(),
        omia: None,
        penetrance: None,
        note: None,
        source: laboratory,
        status: Status::Kennel,
    }
}
