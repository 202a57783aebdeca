//! The limits of a placement: its days, its sums and what a buyer waits for.

use super::*;
use crate::schedule::plus;
use chrono::NaiveDate;

fn day(days: i64) -> NaiveDate {
    plus("2026-03-01".parse().unwrap(), days)
}

fn reserved_until(last: i64, to: PlacementStage) -> bool {
    let facts = StageFacts { today: day(0), reserved_until: Some(day(last)), ready: None };
    PlacementKind::Sale.advance(Some(PlacementStage::Offered), to, facts).is_ok()
}

/// A reservation holds on its last day and lapses on the day after.
#[test]
fn a_reservation_holds_to_its_last_day() {
    let held = |last| reserved_until(last, PlacementStage::Reserved);
    assert_eq!([-1, 0, 1].map(held), [false, true, true]);
    let over = |last| reserved_until(last, PlacementStage::Lapsed);
    assert_eq!([-1, 0, 1].map(over), [true, false, false]);
}

/// Each question to a new owner is due on its day; one whose day was before the hand-over is not asked.
#[test]
fn each_question_is_due_on_its_day() {
    let (born, gone) = (day(-60), day(0));
    let all = follow_ups(gone, Some(born), &[], gone);
    assert!(all.len() >= 5);
    for one in &all {
        let due = |later| {
            let list = follow_ups(gone, Some(born), &[], plus(one.due_on, later));
            list.into_iter().find(|other| other.key == one.key).unwrap().due
        };
        assert_eq!([-1, 0, 1].map(due), [false, true, true], "{}", one.key);
        let done = [(one.key.clone(), one.due_on)];
        let list = follow_ups(gone, Some(born), &done, plus(one.due_on, 9));
        let found = list.into_iter().find(|other| other.key == one.key).unwrap();
        assert_eq!((found.due, found.done_on), (false, Some(one.due_on)), "{}", one.key);
        if one.from == FollowUpAnchor::Birth {
            let asked = |later| {
                let gone = plus(one.due_on, later);
                follow_ups(gone, Some(born), &[], gone).iter().any(|other| other.key == one.key)
            };
            assert_eq!([-1, 0, 1].map(asked), [true, true, false], "{}", one.key);
        }
    }
}

fn money(amount_minor: i64) -> Money {
    Money { amount_minor, currency: "EUR".parse().unwrap() }
}

fn entry(kind: LedgerKind, amount_minor: i64) -> LedgerEntry {
    LedgerEntry { kind, amount: money(amount_minor), on: day(0), note: None }
}

/// A cent is the least, 10,000,000,000 units the most; no more is taken off than was charged, nor paid
/// back than was received.
#[test]
fn sums_have_ends() {
    let first = |amount| add_up(&[entry(LedgerKind::Price, amount)]).is_ok();
    let most = 1_000_000_000_000;
    assert_eq!(
        [-1, 0, 1, most - 1, most, most + 1].map(first),
        [false, false, true, true, true, false]
    );
    let off = |amount| {
        [LedgerKind::Discount, LedgerKind::Cancellation]
            .map(|kind| add_up(&[entry(LedgerKind::Price, 100), entry(kind, amount)]).is_ok())
    };
    assert_eq!([99, 100, 101].map(off), [[true; 2], [true; 2], [false; 2]]);
    let back = |amount| {
        [LedgerKind::Deposit, LedgerKind::Payment]
            .map(|kind| add_up(&[entry(kind, 100), entry(LedgerKind::Refund, amount)]).is_ok())
    };
    assert_eq!([99, 100, 101].map(back), [[true; 2], [true; 2], [false; 2]]);
    let refused = add_up(&[
        entry(LedgerKind::Price, 100),
        entry(LedgerKind::Extra, 50),
        entry(LedgerKind::Discount, 30),
        entry(LedgerKind::Discount, 121),
    ]);
    assert!(refused.unwrap_err()[0].detail.contains("at most 1.20 EUR"));
    let refused = add_up(&[
        entry(LedgerKind::Deposit, 70),
        entry(LedgerKind::Refund, 20),
        entry(LedgerKind::Refund, 51),
    ]);
    assert!(refused.unwrap_err()[0].detail.contains("at most 0.50 EUR"));
    let sums = add_up(&[entry(LedgerKind::Price, 100), entry(LedgerKind::Payment, 40)]).unwrap();
    assert_eq!((sums.net_price_minor(), sums.net_paid_minor()), (100, 40));
    assert_eq!((sums.balance_due_minor, LedgerSums::default().balance_due_minor), (60, 0));
    let closed = |kept| {
        close_account(&sums, kept, day(0)).map(|entries| {
            entries
                .into_iter()
                .map(|entry| (entry.kind, entry.amount.amount_minor))
                .collect::<Vec<_>>()
        })
    };
    use LedgerKind::{Cancellation, Refund};
    assert_eq!(closed(0), Ok(vec![(Cancellation, 100), (Refund, 40)]));
    assert_eq!(closed(39), Ok(vec![(Cancellation, 61), (Refund, 1)]));
    assert_eq!(closed(40), Ok(vec![(Cancellation, 60)]));
    assert_eq!(closed(100), Ok(vec![]));
    assert!(closed(-1).is_err() && closed(101).is_err());
    assert_eq!(close_account(&LedgerSums::default(), 0, day(0)), Ok(vec![]));
}

