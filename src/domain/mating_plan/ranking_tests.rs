use super::*;
use crate::{
    breeding_limits::{BreedingSex, DamHistory, PastWhelping, RuleSet},
    markers::{FamilyMember, GenotypeBook, GenotypeResult, MarkerCatalogue, MarkerFamily},
    rules::Rules,
    seen_traits::{CoatOnRecord, TraitSigns},
};
use std::collections::HashMap;
use uuid::Uuid;

fn id(n: u128) -> Uuid {
    Uuid::from_u128(n)
}

fn dog(n: u128, sex: BreedingSex, born: &str) -> MatingCandidate {
    MatingCandidate {
        id: id(n),
        sex,
        born_on: born.parse().ok(),
        sire_id: Some(id(100 + n)),
        dam_id: Some(id(200 + n)),
        unavailable: None,
        history: DamHistory {
            complete: true,
            other_sires_this_heat: Some(0),
            ..Default::default()
        },
    }
}

/// Kinship of dogs 1 to 4 and stock 5: 2 is the dam's half brother, 3 a cousin, 4 unrelated; 4 is
/// akin to the stock.
fn table() -> KinshipTable {
    let ids = (1..=5).map(id).collect();
    let values = vec![
        0.5, 0.125, 0.0625, 0.0, 0.0, //
        0.125, 0.5, 0.0, 0.0, 0.0, //
        0.0625, 0.0, 0.5, 0.0, 0.0, //
        0.0, 0.0, 0.0, 0.5, 0.25, //
        0.0, 0.0, 0.0, 0.25, 0.5,
    ];
    KinshipTable::new(ids, values).unwrap()
}

fn member(n: u128, sex: BreedingSex, results: &[(&str, &str)]) -> FamilyMember {
    let result = |(marker, alleles): &(&str, &str)| GenotypeResult {
        marker: (*marker).into(),
        alleles: alleles.split('/').map(Into::into).collect(),
        laboratory: None,
        tested_on: None,
        omia: None,
    };
    let results = results.iter().map(result).collect();
    FamilyMember { id: id(n), sex, sire: None, dam: None, results }
}

fn sires() -> Vec<MatingCandidate> {
    (2..=4).map(|n| dog(n, BreedingSex::Male, "2022-01-01")).collect()
}

fn ranked(
    dams: &[MatingCandidate],
    sires: &[MatingCandidate],
    family: Vec<FamilyMember>,
    rules: &Rules,
) -> Result<MatingGrid, Vec<crate::fault::Fault>> {
    let family = MarkerFamily::new(family)?;
    let dogs: Vec<Uuid> = family.members().iter().map(|m| m.id).collect();
    let book = GenotypeBook::new(&family, MarkerCatalogue::standard(), &[], &dogs, rules)?;
    let generations = HashMap::from([(id(1), 6.0), (id(3), 6.0), (id(4), 3.0)]);
    let context = PlanContext {
        kinship: &table(),
        stock: &[id(5)],
        generations: &generations,
        traits: &seen(),
        genotypes: Some(&book),
        rule_set: RuleSet::named("careful").unwrap(),
        law: &RuleSet::note(),
        rules,
        mated_on: "2026-03-01".parse().unwrap(),
    };
    plan_grid(dams, sires, &context)
}

/// Nothing is seen of most; dog 1 is a blue merle and so is dog 9.
fn seen() -> HashMap<Uuid, TraitSigns> {
    let signs = |colour: &str| {
        TraitSigns::of(&CoatOnRecord { colour: Some(colour.into()), ..Default::default() })
    };
    HashMap::from([
        (id(1), signs("blue merle")),
        (id(3), signs("black tri")),
        (id(4), signs("black tri")),
        (id(9), signs("Rotmerle")),
        (id(11), signs("red")),
    ])
}

