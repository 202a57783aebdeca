//! Many observations at once, from a phone that was offline.

use crate::common::*;
use chrono::Duration;
use std::collections::BTreeSet;
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
    let kennel = Kennel::among_others().await;
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

/// All are written while they are judged; of those that are not kept nothing is left, in the log neither.
#[tokio::test]
async fn of_rows_that_are_not_kept_nothing_is_left() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(3, 6).await;
    let mut rows = growing(&pups);
    let good: BTreeSet<String> = rows.iter().map(|row| row["id"].to_string()).collect();
    let mut doubtful = weight(pups[0], 1, 6010);
    let mut known = rows[4].clone();
    known["id"] = json!(Uuid::now_v7());
    rows.insert(7, doubtful.clone());
    rows.push(known.clone());
    let start = kennel.get("/changes").await.ok()["newest_sequence"].as_i64().unwrap();
    let answer = kennel.post("/weights/batch", json!({ "items": rows })).await.ok();
    let told = ["stored", "refused", "already_there"].map(|status| answer[status].clone());
    assert_eq!(told, [json!(15), json!(1), json!(1)], "{answer}");
    assert_eq!(statuses(&answer)[7], "refused");

    let log = kennel.get(&format!("/changes?after={start}")).await.ok();
    let logged: Vec<i64> = items(&log).iter().map(|it| it["sequence"].as_i64().unwrap()).collect();
    assert_eq!(logged, (start + 1..=start + 15).collect::<Vec<_>>());
    let ids: BTreeSet<String> = items(&log).iter().map(|it| it["row_id"].to_string()).collect();
    assert_eq!(ids, good);
    for row in [&doubtful, &known] {
        let id = row["id"].as_str().unwrap();
        let dog = row["dog_id"].as_str().unwrap();
        kennel.get(&format!("/dogs/{dog}/weights/{id}")).await.problem(404);
    }
    // Under the same id, since it was not written.
    doubtful["confirmed"] = json!(true);
    let answer = kennel.post("/weights/batch", json!({ "items": [doubtful] })).await.ok();
    assert_eq!(statuses(&answer), ["stored"], "{answer}");
}

#[tokio::test]
async fn what_was_corrected_or_deleted_stays_so_when_it_is_sent_again() {
    let kennel = Kennel::among_others().await;
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
    let kennel = Kennel::among_others().await;
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
    let kennel = Kennel::among_others().await;
    let dog = kennel.dog("Wren", json!({ "born_on": days_ago(800) })).await;
    // The clock runs three hours ahead: what was weighed now is dated three hours from now.
    let row = weight(dog, -3, 24_000);
    let sent_at = time_ago(Duration::hours(-3));
    let answer =
        kennel.post("/weights/batch", json!({ "sent_at": sent_at, "items": [row] })).await.ok();
    assert_eq!(statuses(&answer), ["refused"]);
    assert_eq!(answer["clock"]["beyond_tolerance"], true);
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
    assert_eq!(
        (&answer["clock"]["beyond_tolerance"], &answer["refused"]),
        (&json!(true), &json!(1))
    );
}

#[tokio::test]
async fn a_night_offline_comes_in_whole() {
    let kennel = Kennel::among_others().await;
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
            json!({ "happened_at": at(120), "event": { "kind": "contractions", "strength": "strong" } })
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
    let kennel = Kennel::among_others().await;
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
    let kennel = Kennel::among_others().await;
    let dog = kennel.dam("Juno").await;
    let good = json!({ "id": Uuid::now_v7(), "dog_id": dog, "measured_at": time_ago(chrono::Duration::hours(1)), "weight_g": 24_000 });
    let body = json!({ "items": [{ "\0": "\0", "weight_g": ["\0"] }, good] });
    let first = kennel.owner().post_once("/weights/batch", "night", &body).await.ok();
    assert_eq!((&first["stored"], &first["refused"]), (&json!(1), &json!(1)));
    assert_eq!(kennel.owner().post_once("/weights/batch", "night", &body).await.ok(), first);
    kennel.post("/weights/batch", json!({ "items": [7, good] })).await.refused(&["/items/0"]);
}

