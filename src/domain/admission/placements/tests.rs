use super::*;
use crate::{
    admission::seen::{entry, places},
    readiness::{ReadinessCheck, ReadinessResult, ReadinessRule},
};
use serde_json::{Value, json};
use uuid::Uuid;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn placement(kind: &str, stage: &str, more: Value) -> Placement {
    let mut body = json!({ "dog_id": Uuid::from_u128(1), "kind": kind, "stage": stage });
    body.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    serde_json::from_value(body).unwrap()
}

#[test]
fn days_that_were_left_out_are_filled_in() {
    let rules = Rules::standard();
    let today = day("2026-06-01");
    let completed = |placement: Placement, before: Option<&Placement>| {
        let placement = placement.completed_on(before, today, &rules);
        (placement.reserved_until, placement.handed_over_on)
    };
    let until = Some(plus(today, rule_days(&rules, "placement.reservation_days")));
    assert!(until > Some(today));
    let none = || json!({});
    assert_eq!(completed(placement("sale", "reserved", none()), None), (until, None));
    assert_eq!(completed(placement("kept", "reserved", none()), None), (None, None));
    assert_eq!(completed(placement("sale", "offered", none()), None), (None, None));
    let said = json!({ "reservation_ends_on": "2026-06-03" });
    assert_eq!(completed(placement("sale", "reserved", said), None).0, Some(day("2026-06-03")));
    let gone = placement("sale", "handed_over", none());
    let confirmed = placement("sale", "confirmed", none());
    assert_eq!(completed(gone.clone(), Some(&confirmed)), (None, Some(today)));
    assert_eq!(completed(gone.clone(), Some(&gone)), (None, None), "it went before today");
}

#[test]
fn a_placement_keeps_its_pup_and_once_agreed_its_footing() {
    let other_pup = json!({ "dog_id": Uuid::from_u128(2) });
    for (before, after, expected) in [
        (("sale", "offered"), placement("family", "offered", json!({})), vec![]),
        (("sale", "reserved"), placement("family", "reserved", json!({})), vec!["/kind"]),
        (("sale", "reserved"), placement("sale", "confirmed", json!({})), vec![]),
        (("sale", "offered"), placement("sale", "offered", other_pup), vec!["/dog_id"]),
    ] {
        let before = placement(before.0, before.1, json!({}));
        assert_eq!(places(after.admit_change(&before)), expected, "{after:?}");
    }
}

#[test]
fn a_dead_pup_is_promised_to_nobody_and_given_up_all_the_same() {
    let died = Presence::Died { on: day("2026-05-30") };
    let sale = |stage| placement("sale", stage, json!({}));
    assert_eq!(entry(sale("offered").admit_presence(died)), Some("fault-gone-pup-died"));
    let stillborn = sale("handed_over").admit_presence(Presence::Stillborn);
    assert_eq!(entry(stillborn), Some("fault-gone-pup-stillborn"));
    for stage in ["withdrawn", "lapsed", "returned"] {
        assert_eq!(sale(stage).admit_presence(died), Ok(()), "{stage}");
    }
    assert_eq!(placement("return", "offered", json!({})).admit_presence(died), Ok(()));
    for alive in [Presence::Here, Presence::Returned, Presence::Left { on: None }] {
        assert_eq!(sale("offered").admit_presence(alive), Ok(()));
    }
}

fn unmet() -> ReadinessCheck {
    ReadinessCheck {
        rule: ReadinessRule::MinimumAge,
        result: ReadinessResult::Unmet,
        detail: "is 55 days old".into(),
        met_on: None,
        source: "test".to_owned(),
        checked_on: None,
        overridden: None,
    }
}

#[test]
fn a_pup_leaves_when_nothing_is_open() {
    let step = |placement: &Placement, open: &[ReadinessCheck]| {
        let from = Some(PlacementStage::Confirmed);
        places(placement.admit_stage(&PlacementFacts { from, today: day("2026-06-01"), open }))
    };
    let sale = placement("sale", "handed_over", json!({}));
    assert!(step(&sale, &[]).is_empty());
    assert_eq!(step(&sale, &[unmet()]), ["/stage", "#readiness/minimum_age"]);
    // What stays need not be ready.
    assert!(step(&placement("kept", "handed_over", json!({})), &[]).is_empty());
    // An order that cannot be is told with what is open beside it.
    let early = PlacementFacts { from: None, today: day("2026-06-01"), open: &[] };
    assert_eq!(places(sale.admit_stage(&early)), ["/stage"]);
}

#[test]
fn what_has_happened_stays_and_ends_once() {
    use PlacementStage::{Returned, Withdrawn};
    let removed = |stage| entry(placement("sale", stage, json!({})).admit_removal());
    let conflict = Some("problem-conflict-handed-over");
    for (stage, expected, end) in [
        ("offered", None, Some(Withdrawn)),
        ("reserved", None, Some(Withdrawn)),
        ("confirmed", None, Some(Withdrawn)),
        ("handed_over", conflict, Some(Returned)),
        ("withdrawn", None, None),
        ("lapsed", None, None),
        ("returned", conflict, None),
    ] {
        assert_eq!(removed(stage), expected, "{stage}");
        assert_eq!(end_of(placement("sale", stage, json!({})).stage).ok(), end, "{stage}");
    }
}

#[test]
fn an_erased_buyer_gets_no_pup_and_a_waiting_one_is_not_erased() {
    let buyer = |more: Value| {
        let mut body = json!({ "name": "Ida Brandt", "joined_on": "2026-01-01" });
        body.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        serde_json::from_value::<Buyer>(body).unwrap()
    };
    assert_eq!(buyer(json!({})).admit_to_placement(), Ok(()));
    let erased = buyer(json!({ "erased_on": "2026-02-01" })).admit_to_placement();
    assert_eq!(places(erased), ["/buyer_id"]);
    let erasure = |stages: &[&str]| {
        let placements: Vec<Placement> =
            stages.iter().map(|stage| placement("sale", stage, json!({}))).collect();
        entry(Buyer::admit_erasure(&placements))
    };
    assert_eq!(erasure(&[]), None);
    assert_eq!(erasure(&["handed_over", "withdrawn", "lapsed", "returned"]), None);
    for open in ["offered", "reserved", "confirmed"] {
        assert_eq!(erasure(&["handed_over", open]), Some("problem-conflict-buyer-waits"), "{open}");
    }
}

#[test]
fn a_follow_up_is_of_a_pup_that_has_gone_and_one_that_there_is() {
    let done = |key: &str, handed_over_on: Option<&str>| {
        let body = json!({ "placement_id": Uuid::nil(), "key": key, "done_on": "2026-06-05" });
        let done: FollowUpDone = serde_json::from_value(body).unwrap();
        places(done.admit(handed_over_on.map(day)))
    };
    assert!(done("first_call", Some("2026-06-01")).is_empty());
    assert_eq!(done("last_call", Some("2026-06-01")), ["/key"]);
    assert_eq!(done("first_call", None), [""]);
}
