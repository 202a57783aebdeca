//! Two instances on one database, and a service that starts anew.

use crate::common::*;
use std::sync::Arc;

fn on(service: &Arc<Service>, caller: &Caller) -> Caller {
    let token = caller.token.clone();
    Caller::new(Arc::clone(service), caller.kennel_id, caller.person_id, token)
}

#[tokio::test]
async fn a_stream_hears_what_the_other_instance_writes() {
    let kennel = Kennel::new().await;
    let beside = Arc::new(kennel.service.beside(settings()));
    let other = on(&beside, &kennel);
    let start = kennel.get("/changes").await.ok()["newest_sequence"].as_i64().unwrap();
    let mut streams = [kennel.follow(Some(start)).await, other.follow(Some(start)).await];
    for number in 0..6 {
        let writer = if number % 2 == 0 { kennel.owner() } else { &other };
        let dog = json!({ "name": format!("Dog {number}"), "residence": "here" });
        writer.post("/dogs", dog).await.created();
        for stream in &mut streams {
            assert_eq!(stream.next().await.0, start + number + 1);
        }
    }
}

/// Writers on both instances while one instance is stopped and started again three times; a reader
/// follows whichever lives and goes on by the last number it has seen.
#[tokio::test]
async fn a_stream_goes_on_over_a_restart_without_gap_or_repeat() {
    let kennel = Kennel::new().await;
    let start = kennel.get("/changes").await.ok()["newest_sequence"].as_i64().unwrap();
    let writers = (0..3).map(|writer| {
        let owner = kennel.owner().clone();
        tokio::spawn(async move {
            for number in 0..20 {
                let name = format!("{writer}/{number}");
                owner.post("/dogs", json!({ "name": name, "residence": "here" })).await.created();
            }
        })
    });
    let writers: Vec<_> = writers.collect();
    let mut seen = Vec::new();
    let mut last = start;
    for _ in 0..3 {
        let service = Arc::new(kennel.service.beside(settings()));
        let mut stream = on(&service, &kennel).follow(Some(last)).await;
        for _ in 0..15 {
            last = stream.next().await.0;
            seen.push(last);
        }
        // The instance ends under its stream; what was sent and not read is sent again by the next.
        tokio::task::spawn_blocking(move || drop(service)).await.unwrap();
    }
    let mut stream = kennel.follow(Some(last)).await;
    while seen.len() < 60 {
        seen.push(stream.next().await.0);
    }
    for writer in writers {
        writer.await.unwrap();
    }
    assert_eq!(seen, (start + 1..=start + 60).collect::<Vec<_>>());
}

#[tokio::test]
async fn instances_share_repeats_and_versions() {
    let kennel = Kennel::new().await;
    let beside = Arc::new(kennel.service.beside(settings()));
    let other = on(&beside, &kennel);
    let body = json!({ "name": "Juno", "residence": "here" });
    let key = Uuid::now_v7().to_string();
    let (one, two) =
        tokio::join!(kennel.post_once("/dogs", &key, &body), other.post_once("/dogs", &key, &body));
    let dog = one.id();
    assert_eq!(dog, two.id());
    let path = format!("/dogs/{dog}");
    let (one, two) = tokio::join!(
        kennel.patch(&path, "\"1\"", json!({ "note": "one" })),
        other.patch(&path, "\"1\"", json!({ "note": "two" }))
    );
    let mut statuses = [one.status, two.status];
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 412]);
}