/// Readings of a heat, matings and the checks of pregnancies, kept on a phone and sent together.
#[tokio::test]
async fn what_a_dam_was_seen_and_done_with_offline_is_stored_at_once() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let heat = kennel.heat(dam, 45).await;
    let (mating, check, reading) = (Uuid::now_v7(), Uuid::now_v7(), Uuid::now_v7());
    let rows = json!([
        { "id": check, "kind": "pregnancy_check", "subject_id": mating, "record": {
            "checked_at": time_ago(Duration::days(3)), "method": "ultrasound", "result": "pregnant",
            "measures": [{ "kind": "inner_chorionic_cavity", "value_mm": 21.5 }] } },
        { "id": mating, "kind": "mating", "subject_id": dam, "record": {
            "sire_id": sire, "heat_id": heat, "status": "done",
            "ties": [{ "happened_at": time_ago(Duration::days(32)) }, { "happened_at": time_ago(Duration::days(30)) }] } },
        { "id": reading, "kind": "heat_reading", "subject_id": heat, "record": {
            "kind": "progesterone", "taken_at": time_ago(Duration::days(35)), "value": 2.4, "unit": "ng_per_ml" } },
    ]);
    let batch = json!({ "items": rows });
    let stored = kennel.post("/observations/batch", batch.clone()).await.ok();
    assert_eq!(statuses(&stored), ["stored", "stored", "stored"], "{stored}");
    let again = kennel.post("/observations/batch", batch).await.ok();
    assert_eq!(again["already_there"], 3, "{again}");
    let kept = kennel.get(&format!("/matings/{mating}")).await.ok();
    assert_eq!((&kept["dam_id"], &kept["method"]), (&json!(dam), &json!("natural")));
    assert_eq!(kept["ties"].as_array().unwrap().len(), 2);
    let checks = format!("/matings/{mating}/pregnancy-checks");
    assert_eq!(ids(&kennel.get(&checks).await.ok()), [check]);
    // Taken back under their own ids, as a phone does it.
    kennel.remove(&format!("{checks}/{check}")).await.no_content();
    kennel.remove(&format!("/heats/{heat}/readings/{reading}")).await.no_content();
    kennel.remove(&format!("/matings/{mating}")).await.no_content();
}

/// What is wrong with one of them is no matter of the others.
#[tokio::test]
async fn a_mating_that_does_not_fit_is_refused_by_itself() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let heat = kennel.heat(dam, 10).await;
    let at = |days| time_ago(Duration::days(days));
    let row = |subject: Uuid, record: Value| json!({ "id": Uuid::now_v7(), "kind": "mating", "subject_id": subject, "record": record });
    let mating = |sire: Uuid, heat: Uuid, days: i64| json!({ "sire_id": sire, "heat_id": heat, "status": "done", "ties": [{ "happened_at": at(days) }] });
    let rows = [
        row(dam, mating(sire, heat, 2)),
        row(dam, mating(Uuid::now_v7(), heat, 2)),
        row(dam, mating(sire, Uuid::now_v7(), 2)),
        row(dam, mating(sire, heat, 11)),
        row(Uuid::now_v7(), mating(sire, heat, 2)),
        row(dam, json!({ "sire_id": sire, "status": "done", "ties": [] })),
        // Only planned, without a time of its own.
        row(dam, json!({ "sire_id": sire, "status": "planned", "planned_on": days_ago(-200) })),
    ];
    let answer = kennel.post("/observations/batch", json!({ "items": rows })).await.ok();
    let expected = ["stored", "refused", "refused", "refused", "refused", "refused", "stored"];
    assert_eq!(statuses(&answer), expected, "{answer}");
    let pointer = |index: usize| items(&answer)[index]["errors"][0]["pointer"].clone();
    assert_eq!(pointer(2), "/items/2/record/heat_id");
    assert_eq!(pointer(3), "/items/3/record/ties/0/happened_at");
    assert_eq!(pointer(4), "/items/4/subject_id");
    assert_eq!(pointer(5), "/items/5/record/ties");
    let unseen = json!({ "id": Uuid::now_v7(), "kind": "heat_reading", "subject_id": Uuid::now_v7(), "record": {
        "kind": "sign", "taken_at": at(1), "finding": "standing" } });
    let answer_of = kennel.post("/observations/batch", json!({ "items": [unseen] })).await.ok();
    assert_eq!(items(&answer_of)[0]["errors"][0]["pointer"], "/items/0/subject_id", "{answer_of}");
    // A helper observes and does not breed: the reading is taken, the mating is not.
    let reading = json!({ "id": Uuid::now_v7(), "kind": "heat_reading", "subject_id": heat, "record": {
        "kind": "sign", "taken_at": at(1), "finding": "standing" } });
    let rows = json!({ "items": [row(dam, mating(sire, heat, 1)), reading] });
    let answer = kennel.helper().await.post("/observations/batch", rows).await.ok();
    assert_eq!(statuses(&answer), ["refused", "stored"], "{answer}");
    let why = items(&answer)[0]["errors"][0]["detail"].as_str().unwrap();
    assert!(why.contains("An owner, or a co-owner"), "{why}");
}

/// A clock that is off moves every tie of a mating.
#[tokio::test]
async fn the_ties_of_a_mating_are_moved_with_the_clock() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let ahead = |hours: i64| time_ago(Duration::hours(hours - 3));
    let mating = json!({ "id": Uuid::now_v7(), "kind": "mating", "subject_id": dam, "record": {
        "sire_id": sire, "status": "done", "ties": [{ "happened_at": ahead(50) }, { "happened_at": ahead(2) }] } });
    let batch = json!({ "sent_at": ahead(0), "shift_times": true, "items": [mating] });
    for status in ["stored", "already_there"] {
        let answer = kennel.post("/observations/batch", batch.clone()).await.ok();
        assert_eq!(statuses(&answer), [status], "{answer}");
    }
    let kept = kennel.get("/matings").await.ok();
    let at = |index: usize| {
        let text = items(&kept)[0]["ties"][index]["happened_at"].as_str().unwrap();
        text.parse::<chrono::DateTime<chrono::Utc>>().unwrap()
    };
    assert_eq!([at(0), at(1)], [now() - Duration::hours(50), now() - Duration::hours(2)]);
}
