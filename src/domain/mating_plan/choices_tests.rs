//! What a choice costs, against every plan there is.

use super::{
    KinshipTable, MatingGrid, PairChoice, ProposalAnimal, YearPlanRequest, proposal::ProposalPair,
    propose_year, search::EQUAL,
};
use crate::rules::Rules;
use catalogue::Text;
use proptest::prelude::*;
use uuid::Uuid;

fn id(number: usize) -> Uuid {
    Uuid::from_u128(number as u128 + 1)
}

/// A kinship table of dogs whose parents are drawn from the ones before: a real pedigree's, so that it is sound.
fn kinship(parents: &[(usize, usize)], dogs: usize) -> Vec<f64> {
    let all = parents.len();
    let mut k = vec![0.0; all * all];
    for (i, (sire, dam)) in parents.iter().enumerate() {
        let founder = *sire >= i || *dam >= i;
        for j in 0..i {
            let of = |p: usize| k[p * all + j];
            let value = if founder { 0.0 } else { 0.5 * (of(*sire) + of(*dam)) };
            (k[i * all + j], k[j * all + i]) = (value, value);
        }
        let inbreeding = if founder { 0.0 } else { k[sire * all + dam] };
        k[i * all + i] = 0.5 * (1.0 + inbreeding);
    }
    let youngest = all - dogs;
    (youngest..all)
        .flat_map(|i| (youngest..all).map(move |j| (i, j)))
        .map(|(i, j)| k[i * all + j])
        .collect()
}

/// Two dams (0, 1) and two sires (2, 3).
fn request(litters: u32, per_dam: u32, per_sire: u32) -> YearPlanRequest {
    let offer = |dogs: [usize; 2], at_most| {
        dogs.map(|dog| ProposalAnimal { id: id(dog), at_least: 0, at_most }).to_vec()
    };
    let pair = |(dam, sire)| ProposalPair { dam_id: id(dam), sire_id: id(sire), at_most: per_dam };
    YearPlanRequest {
        litters,
        dams: offer([0, 1], per_dam),
        sires: offer([2, 3], per_sire),
        pairs: [(0, 2), (0, 3), (1, 2), (1, 3)].map(pair).to_vec(),
        pups_per_litter: Some(5.0),
        breed: None,
    }
}

/// The least mean kinship of all plans with a litter of the pair, by trying every one.
fn by_trial(values: &[f64], litters: u32, per_dam: u32, per_sire: u32, pair: usize) -> Option<f64> {
    let pairs = [(0, 2), (0, 3), (1, 2), (1, 3)];
    let most = per_dam + 1;
    let mut best: Option<f64> = None;
    for code in 0..most.pow(4) {
        let of_pair: Vec<u32> = (0..4).map(|p| code / most.pow(p) % most).collect();
        let mut of_dog = [0_u32; 4];
        for (count, (dam, sire)) in of_pair.iter().zip(pairs) {
            of_dog[dam] += count;
            of_dog[sire] += count;
        }
        let fits = of_pair.iter().sum::<u32>() == litters
            && of_pair[pair] > 0
            && of_dog[..2].iter().all(|count| *count <= per_dam)
            && of_dog[2..].iter().all(|count| *count <= per_sire);
        if !fits {
            continue;
        }
        let share = of_dog.map(|count| f64::from(count) / (2.0 * f64::from(litters)));
        let pups = 5.0 * f64::from(litters);
        let mut mean = 0.0;
        for i in 0..4 {
            for j in 0..4 {
                mean += share[i] * values[i * 4 + j] * share[j];
            }
            mean += share[i] * (1.0 - values[i * 4 + i]) / (2.0 * pups);
        }
        best = Some(best.map_or(mean, |best: f64| best.min(mean)));
    }
    best
}

