//! Money and pups between co-owners: divided by the shares of the day, to the cent, each to their own.

use crate::common::*;
use reqwest::Method;
use std::collections::BTreeMap;

/// A litter of a shared dam, with a pup that is reserved.
struct Litter {
    kennel: Kennel,
    dam: Uuid,
    litter: Uuid,
    pups: Vec<Uuid>,
    sale: String,
}

async fn litter(pups: usize) -> Litter {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(pups, 40).await;
    let dam = kennel.get(&format!("/litters/{litter}")).await.ok()["dam_id"].clone();
    let dam = dam.as_str().unwrap().parse().unwrap();
    let buyer = kennel.buyer("Ottilie").await;
    let sale = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    Litter { kennel, dam, litter, pups, sale: format!("/placements/{sale}") }
}

impl Litter {
    async fn share(&self, person: Uuid, part: (u32, u32), fields: Value) -> String {
        let shares = format!("/dogs/{}/shares", self.dam);
        let share = json!({ "person_id": person, "numerator": part.0, "denominator": part.1 });
        let made = self.kennel.add(&shares, share, fields).await;
        format!("{shares}/{}", id(&made))
    }

    async fn paid(&self, kind: &str, amount_minor: i64, ago: i64) {
        let entry = json!({
            "kind": kind, "amount_minor": amount_minor, "currency": "EUR", "paid_on": days_ago(ago),
        });
        self.kennel.post(&format!("{}/payments", self.sale), entry).await.created();
    }

    async fn spent(&self, litter: Option<Uuid>, currency: &str, amount_minor: i64, ago: i64) {
        let cost = json!({
            "litter_id": litter, "purpose": "X-ray", "amount_minor": amount_minor, "currency": currency,
            "paid_on": days_ago(ago),
        });
        self.kennel.post("/costs", cost).await.created();
    }
}

/// The statement of a holder over the last hundred days.
fn statement(holder: Uuid) -> String {
    format!("/statements/{holder}?first_on={}&last_on={}", days_ago(100), days_ago(0))
}

fn parts(statement: &Value) -> Vec<i64> {
    items(statement).iter().map(|line| line["part_minor"].as_i64().unwrap()).collect()
}

