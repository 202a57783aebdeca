//! What is given, and what moves with it.

use crate::common::*;
use chrono::{Duration, NaiveDate};

async fn step(kennel: &Kennel, dog: Uuid, key: &str, occurrence: u64) -> Value {
    let schedule = kennel.get(&format!("/dogs/{dog}/schedule")).await.ok();
    let steps = schedule["steps"].as_array().unwrap().clone();
    let found = steps.into_iter().find(|s| s["step"] == key && s["occurrence"] == occurrence);
    found.unwrap_or_else(|| panic!("{key} {occurrence} in {schedule}"))
}

fn ideal(step: &Value) -> NaiveDate {
    step["ideal_on"].as_str().unwrap().parse().unwrap()
}

fn given(dog: Uuid, kind: &str, days: i64) -> Value {
    json!({ "dog_id": dog, "kind": kind, "given_at": time_ago(Duration::days(days)) })
}

/// Core series every 2 to 4 weeks, the last at 16 weeks or later (WSAVA guidelines 2024).
#[tokio::test]
async fn a_late_or_early_dose_moves_what_follows() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(2, 80).await;
    let (late, early) = (pups[0], pups[1]);
    // Ideal at 56 days of age: given at 65, nine days late, and at 45, within its window.
    kennel.post("/health-events", given(late, "vaccination", 15)).await.created();
    kennel.post("/health-events", given(early, "vaccination", 35)).await.created();
    let first = step(&kennel, late, "core-first", 1).await;
    assert_eq!((&first["status"], &first["late_days"]), (&json!("done"), &json!(9)));
    assert_eq!(ideal(&step(&kennel, late, "core-series", 1).await), days_ago(15 - 28));
    assert_eq!(ideal(&step(&kennel, early, "core-series", 1).await), days_ago(35 - 28));
    // A week later is too close: it is not counted, and the next is counted from it.
    kennel.post("/health-events", given(late, "vaccination", 8)).await.created();
    let schedule = kennel.get(&format!("/dogs/{late}/schedule")).await.ok();
    assert_eq!(schedule["not_counted"].as_array().unwrap().len(), 1);
    let next = step(&kennel, late, "core-series", 1).await;
    assert_eq!(next["earliest_on"], json!(days_ago(8 - 14)));
    assert_ne!(next["status"], "done");
    // Corrected, it counts.
    let events = kennel.get(&format!("/health-events?dog_id={late}&kind=vaccination")).await.ok();
    let path = format!("/health-events/{}", ids(&events)[1]);
    kennel.change(&path, json!({ "given_at": time_ago(Duration::days(1)) })).await.ok();
    assert_eq!(step(&kennel, late, "core-series", 1).await["status"], "done");
}

#[tokio::test]
async fn an_event_keeps_product_batch_expiry_who_site_and_reaction_for_the_whole_litter() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(3, 50).await;
    let event = json!({
        "dog_ids": pups, "kind": "vaccination", "given_at": time_ago(Duration::hours(2)), "series": "core",
        "step": "core-first", "product": "core vaccine", "batch": "B77", "expires_on": days_ago(3), "confirmed": true,
        "given_by": "Dr Ilse Brandt", "site": "left shoulder", "reaction": "a small swelling",
    });
    let written = kennel.post("/health-events", event.clone()).await.created();
    assert_eq!(items(&written).len(), 3);
    for (kept, pup) in items(&written).iter().zip(&pups) {
        assert_eq!(kept["dog_id"], json!(pup));
        for field in
            ["series", "step", "product", "batch", "expires_on", "given_by", "site", "reaction"]
        {
            assert_eq!(kept[field], event[field], "{field}");
        }
    }
    // Past its expiry: a caution for each; it is for the veterinarian to say whether it counts.
    let cautions = kennel.get("/due").await.ok()["cautions"].clone();
    assert_eq!(cautions.as_array().unwrap().len(), 3);
    assert!(cautions.to_string().contains("past its expiry"));
    // All or none, and neither nobody nor a stranger.
    let mut wrong = event.clone();
    wrong["dog_ids"] = json!([pups[0], Uuid::now_v7()]);
    kennel.post("/health-events", wrong.clone()).await.refused(&["/dog_ids/1"]);
    wrong["dog_ids"] = json!([pups[0], pups[1], "Juno"]);
    kennel.post("/health-events", wrong).await.refused(&["/dog_ids/2"]);
    let mut nobody = event;
    nobody["dog_ids"] = json!([]);
    kennel.post("/health-events", nobody).await.refused(&["/dog_ids"]);
    assert_eq!(items(&kennel.get("/health-events").await.ok()).len(), 3);
}

#[tokio::test]
async fn a_plan_makes_tasks_for_the_litter_that_go_when_all_have_got_it() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(3, 14).await;
    let task = async |item: &str| {
        let list = kennel.get(&format!("/tasks?origin=health&litter_id={litter}")).await.ok();
        let key = format!("litter:{litter}:health:{item}-1");
        items(&list).iter().find(|task| task["key"] == json!(key)).cloned()
    };
    let first = task("worming-first").await.unwrap();
    assert_eq!((&first["status"], &first["possible_on"]), (&json!("open"), &json!(days_ago(0))));
    assert_eq!(first["due_on"], json!(days_ago(-3)));
    assert_eq!(first["dog_id"], json!(null), "it is one task for all of them");
    let worming = |dogs: &[Uuid]| json!({ "dog_ids": dogs, "kind": "worming", "given_at": time_ago(Duration::minutes(5)) });
    kennel.post("/health-events", worming(&pups[..2])).await.created();
    assert_eq!(task("worming-first").await.unwrap()["dog_id"], json!(pups[2]));
    kennel.post("/health-events", worming(&pups[2..])).await.created();
    assert_eq!(task("worming-first").await, None);

    // A plan of the kennel's own, applied to this litter: its steps are tasks of their own.
    let plan = json!({
        "key": "eyes", "name": "Eyes", "subject": "pup", "default": false, "source": "our veterinarian",
        "steps": [{
            "key": "eyes-looked-at", "name": "Eyes looked at", "kind": "examination", "series": "eyes",
            "anchor": { "anchor": "birth" }, "earliest_days": 13, "ideal_days": 15, "latest_days": 20,
            "source": "our veterinarian", "confirmation": "common_practice",
        }],
    });
    kennel.post("/health-plans", plan).await.created();
    assert_eq!(task("eyes-looked-at").await, None);
    let path = format!("/litters/{litter}/health-plans");
    let why = json!({ "plan_key": "eyes", "reason": "her last litter had entropion; our vet" });
    let applied = kennel.post(&path, why).await.created();
    assert_eq!(
        (&applied["plan_version"], &applied["reason"]),
        (&json!(1), &json!("her last litter had entropion; our vet"))
    );
    let applied = format!("{path}/{}", id(&applied));
    assert_eq!(
        kennel.change(&applied, json!({ "reason": null })).await.ok()["reason"],
        Value::Null
    );
    let eyes = task("eyes-looked-at").await.unwrap();
    assert_eq!((&eyes["status"], &eyes["due_on"]), (&json!("open"), &json!(days_ago(-6))));
    // The dam has hers, and they are in the calendar as well.
    let all = kennel.get("/tasks?origin=health").await.ok();
    assert!(all.to_string().contains("dam-with-first-worming"));
    let calendar = kennel.get("/calendar.ics").await.expect(200).text();
    assert!(calendar.replace("\r\n ", "").contains("Eyes looked at"));
}