/// No gene test: what is seen is enough to leave merle with merle out, and to ask for a test of a
/// red dog, whose coat hides it.
#[test]
fn merle_that_is_only_seen_is_cautioned() {
    let rules = Rules::standard();
    let dam = dog(1, BreedingSex::Female, "2023-01-01");
    let sires = [4, 9, 11].map(|n| dog(n, BreedingSex::Male, "2022-01-01"));
    let grid = ranked(&[dam], &sires, vec![], &rules).unwrap();
    let row = &grid.dams[0];
    let merle = row.excluded.iter().find(|m| m.sire_id == id(9)).unwrap();
    assert_eq!(merle.exclusions[0].reason, MatingExclusionKind::DoubleMerle);
    assert!(merle.cautions[0].what.contains("Do not mate merle with merle"));
    let of = |n| row.ranked.iter().find(|m| m.sire_id == id(n)).unwrap();
    assert_eq!(of(11).cautions.len(), 1);
    assert!(of(4).cautions.is_empty());
    assert_eq!(of(4).complete_generation_equivalents, Some(5.5));
    assert!(grid.about_inbreeding.contains("lower bound"));
}

#[test]
fn ranks_by_the_stated_score_and_reasons_exclusions() {
    let rules = Rules::standard();
    let dam = dog(1, BreedingSex::Female, "2023-01-01");
    let grid = ranked(&[dam], &sires(), vec![], &rules).unwrap();
    let row = &grid.dams[0];
    // The half brother's pups would have 0.125, over the ceiling of 0.065.
    assert_eq!(row.excluded.len(), 1);
    assert_eq!(row.excluded[0].sire_id, id(2));
    assert_eq!(row.excluded[0].exclusions[0].reason, MatingExclusionKind::InbreedingCeiling);
    // By hand: cousin (4(1 - 0.0625/0.065) + 3 + 2·0.5 + 1) / 10 = 0.515385;
    // unrelated (4 + 3(1 - 0.125/0.25) + 2·0.5 + 1) / 10 = 0.75.
    assert_eq!(row.ranked.iter().map(|m| m.sire_id).collect::<Vec<_>>(), [id(4), id(3)]);
    assert!((row.ranked[0].score - 0.75).abs() < 1e-12, "{}", row.ranked[0].score);
    assert!((row.ranked[1].score - 0.515_384_615).abs() < 1e-8);
    assert_eq!((row.ranked[0].rank, row.ranked[1].rank), (1, 2));
    assert!(row.ranked[0].notes.iter().any(|n| n.contains("understated")));
    assert!(row.ranked[1].notes.is_empty(), "{:?}", row.ranked[1].notes);
    let health = &row.ranked[0].parts[2];
    assert!(!health.known && health.detail.contains("no genetic test"));
    assert_eq!(grid.allowed_pairs(1).len(), 2);
    assert!(grid.law.contains("local law"));
}

/// Whether two carriers, of whose pups a quarter would be affected, are left out.
pub(super) fn affected(rules: &Rules) -> bool {
    let carrier = [("prcd_pra", "N/prcd")];
    let family =
        vec![member(1, BreedingSex::Female, &carrier), member(4, BreedingSex::Male, &carrier)];
    let dam = dog(1, BreedingSex::Female, "2023-01-01");
    let sire = dog(4, BreedingSex::Male, "2022-01-01");
    let grid = ranked(&[dam], &[sire], family, rules).unwrap();
    let reasons = grid.dams[0].excluded.iter().flat_map(|mating| &mating.exclusions);
    reasons.into_iter().any(|one| one.reason == MatingExclusionKind::AffectedPups)
}

#[test]
fn genetic_tests_exclude_what_is_sure_and_mark_down_what_is_open() {
    let rules = Rules::standard();
    let dam = dog(1, BreedingSex::Female, "2023-01-01");
    let carrier = [("prcd_pra", "N/prcd"), ("coat_m", "M/m")];
    let family = vec![
        member(1, BreedingSex::Female, &carrier),
        member(3, BreedingSex::Male, &carrier),
        member(4, BreedingSex::Male, &[("prcd_pra", "N/N")]),
    ];
    let grid = ranked(&[dam], &sires(), family, &rules).unwrap();
    let row = &grid.dams[0];
    let cousin = row.excluded.iter().find(|m| m.sire_id == id(3)).unwrap();
    let reasons: Vec<MatingExclusionKind> = cousin.exclusions.iter().map(|e| e.reason).collect();
    assert_eq!(reasons, [MatingExclusionKind::AffectedPups, MatingExclusionKind::DoubleMerle]);
    assert!(cousin.exclusions[0].detail.contains("25.0 %"));
    // Clear for prcd, but untested for merle: up to half the pups double merle.
    let other = &row.ranked[0];
    assert_eq!((other.sire_id, other.risks.len()), (id(4), 1));
    assert!((other.risks[0].highest - 0.5).abs() < 1e-12 && other.risks[0].lowest == 0.0);
    assert!((other.parts[2].points - 0.5).abs() < 1e-12);
}

