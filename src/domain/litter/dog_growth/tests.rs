use super::*;
use crate::{
    growth::GrowthPup,
    litter::ByDog,
    record::{HealthEvent, Kept},
};
use serde_json::json;

const ROOK: Uuid = Uuid::from_u128(1);
const WREN: Uuid = Uuid::from_u128(2);

fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

fn event(dog_id: Uuid, kind: &str, given_at: &str) -> Kept<HealthEvent> {
    let body = json!({ "dog_id": dog_id, "kind": kind, "given_at": given_at });
    let (created_at, record) = (at(given_at), serde_json::from_value(body).unwrap());
    Kept { id: Uuid::nil(), version: 1, created_at, updated_at: created_at, record }
}

fn litter() -> GrowthLitter {
    let pup = GrowthPup {
        dog_id: ROOK,
        label: "Rook".into(),
        born_at: at("2026-05-01T04:00:00Z"),
        birth_weight_g: None,
        is_female: None,
        left_at: None,
        weighings: Vec::new(),
    };
    GrowthLitter {
        litter_id: Uuid::nil(),
        breed: None,
        adult_weight_g: None,
        dam_weight_g: None,
        time_zone: chrono_tz::Europe::Berlin,
        pups: vec![pup],
    }
}

#[test]
fn each_kind_is_pictured_once_a_day_of_the_kennel_and_from_the_birth_on() {
    let events = [
        event(ROOK, "examination", "2026-05-01T03:59:59Z"),
        event(ROOK, "examination", "2026-05-01T04:00:00Z"),
        event(ROOK, "worming", "2026-05-15T21:59:59Z"),
        event(WREN, "worming", "2026-05-15T08:00:00Z"),
        event(WREN, "vaccination", "2026-05-15T08:00:00Z"),
        // After midnight in Berlin.
        event(WREN, "worming", "2026-05-15T22:00:00Z"),
    ];
    let events = ByDog::group(events, |kept| kept.record.dog_id);
    let health = Health { events, ..Health::default() };
    let born_at = at("2026-05-01T04:00:00Z");
    let pictured = |dogs: &[Uuid]| -> Vec<(HealthKind, i64)> {
        let found = pictured_events(&health, dogs, born_at, &litter());
        found.iter().map(|one| (one.kind, (one.age_days * 24.0).round() as i64)).collect()
    };
    use HealthKind::{Examination, Vaccination, Worming};
    assert_eq!(pictured(&[ROOK]), [(Examination, 0), (Worming, 14 * 24 + 18)]);
    let of_both = [
        (Examination, 0),
        (Worming, 14 * 24 + 4),
        (Vaccination, 14 * 24 + 4),
        (Worming, 14 * 24 + 18),
    ];
    assert_eq!(pictured(&[ROOK, WREN]), of_both);
}

#[test]
fn a_dog_that_was_never_in_the_litter_has_no_growth_in_it() {
    let moment = Moment::by_standard_rules(at("2026-05-20T12:00:00Z"), chrono_tz::Tz::UTC);
    let until = moment.today();
    assert!(dog_growth(WREN, &litter(), &[], LinesOfDog::default(), until, &moment).is_none());
    let own = dog_growth(ROOK, &litter(), &[], LinesOfDog::default(), until, &moment).unwrap();
    assert_eq!((own.growth.dog_id, own.litter_id), (ROOK, None), "a litter of none has no id");
}
