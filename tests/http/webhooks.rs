//! Webhooks: signed, tried again, never lost, and not a way into private networks.

use crate::common::*;
use denwright::service::server::Settings;
use outgoing::webhooks::Manner;

async fn hook(kennel: &Kennel, receiver: &Receiver, events: Value) -> (Uuid, Vec<u8>) {
    let body = json!({ "url": receiver.url, "events": events });
    let made = kennel.post("/webhooks", body).await.created();
    let secret = made["secret"].as_str().unwrap().strip_prefix("whsec_").unwrap().to_owned();
    use base64::Engine as _;
    let secret = base64::engine::general_purpose::STANDARD.decode(secret).unwrap();
    (id(&made["webhook"]), secret)
}

async fn deliveries(kennel: &Kennel, hook: Uuid, status: &str) -> Vec<Value> {
    let path = format!("/webhooks/{hook}/deliveries?status={status}");
    items(&kennel.get(&path).await.ok()).to_vec()
}

/// Waits until so many deliveries are at this.
async fn settled(kennel: &Kennel, hook: Uuid, status: &str, count: usize) -> Vec<Value> {
    let all =
        async || Some(deliveries(kennel, hook, status).await).filter(|found| found.len() == count);
    until(format_args!("{count} are {status}"), all).await
}

#[tokio::test]
async fn changes_arrive_signed() {
    let kennel = Kennel::new().await;
    let receiver = Receiver::start(&[200]).await;
    let (hook, secret) = hook(&kennel, &receiver, json!(["dog", "weight.deleted"])).await;
    let juno = kennel.dam("Juno").await;
    kennel.weight(juno, 1, 27_000).await;
    kennel.change(&format!("/dogs/{juno}"), json!({ "colour": "black" })).await.ok();
    let other = kennel.another().await;
    other.dam("Freya").await;
    let delivered = settled(&kennel, hook, "delivered", 2).await;
    let received = receiver.wait(2).await;
    assert_eq!(received.len(), 2, "{received:?}");
    let mut types = Vec::new();
    for call in &received {
        let [id, time, signature] = ["webhook-id", "webhook-timestamp", "webhook-signature"]
            .map(|name| call.headers[name].clone());
        let expected =
            outgoing::webhooks::signature(&secret, &id, time.parse().unwrap(), &call.body);
        assert_eq!(signature, expected);
        assert!(delivered.iter().any(|delivery| delivery["id"] == json!(id)));
        let body: Value = serde_json::from_str(&call.body).unwrap();
        assert_eq!(body["kennel_id"], json!(kennel.kennel_id));
        assert_eq!(body["data"]["row_id"], json!(juno));
        types.push(body["type"].as_str().unwrap().to_owned());
    }
    types.sort();
    assert_eq!(types, ["dog.changed", "dog.created"]);

    // The secret is shown once; neither it nor the address is told to others.
    let read = kennel.get(&format!("/webhooks/{hook}")).await.expect(200).text();
    assert!(!read.contains("whsec_") && !read.contains("secret"));
    assert!(!kennel.get("/changes?limit=500").await.expect(200).text().contains("\"secret\""));
    let helper = kennel.helper().await;
    helper.get("/webhooks").await.problem(403);
    assert!(!helper.get("/changes?limit=500").await.expect(200).text().contains("key=theirs"));
    other.get(&format!("/webhooks/{hook}")).await.problem(404);
    other.get(&format!("/webhooks/{hook}/deliveries")).await.problem(404);

    // Not told while it is off.
    kennel.change(&format!("/webhooks/{hook}"), json!({ "active": false })).await.ok();
    kennel.dam("Hera").await;
    tokio::time::sleep(std::time::Duration::from_millis(500)).await;
    assert_eq!(receiver.all().len(), 2);
    kennel.remove(&format!("/webhooks/{hook}")).await.no_content();
}

