//! Health plans: the standard ones and a kennel's own.

use crate::{
    fault::{Fault, Faults, quoted},
    record::words::words,
    rules::Status,
};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::{collections::BTreeSet, sync::LazyLock};
use utoipa::ToSchema;

const STANDARD: &str = include_str!("../rules/health_plans.toml");

/// The longest offset a step may have, in days: ten years.
const MAX_OFFSET_DAYS: i32 = 3653;

words! {
    /// What kind of thing is done to a dog's health, or found.
    HealthKind {
        /// Against worms.
        Worming = "worming",
        /// A vaccine.
        Vaccination = "vaccination",
        /// A transponder set or read.
        Microchip = "microchip",
        /// An examination by a veterinarian.
        Examination = "examination",
        /// A sample or a measurement with a result.
        Test = "test",
        /// An illness observed.
        Illness = "illness",
        /// A treatment on a veterinarian's advice.
        Treatment = "treatment",
        /// Anything else.
        Other = "other",
    }
}

words! {
    /// For which dogs a plan is.
    PlanSubject {
        /// Each pup of a litter, and the dog it becomes.
        Pup = "pup",
        /// The dam of a litter, for this litter.
        Dam = "dam",
        /// Each dog from the age on at which it is grown, `schedule.grown_from`.
        Grown = "grown",
    }
}

/// The event of the litter from which days are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case", tag = "from")]
pub enum PlanAnchor {
    /// The day of birth of the dog itself.
    Birth,
    /// The day of the mating.
    Mating,
    /// The day of the whelping.
    Whelping,
    /// The day of weaning; while unknown, the assumed age of weaning.
    Weaning,
}

/// From what the days of a step are counted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case", tag = "from")]
pub enum StepAnchor {
    /// The day of birth of the dog itself.
    Birth,
    /// The day of the mating.
    Mating,
    /// The day of the whelping.
    Whelping,
    /// The day of weaning; while unknown, the assumed age of weaning.
    Weaning,
    /// The last dose of an earlier step of the same plan.
    Step {
        /// Key of that step.
        #[schema(example = "core-first")]
        step: String,
    },
    /// The last dose of the series, whenever it was given; for grown dogs, repeated for life.
    LastDose,
}

/// How the last dose of a repeated step lies to the end of the repetition.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum LastDose {
    /// No dose is planned after the end (worming "until six months").
    #[default]
    NotAfter,
    /// Doses go on until one is given at the end or later ("last dose at 16 weeks or later").
    NotBefore,
}

/// A step that is repeated at its own interval.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct StepRepeat {
    /// From what the end is counted; `null` repeats for life.
    #[serde(default)]
    pub until: Option<PlanAnchor>,
    /// The end, in days from `until`.
    #[serde(default)]
    #[schema(example = 112)]
    pub days: i32,
    /// How the last dose lies to the end.
    #[serde(default)]
    pub last: LastDose,
}

/// What of a step must be done before a pup leaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum BeforeGoHome {
    /// Nothing: the new owner goes on with it.
    #[default]
    Nothing,
    /// Every dose whose ideal day has come.
    UpToDate,
    /// The step itself, however young the pup is.
    Done,
}

/// One step of a health plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanStep {
    /// Name for machines, unique among the plans of one kennel.
    #[schema(example = "core-first")]
    pub key: String,
    /// Name for people.
    #[schema(example = "First core vaccination")]
    pub name: String,
    /// What is done.
    pub kind: HealthKind,
    /// Doses of one kind and series follow one another, and only they keep their distance.
    #[schema(example = "core")]
    pub series: String,
    /// From what the days are counted.
    pub anchor: StepAnchor,
    /// First day on which it counts, in days from the anchor.
    #[schema(example = 42)]
    pub earliest_days: i32,
    /// Best day, in days from the anchor.
    #[schema(example = 56)]
    pub ideal_days: i32,
    /// Last day on which it is in time, in days from the anchor.
    #[schema(example = 56)]
    pub latest_days: i32,
    /// Least distance to the dose of the series given before, in days.
    #[serde(default)]
    #[schema(example = 14)]
    pub min_spacing_days: u32,
    /// Repetition at the same interval; only for a step that is anchored on a step or the last dose.
    #[serde(default)]
    pub repeat: Option<StepRepeat>,
    /// Whether it is needed only where a veterinarian or the law asks for it.
    #[serde(default)]
    pub optional: bool,
    /// What of it must be done before a pup leaves.
    #[serde(default)]
    pub before_go_home: BeforeGoHome,
    /// Where the days come from.
    #[schema(example = "common practice, no source")]
    pub source: String,
    /// How the days were confirmed.
    pub status: Status,
    /// What else to know.
    #[serde(default)]
    pub note: Option<String>,
}

