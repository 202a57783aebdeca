//! Chances of clashes are checked against sums by hand.

use super::*;
use crate::expected_pups::{ExpectedPupsInput, expected_pups};
use crate::record::MatingMethod;
use crate::record::Sex;
use catalogue::Text;
use proptest::prelude::*;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn id(n: u128) -> Uuid {
    Uuid::from_u128(n)
}

fn litter(n: u128, chances: &[(&str, f64)]) -> PlannerLitter {
    PlannerLitter {
        key: format!("litter-{n}"),
        dam_id: id(n),
        name: format!("Dam {n}").into(),
        draft: false,
        chance_of_litter: 1.0,
        whelping: chances
            .iter()
            .map(|(text, chance)| DayChance { day: day(text), chance: *chance })
            .collect(),
        pups: Some(expected_pups(&ExpectedPupsInput::default(), &Rules::standard()).unwrap()),
        free: None,
        colours: vec![],
        place_id: None,
        go_home_days: None,
        heat: None,
    }
}

fn place(n: u128) -> WhelpingPlace {
    WhelpingPlace { id: id(n), name: format!("Room {n}"), capacity: 1, closed: vec![] }
}

fn kennel(litters: Vec<PlannerLitter>) -> PlannerInput {
    PlannerInput {
        span: DateSpan { from: day("2024-01-01"), to: day("2024-06-30") },
        litters,
        dams: vec![],
        places: vec![],
        people: vec![],
        buyers: vec![],
    }
}

fn made(input: &PlannerInput) -> KennelPlan {
    plan(input, &Rules::standard()).unwrap()
}

/// By hand: births on 1, 2, 3 March (1/2, 1/4, 1/4) and on 3, 6 March (1/2, 1/2); within one day
/// only 2–3 and 3–3: 1/4·1/2 + 1/4·1/2 = 1/4. With a litter in 80 % of cases: 0.2.
#[test]
fn gives_the_chance_of_two_births_on_the_same_nights() {
    let first = litter(1, &[("2024-03-01", 0.5), ("2024-03-02", 0.25), ("2024-03-03", 0.25)]);
    let mut second = litter(2, &[("2024-03-03", 0.5), ("2024-03-06", 0.5)]);
    let clash = |second: &PlannerLitter| {
        let found = made(&kennel(vec![first.clone(), second.clone()]));
        found.clashes.into_iter().find(|c| c.kind == ClashKind::SameNights).unwrap()
    };
    assert!((clash(&second).chance - 0.25).abs() < 1e-12);
    assert_eq!(clash(&second).litters, ["litter-1", "litter-2"]);
    second.chance_of_litter = 0.8;
    second.draft = true;
    assert!((clash(&second).chance - 0.2).abs() < 1e-12);
    let far = litter(2, &[("2024-05-03", 1.0)]);
    assert!(made(&kennel(vec![first.clone(), far])).clashes.is_empty());
}

/// One place, taken from 7 days before to 28 days after a birth: births on 1 March (sure) and in
/// half of cases on 20 March clash from 13 March (7 days before) to 29 March (28 days after).
#[test]
fn gives_the_chance_that_no_place_is_free() {
    let mut second = litter(2, &[("2024-03-20", 1.0)]);
    second.chance_of_litter = 0.5;
    let mut input = kennel(vec![litter(1, &[("2024-03-01", 1.0)]), second]);
    input.places = vec![place(10)];
    let found = made(&input);
    let clash = found.clashes.iter().find(|c| c.kind == ClashKind::NoPlace).unwrap();
    assert_eq!((clash.from, clash.to), (day("2024-03-13"), day("2024-03-29")));
    assert!((clash.chance - 0.5).abs() < 1e-12);
    assert_eq!(found.litters[0].place_id, Some(id(10)));
    assert_eq!(found.litters[1].place_id, None);
    input.places.push(place(11));
    let roomy = made(&input);
    assert!(roomy.clashes.iter().all(|c| c.kind != ClashKind::NoPlace));
    assert_eq!(roomy.litters[1].place_id, Some(id(11)));
    input.places[1].closed = vec![DateSpan { from: day("2024-03-15"), to: day("2024-03-16") }];
    let closed = made(&input);
    let clash = closed.clashes.iter().find(|c| c.kind == ClashKind::NoPlace).unwrap();
    assert_eq!((clash.from, clash.to), (day("2024-03-15"), day("2024-03-16")));
}

