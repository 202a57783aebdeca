//! Arithmetic that others have published, worked through on dates and figures of its own.
//!
//! Each test names where the formula comes from; the numbers were worked out by hand from it.

use crate::{
    breeding_limits::BreedingSex,
    coat_colour::pup_colours,
    dating::{DatingEvidence, DatingInput, due_window},
    day_chances::shift,
    feeding::{DamStage, dam_energy},
    inbreeding::Studbook,
    markers::{FamilyMember, GenotypeResult, MarkerCatalogue, MarkerFamily, TrialMatingGenetics},
    pedigree::{Pedigree, PedigreeRow},
    record::MeasureKind,
    rules::Rules,
    schedule::{DueState, GivenEvent, HealthKind, ScheduleDates, due, standard_plans},
};
use chrono::NaiveDate;
use std::collections::BTreeMap;
use uuid::Uuid;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

/// The likely day by one scan alone.
fn due_by_scan(breed: Option<&str>, adult_g: f64, measure: MeasureKind, mm: f64) -> NaiveDate {
    let on = day("2026-02-01");
    let input = DatingInput {
        today: on,
        now: None,
        heat_began_on: None,
        whelped_on: None,
        breed: breed.map(str::to_owned),
        adult_weight_g: Some(adult_g),
        chance_small_litter: None,
        temperature_fell: None,
        signs: Vec::new(),
        evidence: vec![DatingEvidence::Ultrasound { on, measure, values_mm: vec![mm] }],
    };
    due_window(&input, &Rules::standard()).unwrap().likely
}

/// Luvoni & Grioni 2000 (J Small Anim Pract), small bitch: (68.68 - 30.0) / 1.53 = 25.28 days.
#[test]
fn inner_chorionic_cavity_of_a_small_bitch() {
    assert_eq!(due_by_scan(None, 7_000.0, MeasureKind::Icc, 30.0), day("2026-02-26"));
}

/// Cecchetto et al. 2017 (Anim Reprod Sci 184:110-119), German Shepherd, biparietal diameter 1.5 cm:
/// 38.65 - 12.86 x 1.5 = 19.36 days.
#[test]
fn biparietal_diameter_of_a_german_shepherd() {
    let found = due_by_scan(Some("German Shepherd"), 30_000.0, MeasureKind::Bp, 15.0);
    assert_eq!(found, day("2026-02-20"));
}

/// NRC 2006: 145 kg^0.75 + kg (24 n + 12 m) L; 20 kg, six pups, week 3:
/// 145 x 20^0.75 + 20 x (96 + 24) x 1.1 = 4,011 kcal.
#[test]
fn lactation_of_a_dam_of_twenty_kilograms() {
    let stage = DamStage::Lactating { day: 17, pups: 6 };
    let need = dam_energy(20_000.0, stage, &Rules::standard()).unwrap();
    assert_eq!(need.energy_kcal.round(), 4_011.0);
}

/// Days on which a pup born on 2026-03-01 is given each dose of a plan, as a kennel does it that
/// gives every dose on its day.
fn given_on(plan: &str, kind: HealthKind, weaned_age: i64, doses: usize) -> Vec<String> {
    let born = day("2026-03-01");
    let steps = &standard_plans().iter().find(|known| known.key == plan).unwrap().steps;
    let mut given: Vec<GivenEvent> = Vec::new();
    for age in 0..400 {
        let today = shift(born, age);
        let dates = ScheduleDates {
            born_on: Some(born),
            mated_on: None,
            whelped_on: Some(born),
            weaned_on: (age >= weaned_age).then(|| shift(born, weaned_age)),
            record_from: None,
        };
        let open = due(steps, dates, &given, today, &Rules::standard());
        if open.steps.iter().any(|step| step.state == DueState::Due) {
            given.push(GivenEvent {
                id: None,
                kind,
                series: None,
                step: None,
                given_on: today,
                by_test: false,
            });
        }
    }
    given.iter().take(doses).map(|event| event.given_on.format("%m-%d").to_string()).collect()
}

/// WSAVA: at 8, 12 and 16 weeks and at 26; a dose at day 41 is too early to count, and one at day
/// 111 is not yet at 16 weeks, so that another is needed.
#[test]
fn core_vaccination_of_a_pup_of_march() {
    let days = given_on("pup-vaccination", HealthKind::Vaccination, 49, 4);
    assert_eq!(days, ["04-26", "05-24", "06-21", "08-30"]);

    let born = day("2026-03-01");
    let steps =
        &standard_plans().iter().find(|known| known.key == "pup-vaccination").unwrap().steps;
    let dates = ScheduleDates {
        born_on: Some(born),
        mated_on: None,
        whelped_on: None,
        weaned_on: None,
        record_from: None,
    };
    let list = |ages: &[i64], today| {
        let event = |age: &i64| GivenEvent {
            id: None,
            kind: HealthKind::Vaccination,
            series: None,
            step: None,
            given_on: shift(born, *age),
            by_test: false,
        };
        let events: Vec<GivenEvent> = ages.iter().map(event).collect();
        due(steps, dates, &events, shift(born, today), &Rules::standard())
    };
    assert_eq!(list(&[41], 60).not_counted.len(), 1);
    assert!(list(&[42], 60).not_counted.is_empty());
    let series_open = |ages: &[i64]| {
        let found = list(ages, *ages.last().unwrap());
        found.steps.iter().any(|step| step.step == "core-series" && step.state != DueState::Done)
    };
    assert!(series_open(&[55, 83, 111]), "day 111 is one short of 16 weeks");
    assert!(!series_open(&[56, 84, 112]));
}

