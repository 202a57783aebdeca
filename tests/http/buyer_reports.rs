//! What new owners tell by their booklet's link: nothing is on record before the kennel accepts it.

use crate::common::*;

/// A pup that has gone to its buyer, with the link of its booklet.
struct Gone {
    kennel: Kennel,
    pup: Uuid,
    buyer: Uuid,
    link: String,
}

async fn gone(kennel: Kennel) -> Gone {
    let (_, pups) = kennel.born_litter(2, 70).await;
    let buyer =
        json!({ "name": "Ottilie Marsh", "email": "buyer@example.org", "joined_on": days_ago(90) });
    let buyer = kennel.post("/buyers", buyer).await.id();
    let sale = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    kennel.set_aside_all(pups[0]).await;
    kennel.change(&format!("/placements/{sale}"), json!({ "stage": "handed_over" })).await.ok();
    let link = link(&kennel, pups[0]).await;
    Gone { pup: pups[0], buyer, link, kennel }
}

/// The path of the reports of a new link to a dog's booklet.
async fn link(kennel: &Kennel, dog: Uuid) -> String {
    let made = kennel.post(&format!("/dogs/{dog}/booklet-links"), json!({})).await.created();
    format!("{}/reports", made["path"].as_str().unwrap())
}

fn news() -> Value {
    json!({
        "observed_on": days_ago(3), "weight_g": 27_500, "full_grown": true, "colour": "silver",
        "temperament": "Calm with children.", "message": "We love her.",
        "health": [
            { "kind": "test", "happened_on": days_ago(9), "finding": "hips A, by radiograph", "note": "Dr Brandt" },
            { "kind": "illness", "happened_on": days_ago(2), "finding": "ear infection" },
        ],
    })
}

/// All of the record that a report may change.
async fn record(kennel: &Kennel, dog: Uuid) -> Value {
    let weights = kennel.get(&format!("/dogs/{dog}/weights")).await.ok();
    let events = kennel.get(&format!("/health-events?dog_id={dog}")).await.ok();
    json!([kennel.get(&format!("/dogs/{dog}")).await.ok(), weights["items"], events["items"]])
}

#[tokio::test]
async fn what_is_told_waits_and_becomes_record_once_it_is_accepted() {
    let Gone { kennel, pup, buyer, link } = gone(Kennel::among_others().await).await;
    let before = record(&kennel, pup).await;
    let nobody = kennel.nobody();
    let told = nobody.post(&link, news()).await.created();
    assert_eq!((&told["status"], &told["news"]["weight_g"]), (&json!("waiting"), &json!(27_500)));
    assert_eq!(record(&kennel, pup).await, before, "nothing is on record yet");
    let waiting = kennel.get("/buyer-reports?status=waiting").await.ok();
    assert_eq!(
        (&items(&waiting)[0]["buyer_id"], &items(&waiting)[0]["dog_id"]),
        (&json!(buyer), &json!(pup))
    );

    let report = format!("/buyer-reports/{}", id(&told));
    let accepted =
        kennel.post(&format!("{report}/acceptance"), json!({ "left_out": ["colour"] })).await.ok();
    assert_eq!(
        (&accepted["status"], &accepted["decided_on"]),
        (&json!("accepted"), &json!(days_ago(0)))
    );
    let dog = kennel.get(&format!("/dogs/{pup}")).await.ok();
    assert_eq!((&dog["adult_weight_g"], &dog["colour"]), (&json!(27_500), &before[0]["colour"]));
    let weights = kennel.get(&format!("/dogs/{pup}/weights")).await.ok();
    assert_eq!(items(&weights).last().unwrap()["weight_g"], 27_500);
    let dam = dog["dam_id"].as_str().unwrap();
    let health = kennel.get(&format!("/dogs/{dam}/offspring-health")).await.ok();
    let told_of: Vec<_> =
        items(&health).iter().map(|event| (&event["kind"], &event["product"])).collect();
    assert_eq!(
        told_of,
        [
            (&json!("test"), &json!("hips A, by radiograph")),
            (&json!("illness"), &json!("ear infection"))
        ]
    );
    assert!(items(&health).iter().all(|event| event["buyer_id"] == json!(buyer)));
    // The temperament stays with the report, and is found with the offspring's.
    for parent in [dam, dog["sire_id"].as_str().unwrap()] {
        let of_offspring =
            kennel.get(&format!("/buyer-reports?parent_id={parent}&status=accepted")).await.ok();
        assert_eq!(items(&of_offspring)[0]["news"]["temperament"], "Calm with children.");
    }
    let none = kennel.get(&format!("/buyer-reports?parent_id={pup}")).await.ok();
    assert!(items(&none).is_empty());
    // It is decided once, and whoever told it sees how.
    kennel
        .post(&format!("{report}/refusal"), json!({ "reason": "On second thoughts." }))
        .await
        .problem(409);
    kennel.post(&format!("{report}/acceptance"), json!({})).await.problem(409);
    let own = nobody.get(&link).await.ok();
    assert_eq!(items(&own)[0]["status"], "accepted");
    nobody.delete(&format!("{link}/{}", id(&told)), "*").await.problem(404);
}

