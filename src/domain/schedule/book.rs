//! A kennel's own plans through time, and which litter follows which.

use super::plan::{
    HealthPlan, HealthPlanVersion, PlanStep, PlanSubject, steps_in_force, version_in_force,
};
use chrono::NaiveDate;
use std::collections::BTreeMap;
use uuid::Uuid;

/// A plan that a litter follows beside those it follows by default.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AppliedPlan {
    /// Key of the plan.
    pub key: String,
    /// The version of a kennel's plan; `None` for a standard one.
    pub number: Option<u32>,
}

/// All versions of a kennel's plans by key, and the plans applied by litter.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PlanBook {
    /// Every version there ever was.
    pub versions: BTreeMap<String, Vec<HealthPlanVersion>>,
    /// What was applied to each litter.
    pub applied: BTreeMap<Uuid, Vec<AppliedPlan>>,
    /// Where the kennel is (ISO 3166); empty when that is not known.
    pub jurisdiction: String,
}

impl PlanBook {
    /// The kennel's own plans as they read on a day, whether they hold by default or not.
    pub fn own_on(&self, on: NaiveDate) -> Vec<HealthPlan> {
        let in_force = |versions| version_in_force(versions, on)?.plan.clone();
        self.versions.values().filter_map(|all| in_force(all)).collect()
    }

    /// The steps that a dog of a litter follows.
    ///
    /// A plan of the kennel's own counts in the version that was in force `on` the day of birth
    /// (for a litter still expected: today), when it holds by default; one that was applied to the
    /// litter counts in the version of that day. So a change never rewrites what was planned.
    pub(crate) fn steps(
        &self,
        subject: PlanSubject,
        litter_id: Option<Uuid>,
        on: NaiveDate,
    ) -> Vec<PlanStep> {
        let applied =
            litter_id.and_then(|id| self.applied.get(&id)).map(Vec::as_slice).unwrap_or_default();
        let own: Vec<HealthPlan> =
            self.versions.iter().filter_map(|(key, all)| in_force(key, all, applied, on)).collect();
        let chosen: Vec<String> = applied.iter().map(|plan| plan.key.clone()).collect();
        steps_in_force(subject, &own, &chosen, &self.jurisdiction)
    }
}

fn in_force(
    key: &str,
    versions: &[HealthPlanVersion],
    applied: &[AppliedPlan],
    on: NaiveDate,
) -> Option<HealthPlan> {
    let by_hand = applied.iter().find(|plan| plan.key == key).and_then(|plan| plan.number);
    match by_hand {
        Some(number) => versions.iter().find(|v| v.number == number)?.plan.clone(),
        None => version_in_force(versions, on)?.plan.clone().filter(|plan| plan.by_default),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::schedule::standard_plans;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn own(key: &str, ideal_days: i32, by_default: bool) -> HealthPlan {
        let mut plan =
            standard_plans().iter().find(|plan| plan.key == "pup-worming").unwrap().clone();
        plan.key = key.to_owned();
        plan.by_default = by_default;
        plan.steps.truncate(1);
        plan.steps[0].ideal_days = ideal_days;
        plan
    }

    fn version(number: u32, from: &str, plan: Option<HealthPlan>) -> HealthPlanVersion {
        HealthPlanVersion { number, in_force_from: day(from), plan }
    }

    fn first_worming(book: &PlanBook, litter: Option<Uuid>, on: &str) -> i32 {
        let steps = book.steps(PlanSubject::Pup, litter, day(on));
        steps.iter().find(|step| step.key == "worming-first").unwrap().ideal_days
    }

    #[test]
    fn a_litter_keeps_the_version_of_its_birth() {
        let versions = vec![
            version(1, "2026-01-01", Some(own("pup-worming", 15, true))),
            version(2, "2026-03-01", Some(own("pup-worming", 16, true))),
            version(3, "2026-05-01", None),
        ];
        let book = PlanBook {
            versions: [("pup-worming".to_owned(), versions)].into(),
            ..PlanBook::default()
        };
        let standard = 14;
        assert_eq!(first_worming(&book, None, "2025-12-31"), standard);
        assert_eq!(first_worming(&book, None, "2026-02-28"), 15);
        assert_eq!(first_worming(&book, None, "2026-03-01"), 16);
        assert_eq!(first_worming(&book, None, "2026-05-01"), standard);
    }

    #[test]
    fn a_plan_applied_to_a_litter_holds_for_it_alone_and_in_its_version() {
        let litter = Uuid::from_u128(1);
        let plan = |ideal_days| Some(own("pup-worming", ideal_days, false));
        let versions = vec![version(1, "2026-01-01", plan(15)), version(2, "2026-02-01", plan(16))];
        let applied = vec![AppliedPlan { key: "pup-worming".to_owned(), number: Some(1) }];
        let book = PlanBook {
            versions: [("pup-worming".to_owned(), versions)].into(),
            applied: [(litter, applied)].into(),
            ..PlanBook::default()
        };
        assert_eq!(first_worming(&book, Some(litter), "2026-06-01"), 15);
        assert_eq!(first_worming(&book, None, "2026-06-01"), 14);
    }

    #[test]
    fn a_plan_of_the_kennels_own_takes_the_place_of_the_one_it_is_instead_of() {
        let litter = Uuid::from_u128(1);
        let mut mild = own("mild-worming", 15, false);
        mild.instead_of = Some("pup-worming".to_owned());
        let versions = vec![version(1, "2026-01-01", Some(mild))];
        let applied = vec![AppliedPlan { key: "mild-worming".to_owned(), number: Some(1) }];
        let book = PlanBook {
            versions: [("mild-worming".to_owned(), versions)].into(),
            applied: [(litter, applied)].into(),
            ..PlanBook::default()
        };
        let wormings = |litter| {
            let steps = book.steps(PlanSubject::Pup, litter, day("2026-06-01"));
            let wormings = steps.iter().filter(|step| step.series == "roundworm");
            wormings.map(|step| step.ideal_days).collect::<Vec<_>>()
        };
        assert_eq!(wormings(Some(litter)), [15]);
        assert_eq!(wormings(None).first(), Some(&14));
    }
}