/// A pup may come from the first day to the last one.
#[test]
fn a_buyers_days_are_both_meant() {
    let wishes = BuyerWishes {
        from_on: Some(day(10)),
        until_on: Some(day(20)),
        must: vec![WishKind::Date],
        ..BuyerWishes::default()
    };
    let pup = |ready: Option<i64>| FreePup {
        dog_id: uuid::Uuid::nil(),
        name: "red".to_owned(),
        litter_id: None,
        sex: None,
        colour: None,
        suited_for: Vec::new(),
        ready_on: ready.map(day),
    };
    let fare = |ready| wishes.with(&pup(ready));
    assert_eq!(fare(None).unknown, [WishKind::Date]);
    assert!(!wishes.accepts(&fare(None)), "what is not known is not met");
    let accepted = |ready| wishes.accepts(&fare(Some(ready)));
    assert_eq!([9, 10, 11].map(accepted), [false, true, true]);
    assert_eq!([19, 20, 21].map(accepted), [true, true, false]);
    let fault = |from: i64, until: i64| {
        let wishes =
            BuyerWishes { from_on: Some(day(from)), until_on: Some(day(until)), ..wishes.clone() };
        wishes.check().err().map(|faults| faults[0].pointer.clone())
    };
    assert_eq!([fault(9, 10), fault(10, 10)], [None, None]);
    assert_eq!(fault(11, 10).as_deref(), Some("/until_on"));
    let text = |length: usize| {
        let colour = Some("x".repeat(length));
        BuyerWishes { colour, ..BuyerWishes::default() }.check().is_ok()
    };
    assert_eq!([0, 1, 100, 101].map(text), [false, true, true, false]);
}

/// From the reservation on the pup is taken, until the placement ends without it.
#[test]
fn a_pup_is_taken_from_the_reservation_on() {
    use PlacementStage::{Confirmed, HandedOver, Lapsed, Offered, Reserved, Returned, Withdrawn};
    assert_eq!([Offered, Reserved, Confirmed].map(PlacementStage::holds_pup), [false, true, true]);
    assert!(HandedOver.holds_pup());
    assert_eq!([Withdrawn, Lapsed, Returned].map(PlacementStage::holds_pup), [false; 3]);
}

/// What may follow is told; after the end nothing may.
#[test]
fn a_refused_step_tells_what_may_follow() {
    let facts = StageFacts { today: day(0), reserved_until: None, ready: Some(true) };
    let said = |from, to| {
        let faults = PlacementKind::Sale.advance(from, to, facts).unwrap_err();
        faults[0].detail.id()
    };
    use PlacementStage::{Offered, Returned, Withdrawn};
    assert_eq!(said(Some(Withdrawn), Offered), Some("fault-not-now-stage-end"));
    assert_eq!(said(Some(Offered), Returned), Some("fault-not-now-stage"));
    assert_eq!(said(None, Returned), Some("fault-not-now-first-stage"));
}

/// A price is a sum with its currency; one without the other is none.
#[test]
fn a_price_is_a_sum_with_its_currency() {
    let price = |price_minor: Option<i64>, currency: Option<&str>| {
        let mut placement: crate::record::Placement = serde_json::from_value(serde_json::json!({
            "dog_id": uuid::Uuid::nil(), "kind": "sale", "stage": "offered",
        }))
        .unwrap();
        (placement.price_minor, placement.currency) = (price_minor, currency.map(str::to_owned));
        placement.price().map(|(sum, currency)| (sum, currency.to_owned()))
    };
    assert_eq!(price(Some(150_000), Some("EUR")), Some((150_000, "EUR".to_owned())));
    assert_eq!(price(Some(150_000), None), None);
    assert_eq!(price(None, Some("EUR")), None);
}

/// One end of the days is a wish; an empty text is called empty, a long one too long.
#[test]
fn each_end_of_the_days_is_a_wish() {
    let dated = |from_on, until_on| {
        let wishes = BuyerWishes { from_on, until_on, ..BuyerWishes::default() };
        wishes.kinds() == [WishKind::Date]
    };
    assert!(dated(Some(day(0)), None) && dated(None, Some(day(0))));
    assert!(dated(Some(day(0)), Some(day(0))) && !dated(None, None));
    let said = |colour: &str| {
        let wishes = BuyerWishes { colour: Some(colour.into()), ..BuyerWishes::default() };
        wishes.check().err().and_then(|faults| faults[0].detail.id())
    };
    assert_eq!(said(" "), Some("fault-empty-wish"));
    assert_eq!(said(&"x".repeat(101)), Some("fault-too-long-wish"));
    assert_eq!(said(&"x".repeat(100)), None);
}
