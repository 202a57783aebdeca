//! Accounts of placements: they balance, whatever is entered.

use crate::common::*;

async fn sale(kennel: &Kennel) -> (String, Uuid) {
    let (_, pups) = kennel.born_litter(1, 40).await;
    let buyer = kennel.buyer("Ottilie").await;
    let placement = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    (format!("/placements/{placement}"), pups[0])
}

fn entry(kind: &str, amount_minor: i64) -> Value {
    json!({ "kind": kind, "amount_minor": amount_minor, "currency": "EUR", "paid_on": days_ago(1) })
}

async fn sums(kennel: &Kennel, path: &str) -> Value {
    let account = kennel.get(&format!("{path}/account")).await.ok();
    let sums = account["sums"].clone();
    let of = |name: &str| sums[name].as_i64().unwrap();
    assert_eq!(
        of("charged_minor") - of("reduced_minor"),
        of("received_minor") - of("refunded_minor") + of("balance_due_minor"),
        "{account}"
    );
    sums
}

#[tokio::test]
async fn an_account_adds_up_and_refuses_what_does_not() {
    let kennel = Kennel::among_others().await;
    let (path, _) = sale(&kennel).await;
    let payments = format!("{path}/payments");
    assert_eq!(sums(&kennel, &path).await["balance_due_minor"], 180_000);
    kennel.post(&payments, entry("refund", 1)).await.refused(&["/amount_minor"]);
    kennel.post(&payments, entry("discount", 180_001)).await.refused(&["/amount_minor"]);
    kennel.post(&payments, entry("price", 5)).await.refused(&["/kind"]);
    let deposit = kennel.post(&payments, entry("deposit", 30_000)).await.id();
    kennel.post(&payments, entry("discount", 10_000)).await.created();
    let refund = kennel.post(&payments, entry("refund", 20_000)).await.id();
    assert_eq!(sums(&kennel, &path).await["balance_due_minor"], 160_000);
    // The refund rests on the deposit, the discount on the price.
    kennel.remove(&format!("{payments}/{deposit}")).await.problem(409);
    kennel
        .change(&format!("{payments}/{deposit}"), json!({ "amount_minor": 100 }))
        .await
        .refused(&["/amount_minor"]);
    kennel.change(&path, json!({ "price_minor": 9_999 })).await.refused(&["/price_minor"]);
    kennel.remove(&format!("{payments}/{refund}")).await.no_content();
    kennel.remove(&format!("{payments}/{deposit}")).await.no_content();
    assert_eq!(sums(&kennel, &path).await["balance_due_minor"], 170_000);
}

#[tokio::test]
async fn two_refunds_at_once_never_pay_back_more_than_was_received() {
    let kennel = Kennel::among_others().await;
    let (path, _) = sale(&kennel).await;
    let payments = format!("{path}/payments");
    kennel.post(&payments, entry("deposit", 30_000)).await.created();
    let attempts = (0..6).map(|_| {
        let (owner, payments) = (kennel.owner().clone(), payments.clone());
        tokio::spawn(async move { owner.post(&payments, entry("refund", 30_000)).await.status })
    });
    let mut statuses = Vec::new();
    for attempt in attempts.collect::<Vec<_>>() {
        statuses.push(attempt.await.unwrap());
    }
    assert_eq!(statuses.iter().filter(|status| **status == 201).count(), 1, "{statuses:?}");
    assert_eq!(sums(&kennel, &path).await["refunded_minor"], 30_000);
}

#[tokio::test]
async fn the_end_of_a_placement_closes_its_account() {
    let kennel = Kennel::among_others().await;
    let (path, pup) = sale(&kennel).await;
    kennel.post(&format!("{path}/payments"), entry("deposit", 30_000)).await.created();
    let end = format!("{path}/end");
    kennel.post(&end, json!({ "kept_minor": 180_001 })).await.refused(&["/kept_minor"]);
    assert_eq!(kennel.get(&path).await.ok()["stage"], "reserved", "all or nothing");
    let account = kennel.post(&end, json!({ "kept_minor": 10_000 })).await.ok();
    assert_eq!(account["stage"], "withdrawn");
    let sums = sums(&kennel, &path).await;
    assert_eq!(sums["balance_due_minor"], 0);
    assert_eq!(sums["refunded_minor"], 20_000);
    kennel.post(&end, json!({})).await.refused(&["/stage"]);
    let buyer = kennel.buyer("Jon").await;
    kennel.post("/placements", Kennel::reservation(pup, buyer)).await.created();
}

#[tokio::test]
async fn money_is_for_those_who_may_see_it() {
    let kennel = Kennel::among_others().await;
    let (path, _) = sale(&kennel).await;
    let cost = json!({ "purpose": "X-ray", "amount_minor": 8_500, "currency": "EUR", "paid_on": days_ago(3) });
    kennel.post("/costs", cost.clone()).await.created();
    let mut unknown = cost.clone();
    unknown["currency"] = json!("XXQ");
    kennel.post("/costs", unknown).await.refused(&["/currency"]);
    for caller in [kennel.helper().await, kennel.viewer().await] {
        caller.get(&format!("{path}/account")).await.problem(403);
        caller.get("/costs").await.problem(403);
        caller.post("/costs", cost.clone()).await.problem(403);
    }
}

#[tokio::test]
async fn follow_ups_come_due_after_the_hand_over() {
    let kennel = Kennel::among_others().await;
    let (path, pup) = sale(&kennel).await;
    kennel
        .post(&format!("{path}/follow-ups"), json!({ "key": "first_call", "done_on": days_ago(0) }))
        .await
        .refused(&[""]);
    kennel.set_aside_all(pup).await;
    let gone = json!({ "stage": "handed_over", "handed_over_on": days_ago(20) });
    kennel.change(&path, gone).await.ok();
    let due = kennel.get("/follow-ups?due=true").await.ok();
    let reminder = due["items"][0]["reminders"][0].clone();
    let done = json!({ "key": reminder["key"], "done_on": days_ago(0) });
    kennel.post(&format!("{path}/follow-ups"), done.clone()).await.created();
    kennel.post(&format!("{path}/follow-ups"), done).await.problem(409);
    let all = kennel.get("/follow-ups").await.ok();
    assert_eq!(all["items"][0]["reminders"][0]["done_on"], json!(days_ago(0)));

    // News of the new owner belongs to the record of the dam.
    let dam = kennel.get(&format!("/dogs/{pup}")).await.ok()["dam_id"].clone();
    let news = json!({ "dog_id": pup, "kind": "test", "given_at": time_ago(chrono::Duration::hours(1)), "product": "hip radiograph A" });
    kennel.post("/health-events", news).await.created();
    let of_offspring =
        kennel.get(&format!("/dogs/{}/offspring-health", dam.as_str().unwrap())).await.ok();
    assert_eq!(of_offspring["items"][0]["product"], "hip radiograph A");
}