#[tokio::test]
async fn a_refused_report_says_why_and_changes_nothing() {
    let Gone { kennel, pup, link, .. } = gone(Kennel::among_others().await).await;
    let before = record(&kennel, pup).await;
    let report =
        format!("/buyer-reports/{}", id(&kennel.nobody().post(&link, news()).await.created()));
    kennel.post(&format!("{report}/refusal"), json!({})).await.refused(&["/reason"]);
    kennel
        .post(&format!("{report}/refusal"), json!({ "reason": "no" }))
        .await
        .refused(&["/reason"]);
    let reason = json!({ "reason": "These are her sister's hips." });
    assert_eq!(kennel.post(&format!("{report}/refusal"), reason).await.ok()["status"], "refused");
    assert_eq!(record(&kennel, pup).await, before);
    let own = kennel.nobody().get(&link).await.ok();
    assert_eq!(items(&own)[0]["refusal_reason"], "These are her sister's hips.");
    kennel.post(&format!("{report}/acceptance"), json!({})).await.problem(409);
    assert_eq!(record(&kennel, pup).await, before);
}

/// What the record does not allow is told at its place, and nothing else of the report is written.
#[tokio::test]
async fn a_report_goes_into_the_record_whole_or_not_at_all() {
    let Gone { kennel, pup, link, .. } = gone(Kennel::among_others().await).await;
    let mut told = news();
    told["health"][1]["happened_on"] = json!(days_ago(400));
    let report =
        format!("/buyer-reports/{}", id(&kennel.nobody().post(&link, told).await.created()));
    let before = record(&kennel, pup).await;
    let accept = format!("{report}/acceptance");
    kennel.post(&accept, json!({})).await.refused(&["/news/health/1"]);
    assert_eq!(record(&kennel, pup).await, before);
    assert_eq!(kennel.get(&report).await.ok()["status"], "waiting");
    kennel.post(&accept, json!({ "left_out": ["health"] })).await.ok();
    assert_eq!(kennel.get(&format!("/dogs/{pup}")).await.ok()["colour"], "silver");
}

