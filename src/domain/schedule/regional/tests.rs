//! What each country calls for: rows that are sound, and what they do to the plans.

use super::*;
use crate::schedule::{PlanSubject, plan::steps_in_force};
use catalogue::{Language, speaking};
use std::collections::BTreeSet;

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

#[test]
fn every_row_names_countries_plans_and_what_was_read() {
    let mut keys = BTreeSet::new();
    for row in &TABLE.plan {
        assert!(keys.insert(&row.key), "{}", row.key);
        assert!(row.source.len() > 10 && row.checked_on <= day("2026-11-30"), "{}", row.key);
        for place in &row.jurisdictions {
            assert!(place.parse::<Country>().is_ok(), "{place}");
        }
        if let Some(plan) = &row.plan {
            assert!(standard_plans().iter().any(|known| known.key == *plan), "{plan}");
        }
    }
    let mut places = BTreeSet::new();
    for row in &TABLE.rabies {
        for place in &row.jurisdictions {
            assert!(places.insert(place), "{place} stands twice");
            assert!(Country::of_jurisdiction(place).is_some(), "{place}");
        }
        assert_eq!(row.required == RabiesRequired::Yes, row.by_days.is_some(), "{row:?}");
    }
}

/// Of most of the United States a list of 2014 was read: whoever asks is told to ask their state.
#[test]
fn an_old_text_of_a_law_is_told() {
    let told = |place, today| {
        let told = regional_schedule(place, &[], day(today), &Rules::standard());
        let old: Vec<String> = told.cautions.iter().map(|it| it.what.to_string()).collect();
        (told.rabies.required, told.rabies.by_days, told.rabies.text_of, old)
    };
    let (required, by_days, text_of, old) = told("US-TX", "2026-11-30");
    assert_eq!((required, by_days, text_of), (RabiesRequired::Yes, Some(120), Some(2014)));
    assert!(old[0].contains("2014"), "{old:?}");
    let (required, by_days, text_of, old) = told("US-NM", "2026-11-30");
    assert_eq!((required, by_days, text_of), (RabiesRequired::Yes, Some(90), Some(2021)));
    assert_eq!(old.len(), 1);
    assert_eq!(told("US-NM", "2022-12-31").3, [""; 0]);
    assert_eq!(told("US-NM", "2023-01-01").3.len(), 1);
    assert_eq!(told("US-CO", "2026-11-30").0, RabiesRequired::ByRegion);
    assert_eq!(told("US-HI", "2026-11-30").0, RabiesRequired::No);
    let (_, _, text_of, old) = told("PL", "2026-11-30");
    assert_eq!((text_of, old.len()), (None, 0));
}

/// Each row's words are said in German too.
#[test]
fn rows_are_told_in_german() {
    for place in ["DE", "CH", "GB", "US", "AU", "IT", "ES"] {
        let whys = || -> Vec<String> {
            let told = regional_schedule(place, &[], day("2026-11-30"), &Rules::standard());
            told.plans.iter().map(|plan| plan.why.to_string()).collect()
        };
        let english = whys();
        for (german, english) in speaking(Language::German, whys).iter().zip(&english) {
            assert_ne!(german, english, "{place}");
        }
    }
}

fn keys_of(jurisdiction: &str) -> Vec<String> {
    let steps = steps_in_force(PlanSubject::Pup, &[], &[], jurisdiction);
    steps.into_iter().map(|step| step.key).collect()
}

/// StIKo Vet calls leptospirosis core; the 2024 guidelines leave it to where it is endemic.
#[test]
fn leptospirosis_is_followed_where_the_guideline_calls_for_it() {
    let follows = |code| keys_of(code).iter().any(|key| key == "leptospirosis-first");
    assert_eq!(["DE", "DE-BY", "GB-SCT", "US-TX", "CH"].map(follows), [true; 5]);
    assert_eq!(["", "SE", "AT", "XX", "DEU"].map(follows), [false; 5]);
    let heartworm = |code| keys_of(code).iter().any(|key| key == "heartworm-first");
    assert_eq!(["US", "US-TX", "IT", "GB", ""].map(heartworm), [true, true, false, false, false]);
}

#[test]
fn a_kennel_switches_the_plan_of_its_country_off_or_takes_one_that_is_offered() {
    let mut own = standard_plans().iter().find(|p| p.key == "pup-leptospirosis").unwrap().clone();
    own.by_default = true;
    let has = |own: &HealthPlan, code| {
        let steps = steps_in_force(PlanSubject::Pup, std::slice::from_ref(own), &[], code);
        steps.iter().any(|step| step.series == "leptospirosis")
    };
    assert!(has(&own, "SE"));
    let is_followed = |own: &[HealthPlan], code| {
        let told = regional_schedule(code, own, day("2026-11-30"), &Rules::standard());
        told.plans
            .iter()
            .find(|plan| plan.plan_key.as_deref() == Some("pup-leptospirosis"))
            .unwrap()
            .is_followed
    };
    assert!(is_followed(std::slice::from_ref(&own), "SE"));
    assert!(!is_followed(&[], "SE"));
    own.steps.clear();
    assert!(!has(&own, "DE"));
    assert!(is_followed(&[], "DE"));
    assert!(!is_followed(&[own], "DE"));
}

fn rabies(jurisdiction: &str) -> Vec<(String, bool, i32, i32, i32)> {
    let steps = steps_in_force(PlanSubject::Pup, &[], &[], jurisdiction);
    let of = steps.into_iter().filter(|step| step.series == "rabies");
    of.map(|s| (s.key, s.optional, s.earliest_days, s.ideal_days, s.latest_days)).collect()
}

/// Poland: within 30 days of the third month, then at least every 12 months. Czechia: between three and six
/// months, then by the product. Germany asks for none.
#[test]
fn rabies_is_as_the_law_has_it() {
    let step = |key: &str, optional, earliest, ideal, latest| {
        (key.to_owned(), optional, earliest, ideal, latest)
    };
    assert_eq!(
        rabies("PL"),
        [
            step("rabies-first", false, 84, 84, 119),
            step("rabies-second", true, 14, 28, 28),
            step("rabies-year", false, 273, 351, 365),
            step("rabies-adult", false, 273, 351, 365),
        ]
    );
    assert_eq!(rabies("CZ")[0], step("rabies-first", false, 84, 84, 181));
    assert_eq!(rabies("CZ")[3], step("rabies-adult", false, 273, 1081, 1095));
    assert_eq!(rabies("US-PA")[0], step("rabies-first", false, 84, 84, 90));
    for none in ["DE", "US", "US-OH", "", "JP"] {
        assert!(rabies(none).iter().all(|step| step.1), "{none}");
    }
    let law = |code| regional_schedule(code, &[], day("2026-11-30"), &Rules::standard()).rabies;
    assert_eq!(law("US-OH").required, RabiesRequired::ByRegion);
    assert_eq!(law("JP").required, RabiesRequired::NotLookedFor);
    assert_eq!(law("JP").checked_on, None);
}

/// A row that was read more than a year ago says so, from a year and a day on.
#[test]
fn old_readings_are_told() {
    let cautions = |on| regional_schedule("DE", &[], day(on), &Rules::standard()).cautions.len();
    assert_eq!([cautions("2027-11-30"), cautions("2027-12-01")], [0, 1]);
}
