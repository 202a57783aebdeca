//! Many observations at once, from a phone that was offline.

use crate::common::*;
use chrono::Duration;
use uuid::Uuid;

fn weight(dog: Uuid, hours_ago: i64, weight_g: i64) -> Value {
    let measured_at = time_ago(Duration::hours(hours_ago));
    json!({ "id": Uuid::now_v7(), "dog_id": dog, "measured_at": measured_at, "weight_g": weight_g })
}

fn statuses(answer: &Value) -> Vec<&str> {
    items(answer).iter().map(|row| row["status"].as_str().unwrap()).collect()
}

fn growing(pups: &[Uuid]) -> Vec<Value> {
    let grown = |day: i32| (400.0 * 1.07_f64.powi(day)).round() as i64;
    (1..=5)
        .flat_map(|day| {
            pups.iter().map(move |pup| weight(*pup, 24 * (6 - i64::from(day)), grown(day)))
        })
        .collect()
}

#[tokio::test]
async fn every_row_is_answered_in_any_order_and_any_number_of_times() {
    let kennel = Kennel::new().await;
    let (_, pups) = kennel.born_litter(3, 6).await;
    let mut rows = growing(&pups);
    rows.reverse();
    let good = rows.len();
    rows.push(weight(pups[0], 1, 6));
    rows.push(weight(pups[0], 1, 6010));
    rows.push(weight(Uuid::now_v7(), 1, 600));
    rows.push(json!({ "id": "seven" }));
    let body = json!({ "items": rows });
    let first = kennel.post("/weights/batch", body.clone()).await.ok();
    assert_eq!((&first["stored"], &first["refused"]), (&json!(good), &json!(4)));
    for (index, pointer) in [(15, "weight_g"), (16, "weight_g"), (17, "dog_id")] {
        let error = &items(&first)[index]["errors"][0];
        assert_eq!(error["pointer"], json!(format!("/items/{index}/{pointer}")), "{error}");
    }
    assert!(items(&first)[18]["id"].is_null());

    let again = kennel.post("/weights/batch", body).await.ok();
    assert_eq!((&again["stored"], &again["already_there"]), (&json!(0), &json!(good)));
    let kept = kennel.get(&format!("/dogs/{}/weights", pups[0])).await.ok();
    assert_eq!(items(&kept).len(), 6, "five and the birth weight");
}

#[tokio::test]
async fn what_was_corrected_or_deleted_stays_so_when_it_is_sent_again() {
    let kennel = Kennel::new().await;
    let (_, pups) = kennel.born_litter(2, 6).await;
    let rows = growing(&pups);
    let body = json!({ "items": rows });
    kennel.post("/weights/batch", body.clone()).await.ok();
    let path = |index: usize| {
        let row = &rows[index];
        format!("/dogs/{}/weights/{}", row["dog_id"].as_str().unwrap(), row["id"].as_str().unwrap())
    };
    kennel.change(&path(0), json!({ "weight_g": 430 })).await.ok();
    kennel.remove(&path(1)).await.no_content();
    let again = kennel.post("/weights/batch", body).await.ok();
    assert_eq!(again["already_there"], json!(rows.len()));
    assert_eq!(kennel.get(&path(0)).await.ok()["weight_g"], 430);
    kennel.get(&path(1)).await.problem(404);
    // Another weight under an id that is taken is no repeat.
    let mut other = rows[2].clone();
    other["weight_g"] = json!(433);
    let answer = kennel.post("/weights/batch", json!({ "items": [other] })).await.ok();
    assert_eq!(statuses(&answer), ["refused"]);
}

#[tokio::test]
async fn the_same_batch_from_two_phones_at_once_is_stored_once() {
    let kennel = Kennel::new().await;
    let (_, pups) = kennel.born_litter(3, 6).await;
    let body = json!({ "items": growing(&pups) });
    let send = || kennel.post("/weights/batch", body.clone());
    let answers = tokio::join!(send(), send(), send());
    let stored = |answer: Answer| answer.ok()["stored"].as_u64().unwrap();
    assert_eq!(stored(answers.0) + stored(answers.1) + stored(answers.2), 15);
    for pup in pups {
        assert_eq!(items(&kennel.get(&format!("/dogs/{pup}/weights")).await.ok()).len(), 6);
    }
}

#[tokio::test]
async fn a_clock_that_is_off_is_told_and_its_times_are_moved_on_demand() {
    let kennel = Kennel::new().await;
    let dog = kennel.dog("Wren", json!({ "born_on": days_ago(800) })).await;
    // The clock runs three hours ahead: what was weighed now is dated three hours from now.
    let row = weight(dog, -3, 24_000);
    let sent_at = time_ago(Duration::hours(-3));
    let answer =
        kennel.post("/weights/batch", json!({ "sent_at": sent_at, "items": [row] })).await.ok();
    assert_eq!(statuses(&answer), ["refused"]);
    assert_eq!(answer["clock"]["off"], true);
    let ahead = answer["clock"]["ahead_seconds"].as_i64().unwrap();
    assert!((10_700..=10_800).contains(&ahead), "{ahead}");
    let moved = json!({ "sent_at": sent_at, "shift_times": true, "items": [row] });
    for status in ["stored", "already_there"] {
        let answer = kennel.post("/weights/batch", moved.clone()).await.ok();
        assert_eq!(statuses(&answer), [status], "{answer}");
        assert_eq!(answer["clock"]["shifted"], true);
    }
    // Without the time of sending, times to come give it away.
    let answer =
        kennel.post("/weights/batch", json!({ "items": [weight(dog, -5, 24_000)] })).await.ok();
    assert_eq!((&answer["clock"]["off"], &answer["refused"]), (&json!(true), &json!(1)));
}

