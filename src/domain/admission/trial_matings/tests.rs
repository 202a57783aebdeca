use super::*;
use crate::admission::seen::{entry, places};

fn ids(numbers: impl IntoIterator<Item = u128>) -> Vec<Uuid> {
    numbers.into_iter().map(Uuid::from_u128).collect()
}

/// Even dogs are females, odd ones males; 100 is of unknown sex, and 101 on are not there.
fn sexes() -> KnownSexes {
    let known = (0..100).map(|number: u128| {
        let sex = if number.is_multiple_of(2) { Sex::Female } else { Sex::Male };
        (Uuid::from_u128(number), Some(sex))
    });
    known.chain([(Uuid::from_u128(100), None)]).collect()
}

fn size(dams: u128, sires: u128, limited: bool, explained: bool) -> Vec<String> {
    let (dams, sires) = (ids(0..dams), ids(0..sires));
    places(TrialGrid { dams: &dams, sires: &sires, limited, explained }.admit_size())
}

#[test]
fn so_many_pairs_are_tried_at_once() {
    assert!(size(3, 1_333, false, false).is_empty(), "3,999");
    assert!(size(40, 100, false, false).is_empty(), "4,000");
    assert_eq!(size(4_001, 1, false, false), ["/sires"]);
    assert_eq!(size(1, 4_001, false, false), ["/sires"]);
}

#[test]
fn fewer_over_some_generations_alone() {
    assert!(size(1_999, 1, true, false).is_empty());
    assert!(size(40, 50, true, false).is_empty(), "2,000");
    assert_eq!(size(3, 667, true, false), ["/generations"], "2,001");
    assert!(size(3, 667, false, false).is_empty(), "not asked for");
    assert_eq!(size(4_001, 1, true, true), ["/sires", "/generations", "/explain"]);
}

#[test]
fn and_fewest_with_their_reasons() {
    assert!(size(19, 1, false, true).is_empty());
    assert!(size(4, 5, false, true).is_empty(), "20");
    assert_eq!(size(3, 7, false, true), ["/explain"], "21");
    assert!(size(3, 7, false, false).is_empty(), "not asked for");
}

#[test]
fn each_parent_is_there_once_and_of_its_sex() {
    let tried = |dams: &[u128], sires: &[u128]| {
        let (dams, sires) = (ids(dams.iter().copied()), ids(sires.iter().copied()));
        let grid = TrialGrid { dams: &dams, sires: &sires, limited: false, explained: false };
        grid.admit_parents(&sexes())
    };
    assert_eq!(tried(&[2, 4], &[1, 3]), Ok(()));
    assert_eq!(tried(&[100], &[1]), Ok(()), "nobody wrote down that it is none");
    assert_eq!(tried(&[2], &[100]), Ok(()));
    assert_eq!(places(tried(&[2, 1], &[3, 4])), ["/dams/1", "/sires/1"]);
    assert_eq!(entry(tried(&[1], &[3])), Some("fault-wrong-sex-not-female"));
    assert_eq!(entry(tried(&[2], &[4])), Some("fault-wrong-sex-not-male"));
    assert_eq!(places(tried(&[101], &[1, 102])), ["/dams/0", "/sires/1"]);
    assert_eq!(entry(tried(&[101], &[1])), Some("fault-not-found-dog-of-list"));
    assert_eq!(places(tried(&[2, 4, 2], &[1, 1])), ["/dams/2", "/sires/1"]);
    assert_eq!(entry(tried(&[2, 2], &[1])), Some("fault-twice-dog-of-list"));
    assert_eq!(tried(&[100], &[100]), Ok(()), "lists are held against themselves alone");
}

#[test]
fn a_pair_is_two_dogs() {
    let pair = |dam: u128, sire: u128| {
        let (dam_id, sire_id) = (Uuid::from_u128(dam), Uuid::from_u128(sire));
        TrialParents { dam_id, sire_id }.admit(&sexes())
    };
    assert_eq!(pair(2, 1), Ok(()));
    assert_eq!(pair(100, 1), Ok(()));
    assert_eq!(places(pair(1, 2)), ["/dam_id", "/sire_id"]);
    assert_eq!(places(pair(2, 101)), ["/sire_id"]);
    assert_eq!(places(pair(101, 1)), ["/dam_id"]);
    assert_eq!(places(pair(100, 100)), ["/sire_id"]);
    assert_eq!(entry(pair(100, 100)), Some("fault-not-together-sire-is-dam-too"));
    assert_eq!(places(pair(2, 2)), ["/sire_id", "/sire_id"], "a dam, and the other parent too");
}
