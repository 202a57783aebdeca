//! Likely slips are asked about before they count, and kept when they were meant.

use crate::common::*;
use chrono::Duration;

/// Refused at `pointer`, kept with `confirmed`, and not asked about again when something else changes.
async fn asked_and_kept(kennel: &Kennel, path: &str, body: Value, pointer: &str) -> Value {
    kennel.post(path, body.clone()).await.refused(&[pointer]);
    let mut confirmed = body;
    confirmed["confirmed"] = json!(true);
    let kept = kennel.post(path, confirmed).await.created();
    assert_eq!(kept["confirmed"], json!(true));
    let row = format!("{path}/{}", id(&kept));
    kennel.change(&row, json!({ "note": "looked at twice" })).await.ok()
}

#[tokio::test]
async fn a_feed_above_what_the_stomach_holds() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(1, 3).await;
    // 400 g at birth: 4 ml per 100 g are 16 ml.
    let path = format!("/dogs/{}/feeds", pups[0]);
    let feed = |ml: f64| json!({ "fed_at": time_ago(Duration::hours(1)), "volume_ml": ml });
    kennel.post(&path, feed(16.0)).await.created();
    asked_and_kept(&kennel, &path, feed(16.1), "/volume_ml").await;
    kennel.post(&path, feed(160.0)).await.refused(&["/volume_ml"]);
    // A phone that was offline is asked as well, row by row.
    let row = |ml: f64| {
        json!({ "id": Uuid::now_v7(), "kind": "feed", "subject_id": pups[0],
                "record": { "fed_at": time_ago(Duration::hours(2)), "volume_ml": ml } })
    };
    let batch = json!({ "items": [row(12.0), row(160.0)] });
    let answer = kennel.post("/observations/batch", batch).await.ok();
    let states: Vec<&str> = answer["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| row["status"].as_str().unwrap())
        .collect();
    assert_eq!(states, ["stored", "refused"]);
}

#[tokio::test]
async fn a_heat_days_after_another_one() {
    let kennel = Kennel::among_others().await;
    let (juno, wren) = (kennel.dam("Juno").await, kennel.dam("Wren").await);
    kennel.heat(juno, 100).await;
    let heat = |dog, ago| json!({ "dog_id": dog, "began_on": days_ago(ago) });
    kennel.post("/heats", heat(juno, 90)).await.refused(&["/began_on"]);
    kennel.post("/heats", heat(juno, 11)).await.refused(&["/began_on"]);
    kennel.post("/heats", heat(wren, 90)).await.created();
    kennel.post("/heats", heat(juno, 10)).await.created();
    asked_and_kept(&kennel, "/heats", heat(juno, 5), "/began_on").await;
    // A heat moved by a day is not held against itself.
    let moved = kennel.post("/heats", heat(juno, 400)).await.id();
    kennel.change(&format!("/heats/{moved}"), json!({ "began_on": days_ago(399) })).await.ok();
}

#[tokio::test]
async fn progesterone_out_of_range_or_falling() {
    let kennel = Kennel::among_others().await;
    let dam = kennel.dam("Juno").await;
    let heat = kennel.heat(dam, 14).await;
    let path = format!("/heats/{heat}/readings");
    let reading = |days: i64, value: f64, unit: &str| json!({ "kind": "progesterone", "taken_at": time_ago(Duration::days(days)), "value": value, "unit": unit });
    kennel.post(&path, reading(4, 6.0, "ng_per_ml")).await.created();
    kennel.post(&path, reading(3, 300.0, "ng_per_ml")).await.refused(&["/value"]);
    kennel.post(&path, reading(3, 30.0, "nmol_per_l")).await.created();
    asked_and_kept(&kennel, &path, reading(2, 1.0, "ng_per_ml"), "/value").await;
}

#[tokio::test]
async fn a_day_of_whelping_beside_the_births() {
    let kennel = Kennel::among_others().await;
    let (litter, _) = kennel.born_litter(2, 10).await;
    let path = format!("/litters/{litter}");
    kennel.change(&path, json!({ "whelped_on": days_ago(11) })).await.refused(&["/whelped_on"]);
    let kept = json!({ "whelped_on": days_ago(11), "confirmed": true });
    assert_eq!(kennel.change(&path, kept).await.ok()["whelped_on"], json!(days_ago(11)));
    // Another birth a week later belongs to another litter, or another day.
    let late = json!({ "born_at": time_ago(Duration::days(3)), "outcome": "alive" });
    kennel.post(&format!("{path}/births"), late).await.refused(&["/born_at"]);
}

