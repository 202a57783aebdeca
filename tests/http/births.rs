//! The night: births one after another, and several phones at once.

use crate::common::*;
use chrono::Duration;

#[tokio::test]
async fn a_birth_makes_the_pup_and_its_first_weight() {
    let kennel = Kennel::among_others().await;
    let (juno, castor) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let litter = kennel.litter(juno, castor).await;
    let fields = json!({ "sex": "male", "colour": "fox", "collar": "green", "weight_g": 412, "name": "Fern" });
    let birth = kennel.birth(litter, 5, fields).await;
    assert_eq!((&birth["ordinal"], &birth["collar"]), (&json!(1), &json!("green")));

    let pup = format!("/dogs/{}", birth["dog_id"].as_str().unwrap());
    let dog = kennel.get(&pup).await.ok();
    for (field, value) in [
        ("sex", json!("male")),
        ("colour", json!("fox")),
        ("name", json!("Fern")),
        ("sire_id", json!(castor)),
        ("dam_id", json!(juno)),
        ("breed", json!("Labrador Retriever")),
        ("residence", json!("here")),
    ] {
        assert_eq!(dog[field], value, "{field}");
    }
    let weights = kennel.get(&format!("{pup}/weights")).await.ok();
    assert_eq!(items(&weights).len(), 1);
    assert_eq!(items(&weights)[0]["weight_g"], 412);
    assert_eq!(items(&weights)[0]["measured_at"], birth["born_at"]);
    assert!(kennel.get(&format!("/litters/{litter}")).await.ok()["whelped_on"].is_string());

    // Corrected in the morning: the pup and its weight go along.
    let path = format!("/litters/{litter}/births/{}", id(&birth));
    kennel.change(&path, json!({ "sex": "female", "weight_g": 421 })).await.ok();
    assert_eq!(kennel.get(&pup).await.ok()["sex"], "female");
    assert_eq!(items(&kennel.get(&format!("{pup}/weights")).await.ok())[0]["weight_g"], 421);
    kennel.change(&path, json!({ "ordinal": 7 })).await.refused(&[""]);

    // Recorded by mistake: all of it goes.
    kennel.remove(&path).await.no_content();
    kennel.get(&pup).await.problem(404);
}

#[tokio::test]
async fn days_are_counted_on_the_kennels_calendar() {
    let kennel = Kennel::among_others().await;
    kennel.change("", json!({ "time_zone": "Europe/Berlin" })).await.ok();
    let litter = kennel.litter(kennel.dam("Juno").await, kennel.sire("Castor").await).await;
    // 23:30 UTC in winter is half past midnight in Berlin.
    let birth = kennel.birth(litter, 0, json!({ "born_at": "2026-01-10T23:30:00Z" })).await;
    let pup = kennel.get(&format!("/dogs/{}", birth["dog_id"].as_str().unwrap())).await.ok();
    assert_eq!(pup["born_on"], "2026-01-11");
    assert_eq!(kennel.get(&format!("/litters/{litter}")).await.ok()["whelped_on"], "2026-01-11");
}

/// Several phones in the whelping room: each pup has an ordinal of its own, without a gap.
#[tokio::test]
async fn twenty_births_at_once_are_twenty_pups() {
    let kennel = Kennel::among_others().await;
    let litter = kennel.litter(kennel.dam("Juno").await, kennel.sire("Castor").await).await;
    let helper = kennel.helper().await;
    let births = (0..20).map(|number| {
        let helper = helper.clone();
        tokio::spawn(async move {
            let body = json!({
                "born_at": time_ago(Duration::minutes(number)), "outcome": "alive", "weight_g": 380 + number,
            });
            helper.post(&format!("/litters/{litter}/births"), body).await.created()
        })
    });
    let mut ordinals = Vec::new();
    for birth in births.collect::<Vec<_>>() {
        ordinals.push(birth.await.unwrap()["ordinal"].as_i64().unwrap());
    }
    ordinals.sort_unstable();
    assert_eq!(ordinals, (1..=20).collect::<Vec<_>>());
    let pups = kennel.get("/dogs?sex=female").await.ok();
    assert_eq!(items(&pups).len(), 1, "the pups' sex is not known: {pups}");
    assert_eq!(items(&kennel.get(&format!("/litters/{litter}/births")).await.ok()).len(), 20);
    assert_eq!(items(&kennel.get("/dogs").await.ok()).len(), 22);
}

#[tokio::test]
async fn births_that_cannot_be_are_refused() {
    let kennel = Kennel::among_others().await;
    let (juno, castor) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let mating = kennel.mating(juno, castor, 62).await;
    let litter = json!({ "dam_id": juno, "sire_id": castor, "mating_id": mating });
    let litter = kennel.post("/litters", litter).await.id();
    let births = format!("/litters/{litter}/births");
    let born = |hours: i64| time_ago(Duration::hours(hours));
    let birth = |born_at: String, weight_g: i64| json!({ "born_at": born_at, "outcome": "alive", "weight_g": weight_g });
    kennel.post(&births, birth(born(24 * 70), 400)).await.refused(&["/born_at"]);
    kennel.post(&births, birth(born(-5), 400)).await.refused(&["/born_at"]);
    kennel.post(&births, birth(born(1), 5)).await.refused(&["/weight_g"]);
    kennel.post(&births, birth("last night".to_owned(), 400)).await.refused(&["/born_at"]);
    kennel.post(&births, json!({ "outcome": "sleeping" })).await.refused(&["/born_at", "/outcome"]);
    // The dam of a toy breed: the pup cannot weigh more than she does.
    kennel.change(&format!("/dogs/{juno}"), json!({ "adult_weight_g": 1500 })).await.ok();
    kennel.post(&births, birth(born(1), 1500)).await.refused(&["/weight_g"]);
    assert!(items(&kennel.get(&births).await.ok()).is_empty());

    kennel.post(&births, json!({ "born_at": born(1), "outcome": "stillborn" })).await.created();
    let stillborn = kennel.get(&format!("{births}?outcome=stillborn")).await.ok();
    assert_eq!(items(&stillborn).len(), 1);
    let other = kennel.litter(juno, castor).await;
    let misplaced = format!("/litters/{other}/births/{}", ids(&stillborn)[0]);
    kennel.get(&misplaced).await.problem(404);
}

