//! What a worker writes down while somebody deletes what it belongs to: one of two who wait for each other is refused
//! after a second, and it may be the person.

use super::{super::letters::writing, webhooks::changes};
use crate::common::*;
use reqwest::Method;
use tokio_postgres::Client;

/// Somebody has begun to delete a row; a worker writes down what became of something that goes with it.
struct Deleting {
    /// What they lock first.
    parent: String,
    /// What goes with it, and is not to be in the worker's hands by then.
    child: String,
    worker: String,
    delete: String,
}

impl Deleting {
    async fn waits_with_empty_hands(&self, kennel: &Kennel) {
        let (first, second) = (kennel.sql().await, kennel.sql().await);
        let worker = one(&second, "SELECT pg_backend_pid()").await;
        first.batch_execute(&format!("BEGIN; {} FOR UPDATE", self.parent)).await.unwrap();
        let worker_sql = self.worker.clone();
        let works = tokio::spawn(async move { second.batch_execute(&worker_sql).await });
        let waits = format!("SELECT cardinality(pg_blocking_pids({worker}))::text");
        answers(&first, &waits, "1").await;
        let free = format!("{} FOR UPDATE NOWAIT", self.child);
        first.batch_execute(&free).await.unwrap_or_else(|error| panic!("{}: {error}", self.child));
        first.batch_execute(&format!("{}; COMMIT", self.delete)).await.unwrap();
        works.await.unwrap().unwrap();
        assert_eq!(
            one(&first, &format!("SELECT count(*)::text FROM ({}) c", self.child)).await,
            "0"
        );
    }
}

/// The one value that a statement answers.
async fn one(sql: &Client, statement: &str) -> String {
    let rows = sql.simple_query(statement).await.unwrap();
    let value = rows.iter().find_map(|message| match message {
        tokio_postgres::SimpleQueryMessage::Row(row) => row.get(0).map(str::to_owned),
        _ => None,
    });
    value.unwrap_or_else(|| panic!("nothing: {statement}"))
}

/// Waits until a statement answers this.
async fn answers(sql: &Client, statement: &str, wanted: &str) {
    let answers = async || (one(sql, statement).await == wanted).then_some(());
    until(format_args!("{wanted} from {statement}"), answers).await;
}

#[tokio::test]
async fn who_deletes_a_webhook_waits_for_no_delivery_that_waits_for_them() {
    let kennel = Kennel::new().await;
    let receiver = Receiver::start(&[200]).await;
    let hook = json!({ "url": receiver.url, "events": ["dog"] });
    let hook = id(&kennel.post("/webhooks", hook).await.created()["webhook"]);
    kennel.dam("Juno").await;
    receiver.wait(1).await;
    let deliveries = format!("SELECT id FROM webhook_deliveries WHERE webhook_id = '{hook}'");
    let delivered = format!("SELECT count(*)::text FROM ({deliveries} AND status = 'delivered') d");
    let sql = kennel.sql().await;
    answers(&sql, &delivered, "1").await;
    let kennel_id = kennel.kennel_id;
    let delivery = one(&sql, &deliveries).await;
    // As after the first delivery of all: how the webhook stands is not written down yet.
    let standing = format!("DELETE FROM webhook_standing WHERE webhook_id = '{hook}'");
    sql.batch_execute(&standing).await.unwrap();
    let what = Deleting {
        parent: format!("SELECT FROM webhooks WHERE id = '{hook}'"),
        child: format!("SELECT FROM webhook_deliveries WHERE webhook_id = '{hook}'"),
        worker: format!(
            "SELECT finish_webhook_delivery('{kennel_id}', '{delivery}', true, false, 200, NULL, NULL, 1000)"
        ),
        delete: format!("DELETE FROM webhooks WHERE id = '{hook}'"),
    };
    what.waits_with_empty_hands(&kennel).await;
}

#[tokio::test]
async fn who_takes_a_device_away_waits_for_no_ring_that_waits_for_them() {
    let kennel = Kennel::new().await;
    let sql = kennel.sql().await;
    let kennel_id = kennel.kennel_id;
    let ring = Uuid::now_v7();
    sql.batch_execute(&format!(
        "WITH owner AS (SELECT id, person_id FROM memberships WHERE kennel_id = '{kennel_id}'), \
         device AS (INSERT INTO push_devices (kennel_id, id, person_id, membership_id, name, host, token_hash, secret) \
             SELECT '{kennel_id}', '{ring}', person_id, id, 'Phone', 'push.example', '\\x01', '\\x01' FROM owner) \
         INSERT INTO rings (kennel_id, id, membership_id, person_id, alarm_id, turn, way, device_id, due_at, content, status) \
         SELECT '{kennel_id}', '{ring}', id, person_id, '{ring}', 1, 'push', '{ring}', now(), '{{}}', 'sent' FROM owner"
    ))
    .await
    .unwrap();
    // At the end of a membership devices go first, and rings then.
    let what = Deleting {
        parent: format!("SELECT FROM push_devices WHERE id = '{ring}'"),
        child: format!("SELECT FROM rings WHERE id = '{ring}'"),
        worker: format!("SELECT finish_ring('{ring}', false, true, 'gone', NULL)"),
        delete: format!(
            "DELETE FROM push_devices WHERE id = '{ring}'; DELETE FROM rings WHERE id = '{ring}'"
        ),
    };
    what.waits_with_empty_hands(&kennel).await;
}