#[test]
fn sees_who_is_away_and_when_hands_are_short() {
    let mut input = kennel(vec![litter(1, &[("2024-03-01", 0.4), ("2024-03-05", 0.6)])]);
    let away = vec![DateSpan { from: day("2024-03-04"), to: day("2024-03-20") }];
    input.people = vec![
        PlannerPerson { id: id(20), name: "Ada".into(), away },
        PlannerPerson { id: id(21), name: "Ben".into(), away: vec![] },
    ];
    let found = made(&input);
    let clash = found.clashes.iter().find(|c| c.kind == ClashKind::PersonAway).unwrap();
    assert!((clash.chance - 0.6).abs() < 1e-12);
    assert_eq!(clash.person_id, Some(id(20)));
    // Two people are needed from the night before the birth to the night after it.
    let short = found.clashes.iter().find(|c| c.kind == ClashKind::TooFewHands).unwrap();
    assert_eq!((short.from, short.to), (day("2024-03-04"), day("2024-03-06")));
    assert!((short.chance - 0.6).abs() < 1e-12);
}

#[test]
fn lays_out_the_spans_of_a_litter() {
    let found = made(&kennel(vec![litter(1, &[("2024-03-01", 1.0)])]));
    let planned = &found.litters[0];
    assert_eq!(planned.place_needed.from, day("2024-02-23"));
    assert_eq!(planned.critical.to, day("2024-03-22"));
    assert_eq!(planned.go_home.from, day("2024-04-26")); // 56 days, over the end of March
    assert_eq!(planned.likely, day("2024-03-01"));
    let mut input = kennel(vec![]);
    let history = crate::cycle::coming_heats::HeatHistory {
        heats: vec![day("2023-10-01")],
        pregnant_since: false,
        born_on: None,
    };
    let heats = crate::cycle::coming_heats::heat_chances(
        &history,
        2,
        day("2024-01-01"),
        &Rules::standard(),
    );
    input.dams = vec![PlannerDam { dam_id: id(1), name: "Dam 1".into(), heats }];
    let options = heat_options("draft", &input.dams[0], &Rules::standard()).unwrap();
    assert_eq!(options.len(), 2);
    let median = |i: usize| DayChances::from_list(&options[i].litters[0].1).unwrap().median();
    let heat = input.dams[0].heats[0].median();
    assert!(((median(0) - heat).num_days() - 74).abs() <= 2);
    assert!(median(1) > median(0));
    assert!(made(&input).heats.iter().any(|h| h.number == 1));
}

#[test]
fn serves_buyers_in_order_and_by_wish() {
    let mut born = litter(1, &[("2024-03-01", 1.0)]);
    let pup = |sex, colour: &str| FreePup { sex: Some(sex), colour: Some(colour.into()) };
    born.free = Some(vec![
        pup(Sex::Female, "black"),
        pup(Sex::Female, "brown"),
        pup(Sex::Male, "black"),
        pup(Sex::Male, "brown"),
    ]);
    let wish = |n: u128, sex, colour: Option<&str>| BuyerWish {
        buyer_id: id(n),
        joined_on: day("2023-01-01") + chrono::Duration::days(i64::try_from(n).unwrap()),
        sex,
        colour: colour.map(str::to_owned),
    };
    let mut input = kennel(vec![born]);
    input.buyers = vec![
        wish(3, Some(Sex::Female), None),
        wish(1, Some(Sex::Female), Some("Black")),
        wish(2, None, Some("white")),
        wish(4, Some(Sex::Female), None),
    ];
    let found = made(&input);
    assert_eq!(found.demand.len(), 1);
    let april = &found.demand[0];
    assert_eq!(april.month, day("2024-04-01"));
    assert!((april.pups - 4.0).abs() < 1e-9);
    // Two females are expected: one black; the second goes to buyer 3, none is left for buyer 4.
    assert_eq!(april.buyers_served, [id(1), id(3)]);
    assert_eq!(april.buyers_waiting, [id(2), id(4)]);
    assert!((april.pups_without_buyer - 2.0).abs() < 1e-9);
}

