//! The proposal against scipy, against trying everything, and by hand.

use super::*;
use crate::record::Sex;
use catalogue::Text;
use proptest::prelude::*;
use serde::Deserialize;
use uuid::Uuid;

#[derive(Deserialize)]
struct Reference {
    proposals: Vec<Instance>,
}

#[derive(Deserialize)]
struct Instance {
    buyers: Vec<BuyerWishes>,
    pups: Vec<PupRow>,
    served: Vec<bool>,
    wishes_met: usize,
    weighted_by_place: usize,
}

#[derive(Deserialize)]
struct PupRow {
    sex: Sex,
    colour: Option<String>,
    suited_for: Vec<String>,
}

fn buyer(n: usize, wishes: BuyerWishes) -> WaitingBuyer {
    WaitingBuyer { buyer_id: Uuid::from_u128(n as u128 + 1), wishes }
}

fn pup(n: usize, sex: Sex, colour: Option<&str>, suited_for: &[String]) -> FreePup {
    FreePup {
        dog_id: Uuid::from_u128(n as u128 + 10_001),
        name: format!("pup {n}"),
        litter_id: None,
        sex: Some(sex),
        colour: colour.map(Into::into),
        suited_for: suited_for.to_vec(),
        ready_on: None,
    }
}

/// Who is served, wishes met, wishes met weighted by place: the objective as one value to compare.
type Score = (Vec<bool>, usize, usize);

fn score(buyers: usize, proposal: &PlacementProposal) -> Score {
    let mut score = (vec![false; buyers], 0, 0);
    for pair in &proposal.pairs {
        score.0[pair.waiting_place - 1] = true;
        score.1 += pair.wishes.met.len();
        score.2 += pair.wishes.met.len() * (buyers + 1 - pair.waiting_place);
    }
    score
}

fn sound(buyers: &[WaitingBuyer], pups: &[FreePup], proposal: &PlacementProposal) {
    let mut dogs: Vec<Uuid> = proposal.pairs.iter().map(|pair| pair.dog_id).collect();
    dogs.extend(&proposal.left_free);
    dogs.sort();
    dogs.dedup();
    assert_eq!(dogs.len(), pups.len(), "each pup once");
    assert_eq!(proposal.pairs.len() + proposal.unplaced.len(), buyers.len(), "each buyer once");
    for pair in &proposal.pairs {
        let wishes = &buyers[pair.waiting_place - 1].wishes;
        assert!(wishes.must.iter().all(|must| pair.wishes.met.contains(must)));
        assert!(!pair.reason.is_empty());
    }
}

/// 300 waiting lists solved by `scipy.optimize.linear_sum_assignment`
/// (tests/outside/placement_assignment.py).
#[test]
fn proposals_agree_with_scipy() {
    let text = include_str!("../../../tests/reference/placement/assignment.json");
    let reference: Reference = serde_json::from_str(text).unwrap();
    assert_eq!(reference.proposals.len(), 300);
    for instance in reference.proposals {
        let count = instance.buyers.len();
        let buyers: Vec<_> =
            instance.buyers.into_iter().enumerate().map(|(n, w)| buyer(n, w)).collect();
        let row =
            |(n, row): (usize, &PupRow)| pup(n, row.sex, row.colour.as_deref(), &row.suited_for);
        let pups: Vec<_> = instance.pups.iter().enumerate().map(row).collect();
        let proposal = propose(&buyers, &pups).unwrap();
        sound(&buyers, &pups, &proposal);
        let expected = (instance.served, instance.wishes_met, instance.weighted_by_place);
        assert_eq!(score(count, &proposal), expected);
    }
}

/// Tries every assignment and keeps the best by the objective as it is written.
fn try_all(buyers: &[WaitingBuyer], pups: &[FreePup], row: usize, used: &mut Vec<usize>) -> Score {
    let Some(buyer) = buyers.get(row) else {
        return (Vec::new(), 0, 0);
    };
    let after = |used: &mut Vec<usize>, served: bool, met: usize| {
        let (mut rest, mut wishes, mut weighted) = try_all(buyers, pups, row + 1, used);
        rest.insert(0, served);
        wishes += met;
        weighted += met * (buyers.len() - row);
        (rest, wishes, weighted)
    };
    let mut best = after(used, false, 0);
    for (column, pup) in pups.iter().enumerate() {
        let fare = buyer.wishes.with(pup);
        if !used.contains(&column) && buyer.wishes.accepts(&fare) {
            used.push(column);
            best = best.max(after(used, true, fare.met.len()));
            used.pop();
        }
    }
    best
}

fn wishes() -> impl Strategy<Value = BuyerWishes> {
    let sex = prop::option::of(prop::sample::select(vec![Sex::Female, Sex::Male]));
    let colour = prop::option::of(prop::sample::select(vec!["black", "red"]));
    let purpose = prop::option::of(prop::sample::select(vec!["companion", "working"]));
    (sex, colour, purpose, any::<[bool; 3]>()).prop_map(|(sex, colour, purpose, must)| {
        let mut wishes = BuyerWishes {
            sex,
            colour: colour.map(Into::into),
            purpose: purpose.map(Into::into),
            ..Default::default()
        };
        let all = [WishKind::Sex, WishKind::Colour, WishKind::Purpose];
        let musts =
            all.into_iter().zip(must).filter(|(kind, must)| *must && wishes.kinds().contains(kind));
        wishes.must = musts.map(|(kind, _)| kind).collect();
        wishes
    })
}