#[tokio::test]
async fn sums_are_divided_by_the_shares_of_their_day_and_add_up_to_the_cent() {
    let own = litter(3).await;
    let kennel = &own.kennel;
    let (a, b) = (kennel.member(Role::CoOwner).await, kennel.member(Role::CoOwner).await);
    own.share(a.person_id, (1, 3), json!({})).await;
    let second = own.share(b.person_id, (1, 3), json!({})).await;
    own.paid("deposit", 10_000, 30).await;
    own.spent(Some(own.litter), "EUR", 101, 20).await;
    own.spent(None, "EUR", 7, 20).await;
    own.spent(Some(own.litter), "CHF", 500, 20).await;
    // From ten days ago on the second holds a sixth alone.
    let sixth = json!({ "denominator": 6, "held_from": days_ago(10) });
    kennel.change(&second, sixth).await.ok();
    own.paid("payment", 60_000, 11).await;
    own.paid("payment", 60_000, 10).await;

    let told = |holder: Uuid| async move { kennel.get(&statement(holder)).await.ok() };
    let (of_a, of_b, rest) =
        (told(a.person_id).await, told(b.person_id).await, told(kennel.kennel_id).await);
    let by_entry = |sums: &mut BTreeMap<String, (i64, i64)>, told: &Value| {
        for line in items(told) {
            let whole = line["amount_minor"].as_i64().unwrap();
            let sum =
                sums.entry(line["entry_id"].as_str().unwrap().to_owned()).or_insert((whole, 0));
            sum.1 += line["part_minor"].as_i64().unwrap();
        }
    };
    let mut sums = BTreeMap::new();
    for told in [&of_a, &of_b, &rest] {
        by_entry(&mut sums, told);
    }
    assert_eq!(sums.len(), 6);
    assert!(sums.values().all(|(whole, parts)| whole == parts), "{sums:?}");
    assert_eq!(parts(&of_b)[3..], [20_000, 10_000], "{of_b}");
    assert_eq!(items(&of_b)[4]["share"], json!({ "numerator": 1, "denominator": 6 }));
    assert_eq!(parts(&of_a)[3..], [20_000, 20_000]);
    assert_eq!(items(&rest)[5]["share"], json!({ "numerator": 1, "denominator": 2 }));
    // What the kennel spent for itself is nobody else's; currencies stand apart.
    assert!(items(&of_a).iter().all(|line| line["litter_id"] == json!(own.litter)));
    let currencies: Vec<_> =
        of_a["sums"].as_array().unwrap().iter().map(|sums| sums["currency"].clone()).collect();
    assert_eq!(currencies, ["CHF", "EUR"]);

    let all = kennel.get(&format!("/statements?first_on={}", days_ago(100))).await.ok();
    let balance = |currency: &str| -> i64 {
        let rows = items(&all).iter().filter(|row| row["currency"] == currency);
        rows.map(|row| row["balance_minor"].as_i64().unwrap()).sum()
    };
    assert_eq!((balance("EUR"), balance("CHF")), (130_000 - 108, -500));
    assert_eq!(items(&all)[0]["holder_id"], json!(kennel.kennel_id));

    // As a table, as other lists are.
    let table = kennel.request(Method::GET, &statement(b.person_id)).header("Accept", "text/csv");
    let table = table.send().await.expect(200).text();
    assert!(table.lines().next().unwrap().contains("part_minor"), "{table}");
    assert_eq!(table.lines().count(), 1 + items(&of_b).len());
    let page = kennel.get(&format!("{}&limit=2", statement(b.person_id))).await.ok();
    assert_eq!((items(&page).len(), &page["sums"]), (2, &of_b["sums"]));
    kennel
        .get(&format!(
            "/statements/{}?first_on={}&last_on={}",
            a.person_id,
            days_ago(0),
            days_ago(1)
        ))
        .await
        .refused(&["#query/last_on"]);
}

#[tokio::test]
async fn a_sale_that_is_undone_after_a_change_of_shares_leaves_nobody_with_a_cent() {
    let own = litter(1).await;
    let kennel = &own.kennel;
    let (a, b) = (kennel.member(Role::CoOwner).await, kennel.member(Role::CoOwner).await);
    let first = own.share(a.person_id, (1, 2), json!({})).await;
    own.paid("deposit", 30_001, 20).await;
    kennel
        .change(&first, json!({ "person_id": b.person_id, "held_from": days_ago(10) }))
        .await
        .ok();
    kennel.post(&format!("{}/end", own.sale), json!({})).await.ok();
    for holder in [a.person_id, kennel.kennel_id] {
        let told = kennel.get(&statement(holder)).await.ok();
        assert_eq!(
            (items(&told).len(), &told["sums"][0]["balance_minor"]),
            (2, &json!(0)),
            "{told}"
        );
    }
    let told = kennel.get(&statement(b.person_id)).await.ok();
    assert!(items(&told).is_empty(), "{told}");
}