#[tokio::test]
async fn a_report_is_the_links_own_and_read_by_those_who_place_pups() {
    let Gone { kennel, pup, link: first, .. } = gone(Kennel::among_others().await).await;
    let nobody = kennel.nobody();
    let told = id(&nobody.post(&first, news()).await.created());
    // Another link to the same dog, of its next home.
    let second = link(&kennel, pup).await;
    assert!(items(&nobody.get(&second).await.ok()).is_empty());
    nobody.delete(&format!("{second}/{told}"), "*").await.problem(404);
    // The dam's co-owner sees it and decides, another's does not.
    let dam =
        kennel.get(&format!("/dogs/{pup}")).await.ok()["dam_id"].as_str().unwrap().parse().unwrap();
    let co_owner = kennel.co_owner(&[dam]).await;
    let other = kennel.co_owner(&[kennel.dam("Freya").await]).await;
    let report = format!("/buyer-reports/{told}");
    co_owner.get(&report).await.ok();
    for caller in [&other, &kennel.another().await.in_kennel(kennel.kennel_id)] {
        caller.get(&report).await.problem(404);
        caller.post(&format!("{report}/acceptance"), json!({})).await.problem(404);
    }
    for caller in [kennel.helper().await, kennel.viewer().await] {
        caller.get(&report).await.problem(403);
        caller.get("/buyer-reports").await.problem(403);
        caller.post(&format!("{report}/acceptance"), json!({})).await.problem(403);
        caller
            .post(&format!("{report}/refusal"), json!({ "reason": "not mine" }))
            .await
            .problem(403);
    }
    co_owner.post(&format!("{report}/refusal"), json!({ "reason": "Ask the owner." })).await.ok();
    // What was taken back is nowhere, and a dead link tells nothing.
    let again = json!({ "message": "A secret of the house" });
    let taken_back = id(&nobody.post(&first, again).await.created());
    nobody.delete(&format!("{first}/{taken_back}"), "*").await.no_content();
    kennel.get(&format!("/buyer-reports/{taken_back}")).await.problem(404);
    let log = kennel.get("/changes?limit=500").await.expect(200).text();
    assert!(!log.contains("secret of the house"), "{log}");
    let links = kennel.get(&format!("/dogs/{pup}/booklet-links")).await.ok();
    for link in ids(&links) {
        kennel.delete(&format!("/dogs/{pup}/booklet-links/{link}"), "*").await.no_content();
    }
    nobody.post(&first, news()).await.problem(404);
    nobody.get(&first).await.problem(404);
    kennel.get(&report).await.ok();
}

/// A report that waits is a task of those who may decide, and goes with the decision.
#[tokio::test]
async fn a_report_that_waits_is_a_task() {
    let Gone { kennel, pup, link, .. } = gone(Kennel::among_others().await).await;
    let told = id(&kennel.nobody().post(&link, news()).await.created());
    let dam =
        kennel.get(&format!("/dogs/{pup}")).await.ok()["dam_id"].as_str().unwrap().parse().unwrap();
    let co_owner = kennel.co_owner(&[dam]).await;
    let other = kennel.co_owner(&[kennel.dam("Freya").await]).await;
    let key = format!("report:{told}:go_home:decide");
    let line = async |caller: &Caller| {
        let tasks = caller.get("/tasks?limit=500").await.ok();
        items(&tasks).iter().find(|line| line["key"] == key).cloned()
    };
    let owners = line(&kennel).await.unwrap();
    assert_eq!((&owners["dog_id"], &owners["origin"]), (&json!(pup), &json!("go_home")));
    assert!(owners["title"].as_str().unwrap().contains("ill"), "{owners}");
    assert!(line(&co_owner).await.is_some());
    for caller in [&kennel.helper().await, &kennel.viewer().await, &other] {
        assert_eq!(line(caller).await, None);
    }
    kennel.post(&format!("/buyer-reports/{told}/acceptance"), json!({})).await.ok();
    assert_eq!(line(&kennel).await, None);
    // A death is the dog's day once it is accepted.
    let died = json!({ "health": [
        { "kind": "death", "happened_on": days_ago(1), "finding": "its heart" },
    ]});
    let told = id(&kennel.nobody().post(&link, died).await.created());
    kennel.post(&format!("/buyer-reports/{told}/acceptance"), json!({})).await.ok();
    assert_eq!(kennel.get(&format!("/dogs/{pup}")).await.ok()["died_on"], json!(days_ago(1)));
}

