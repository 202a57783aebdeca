//! Plans of health steps: what is refused of them, and how they are told.

use super::*;
use catalogue::{Language, speaking};

#[test]
fn every_standard_plan_is_sound() {
    let plans = standard_plans();
    assert!(plans.len() >= 7);
    let mut keys = BTreeSet::new();
    for plan in plans {
        plan.check().unwrap();
        for step in &plan.steps {
            assert!(keys.insert(step.key.clone()), "{} is used twice", step.key);
        }
    }
}

/// Each name and note of the embedded plans has German words; a name that a kennel gave stays.
#[test]
fn embedded_plans_are_called_in_each_language() {
    speaking(Language::German, || {
        for plan in standard_plans() {
            let said = plan.in_words();
            assert_ne!(said.name, plan.name);
            for (step, german) in plan.steps.iter().zip(&said.steps) {
                assert_ne!(german.name, step.name);
                assert!(step.note.is_none() || german.note != step.note, "{}", step.key);
            }
            let own = PlanStep { name: "Wurmkur".to_owned(), ..plan.steps[0].clone() };
            assert_eq!(own.called(), "Wurmkur");
            let named = HealthPlan { name: "Unser Plan".to_owned(), ..plan.clone() };
            assert_eq!(named.in_words().name, "Unser Plan");
        }
    });
    for plan in standard_plans() {
        assert_eq!(plan.in_words(), *plan);
    }
}

#[test]
fn a_plan_is_read_as_it_is_written() {
    for plan in standard_plans() {
        let json = serde_json::to_value(plan).unwrap();
        assert!(json["steps"][0]["anchor"]["anchor"].is_string());
        assert_eq!(serde_json::from_value::<HealthPlan>(json).unwrap(), *plan);
    }
}

#[test]
fn a_wrong_plan_names_all_its_faults() {
    let mut plan = standard_plans()[0].clone();
    plan.name = " ".into();
    plan.steps[0].earliest_days = 20;
    plan.steps[0].repeat = Some(StepRepeat { until: None, days: -1, last: LastDose::NotAfter });
    plan.steps[1].key = plan.steps[0].key.clone();
    plan.steps[2].anchor = StepAnchor::Step { step: "nowhere".into() };
    let faults = plan.check().unwrap_err();
    assert!(faults.iter().all(|fault| !fault.detail.is_empty()), "{faults:?}");
    let pointers: Vec<&str> = faults.iter().map(|fault| fault.pointer.as_str()).collect();
    assert_eq!(
        pointers,
        [
            "/name",
            "/steps/0/ideal_days",
            "/steps/0/repeat",
            "/steps/0/repeat/days",
            "/steps/1/key",
            "/steps/2/anchor/step"
        ]
    );
}

#[test]
fn a_plan_counts_from_days_that_its_dogs_have() {
    let grown = standard_plans().iter().find(|plan| plan.subject == PlanSubject::Grown);
    let grown = grown.unwrap().clone();
    let places = |plan: &HealthPlan| -> Vec<String> {
        plan.check().err().into_iter().flatten().map(|fault| fault.pointer).collect()
    };
    let mut of_litter = grown.clone();
    of_litter.steps[0].anchor = StepAnchor::Weaning;
    assert_eq!(places(&of_litter), ["/steps/0/repeat", "/steps/0/anchor/anchor"]);
    let mut of_pups = grown.clone();
    of_pups.subject = PlanSubject::Pup;
    assert_eq!(places(&of_pups), ["/steps/0/anchor/anchor"]);
    let mut once = grown.clone();
    once.steps[0].repeat = None;
    assert_eq!(places(&once), ["/steps/0/repeat"]);
    assert!(places(&grown).is_empty());
}

#[test]
fn a_new_version_leaves_the_past_alone() {
    let plan = standard_plans()[0].clone();
    let version = |number, from: &str| HealthPlanVersion {
        number,
        in_force_from: from.parse().unwrap(),
        plan: Some(plan.clone()),
    };
    let versions = [version(1, "2025-01-01"), version(2, "2026-03-01")];
    let number = |on: &str| version_in_force(&versions, on.parse().unwrap()).map(|v| v.number);
    assert_eq!(number("2024-12-31"), None);
    assert_eq!(number("2026-02-28"), Some(1));
    assert_eq!(number("2026-03-01"), Some(2));
}

#[test]
fn a_kennels_plan_stands_in_the_place_of_the_standard_one() {
    let mut own = standard_plans().iter().find(|p| p.key == "pup-worming").unwrap().clone();
    own.steps.truncate(1);
    let steps = steps_in_force(PlanSubject::Pup, std::slice::from_ref(&own), &[], "");
    let wormings = steps.iter().filter(|step| step.kind == HealthKind::Worming).count();
    assert_eq!(wormings, 1);
    own.steps.clear();
    let steps = steps_in_force(PlanSubject::Pup, &[own], &[], "");
    assert!(steps.iter().all(|step| step.kind != HealthKind::Worming));
    let chosen = ["dam-worming-pregnancy".to_owned()];
    assert_eq!(steps_in_force(PlanSubject::Dam, &[], &chosen, "").len(), 3);
    let chosen = ["pup-worming-2-4-6-8".to_owned()];
    let steps = steps_in_force(PlanSubject::Pup, &[], &chosen, "");
    assert!(steps.iter().all(|step| step.key != "worming-first"));
}
