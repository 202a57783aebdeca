use super::*;
use crate::admission::seen::{entry, places};
use serde_json::{Value, json};

const DAM: Uuid = Uuid::from_u128(1);
const SIRE: Uuid = Uuid::from_u128(2);
const OTHER: Uuid = Uuid::from_u128(3);

fn litter(dam_id: Uuid, sire_id: Uuid, more: Value) -> Litter {
    let mut body = json!({ "dam_id": dam_id, "sire_id": sire_id });
    body.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    serde_json::from_value(body).unwrap()
}

fn mating(dam_id: Uuid, sire_id: Uuid) -> Mating {
    let body = json!({ "dam_id": dam_id, "sire_id": sire_id, "status": "planned" });
    serde_json::from_value(body).unwrap()
}

fn pup(ordinal: i32, sire_id: Uuid, has_offspring: bool) -> PupParents {
    let (dam_id, sire_id) = (Some(DAM), Some(sire_id));
    PupParents { ordinal, dog_id: Uuid::from_u128(9), dam_id, sire_id, has_offspring }
}

#[test]
fn pups_with_offspring_or_parents_of_their_own_are_asked_about() {
    let before = litter(DAM, SIRE, json!({}));
    let plain = [pup(1, SIRE, false), pup(2, SIRE, false)];
    assert!(QuestionOfParents::of(&before, &plain).is_empty());
    let pups = [pup(1, OTHER, false), pup(2, SIRE, true), pup(3, SIRE, false), pup(4, OTHER, true)];
    let asked = QuestionOfParents::of(&before, &pups);
    let expected = [
        QuestionOfParents::Offspring("2, 4".to_owned()),
        QuestionOfParents::OtherParents("1, 4".to_owned()),
    ];
    assert_eq!(asked, expected);
}

#[test]
fn a_correction_of_a_litter_may_be_confirmed() {
    let before = litter(DAM, SIRE, json!({}));
    let pups = [pup(1, OTHER, false), pup(2, SIRE, true)];
    let of = |after: Litter, pups: &[PupParents]| places(after.admit_parents(&before, pups));
    assert_eq!(of(litter(DAM, OTHER, json!({})), &pups), ["/sire_id", "/sire_id"]);
    assert_eq!(of(litter(OTHER, SIRE, json!({})), &pups), ["/dam_id", "/dam_id"]);
    assert!(of(litter(DAM, OTHER, json!({})), &[pup(1, SIRE, false)]).is_empty());
    assert!(of(litter(DAM, OTHER, json!({ "confirmed": true })), &pups).is_empty());
    assert!(of(litter(DAM, SIRE, json!({ "note": "the same" })), &pups).is_empty());
}

#[test]
fn a_correction_of_a_mating_is_asked_where_the_litter_is() {
    let (before, own) = (mating(DAM, SIRE), litter(DAM, SIRE, json!({})));
    let bred = [pup(1, SIRE, true)];
    let corrected = mating(DAM, OTHER).admit_parents(&before, &own, &bred);
    assert_eq!(places(corrected.clone()), ["/sire_id"]);
    assert_eq!(entry(corrected), Some("fault-fixed-mating-offspring"));
    let other = mating(OTHER, SIRE).admit_parents(&before, &own, &[pup(1, OTHER, false)]);
    assert_eq!(places(other.clone()), ["/dam_id"]);
    assert_eq!(entry(other), Some("fault-fixed-mating-parents"));
    assert_eq!(mating(DAM, OTHER).admit_parents(&before, &own, &[pup(1, SIRE, false)]), Ok(()));
    assert_eq!(mating(DAM, SIRE).admit_parents(&before, &own, &bred), Ok(()));
    let follows = own.with_parents_of(&mating(OTHER, OTHER));
    assert_eq!((follows.dam_id, follows.sire_id), (OTHER, Some(OTHER)));
}
