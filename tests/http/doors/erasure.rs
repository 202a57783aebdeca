//! A buyer who is erased is nowhere any more: in no column of any table, in no mail.

use crate::common::*;
use outgoing::mail::{MailRoute, Mailer};
use std::{fs, path::PathBuf};

fn mails(folder: &PathBuf) -> Vec<String> {
    let files = fs::read_dir(folder).unwrap();
    files.map(|file| fs::read_to_string(file.unwrap().path()).unwrap()).collect()
}

/// A pup that was sold and handed over to this buyer; its dog and the placement.
async fn sold(kennel: &Kennel, buyer: Uuid) -> (Uuid, String) {
    let (_, pups) = kennel.born_litter(1, 70).await;
    let mut sale = Kennel::reservation(pups[0], buyer);
    sale["terms"] = json!("Marrowby may breed her once");
    sale["note"] = json!("a friend of the marrowbys");
    let placement = format!("/placements/{}", kennel.post("/placements", sale).await.id());
    let paid = json!({
        "kind": "deposit", "amount_minor": 30_000, "currency": "EUR", "paid_on": days_ago(1), "note": "from Marrowby's account",
    });
    kennel.post(&format!("{placement}/payments"), paid).await.created();
    kennel.set_aside_all(pups[0]).await;
    kennel.change(&placement, json!({ "stage": "handed_over" })).await.ok();
    (pups[0], placement)
}

/// All that one may have written down of a buyer, with their name in each text.
async fn write_all_over(kennel: &Kennel, buyer: Uuid, dog: Uuid, placement: &str) {
    let owner = kennel.owner();
    let once = |path: String, body: Value| async move {
        owner.post_once(&path, &Uuid::now_v7().to_string(), &body).await.created()
    };
    let key = "first_call";
    let reminders = kennel.get("/follow-ups").await.ok().to_string();
    assert!(reminders.contains("\"key\""), "{reminders}");
    let list = kennel.get("/follow-ups").await.ok();
    let key = items(&list)[0]["reminders"][0]["key"].as_str().unwrap_or(key).to_owned();
    let other = items(&list)[0]["reminders"][1]["key"].as_str().unwrap().to_owned();
    let called =
        |key: String| json!({ "key": key, "done_on": days_ago(0), "note": "Marrowby was out" });
    once(format!("{placement}/follow-ups"), called(key)).await;
    // One that was taken back again.
    let wrong = once(format!("{placement}/follow-ups"), called(other)).await;
    kennel.remove(&format!("{placement}/follow-ups/{}", id(&wrong))).await.no_content();
    let news = json!({
        "dog_id": dog, "kind": "illness", "given_at": time_ago(chrono::Duration::hours(1)), "buyer_id": buyer,
        "note": "Marrowby told it on the telephone",
    });
    once("/health-events".into(), news).await;
    kennel
        .post(&format!("/dogs/{dog}/booklet-links"), json!({ "label": "the Marrowbys" }))
        .await
        .created();
    let gone = kennel
        .post(&format!("/dogs/{dog}/booklet-links"), json!({ "label": "Marrowby, old" }))
        .await;
    let gone = format!("/dogs/{dog}/booklet-links/{}", gone.id());
    kennel.delete(&gone, "\"1\"").await.no_content();
    let about_pup = json!({ "title": "Send the papers to Marrowby", "due_on": days_ago(-2), "dog_id": dog, "note": "marrowby's" });
    once("/own-tasks".into(), about_pup).await;
    let about_nobody = json!({ "title": "Ring Mrs MARROWBY back", "due_on": days_ago(-2) });
    let task = once("/own-tasks".into(), about_nobody).await;
    let removed = json!({ "title": "Ask Zquill Marrowby", "due_on": days_ago(-2), "dog_id": dog });
    let removed = once("/own-tasks".into(), removed).await;
    kennel.remove(&format!("/own-tasks/{}", id(&removed))).await.no_content();
    let tasks = kennel.get("/tasks").await.ok();
    for (start, reason) in [
        ("placement:", "Marrowby is away"),
        (&format!("task:{}", id(&task)), "when Marrowby is back"),
    ] {
        let line =
            items(&tasks).iter().find(|line| line["key"].as_str().unwrap().starts_with(start));
        let Some(line) = line else { continue };
        let later = json!({ "snooze_ends_on": days_ago(-1), "snooze_reason": reason });
        kennel.change(&format!("/tasks/{}", line["key"].as_str().unwrap()), later).await.ok();
    }
    let cost = json!({ "purpose": "Flowers for Zquill Marrowby", "amount_minor": 900, "currency": "EUR", "paid_on": days_ago(0) });
    once("/costs".into(), cost).await;
    let owned = json!({
        "note": "Owner: Zquill  Marrowby, zquill@marrowby.example, +99 4711 815, 7 Marrowby Lane",
        "registrations": [{ "registry": "owners' book of Zquill Marrowby", "number": "7" }],
    });
    kennel.change(&format!("/dogs/{dog}"), owned).await.ok();
    let weight = json!({ "measured_at": time_ago(chrono::Duration::hours(2)), "weight_g": 9_000, "note": "told by zquill marrowby", "confirmed": true });
    once(format!("/dogs/{dog}/weights"), weight).await;
}

