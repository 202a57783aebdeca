use super::*;
use crate::admission::seen::{entry, places};
use chrono::Duration;
use serde_json::{Value, json};

const BORN_AT: &str = "2026-05-15T04:10:00Z";

fn birth(fields: Value) -> Birth {
    let mut body = json!({ "born_at": BORN_AT, "outcome": "alive" });
    body.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
    serde_json::from_value(body).unwrap()
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

fn facts(rules: &Rules) -> BirthFacts<'_> {
    let born_on = day("2026-05-15");
    BirthFacts { first_tie_at: None, whelped_on: None, born_on, dam_weight_g: None, rules }
}

#[test]
fn a_birth_comes_after_the_first_tie() {
    let rules = Rules::standard();
    let tied = |first_tie_at: &str| {
        let facts = BirthFacts { first_tie_at: Some(at(first_tie_at)), ..facts(&rules) };
        places(birth(json!({ "confirmed": true })).admit(&facts))
    };
    assert!(tied("2026-05-15T04:09:59Z").is_empty());
    assert_eq!(tied(BORN_AT), ["/born_at"]);
    assert_eq!(tied("2026-05-15T04:10:01Z"), ["/born_at"]);
}

#[test]
fn a_pup_weighs_less_than_its_dam() {
    let rules = Rules::standard();
    let facts = BirthFacts { dam_weight_g: Some(1500), ..facts(&rules) };
    let weighs = |grams: i32| places(birth(json!({ "weight_g": grams })).admit(&facts));
    assert!(weighs(1499).is_empty());
    assert_eq!(weighs(1500), ["/weight_g"]);
    assert_eq!(weighs(1501), ["/weight_g"]);
    assert!(places(birth(json!({})).admit(&facts)).is_empty());
    let unknown = BirthFacts { dam_weight_g: None, ..facts };
    assert!(places(birth(json!({ "weight_g": 1501 })).admit(&unknown)).is_empty());
}

#[test]
fn a_birth_days_from_the_whelping_is_asked_about_and_may_be_confirmed() {
    let rules = Rules::standard();
    // Two days (`slips.birth_days_apart`).
    let whelped = |on: &str, confirmed: bool| {
        let facts = BirthFacts { whelped_on: Some(day(on)), ..facts(&rules) };
        entry(birth(json!({ "confirmed": confirmed })).admit(&facts))
    };
    assert_eq!(whelped("2026-05-14", false), None);
    assert_eq!(whelped("2026-05-13", false), None);
    assert_eq!(whelped("2026-05-12", false), Some("fault-unlikely-birth-day"));
    assert_eq!(whelped("2026-05-12", true), None);
}

#[test]
fn a_birth_stays_the_birth_of_its_pup() {
    let before = birth(json!({ "litter_id": Uuid::from_u128(1), "ordinal": 2 }));
    let same = Birth { weight_g: Some(400), ..before.clone() };
    assert!(places(same.admit_change(&before)).is_empty());
    for other in [
        Birth { litter_id: Uuid::from_u128(2), ..before.clone() },
        Birth { dog_id: Uuid::from_u128(2), ..before.clone() },
        Birth { ordinal: 3, ..before.clone() },
    ] {
        assert_eq!(places(other.admit_change(&before)), [""]);
    }
}

#[test]
fn one_pup_that_is_here_wears_a_collar() {
    let today = day("2026-06-01");
    let known = |died_on: Option<&str>, residence| CollaredPup {
        ordinal: 1,
        dog_id: Uuid::from_u128(7),
        collar: Some(" Red".to_owned()),
        died_on: died_on.map(day),
        residence,
    };
    let new = |collar: &str, outcome: &str| birth(json!({ "collar": collar, "outcome": outcome }));
    let taken = |birth: &Birth, pup: CollaredPup| entry(birth.admit_collar(&[pup], today));
    let here = || known(None, Residence::Here);
    let conflict = Some("problem-conflict-collar");
    assert_eq!(taken(&new("red ", "alive"), here()), conflict);
    assert_eq!(taken(&new("reds", "alive"), here()), None);
    assert_eq!(taken(&new("red", "stillborn"), here()), None, "it wears none");
    assert_eq!(taken(&birth(json!({})), here()), None);
    let own = Birth { dog_id: Uuid::from_u128(7), ..new("red", "alive") };
    assert_eq!(taken(&own, here()), None, "its own");
    // It is free from the day of death on.
    for (died_on, expected) in
        [("2026-06-02", conflict), ("2026-06-01", None), ("2026-05-31", None)]
    {
        let dead = known(Some(died_on), Residence::Here);
        assert_eq!(taken(&new("red", "alive"), dead), expected, "{died_on}");
    }
    assert_eq!(taken(&new("red", "alive"), known(None, Residence::Elsewhere)), None);
}

