//! An owner deletes a kennel: who may, what goes on for thirty days, and that at the end all of it is gone and nothing
//! of another.

use crate::{
    archives::full_kennel,
    attachments::{attach, photograph, upload},
    common::*,
    letters::writing,
};
use chrono::{DateTime, Duration, Utc};
use denwright::service::{
    kennel_ends::{clear, remind},
    server::Settings,
};
use files::Blobs;
use std::{collections::BTreeMap, fs, path::Path};
use store::leaving;
use tokio_postgres::Client;

fn deletion(name: &str) -> Value {
    json!({ "name": name, "password": PASSWORD })
}

const NAME: &str = "Thornwick Kennel";

#[tokio::test]
async fn an_owner_types_the_name_and_shows_who_they_are() {
    let kennel = Kennel::new().await;
    let juno = kennel.dam("Juno").await;
    for other in [kennel.viewer().await, kennel.helper().await, kennel.co_owner(&[juno]).await] {
        other.post("/deletion", deletion(NAME)).await.problem(403);
        other.delete("/deletion", "*").await.problem(403);
    }
    kennel
        .another()
        .await
        .in_kennel(kennel.kennel_id)
        .post("/deletion", deletion(NAME))
        .await
        .problem(404);
    kennel.nobody().post("/deletion", deletion(NAME)).await.problem(401);
    let token = json!({ "name": "Screen", "read_only": false, "password": PASSWORD });
    let token = kennel.post("/access-tokens", token).await.created()["token"].clone();
    let by_token = kennel.with_token(token.as_str().unwrap());
    by_token.post("/deletion", deletion(NAME)).await.problem(403);
    by_token.delete("/deletion", "*").await.problem(403);

    for other in ["", "thornwick kennel", "Thornwick Kennel ", "Thornwick"] {
        kennel.post("/deletion", deletion(other)).await.refused(&["/name"]);
    }
    let wrong = json!({ "name": NAME, "password": "not it, not it" });
    kennel.post("/deletion", wrong).await.refused(&["/password"]);
    assert_eq!(kennel.get("").await.ok()["ends_at"], Value::Null);
    kennel.delete("/deletion", "*").await.problem(409);

    let set = kennel.post("/deletion", deletion(NAME)).await.ok();
    assert_eq!(set["archive"], format!("/v1/kennels/{}/archive", kennel.kennel_id));
    let ends_at: DateTime<Utc> = set["ends_at"].as_str().unwrap().parse().unwrap();
    let days = ends_at - Utc::now();
    assert!(
        days > Duration::days(30) - Duration::minutes(1) && days <= Duration::days(30),
        "{days}"
    );
    assert_eq!(kennel.get("").await.ok()["ends_at"], set["ends_at"]);
    // A second request, of another owner say, puts nothing off.
    let other = kennel.member(Role::Owner).await;
    assert_eq!(other.post("/deletion", deletion(NAME)).await.ok()["ends_at"], set["ends_at"]);
}

#[tokio::test]
async fn until_its_end_it_goes_on_and_any_owner_takes_it_back() {
    let kennel = Kennel::new().await;
    let (other, helper) = (kennel.member(Role::Owner).await, kennel.helper().await);
    let juno = kennel.dam("Juno").await;
    let before = kennel.get("").await.expect(200);
    let mut stream = helper.follow(None).await;
    kennel.post("/deletion", deletion(NAME)).await.ok();
    // Everybody is told: by the log, live, and by the kennel itself.
    loop {
        let (_, change) = stream.next().await;
        if change["record"] == "kennel" && change["action"] == "changed" {
            assert_eq!(change["before"]["ends_at"], Value::Null);
            assert!(change["after"]["ends_at"].is_string(), "{change}");
            break;
        }
    }
    let during = helper.get("").await.expect(200);
    assert!(during.json()["ends_at"].is_string());
    assert_ne!(before.header("etag"), during.header("etag"));
    // It is read, written and taken along.
    let weight = json!({ "measured_at": time_ago(Duration::hours(1)), "weight_g": 27_000 });
    helper.post(&format!("/dogs/{juno}/weights"), weight).await.created();
    kennel.get("/archive").await.expect(200);
    kennel.change("", json!({ "vet_phone": "+49 30 1234" })).await.ok();

    other.delete("/deletion", "*").await.no_content();
    assert_eq!(kennel.get("").await.ok()["ends_at"], Value::Null);
    other.delete("/deletion", "*").await.problem(409);
    let log = kennel.get("/changes?record=kennel").await.ok();
    assert_eq!(items(&log).last().unwrap()["after"]["ends_at"], Value::Null);
    assert_eq!(items(&log).last().unwrap()["person_id"], json!(other.person_id));
    assert_eq!(items(&helper.get(&format!("/dogs/{juno}/weights")).await.ok()).len(), 1);
}

