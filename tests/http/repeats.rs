//! Requests sent twice: a phone that lost its signal gets the same answer and writes once.

use crate::common::*;

#[tokio::test]
async fn a_repeat_gets_the_same_answer() {
    let kennel = Kennel::among_others().await;
    let body = json!({ "name": "Juno", "residence": "here" });
    let first = kennel.post_once("/dogs", "key-1", &body).await.expect(201);
    let again = kennel.post_once("/dogs", "key-1", &body).await.expect(201);
    assert_eq!(first.json(), again.json());
    assert_eq!(first.etag(), again.etag());
    assert_eq!(first.header("location"), again.header("location"));
    assert_eq!(items(&kennel.get("/dogs").await.ok()).len(), 1);

    // Even after the row has gone on.
    kennel.change(&format!("/dogs/{}", id(&first.json())), json!({ "note": "x" })).await.ok();
    assert_eq!(kennel.post_once("/dogs", "key-1", &body).await.created(), first.json());
    kennel.post_once("/dogs", "key-2", &body).await.created();
    assert_eq!(items(&kennel.get("/dogs").await.ok()).len(), 2);
}

#[tokio::test]
async fn a_key_belongs_to_one_request() {
    let kennel = Kennel::among_others().await;
    let body = json!({ "name": "Juno", "residence": "here" });
    let juno = kennel.post_once("/dogs", "key-1", &body).await.id();
    let other = json!({ "name": "Juno", "residence": "elsewhere" });
    let pointer = ["#header/Idempotency-Key"];
    kennel.post_once("/dogs", "key-1", &other).await.refused(&pointer);
    let heat = json!({ "dog_id": juno, "began_on": days_ago(3) });
    kennel.post_once("/heats", "key-1", &heat).await.refused(&pointer);
    assert_eq!(items(&kennel.get("/dogs").await.ok()).len(), 1);

    // Another person's keys are another matter, also in another kennel.
    let other_kennel = kennel.another().await;
    assert_ne!(other_kennel.post_once("/dogs", "key-1", &body).await.id(), juno);
}

#[tokio::test]
async fn a_request_that_failed_leaves_its_key_free() {
    let kennel = Kennel::among_others().await;
    let dog = json!({ "name": "Fern", "residence": "here", "dam_id": Uuid::nil() });
    kennel.post_once("/dogs", "key-1", &dog).await.refused(&["/dam_id"]);
    kennel.post_once("/dogs", "key-1", &json!({ "residence": "here" })).await.created();
}

#[tokio::test]
async fn the_same_request_many_times_at_once_writes_one_row() {
    let kennel = Kennel::among_others().await;
    let requests = (0..10).map(|_| {
        let caller = kennel.owner().clone();
        tokio::spawn(async move {
            let body = json!({ "name": "Juno", "residence": "here" });
            caller.post_once("/dogs", "key-1", &body).await.created()
        })
    });
    let mut answers = Vec::new();
    for request in requests.collect::<Vec<_>>() {
        answers.push(request.await.unwrap());
    }
    assert!(answers.iter().all(|answer| *answer == answers[0]));
    assert_eq!(items(&kennel.get("/dogs").await.ok()).len(), 1);
}

#[tokio::test]
async fn founding_a_kennel_twice_founds_one() {
    let kennel = Kennel::among_others().await;
    let body = json!({ "name": "Larkfell", "time_zone": "Europe/Berlin" });
    let first = kennel.post_once("/v1/kennels", "founding", &body).await.created();
    assert_eq!(kennel.post_once("/v1/kennels", "founding", &body).await.created(), first);
    let me = kennel.get("/v1/me").await.ok();
    assert_eq!(me["kennels"].as_array().unwrap().len(), 2, "{me}");
}

#[tokio::test]
async fn a_key_is_short_and_visible() {
    let kennel = Kennel::among_others().await;
    let body = json!({ "residence": "here" });
    let pointers = kennel.post_once("/dogs", &"k".repeat(256), &body).await.pointers(400);
    assert_eq!(pointers, ["#header/Idempotency-Key"]);
    kennel.post_once("/dogs", "", &body).await.problem(400);
    kennel.post_once("/dogs", &"k".repeat(255), &body).await.created();
}