#[tokio::test]
async fn what_fails_is_tried_again_then_lies_dead_and_can_be_sent_anew() {
    let kennel = Kennel::new().await;
    let receiver = Receiver::start(&[503, 302, 200]).await;
    let (good, _) = hook(&kennel, &receiver, json!(["dog"])).await;
    kennel.dam("Juno").await;
    let arrived = settled(&kennel, good, "delivered", 1).await;
    assert_eq!((&arrived[0]["attempts"], &arrived[0]["last_status"]), (&json!(3), &json!(200)));
    let calls = receiver.all();
    assert!(calls.iter().all(|call| call.headers["webhook-id"] == calls[0].headers["webhook-id"]));
    kennel.remove(&format!("/webhooks/{good}")).await.no_content();

    let receiver = Receiver::start(&[500]).await;
    let (bad, _) = hook(&kennel, &receiver, json!([])).await;
    kennel.dam("Hera").await;
    // Its own making is a change as well.
    let dead = settled(&kennel, bad, "dead", 2).await;
    assert_eq!((&dead[0]["attempts"], &dead[0]["last_error"]), (&json!(3), &json!("answered 500")));
    assert!(dead[0]["next_at"].is_null());
    receiver.answers(&[204]);
    let path = format!("/webhooks/{bad}/deliveries/{}/resend", id(&dead[0]));
    kennel.helper().await.post(&path, json!({})).await.problem(403);
    kennel.post(&path, json!({})).await.expect(202);
    settled(&kennel, bad, "dead", 1).await;
    // The new helper is told of as well.
    let arrived = settled(&kennel, bad, "delivered", 2).await;
    assert!(arrived.iter().any(|delivery| delivery["id"] == dead[0]["id"]), "{arrived:?}");
}

#[tokio::test]
async fn two_instances_deliver_each_once() {
    let kennel = Kennel::new().await;
    let _beside = kennel.service.beside(settings());
    let receiver = Receiver::start(&[200]).await;
    let (hook, _) = hook(&kennel, &receiver, json!(["dog.created"])).await;
    for number in 0..25 {
        kennel.dog(&format!("Dog {number}"), json!({})).await;
    }
    settled(&kennel, hook, "delivered", 25).await;
    let mut ids: Vec<String> =
        receiver.all().iter().map(|call| call.headers["webhook-id"].clone()).collect();
    ids.sort();
    let calls = ids.len();
    ids.dedup();
    assert_eq!((ids.len(), calls), (25, 25));
}

#[tokio::test]
async fn private_networks_are_not_called() {
    let manner = Manner { private_networks: false, ..settings().webhooks };
    let kennel = Kennel::with(Settings { webhooks: manner, ..settings() }).await;
    for url in [
        "http://kennel.example/",
        "https://127.0.0.1/",
        "https://[::1]/",
        "https://10.0.0.1/",
        "https://169.254.169.254/",
        "nowhere",
    ] {
        kennel.post("/webhooks", json!({ "url": url })).await.refused(&["/url"]);
    }
    let made = kennel.post("/webhooks", json!({ "url": "https://localhost:1/" })).await.created();
    let hook = id(&made["webhook"]);
    kennel
        .change(&format!("/webhooks/{hook}"), json!({ "url": "https://192.168.0.1/" }))
        .await
        .refused(&["/url"]);
    kennel.dam("Juno").await;
    let dead = settled(&kennel, hook, "dead", 2).await;
    let error = dead[0]["last_error"].as_str().unwrap();
    assert!(error.contains("no public address"), "{error}");
}

#[tokio::test]
async fn a_webhook_is_told_of_what_there_is() {
    let kennel = Kennel::new().await;
    let body = json!({ "url": "https://kennel.example/", "events": ["dog", "cat", "dog.barked"] });
    kennel.post("/webhooks", body).await.refused(&["/events/2"]);
    let body = json!({ "url": "https://kennel.example/", "events": ["dog", "cat"] });
    kennel.post("/webhooks", body).await.refused(&["/events/1"]);
}

#[tokio::test]
async fn what_cannot_be_asked_of_deliveries_is_refused_where_it_stands() {
    let kennel = Kennel::new().await;
    let receiver = Receiver::start(&[200]).await;
    let (hook, _) = hook(&kennel, &receiver, json!([])).await;
    for (query, place) in [
        ("status=", "#query/status"),
        ("status=lost", "#query/status"),
        ("cursor=x", "#query/cursor"),
        ("cursor=-1", "#query/cursor"),
        ("sort=sequence", "#query/sort"),
    ] {
        let answer = kennel.get(&format!("/webhooks/{hook}/deliveries?{query}")).await;
        assert_eq!(answer.pointers(400), [place], "{query}");
    }
    let long = "x".repeat(101);
    let answer = kennel.get(&format!("/changes?record={long}")).await;
    assert_eq!(answer.pointers(400), ["#query/record"]);
}