/// A health plan: steps in the order in which they follow one another.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct HealthPlan {
    /// Name for machines; a kennel's plan with the key of a standard plan stands in its place.
    #[schema(example = "pup-vaccination")]
    pub key: String,
    /// Name for people.
    #[schema(example = "Core vaccination: distemper, adenovirus, parvovirus")]
    pub name: String,
    /// For which dogs.
    pub subject: PlanSubject,
    /// Whether a kennel that has chosen nothing follows it.
    #[serde(default)]
    pub by_default: bool,
    /// Key of the default plan in whose place it is chosen.
    #[serde(default)]
    pub instead_of: Option<String>,
    /// Where the plan comes from.
    #[schema(example = "our veterinarian, 2026-01-12")]
    pub source: String,
    /// The steps.
    #[serde(alias = "step")]
    pub steps: Vec<PlanStep>,
}

/// One immutable version of a kennel's plan and the day from which it holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct HealthPlanVersion {
    /// Counts from 1.
    #[schema(example = 2)]
    pub number: u32,
    /// First day on which this version holds.
    pub in_force_from: NaiveDate,
    /// The plan as it reads in this version; `null` from the day on which it was deleted.
    pub plan: Option<HealthPlan>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PlanFile {
    plan: Vec<HealthPlan>,
}

static PLANS: LazyLock<Vec<HealthPlan>> = LazyLock::new(|| {
    #[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
    let file: PlanFile = toml::from_str(STANDARD).expect("embedded health plans");
    file.plan
});

/// The embedded plans, from published guidance.
pub fn standard_plans() -> &'static [HealthPlan] {
    &PLANS
}

/// The version that holds on a day: the youngest that had begun.
///
/// A litter is planned by the version in force on its birth day, so that a later version changes
/// nothing that was planned before.
pub fn version_in_force(
    versions: &[HealthPlanVersion],
    on: NaiveDate,
) -> Option<&HealthPlanVersion> {
    versions
        .iter()
        .filter(|version| version.in_force_from <= on)
        .max_by_key(|version| (version.in_force_from, version.number))
}

/// The steps a dog follows: the standard plans, with the kennel's own in the place of those with
/// the same key and after them.
///
/// A kennel's plan without any step switches the standard plan of its key off. `chosen` names the
/// standard plans beside the default ones that the kennel follows.
pub fn steps_in_force(
    subject: PlanSubject,
    kennel_plans: &[HealthPlan],
    chosen: &[String],
) -> Vec<PlanStep> {
    let own: BTreeSet<&str> = kennel_plans.iter().map(|plan| plan.key.as_str()).collect();
    let standard = standard_plans();
    let replaced: BTreeSet<&str> = standard
        .iter()
        .filter(|plan| chosen.contains(&plan.key))
        .filter_map(|plan| plan.instead_of.as_deref())
        .collect();
    standard
        .iter()
        .filter(|plan| plan.by_default || chosen.contains(&plan.key))
        .filter(|plan| !own.contains(plan.key.as_str()) && !replaced.contains(plan.key.as_str()))
        .chain(kennel_plans)
        .filter(|plan| plan.subject == subject)
        .flat_map(|plan| plan.steps.iter().cloned())
        .collect()
}

impl HealthPlan {
    /// Checks a kennel's own plan.
    ///
    /// # Errors
    /// Every fault: an empty name or key, a key used twice, an anchor that is no earlier step of
    /// the plan, a window that is not in order, a repetition without an interval.
    pub fn check(&self) -> Result<(), Vec<Fault>> {
        let mut faults = Faults::new();
        check_text(&mut faults, "/key", &self.key);
        check_text(&mut faults, "/name", &self.name);
        check_text(&mut faults, "/source", &self.source);
        let mut earlier = BTreeSet::new();
        for (index, step) in self.steps.iter().enumerate() {
            let at = format!("/steps/{index}");
            step.check(&mut faults, &at, &earlier);
            step.check_subject(&mut faults, &at, self.subject);
            earlier.insert(step.key.as_str());
        }
        faults.into_result()
    }
}

impl PlanStep {
    fn check(&self, faults: &mut Faults, at: &str, earlier: &BTreeSet<&str>) {
        for (field, text) in [
            ("key", &self.key),
            ("name", &self.name),
            ("series", &self.series),
            ("source", &self.source),
        ] {
            check_text(faults, &format!("{at}/{field}"), text);
        }
        faults.unless(!earlier.contains(self.key.as_str()), &format!("{at}/key"), || {
            format!("{} is used by an earlier step; give each step its own key", quoted(&self.key))
        });
        if let StepAnchor::Step { step } = &self.anchor {
            faults.unless(earlier.contains(step.as_str()), &format!("{at}/anchor/step"), || {
                format!("{} is not a step before this one; name one that is", quoted(step))
            });
        }
        self.check_days(faults, at);
    }