#[tokio::test]
async fn a_holder_reads_their_own_statement_alone_and_also_after_their_share_has_ended() {
    let own = litter(2).await;
    let kennel = &own.kennel;
    let (a, b) = (kennel.member(Role::CoOwner).await, kennel.member(Role::CoOwner).await);
    let first = own.share(a.person_id, (1, 2), json!({ "held_from": days_ago(60) })).await;
    own.share(b.person_id, (1, 4), json!({})).await;
    own.paid("deposit", 30_000, 20).await;
    own.spent(None, "EUR", 900, 20).await;
    for (caller, other) in [(&a, &b), (&b, &a)] {
        caller.get(&statement(caller.person_id)).await.ok();
        // The same answer for another holder, the kennel, and somebody who is nobody here.
        for holder in [other.person_id, kennel.kennel_id, Uuid::now_v7(), kennel.person_id] {
            caller.get(&statement(holder)).await.problem(403);
        }
        let rows = caller.get(&format!("/statements?first_on={}", days_ago(100))).await.ok();
        let holders: Vec<_> = items(&rows).iter().map(|row| row["holder_id"].clone()).collect();
        assert_eq!(holders, [json!(caller.person_id)]);
    }
    kennel.get(&statement(Uuid::now_v7())).await.problem(404);
    for caller in [kennel.helper().await, kennel.viewer().await] {
        caller.get(&statement(caller.person_id)).await.problem(403);
        caller.get("/statements").await.problem(403);
    }
    kennel
        .another()
        .await
        .in_kennel(kennel.kennel_id)
        .get(&statement(a.person_id))
        .await
        .problem(404);

    // Nothing of the dog is seen any more; what came in while the share was held stays theirs to read.
    let before = a.get(&statement(a.person_id)).await.ok();
    assert_eq!(parts(&before), [15_000]);
    kennel.remove(&first).await.no_content();
    a.get(&format!("/dogs/{}", own.dam)).await.problem(404);
    own.paid("payment", 50_000, 0).await;
    let after = a.get(&statement(a.person_id)).await.ok();
    assert_eq!((&after["items"], &after["sums"]), (&before["items"], &before["sums"]));
    assert_eq!(after, kennel.get(&statement(a.person_id)).await.ok(), "as the owner reads it");
    let told = after.to_string();
    for hidden in ["price", "buyer", "50000", "Ottilie"] {
        assert!(!told.contains(hidden), "{hidden}: {told}");
    }
    assert_eq!(parts(&b.get(&statement(b.person_id)).await.ok()), [7_500, 12_500]);
}

#[tokio::test]
async fn pups_go_by_the_shares_of_their_birth_and_whole_ones_add_up() {
    let own = litter(7).await;
    let kennel = &own.kennel;
    let (a, b) = (kennel.member(Role::CoOwner).await, kennel.member(Role::CoOwner).await);
    let first = own.share(a.person_id, (1, 2), json!({})).await;
    kennel.change(&first, json!({ "denominator": 4 })).await.ok();
    let by_itself = json!({ "person_id": b.person_id, "numerator": 1, "denominator": 1 });
    kennel.post(&format!("/dogs/{}/shares", own.pups[6]), by_itself).await.created();
    let dead = json!({ "died_on": days_ago(30), "residence": "here" });
    kennel.change(&format!("/dogs/{}", own.pups[5]), dead).await.ok();

    let told = |holder: Uuid| async move {
        kennel.get(&statement(holder)).await.ok()["litters"].as_array().unwrap().clone()
    };
    let (of_a, of_b, rest) =
        (told(a.person_id).await, told(b.person_id).await, told(kennel.kennel_id).await);
    assert_eq!((&of_a[0]["born_alive"], &of_a[0]["divided"]), (&json!(6), &json!(5)));
    assert_eq!(of_a[0]["entitled"], json!({ "numerator": 5, "denominator": 2 }));
    let whole = |rows: &[Value]| rows[0]["whole_pups"].as_i64().unwrap();
    assert_eq!(whole(&of_a) + whole(&rest), 5);
    // Who shares one pup alone is told of no other.
    assert_eq!((&of_b[0]["dog_id"], whole(&of_b)), (&json!(own.pups[6]), 1));
    assert_eq!(of_b[0]["born_alive"], 1);
    assert_eq!(
        told(b.person_id).await,
        b.get(&statement(b.person_id)).await.ok()["litters"].as_array().unwrap().clone()
    );
}