/// ESCCAP guideline GL1: from two weeks every 14 days until two weeks after weaning, then monthly.
#[test]
fn worming_of_a_pup_of_march() {
    let days = given_on("pup-worming", HealthKind::Worming, 42, 6);
    assert_eq!(days, ["03-15", "03-29", "04-12", "04-26", "05-26", "06-25"]);
}

/// F of one animal of a small pedigree: (id, sire, dam), 0 for unknown.
fn coefficient(rows: &[(u128, u128, u128)], of: u128) -> f64 {
    let id = |n: u128| (n > 0).then(|| Uuid::from_u128(n));
    let row = |(n, s, d): &(u128, u128, u128)| PedigreeRow {
        id: Uuid::from_u128(*n),
        sire: id(*s),
        dam: id(*d),
    };
    let book = Studbook::compute(Pedigree::build(rows.iter().map(row)).unwrap(), 1);
    book.inbreeding(&Uuid::from_u128(of)).unwrap()
}

/// Wright 1922 (Am Nat 56:330-338): F = sum of (1/2)^(n1 + n2 + 1) (1 + F_A).
#[test]
fn coefficients_of_textbook_matings() {
    // Half sibs by sire 1.
    assert_eq!(coefficient(&[(4, 1, 2), (5, 1, 3), (6, 4, 5)], 6), 0.125);
    // The common sire 5 is himself of full sibs (F 0.25): 0.125 x 1.25.
    let sibs = [(3, 1, 2), (4, 1, 2), (5, 3, 4)];
    let with = |more: &[(u128, u128, u128)]| [&sibs[..], more].concat();
    assert_eq!(coefficient(&with(&[(8, 5, 6), (9, 5, 7), (10, 8, 9)]), 10), 0.15625);
    // Full sibs by that sire: 0.125 x 1.25 + 0.125.
    assert_eq!(coefficient(&with(&[(8, 5, 6), (9, 5, 6), (10, 8, 9)]), 10), 0.28125);
    // Sib mating a second time.
    assert_eq!(coefficient(&with(&[(6, 3, 4), (7, 5, 6)]), 7), 0.375);
}

/// at/at KB/ky B/b E/e D/D x Ay/at ky/ky B/b E/e D/D, by the epistasis of Kerns et al. 2007
/// (Genetics 176:1679-1689): of the three quarters with E half are black or brown, a quarter sable
/// and a quarter tan-pointed, each 3:1 black to brown; the rest is yellow, 3:1 by the nose.
#[test]
fn colours_of_a_black_dam_and_a_sable_sire() {
    let member = |n: u128, sex, loci: [(&str, &str); 5]| FamilyMember {
        id: Uuid::from_u128(n),
        sex,
        sire: None,
        dam: None,
        results: loci
            .map(|(marker, alleles)| GenotypeResult {
                marker: marker.into(),
                alleles: alleles.split('/').map(Into::into).collect(),
                laboratory: None,
                tested_on: None,
                omia: None,
            })
            .to_vec(),
    };
    let loci = |a, k| {
        [("coat_a", a), ("coat_k", k), ("coat_b", "B/b"), ("coat_e", "E/e"), ("coat_d", "D/D")]
    };
    let family = MarkerFamily::new(vec![
        member(1, BreedingSex::Female, loci("at/at", "KB/ky")),
        member(2, BreedingSex::Male, loci("Ay/at", "ky/ky")),
    ])
    .unwrap();
    let rules = Rules::standard();
    let trial = TrialMatingGenetics {
        family: &family,
        dam_id: Uuid::from_u128(1),
        sire_id: Uuid::from_u128(2),
        catalogue: MarkerCatalogue::standard(),
        markers: &[],
        frequencies: &[],
    };
    let found = pup_colours(&trial.solve(&rules).unwrap(), &rules).unwrap();
    let mut by_pattern: BTreeMap<(String, String), Vec<String>> = BTreeMap::new();
    for colour in found.colours {
        let shape = colour.phenotype;
        let place = (format!("{:?}", shape.pattern), format!("{:?}", shape.dark_pigment));
        by_pattern.entry(place).or_default().push(colour.chance.exact.unwrap());
    }
    let of = |pattern: &str, pigment: &str| {
        by_pattern.get(&(pattern.to_owned(), pigment.to_owned())).cloned().unwrap_or_default()
    };
    assert_eq!(
        (of("Solid", "Black"), of("Solid", "Brown")),
        (vec!["9/32".into()], vec!["3/32".into()])
    );
    for pattern in ["FawnSable", "TanPoints"] {
        assert_eq!(of(pattern, "Black"), ["9/64"], "{pattern}");
        assert_eq!(of(pattern, "Brown"), ["3/64"], "{pattern}");
    }
    assert_eq!(
        (of("RecessiveRed", "Black"), of("RecessiveRed", "Brown")),
        (vec!["3/16".into()], vec!["1/16".into()])
    );
    assert_eq!(by_pattern.len(), 8);
}
