//! What a dam and a pup need, and what was fed by hand.

use crate::common::*;
use chrono::Duration;
use uuid::Uuid;

/// NRC 2006, worked by hand for 20 kg and 6 pups: 145 x 20^0.75 + 20 x (24 x 4 + 12 x 2) x L; 3171 kcal in week 1.
#[tokio::test]
async fn a_nursing_dam_by_the_published_equation() {
    let kennel = Kennel::among_others().await;
    let (litter, _) = kennel.born_litter(6, 3).await;
    let dam = kennel.get(&format!("/litters/{litter}")).await.ok()["dam_id"].clone();
    let dam: Uuid = dam.as_str().unwrap().parse().unwrap();
    kennel.weight(dam, 24, 20_000).await;
    let feeding = kennel.get(&format!("/dogs/{dam}/ration")).await.ok();
    let energy = feeding["dam"]["now"]["energy_kcal"].as_f64().unwrap();
    assert_eq!(energy.round(), 3171.0);
    assert_eq!(
        feeding["dam"]["now"]["stage"],
        json!({ "stage": "lactating", "day": 3, "pups": 6 })
    );
    assert_eq!(feeding["dam"]["weeks"].as_array().unwrap().len(), 13);
    assert!(feeding["pup"].is_null());
}

/// 130 x 20^0.75 + 26 x 20 = 1749 kcal from week 5.
#[tokio::test]
async fn a_dam_that_carries() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let mating = kennel.mating(dam, sire, 50).await;
    let litter = json!({ "dam_id": dam, "sire_id": sire, "mating_id": mating });
    kennel.post("/litters", litter).await.created();
    kennel.weight(dam, 24, 20_000).await;
    let feeding = kennel.get(&format!("/dogs/{dam}/ration")).await.ok();
    assert_eq!(feeding["dam"]["now"]["energy_kcal"].as_f64().unwrap().round(), 1749.0);
}

/// Half a pound in week 1 at 60 kcal per pound: 30 kcal, six feeds of 5 ml of 1 kcal per ml.
#[tokio::test]
async fn a_pup_by_hand_and_its_next_feed() {
    let kennel = Kennel::among_others().await;
    let litter = kennel.litter(kennel.dam("Juno").await, kennel.sire("Castor").await).await;
    let birth = kennel.birth(litter, 24 * 3, json!({ "weight_g": 227 })).await;
    let pup = birth["dog_id"].as_str().unwrap();
    let feeds = format!("/dogs/{pup}/feeds");
    let fed_at = time_ago(Duration::hours(3));
    let feed = json!({ "fed_at": fed_at, "volume_ml": 5.0, "food": "milk replacer" });
    kennel.post(&feeds, feed).await.created();
    let path = format!("/dogs/{pup}/ration?replacer_kcal_per_ml=1");
    let feeding = kennel.get(&path).await.ok();
    let ration = &feeding["pup"]["ration"];
    assert_eq!(ration["feeds_per_day"], 6);
    assert!((ration["volume_ml_per_feed"].as_f64().unwrap() - 5.0).abs() < 0.02);
    let next = &feeding["pup"]["next"];
    assert_eq!((&next["taken_24_h_ml"], &next["late_minutes"]), (&json!(5.0), &json!(0)));
    assert_eq!(feeding["weaning"]["steps"][0]["standing"], "now");
    kennel.get(&format!("/dogs/{pup}/ration?share=2")).await.refused(&["#query/share"]);
    kennel.post(&feeds, json!({ "fed_at": fed_at, "volume_ml": 0 })).await.refused(&["/volume_ml"]);
}
