//! A buyer's data: exported, and erased without breaking accounts.

use crate::common::*;

/// What must not be found anywhere afterwards.
const TRACES: [&str; 6] =
    ["Ottilie", "buyer@example.org", "30 1234", "garden", "Dee", "two children"];

#[tokio::test]
async fn an_erased_buyer_is_found_nowhere_and_the_account_still_adds_up() {
    let kennel = Kennel::new().await;
    let (_, pups) = kennel.born_litter(1, 40).await;
    let body = json!({
        "name": "Ottilie Marsh", "email": "buyer@example.org", "phone": "+49 30 1234",
        "household": "two children, a garden", "note": "met through Dee", "joined_on": days_ago(30),
    });
    let created = kennel.owner().post_once("/buyers", "a-key", &body).await.created();
    let buyer = id(&created);
    let mut sale = Kennel::reservation(pups[0], buyer);
    sale["terms"] = json!("Dee may breed her once");
    let placement = format!("/placements/{}", kennel.post("/placements", sale).await.id());
    let deposit = json!({ "kind": "deposit", "amount_minor": 30_000, "currency": "EUR", "paid_on": days_ago(1), "note": "from Dee's account" });
    kennel.post(&format!("{placement}/payments"), deposit).await.created();

    let exported = kennel.get(&format!("/buyers/{buyer}/export")).await.ok();
    assert_eq!(exported["buyer"]["household"], "two children, a garden");
    assert_eq!(exported["payments"].as_array().unwrap().len(), 1);
    kennel.helper().await.get(&format!("/buyers/{buyer}/export")).await.problem(403);

    let erasure = format!("/buyers/{buyer}/erasure");
    kennel.post(&erasure, json!({})).await.problem(409);
    kennel.set_aside_all(pups[0]).await;
    kennel.change(&placement, json!({ "stage": "handed_over" })).await.ok();
    let before = kennel.get(&format!("{placement}/account")).await.ok()["sums"].clone();
    kennel.helper().await.post(&erasure, json!({})).await.problem(403);
    let erased = kennel.post(&erasure, json!({})).await.ok();
    assert!(erased["erased"].to_string().contains("email"));
    assert!(!erased["kept"].as_array().unwrap().is_empty());
    assert_eq!(kennel.get(&format!("{placement}/account")).await.ok()["sums"], before);

    for path in [
        format!("/buyers/{buyer}"),
        format!("/buyers/{buyer}/export"),
        placement,
        "/changes?limit=500".into(),
    ] {
        let text = kennel.get(&path).await.expect(200).text();
        for trace in TRACES {
            assert!(!text.contains(trace), "{trace} in {path}: {text}");
        }
    }
    // Nor in what the database keeps for repeats.
    let rows =
        kennel.sql().await.query("SELECT body::text FROM idempotency_keys", &[]).await.unwrap();
    for row in rows {
        let text: Option<String> = row.get(0);
        assert!(!text.unwrap_or_default().contains("Ottilie"));
    }
    // Erased is erased: once more changes nothing, and nobody sells to nobody.
    assert_eq!(kennel.post(&erasure, json!({})).await.ok()["erased"], json!([]));
    let (_, more) = kennel.born_litter(1, 40).await;
    kennel.post("/placements", Kennel::reservation(more[0], buyer)).await.refused(&["/buyer_id"]);
}

#[tokio::test]
async fn roles_that_need_not_see_contact_data_do_not() {
    let kennel = Kennel::among_others().await;
    let body = json!({ "name": "Ottilie Marsh", "email": "buyer@example.org", "household": "a garden", "screening": "visited", "joined_on": days_ago(3) });
    let buyer = kennel.post("/buyers", body).await.id();
    for caller in [kennel.helper().await, kennel.viewer().await] {
        let seen = caller.get(&format!("/buyers/{buyer}")).await.ok();
        for field in ["email", "household", "screening", "note"] {
            assert_eq!(seen[field], json!(null), "{field}");
        }
    }
}