#[tokio::test]
async fn an_erased_buyer_is_in_no_table_and_in_no_mail() {
    let folder = std::env::temp_dir().join(format!("denwright-mail-{}", Uuid::now_v7()));
    let from = "denwright@example.org".parse().unwrap();
    let mailer = Mailer::new(MailRoute::Folder(Some(folder.clone())), from, PathBuf::new());
    let kennel = Kennel::with(store_settings(mailer.clone())).await;
    let hook = json!({ "url": "http://127.0.0.1:9/hook", "events": [] });
    kennel.post("/webhooks", hook).await.created();
    let body = json!({
        "name": "Zquill Marrowby", "email": "zquill@marrowby.example", "phone": "+99 4711 815",
        "address": "7 Marrowby Lane\n1234 Marrowby", "household": "two little Marrowbys", "screening": "the Marrowbys are kind",
        "note": "Marrowby, met at the show", "joined_on": days_ago(90),
    });
    let buyer = id(&kennel.owner().post_once("/buyers", "a-key", &body).await.created());
    let (dog, placement) = sold(&kennel, buyer).await;
    write_all_over(&kennel, buyer, dog, &placement).await;
    let other = kennel.buyer("Ulla Brandt").await;
    kennel
        .change(&format!("/buyers/{other}"), json!({ "note": "sister of Zquill Marrowby" }))
        .await
        .ok();
    mailer.send("zquill@marrowby.example", "Your pup", "Hello.\n".into()).await.unwrap();
    mailer.send("someone@example.org", "Pups", "Zquill Marrowby asks.\n".into()).await.unwrap();
    mailer.send("someone@example.org", "Pups", "Ulla Brandt asks.\n".into()).await.unwrap();
    let sql = kennel.sql().await;
    assert!(rows_with(&sql, "marrowby").await.len() > 20);
    let before = kennel.get(&format!("{placement}/account")).await.ok()["sums"].clone();

    let erased = kennel.post(&format!("/buyers/{buyer}/erasure"), json!({})).await.ok();
    assert!(erased["erased"].to_string().contains("email"));
    for trace in ["marrowby", "zquill", "4711"] {
        let left = rows_with(&sql, trace).await;
        assert!(left.is_empty(), "{trace} is left in {}:\n{}", left.len(), left.join("\n"));
    }
    let mails = mails(&folder);
    assert_eq!(mails.len(), 1, "{mails:?}");
    assert!(mails[0].contains("Ulla Brandt"));

    // What stays: sums, days, the pup, and what was written about others.
    assert_eq!(kennel.get(&format!("{placement}/account")).await.ok()["sums"], before);
    assert_eq!(kennel.get(&format!("/buyers/{other}")).await.ok()["name"], "Ulla Brandt");
    assert!(rows_with(&sql, "ring mrs (erased) back").await.len() >= 2);
    let told = kennel.get("/changes?limit=500").await.ok();
    assert!(told["next_cursor"].is_null());
    assert_eq!(
        kennel.post(&format!("/buyers/{buyer}/erasure"), json!({})).await.ok()["erased"],
        json!([])
    );
    fs::remove_dir_all(&folder).unwrap();
}