/// By hand: half of the mean number is female, a quarter of those black, the rest of unknown colour.
#[test]
fn counts_pups_expected_by_sex_and_colour() {
    let mut due = litter(1, &[("2024-03-01", 1.0)]);
    due.chance_of_litter = 0.8;
    due.colours = vec![ColourChance { colour: "black".into(), chance: 0.25 }];
    let mean = due.pups.as_ref().unwrap().mean;
    let found = made(&kennel(vec![due]));
    let supply = &found.demand[0].supply;
    let of = |sex, colour: Option<&str>| {
        let own = |s: &&PupSupply| s.sex == sex && s.colour == colour.map(Text::from);
        supply.iter().find(own).map(|s| s.pups).unwrap()
    };
    let female = Rules::standard().value("planner.female_share");
    let black = of(Sex::Female, Some("black"));
    assert!((black - 0.8 * mean * female * 0.25).abs() < 1e-9);
    assert!((of(Sex::Female, None) - 0.8 * mean * female * 0.75).abs() < 1e-9);
    assert!((found.demand[0].pups - 0.8 * mean).abs() < 1e-9);
}

/// Two litters put in one room of which the planner would have had two: told, with its chance.
#[test]
fn tells_of_a_place_that_two_litters_are_put_in() {
    let put = |n, chance, on| PlannerLitter {
        place_id: Some(id(10)),
        chance_of_litter: chance,
        ..litter(n, &[(on, 1.0)])
    };
    let mut input = kennel(vec![put(1, 1.0, "2024-03-01"), put(2, 0.6, "2024-03-11")]);
    input.places = vec![place(10), place(11)];
    let found = made(&input);
    assert!(found.litters.iter().all(|l| l.place_id == Some(id(10))));
    let clash: Vec<_> = found.clashes.iter().filter(|c| c.kind == ClashKind::PlaceTaken).collect();
    assert_eq!(clash.len(), 1, "{:?}", found.clashes);
    assert!((clash[0].chance - 0.6).abs() < 1e-9);
    assert!(clash[0].detail.to_string().starts_with("Room 10: "));
    assert!(!found.clashes.iter().any(|c| c.kind == ClashKind::NoPlace));
    // One of them elsewhere: nothing to tell, and the planner's own choice goes round it.
    input.litters[1].place_id = None;
    let found = made(&input);
    assert!(!found.clashes.iter().any(|c| c.kind == ClashKind::PlaceTaken));
    assert_eq!(found.litters[1].place_id, Some(id(11)));
}

/// Okkens 2001: 61.4 ± 1.5 days after a timed mating; a plain mating 57–72.
#[test]
fn drafts_a_litter_from_a_planned_mating() {
    let rules = Rules::standard();
    let on = day("2024-01-01");
    let timed = draft_whelping(&DraftTiming::TimedDay { on }, &rules).unwrap();
    assert_eq!(timed.median(), day("2024-03-02"));
    let span = timed.shortest_span(0.95);
    assert!((5..=8).contains(&(span.latest - span.earliest).num_days()));
    let plain = DraftTiming::Day { on, method: MatingMethod::Natural };
    let plain = draft_whelping(&plain, &rules).unwrap().shortest_span(0.95);
    assert_eq!((plain.earliest, plain.latest), (day("2024-02-27"), day("2024-03-13")));
    let begins = vec![DayChance { day: on, chance: 1.0 }];
    let heat = draft_whelping(&DraftTiming::Heat { begins }, &rules).unwrap();
    assert!((heat.median() - on).num_days() >= 73 && (heat.median() - on).num_days() <= 75);
    assert!(draft_whelping(&DraftTiming::Heat { begins: vec![] }, &rules).is_err());
    // Chastant-Maillard 2017: 81.9 % of heats mated end in a litter, 87.8 % in a pregnancy.
    let hoped = chance_of_litter(false, false, &rules);
    assert!((hoped / chance_of_litter(false, true, &rules) - 0.878).abs() < 0.002);
    assert_eq!(chance_of_litter(true, true, &rules), 1.0);
}

#[test]
fn finds_the_span_of_least_clash() {
    let rules = Rules::standard();
    let mut planned = litter(2, &[("2024-03-01", 1.0)]);
    planned.draft = true;
    let mut input = kennel(vec![litter(1, &[("2024-03-01", 1.0)]), planned]);
    input.places = vec![place(10)];
    let whelping = DayChances::certain(day("2024-03-01"));
    let options = shift_options("litter-2", &whelping, &days_to_try(0, 42, 7));
    let costs = compare_options(&input, &options, &rules).unwrap();
    assert_eq!(costs.len(), 7);
    // The place is taken to 29 March and wanted from 7 days before: 6 weeks later is free.
    assert_eq!(costs[0].label, "42 days later");
    assert_eq!(costs[0].cost, 0.0);
    let now = costs.iter().find(|c| c.label == "as planned").unwrap();
    assert!((now.same_nights - 1.0).abs() < 1e-12 && now.place_days_short >= 36.0 - 1e-9);
    let strange = shift_options("nobody", &whelping, &[0]);
    assert!(compare_options(&input, &strange, &rules).is_err());
    let mut bad = input.clone();
    bad.litters[1].key = "litter-1".into();
    bad.litters[0].whelping.clear();
    bad.span.to = day("2023-01-01");
    assert_eq!(plan(&bad, &rules).unwrap_err().len(), 3);
}

