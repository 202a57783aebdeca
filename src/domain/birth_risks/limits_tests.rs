//! The limits of the risks of a birth.

use super::{BirthRiskCode, facts::BirthFacts, judge::risks};
use crate::limits_tests::{Limit, at_least, at_most, check, less_than, more_than};
use crate::rules::Rules;

fn has(code: BirthRiskCode, facts: &BirthFacts, rules: &Rules) -> bool {
    risks(facts, rules).iter().any(|risk| risk.code == code)
}

fn weighing(kg: f64) -> BirthFacts {
    BirthFacts { adult_weight_kg: Some(kg), ..BirthFacts::default() }
}

fn aged(years: f64, litters: usize) -> BirthFacts {
    BirthFacts { age_years: Some(years), litters_before: Some(litters), ..BirthFacts::default() }
}

fn counted(pups: f64) -> BirthFacts {
    let pups = Some(pups as u32);
    BirthFacts { counted: pups, likely: pups, ..BirthFacts::default() }
}

pub(crate) const LIMITS: &[Limit] = &[
    less_than("birth_risks.small_dam_kg", "under this", 0.1, |kg, r| {
        has(BirthRiskCode::SmallDam, &weighing(kg), r)
    }),
    at_least("birth_risks.large_dam_kg", "from this", 0.1, |kg, r| {
        has(BirthRiskCode::LargeDam, &weighing(kg), r)
    }),
    at_least("birth_risks.older_dam_years", "from which", 0.1, |years, r| {
        has(BirthRiskCode::OlderDam, &aged(years, 2), r)
    }),
    at_least("birth_risks.late_first_litter_years", "from which", 0.1, |years, r| {
        has(BirthRiskCode::LateFirstLitter, &aged(years, 0), r)
    }),
    at_most("birth_risks.small_litter_pups", "at most", 1.0, |pups, r| {
        let facts = counted(pups);
        has(BirthRiskCode::SmallLitter, &facts, r) || has(BirthRiskCode::SinglePup, &facts, r)
    }),
    more_than("birth_risks.large_litter_pups", "more than", 1.0, |pups, r| {
        has(BirthRiskCode::VeryLargeLitter, &counted(pups), r)
    }),
    at_most("birth_risks.low_calcium_dam_kg", "at most", 0.1, |kg, r| {
        let facts = BirthFacts { adult_weight_kg: Some(kg), ..counted(8.0) };
        has(BirthRiskCode::LowCalcium, &facts, r)
    }),
    at_least("birth_risks.low_calcium_pups", "from which", 1.0, |pups, r| {
        let facts = BirthFacts { adult_weight_kg: Some(3.0), ..counted(pups) };
        has(BirthRiskCode::LowCalcium, &facts, r)
    }),
    at_least("birth_risks.overweight_share", "or more", 0.01, |share, r| {
        let facts = BirthFacts { mated_weight_kg: Some(20.0 * (1.0 + share)), ..weighing(20.0) };
        has(BirthRiskCode::Overweight, &facts, r)
    }),
];

#[test]
fn each_limit_of_the_risks_on_it_before_and_after() {
    check(LIMITS);
}
