//! How fast it rings: a limit among a thousand kennels, and beside a push service that hangs.

use crate::{
    common::*,
    rings::{a_moment, healthy_litter, listen, listen_at, looked_at, put, ringing, seen_on},
};
use chrono::Duration;
use denwright::service::server::Settings;
use outgoing::{rings::Manner as RingManner, webhooks::Manner};
use std::time::{self, Instant};

/// For how long a push service does not answer: longer than all else takes.
const HANGS: time::Duration = time::Duration::from_secs(60);

/// Whoever is rung by a service that hangs keeps nobody else waiting, also with more rings under way to it than
/// there are places for quick ones (64).
#[tokio::test]
async fn a_push_service_that_hangs_delays_nobody() {
    let webhooks = Manner {
        slow: time::Duration::from_millis(200),
        patience: HANGS * 2,
        ..settings().webhooks
    };
    let rings = ringing().rings.map(|manner| RingManner { lease: HANGS * 2, ..manner });
    let kennel = Kennel::with(Settings { webhooks, rings, ..settings() }).await;
    let (_, pups) = healthy_litter(&kennel, 24).await;
    let mut hanging = Vec::new();
    for number in 0..3 {
        let phone = Phone::of(Receiver::slow(&[201], HANGS).await);
        let device = phone.subscription(&format!("Hanging {number}"));
        kennel.post("/rings/devices", device).await.created();
        hanging.push(phone);
    }
    let mut good = Phone::start(&[201]).await;
    // Another service by its name.
    good.service.url = good.service.url.replace("127.0.0.1", "localhost");
    listen_at(&kennel, &kennel, &good, json!({})).await;
    let began = Instant::now();
    for pup in &pups {
        seen_on(&kennel, *pup, "limp").await;
    }
    loop {
        let heard = good.service.all().len();
        let under_way: usize = hanging.iter().map(|phone| phone.service.all().len()).sum();
        assert!(began.elapsed() < HANGS, "{heard} of 24 while {under_way} calls hang");
        if heard == 24 {
            assert!(under_way >= 8, "{under_way} calls hang");
            break;
        }
        a_moment().await;
    }
}

/// The figure for the hand-book: from the limit's moment to the push endpoint, 1,000 kennels waiting.
#[tokio::test]
#[ignore = "takes minutes; prints a figure"]
async fn a_limit_among_a_thousand_kennels() {
    let rings = Some(RingManner::default());
    let kennel = Kennel::with(Settings { rings, ..settings() }).await;
    let phone = listen(&kennel, &kennel, json!({ "level": "emergency" })).await;
    let mut others = Vec::new();
    for _ in 0..1000 {
        let other = kennel.another().await;
        put(&other, "/rings", json!({ "ways": ["mail"] })).await.expect(200);
        others.push(other);
    }
    let mut litters = Vec::new();
    for minutes in (10..15).rev() {
        let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
        let mating = kennel.mating(dam, sire, 63).await;
        let body = json!({ "dam_id": dam, "sire_id": sire, "mating_id": mating });
        let litter = kennel.post("/litters", body).await.id();
        let event = json!({ "kind": "contractions", "strength": "strong" });
        let line = json!({ "happened_at": time_ago(Duration::minutes(minutes)), "event": event });
        kennel.post(&format!("/litters/{litter}/whelping"), line).await.created();
        litters.push(20 - minutes);
    }
    looked_at(&kennel).await;
    a_moment().await;
    let before = phone.service.all().len();
    let mut took = Vec::new();
    for (number, minutes) in litters.iter().enumerate() {
        let began = time::Instant::now();
        kennel.set_moment(now() + Duration::minutes(*minutes) + Duration::seconds(1));
        while phone.service.all().len() <= before + number {
            tokio::time::sleep(time::Duration::from_millis(5)).await;
        }
        took.push(began.elapsed().as_millis());
        a_moment().await;
    }
    took.sort_unstable();
    println!("milliseconds from the limit's moment to the push service: {took:?}");
    assert!(took[took.len() / 2] < 2_000);
}