fn pups() -> impl Strategy<Value = Vec<FreePup>> {
    let sex = prop::sample::select(vec![Sex::Female, Sex::Male]);
    let colour = prop::option::of(prop::sample::select(vec!["black", "red"]));
    let purposes = vec!["companion".to_owned(), "working".to_owned()];
    let suited = prop::sample::subsequence(purposes, 0..=2);
    prop::collection::vec((sex, colour, suited), 0..5).prop_map(|rows| {
        let row = |(n, (sex, colour, suited)): (usize, (Sex, Option<&str>, Vec<String>))| {
            pup(n, sex, colour, &suited)
        };
        rows.into_iter().enumerate().map(row).collect()
    })
}

proptest! {
    #[test]
    fn nothing_tried_is_better(wishes in prop::collection::vec(wishes(), 0..5), pups in pups()) {
        let buyers: Vec<_> = wishes.into_iter().enumerate().map(|(n, w)| buyer(n, w)).collect();
        let proposal = propose(&buyers, &pups).unwrap();
        sound(&buyers, &pups, &proposal);
        let best = try_all(&buyers, &pups, 0, &mut Vec::new());
        prop_assert_eq!(score(buyers.len(), &proposal), best);
        prop_assert_eq!(propose(&buyers, &pups).unwrap(), proposal);
    }
}

fn wish(sex: Sex, colour: &str, must: &[WishKind]) -> BuyerWishes {
    BuyerWishes {
        sex: Some(sex),
        colour: Some(colour.into()),
        must: must.to_vec(),
        ..Default::default()
    }
}

#[test]
fn the_reasons_say_what_was_weighed() {
    let female = |colour: &str| wish(Sex::Female, colour, &[]);
    let must = wish(Sex::Male, "blue", &[WishKind::Colour]);
    let buyers = [female("black"), female("Black "), must, BuyerWishes::default()];
    let buyers: Vec<_> = buyers.into_iter().enumerate().map(|(n, w)| buyer(n, w)).collect();
    let pups = [pup(0, Sex::Female, Some("black"), &[]), pup(1, Sex::Female, Some("red"), &[])];
    let proposal = propose(&buyers, &pups).unwrap();
    let reasons: Vec<&Text> = proposal.pairs.iter().map(|pair| &pair.reason).collect();
    assert_eq!(
        reasons,
        [
            "Place 1 of 4. Met: sex, colour. No free pup meets more.",
            "Place 2 of 4. Met: sex. Not met: colour. More would be met, but pup 0 goes to place 1."
        ]
    );
    let unplaced: Vec<&Text> = proposal.unplaced.iter().map(|b| &b.reason).collect();
    assert_eq!(
        unplaced,
        [
            "Place 3 of 4. No free pup is known to meet all that must be met: colour.",
            "Place 4 of 4. Every pup that would do goes to a buyer who has waited longer."
        ]
    );
}

#[test]
fn litter_and_date_are_wishes_too() {
    let day = |text: &str| Some(text.parse().unwrap());
    let litter = Uuid::from_u128(7);
    let wishes = BuyerWishes {
        litter_id: Some(litter),
        from_on: day("2026-03-01"),
        until_on: day("2026-03-31"),
        must: vec![WishKind::Litter, WishKind::Date],
        ..Default::default()
    };
    let pup = |litter_id, ready_on| FreePup { litter_id, ready_on, ..pup(0, Sex::Male, None, &[]) };
    let accepts = |litter_id, ready_on| wishes.accepts(&wishes.with(&pup(litter_id, ready_on)));
    assert!(accepts(Some(litter), day("2026-03-01")) && accepts(Some(litter), day("2026-03-31")));
    assert!(!accepts(Some(litter), day("2026-04-01")) && !accepts(Some(litter), day("2026-02-28")));
    assert!(!accepts(Some(litter), None) && !accepts(None, day("2026-03-01")));
}

#[test]
fn wrong_input_is_named() {
    let wrong = BuyerWishes {
        colour: Some(String::new()),
        from_on: Some("2026-03-02".parse().unwrap()),
        until_on: Some("2026-03-01".parse().unwrap()),
        must: vec![WishKind::Sex],
        ..Default::default()
    };
    let twice = pup(0, Sex::Male, None, &[]);
    let faults = propose(&[buyer(0, wrong)], &[twice.clone(), twice]).unwrap_err();
    let at: Vec<&str> = faults.iter().map(|fault| fault.pointer.as_str()).collect();
    let wishes =
        ["/buyers/0/wishes/colour", "/buyers/0/wishes/until_on", "/buyers/0/wishes/must/0"];
    assert_eq!(at, [wishes[0], wishes[1], wishes[2], "/pups/1"]);
}

#[test]
fn a_long_waiting_list_is_solved_at_once() {
    let buyers: Vec<_> = (0..MANY)
        .map(|n| {
            let sex = if n % 3 == 0 { Sex::Male } else { Sex::Female };
            buyer(n, wish(sex, if n % 2 == 0 { "black" } else { "red" }, &[WishKind::Sex]))
        })
        .collect();
    let pups: Vec<_> = (0..60)
        .map(|n| pup(n, if n % 2 == 0 { Sex::Male } else { Sex::Female }, Some("red"), &[]))
        .collect();
    let proposal = propose(&buyers, &pups).unwrap();
    assert_eq!(proposal.pairs.len(), 60);
    sound(&buyers, &pups, &proposal);
}

const MANY: usize = 300;