#[tokio::test]
async fn each_member_is_told_by_mail_in_their_language() {
    let office = PostOffice::start(1).await;
    let kennel = Kennel::with(writing(&office)).await;
    let helper = kennel.helper().await;
    let seen = helper.get("/rings").await.expect(200).etag();
    let request = helper.request(reqwest::Method::PUT, "/rings").header("If-Match", &seen);
    request.json(&json!({ "language": "de" })).send().await.expect(200);
    let set = kennel.post("/deletion", deletion(NAME)).await.ok();
    assert_eq!(set["mailed"], true);
    let mails = office.wait(2).await;
    let german = mails.iter().filter(|mail| mail.contains("Bis dahin geht alles weiter")).count();
    let english =
        mails.iter().filter(|mail| mail.contains("Until then everything goes on")).count();
    assert_eq!((english, german), (1, 1), "{mails:?}");
    // A repeat tells nobody twice.
    assert_eq!(kennel.post("/deletion", deletion(NAME)).await.ok()["mailed"], false);
    kennel.delete("/deletion", "*").await.no_content();
    let mails = office.wait(4).await;
    assert_eq!(mails.iter().filter(|mail| mail.contains("goes on")).count(), 2, "{mails:?}");
}

/// Owners alone are told once more, once, in their language; not before the last week, and not after it was taken back.
#[tokio::test]
async fn owners_are_reminded_in_the_last_week() {
    let office = PostOffice::start(1).await;
    let kennel = Kennel::with(writing(&office)).await;
    let second = kennel.member(Role::Owner).await;
    let seen = second.get("/rings").await.expect(200).etag();
    let request = second.request(reqwest::Method::PUT, "/rings").header("If-Match", &seen);
    request.json(&json!({ "language": "de" })).send().await.expect(200);
    kennel.helper().await.get("").await.ok();
    kennel.post("/deletion", deletion(NAME)).await.ok();
    office.wait(3).await;
    let (sql, db) = (kennel.sql().await, &kennel.service.db);
    let ends = |when: &'static str| {
        let sql = &sql;
        async move {
            let moved = format!("UPDATE kennel_ends SET ends_at = {when}");
            sql.batch_execute(&moved).await.unwrap();
            remind(db, None, now()).await.unwrap()
        }
    };
    assert_eq!(ends("now() + interval '7 days 1 minute'").await, 0);
    assert_eq!(ends("now()").await, 0, "it is over");
    assert_eq!(ends("now() + interval '7 days'").await, 1);
    assert_eq!(ends("now() + interval '1 day'").await, 0, "once");
    let mails = office.wait(5).await;
    let soon = |words: &str| mails.iter().filter(|mail| mail.contains(words)).count();
    assert_eq!(
        (soon("This is the last reminder"), soon("Das ist die letzte Erinnerung")),
        (1, 1),
        "{mails:?}"
    );
    // Set anew, it is told anew.
    kennel.delete("/deletion", "*").await.no_content();
    assert_eq!(remind(db, None, now()).await.unwrap(), 0);
    kennel.post("/deletion", deletion(NAME)).await.ok();
    assert_eq!(ends("now() + interval '6 days'").await, 1);
}