#[tokio::test]
async fn a_litter_has_an_end() {
    let kennel = Kennel::among_others().await;
    let litter = kennel.litter(kennel.dam("Juno").await, kennel.sire("Castor").await).await;
    for _ in 0..30 {
        kennel.birth(litter, 3, json!({})).await;
    }
    let birth = json!({ "born_at": time_ago(Duration::hours(1)), "outcome": "alive" });
    kennel.post(&format!("/litters/{litter}/births"), birth).await.problem(409);
}

#[tokio::test]
async fn a_birth_with_a_placed_pup_stays() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(1, 20).await;
    let buyer = kennel.buyer("Ottilie").await;
    kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.created();
    let birth = ids(&kennel.get(&format!("/litters/{litter}/births")).await.ok())[0];
    kennel.remove(&format!("/litters/{litter}/births/{birth}")).await.problem(409);
    // Nothing of it is half gone.
    assert_eq!(items(&kennel.get(&format!("/dogs/{}/weights", pups[0])).await.ok()).len(), 1);
}

/// The weight at birth is one row, shown by the birth and by the list of weights.
#[tokio::test]
async fn a_birth_weight_has_one_home() {
    let kennel = Kennel::among_others().await;
    let litter = kennel.litter(kennel.dam("Juno").await, kennel.sire("Castor").await).await;
    let birth = kennel.birth(litter, 5, json!({ "weight_g": 412 })).await;
    let path = format!("/litters/{litter}/births/{}", id(&birth));
    let weights = format!("/dogs/{}/weights", birth["dog_id"].as_str().unwrap());
    let rows = kennel.get(&weights).await.ok();
    let row = items(&rows)[0].clone();
    assert_eq!((items(&rows).len(), &row["at_birth"]), (1, &json!(true)));
    let weight = format!("{weights}/{}", id(&row));
    let both = async || {
        let birth = kennel.get(&path).await.ok()["weight_g"].clone();
        let rows = kennel.get(&weights).await.ok();
        let shown: Vec<Value> = items(&rows).iter().map(|row| row["weight_g"].clone()).collect();
        (birth, shown)
    };

    // Corrected in either place it is the same.
    kennel.change(&weight, json!({ "weight_g": 421 })).await.ok();
    assert_eq!(both().await, (json!(421), vec![json!(421)]));
    kennel.change(&path, json!({ "weight_g": 431 })).await.ok();
    assert_eq!(both().await, (json!(431), vec![json!(431)]));
    let growth = kennel.get(&format!("/litters/{litter}/growth")).await.ok();
    assert_eq!(growth["pups"][0]["birth_weight_g"], 431.0);
    assert_eq!(growth["pups"][0]["days"].as_array().unwrap().len(), 1, "one weighing, not two");

    // The time of a birth is the birth's to correct; its weight goes along.
    let later = time_ago(Duration::hours(4));
    kennel.change(&weight, json!({ "measured_at": later })).await.refused(&["/measured_at"]);
    kennel.change(&path, json!({ "born_at": later })).await.ok();
    assert_eq!(kennel.get(&weight).await.ok()["measured_at"], json!(later));
    let another = json!({ "measured_at": later, "weight_g": 440, "at_birth": true });
    kennel.post(&weights, another.clone()).await.problem(409);
    kennel.change(&weight, json!({ "weight_g": 2001 })).await.refused(&["/weight_g"]);

    // Deleted in either place it is gone in both, and comes back as the log remembers it.
    let logged = async |action: &str| {
        let log = kennel.get("/changes?record=weight&limit=100").await.ok();
        let of_row = |line: &&Value| line["row_id"] == row["id"] && line["action"] == action;
        items(&log).iter().rfind(of_row).unwrap()["sequence"].as_i64().unwrap()
    };
    kennel.remove(&weight).await.no_content();
    assert_eq!(both().await, (Value::Null, vec![]));
    let restore = format!("/changes/{}/restore", logged("deleted").await);
    kennel.post(&restore, json!({ "version": null })).await.ok();
    assert_eq!(both().await, (json!(431), vec![json!(431)]));
    kennel.change(&path, json!({ "weight_g": null })).await.ok();
    assert_eq!(both().await, (Value::Null, vec![]));
    kennel.post(&weights, another).await.created();
    assert_eq!(both().await, (json!(440), vec![json!(440)]));
    // A dog that was not born here has none.
    let outside = kennel.dog("Otter", json!({})).await;
    let weight = json!({ "measured_at": later, "weight_g": 440, "at_birth": true });
    kennel.post(&format!("/dogs/{outside}/weights"), weight).await.refused(&["/at_birth"]);
}
