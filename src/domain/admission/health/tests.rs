use super::*;
use crate::admission::seen::{entry, places};
use serde_json::json;
use uuid::Uuid;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

#[test]
fn nothing_is_given_before_the_birth() {
    let event: HealthEvent = serde_json::from_value(json!({
        "dog_id": Uuid::nil(), "kind": "worming", "given_at": "2026-05-15T08:00:00Z",
    }))
    .unwrap();
    let given = |on: &str, born: &str| places(event.admit(day(on), Some(born.parse().unwrap())));
    assert_eq!(given("2026-05-14", "2026-05-15"), ["/given_at"]);
    assert!(given("2026-05-15", "2026-05-15").is_empty());
    assert!(given("2026-05-16", "2026-05-15").is_empty());
    // A partial date begins with its first day.
    assert_eq!(given("2026-04-30", "2026-05"), ["/given_at"]);
    assert!(given("2026-05-01", "2026-05").is_empty());
    assert!(places(event.admit(day("1900-01-01"), None)).is_empty());
}

#[test]
fn a_plan_keeps_its_key() {
    let plan = standard_plans()[0].clone();
    let renamed = HealthPlan { name: "another".to_owned(), ..plan.clone() };
    assert!(places(renamed.admit_change(&plan)).is_empty());
    let other = HealthPlan { key: format!("{}-2", plan.key), ..plan.clone() };
    assert_eq!(places(other.admit_change(&plan)), ["/key"]);
}

#[test]
fn a_litter_follows_the_last_version_of_a_plan() {
    let plan = standard_plans()[0].clone();
    let version = |plan: Option<HealthPlan>| HealthPlanVersion {
        number: 4,
        in_force_from: day("2026-01-01"),
        plan,
    };
    let own = version(Some(plan.clone()));
    assert_eq!(version_to_apply("own", Some(&own)), Ok(Some(4)));
    assert_eq!(version_to_apply(&plan.key, Some(&own)), Ok(Some(4)));
    assert_eq!(version_to_apply(&plan.key, None), Ok(None), "the standard one");
    // One that was deleted is no more, unless a standard plan has its key.
    assert_eq!(version_to_apply(&plan.key, Some(&version(None))), Ok(None));
    let gone = version_to_apply("own", Some(&version(None)));
    assert_eq!(entry(gone), Some("fault-not-found-plan"));
    assert_eq!(entry(version_to_apply("own", None)), Some("fault-not-found-plan"));
}