/// The rows of each table, of this kennel or of all but it.
async fn counts(sql: &Client, condition: &str) -> BTreeMap<String, i64> {
    let query = "SELECT c.relname::text FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid \
         WHERE c.relkind = 'r' AND c.relnamespace = 'public'::regnamespace \
         AND a.attname = 'kennel_id' AND NOT a.attisdropped ORDER BY 1";
    let mut counts = BTreeMap::new();
    for row in sql.query(query, &[]).await.unwrap() {
        let table: String = row.get(0);
        let count = format!("SELECT count(*) FROM {table} WHERE {condition}");
        counts.insert(table, sql.query_one(&count, &[]).await.unwrap().get(0));
    }
    counts
}

fn there(folder: &Path) -> Vec<String> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_owned()];
    while let Some(next) = open.pop() {
        for entry in fs::read_dir(&next).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                open.push(path);
            } else {
                found.push(path.strip_prefix(folder).unwrap().to_str().unwrap().to_owned());
            }
        }
    }
    found.sort();
    found
}

/// Its end comes at this moment of the database's clock, within a transaction.
async fn due(sql: &Client, ends_at: &str) -> bool {
    let moved = format!("BEGIN; UPDATE kennel_ends SET ends_at = {ends_at}");
    sql.batch_execute(&moved).await.unwrap();
    let row = sql.query_one("SELECT count(*) FROM ended_kennels()", &[]).await.unwrap();
    let due = row.get::<_, i64>(0) == 1;
    let closed = "SELECT close_ended_kennel(kennel_id) FROM kennel_ends";
    let closes: bool = sql.query_one(closed, &[]).await.unwrap().get(0);
    assert_eq!(due, closes, "what is due is closed, and nothing else");
    sql.batch_execute("ROLLBACK").await.unwrap();
    due
}

async fn kept(kennel: &Kennel, ends_at: &str) -> bool {
    let sql = kennel.sql().await;
    let moved = format!("BEGIN; UPDATE kennel_ends SET ends_at = {ends_at}");
    sql.batch_execute(&moved).await.unwrap();
    sql.batch_execute(&kennel.stand_in(Role::Owner)).await.unwrap();
    let kept = sql.query_one("SELECT keep_kennel()", &[]).await.unwrap().get(0);
    sql.batch_execute("ROLLBACK").await.unwrap();
    kept
}

#[tokio::test]
async fn on_its_last_moment_it_is_over_and_a_moment_before_it_is_not() {
    let kennel = Kennel::new().await;
    kennel.post("/deletion", deletion(NAME)).await.ok();
    let sql = kennel.sql().await;
    for (ends_at, is_over) in [
        ("now() + interval '1 microsecond'", false),
        ("now()", true),
        ("now() - interval '1 microsecond'", true),
    ] {
        assert_eq!(due(&sql, ends_at).await, is_over, "{ends_at}");
        assert_eq!(kept(&kennel, ends_at).await, !is_over, "{ends_at}");
    }
    // The worker leaves alone what is not due.
    let blobs = Blobs::open(files_folder().to_str().unwrap()).unwrap();
    assert_eq!(clear(&kennel.service.db, &blobs).await.unwrap(), 0);
    kennel.get("/dogs").await.ok();
}

async fn over(sql: &Client) {
    sql.batch_execute("UPDATE kennel_ends SET ends_at = now()").await.unwrap();
}

