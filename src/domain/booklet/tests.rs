//! The booklet: what stands in it and what is left out.

use super::*;

fn fact(sire: u128, dam: u128) -> AncestorFact {
    let known = |n: u128| (n > 0).then(|| Uuid::from_u128(n));
    AncestorFact {
        sire: known(sire),
        dam: known(dam),
        name: Some("named".into()),
        born_on: None,
        breed: None,
    }
}

fn facts(pedigree: &[(u128, u128, u128)]) -> BookletFacts {
    BookletFacts {
        kennel: BookletKennel {
            name: "Larkfell".into(),
            welcome: None,
            feeding: None,
            care: None,
            contact: None,
            weight_unit: WeightUnit::G,
        },
        dog: BookletDog {
            dog_id: Uuid::from_u128(1),
            name: None,
            call_name: None,
            sex: None,
            breed: None,
            colour: None,
            markings: None,
            born_on: None,
            chip_number: None,
            registrations: Vec::new(),
        },
        birth: None,
        pedigree: pedigree
            .iter()
            .map(|(id, sire, dam)| (Uuid::from_u128(*id), fact(*sire, *dam)))
            .collect(),
        weights: Vec::new(),
        given: Vec::new(),
        tests: Vec::new(),
        schedule: Vec::new(),
        pictures: Vec::new(),
    }
}

fn today() -> NaiveDate {
    "2026-03-01".parse().unwrap()
}

/// A new owner reads of one copy that it harms, not only its letters.
#[test]
fn a_genetic_test_says_what_it_means() {
    let meaning = |marker: &str, alleles: &[&str]| {
        let result = GenotypeResult {
            marker: marker.into(),
            alleles: alleles.iter().map(|a| (*a).to_owned()).collect(),
            laboratory: None,
            tested_on: None,
            omia: None,
        };
        BookletTest::of(result).meaning.map(|meaning| meaning.to_string())
    };
    assert_eq!(meaning("prcd_pra", &["N", "prcd"]).unwrap(), "carrier");
    assert_eq!(meaning("mdr1", &["N", "N"]).unwrap(), "clear");
    let one = meaning("mdr1", &["mdr1", "N"]).unwrap();
    assert!(one.contains("one copy") && one.contains("tell the vet"), "{one}");
    assert!(meaning("cddy", &["N", "CDDY"]).unwrap().contains("one copy raises the risk"));
    assert_eq!(meaning("haemophilia_a", &["N"]).unwrap(), "clear");
    assert_eq!(meaning("mdr1", &["N", "?"]), None);
    assert_eq!(meaning("own", &["x", "y"]), None);
}

/// Offspring of full siblings: 0.25 (Wright S, Coefficients of inbreeding and relationship,
/// American Naturalist 56, 1922).
#[test]
fn full_siblings_give_a_quarter_and_all_lines_are_named() {
    let made = booklet(facts(&[(1, 2, 3), (2, 4, 5), (3, 4, 5), (4, 0, 0), (5, 0, 0)]), today());
    assert_eq!((made.inbreeding, made.lower_bound.unknown_from_generation), (0.25, 3));
    assert_eq!(made.known_ancestors, 4);
    let tree = booklet_tree(&facts(&[(1, 2, 3), (2, 4, 5), (3, 4, 5), (4, 0, 0), (5, 0, 0)]));
    let tree = tree.unwrap();
    assert_eq!((tree.inbreeding, tree.ancestors.len(), tree.repeated.len()), (0.25, 6, 2));
    let lines: Vec<&str> = made.ancestors.iter().map(|a| a.line.as_str()).collect();
    assert_eq!(lines[..6], ["sire", "dam", "sire.sire", "sire.dam", "dam.sire", "dam.dam"]);
    assert_eq!(lines.len(), 14);
    assert!(made.ancestors[6..].iter().all(|ancestor| ancestor.name.is_none()));
}

#[test]
fn what_is_unknown_says_so() {
    let made = booklet(facts(&[(1, 2, 0), (2, 0, 0)]), today());
    assert_eq!(made.inbreeding, 0.0, "the convention's figure");
    assert!(made.lower_bound.why.contains("dam is not known"), "{:?}", made.lower_bound);
    for what in ["the dam", "the chip number", "any vaccination", "how to reach the kennel"] {
        assert!(made.not_recorded.iter().any(|lacks| lacks == what), "{what}");
    }
    assert!(!made.not_recorded.iter().any(|lacks| lacks == "the sire"));
}
