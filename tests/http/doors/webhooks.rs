//! Webhooks cannot be made to delay others, to fill the database, or to go on without who made them.

use crate::common::*;
use denwright::service::server::Settings;
use outgoing::webhooks::Manner;
use std::{
    sync::Arc,
    time::{Duration, Instant},
};
use store::upkeep;

async fn hook(kennel: &Kennel, receiver: &Receiver, events: Value) -> Uuid {
    let body = json!({ "url": receiver.url, "events": events });
    id(&kennel.post("/webhooks", body).await.created()["webhook"])
}

async fn listed(kennel: &Kennel, hook: Uuid, query: &str) -> Value {
    kennel.get(&format!("/webhooks/{hook}/deliveries?{query}")).await.ok()
}

async fn count(kennel: &Kennel, hook: Uuid, status: &str) -> i64 {
    let sql = kennel.sql().await;
    let query = format!(
        "SELECT count(*) FROM webhook_deliveries WHERE webhook_id = '{hook}' AND status = '{status}'"
    );
    sql.query_one(&query, &[]).await.unwrap().get(0)
}

/// Waits until nothing waits for the webhook any more.
async fn emptied(kennel: &Kennel, hook: Uuid) {
    let none_waits = async || (count(kennel, hook, "waiting").await == 0).then_some(());
    until("nothing waits", none_waits).await;
}

/// So many changes in the log, in one statement.
pub(super) async fn changes(kennel: &Kennel, number: i32) {
    let sql = kennel.sql().await;
    let id = kennel.kennel_id;
    sql.batch_execute(&format!(
        "WITH head AS (SELECT next_changes('{id}', {number}) AS base) \
         INSERT INTO changes (kennel_id, sequence, what, row_id, action) \
         SELECT '{id}', head.base + n, 'dog', gen_random_uuid(), 'changed' FROM head, generate_series(1, {number}) n"
    ))
    .await
    .unwrap();
}

fn patient(patience: Duration) -> Settings {
    let manner = Manner { patience, ..settings().webhooks };
    Settings { webhooks: manner, ..settings() }
}

/// One that never answers has a hundred changes waiting, in a kennel of its own and beside a good one.
#[tokio::test]
async fn one_that_hangs_delays_nobody_else() {
    let hanging = Kennel::with(patient(Duration::from_secs(60))).await;
    let silent = Receiver::slow(&[200], Duration::from_secs(600)).await;
    let hook_of_silent = hook(&hanging, &silent, json!(["dog"])).await;
    changes(&hanging, 100).await;
    silent.wait(4).await;

    let other = hanging.another().await;
    for kennel in [&hanging, &other] {
        let receiver = Receiver::start(&[200]).await;
        hook(kennel, &receiver, json!(["weight"])).await;
        let dog = kennel.dam("Juno").await;
        let began = Instant::now();
        kennel.weight(dog, 1, 27_000).await;
        receiver.wait(1).await;
        let took = began.elapsed();
        assert!(took < SOON, "{took:?}");
    }
    assert_eq!(silent.most_at_once(), 4, "a webhook has four deliveries in flight, no more");
    assert_eq!(count(&hanging, hook_of_silent, "delivered").await, 0);
}

/// More calls hang than there are places, and each is the first of its webhook: nobody knows it of them yet.
#[tokio::test]
async fn many_that_hang_delay_nobody_else_before_they_are_known_for_it() {
    let patience = Duration::from_secs(60);
    let manner = Manner { patience, slow: Duration::from_millis(300), ..settings().webhooks };
    let first = Kennel::with(Settings { webhooks: manner, ..settings() }).await;
    let silent = Receiver::slow(&[200], Duration::from_secs(600)).await;
    let mut hanging = Vec::new();
    for _ in 0..10 {
        let kennel = first.another().await;
        hook(&kennel, &silent, json!(["dog"])).await;
        hook(&kennel, &silent, json!(["dog"])).await;
        hanging.push(kennel);
    }
    for kennel in &hanging {
        changes(kennel, 4).await;
    }
    silent.wait(64).await;
    let receiver = Receiver::start(&[200]).await;
    hook(&first, &receiver, json!(["weight"])).await;
    let dog = first.dam("Juno").await;
    let began = Instant::now();
    first.weight(dog, 1, 27_000).await;
    receiver.wait(1).await;
    let took = began.elapsed();
    assert!(took < SOON, "{took:?}");
    // The slow lane has room for all of them.
    silent.wait(80).await;
}