#[tokio::test]
async fn what_was_held_before_is_kept_and_can_be_put_right() {
    let own = litter(1).await;
    let kennel = &own.kennel;
    let (a, b) = (kennel.member(Role::CoOwner).await, kennel.member(Role::CoOwner).await);
    let share = own.share(a.person_id, (1, 1), json!({ "held_from": days_ago(80) })).await;
    let former = format!("/dogs/{}/former-shares", own.dam);
    let kept = || async {
        let rows = kennel.get(&former).await.ok();
        let row = |row: &Value| {
            (row["denominator"].clone(), row["held_from"].clone(), row["held_until"].clone())
        };
        items(&rows).iter().map(row).collect::<Vec<_>>()
    };
    // Without a day a change holds from today on.
    let changed = kennel.change(&share, json!({ "denominator": 2 })).await.ok();
    assert_eq!(changed["held_from"], json!(days_ago(0)));
    assert_eq!(kept().await, [(json!(1), json!(days_ago(80)), json!(days_ago(1)))]);
    // It was agreed on earlier: what was held from then on gives way.
    kennel.change(&share, json!({ "held_from": days_ago(40) })).await.ok();
    assert_eq!(kept().await, [(json!(1), json!(days_ago(80)), json!(days_ago(41)))]);
    // Somebody else held nothing in these days: the dog was another's.
    let other = json!({ "person_id": b.person_id, "numerator": 1, "denominator": 2, "held_from": days_ago(60) });
    kennel.post(&format!("/dogs/{}/shares", own.dam), other.clone()).await.refused(&["/numerator"]);
    let mut later = other.clone();
    later["held_from"] = json!(days_ago(40));
    kennel.post(&format!("/dogs/{}/shares", own.dam), later).await.created();
    let mut twice = other;
    twice["held_until"] = json!(days_ago(41));
    twice["person_id"] = json!(a.person_id);
    twice["denominator"] = json!(10);
    kennel.post(&former, twice.clone()).await.problem(409);
    twice["held_from"] = json!(days_ago(90));
    twice["held_until"] = json!(days_ago(81));
    kennel.post(&former, twice.clone()).await.created();
    twice["held_until"] = json!(days_ago(91));
    kennel.post(&former, twice).await.refused(&["/held_until"]);
    let tomorrow = json!({ "held_from": days_ago(-3) });
    kennel.change(&share, tomorrow).await.refused(&["/held_from"]);
    // Those who share the dog read it, and change nothing.
    assert_eq!(items(&b.get(&former).await.ok()).len(), 2);
    let row = ids(&b.get(&former).await.ok())[0];
    b.remove(&format!("{former}/{row}")).await.problem(403);
    kennel.helper().await.get(&former).await.problem(403);
    kennel.member(Role::CoOwner).await.get(&former).await.problem(404);
}

/// The share of a dog that was given back by mistake returns as if it had never gone.
#[tokio::test]
async fn a_share_that_comes_back_was_held_all_the_time() {
    let own = litter(1).await;
    let kennel = &own.kennel;
    let a = kennel.member(Role::CoOwner).await;
    let share = own.share(a.person_id, (1, 2), json!({})).await;
    own.paid("deposit", 30_000, 20).await;
    let before = kennel.get(&statement(a.person_id)).await.ok();
    kennel.remove(&share).await.no_content();
    let row = share.rsplit('/').next().unwrap();
    let history = kennel.get(&format!("/changes?row_id={row}")).await.ok();
    let deleted = items(&history).last().unwrap()["sequence"].clone();
    kennel.post(&format!("/changes/{deleted}/restore"), json!({})).await.ok();
    assert_eq!(kennel.get(&share).await.ok()["held_from"], Value::Null);
    let former = kennel.get(&format!("/dogs/{}/former-shares", own.dam)).await.ok();
    assert!(items(&former).is_empty(), "{former}");
    assert_eq!(kennel.get(&statement(a.person_id)).await.ok(), before);
}
