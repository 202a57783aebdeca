use super::*;
use crate::{admission::seen::places, record::MeasureKind};
use serde_json::{Value, json};
use uuid::Uuid;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn mating(more: Value) -> Mating {
    let mut body = json!({
        "dam_id": Uuid::from_u128(1), "sire_id": Uuid::from_u128(2), "status": "planned"
    });
    body.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    serde_json::from_value(body).unwrap()
}

#[test]
fn ties_lie_within_their_heat() {
    let rules = Rules::standard();
    let tied = |days: &[&str], rules: &Rules| {
        let tied_on: Vec<NaiveDate> = days.iter().map(|on| day(on)).collect();
        let facts = MatingFacts { heat_began_on: day("2026-03-01"), tied_on: &tied_on, rules };
        places(mating(json!({})).admit(&facts))
    };
    // 35 days after the first of March is the fifth of April.
    assert_eq!(rules.value("dating.mating_after_heat_days"), 35.0);
    let days = ["2026-02-28", "2026-03-01", "2026-03-02", "2026-04-04", "2026-04-05", "2026-04-06"];
    assert_eq!(tied(&days, &rules), ["/ties/0/happened_at", "/ties/5/happened_at"]);
    let own = rules.with_override("dating.mating_after_heat_days", 36.0, "us").unwrap();
    assert!(tied(&["2026-04-06"], &own).is_empty());
    assert_eq!(tied(&["2026-04-07"], &own), ["/ties/0/happened_at"]);
}

#[test]
fn a_mating_is_not_planned_before_its_heat() {
    let rules = Rules::standard();
    let facts = MatingFacts { heat_began_on: day("2026-03-01"), tied_on: &[], rules: &rules };
    let planned = |on: &str| places(mating(json!({ "planned_on": on })).admit(&facts));
    assert_eq!(planned("2026-02-28"), ["/planned_on"]);
    assert!(planned("2026-03-01").is_empty());
    assert!(planned("2026-03-02").is_empty());
}

#[test]
fn the_first_tie_is_the_earliest_in_any_order() {
    let tie = |at: &str| json!({ "happened_at": at });
    let ties = [tie("2026-03-14T08:00:00Z"), tie("2026-03-12T08:00:00Z")];
    let first = mating(json!({ "ties": ties })).first_tie_at().unwrap();
    assert_eq!(first.to_rfc3339(), "2026-03-12T08:00:00+00:00");
    assert_eq!(mating(json!({})).first_tie_at(), None);
}

fn check(value_mm: f64) -> PregnancyCheck {
    serde_json::from_value(json!({
        "mating_id": Uuid::nil(), "checked_at": "2026-04-10T08:00:00Z", "method": "ultrasound",
        "result": "pregnant",
        "measures": [{ "kind": "inner_chorionic_cavity", "value_mm": value_mm }],
    }))
    .unwrap()
}

#[test]
fn a_measure_is_no_larger_than_at_whelping() {
    let most = |facts: &CheckFacts<'_>| {
        let group = ultrasound::group_of(facts.dam_breed, facts.dam_weight_g.map(f64::from));
        ultrasound::formula(group, MeasureKind::Icc).intercept_mm
    };
    let small = CheckFacts { dam_weight_g: Some(5_000), ..CheckFacts::default() };
    let shepherd = CheckFacts { dam_breed: Some("German Shepherd"), ..CheckFacts::default() };
    assert!((most(&small) - most(&shepherd)).abs() > 1.0, "they have formulas of their own");
    for facts in [small, shepherd, CheckFacts::default()] {
        let most = most(&facts);
        let measured = |value_mm| places(check(value_mm).admit(&facts));
        assert!(measured(most - 0.1).is_empty());
        assert!(measured(most).is_empty());
        assert_eq!(measured(most + 0.1), ["/measures/0/value_mm"]);
    }
}

#[test]
fn a_check_comes_after_the_first_tie() {
    let tied = |at: &str| {
        let facts = CheckFacts { first_tie_at: at.parse().ok(), ..CheckFacts::default() };
        places(check(20.0).admit(&facts))
    };
    assert!(tied("2026-04-10T07:59:59Z").is_empty());
    assert!(tied("2026-04-10T08:00:00Z").is_empty());
    assert_eq!(tied("2026-04-10T08:00:01Z"), ["/checked_at"]);
}
