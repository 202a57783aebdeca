use super::*;
use crate::seen_traits::CoatOnRecord;

const DAM: u128 = 2;
const SIRE: u128 = 1;

fn id(number: u128) -> Uuid {
    Uuid::from_u128(number)
}

fn row(number: u128, sire: u128, dam: u128) -> PedigreeRow<Uuid> {
    let parent = |number| (number > 0).then(|| id(number));
    PedigreeRow { id: id(number), sire: parent(sire), dam: parent(dam) }
}

fn tested(dog: u128, marker: &str, alleles: &str) -> (Uuid, GenotypeResult) {
    let alleles = alleles.split('/').map(Into::into).collect();
    let marker = marker.into();
    (id(dog), GenotypeResult { marker, alleles, laboratory: None, tested_on: None, omia: None })
}

fn coat(colour: &str) -> TraitSigns {
    TraitSigns::of(&CoatOnRecord { colour: Some(colour.into()), ..CoatOnRecord::default() })
}

/// What pups of dam 2 and sire 1 can inherit; 4 and 3 are the parents of the dam.
fn tried(
    results: &[(Uuid, GenotypeResult)],
    signs: &[(u128, TraitSigns)],
    markers: &[&str],
) -> Result<TrialGenetics, Vec<Fault>> {
    let ancestors = [row(DAM, 3, 4), row(SIRE, 0, 0), row(3, 0, 0), row(4, 0, 0)];
    let breed = |row: &PedigreeRow<Uuid>| match row.id == id(DAM) || row.id == id(3) {
        true => "Beagle",
        false => "Poodle",
    };
    let breeds = ancestors.iter().map(|row| BreedMember::recorded(*row, Some(breed(row))));
    let family = TrialFamily {
        dam_id: id(DAM),
        sire_id: id(SIRE),
        ancestors: &ancestors,
        results,
        free_tests: &[],
        signs: &signs.iter().map(|(dog, signs)| (id(*dog), signs.clone())).collect(),
        breeds: breeds.collect(),
    };
    let markers: Vec<String> = markers.iter().map(|marker| (*marker).to_owned()).collect();
    family.genetics(&markers, &[], &Rules::standard())
}

#[test]
fn an_untested_dam_is_told_by_her_parents() {
    let results = [
        tested(SIRE, "prcd_pra", "N/N"),
        tested(3, "prcd_pra", "N/N"),
        tested(4, "prcd_pra", "N/N"),
    ];
    let markers = tried(&results, &[], &[]).unwrap().genotypes.markers;
    let pra = markers.iter().find(|one| one.marker == "prcd_pra").unwrap();
    let told: Vec<_> =
        pra.daughters.iter().map(|one| (one.genotype.as_str(), one.chance.lowest)).collect();
    assert_eq!(told, [("N/N", 1.0)]);
}

#[test]
fn her_breed_is_that_of_her_parents_and_not_as_written() {
    let shares = tried(&[], &[], &[]).unwrap().breeds.shares;
    let told: Vec<_> =
        shares.iter().map(|one| (one.breed.as_deref().unwrap(), one.exact.as_str())).collect();
    // The dam has half of a Beagle and half of a Poodle; the sire is a Poodle.
    assert_eq!(told, [("Poodle", "3/4"), ("Beagle", "1/4")]);
}

#[test]
fn colours_are_told_where_a_locus_of_them_is_tested() {
    assert!(tried(&[tested(DAM, "prcd_pra", "N/N")], &[], &[]).unwrap().colours.is_none());
    assert!(tried(&[tested(DAM, "coat_b", "B/b")], &[], &[]).unwrap().colours.is_some());
    assert!(tried(&[tested(4, "coat_b", "B/b")], &[], &[]).unwrap().colours.is_some());
}

#[test]
fn coats_warn_where_both_may_be_seen() {
    let merle = || coat("blue merle");
    let cautions = |signs: &[(u128, TraitSigns)]| {
        let told = tried(&[], signs, &[]).unwrap().genotypes.cautions;
        told.iter().filter(|one| one.what.to_string().contains("merle")).count()
    };
    assert_eq!(cautions(&[(DAM, merle()), (SIRE, merle())]), 1);
    assert_eq!(cautions(&[(DAM, merle())]), 0, "the sire is somebody else's");
    assert_eq!(cautions(&[(SIRE, merle())]), 0);
    assert_eq!(cautions(&[]), 0);
}

#[test]
fn what_is_not_known_is_a_fault() {
    let faults = tried(&[], &[], &["no_such_marker"]).unwrap_err();
    assert_eq!(
        faults.iter().map(|fault| fault.pointer.as_str()).collect::<Vec<_>>(),
        ["/markers/0"]
    );
}
