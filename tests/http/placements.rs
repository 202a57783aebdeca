//! Who gets which pup: promised once, whatever the race.

use crate::common::*;

#[tokio::test]
async fn a_pup_is_reserved_once_whatever_the_race() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(1, 20).await;
    let pup = pups[0];
    let mut buyers = Vec::new();
    for number in 0..10 {
        buyers.push(kennel.buyer(&format!("Buyer {number}")).await);
    }
    let attempts = buyers.clone().into_iter().map(|buyer| {
        let owner = kennel.owner().clone();
        tokio::spawn(async move {
            owner.post("/placements", Kennel::reservation(pup, buyer)).await.status
        })
    });
    let mut statuses = Vec::new();
    for attempt in attempts.collect::<Vec<_>>() {
        statuses.push(attempt.await.unwrap());
    }
    assert_eq!(statuses.iter().filter(|status| **status == 201).count(), 1, "{statuses:?}");
    assert_eq!(statuses.iter().filter(|status| **status == 409).count(), 9, "{statuses:?}");

    // Given up, the pup is free again; and an offer promises nothing.
    let placement = ids(&kennel.get("/placements").await.ok())[0];
    let path = format!("/placements/{placement}");
    kennel.change(&path, json!({ "stage": "withdrawn" })).await.ok();
    for buyer in &buyers[..2] {
        let mut offer = Kennel::reservation(pup, *buyer);
        offer["stage"] = json!("offered");
        kennel.post("/placements", offer).await.created();
    }
    let offers = ids(&kennel.get("/placements?stage=offered").await.ok());
    let (one, two) = (format!("/placements/{}", offers[0]), format!("/placements/{}", offers[1]));
    let stage = json!({ "stage": "reserved" });
    let (first, second) = tokio::join!(
        kennel.patch(&one, "\"1\"", stage.clone()),
        kennel.patch(&two, "\"1\"", stage)
    );
    let mut statuses = [first.status, second.status];
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 409]);
}

#[tokio::test]
async fn a_placement_goes_its_way_step_by_step() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(2, 60).await;
    let buyer = kennel.buyer("Ottilie").await;
    let path = format!(
        "/placements/{}",
        kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id()
    );
    kennel.change(&path, json!({ "stage": "returned" })).await.refused(&["/stage"]);
    kennel.change(&path, json!({ "dog_id": pups[1] })).await.refused(&["/dog_id"]);
    // Not weighed, not wormed, not chipped, not paid: each is told, and the pup stays.
    let early = kennel.change(&path, json!({ "stage": "handed_over" })).await;
    let reasons = early.pointers(422);
    let (rules, stage): (Vec<_>, Vec<_>) =
        reasons.iter().partition(|at| at.starts_with("#readiness/"));
    assert!(rules.len() > 2 && stage.iter().all(|at| *at == "/stage"), "{reasons:?}");
    kennel.change(&path, json!({ "stage": "withdrawn" })).await.ok();
    kennel.change(&path, json!({ "stage": "reserved" })).await.refused(&["/stage"]);
    // Given up: somebody else may have it.
    kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.created();
}

#[tokio::test]
async fn payments_are_in_the_currency_of_the_price() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(1, 40).await;
    let buyer = kennel.buyer("Ottilie").await;
    let placement = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    let path = format!("/placements/{placement}/payments");
    let payment = |currency: &str, amount: i64| json!({ "kind": "deposit", "amount_minor": amount, "currency": currency, "paid_on": days_ago(2) });
    kennel.post(&path, payment("GBP", 30_000)).await.refused(&["/currency"]);
    kennel.post(&path, payment("EUR", 0)).await.refused(&["/amount_minor"]);
    kennel.post(&path, payment("EUR", 30_000)).await.created();
    kennel.remove(&format!("/placements/{placement}")).await.problem(409);
    kennel.remove(&format!("/buyers/{buyer}")).await.problem(409);
}