fn open_grid() -> MatingGrid {
    let words = || Text::verbatim("");
    let (formula, about_inbreeding, rule_set, law) = (words(), words(), words(), words());
    MatingGrid { dams: Vec::new(), formula, about_inbreeding, rule_set, law }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..Default::default() })]

    /// The best plan with a chosen pair is the best of all that have it; a choice is refused just when none has it.
    #[test]
    fn a_choice_costs_what_the_best_plan_with_it_costs(
        draws in prop::collection::vec((0..12_usize, 0..12_usize), 8),
        litters in 1..4_u32,
        per_dam in 1..3_u32,
        per_sire in 1..4_u32,
        pair in 0..4_usize,
    ) {
        let mut parents = vec![(99, 99); 4];
        parents.extend(draws.into_iter().enumerate().map(|(at, (s, d))| {
            let (s, d) = (s % (at + 4), d % (at + 4));
            if s == d { (99, 99) } else { (s, d) }
        }));
        let values = kinship(&parents, 4);
        let table = KinshipTable::new((0..4).map(id).collect(), values.clone()).unwrap();
        let rules = Rules::standard();
        let request = request(litters, per_dam, per_sire);
        let Ok(best) = propose_year(&request, &table, &rules) else { return Ok(()) };
        let (dam, sire) = [(0, 2), (0, 3), (1, 2), (1, 3)][pair];
        let choice = PairChoice { dam_id: id(dam), sire_id: id(sire) };
        let cost = choice.weighed(&request, &best, &open_grid(), &table, &rules);
        let wanted = by_trial(&values, litters, per_dam, per_sire, pair);
        prop_assert_eq!(cost.possible, wanted.is_some());
        if let (Some(found), Some(wanted)) = (cost.mean_kinship, wanted) {
            // The proposal's own plan stands where it has the pair, and both searches end within their gap.
            prop_assert!((found - wanted).abs() <= 4.0 * EQUAL, "{} {}", found, wanted);
            prop_assert!(cost.cost.unwrap() >= 0.0);
            prop_assert!(cost.others.iter().all(|other| other.dam_id != id(dam)));
        }
    }
}

/// Two sisters (0, 1) and two unrelated sires (2, 3): both may not have the same sire, so who takes the other's
/// changes her mate and costs nothing; with one litter a sire the second sister gets the other one.
#[test]
fn who_takes_a_mate_is_told_whose_mates_change() {
    let mut values = vec![0.0; 16];
    (0..4).for_each(|dog| values[dog * 5] = 0.5);
    (values[1], values[4]) = (0.25, 0.25);
    let table = KinshipTable::new((0..4).map(id).collect(), values).unwrap();
    let rules = Rules::standard();
    let request = request(2, 1, 1);
    let best = propose_year(&request, &table, &rules).unwrap();
    let mate_of = |dam: usize| best.matings.iter().find(|m| m.dam_id == id(dam)).unwrap().sire_id;
    let (mine, theirs) = (mate_of(0), mate_of(1));
    let weigh = |sire_id| {
        PairChoice { dam_id: id(0), sire_id }.weighed(&request, &best, &open_grid(), &table, &rules)
    };
    let same = weigh(mine);
    assert_eq!((same.cost, same.others.len()), (Some(0.0), 0));
    let other = weigh(theirs);
    assert!(other.cost.unwrap() < 1e-9);
    let [changed] = &other.others[..] else { panic!("{other:?}") };
    assert_eq!(
        (changed.dam_id, &changed.sires_before, &changed.sires_after),
        (id(1), &vec![theirs], &vec![mine])
    );
}

/// A dam that is to have no litter, and a pair that is left out, are told with the reason.
#[test]
fn what_cannot_be_chosen_says_why() {
    let values = (0..16).map(|n| if n % 5 == 0 { 0.5 } else { 0.0 }).collect();
    let table = KinshipTable::new((0..4).map(id).collect(), values).unwrap();
    let rules = Rules::standard();
    let mut request = request(1, 1, 1);
    request.dams[0].at_most = 0;
    let best = propose_year(&request, &table, &rules).unwrap();
    let choice = PairChoice { dam_id: id(0), sire_id: id(2) };
    let cost = choice.weighed(&request, &best, &open_grid(), &table, &rules);
    assert_eq!((cost.possible, cost.why_not.len(), cost.cost), (false, 1, None));
}