    /// Grown dogs are counted from their birth, an earlier step or the last dose, and only they.
    fn check_subject(&self, faults: &mut Faults, at: &str, subject: PlanSubject) {
        let pointer = format!("{at}/anchor/from");
        let grown = subject == PlanSubject::Grown;
        let from_last = self.anchor == StepAnchor::LastDose;
        let of_litter =
            matches!(self.anchor, StepAnchor::Mating | StepAnchor::Whelping | StepAnchor::Weaning);
        faults.unless(!(grown && of_litter), &pointer, || {
            "a grown dog has no litter of its own to count from; take birth, step or last_dose"
                .to_owned()
        });
        faults.unless(grown || !from_last, &pointer, || {
            "last_dose is for plans of grown dogs; anchor the step on an earlier one".to_owned()
        });
        let for_life = self.repeat.as_ref().is_some_and(|repeat| repeat.until.is_none());
        faults.unless(!from_last || for_life, &format!("{at}/repeat"), || {
            "must be {} for a step counted from the last dose: it is repeated for life".to_owned()
        });
    }

    fn check_days(&self, faults: &mut Faults, at: &str) {
        let (earliest, ideal, latest) = (self.earliest_days, self.ideal_days, self.latest_days);
        faults.unless(
            (0..=MAX_OFFSET_DAYS).contains(&earliest),
            &format!("{at}/earliest_days"),
            || format!("must be from 0 to {MAX_OFFSET_DAYS} days"),
        );
        faults.unless(earliest <= ideal, &format!("{at}/ideal_days"), || {
            format!("must not be before earliest_days ({earliest})")
        });
        faults.unless(
            ideal <= latest && latest <= MAX_OFFSET_DAYS,
            &format!("{at}/latest_days"),
            || format!("must be from ideal_days ({ideal}) to {MAX_OFFSET_DAYS}"),
        );
        let spacing = i64::from(self.min_spacing_days);
        faults.unless(
            spacing <= i64::from(MAX_OFFSET_DAYS),
            &format!("{at}/min_spacing_days"),
            || format!("must be at most {MAX_OFFSET_DAYS} days"),
        );
        if let Some(repeat) = &self.repeat {
            let on_dose = matches!(self.anchor, StepAnchor::Step { .. } | StepAnchor::LastDose);
            faults.unless(on_dose && ideal >= 1, &format!("{at}/repeat"), || {
                "needs an anchor on an earlier step or the last dose, and ideal_days of at least \
                 1: they are the interval"
                    .into()
            });
            faults.unless(
                (0..=MAX_OFFSET_DAYS).contains(&repeat.days),
                &format!("{at}/repeat/days"),
                || format!("must be from 0 to {MAX_OFFSET_DAYS} days"),
            );
        }
    }
}

fn check_text(faults: &mut Faults, at: &str, text: &str) {
    let length = text.trim().chars().count();
    faults
        .unless((1..=300).contains(&length), at, || "must be a text of 1 to 300 characters".into());
}

#[cfg(test)]
mod tests {
    use super::*;

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

    #[test]
    fn a_plan_is_read_as_it_is_written() {
        for plan in standard_plans() {
            let json = serde_json::to_value(plan).unwrap();
            assert!(json["steps"][0]["anchor"]["from"].is_string());
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
        let pointers: Vec<String> =
            plan.check().unwrap_err().into_iter().map(|fault| fault.pointer).collect();
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
        assert_eq!(places(&of_litter), ["/steps/0/repeat", "/steps/0/anchor/from"]);
        let mut of_pups = grown.clone();
        of_pups.subject = PlanSubject::Pup;
        assert_eq!(places(&of_pups), ["/steps/0/anchor/from"]);
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
        let steps = steps_in_force(PlanSubject::Pup, std::slice::from_ref(&own), &[]);
        let wormings = steps.iter().filter(|step| step.kind == HealthKind::Worming).count();
        assert_eq!(wormings, 1);
        own.steps.clear();
        let steps = steps_in_force(PlanSubject::Pup, &[own], &[]);
        assert!(steps.iter().all(|step| step.kind != HealthKind::Worming));
        let chosen = ["dam-worming-pregnancy".to_owned()];
        assert_eq!(steps_in_force(PlanSubject::Dam, &[], &chosen).len(), 3);
        let chosen = ["pup-worming-2-4-6-8".to_owned()];
        let steps = steps_in_force(PlanSubject::Pup, &[], &chosen);
        assert!(steps.iter().all(|step| step.key != "worming-first"));
    }
}
