use super::*;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use uuid::Uuid;

/// A record with a field changed.
fn with<R: DeserializeOwned>(body: &Value, change: &Value) -> R {
    let mut body = body.clone();
    body.as_object_mut().unwrap().extend(change.as_object().unwrap().clone());
    serde_json::from_value(body).unwrap()
}

/// That a record is asked about anew after each of these changes, and after no other.
macro_rules! asks {
    ($record:ident, $body:expr, about $about:expr, not $quiet:expr) => {{
        let body = $body;
        let before: $record = with(&body, &json!({}));
        assert!(before.is_asked_about(None), "a new one is asked about");
        assert!(!before.is_asked_about(Some(&before)), "it was asked about before");
        let confirmed: $record = with(&body, &json!({ "confirmed": true }));
        assert!(!confirmed.is_asked_about(None), "somebody meant it");
        for change in $about {
            let after: $record = with(&body, &change);
            assert!(after.is_asked_about(Some(&before)), "{change}");
        }
        for change in $quiet {
            let after: $record = with(&body, &change);
            assert!(!after.is_asked_about(Some(&before)), "{change}");
        }
    }};
}

#[test]
fn what_stays_as_it_was_is_not_asked_about_again() {
    let dog = Uuid::from_u128(1);
    let note = || [json!({ "note": "another" })];
    asks!(
        Feed,
        json!({ "dog_id": dog, "fed_at": "2026-05-16T08:00:00Z", "volume_ml": 10.0 }),
        about[json!({ "volume_ml": 10.1 })],
        not[json!({ "fed_at": "2026-05-16T09:00:00Z" })]
    );
    asks!(HealthEvent,
        json!({ "dog_id": dog, "kind": "worming", "given_at": "2026-05-16T08:00:00Z",
            "expires_on": "2026-05-01" }),
        about [json!({ "expires_on": "2026-05-02" }), json!({ "given_at": "2026-05-16T09:00:00Z" })],
        not note());
    asks!(Heat, json!({ "dog_id": dog, "began_on": "2026-05-16" }),
        about [json!({ "began_on": "2026-05-17" }), json!({ "dog_id": Uuid::from_u128(2) })],
        not [json!({ "ended_on": "2026-06-01" })]);
    asks!(HeatReading,
        json!({ "heat_id": dog, "kind": "progesterone", "taken_at": "2026-05-16T08:00:00Z",
            "value": 5.0, "unit": "ng_per_ml" }),
        about [json!({ "value": 5.1 }), json!({ "unit": "nmol_per_l" }),
            json!({ "taken_at": "2026-05-16T09:00:00Z" })],
        not note());
    asks!(
        Paper,
        json!({ "dog_id": dog, "paper": "contract", "done_on": "2026-05-16" }),
        about[json!({ "paper": "contracts" })],
        not[json!({ "done_on": "2026-05-17" })]
    );
    asks!(Weight,
        json!({ "dog_id": dog, "measured_at": "2026-05-16T08:00:00Z", "weight_g": 400 }),
        about [json!({ "weight_g": 401 }), json!({ "measured_at": "2026-05-16T09:00:00Z" })],
        not note());
}

#[test]
fn the_day_of_a_whelping_is_asked_about_when_it_was_corrected() {
    let body = json!({ "dam_id": Uuid::from_u128(1) });
    let litter = |change: Value| with::<Litter>(&body, &change);
    let before = litter(json!({ "whelped_on": "2026-05-15" }));
    let asked = |change| litter(change).is_asked_about_whelping(&before);
    assert!(asked(json!({ "whelped_on": "2026-05-16" })));
    assert!(!asked(json!({ "whelped_on": "2026-05-15" })));
    assert!(!asked(json!({})), "it was taken away");
    assert!(!asked(json!({ "whelped_on": "2026-05-16", "confirmed": true })));
}