#[tokio::test]
async fn who_ends_a_membership_waits_for_no_letter_that_waits_for_them() {
    let kennel = Kennel::with(writing(&PostOffice::start(1).await)).await;
    let helper = kennel.member(Role::Helper).await;
    let version = helper.get("/rings").await.expect(200).etag();
    let request = helper.request(Method::PUT, "/rings").header("If-Match", &version);
    request.json(&json!({ "letter_at": "12:30" })).send().await.expect(200);
    let sql = kennel.sql().await;
    let lease = Uuid::now_v7();
    let member = one(
        &sql,
        &format!(
            "UPDATE letters SET lease = '{lease}', leased_until = now() + interval '1 hour', \
                next_at = now() + interval '1 day' RETURNING membership_id"
        ),
    )
    .await;
    let what = Deleting {
        parent: format!("SELECT FROM memberships WHERE id = '{member}'"),
        child: format!("SELECT FROM letters WHERE membership_id = '{member}'"),
        worker: format!(
            "SELECT finish_letter('{lease}', now(), now() + interval '1 day', 1, '{{}}')"
        ),
        delete: format!("DELETE FROM memberships WHERE id = '{member}'"),
    };
    what.waits_with_empty_hands(&kennel).await;
}

#[tokio::test]
async fn who_takes_deliveries_waits_for_none_that_somebody_has_in_hand() {
    let kennel = Kennel::with(settings()).await;
    let (taker, deleter) = (kennel.sql().await, kennel.sql().await);
    // The service's own worker stays out of a kennel that another one serves.
    let turn = format!(
        "SET lock_timeout = '2s'; SELECT pg_advisory_lock(hashtext('denwright webhooks'), hashtext('{}'))",
        kennel.kennel_id
    );
    taker.batch_execute(&turn).await.unwrap();
    let hook = json!({ "url": "http://127.0.0.1:9/hook", "events": ["dog"] });
    kennel.post("/webhooks", hook).await.created();
    changes(&kennel, 3).await;
    let second = "SELECT id FROM webhook_deliveries ORDER BY sequence OFFSET 1 LIMIT 1";
    let held = one(&deleter, second).await;
    let hold = format!("BEGIN; SELECT FROM webhook_deliveries WHERE id = '{held}' FOR UPDATE");
    deleter.batch_execute(&hold).await.unwrap();
    let claim = format!(
        "SELECT count(*)::text || ' ' || coalesce(bool_or(id = '{held}'), true)::text \
         FROM claim_webhook_deliveries(8, 8, '{}', 60)",
        Uuid::nil()
    );
    assert_eq!(one(&taker, &claim).await, "2 false", "the others are taken");
    deleter.batch_execute("ROLLBACK").await.unwrap();
    assert_eq!(one(&taker, &claim).await, "1 true", "and this one the next time");
}

/// Somebody else writes in the kennel and will change the row as well: who comes second waits with empty hands.
#[tokio::test]
async fn who_changes_a_row_waits_for_their_turn_before_they_lock_it() {
    let kennel = Kennel::with(settings()).await;
    let dog = kennel.dam("Juno").await;
    let phone = json!({ "name": "Phone" });
    let booklets = format!("/dogs/{dog}/booklet-links");
    let mut made = Vec::new();
    for (path, body) in [
        ("/access-tokens", json!({ "name": "Scale", "read_only": false, "password": PASSWORD })),
        ("/calendar-links", phone.clone()),
        (&*booklets, json!({})),
    ] {
        kennel.post(path, body).await.created();
        let list = kennel.get(path).await.ok();
        made.push(format!("{path}/{}", id(&items(&list)[0])));
    }
    for (path, body) in
        [("/booklet-texts", json!({ "care": "Hay" })), ("/rules/readiness", json!({}))]
    {
        put(&kennel, path, body).await.expect(200);
    }
    let whole = format!("/v1/kennels/{}", kennel.kennel_id);
    let [token, link, booklet] = &*made else { panic!("{made:?}") };
    for (method, path, body, table) in [
        ("put", &**link, phone, "calendar_links"),
        ("delete", link, Value::Null, "calendar_links"),
        ("delete", token, Value::Null, "access_tokens"),
        ("delete", booklet, Value::Null, "booklet_links"),
        ("put", "/booklet-texts", json!({ "care": "Straw" }), "booklet_texts"),
        ("put", "/rules/readiness", json!({ "minimum_weight_g": 2_500 }), "readiness_rules"),
        ("patch", &*whole, json!({ "vet_phone": "+49 30 1234567" }), "kennels"),
    ] {
        let other = kennel.sql().await;
        let begun = format!("BEGIN; SELECT next_changes('{}', 0)", kennel.kennel_id);
        other.batch_execute(&begun).await.unwrap();
        let change = async {
            match method {
                "put" => put(&kennel, path, body).await.expect(200),
                "patch" => kennel.change(path, body).await.expect(200),
                _ => kennel.request(Method::DELETE, path).send().await.expect(204),
            }
        };
        let writes_after = async {
            let waiting = "SELECT count(*)::text FROM pg_stat_activity \
                 WHERE datname = current_database() AND wait_event_type = 'Lock'";
            answers(&other, waiting, "1").await;
            let free = format!("SELECT FROM {table} FOR NO KEY UPDATE NOWAIT; COMMIT");
            let locked = other.batch_execute(&free).await;
            locked.unwrap_or_else(|error| panic!("{method} {path}: {error}"));
        };
        tokio::join!(change, writes_after);
    }
}

/// Puts what takes the place of the version that is there now.
async fn put(kennel: &Kennel, path: &str, body: Value) -> Answer {
    let version = kennel.get(path).await.expect(200).etag();
    let request = kennel.request(Method::PUT, path).header("If-Match", &version);
    request.json(&body).send().await
}
