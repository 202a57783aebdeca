//! Colours that a planned or expected litter will surely have a share of.

use super::ColourChance;
use crate::{
    coat_colour::pup_colours,
    markers::{GenotypeResult, MarkerCatalogue, MarkerFamily, TrialMatingGenetics},
    pedigree::PedigreeRow,
    rules::Rules,
};
use std::collections::HashSet;
use uuid::Uuid;

/// The least share of each colour among a pair's pups, from the tests of `family`: the two and
/// their near ancestors.
///
/// Where alleles are open a share is a range; its lower end is counted, and what is missing to one
/// stays of unknown colour. Empty when the tests say nothing of colours, or contradict each other.
pub fn expected_colours(
    family: &[PedigreeRow<Uuid>],
    results: &[(Uuid, GenotypeResult)],
    (dam_id, sire_id): (Uuid, Uuid),
    rules: &Rules,
) -> Vec<ColourChance> {
    let Ok(family) = MarkerFamily::of_pedigree(family, &HashSet::from([dam_id]), results) else {
        return Vec::new();
    };
    let mating = TrialMatingGenetics {
        family: &family,
        dam_id,
        sire_id,
        catalogue: MarkerCatalogue::standard(),
        markers: &[],
        frequencies: &[],
    };
    let report = mating.solve(rules).and_then(|solved| pup_colours(&solved, rules));
    let colours = report.map(|report| report.colours).unwrap_or_default();
    colours
        .into_iter()
        .filter(|colour| colour.chance.lowest > 0.0)
        .map(|colour| ColourChance { colour: colour.name, chance: colour.chance.lowest })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::Text;

    fn result(dog: u128, marker: &str, alleles: [&str; 2]) -> (Uuid, GenotypeResult) {
        let result = GenotypeResult {
            marker: marker.to_owned(),
            alleles: alleles.map(str::to_owned).to_vec(),
            laboratory: None,
            tested_on: None,
            omia: None,
        };
        (Uuid::from_u128(dog), result)
    }

    /// Mendel: of two carriers of a recessive (liver at locus B) one pup in four shows it.
    #[test]
    fn gives_the_mendelian_shares_of_tested_parents() {
        let (dam, sire) = (Uuid::from_u128(1), Uuid::from_u128(2));
        let alone = |id| PedigreeRow { id, sire: None, dam: None };
        let family = [alone(dam), alone(sire)];
        let mut results = Vec::new();
        for dog in [1, 2] {
            results.push(result(dog, "coat_b", ["B", "b"]));
            results.push(result(dog, "coat_e", ["E", "E"]));
            results.push(result(dog, "coat_k", ["KB", "KB"]));
            results.push(result(dog, "coat_d", ["D", "D"]));
        }
        let found = expected_colours(&family, &results, (dam, sire), &Rules::standard());
        let mut shares: Vec<f64> = found.iter().map(|colour| colour.chance).collect();
        shares.sort_by(f64::total_cmp);
        assert_eq!(shares, [0.25, 0.75], "{found:?}");
        let names: Vec<&Text> = found.iter().map(|colour| &colour.colour).collect();
        assert!(names[0].contains("black"), "{names:?}");

        // Nobody tested: nothing is promised.
        assert!(expected_colours(&family, &[], (dam, sire), &Rules::standard()).is_empty());
        // One parent open at B: none of the liver share is sure.
        results.retain(|(dog, result)| !(*dog == sire && result.marker == "coat_b"));
        let open = expected_colours(&family, &results, (dam, sire), &Rules::standard());
        let sum: f64 = open.iter().map(|colour| colour.chance).sum();
        assert!(sum > 0.0 && sum < 1.0, "{open:?}");
    }
}