#[tokio::test]
async fn products_past_their_expiry_and_unknown_papers() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(1, 50).await;
    let dose = |expires: i64| {
        json!({ "dog_id": pups[0], "kind": "worming", "given_at": time_ago(Duration::days(1)),
                "product": "wormer paste", "expires_on": days_ago(expires) })
    };
    kennel.post("/health-events", dose(1)).await.created();
    kennel.post("/health-events", dose(0)).await.created();
    asked_and_kept(&kennel, "/health-events", dose(2), "/expires_on").await;
    let path = format!("/dogs/{}/papers", pups[0]);
    let paper = |name: &str| json!({ "paper": name, "done_on": days_ago(1) });
    let known = kennel.post(&path, paper("a_paper_of_nobody")).await.problem(422);
    let told = known["errors"][0]["detail"].as_str().unwrap();
    let name = told.split('(').nth(1).unwrap().split([',', ')']).next().unwrap().to_owned();
    kennel.post(&path, paper(&name)).await.created();
    asked_and_kept(&kennel, &path, paper("letter_of_the_breeder"), "/paper").await;
}

#[tokio::test]
async fn nothing_stands_twice_in_a_list() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(2, 20).await;
    let dose = json!({ "dog_ids": [pups[0], pups[1], pups[0]], "kind": "worming", "given_at": time_ago(Duration::hours(1)) });
    kennel.post("/health-events", dose).await.refused(&["/dog_ids/2"]);
    assert!(items(&kennel.get("/health-events").await.ok()).is_empty(), "all or nothing");
    let (juno, castor) = (kennel.dam("Juno II").await, kennel.sire("Castor II").await);
    let tie = json!({ "happened_at": time_ago(Duration::days(2)) });
    let mating = json!({ "dam_id": juno, "sire_id": castor, "status": "done", "method": "natural", "ties": [tie, tie] });
    kennel.post("/matings", mating).await.refused(&["/ties/1/happened_at"]);
}

/// The same pup, sent twice by one person or by two, is one pup.
#[tokio::test]
async fn one_pup_written_down_twice() {
    let kennel = Kennel::among_others().await;
    let litter = kennel.litter(kennel.dam("Juno").await, kennel.sire("Castor").await).await;
    let path = format!("/litters/{litter}/births");
    let pup = |minutes: i64, fields: Value| {
        let mut body =
            json!({ "born_at": time_ago(Duration::minutes(60 - minutes)), "outcome": "alive" });
        for (key, value) in fields.as_object().unwrap() {
            body[key] = value.clone();
        }
        body
    };
    kennel
        .post(&path, pup(0, json!({ "sex": "male", "weight_g": 402, "collar": "red" })))
        .await
        .created();
    kennel.post(&path, pup(2, json!({ "sex": "male", "weight_g": 402 }))).await.problem(409);
    kennel.post(&path, pup(2, json!({ "collar": "red" }))).await.problem(409);
    kennel.post(&path, pup(2, json!({ "sex": "male", "weight_g": 403 }))).await.created();
    // Told apart on purpose.
    kennel
        .post(&path, pup(2, json!({ "sex": "male", "weight_g": 402, "ordinal": 3 })))
        .await
        .created();
    assert_eq!(items(&kennel.get(&path).await.ok()).len(), 3);
}

#[tokio::test]
async fn a_collar_is_worn_by_one_living_pup() {
    let kennel = Kennel::among_others().await;
    let litter = kennel.litter(kennel.dam("Juno").await, kennel.sire("Castor").await).await;
    let red = kennel.birth(litter, 5, json!({ "collar": "red" })).await;
    let path = format!("/litters/{litter}/births");
    let body = |collar: &str, outcome: &str| json!({ "born_at": time_ago(Duration::hours(3)), "outcome": outcome, "collar": collar });
    kennel.post(&path, body(" Red", "alive")).await.problem(409);
    kennel.post(&path, body("red", "stillborn")).await.created();
    let blue = kennel.post(&path, body("blue", "alive")).await.created();
    let blue = format!("{path}/{}", id(&blue));
    kennel.change(&blue, json!({ "collar": "red" })).await.problem(409);
    kennel.change(&blue, json!({ "note": "quiet" })).await.ok();
    // Another litter has a red collar of its own.
    let other = kennel.litter(kennel.dam("Wren").await, kennel.sire("Orion").await).await;
    kennel.birth(other, 5, json!({ "collar": "red" })).await;
    let died = json!({ "died_on": days_ago(0) });
    kennel.change(&format!("/dogs/{}", red["dog_id"].as_str().unwrap()), died).await.ok();
    kennel.change(&blue, json!({ "collar": "red" })).await.ok();
}