#[test]
fn days_to_try_hold_the_plan_as_it_is() {
    assert_eq!(days_to_try(14, 28, 7), [0, -7, 7, -14, 14, 21, 28]);
    // No multiple of the step: what lies within it, and the plan as it is.
    assert_eq!(days_to_try(10, 13, 7), [0, -7, 7]);
    assert_eq!(days_to_try(6, 0, 7), [0]);
    assert_eq!(days_to_try(0, 0, 1), [0]);
}

/// A dam whose heats come in March, in September and in the March after; a litter is planned in the second.
#[test]
fn a_heat_moves_with_all_that_follows_from_it() {
    let rules = Rules::standard();
    let heats = ["2024-03-01", "2024-09-01", "2025-03-01"].map(|on| DayChances::certain(day(on)));
    let of_second = PlannerLitter { heat: Some(2), ..litter(2, &[("2024-11-14", 1.0)]) };
    let dam = PlannerDam { dam_id: of_second.dam_id, name: "Juno".into(), heats: heats.into() };
    let other =
        PlannerLitter { dam_id: id(99), heat: Some(2), ..litter(3, &[("2024-11-14", 1.0)]) };
    let mut input = kennel(vec![of_second, other]);
    let dam_id = dam.dam_id;
    input.dams = vec![dam];
    let today = day("2024-02-20");
    let moved = |number, days: &[i64]| {
        let options = heat_moves(&input, &heat_key(dam_id, number), days, today).unwrap();
        compare_options(&input, &options, &rules).unwrap()
    };
    let days =
        |cost: &OptionCost| cost.moves.iter().map(|m| m.likely.to_string()).collect::<Vec<_>>();
    // The first heat takes the later ones and the litter with it.
    let later = moved(1, &[10]);
    assert_eq!(days(&later[0]), ["2024-03-11", "2024-09-11", "2025-03-11", "2024-11-24"]);
    assert_eq!(later[0].whelping_likely, Some(day("2024-11-24")));
    // The last one is followed by nothing.
    let last = moved(3, &[-3]);
    assert_eq!((days(&last[0]), last[0].whelping_likely), (vec!["2025-02-26".to_owned()], None));
    // It has not begun: today is the first day on which it can, and yesterday is none.
    let labels: Vec<Text> = moved(1, &[-10, -11]).into_iter().map(|cost| cost.label).collect();
    assert_eq!(labels, ["10 days earlier"]);
    assert!(heat_moves(&input, "heat:nobody:1", &[0], today).is_none());
    assert!(heat_moves(&input, &heat_key(dam_id, 4), &[0], today).is_none());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    /// The chance of a shortage by sums of independent needs equals that by listing every outcome.
    #[test]
    fn shortage_equals_the_sum_over_all_outcomes(
        shares in proptest::collection::vec(0.0f64..=1.0, 1..=6),
        capacity in 0u32..=3,
    ) {
        let litters = shares.iter().zip(1u128..).map(|(share, n)| {
            PlannerLitter { chance_of_litter: *share, ..litter(n, &[("2024-03-01", 1.0)]) }
        }).collect();
        let mut input = kennel(litters);
        input.span = DateSpan { from: day("2024-03-01"), to: day("2024-03-01") };
        input.places = vec![WhelpingPlace { capacity, ..place(10) }];
        let mut expected = 0.0;
        for outcome in 0u32..1 << shares.len() {
            if outcome.count_ones() > capacity {
                expected += shares.iter().enumerate().map(|(i, share)| {
                    if outcome >> i & 1 == 1 { *share } else { 1.0 - share }
                }).product::<f64>();
            }
        }
        let rules = Rules::standard();
        let reckoned = reckon(&input).unwrap();
        let reckoned: Vec<_> = reckoned.iter().collect();
        let got = clashes::place_shortage(input.span, &input.places, &reckoned, &rules)[0].1;
        prop_assert!((got - expected).abs() < 1e-9, "{got} {expected}");
    }
}
