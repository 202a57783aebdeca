use super::*;
use crate::admission::seen::places;
use serde_json::json;
use uuid::Uuid;

#[test]
fn a_reading_is_taken_in_its_heat() {
    let heat = json!({ "dog_id": Uuid::nil(), "began_on": "2026-03-01" });
    let heat: Heat = serde_json::from_value(heat).unwrap();
    let reading: HeatReading = serde_json::from_value(json!({
        "heat_id": Uuid::nil(), "kind": "progesterone", "taken_at": "2026-03-01T08:00:00Z",
        "value": 2.0, "unit": "ng_per_ml",
    }))
    .unwrap();
    let taken = |on: &str| places(reading.admit(on.parse().unwrap(), &heat));
    assert_eq!(taken("2026-02-28"), ["/taken_at"]);
    assert!(taken("2026-03-01").is_empty());
    assert!(taken("2026-03-02").is_empty());
}
