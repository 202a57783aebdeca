use super::*;
use crate::admission::seen::{entry, places};
use serde_json::json;

const EUR: Option<(i64, &str)> = Some((150_000, "EUR"));

fn payment(kind: &str, amount_minor: i64, currency: &str) -> Payment {
    serde_json::from_value(json!({
        "placement_id": Uuid::from_u128(1), "kind": kind, "amount_minor": amount_minor,
        "currency": currency, "paid_on": "2026-05-20", "note": "by bank",
    }))
    .unwrap()
}

fn booked(price: Option<(i64, &str)>, payments: &[Payment]) -> Bookings {
    let ids = (1..).map(Uuid::from_u128);
    Bookings::of(price, "2026-05-01".parse().unwrap(), ids.zip(payments)).unwrap()
}

#[test]
fn the_price_is_the_first_entry_where_something_is_asked() {
    let kinds = |price| -> Vec<LedgerKind> {
        let entries = booked(price, &[payment("deposit", 30_000, "EUR")]).entries();
        entries.iter().map(|entry| entry.kind).collect()
    };
    assert_eq!(kinds(EUR), [LedgerKind::Price, LedgerKind::Deposit]);
    assert_eq!(kinds(Some((1, "EUR"))), [LedgerKind::Price, LedgerKind::Deposit]);
    assert_eq!(kinds(Some((0, "EUR"))), [LedgerKind::Deposit]);
    assert_eq!(kinds(None), [LedgerKind::Deposit]);
    let sums = booked(EUR, &[payment("deposit", 30_000, "EUR")]).sums().unwrap();
    assert_eq!((sums.charged_minor, sums.balance_due_minor), (150_000, 120_000));
}

#[test]
fn a_currency_is_one_of_iso() {
    let of = |price, payment: &Payment| {
        Bookings::of(price, "2026-05-01".parse().unwrap(), [(Uuid::nil(), payment)])
    };
    let good = payment("deposit", 30_000, "EUR");
    assert_eq!(of(Some((1, "EUX")), &good).unwrap_err().pointer, "/currency");
    assert_eq!(of(EUR, &payment("deposit", 1, "EUX")).unwrap_err().pointer, "/currency");
    let new = booked(EUR, &[]).admit(None, &payment("deposit", 1, "EUX"));
    assert_eq!(places(new), ["/currency"]);
}

#[test]
fn a_payment_is_held_against_all_others() {
    let account = || booked(EUR, &[payment("deposit", 30_000, "EUR")]);
    let refund = |amount| places(account().admit(None, &payment("refund", amount, "EUR")));
    assert!(refund(29_999).is_empty());
    assert!(refund(30_000).is_empty());
    assert_eq!(refund(30_001), ["/amount_minor"]);
    assert_eq!(places(account().admit(None, &payment("payment", 1, "CHF"))), ["/currency"]);
    // A correction takes the place of what it corrects.
    let paid = [payment("deposit", 30_000, "EUR"), payment("refund", 30_000, "EUR")];
    let id = Some(Uuid::from_u128(2));
    let corrected =
        |amount| places(booked(EUR, &paid).admit(id, &payment("refund", amount, "EUR")));
    assert!(corrected(30_000).is_empty());
    assert_eq!(corrected(30_001), ["/amount_minor"]);
}

#[test]
fn what_others_rest_on_stays() {
    let paid = [payment("deposit", 30_000, "EUR"), payment("refund", 30_000, "EUR")];
    let without = |id| entry(booked(EUR, &paid).admit_removal(Uuid::from_u128(id)));
    assert_eq!(without(1), Some("problem-conflict-entries-rest"));
    assert_eq!(without(2), None);
}

#[test]
fn a_price_is_no_less_than_what_was_taken_off_it() {
    let taken_off = [payment("discount", 10_000, "EUR")];
    let priced = |price| places(booked(Some(price), &taken_off).admit_price());
    assert_eq!(priced((9_999, "EUR")), ["/price_minor"]);
    assert!(priced((10_000, "EUR")).is_empty());
    assert!(priced((10_001, "EUR")).is_empty());
    assert_eq!(priced((10_000, "CHF")), ["/price_minor"]);
}

#[test]
fn an_entry_becomes_a_payment() {
    let entries = booked(EUR, &[payment("deposit", 30_000, "EUR")]).entries();
    let again = Payment::of_entry(Uuid::from_u128(1), &entries[1], Some("by bank"));
    assert_eq!(again, payment("deposit", 30_000, "EUR"));
}

#[test]
fn somebody_waits_until_the_pup_has_gone_or_the_placement_ended() {
    let waits = |stage: &str| {
        let body = json!({ "dog_id": Uuid::nil(), "kind": "sale", "stage": stage });
        serde_json::from_value::<Placement>(body).unwrap().waits()
    };
    for (stage, expected) in [
        ("offered", true),
        ("reserved", true),
        ("confirmed", true),
        ("handed_over", false),
        ("withdrawn", false),
        ("lapsed", false),
        ("returned", false),
    ] {
        assert_eq!(waits(stage), expected, "{stage}");
    }
}

#[test]
fn what_is_owed_is_not_received() {
    use LedgerKind::{Cancellation, Deposit, Discount, Extra, Payment as Paid, Price, Refund};
    let received = |kind: LedgerKind| kind.received(100);
    assert_eq!([Deposit, Paid, Refund].map(received), [Some(100), Some(100), Some(-100)]);
    assert_eq!([Price, Extra, Discount, Cancellation].map(received), [None; 4]);
}