#[tokio::test]
async fn a_night_offline_comes_in_whole() {
    let kennel = Kennel::new().await;
    let litter = kennel.litter(kennel.dam("Juno").await, kennel.sire("Castor").await).await;
    let pup = Uuid::now_v7();
    let at = |minutes| time_ago(Duration::minutes(minutes));
    let row = |kind: &str, subject: Uuid, record: Value| json!({ "id": Uuid::now_v7(), "kind": kind, "subject_id": subject, "record": record });
    let dam = kennel.get(&format!("/litters/{litter}")).await.ok()["dam_id"].clone();
    let dam: Uuid = dam.as_str().unwrap().parse().unwrap();
    let rows = json!([
        row("feed", pup, json!({ "fed_at": at(10), "volume_ml": 4.5 })),
        row("weight", pup, json!({ "measured_at": at(20), "weight_g": 413 })),
        row(
            "birth",
            litter,
            json!({ "born_at": at(60), "outcome": "alive", "dog_id": pup, "weight_g": 412 })
        ),
        row("birth", litter, json!({ "born_at": at(90), "outcome": "stillborn" })),
        row(
            "whelping_line",
            litter,
            json!({ "at": at(120), "event": { "kind": "contractions", "strength": "strong" } })
        ),
        row("temperature", dam, json!({ "measured_at": at(300), "temperature_c": 36.8 })),
        row(
            "dam_check",
            litter,
            json!({ "checked_at": at(5), "temperature_c": 39.0, "glands": "normal" })
        ),
        row("health_event", dam, json!({ "kind": "examination", "given_at": at(5) })),
        row("weight", pup, json!({ "measured_at": at(2), "weight_g": 413, "colour": "red" })),
        row("riddle", pup, json!({})),
    ]);
    let body = json!({ "items": rows });
    let first = kennel.post("/observations/batch", body.clone()).await.ok();
    assert_eq!((&first["stored"], &first["refused"]), (&json!(8), &json!(2)), "{first}");
    assert_eq!(items(&first)[8]["errors"][0]["pointer"], "/items/8/record/colour");
    assert_eq!(items(&first)[9]["errors"][0]["pointer"], "/items/9/kind");
    let again = kennel.post("/observations/batch", body).await.ok();
    assert_eq!(again["already_there"], 8, "{again}");
    let births = kennel.get(&format!("/litters/{litter}/births")).await.ok();
    let mut told: Vec<_> = items(&births)
        .iter()
        .map(|birth| (birth["ordinal"].as_i64().unwrap(), birth["outcome"].as_str().unwrap()))
        .collect();
    told.sort_unstable();
    assert_eq!(told, [(1, "stillborn"), (2, "alive")], "as they came, not as they were sent");
}

#[tokio::test]
async fn ten_thousand_rows_at_once_and_not_one_more() {
    let kennel = Kennel::new().await;
    let dog = kennel.dog("Wren", json!({ "born_on": days_ago(2000) })).await;
    let rows: Vec<Value> = (0..10_000).map(|n| weight(dog, 1 + n / 10, 24_000 + n % 10)).collect();
    let mut body = json!({ "items": rows });
    let answer = kennel.post("/weights/batch", body.clone()).await.ok();
    assert_eq!(answer["stored"], 10_000);
    body["items"].as_array_mut().unwrap().push(weight(dog, 1, 24_000));
    kennel.post("/weights/batch", body).await.refused(&["/items"]);
    kennel.post("/weights/batch", json!({ "items": [] })).await.refused(&["/items"]);
    kennel.viewer().await.post("/weights/batch", json!({ "items": [] })).await.problem(403);
}

/// A row of any form is answered, and the answer is kept for repeats.
#[tokio::test]
async fn a_row_that_is_no_row_spoils_nothing() {
    let kennel = Kennel::new().await;
    let dog = kennel.dam("Juno").await;
    let good = json!({ "id": Uuid::now_v7(), "dog_id": dog, "measured_at": time_ago(chrono::Duration::hours(1)), "weight_g": 24_000 });
    let body = json!({ "items": [{ "\0": "\0", "weight_g": ["\0"] }, good] });
    let first = kennel.owner().post_once("/weights/batch", "night", &body).await.ok();
    assert_eq!((&first["stored"], &first["refused"]), (&json!(1), &json!(1)));
    assert_eq!(kennel.owner().post_once("/weights/batch", "night", &body).await.ok(), first);
    kennel.post("/weights/batch", json!({ "items": [7, good] })).await.refused(&["/items/0"]);
}
