use super::*;
use crate::admission::seen::places;
use serde_json::json;
use uuid::Uuid;

fn test(alleles: &[&str]) -> GenotypeTest {
    let marker = MarkerCatalogue::standard().iter().find(|marker| marker.x_linked()).unwrap();
    serde_json::from_value(json!({
        "dog_id": Uuid::nil(), "marker": marker.key, "alleles": alleles, "laboratory": "test",
    }))
    .unwrap()
}

#[test]
fn a_male_has_one_allele_of_an_x_linked_marker_and_a_female_two() {
    let marker = test(&[]).marker;
    let catalogue = MarkerCatalogue::standard();
    let allele = &catalogue.get(&marker).unwrap().alleles[0];
    let one = test(&[allele]);
    let two = test(&[allele, allele]);
    assert!(places(one.admit(Some(Sex::Male))).is_empty());
    assert!(!places(two.admit(Some(Sex::Male))).is_empty());
    assert!(places(two.admit(Some(Sex::Female))).is_empty());
    assert!(!places(one.admit(Some(Sex::Female))).is_empty());
    // Of unknown sex, the alleles say it.
    assert!(places(one.admit(None)).is_empty());
    assert!(places(two.admit(None)).is_empty());
}