#[test]
fn numbers_follow_one_another_up_to_thirty() {
    assert_eq!(next_ordinal(None), Ok(1));
    assert_eq!(next_ordinal(Some(28)), Ok(29));
    assert_eq!(next_ordinal(Some(29)), Ok(30));
    assert_eq!(entry(next_ordinal(Some(30))), Some("problem-conflict-litter-full"));
    let numbered = |ordinal: i32| entry(birth(json!({ "ordinal": ordinal })).admit_ordinal(3));
    assert_eq!([numbered(0), numbered(3)], [None, None]);
    assert_eq!([numbered(2), numbered(4)], [Some("problem-conflict-not-next-pup"); 2]);
}

fn kept(ordinal: i32, fields: Value, minutes_before: i64) -> Kept<Birth> {
    let born_at = at(BORN_AT) - Duration::minutes(minutes_before);
    let record = Birth { ordinal, born_at, ..birth(fields) };
    let id = Uuid::from_u128(u128::from(ordinal.unsigned_abs()));
    Kept { id, version: 1, created_at: born_at, updated_at: born_at, record }
}

#[test]
fn one_pup_is_not_written_down_twice() {
    let rules = Rules::standard();
    // Four minutes (`whelping.double_minutes`) are still one pup; its own table of limits has the seconds.
    let known = [kept(1, json!({ "collar": "red" }), 60), kept(2, json!({ "sex": "female" }), 1)];
    let red = birth(json!({ "collar": "red" }));
    let same = [kept(1, json!({ "collar": "red" }), 1)];
    let found = red.admit_beside(&same, 2, &rules);
    assert_eq!(entry(found), Some("problem-conflict-same-pup"));
    // Nothing tells it from the second; an hour lies between it and the first.
    let other = birth(json!({})).admit_beside(&known, 3, &rules).unwrap().unwrap();
    assert_eq!(other.record.ordinal, 2);
    let male = birth(json!({ "sex": "male" }));
    assert_eq!(male.admit_beside(&known, 3, &rules), Ok(None));
    // Who wrote both knows.
    assert_eq!(entry(male.admit_double(&other.record, true, 3)), None);
    let asked = male.admit_double(&other.record, false, 3);
    assert_eq!(entry(asked.clone()), Some("problem-conflict-maybe-same-pup"));
    let Err(Refusal::Conflict(text)) = asked else { panic!("{asked:?}") };
    assert!(text.contains("60"), "the seconds between them: {text}");
}

#[test]
fn a_pup_is_a_dog_of_its_litter() {
    let litter = json!({ "dam_id": Uuid::from_u128(1), "sire_id": Uuid::from_u128(2) });
    let litter: Litter = serde_json::from_value(litter).unwrap();
    let pup = birth(json!({ "sex": "male", "colour": "black", "name": "Fern of Larkfell" }));
    let pup = pup.pup(&litter, Some("Beagle".to_owned()), day("2026-05-16"));
    let expected = json!({
        "name": "Fern of Larkfell", "sex": "male", "breed": "Beagle", "colour": "black",
        "born_on": "2026-05-16", "dam_id": Uuid::from_u128(1), "sire_id": Uuid::from_u128(2),
        "residence": "here",
    });
    assert_eq!(pup, serde_json::from_value::<Dog>(expected).unwrap());
    let beagle = || Some("Beagle".to_owned());
    assert_eq!(shared_breed(beagle(), Some("Beagle")), beagle());
    assert_eq!(shared_breed(beagle(), Some("Boxer")), None);
    assert_eq!(shared_breed(beagle(), None), None);
    assert_eq!(shared_breed(None, None), None);
}