/// Kept in the kennel, with family, with a co-owner: each goes its own way.
#[tokio::test]
async fn a_pup_that_is_not_sold_has_its_place_as_well() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(3, 60).await;
    let place =
        |pup: Uuid, kind: &str, stage: &str| json!({ "dog_id": pup, "kind": kind, "stage": stage });
    // Nobody is needed for a pup that stays, and it needs no readiness: it does not leave.
    let kept = kennel.post("/placements", place(pups[0], "kept", "reserved")).await.created();
    let path = format!("/placements/{}", kept["id"].as_str().unwrap());
    assert_eq!(kept["reservation_ends_on"], json!(null), "a pup that stays is not held to a day");
    kennel.change(&path, json!({ "stage": "handed_over" })).await.ok();
    assert_eq!(kennel.get(&format!("/dogs/{}", pups[0])).await.ok()["residence"], "here");
    let buyer = kennel.buyer("Ottilie").await;
    kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.problem(409);

    let mut with_terms = place(pups[1], "co_owner", "reserved");
    with_terms["terms"] = json!("two litters, then hers alone");
    with_terms["buyer_id"] = json!(buyer);
    let lent = kennel.post("/placements", with_terms).await.created();
    let path = format!("/placements/{}", lent["id"].as_str().unwrap());
    assert_eq!(kennel.helper().await.get(&path).await.ok()["terms"], json!(null));
    kennel.change(&path, json!({ "stage": "handed_over" })).await.problem(422);
    kennel.set_aside_all(pups[1]).await;
    kennel.change(&path, json!({ "stage": "handed_over" })).await.ok();
    assert_eq!(kennel.get(&format!("/dogs/{}", pups[1])).await.ok()["residence"], "elsewhere");
    kennel.post("/placements", place(pups[2], "sale", "reserved")).await.refused(&["/buyer_id"]);
}

#[tokio::test]
async fn consent_and_its_withdrawal_are_kept_with_their_days() {
    let kennel = Kennel::among_others().await;
    let buyer = json!({ "name": "Ottilie", "joined_on": days_ago(9), "consented_on": days_ago(9), "screening": "visited; a fence" });
    let path = format!("/buyers/{}", kennel.post("/buyers", buyer).await.id());
    let change = json!({ "consent_withdrawn_on": days_ago(1) });
    let kept = kennel.change(&path, change).await.ok();
    assert_eq!(
        (&kept["consented_on"], &kept["consent_withdrawn_on"]),
        (&json!(days_ago(9)), &json!(days_ago(1)))
    );
    kennel.change(&path, json!({ "consented_on": days_ago(-5) })).await.refused(&["/consented_on"]);
}

#[tokio::test]
async fn follow_ups_are_tasks_about_their_day() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(1, 70).await;
    let buyer = kennel.buyer("Ottilie").await;
    let id = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    kennel.set_aside_all(pups[0]).await;
    let gone = json!({ "stage": "handed_over", "handed_over_on": days_ago(5) });
    kennel.change(&format!("/placements/{id}"), gone).await.ok();
    let tasks = kennel.get("/tasks?origin=go_home").await.ok();
    let first = &items(&tasks)[0];
    assert!(first["key"].as_str().unwrap().starts_with(&format!("placement:{id}:follow-up:")));
    assert_eq!(first["dog_id"], json!(pups[0]));
    assert!(items(&kennel.helper().await.get("/tasks?origin=go_home").await.ok()).is_empty());
    // News of its health flows back to the dam and to the sire.
    let dog = kennel.get(&format!("/dogs/{}", pups[0])).await.ok();
    let news = json!({ "dog_id": pups[0], "kind": "illness", "given_at": time_ago(chrono::Duration::hours(1)), "product": "heart murmur", "buyer_id": buyer });
    kennel.post("/health-events", news).await.created();
    for parent in ["dam_id", "sire_id"] {
        let path = format!("/dogs/{}/offspring-health", dog[parent].as_str().unwrap());
        assert_eq!(kennel.get(&path).await.ok()["items"][0]["product"], "heart murmur", "{parent}");
    }
}
