//! Whole windows against a second computation (tests/outside/dating_windows.py).

use super::*;
use serde::Deserialize;

#[derive(Deserialize)]
struct Reference {
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    today: NaiveDate,
    breed: Option<String>,
    chance_small_litter: Option<f64>,
    evidence: Vec<DatingEvidence>,
    weights: Vec<f64>,
    counted_from_on: Option<NaiveDate>,
    overlaps: Vec<f64>,
    chances: Vec<DayChance>,
}

impl Case {
    fn input(&self) -> DatingInput {
        DatingInput {
            today: self.today,
            now: None,
            heat_began_on: None,
            whelped_on: None,
            breed: self.breed.clone(),
            adult_weight_g: Some(8_000.0),
            chance_small_litter: self.chance_small_litter,
            temperature_fell: None,
            signs: Vec::new(),
            evidence: self.evidence.clone(),
        }
    }

    /// Each two pieces of evidence, in the order in which the reference tells how far they overlap.
    fn pairs(&self) -> Vec<([usize; 2], f64)> {
        let count = self.weights.len();
        let pairs = (0..count).flat_map(|one| (one + 1..count).map(move |other| [one, other]));
        pairs.zip(self.overlaps.iter().copied()).collect()
    }
}

fn cases() -> Vec<Case> {
    let text = include_str!("../../../tests/reference/dating/windows.json");
    serde_json::from_str::<Reference>(text).unwrap().cases
}

fn near(found: f64, wanted: f64, place: &str) {
    // Both add up days; the second does so in finer steps.
    assert!((found - wanted).abs() < 1e-4, "{place}: {found} {wanted}");
}

#[test]
fn each_day_has_the_chance_of_the_second_computation() {
    let rules = Rules::standard();
    for (number, case) in cases().iter().enumerate() {
        let found = due_window(&case.input(), &rules).unwrap();
        let days: Vec<NaiveDate> = found.chance_by_day.iter().map(|one| one.day).collect();
        let wanted: Vec<NaiveDate> = case.chances.iter().map(|one| one.day).collect();
        assert_eq!(days, wanted, "case {number}");
        for (found, wanted) in found.chance_by_day.iter().zip(&case.chances) {
            near(found.chance, wanted.chance, &format!("case {number} on {}", wanted.day));
        }
        let ovulation_on =
            found.counted_from_on.filter(|_| found.counted_from == Some(CountedFrom::Ovulation));
        assert_eq!(ovulation_on, case.counted_from_on, "case {number}");
    }
}

#[test]
fn each_piece_of_evidence_has_its_share_of_all_information() {
    let rules = Rules::standard();
    for (number, case) in cases().iter().enumerate() {
        let found = due_window(&case.input(), &rules).unwrap();
        assert_eq!(found.evidence.len(), case.weights.len(), "case {number}");
        for (line, wanted) in found.evidence.iter().zip(&case.weights) {
            near(line.weight, *wanted, &format!("case {number} {:?}", line.kind));
        }
    }
}

/// What dates the whelping is held against all else that does; a sample that only excludes days is not.
#[test]
fn evidence_disagrees_where_its_chances_hardly_overlap() {
    let loose = Rules::standard().with_override("dating.conflict_overlap", 0.5, "test").unwrap();
    for (number, case) in cases().iter().enumerate() {
        let found = due_window(&case.input(), &loose).unwrap();
        let dated = |place: &usize| found.evidence[*place].likely.is_some();
        let wanted: Vec<([usize; 2], f64)> = case
            .pairs()
            .into_iter()
            .filter(|(pair, overlap)| *overlap < 0.5 && pair.iter().all(dated))
            .collect();
        let pairs: Vec<[usize; 2]> = found.conflicts.iter().map(|one| one.between).collect();
        assert_eq!(pairs, wanted.iter().map(|(pair, _)| *pair).collect::<Vec<_>>(), "{number}");
        for (conflict, (_, overlap)) in found.conflicts.iter().zip(&wanted) {
            near(conflict.overlap, *overlap, &format!("case {number} {:?}", conflict.between));
        }
    }
}