#[tokio::test]
async fn at_its_end_all_is_gone_and_nothing_of_another_kennel() {
    let folder = std::env::temp_dir().join(format!("denwright-files-{}", Uuid::now_v7()));
    let files_url = folder.to_str().unwrap().to_owned();
    let kennel = Kennel::with(Settings { files_url, ..settings() }).await;
    let other = kennel.another().await;
    let (_, pups) = kennel.born_litter(3, 20).await;
    let (_, theirs) = other.born_litter(2, 20).await;
    let same = photograph(600, 400);
    for (one, dog) in [(&kennel, pups[0]), (&other, theirs[0])] {
        let made = attach(one, &same, json!({ "dog_id": dog })).await;
        let file = format!("/attachments/{}/file?size=320", id(&made));
        one.get(&file).await.expect(200);
        upload(one, &photograph(9, 9)).await;
    }
    // The owner of the other one holds a share here, and the owner of this one a share there.
    for (host, guest, dog) in [(&kennel, &other, pups[0]), (&other, &kennel, theirs[0])] {
        let email = guest.get("/v1/me").await.ok()["person"]["email"].clone();
        let invited = json!({ "email": email, "role": "co_owner" });
        let token = host.post("/invitations", invited).await.created()["token"].clone();
        guest.post("/v1/invitations/accept", json!({ "token": token })).await.ok();
        let half = json!({ "person_id": guest.person_id, "numerator": 1, "denominator": 2 });
        host.post(&format!("/dogs/{dog}/shares"), half).await.created();
    }
    let buyer = json!({ "name": "Zquill Marrowby", "joined_on": days_ago(3) });
    kennel.owner().post_once("/buyers", "a-key", &buyer).await.created();
    let elsewhere = json!({ "name": "Ulla Brandt", "joined_on": days_ago(3) });
    other.owner().post_once("/buyers", "a-key", &elsewhere).await.created();
    let sql = kennel.sql().await;
    let (own, foreign) = (
        format!("kennel_id = '{}'", kennel.kennel_id),
        format!("kennel_id <> '{}'", kennel.kennel_id),
    );
    let before = counts(&sql, &foreign).await;
    let files = there(&folder);
    assert!(files.iter().any(|file| file.starts_with("thumbnails/")), "{files:?}");

    let mut stream = kennel.follow(None).await;
    kennel.post("/deletion", deletion(NAME)).await.ok();
    over(&sql).await;
    let blobs = Blobs::open(folder.to_str().unwrap()).unwrap();
    assert_eq!(clear(&kennel.service.db, &blobs).await.unwrap(), 1);

    let left: Vec<_> = counts(&sql, &own).await.into_iter().filter(|(_, rows)| *rows > 0).collect();
    assert!(left.is_empty(), "{left:?}");
    assert_eq!(counts(&sql, &foreign).await, before);
    assert_eq!(rows_with(&sql, "marrowby").await, [""; 0], "also what was kept for repeats");
    assert_eq!(rows_with(&sql, &kennel.kennel_id.to_string()).await, [""; 0]);
    let id_of_kennel = kennel.kennel_id.to_string();
    let of_others = |file: &&String| !file.contains(&id_of_kennel) && !file.starts_with("parts/");
    let expected: Vec<_> = files.iter().filter(of_others).cloned().collect();
    let remain: Vec<_> = there(&folder).into_iter().filter(|f| !f.starts_with("parts/")).collect();
    assert_eq!(remain, expected);

    // Whoever was in it finds the door shut, and their login and their other kennel as they were.
    while stream.next_or_end().await.is_some() {}
    kennel.get("/dogs").await.problem(404);
    let me = kennel.get("/v1/me").await.ok();
    assert_eq!(me["kennels"].as_array().unwrap().len(), 1, "the share in the other one stays");
    assert_eq!(ids(&kennel.in_kennel(other.kennel_id).get("/dogs").await.ok()), [theirs[0]]);
    let again = other.owner().post_once("/buyers", "a-key", &elsewhere).await.created();
    assert_eq!(again["name"], "Ulla Brandt", "their repeats get what they got");
    assert_eq!(items(&other.get("/buyers").await.ok()).len(), 1);
    fs::remove_dir_all(&folder).unwrap();
}