#[test]
fn limits_exclude_and_open_records_are_noted() {
    let rules = Rules::standard();
    let mut young = dog(1, BreedingSex::Female, "2025-01-01");
    let litter = PastWhelping { whelped_on: "2025-12-01".parse().unwrap(), caesarean: Some(false) };
    young.history.whelpings.push(litter);
    let grid = ranked(&[young], &sires(), vec![], &rules).unwrap();
    assert!(grid.dams[0].ranked.is_empty());
    let limits = |m: &ExcludedMating| {
        m.exclusions.iter().filter(|e| e.reason == MatingExclusionKind::BreedingLimit).count()
    };
    assert!(grid.dams[0].excluded.iter().all(|m| limits(m) == 2), "age and interval");
    let unknown = MatingCandidate { born_on: None, ..dog(1, BreedingSex::Female, "2023-01-01") };
    let mut dead = sires();
    dead[2].unavailable = Some("died 2025-12-24".into());
    dead[1].sire_id = None;
    let grid = ranked(&[unknown], &dead, vec![], &rules).unwrap();
    let row = &grid.dams[0];
    assert!(row.ranked[0].notes.iter().any(|n| n.contains("birth date unknown")));
    assert!(row.excluded.iter().any(|m| m.exclusions[0].detail.contains("died")));
    let mut father = sires();
    let mut daughter = dog(1, BreedingSex::Female, "2023-01-01");
    daughter.sire_id = Some(id(4));
    father.retain(|s| s.id == id(4));
    let grid = ranked(&[daughter], &father, vec![], &rules).unwrap();
    assert!(grid.dams[0].excluded[0].exclusions[0].detail.contains("parent"));
}

/// What fits an answer is told, the best first, and how many there are.
#[test]
fn an_answer_is_shortened_evenly_and_says_so() {
    let rules = Rules::standard();
    let dam = dog(1, BreedingSex::Female, "2023-01-01");
    let whole = ranked(&[dam], &sires(), vec![], &rules).unwrap();
    let mut short = whole.clone();
    short.shorten(1);
    let row = &short.dams[0];
    assert_eq!((row.ranked.len(), row.excluded.len()), (1, 1));
    assert_eq!(row.ranked[0].sire_id, id(4), "the best of the two");
    assert_eq!((row.ranked_in_all, row.excluded_in_all), (2, 1));
    let mut enough = whole.clone();
    enough.shorten(2);
    assert_eq!(enough, whole);

    // Two dams share; nobody is left without one.
    let row = whole.dams[0].clone();
    for (matings, kept) in [(5, 2), (4, 2), (3, 1), (2, 1), (1, 1), (0, 1)] {
        let mut grid = MatingGrid { dams: vec![row.clone(), row.clone()], ..whole.clone() };
        grid.shorten(matings);
        assert_eq!(grid.dams.iter().map(|dam| dam.ranked.len()).collect::<Vec<_>>(), [kept; 2]);
    }
}

#[test]
fn names_faults_of_the_grid() {
    let rules = Rules::standard();
    let dam = dog(1, BreedingSex::Female, "2023-01-01");
    let faults = |dams: &[MatingCandidate], sires: &[MatingCandidate], rules: &Rules| {
        ranked(dams, sires, vec![], rules).unwrap_err()
    };
    assert!(faults(&[], &[], &rules).len() == 2);
    let wrong = faults(&[sires()[0].clone()], std::slice::from_ref(&dam), &rules);
    assert!(wrong.len() == 2 && wrong[0].detail.contains("is a male"));
    let few = Rules::standard().with_override("breeding.grid_pairs_limit", 2.0, "test").unwrap();
    assert!(faults(&[dam], &sires(), &few)[0].detail.contains("3 pairs are over the limit of 2"));
}