/// One that answers, but late, has one place once that is known; its neighbour keeps four.
#[tokio::test]
async fn one_that_answers_late_waits_for_itself() {
    let manner = Manner { slow: Duration::from_millis(200), ..settings().webhooks };
    let kennel = Kennel::with(Settings { webhooks: manner, ..settings() }).await;
    let late = Receiver::slow(&[200], Duration::from_millis(500)).await;
    let hook_of_late = hook(&kennel, &late, json!(["dog"])).await;
    changes(&kennel, 1).await;
    emptied(&kennel, hook_of_late).await;
    changes(&kennel, 5).await;
    late.wait(6).await;
    assert_eq!(late.most_at_once(), 1, "a slow one is called by itself");
    let quick = Receiver::slow(&[200], Duration::from_millis(150)).await;
    hook(&kennel, &quick, json!(["dog"])).await;
    changes(&kennel, 12).await;
    quick.wait(12).await;
    assert_eq!(quick.most_at_once(), 4);
}

#[tokio::test]
async fn a_kennel_has_twenty_webhooks_whatever_the_race() {
    let kennel = Kennel::new().await;
    let body = json!({ "url": "https://kennel.example/hook", "active": false });
    for _ in 0..18 {
        kennel.post("/webhooks", body.clone()).await.created();
    }
    let answers = kennel.post_at_once(6, "/webhooks", &body).await;
    let mut statuses: Vec<u16> = answers.iter().map(|answer| answer.status).collect();
    statuses.sort_unstable();
    assert_eq!(statuses, [201, 201, 409, 409, 409, 409]);
    let problem = kennel.post("/webhooks", body.clone()).await.problem(409);
    assert!(problem["detail"].as_str().unwrap().contains("20"), "{problem}");
    // Another kennel has its own, and a place that becomes free is free.
    kennel.another().await.post("/webhooks", body.clone()).await.created();
    let first = ids(&kennel.get("/webhooks").await.ok())[0];
    kennel.remove(&format!("/webhooks/{first}")).await.no_content();
    kennel.post("/webhooks", body.clone()).await.created();
    kennel.post("/webhooks", body).await.problem(409);
}

#[tokio::test]
async fn one_that_fails_for_days_is_switched_off_and_told() {
    let kennel = Kennel::new().await;
    let sql = kennel.sql().await;
    let receiver = Receiver::start(&[500]).await;
    let failing = hook(&kennel, &receiver, json!(["dog"])).await;
    let well = Receiver::start(&[200]).await;
    let good = hook(&kennel, &well, json!(["dog"])).await;
    changes(&kennel, 3).await;
    // Three changes, three tries each: it fails, but not for long.
    receiver.wait(9).await;
    let standing = listed(&kennel, failing, "").await;
    assert!(standing["first_failed_at"].is_string(), "{standing}");
    assert!(standing["switched_off_at"].is_null(), "{standing}");
    assert_eq!(kennel.get(&format!("/webhooks/{failing}")).await.ok()["active"], json!(true));

    // A minute short of five days, then past them.
    for (age, active) in [("4 days 23:58", true), ("5 days", false)] {
        let set = format!(
            "UPDATE webhook_standing SET failing_since = now() - interval '{age}' WHERE failures > 0"
        );
        sql.batch_execute(&set).await.unwrap();
        let before = receiver.all().len();
        changes(&kennel, 1).await;
        receiver.wait(before + 1).await;
        emptied(&kennel, failing).await;
        let now = kennel.get(&format!("/webhooks/{failing}")).await.ok();
        assert_eq!(now["active"], json!(active), "after {age}");
    }
    let standing = listed(&kennel, failing, "").await;
    assert!(standing["switched_off_at"].is_string(), "{standing}");
    // What was still waiting is told as dropped; nothing is called any more.
    let calls = receiver.all().len();
    changes(&kennel, 1).await;
    tokio::time::sleep(Duration::from_millis(500)).await;
    assert_eq!(receiver.all().len(), calls);
    assert_eq!(count(&kennel, failing, "waiting").await, 0);
    let dropped = listed(&kennel, failing, "status=dropped").await;
    for delivery in items(&dropped) {
        assert!(delivery["last_error"].as_str().unwrap().contains("switched off"), "{delivery}");
    }
    // In the log, by nobody; to whoever made it, by mail.
    let log = kennel.get("/changes?record=webhook&limit=500").await.ok();
    let off = items(&log)
        .iter()
        .find(|change| change["row_id"] == json!(failing) && change["action"] == "changed");
    let off = off.unwrap_or_else(|| panic!("{log}"));
    assert_eq!((&off["after"]["active"], &off["person_id"]), (&json!(false), &Value::Null));
    let whose = format!("SELECT email FROM people WHERE id = '{}'", kennel.person_id);
    let email: String = sql.query_one(&whose, &[]).await.unwrap().get(0);
    mailed(&email, "webhook was switched off").await;
    // Its neighbour is as it was, and it may begin anew.
    assert_eq!(kennel.get(&format!("/webhooks/{good}")).await.ok()["active"], json!(true));
    receiver.answers(&[200]);
    kennel.change(&format!("/webhooks/{failing}"), json!({ "active": true })).await.ok();
    assert!(listed(&kennel, failing, "").await["first_failed_at"].is_null());
    changes(&kennel, 1).await;
    receiver.wait(calls + 1).await;
}

