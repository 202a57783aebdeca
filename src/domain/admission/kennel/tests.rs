use super::*;
use crate::{admission::seen::places, record::Role};
use serde_json::json;
use uuid::Uuid;

#[test]
fn a_membership_stays_the_persons() {
    let of = |person: u128, role| Member { person_id: Uuid::from_u128(person), role };
    assert!(places(of(1, Role::Helper).admit_change(&of(1, Role::Owner))).is_empty());
    assert_eq!(places(of(2, Role::Owner).admit_change(&of(1, Role::Owner))), ["/person_id"]);
}

#[test]
fn a_webhook_is_told_of_words_of_the_log() {
    let known = ["dog".to_owned(), "weight".to_owned()];
    let told = |events: &[&str]| {
        let body = json!({ "url": "https://kennel.example/hooks", "events": events });
        places(serde_json::from_value::<Webhook>(body).unwrap().admit(&known))
    };
    assert!(told(&[]).is_empty());
    assert!(told(&["weight", "dog.deleted"]).is_empty());
    assert_eq!(told(&["dog", "cat", "bird"]), ["/events/1"]);
    assert_eq!(told(&["dogs"]), ["/events/0"]);
}

#[test]
fn what_is_on_hand_is_named_by_the_preparation() {
    let template = PreparationTemplate::standard();
    let of = |key: &str| {
        let body = json!({ "key": key, "on_hand": 1.0 });
        places(serde_json::from_value::<Supply>(body).unwrap().admit(&template))
    };
    assert!(of(&template.supplies[0].key).is_empty());
    assert_eq!(of("moonbeams"), ["/key"]);
}