fn store_settings(mailer: Mailer) -> denwright::service::server::Settings {
    denwright::service::server::Settings { mailer, ..settings() }
}

/// A name that is also a dog's, a member's or part of another word is left where it means these.
#[tokio::test]
async fn an_erasure_takes_no_more_than_the_buyer() {
    let kennel = Kennel::new().await;
    let rose = kennel.dog("Rose", json!({ "note": "Black like coal, a Rose among dogs" })).await;
    let owner = kennel.get("/v1/me").await.ok()["person"]["name"].as_str().unwrap().to_owned();
    let (_, pups) = kennel.born_litter(2, 70).await;
    let buyer = json!({ "name": "Rose Black", "joined_on": days_ago(9), "address": owner });
    let buyer = kennel.post("/buyers", buyer).await.id();
    let sibling = kennel.buyer("Blackwell Roseanne").await;
    let sale = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    kennel.change(&format!("/placements/{sale}"), json!({ "stage": "withdrawn" })).await.ok();
    kennel.post("/placements", Kennel::reservation(pups[0], sibling)).await.created();
    let links = format!("/dogs/{}/booklet-links", pups[0]);
    kennel.post(&links, json!({ "label": "for Roseanne" })).await.created();
    let mentions =
        json!({ "title": "Tell Rose", "due_on": days_ago(-1), "note": format!("{owner} knows") });
    let mentions = format!("/own-tasks/{}", kennel.post("/own-tasks", mentions).await.id());
    kennel.post(&format!("/buyers/{buyer}/erasure"), json!({})).await.ok();
    let dog = kennel.get(&format!("/dogs/{rose}")).await.ok();
    assert_eq!((&dog["name"], &dog["version"]), (&json!("Rose"), &json!(1)));
    assert_eq!(items(&kennel.get(&links).await.ok())[0]["label"], "for Roseanne");
    assert_eq!(kennel.get(&format!("/buyers/{sibling}")).await.ok()["name"], "Blackwell Roseanne");
    let task = kennel.get(&mentions).await.ok();
    assert_eq!(
        (&task["title"], &task["note"]),
        (&json!("Tell (erased)"), &json!(format!("{owner} knows")))
    );
}

#[tokio::test]
async fn a_buyer_who_was_deleted_is_erased_from_what_remembers_them() {
    let kennel = Kennel::new().await;
    let body = json!({ "name": "Zquill Marrowby", "email": "zquill@marrowby.example", "joined_on": days_ago(9) });
    let made = kennel.owner().post_once("/buyers", "a-key", &body).await.created();
    let task = json!({ "title": "Ring Marrowby", "due_on": days_ago(-1) });
    kennel.post("/own-tasks", task).await.created();
    let path = format!("/buyers/{}", id(&made));
    kennel.remove(&path).await.no_content();
    let sql = kennel.sql().await;
    assert!(!rows_with(&sql, "marrowby").await.is_empty());
    for other in [kennel.helper().await, kennel.viewer().await] {
        other.post(&format!("{path}/erasure"), json!({})).await.problem(403);
    }
    kennel
        .another()
        .await
        .in_kennel(kennel.kennel_id)
        .post(&format!("{path}/erasure"), json!({}))
        .await
        .problem(404);
    kennel.post(&format!("/buyers/{}/erasure", Uuid::now_v7()), json!({})).await.problem(404);
    kennel.post(&format!("{path}/erasure"), json!({})).await.ok();
    assert_eq!(rows_with(&sql, "marrowby").await, [""; 0]);
    kennel.post(&format!("{path}/erasure"), json!({})).await.ok();
}