/// A good try in between, and the days are counted anew; a clock that jumped is no failure of days.
#[tokio::test]
async fn one_that_fails_now_and_then_stays_on() {
    let manner = Manner { failing: Duration::ZERO, ..settings().webhooks };
    let kennel = Kennel::with(Settings { webhooks: manner, ..settings() }).await;
    let receiver =
        Receiver::start(&[500, 500, 200, 500, 500, 200, 500, 500, 200, 500, 500, 200]).await;
    let hook = hook(&kennel, &receiver, json!(["dog"])).await;
    for number in 1..=4 {
        changes(&kennel, 1).await;
        receiver.wait(3 * number).await;
    }
    assert_eq!(kennel.get(&format!("/webhooks/{hook}")).await.ok()["active"], json!(true));
    // The fifth failure in a row is one too many.
    receiver.answers(&[500]);
    changes(&kennel, 2).await;
    receiver.wait(17).await;
    let path = format!("/webhooks/{hook}");
    let is_off = async || (kennel.get(&path).await.ok()["active"] == json!(false)).then_some(());
    until("it is switched off", is_off).await;
}

#[tokio::test]
async fn a_queue_holds_two_thousand_and_tells_what_it_drops() {
    let kennel = Kennel::with(patient(Duration::from_secs(60))).await;
    let silent = Receiver::slow(&[200], Duration::from_secs(600)).await;
    let hook = hook(&kennel, &silent, json!(["dog"])).await;
    changes(&kennel, 4).await;
    silent.wait(4).await;
    changes(&kennel, 1_996).await;
    assert_eq!(
        (count(&kennel, hook, "waiting").await, count(&kennel, hook, "dropped").await),
        (2_000, 0)
    );
    changes(&kennel, 1).await;
    // The oldest four are in flight and left to their try.
    assert_eq!(
        (count(&kennel, hook, "waiting").await, count(&kennel, hook, "dropped").await),
        (2_001, 0)
    );
    changes(&kennel, 10).await;
    let dropped = listed(&kennel, hook, "status=dropped").await;
    assert_eq!(items(&dropped).len(), 7, "{dropped}");
    assert!(items(&dropped)[0]["last_error"].as_str().unwrap().contains("2000"), "{dropped}");
    // What was dropped can be sent again.
    let again = id(&items(&dropped)[0]);
    kennel
        .post(&format!("/webhooks/{hook}/deliveries/{again}/resend"), json!({}))
        .await
        .expect(202);
}

