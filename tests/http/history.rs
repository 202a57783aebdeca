//! The history of a row, and rows that come back from it.

use crate::common::*;

async fn history(caller: &Caller, row: impl std::fmt::Display) -> Vec<Value> {
    items(&caller.get(&format!("/changes?row_id={row}")).await.ok()).to_vec()
}

async fn restore(caller: &Caller, change: &Value, version: Value) -> Answer {
    let path = format!("/changes/{}/restore", change["sequence"]);
    caller.post(&path, json!({ "version": version })).await
}

#[tokio::test]
async fn a_row_has_its_history() {
    let kennel = Kennel::among_others().await;
    let (juno, freya) = (kennel.dam("Juno").await, kennel.dam("Freya").await);
    kennel.change(&format!("/dogs/{juno}"), json!({ "colour": "black" })).await.ok();
    kennel.change(&format!("/dogs/{freya}"), json!({ "colour": "fox" })).await.ok();
    let of_juno = history(&kennel, juno).await;
    let actions: Vec<_> = of_juno.iter().map(|c| c["action"].as_str().unwrap()).collect();
    assert_eq!(actions, ["created", "changed"]);
    kennel.weight(juno, 1, 27_000).await;
    let weights = kennel.get("/changes?record=weight").await.ok();
    assert_eq!(items(&weights).len(), 1);
    assert!(items(&kennel.get("/changes?record=buyer").await.ok()).is_empty());
    kennel.get("/changes?row_id=x").await.problem(400);
    // A co-owner's history ends at their dogs.
    let co_owner = kennel.co_owner(&[juno]).await;
    assert_eq!(history(&co_owner, juno).await.len(), 2);
    assert!(history(&co_owner, freya).await.is_empty());
}

#[tokio::test]
async fn a_wrong_change_is_taken_back() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let path = format!("/dogs/{juno}");
    kennel.change(&path, json!({ "name": "Wrong", "colour": "pink" })).await.ok();
    let first = history(&kennel, juno).await[0].clone();
    // From the version that one has seen.
    restore(&kennel, &first, json!(1)).await.problem(412);
    restore(&kennel, &first, Value::Null).await.problem(412);
    let restored = restore(&kennel, &first, json!(2)).await.ok();
    assert_eq!((&restored["record"], &restored["version"]), (&json!("dog"), &json!(3)));
    assert_eq!(restored["row"]["name"], "Juno");
    let now = kennel.get(&path).await.ok();
    assert_eq!(
        (&now["name"], &now["colour"], &now["version"]),
        (&json!("Juno"), &Value::Null, &json!(3))
    );
    let last = history(&kennel, juno).await.pop().unwrap();
    assert_eq!(
        (&last["action"], &last["person_id"]),
        (&json!("changed"), &json!(kennel.person_id))
    );
}

#[tokio::test]
async fn a_deleted_row_comes_back_as_it_was() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let weight = kennel.weight(juno, 1, 27_000).await;
    let path = format!("/dogs/{juno}/weights/{weight}");
    kennel.change(&path, json!({ "note": "after supper" })).await.ok();
    let before = kennel.get(&path).await.ok();
    kennel.remove(&path).await.no_content();
    let deleted = history(&kennel, weight).await.pop().unwrap();
    for other in [kennel.helper().await, kennel.viewer().await, kennel.co_owner(&[juno]).await] {
        restore(&other, &deleted, Value::Null).await.problem(403);
    }
    restore(kennel.another().await.owner(), &deleted, Value::Null).await.problem(404);
    restore(&kennel, &deleted, json!(2)).await.problem(412);
    restore(&kennel, &deleted, Value::Null).await.ok();
    let after = kennel.get(&path).await.ok();
    for field in ["id", "weight_g", "measured_at", "note", "dog_id"] {
        assert_eq!(after[field], before[field], "{field}");
    }
    // Its versions go on: who has seen the first one does not overwrite this one.
    assert_eq!(after["version"], 3);
    kennel.patch(&path, "\"1\"", json!({ "note": "stale" })).await.problem(412);
    restore(&kennel, &deleted, Value::Null).await.problem(412);
    // A new row begins at one again.
    assert_eq!(
        kennel.get(&format!("/dogs/{}", kennel.dam("Freya").await)).await.ok()["version"],
        1
    );
}

#[tokio::test]
async fn what_no_longer_fits_does_not_come_back() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dog("Juno", json!({ "chip_number": "276098106512345" })).await;
    kennel.remove(&format!("/dogs/{juno}")).await.no_content();
    let deleted = history(&kennel, juno).await.pop().unwrap();
    kennel.dog("Freya", json!({ "chip_number": "276098106512345" })).await;
    let detail = restore(&kennel, &deleted, Value::Null).await.problem(409)["detail"].to_string();
    assert!(detail.contains("chip_number"), "{detail}");

    // By whichever of its changes, a deleted row comes back with what went with it.
    let (_, pups) = kennel.born_litter(1, 20).await;
    let births = kennel.get("/changes?record=birth").await.ok();
    let birth = items(&births)[0].clone();
    let litter = birth["after"]["litter_id"].as_str().unwrap().to_owned();
    let birth_path = format!("/litters/{litter}/births/{}", birth["row_id"].as_str().unwrap());
    kennel.remove(&birth_path).await.no_content();
    restore(&kennel, &birth, Value::Null).await.ok();
    assert_eq!(kennel.get(&birth_path).await.ok()["dog_id"], json!(pups[0]));
    let weights = kennel.get(&format!("/dogs/{}/weights", pups[0])).await.ok();
    assert_eq!(items(&weights)[0]["weight_g"], 400);

    // People and secrets do not come back at all.
    let helper = kennel.helper().await;
    let members = kennel.get("/members").await.ok();
    let membership = items(&members).iter().find(|m| m["person_id"] == json!(helper.person_id));
    let membership = id(membership.unwrap());
    kennel.remove(&format!("/members/{membership}")).await.no_content();
    let left = history(&kennel, membership).await.pop().unwrap();
    restore(&kennel, &left, Value::Null).await.problem(409);
    kennel.post("/changes/999999/restore", json!({})).await.problem(404);
}

#[tokio::test]
async fn the_kennel_itself_goes_back() {
    let kennel = Kennel::among_others().await;
    let right = json!({ "vet_phone": "+49 30 1234567", "collars": ["red", "green"] });
    kennel.change("", right.clone()).await.ok();
    let wrong = json!({ "name": "Wrong", "vet_phone": null, "collars": [], "currency": "SEK" });
    kennel.change("", wrong).await.ok();
    let second = history(&kennel, kennel.kennel_id).await[1].clone();
    restore(&kennel, &second, json!(3)).await.ok();
    let now = kennel.get("").await.ok();
    assert_eq!(now["name"], "Thornwick Kennel");
    assert_eq!((&now["currency"], &now["collars"]), (&json!("EUR"), &right["collars"]));
    assert_eq!(now["vet_phone"], right["vet_phone"]);
}