#[tokio::test]
async fn a_link_takes_small_and_sound_reports_and_not_too_many() {
    let Gone { kennel, link, .. } = gone(Kennel::new().await).await;
    let nobody = kennel.nobody();
    nobody.post(&link, json!({})).await.refused(&[""]);
    nobody.post(&link, json!({ "weight_g": 99 })).await.refused(&["/weight_g"]);
    nobody.post(&link, json!({ "weight_g": 150_001 })).await.refused(&["/weight_g"]);
    nobody.post(&link, json!({ "status": "accepted", "message": "x" })).await.refused(&["/status"]);
    let long = |length: usize| json!({ "message": "x".repeat(length) });
    nobody.post(&link, long(2_001)).await.refused(&["/message"]);
    let ear = json!({ "kind": "illness", "happened_on": days_ago(1), "finding": "ear" });
    nobody.post(&link, json!({ "health": vec![ear.clone(); 11] })).await.refused(&["/health"]);
    nobody.post(&link, long(17_000)).await.problem(413);
    nobody.post(&link, long(2_000)).await.created();
    nobody.post(&link, json!({ "health": vec![ear; 10] })).await.created();
    // Ten wait at most, whoever asks; one that is decided makes room.
    let sql = kennel.sql().await;
    let forget = "DELETE FROM attempts";
    for _ in 2..10 {
        sql.batch_execute(forget).await.unwrap();
        nobody.post(&link, json!({ "weight_g": 100 })).await.created();
    }
    sql.batch_execute(forget).await.unwrap();
    nobody.post(&link, json!({ "weight_g": 150_000 })).await.problem(409);
    let waiting = kennel.get("/buyer-reports?status=waiting").await.ok();
    assert_eq!(items(&waiting).len(), 10);
    let first = format!("/buyer-reports/{}/refusal", ids(&waiting)[0]);
    kennel.post(&first, json!({ "reason": "Long enough." })).await.ok();
    nobody.post(&link, json!({ "weight_g": 150_000 })).await.created();
}

/// Links that are tried are counted before they are looked up.
#[tokio::test]
async fn many_tries_in_a_row_have_to_wait() {
    let Gone { kennel, link, .. } = gone(Kennel::new().await).await;
    let nobody = kennel.nobody();
    let mut statuses = Vec::new();
    for _ in 0..200 {
        let answer = nobody.post("/v1/booklets/dwb_guess/reports", news()).await;
        statuses.push(answer.status);
        if answer.status == 429 {
            break;
        }
    }
    let (last, before) = statuses.split_last().unwrap();
    assert_eq!(*last, 429, "{statuses:?}");
    assert!(before.len() >= 3 && before.iter().all(|status| *status == 404), "{statuses:?}");
    // Another link from the same place is not the one that was tried.
    nobody.post(&link, news()).await.created();
}

/// The log, webhooks and archives tell it to whom the report itself is told; an erased buyer's is nowhere.
#[tokio::test]
async fn a_report_is_exported_to_its_buyer_and_erased_with_them() {
    let Gone { kennel, pup, buyer, link } = gone(Kennel::new().await).await;
    let nobody = kennel.nobody();
    let told = nobody.post(&link, news()).await.created();
    let mut more = news();
    more["temperament"] = json!("Barks at Marrowby's postman");
    nobody.post(&link, more).await.created();
    let report = format!("/buyer-reports/{}", id(&told));
    let body = json!({ "left_out": ["weight", "adult_weight"] });
    kennel.owner().post_once(&format!("{report}/acceptance"), "a-key", &body).await.ok();
    let helper = kennel.helper().await;
    let log = |text: String| text.contains("Calm with children");
    assert!(log(kennel.get("/changes?limit=500").await.expect(200).text()));
    assert!(!log(helper.get("/changes?limit=500").await.expect(200).text()));

    let exported = kennel.get(&format!("/buyers/{buyer}/export")).await.ok();
    assert_eq!(exported["reports"].as_array().unwrap().len(), 2);
    assert_eq!(exported["reports"][0]["news"]["message"], "We love her.");
    kennel.post(&format!("/buyers/{buyer}/erasure"), json!({})).await.ok();
    assert!(items(&nobody.get(&link).await.ok()).is_empty());
    let sql = kennel.sql().await;
    for trace in ["calm with children", "we love her", "marrowby", "dr brandt"] {
        let left = rows_with(&sql, trace).await;
        assert!(left.is_empty(), "{trace} is left in {}:\n{}", left.len(), left.join("\n"));
    }
    // What was taken into the record is the dog's.
    let health = kennel.get(&format!("/health-events?dog_id={pup}")).await.ok();
    assert!(items(&health).iter().any(|event| event["product"] == "hips A, by radiograph"));
    kennel.get(&report).await.problem(404);
}
