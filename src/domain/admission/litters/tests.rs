use super::*;
use crate::admission::seen::{entry, places};
use serde_json::{Value, json};
use uuid::Uuid;

const DAM: Uuid = Uuid::from_u128(1);
const SIRE: Uuid = Uuid::from_u128(2);

fn mating() -> Mating {
    let body = json!({ "dam_id": DAM, "sire_id": SIRE, "status": "planned" });
    serde_json::from_value(body).unwrap()
}

fn litter(body: Value) -> Litter {
    serde_json::from_value(body).unwrap()
}

fn of_mating(litter: &Litter) -> super::Admission {
    let first_tie_on = "2026-03-13".parse().ok();
    litter.admit(&LitterFacts { mating: &mating(), first_tie_on })
}

#[test]
fn a_litter_has_the_parents_of_its_mating() {
    assert_eq!(of_mating(&litter(json!({ "dam_id": DAM }))), Ok(()));
    assert_eq!(of_mating(&litter(json!({ "dam_id": DAM, "sire_id": SIRE }))), Ok(()));
    let other = of_mating(&litter(json!({ "dam_id": SIRE })));
    assert_eq!(entry(other), Some("fault-elsewhere-mating"));
    let other = of_mating(&litter(json!({ "dam_id": DAM, "sire_id": DAM })));
    assert_eq!(places(other), ["/sire_id"]);
    let completed = litter(json!({ "dam_id": Uuid::nil() })).completed_by(&mating());
    assert_eq!((completed.dam_id, completed.sire_id), (DAM, Some(SIRE)));
    // What was said stays, and is refused then.
    let said = litter(json!({ "dam_id": SIRE, "sire_id": DAM })).completed_by(&mating());
    assert_eq!((said.dam_id, said.sire_id), (SIRE, Some(DAM)));
}

#[test]
fn a_whelping_comes_after_the_first_tie() {
    let whelped = |on: &str| places(of_mating(&litter(json!({ "dam_id": DAM, "whelped_on": on }))));
    assert_eq!(whelped("2026-03-12"), ["/whelped_on"]);
    assert_eq!(whelped("2026-03-13"), ["/whelped_on"]);
    assert!(whelped("2026-03-14").is_empty());
    let untied = LitterFacts { mating: &mating(), first_tie_on: None };
    let early = litter(json!({ "dam_id": DAM, "whelped_on": "2026-03-12" }));
    assert_eq!(early.admit(&untied), Ok(()));
}
