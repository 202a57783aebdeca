//! Streams of changes: few for each, cheap while nothing changes, over when their login is.

use crate::common::*;
use denwright::service::server::Settings;
use outgoing::webhooks::Manner;
use reqwest::Method;
use std::time::{Duration, Instant};

async fn try_to_follow(caller: &Caller) -> Answer {
    caller.request(Method::GET, "/changes").header("Accept", "text/event-stream").send().await
}

#[tokio::test]
async fn a_person_and_a_kennel_have_so_many_streams_and_no_more() {
    let kennel = Kennel::new().await;
    let mut open = Vec::new();
    for _ in 0..20 {
        open.push(kennel.follow(None).await);
    }
    let refused = try_to_follow(kennel.owner()).await;
    assert_eq!(refused.header("retry-after"), "60");
    let problem = refused.problem(429);
    assert!(problem["detail"].as_str().unwrap().contains("20 streams"), "{problem}");
    // Also in another kennel of that person, but not for others, and not without a stream.
    let second =
        kennel.post("/v1/kennels", json!({ "name": "Second", "time_zone": "UTC" })).await.created();
    try_to_follow(&kennel.in_kennel(id(&second))).await.problem(429);
    kennel.get("/changes").await.ok();
    let helper = kennel.helper().await;
    let mut beside = helper.follow(Some(0)).await;
    assert!(beside.next().await.0 > 0);
    // Whoever closes one may open another, at once.
    open.truncate(19);
    let place = "a closed one leaves its place";
    open.push(until(place, async || kennel.follow_where_there_is_room(None).await).await);
    try_to_follow(kennel.owner()).await.problem(429);

    // Four more people fill the kennel's hundred: 20 of the owner, one of the helper, 79 of theirs.
    for number in 0..4 {
        let member = kennel.viewer().await;
        for _ in 0..if number < 3 { 20 } else { 19 } {
            open.push(member.follow(None).await);
        }
    }
    let last = kennel.viewer().await;
    let problem = try_to_follow(&last).await.problem(429);
    assert!(problem["detail"].as_str().unwrap().contains("100 streams"), "{problem}");
    // Another kennel has its own.
    let other = kennel.another().await;
    other.follow(None).await;
}

/// Commits in the database so far.
async fn commits(kennel: &Kennel) -> i64 {
    let sql = kennel.sql().await;
    // A session that has just told of itself tells what came since when it has been idle for ten seconds.
    tokio::time::sleep(Duration::from_secs(11)).await;
    let query = "SELECT xact_commit + xact_rollback FROM pg_stat_database WHERE datname = current_database()";
    sql.query_one(query, &[]).await.unwrap().get(0)
}

#[tokio::test]
async fn an_idle_stream_asks_the_database_nothing() {
    // The worker of the webhooks looks once an hour, so that what is counted is of the streams.
    let manner = Manner { glance: Duration::from_secs(3600), ..settings().webhooks };
    let kennel = Kennel::with(Settings { webhooks: manner, ..settings() }).await;
    let mut streams = Vec::new();
    for _ in 0..20 {
        streams.push(kennel.follow(None).await);
    }
    for stream in &mut streams {
        // All that has happened, up to the making of the kennel.
        while stream.next().await.0 < 1 {}
    }
    // Postgres vacuums at times of its own, a transaction a table: what streams ask, they ask in every window.
    let mut asked = i64::MAX;
    for _ in 0..3 {
        let before = commits(&kennel).await;
        // Longer than a heartbeat, which is 15 seconds.
        tokio::time::sleep(Duration::from_secs(16)).await;
        asked = asked.min(commits(&kennel).await - before);
        if asked < 10 {
            break;
        }
    }
    assert!(asked < 10, "20 idle streams made {asked} transactions");
    // And yet each hears of a change at once.
    let began = Instant::now();
    let dog = kennel.dam("Juno").await;
    for stream in &mut streams {
        loop {
            let (_, change) = stream.next().await;
            if change["row_id"] == json!(dog) {
                break;
            }
        }
    }
    assert!(began.elapsed() < SOON, "not at the next heartbeat: {:?}", began.elapsed());
}

/// Reads to the end of a stream; how long that took.
async fn ends(mut stream: EventStream) -> Duration {
    let began = Instant::now();
    while stream.next_or_end().await.is_some() {}
    began.elapsed()
}

