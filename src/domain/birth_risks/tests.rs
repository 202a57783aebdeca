//! The risks of a birth by what is on record, and what they mean together.

use super::{
    BirthRiskCode,
    facts::{BirthFacts, years},
    judge::{lacking, risks},
};
use crate::{advice::Level, rules::Rules};
use BirthRiskCode::*;

fn codes(facts: &BirthFacts) -> Vec<BirthRiskCode> {
    risks(facts, &Rules::standard()).iter().map(|risk| risk.code).collect()
}

/// A dam of middle size and age that has whelped well, with a counted litter of the usual size.
fn healthy() -> BirthFacts {
    BirthFacts {
        breed: Some("Labrador Retriever".to_owned()),
        adult_weight_kg: Some(28.0),
        mated_weight_kg: Some(28.5),
        age_years: Some(4.0),
        litters_before: Some(1),
        counted: Some(7),
        likely: Some(7),
        ..BirthFacts::default()
    }
}

#[test]
fn a_healthy_dam_with_a_usual_litter_has_no_risk() {
    assert_eq!(codes(&healthy()), []);
    assert!(lacking(&healthy()).is_empty());
}

#[test]
fn what_is_not_on_record_is_told_and_is_no_risk() {
    assert_eq!(codes(&BirthFacts::default()), []);
    assert_eq!(lacking(&BirthFacts::default()).len(), 6);
}

/// Each thing that is on record makes its own risk and no other.
#[test]
fn each_fact_makes_its_risk() {
    let cases = [
        (BirthFacts { caesareans: 1, ..healthy() }, EarlierCaesarean),
        (BirthFacts { hard_births: 2, ..healthy() }, EarlierDystocia),
        (BirthFacts { stillborn: 1, ..healthy() }, EarlierStillborn),
        (BirthFacts { losses: 1, ..healthy() }, EarlierLoss),
        (BirthFacts { eclampsias: 1, ..healthy() }, PastEclampsia),
        (BirthFacts { breed: Some("Mops".to_owned()), ..healthy() }, BreedShape),
        (BirthFacts { counted: Some(1), likely: Some(1), ..healthy() }, SinglePup),
        (BirthFacts { counted: Some(2), likely: Some(2), ..healthy() }, SmallLitter),
        (BirthFacts { counted: Some(13), likely: Some(13), ..healthy() }, VeryLargeLitter),
        (BirthFacts { litters_before: Some(0), ..healthy() }, FirstLitter),
        (
            BirthFacts { litters_before: Some(0), age_years: Some(5.5), ..healthy() },
            LateFirstLitter,
        ),
        (BirthFacts { age_years: Some(7.0), ..healthy() }, OlderDam),
        (BirthFacts { adult_weight_kg: Some(60.0), mated_weight_kg: None, ..healthy() }, LargeDam),
        (BirthFacts { mated_weight_kg: Some(33.0), ..healthy() }, Overweight),
    ];
    for (facts, code) in cases {
        assert_eq!(codes(&facts), [code], "{facts:?}");
    }
    let small = BirthFacts { adult_weight_kg: Some(3.0), mated_weight_kg: None, ..healthy() };
    assert_eq!(codes(&small), [LowCalcium, SmallDam]);
}

/// A count that says one at least is no single pup while more are likely.
#[test]
fn one_pup_for_sure_of_several_is_no_single_pup() {
    let facts = BirthFacts { counted: Some(1), likely: Some(4), ..healthy() };
    assert_eq!(codes(&facts), []);
}

/// A planned caesarean is talked over, never decided; no line speaks of an amount of anything.
#[test]
fn no_line_decides_a_caesarean_or_names_a_dose() {
    let all = BirthFacts {
        breed: Some("Bulldog".to_owned()),
        caesareans: 1,
        hard_births: 1,
        stillborn: 1,
        losses: 1,
        eclampsias: 1,
        counted: Some(14),
        likely: Some(14),
        age_years: Some(8.0),
        litters_before: Some(0),
        mated_weight_kg: Some(40.0),
        ..healthy()
    };
    let found = risks(&all, &Rules::standard());
    for risk in &found {
        let lines = risk.plan.iter().chain(&risk.kit).chain(&risk.on_call);
        for line in lines.map(|line| line.to_string()) {
            assert!(
                !line.contains(" mg") && !line.contains(" ml") && !line.contains("IU"),
                "{line}"
            );
            if line.contains("caesarean") {
                assert!(line.contains("veterinarian decides"), "{line}");
            }
        }
        assert!(!risk.source.is_empty());
    }
    assert!(found.iter().all(|risk| risk.level < Level::Emergency));
}

#[test]
fn years_are_counted_by_the_calendar() {
    let at = |born: &str, on: &str| years(born.parse().unwrap(), on.parse().unwrap());
    assert_eq!(at("2020-03-01", "2026-03-01"), 6.0);
    assert!(at("2020-03-02", "2026-03-01") < 6.0);
    assert!(at("2020-02-29", "2026-03-01") >= 6.0);
    assert!((at("2020-01-01", "2026-07-01") - 6.5).abs() < 0.01);
}
