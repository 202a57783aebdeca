use super::*;
use crate::{
    markers::ratio,
    placement::{Currency, Money},
};
use chrono::{Days, NaiveDate};
use num_rational::BigRational;
use proptest::prelude::*;
use std::collections::BTreeMap;
use uuid::Uuid;

const DAM: Uuid = Uuid::from_u128(1);
const PUP: Uuid = Uuid::from_u128(2);
const KENNEL: Uuid = Uuid::from_u128(9);

fn person(n: u128) -> Uuid {
    Uuid::from_u128(100 + n)
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn euro() -> Currency {
    "EUR".parse().unwrap()
}

fn whole_year() -> StatementSpan {
    StatementSpan { first_on: day("2026-01-01"), last_on: day("2026-12-31") }
}

fn held(dog_id: Uuid, who: u128, part: (i32, i32), span: (Option<&str>, Option<&str>)) -> Holding {
    let (held_from, held_until) = (span.0.map(day), span.1.map(day));
    let (numerator, denominator) = part;
    Holding { dog_id, person_id: person(who), numerator, denominator, held_from, held_until }
}

fn entry(n: u128, kind: MoneyEntryKind, on: &str, amount_minor: i64) -> MoneyEntry {
    let is_cost = kind == MoneyEntryKind::Cost;
    MoneyEntry {
        id: Uuid::from_u128(1_000 + n),
        kind,
        on: day(on),
        amount: Money { amount_minor, currency: euro() },
        placement_id: (!is_cost).then_some(Uuid::from_u128(50)),
        litter_id: Some(Uuid::from_u128(60)),
        dog_id: (!is_cost).then_some(PUP),
        dam_id: Some(DAM),
        about: None,
    }
}

fn parts_of(known: &CoOwnership, holder: Holder) -> Vec<i64> {
    let told = statement(known, holder, whole_year()).unwrap();
    told.lines.iter().map(|line| line.part_minor).collect()
}

/// Worked examples of the method of largest remainders as encyclopaedias and hand-books print them: 7 seats for 50,
/// 30 and 20 (quotas 3.5, 2.1, 1.4; read on 30 November 2026); 10 seats for 47,000, 16,000, 15,800, 12,000, 6,100 and
/// 3,100 votes (quotas 4.70, 1.60, 1.58, 1.20, 0.61, 0.31; from memory).
#[test]
fn parts_are_those_of_published_examples() {
    let divided = |seats: i64, votes: &[i64]| {
        let all: i64 = votes.iter().sum();
        let quotas: Vec<BigRational> = votes.iter().map(|own| ratio(own * seats, all)).collect();
        whole_parts(&quotas, 0)
    };
    assert_eq!(divided(7, &[50, 30, 20]), [4, 2, 1]);
    assert_eq!(divided(10, &[47_000, 16_000, 15_800, 12_000, 6_100, 3_100]), [5, 2, 1, 1, 1, 0]);
}

#[test]
fn a_cent_in_doubt_goes_to_each_in_turn() {
    let thirds = vec![ratio(100, 3); 3];
    let mut got = [0; 3];
    for turn in 0..300 {
        for (sum, part) in got.iter_mut().zip(whole_parts(&thirds, turn)) {
            *sum += part;
        }
    }
    assert_eq!(got, [10_000; 3]);
    assert_eq!(whole_parts(&[ratio(7, 10), ratio(3, 10)], 1), [1, 0]);
    assert!(whole_parts(&[], 5).is_empty());
}

/// The share changes on 1 July: the day before goes by the old one, the day itself by the new one.
#[test]
fn a_change_of_shares_divides_what_comes_from_its_day_on() {
    use MoneyEntryKind::{Cost, Income};
    let known = CoOwnership {
        holdings: vec![
            held(DAM, 1, (1, 2), (None, Some("2026-06-30"))),
            held(DAM, 1, (1, 4), (Some("2026-07-01"), None)),
        ],
        entries: vec![
            entry(1, Income, "2026-06-30", 100_000),
            entry(2, Income, "2026-07-01", 100_000),
            entry(3, Cost, "2026-06-30", 10_001),
            entry(4, Cost, "2026-07-01", 10_000),
        ],
        litters: Vec::new(),
    };
    let told = statement(&known, Holder::Person(person(1)), whole_year()).unwrap();
    let lines: Vec<_> = told.lines.iter().map(|line| (line.booked_on, line.part_minor)).collect();
    assert_eq!(lines[0], (day("2026-06-30"), 50_000));
    assert!([-5_000, -5_001].contains(&lines[1].1));
    assert_eq!(&lines[2..], [(day("2026-07-01"), 25_000), (day("2026-07-01"), -2_500)]);
    assert_eq!(told.lines[2].share, Some(ShareHeld { numerator: 1, denominator: 4 }));
    let kennel = parts_of(&known, Holder::Kennel);
    assert_eq!(lines[1].1 + kennel[1], -10_001, "{kennel:?}");
    // A span of one day.
    let one = StatementSpan { first_on: day("2026-07-01"), last_on: day("2026-07-01") };
    let told = statement(&known, Holder::Person(person(1)), one).unwrap();
    assert_eq!((told.lines.len(), told.sums[0].balance_minor), (2, 22_500));
}

/// A deposit received by halves is paid back by halves, whoever holds what by then.
#[test]
fn a_sale_that_is_undone_leaves_nobody_with_more_or_less() {
    use MoneyEntryKind::{Income, Refund};
    let known = CoOwnership {
        holdings: vec![
            held(DAM, 1, (1, 2), (None, Some("2026-05-31"))),
            held(DAM, 2, (1, 3), (Some("2026-06-01"), None)),
        ],
        entries: vec![
            entry(1, Income, "2026-05-01", 30_001),
            entry(2, Income, "2026-06-10", 20_000),
            entry(3, Refund, "2026-07-01", 50_001),
        ],
        litters: Vec::new(),
    };
    for holder in [Holder::Person(person(1)), Holder::Person(person(2)), Holder::Kennel] {
        let parts = parts_of(&known, holder);
        assert_eq!(parts.iter().sum::<i64>(), 0, "{holder:?}: {parts:?}");
        assert!(parts.len() >= 2);
    }
    // Also where the statement begins after what was received.
    let later = StatementSpan { first_on: day("2026-06-30"), last_on: day("2026-07-31") };
    let told = statement(&known, Holder::Person(person(1)), later).unwrap();
    assert!([-15_000, -15_001].contains(&told.sums[0].balance_minor), "{:?}", told.sums);
}

#[test]
fn a_pups_own_shares_go_before_those_in_its_dam() {
    use MoneyEntryKind::{Cost, Income};
    let known = CoOwnership {
        holdings: vec![
            held(DAM, 1, (1, 2), (None, None)),
            held(PUP, 2, (1, 1), (Some("2026-06-01"), None)),
        ],
        entries: vec![
            entry(1, Income, "2026-05-31", 1_000),
            entry(2, Income, "2026-06-01", 1_000),
            entry(3, Cost, "2026-06-01", 1_000),
            MoneyEntry { litter_id: None, dam_id: None, ..entry(4, Cost, "2026-06-02", 500) },
        ],
        litters: Vec::new(),
    };
    assert_eq!(parts_of(&known, Holder::Person(person(1))), [500, -500]);
    assert_eq!(parts_of(&known, Holder::Person(person(2))), [1_000]);
    // What the kennel spends for itself is its own.
    assert_eq!(parts_of(&known, Holder::Kennel), [500, -500, -500]);
}

#[test]
fn currencies_are_told_apart() {
    let mut other = entry(2, MoneyEntryKind::Income, "2026-02-02", 999);
    other.amount.currency = "CHF".parse().unwrap();
    other.placement_id = Some(Uuid::from_u128(51));
    let known = CoOwnership {
        holdings: vec![held(DAM, 1, (1, 1), (None, None))],
        entries: vec![entry(1, MoneyEntryKind::Income, "2026-02-02", 1_000), other],
        litters: Vec::new(),
    };
    let told = statement(&known, Holder::Person(person(1)), whole_year()).unwrap();
    let sums: Vec<_> =
        told.sums.iter().map(|sums| (sums.currency.code(), sums.balance_minor)).collect();
    assert_eq!(sums, [("CHF", 999), ("EUR", 1_000)]);
    let all = sums_by_holder(&known, KENNEL, whole_year()).unwrap();
    assert!(all.iter().all(|row| row.holder_id == person(1)));
}

/// Seven pups, of which six are divided, by halves of the dam; one is another's by itself.
#[test]
fn pups_are_divided_by_the_shares_of_the_day_of_birth() {
    let pup = |n: u128, is_divided| BornPup { dog_id: Uuid::from_u128(n), is_divided };
    let known = CoOwnership {
        holdings: vec![
            held(DAM, 1, (1, 2), (None, Some("2026-03-01"))),
            held(DAM, 1, (1, 4), (Some("2026-03-02"), None)),
            held(PUP, 2, (1, 1), (None, None)),
        ],
        entries: Vec::new(),
        litters: vec![BornLitter {
            litter_id: Uuid::from_u128(60),
            name: None,
            dam_id: DAM,
            whelped_on: day("2026-03-01"),
            pups: vec![
                pup(2, true),
                pup(3, true),
                pup(4, true),
                pup(5, false),
                pup(6, true),
                pup(7, true),
                pup(8, true),
            ],
        }],
    };
    let of = |holder| statement(&known, holder, whole_year()).unwrap().litters.remove(0);
    let first = of(Holder::Person(person(1)));
    assert_eq!((first.born_alive, first.divided), (6, 5));
    assert_eq!(first.entitled, Some(ShareHeld { numerator: 5, denominator: 2 }));
    // A pup with shares of its own stands by itself: who shares it alone is told nothing of the others.
    let second = of(Holder::Person(person(2)));
    assert_eq!((second.dog_id, second.born_alive, second.whole_pups), (Some(PUP), 1, 1));
    let kennel = of(Holder::Kennel);
    assert_eq!(first.whole_pups + kennel.whole_pups, 5);
    assert!((2..=3).contains(&first.whole_pups));
    let none = StatementSpan { first_on: day("2026-03-02"), last_on: day("2026-12-31") };
    assert!(statement(&known, Holder::Kennel, none).unwrap().litters.is_empty());
}

#[test]
fn shares_that_make_more_than_the_dog_are_told_as_a_fault() {
    let known = CoOwnership {
        holdings: vec![held(DAM, 1, (2, 3), (None, None)), held(DAM, 2, (1, 2), (None, None))],
        entries: vec![entry(1, MoneyEntryKind::Income, "2026-02-02", 1_000)],
        litters: Vec::new(),
    };
    assert!(statement(&known, Holder::Kennel, whole_year()).is_err());
}

#[test]
fn a_span_that_is_not_said_is_this_year_until_today() {
    let asked = |from: Option<&str>, to: Option<&str>| {
        let span = StatementSpan::asked(from.map(day), to.map(day), day("2026-11-30")).unwrap();
        (span.first_on, span.last_on)
    };
    assert_eq!(asked(None, None), (day("2026-01-01"), day("2026-11-30")));
    assert_eq!(asked(None, Some("2025-06-30")), (day("2025-01-01"), day("2025-06-30")));
    assert_eq!(asked(Some("2024-02-01"), None), (day("2024-02-01"), day("2026-11-30")));
    assert_eq!(asked(Some("2026-11-30"), None).0, day("2026-11-30"));
    let tomorrow = StatementSpan::asked(Some(day("2026-12-01")), None, day("2026-11-30"));
    assert_eq!(tomorrow.unwrap_err().pointer, "#query/last_on");
}

/// Shares of up to five people that make no more than the dog, each over days of their own.
fn holdings() -> impl Strategy<Value = Vec<Holding>> {
    let one = |who: u128| {
        (1i32..=2_000, 0u64..200, 0u64..200).prop_map(move |(parts, from, days)| {
            let first = day("2026-01-01") + Days::new(from);
            Holding {
                dog_id: DAM,
                person_id: person(who),
                numerator: parts,
                denominator: 10_000 - i32::try_from(who).unwrap(),
                held_from: Some(first),
                held_until: (days > 20).then(|| first + Days::new(days)),
            }
        })
    };
    (one(0), one(1), one(2), one(3), one(4), 0usize..=5)
        .prop_map(|(a, b, c, d, e, count)| [a, b, c, d, e].into_iter().take(count).collect())
}

/// Money of three placements and of costs; nothing is paid back that was not received.
fn entries() -> impl Strategy<Value = Vec<MoneyEntry>> {
    let one = (any::<u128>(), 0u8..4, 0u64..365, 1i64..=1_000_000_000_000, 0u128..3, 0i64..=100);
    prop::collection::vec(one, 0..30).prop_map(|rows| {
        let mut there: BTreeMap<u128, i64> = BTreeMap::new();
        let mut entries = Vec::new();
        for (id, kind, on, amount, placement, percent) in rows {
            let account = there.entry(placement).or_default();
            let kind = match kind {
                0 => MoneyEntryKind::Cost,
                1 if *account > 0 => MoneyEntryKind::Refund,
                _ => MoneyEntryKind::Income,
            };
            let amount = match kind {
                MoneyEntryKind::Refund => (*account / 100 * percent).max(1).min(*account),
                _ => amount,
            };
            match kind {
                MoneyEntryKind::Cost => {}
                MoneyEntryKind::Income => *account += amount,
                MoneyEntryKind::Refund => *account -= amount,
            }
            let on = day("2026-01-01") + Days::new(on);
            let placement =
                (kind != MoneyEntryKind::Cost).then(|| Uuid::from_u128(500 + placement));
            entries.push(MoneyEntry {
                id: Uuid::from_u128(id),
                placement_id: placement,
                ..entry(1, kind, &on.to_string(), amount)
            });
        }
        entries
    })
}

proptest! {
    /// The parts add up to the whole, and each is less than a unit from its quota.
    #[test]
    fn parts_add_up_to_the_whole(
        whole in 0i64..=1_000_000_000_000_000,
        weights in prop::collection::vec(0i64..=10_000, 1..12),
        turn in any::<u128>(),
    ) {
        let all: i64 = weights.iter().sum::<i64>().max(1);
        let mut quotas: Vec<BigRational> =
            weights.iter().map(|own| ratio(whole, 1) * ratio(*own, all)).collect();
        if weights.iter().all(|own| *own == 0) {
            quotas[0] = ratio(whole, 1);
        }
        let parts = whole_parts(&quotas, turn);
        prop_assert_eq!(parts.iter().sum::<i64>(), whole);
        for (part, quota) in parts.iter().zip(&quotas) {
            let off = ratio(*part, 1) - quota;
            prop_assert!(off > ratio(-1, 1) && off < ratio(1, 1));
        }
    }

    /// Of every entry, whatever the shares, the parts of all holders add up to it; the sums of all holders to what
    /// came in less what went out; and what one holder is told does not hang on the span beside the entry.
    #[test]
    fn statements_of_all_holders_add_up_to_the_money(holdings in holdings(), entries in entries()) {
        let known = CoOwnership { holdings, entries, litters: Vec::new() };
        let mut holders: Vec<Holder> = (0..5).map(|n| Holder::Person(person(n))).collect();
        holders.push(Holder::Kennel);
        let mut by_entry: BTreeMap<Uuid, i64> = BTreeMap::new();
        let half = StatementSpan { first_on: day("2026-04-01"), last_on: day("2026-09-30") };
        for holder in &holders {
            let told = statement(&known, *holder, whole_year()).unwrap();
            for line in &told.lines {
                *by_entry.entry(line.entry_id).or_default() += line.part_minor;
            }
            let within: Vec<_> = told
                .lines
                .into_iter()
                .filter(|line| (half.first_on..=half.last_on).contains(&line.booked_on))
                .collect();
            prop_assert_eq!(statement(&known, *holder, half).unwrap().lines, within);
        }
        let mut net = 0;
        for entry in &known.entries {
            let sign = if entry.kind == MoneyEntryKind::Income { 1 } else { -1 };
            net += sign * entry.amount.amount_minor;
            prop_assert_eq!(by_entry[&entry.id], sign * entry.amount.amount_minor);
        }
        let sums = sums_by_holder(&known, KENNEL, whole_year()).unwrap();
        prop_assert_eq!(sums.iter().map(|row| row.sums.balance_minor).sum::<i64>(), net);
        for row in &sums {
            let StatementSums { income_minor, refunded_minor, costs_minor, balance_minor, .. } = row.sums;
            prop_assert_eq!(balance_minor, income_minor - refunded_minor - costs_minor);
        }
    }
}
