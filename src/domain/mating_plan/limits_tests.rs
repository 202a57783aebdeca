//! The limits of a plan: what excludes a mating, and how much one plan may weigh.

use super::proposal::ProposalPair;
use super::*;
use crate::breeding_limits::{BreedingSex, DamHistory, RuleSet};
use crate::limits_tests::{Ask, Limit, Side, check};
use crate::rules::Rules;
use crate::seen_traits::TraitSigns;
use std::collections::HashMap;
use uuid::Uuid;

fn id(n: u128) -> Uuid {
    Uuid::from_u128(n)
}

fn dog(n: u128, sex: BreedingSex) -> MatingCandidate {
    MatingCandidate {
        id: id(n),
        sex,
        born_on: "2022-06-01".parse().ok(),
        sire_id: Some(id(100 + n)),
        dam_id: Some(id(200 + n)),
        unavailable: None,
        history: DamHistory { complete: true, ..DamHistory::default() },
    }
}

/// One dam and two sires, of whom the first is her half brother: pups of 0.125.
fn grid(rules: &Rules) -> Result<MatingGrid, Vec<crate::fault::Fault>> {
    let values = vec![0.5, 0.125, 0.0, 0.125, 0.5, 0.0, 0.0, 0.0, 0.5];
    let kinship = KinshipTable::new((1..=3).map(id).collect(), values).unwrap();
    let generations = HashMap::from([(id(1), 4.0), (id(2), 6.0), (id(3), 6.0)]);
    let context = PlanContext {
        kinship: &kinship,
        stock: &[],
        generations: &generations,
        traits: &HashMap::<Uuid, TraitSigns>::new(),
        genotypes: None,
        rule_set: RuleSet::named("careful").unwrap(),
        law: &RuleSet::note(),
        rules,
        mated_on: "2026-03-01".parse().unwrap(),
    };
    let sires = [2, 3].map(|n| dog(n, BreedingSex::Male));
    plan_grid(&[dog(1, BreedingSex::Female)], &sires, &context)
}

fn too_close(rules: &Rules) -> bool {
    let grid = grid(rules).unwrap();
    let reasons = grid.dams[0].excluded.iter().flat_map(|mating| &mating.exclusions);
    reasons.into_iter().any(|one| one.reason == MatingExclusionKind::InbreedingCeiling)
}

fn understated(rules: &Rules) -> bool {
    let text = serde_json::to_string(&grid(rules).unwrap()).unwrap();
    text.contains("inbreeding is understated")
}

/// Four dams or sires, three pairs and two litters.
fn year(rules: &Rules) -> bool {
    let ids: Vec<Uuid> = (1..=4).map(id).collect();
    let values = (0..16).map(|n| if n % 5 == 0 { 0.5 } else { 0.0 }).collect();
    let kinship = KinshipTable::new(ids, values).unwrap();
    let animal = |n| ProposalAnimal { id: id(n), at_least: 0, at_most: 2 };
    let pair = |n| ProposalPair { dam_id: id(1), sire_id: id(n), at_most: 2 };
    let request = YearPlanRequest {
        litters: 2,
        dams: vec![animal(1)],
        sires: (2..=4).map(animal).collect(),
        pairs: (2..=4).map(pair).collect(),
        pups_per_litter: Some(5.0),
        breed: None,
    };
    propose_year(&request, &kinship, rules).is_ok()
}

const fn counted(rule: &'static str, words: &'static str, ask: Ask) -> Limit {
    Limit { rule, side: Side::AtMost, words, step: 1.0, ask }
}

/// Whether a dog that was born so many years before the plan counts as living.
fn lives(years: f64, rules: &Rules) -> bool {
    // Whole years of the table.
    let born_on = format!("{}-03-01", 2026 - years as i64).parse().ok();
    let dogs = vec![BreedDog { id: id(1), born_on }];
    let group = BreedGroup { breed: "any".to_owned(), dogs };
    let rows = [crate::pedigree::PedigreeRow { id: id(1), sire: None, dam: None }];
    let pedigree = crate::pedigree::Pedigree::build(rows).unwrap();
    let book = crate::inbreeding::Studbook::compute(pedigree, 1);
    group.kinship(&book, &[id(1)], "2026-03-01".parse().unwrap(), rules).unwrap().dogs == 1
}

pub(crate) const LIMITS: &[Limit] = &[
    Limit {
        rule: "breeding.breed_living_years",
        side: Side::AtMost,
        words: "at most so many years ago",
        step: 1.0,
        ask: Ask::Value(lives),
    },
    Limit {
        rule: "breeding.inbreeding_ceiling",
        side: Side::MoreThan,
        words: "above this",
        step: 0.001,
        ask: Ask::Rule(|_| 0.125, too_close),
    },
    Limit {
        rule: "breeding.affected_chance_max",
        side: Side::MoreThan,
        words: "greater known chance",
        step: 0.01,
        ask: Ask::Rule(|_| 0.25, super::ranking_tests::affected),
    },
    Limit {
        rule: "breeding.low_pedigree_generations",
        side: Side::LessThan,
        words: "below this",
        step: 0.1,
        ask: Ask::Rule(|_| 4.0, understated),
    },
    counted("breeding.grid_pairs_limit", "most pairs", Ask::Rule(|_| 2.0, |r| grid(r).is_ok())),
    counted("breeding.grid_pairs_limit", "one plan may weigh", Ask::Rule(|_| 3.0, year)),
    counted("breeding.proposal_animals_limit", "most dams and sires", Ask::Rule(|_| 4.0, year)),
    counted("breeding.proposal_litters_limit", "most litters", Ask::Rule(|_| 2.0, year)),
];

#[test]
fn each_limit_of_a_plan_on_it_before_and_after() {
    check(LIMITS);
}
