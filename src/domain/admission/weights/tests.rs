use super::*;
use crate::admission::seen::places;
use serde_json::json;
use uuid::Uuid;

#[test]
fn a_weight_at_birth_is_one_and_at_the_time_of_the_birth() {
    let weight: Weight = serde_json::from_value(json!({
        "dog_id": Uuid::nil(), "measured_at": "2026-05-15T04:10:00Z", "weight_g": 402,
        "at_birth": true,
    }))
    .unwrap();
    let of = |born_at: Option<&str>, taken| {
        let born_at = born_at.map(|at| at.parse().unwrap());
        places(weight.admit_at_birth(BirthWeightFacts { born_at, taken }))
    };
    assert_eq!(of(Some("2026-05-15T04:09:59Z"), false), ["/measured_at"]);
    assert!(of(Some("2026-05-15T04:10:00Z"), false).is_empty());
    assert_eq!(of(Some("2026-05-15T04:10:01Z"), false), ["/measured_at"]);
    assert_eq!(of(Some("2026-05-15T04:10:00Z"), true), ["/at_birth"]);
    assert_eq!(of(None, false), ["/at_birth"]);
}
