//! A buyer who is erased is nowhere any more: in no column of any table, in no file, in no mail.

use crate::{
    attachments::{attach, contract, photograph},
    common::*,
    letters,
};
use denwright::service::{server::Settings, sweep::sweep};
use outgoing::mail::{MailRoute, Mailer};
use std::{
    fs,
    path::{Path, PathBuf},
};

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
    for trace in ["marrowby", "zquill", "4711 815"] {
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

fn store_settings(mailer: Mailer) -> Settings {
    Settings { mailer, ..settings() }
}

/// A name that is also a dog's, a member's or part of another word is left where it means these.
#[tokio::test]
async fn an_erasure_takes_no_more_than_the_buyer() {
    let kennel = Kennel::among_others().await;
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

/// Every file below a folder that holds the text as it is.
fn files_with(folder: &Path, text: &str) -> Vec<String> {
    let (mut found, mut open) = (Vec::new(), vec![folder.to_owned()]);
    while let Some(next) = open.pop() {
        for entry in fs::read_dir(&next).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                open.push(path);
            } else if fs::read(&path)
                .unwrap()
                .windows(text.len())
                .any(|part| part == text.as_bytes())
            {
                found.push(path.display().to_string());
            }
        }
    }
    found
}

/// What hangs on the pup or its placement, what was taken away again, and what waits to be mailed.
#[tokio::test]
async fn pictures_papers_and_mails_that_wait_forget_an_erased_buyer() {
    // The mail server never takes it.
    let office = PostOffice::start(usize::MAX).await;
    let folder = std::env::temp_dir().join(format!("denwright-files-{}", Uuid::now_v7()));
    let files_url = folder.to_str().unwrap().to_owned();
    let kennel = Kennel::with(Settings { files_url, ..letters::writing(&office) }).await;
    let (_, pups) = kennel.born_litter(1, 60).await;
    let pup = pups[0];
    let paper = |words: &str, fields: Value| {
        let file = contract(words);
        let kennel = &kennel;
        async move { attach(kennel, &file, fields).await }
    };
    // The pup was promised to somebody else before, whose contract is not this buyer's.
    let first = kennel.buyer("Ulla Brandt").await;
    let sale = kennel.post("/placements", Kennel::reservation(pup, first)).await.id();
    let theirs = paper(
        "Ulla Brandt",
        json!({ "placement_id": sale, "kind": "contract", "caption": "Ulla's" }),
    )
    .await;
    kennel.change(&format!("/placements/{sale}"), json!({ "stage": "withdrawn" })).await.ok();

    let body = json!({ "name": "Zquill Marrowby", "joined_on": days_ago(9) });
    let buyer = kennel.post("/buyers", body).await.id();
    let sale = kennel.post("/placements", Kennel::reservation(pup, buyer)).await.id();
    let of_sale = json!({ "placement_id": sale, "kind": "contract", "caption": "Marrowby signed" });
    paper("Zquill Marrowby", of_sale.clone()).await;
    let gone = paper("Zquill Marrowby, withdrawn", of_sale).await;
    kennel.remove(&format!("/attachments/{}", id(&gone))).await.no_content();
    let tested = json!({ "dog_id": pup, "kind": "test_result", "caption": "Eyes, for Marrowby" });
    let tested = paper("eyes clear", tested).await;
    let photo = json!({ "dog_id": pup, "caption": "On Zquill's arm" });
    let photo = attach(&kennel, &photograph(40, 40), photo).await;
    let task = json!({ "title": "Ring Mrs Marrowby", "due_on": days_ago(0) });
    kennel.post("/own-tasks", task).await.created();
    let seen = kennel.get("/rings").await.expect(200).etag();
    let letter = kennel.request(reqwest::Method::PUT, "/rings").header("If-Match", &seen);
    letter.json(&json!({ "letter_at": "12:30" })).send().await.expect(200);
    kennel.set_moment(now() + chrono::Duration::minutes(31));
    let sql = kennel.sql().await;
    let waiting = "SELECT count(*) FROM rings WHERE content::text LIKE '%Marrowby%'";
    for turn in 0.. {
        if sql.query_one(waiting, &[]).await.unwrap().get::<_, i64>(0) == 1 {
            break;
        }
        assert!(turn < 100, "no letter waits");
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    assert_eq!(files_with(&folder.join("blobs"), "Marrowby").len(), 2);

    kennel.change(&format!("/placements/{sale}"), json!({ "stage": "withdrawn" })).await.ok();
    kennel.post(&format!("/buyers/{buyer}/erasure"), json!({})).await.ok();
    for trace in ["marrowby", "zquill"] {
        let left = rows_with(&sql, trace).await;
        assert!(left.is_empty(), "{trace} is left in {}:\n{}", left.len(), left.join("\n"));
    }
    let blobs = files::Blobs::open(folder.to_str().unwrap()).unwrap();
    let later = chrono::Utc::now() + chrono::Duration::hours(49);
    sweep(&kennel.service.db, &blobs, later).await.unwrap();
    assert_eq!(files_with(&folder, "Marrowby"), [""; 0]);
    // What is the pup's own stays, and so does what is another's.
    for kept in [&theirs, &tested, &photo] {
        kennel.get(&format!("/attachments/{}/file", id(kept))).await.expect(200);
    }
    let caption = kennel.get(&format!("/attachments/{}", id(&photo))).await.ok();
    assert_eq!(caption["caption"], "On (erased)'s arm");
    let theirs = kennel.get(&format!("/attachments/{}", id(&theirs))).await.ok();
    assert_eq!(theirs["caption"], "Ulla's");
    fs::remove_dir_all(&folder).unwrap();
}