/// A crash after any step leaves nothing that the next run does not clear, and nobody gets in meanwhile.
#[tokio::test]
async fn what_was_interrupted_is_gone_on_with() {
    let owner = full_kennel().await;
    let sql = connect(&owner.service.database_url).await;
    // The demo's people have no password of the tests.
    let end = format!(
        "INSERT INTO kennel_ends (kennel_id, person_id, ends_at) VALUES ('{}', '{}', now())",
        owner.kennel_id, owner.person_id
    );
    // The service's own worker finds nothing meanwhile: each step here is one of this test's.
    let alone = "REVOKE EXECUTE ON FUNCTION ended_kennels() FROM denwright_service";
    sql.batch_execute(alone).await.unwrap();
    sql.batch_execute(&end).await.unwrap();
    let own = format!("kennel_id = '{}'", owner.kennel_id);
    let total = async || counts(&sql, &own).await.values().sum::<i64>();
    let db = &owner.service.db;
    assert!(leaving::close(db, owner.kennel_id).await.unwrap());
    owner.get("/dogs").await.problem(404);
    let (mut left, mut steps) = (total().await, 0);
    // Each step takes something, and no more than it may, save of rows that name each other.
    while leaving::clear_some(db, owner.kennel_id, 50).await.unwrap() {
        let now = total().await;
        assert!(now < left, "a step does something: {left} to {now}");
        (left, steps) = (now, steps + 1);
        if steps == 20 {
            // Another instance, or this one after a crash, begins anew.
            assert!(leaving::close(db, owner.kennel_id).await.unwrap());
        }
    }
    assert!(steps > 50, "only {steps} steps");
    assert_eq!(total().await, 0);
    assert!(!leaving::close(db, owner.kennel_id).await.unwrap());
    assert!(!leaving::clear_some(db, owner.kennel_id, 50).await.unwrap());
}

/// While one instance holds a kennel, another one leaves it alone.
#[tokio::test]
async fn two_instances_clear_a_kennel_once() {
    let kennel = Kennel::new().await;
    kennel.dam("Juno").await;
    kennel.post("/deletion", deletion(NAME)).await.ok();
    let sql = kennel.sql().await;
    over(&sql).await;
    let blobs = Blobs::open(files_folder().to_str().unwrap()).unwrap();
    let held = format!("BEGIN; SELECT hold_ended_kennel('{}')", kennel.kennel_id);
    sql.batch_execute(&held).await.unwrap();
    assert_eq!(clear(&kennel.service.db, &blobs).await.unwrap(), 0);
    sql.batch_execute("ROLLBACK").await.unwrap();
    let db = &kennel.service.db;
    let (one, two) = tokio::join!(clear(db, &blobs), clear(db, &blobs));
    assert!(one.unwrap() + two.unwrap() >= 1);
    let left = "SELECT count(*) FROM kennels";
    assert_eq!(sql.query_one(left, &[]).await.unwrap().get::<_, i64>(0), 0);
}

/// The service's role deletes no kennel before its end.
#[tokio::test]
async fn no_kennel_goes_but_by_its_end() {
    let kennel = Kennel::new().await;
    kennel.dam("Juno").await;
    let sql = kennel.sql().await;
    sql.batch_execute("BEGIN").await.unwrap();
    sql.batch_execute(&kennel.stand_in(Role::Owner)).await.unwrap();
    for statement in [
        "DELETE FROM kennels".to_owned(),
        format!(
            "INSERT INTO kennel_ends (kennel_id, person_id, ends_at) VALUES ('{}', '{}', now())",
            kennel.kennel_id, kennel.person_id
        ),
        format!("SELECT log_kennel_end('{}', NULL, now())", kennel.kennel_id),
        format!("SELECT forget_in_kennel('{}', '{}', 'x')", kennel.kennel_id, kennel.person_id),
        "SELECT set_config('denwright.scope', 'X', true); SELECT next_changes(NULL, 1)".to_owned(),
    ] {
        sql.batch_execute("SAVEPOINT attempt").await.unwrap();
        assert!(sql.batch_execute(&statement).await.is_err(), "{statement} is allowed");
        sql.batch_execute("ROLLBACK TO attempt").await.unwrap();
    }
    for step in ["close_ended_kennel(", "clear_ended_kennel(most => 1000, of_kennel => "] {
        let done = format!("SELECT {step}'{}')", kennel.kennel_id);
        let done = sql.query_one(&done, &[]).await.unwrap();
        assert!(!done.get::<_, bool>(0), "{step}");
    }
    sql.batch_execute("ROLLBACK").await.unwrap();
    assert_eq!(items(&kennel.get("/dogs").await.ok()).len(), 1);
}
