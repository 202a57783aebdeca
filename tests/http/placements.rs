//! Who gets which pup: promised once, whatever the race.

use crate::common::*;

#[tokio::test]
async fn a_pup_is_reserved_once_whatever_the_race() {
    let kennel = Kennel::new().await;
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
    let kennel = Kennel::new().await;
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
    assert!(reasons.len() > 3 && reasons.iter().all(|at| at == "/stage"), "{reasons:?}");
    kennel.change(&path, json!({ "stage": "withdrawn" })).await.ok();
    kennel.change(&path, json!({ "stage": "reserved" })).await.refused(&["/stage"]);
    // Given up: somebody else may have it.
    kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.created();
}

#[tokio::test]
async fn payments_are_in_the_currency_of_the_price() {
    let kennel = Kennel::new().await;
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