#[tokio::test]
async fn a_stream_ends_with_what_opened_it_and_not_at_the_next_heartbeat() {
    let kennel = Kennel::new().await;
    let helper = kennel.helper().await;
    let stream = helper.follow(None).await;
    helper.post("/v1/auth/logout-everywhere", json!({})).await.expect(204);
    assert!(ends(stream).await < SOON, "logged out everywhere");

    let viewer = kennel.viewer().await;
    let stream = viewer.follow(None).await;
    let members = kennel.get("/members").await.ok();
    let member = items(&members)
        .iter()
        .find(|member| member["person_id"] == json!(viewer.person_id))
        .unwrap();
    kennel.remove(&format!("/members/{}", id(member))).await.no_content();
    assert!(ends(stream).await < SOON, "left the kennel");
}

/// Who goes on from the same place is told by one look. Whose session has ended is told nothing by another's, also when
/// nobody was woken for it.
#[tokio::test]
async fn streams_that_are_told_together_show_each_their_own_login() {
    let kennel = Kennel::new().await;
    let (stays, leaves) = (kennel.viewer().await, kennel.viewer().await);
    let start = kennel.get("/changes").await.ok()["newest_sequence"].as_i64().unwrap();
    let (mut staying, mut leaving) = (Vec::new(), Vec::new());
    for _ in 0..8 {
        leaving.push(leaves.follow(Some(start)).await);
        staying.push(stays.follow(Some(start)).await);
    }
    let juno = kennel.dam("Juno").await;
    for stream in staying.iter_mut().chain(&mut leaving) {
        assert_eq!(stream.next().await.1["row_id"], json!(juno));
    }
    let sql = kennel.sql().await;
    let end =
        format!("UPDATE sessions SET ended_at = now() WHERE person_id = '{}'", leaves.person_id);
    assert_eq!(sql.execute(&end, &[]).await.unwrap(), 1);
    let wren = kennel.dam("Wren").await;
    for stream in &mut staying {
        assert_eq!(stream.next().await.1["row_id"], json!(wren));
    }
    for stream in &mut leaving {
        assert_eq!(stream.next_or_end().await, None, "the session has ended");
    }
}

/// A role that changes between two changes changes what is told, also to who was told with others before.
#[tokio::test]
async fn streams_that_were_told_together_are_told_by_the_role_of_now() {
    let kennel = Kennel::new().await;
    let (owns, owned) = (kennel.member(Role::Owner).await, kennel.member(Role::Owner).await);
    let start = kennel.get("/changes").await.ok()["newest_sequence"].as_i64().unwrap();
    let mut still = Vec::new();
    let mut no_more = Vec::new();
    for _ in 0..5 {
        no_more.push(owned.follow(Some(start)).await);
        still.push(owns.follow(Some(start)).await);
    }
    let cost =
        json!({ "purpose": "X-ray", "amount_minor": 5, "currency": "EUR", "paid_on": days_ago(0) });
    kennel.post("/costs", cost.clone()).await.created();
    for stream in still.iter_mut().chain(&mut no_more) {
        assert_eq!(stream.next().await.1["record"], "cost");
    }
    let sql = kennel.sql().await;
    let lower =
        format!("UPDATE memberships SET role = 'viewer' WHERE person_id = '{}'", owned.person_id);
    assert_eq!(sql.execute(&lower, &[]).await.unwrap(), 1);
    kennel.post("/costs", cost).await.created();
    let juno = kennel.dam("Juno").await;
    for stream in &mut still {
        for word in ["member", "cost"] {
            assert_eq!(stream.next().await.1["record"], word);
        }
        assert_eq!(stream.next().await.1["row_id"], json!(juno));
    }
    for stream in &mut no_more {
        assert_eq!(stream.next().await.1["record"], "member");
        assert_eq!(stream.next().await.1["row_id"], json!(juno));
    }
}

/// The connection that listens dies; what is written meanwhile and afterwards is heard of all the same.
#[tokio::test]
async fn what_is_missed_while_nobody_listens_is_told_after() {
    let kennel = Kennel::new().await;
    let mut stream = kennel.follow(None).await;
    while stream.next().await.0 < 1 {}
    let sql = kennel.sql().await;
    let kill = "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND query LIKE 'LISTEN%'";
    assert_eq!(sql.query(kill, &[]).await.unwrap().len(), 1);
    let dog = kennel.dam("Juno").await;
    loop {
        let (_, change) = stream.next().await;
        if change["row_id"] == json!(dog) {
            break;
        }
    }
}