#[tokio::test]
async fn what_has_waited_for_four_days_is_dropped_and_told() {
    let kennel = Kennel::new().await;
    let receiver = Receiver::start(&[200]).await;
    let hook = hook(&kennel, &receiver, json!(["dog"])).await;
    // While it is off it is not called; what waits goes on waiting.
    changes(&kennel, 1).await;
    receiver.wait(1).await;
    let sql = kennel.sql().await;
    for (age, status) in [("3 days 23:59", "waiting"), ("4 days", "dropped")] {
        sql.batch_execute(&format!(
            "UPDATE webhook_deliveries SET status = 'waiting', next_at = now() + interval '1 hour', \
             queued_at = now() - interval '{age}'"
        ))
        .await
        .unwrap();
        upkeep::clear_away(&kennel.service.db).await.unwrap();
        assert_eq!(
            items(&listed(&kennel, hook, &format!("status={status}")).await).len(),
            1,
            "{age}"
        );
    }
    // It is not sent in the meantime either, should nobody have cleared away.
    sql.batch_execute("UPDATE webhook_deliveries SET status = 'waiting', next_at = now()")
        .await
        .unwrap();
    tokio::time::sleep(Duration::from_millis(500)).await;
    assert_eq!(receiver.all().len(), 1);
    // Sent again by hand, it waits from now on.
    let delivery = id(&items(&listed(&kennel, hook, "").await)[0]);
    kennel
        .post(&format!("/webhooks/{hook}/deliveries/{delivery}/resend"), json!({}))
        .await
        .expect(202);
    receiver.wait(2).await;
}

/// One that is switched off keeps what waits, and calls nobody.
#[tokio::test]
async fn one_that_is_off_is_not_called_for_what_waits() {
    let kennel = Kennel::new().await;
    let receiver = Receiver::start(&[200]).await;
    let hook = hook(&kennel, &receiver, json!(["dog"])).await;
    changes(&kennel, 1).await;
    receiver.wait(1).await;
    kennel.change(&format!("/webhooks/{hook}"), json!({ "active": false })).await.ok();
    kennel
        .sql()
        .await
        .batch_execute("UPDATE webhook_deliveries SET status = 'waiting', next_at = now()")
        .await
        .unwrap();
    tokio::time::sleep(Duration::from_millis(500)).await;
    assert_eq!(receiver.all().len(), 1);
    kennel.change(&format!("/webhooks/{hook}"), json!({ "active": true })).await.ok();
    receiver.wait(2).await;
}

/// Whoever made it is sent away: what waits goes, nothing is called, and a new membership brings nothing back.
#[tokio::test]
async fn one_ends_with_the_membership_of_whoever_made_it() {
    let kennel = Kennel::new().await;
    let partner = kennel.member(Role::Owner).await;
    let receiver = Receiver::start(&[503]).await;
    let body = json!({ "url": receiver.url, "events": ["dog"] });
    let hook = id(&partner.post("/webhooks", body).await.created()["webhook"]);
    changes(&kennel, 20).await;
    receiver.wait(1).await;
    let members = kennel.get("/members").await.ok();
    let member = items(&members).iter().find(|of| of["person_id"] == json!(partner.person_id));
    kennel.remove(&format!("/members/{}", id(member.unwrap()))).await.no_content();
    assert_eq!(count(&kennel, hook, "waiting").await, 0);
    kennel.get(&format!("/webhooks/{hook}")).await.problem(404);
    // What was in flight just then ends.
    let mut calls = usize::MAX;
    while calls != receiver.all().len() {
        calls = receiver.all().len();
        tokio::time::sleep(Duration::from_millis(300)).await;
    }
    changes(&kennel, 5).await;
    tokio::time::sleep(Duration::from_millis(700)).await;
    assert_eq!(receiver.all().len(), calls, "nobody is told any more");
    assert_eq!(items(&kennel.get("/webhooks").await.ok()).len(), 0);
}

/// Kennels have their turns: none waits for another's long queue.
#[tokio::test]
async fn kennels_have_their_turns() {
    let kennel = Kennel::new().await;
    let (busy, calm) =
        (Receiver::slow(&[200], Duration::from_millis(20)).await, Receiver::start(&[200]).await);
    let sql = Arc::new(kennel.sql().await);
    hook(&kennel, &busy, json!(["dog"])).await;
    let mut others = Vec::new();
    for _ in 0..5 {
        let other = kennel.another().await;
        hook(&other, &calm, json!(["dog"])).await;
        others.push(other);
    }
    changes(&kennel, 1_500).await;
    for other in &others {
        changes(other, 1).await;
    }
    calm.wait(others.len()).await;
    let waiting: i64 = sql
        .query_one("SELECT count(*) FROM webhook_deliveries WHERE status = 'waiting'", &[])
        .await
        .unwrap()
        .get(0);
    assert!(waiting > 500, "the long queue is still there: {waiting}");
}
