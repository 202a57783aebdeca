//! Health plans: the standard ones and a kennel's own.

use super::regional::{as_law_has_it, is_followed_in};
use crate::{
    fault::{Fault, Faults, quoted},
    record::words::words,
    rules::Status,
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::{
    collections::{BTreeSet, HashMap},
    sync::LazyLock,
};
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
#[serde(rename_all = "snake_case", tag = "anchor")]
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
#[serde(rename_all = "snake_case", tag = "anchor")]
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
    #[serde(default, rename = "end", alias = "until")]
    pub until: Option<PlanAnchor>,
    /// The end, in days from the anchor of `end`.
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
    /// Age in days from which a test that shows protective antibodies stands for this dose; null where
    /// no test does.
    #[serde(default)]
    #[schema(example = 140)]
    pub antibody_test_from_days: Option<i32>,
    /// What of it must be done before a pup leaves.
    #[serde(default)]
    pub before_go_home: BeforeGoHome,
    /// Where the days come from.
    #[schema(example = "common practice, no source")]
    pub source: String,
    /// How the days were confirmed.
    #[serde(rename = "confirmation", alias = "status")]
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
    #[serde(default, rename = "default", alias = "by_default")]
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
    #[serde(rename = "begins_on")]
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
pub(crate) fn version_in_force(
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
/// standard plans beside the default ones that the kennel follows. What is followed instead of another
/// plan, be it a standard one or the kennel's own, takes that one's place.
///
/// A standard plan that the guideline of the country calls for counts as a default one, and its rabies doses
/// are as the law of the `jurisdiction` has them; see [`super::regional`].
pub(crate) fn steps_in_force(
    subject: PlanSubject,
    kennel_plans: &[HealthPlan],
    chosen: &[String],
    jurisdiction: &str,
) -> Vec<PlanStep> {
    let own: BTreeSet<&str> = kennel_plans.iter().map(|plan| plan.key.as_str()).collect();
    let standard = standard_plans();
    let replaces = |plan: &'_ &HealthPlan| plan.instead_of.as_deref() != Some(plan.key.as_str());
    let replaced: BTreeSet<&str> = standard
        .iter()
        .filter(|plan| chosen.contains(&plan.key))
        .chain(kennel_plans)
        .filter(replaces)
        .filter_map(|plan| plan.instead_of.as_deref())
        .collect();
    let by_country = |plan: &HealthPlan| is_followed_in(jurisdiction, &plan.key);
    standard
        .iter()
        .filter(|plan| plan.by_default || chosen.contains(&plan.key) || by_country(plan))
        .filter(|plan| !own.contains(plan.key.as_str()))
        .map(|plan| (plan, true))
        .chain(kennel_plans.iter().map(|plan| (plan, false)))
        .filter(|(plan, _)| !replaced.contains(plan.key.as_str()))
        .filter(|(plan, _)| plan.subject == subject)
        .flat_map(|(plan, standard)| {
            let steps = plan.steps.iter().cloned();
            steps.map(move |step| if standard { as_law_has_it(step, jurisdiction) } else { step })
        })
        .collect()
}

/// The embedded plans as a kennel of a jurisdiction meets them, in the language that is spoken: those that
/// its country's guideline calls for are default ones, and rabies is as its law has it.
pub fn standard_plans_in(jurisdiction: &str) -> Vec<HealthPlan> {
    let in_force = |plan: &HealthPlan| {
        let mut told = plan.in_words();
        told.by_default |= is_followed_in(jurisdiction, &plan.key);
        told.steps = told.steps.into_iter().map(|step| as_law_has_it(step, jurisdiction)).collect();
        told
    };
    PLANS.iter().map(in_force).collect()
}

/// The embedded steps by their key.
static STEPS: LazyLock<HashMap<&'static str, &'static PlanStep>> = LazyLock::new(|| {
    PLANS.iter().flat_map(|plan| &plan.steps).map(|step| (step.key.as_str(), step)).collect()
});

impl HealthPlan {
    /// An embedded plan with its names and notes in the language that is spoken; a kennel's own as it is.
    #[must_use]
    pub fn in_words(&self) -> Self {
        let mut said = self.clone();
        if PLANS.iter().any(|plan| plan.key == self.key && plan.name == self.name) {
            said.name = Text::keyed("health-plan", &self.key, self.name.as_str()).to_string();
        }
        for step in &mut said.steps {
            step.note = step.noted().map(|note| note.to_string());
            step.name = step.called().to_string();
        }
        said
    }

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
    /// Its name. An embedded step's is in each language; a kennel's own, or one that the kennel has
    /// named anew, is said as it was written.
    pub fn called(&self) -> Text {
        match STEPS.get(self.key.as_str()).is_some_and(|step| step.name == self.name) {
            true => Text::keyed("health-plan-step", &self.key, self.name.as_str()),
            false => Text::verbatim(self.name.as_str()),
        }
    }

    /// Its note, likewise.
    pub(crate) fn noted(&self) -> Option<Text> {
        let note = self.note.as_deref()?;
        Some(match STEPS.get(self.key.as_str()).is_some_and(|step| step.note == self.note) {
            true => Text::keyed("health-plan-note", &self.key, note),
            false => Text::verbatim(note),
        })
    }

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
            said!("fault-twice-step-key", key = quoted(&self.key))
        });
        if let StepAnchor::Step { step } = &self.anchor {
            faults.unless(earlier.contains(step.as_str()), &format!("{at}/anchor/step"), || {
                said!("fault-not-found-step-before", step = quoted(step))
            });
        }
        self.check_days(faults, at);
    }

    /// Grown dogs are counted from their birth, an earlier step or the last dose, and only they.
    fn check_subject(&self, faults: &mut Faults, at: &str, subject: PlanSubject) {
        let pointer = format!("{at}/anchor/anchor");
        let grown = subject == PlanSubject::Grown;
        let from_last = self.anchor == StepAnchor::LastDose;
        let of_litter =
            matches!(self.anchor, StepAnchor::Mating | StepAnchor::Whelping | StepAnchor::Weaning);
        faults
            .unless(!(grown && of_litter), &pointer, || said!("fault-wrong-kind-anchor-of-litter"));
        faults.unless(grown || !from_last, &pointer, || said!("fault-wrong-kind-anchor-last-dose"));
        let for_life = self.repeat.as_ref().is_some_and(|repeat| repeat.until.is_none());
        faults.unless(!from_last || for_life, &format!("{at}/repeat"), || {
            said!("fault-only-together-last-dose-repeat")
        });
    }

    fn check_days(&self, faults: &mut Faults, at: &str) {
        let (earliest, ideal, latest) = (self.earliest_days, self.ideal_days, self.latest_days);
        faults.unless(
            (0..=MAX_OFFSET_DAYS).contains(&earliest),
            &format!("{at}/earliest_days"),
            within_offset,
        );
        faults.unless(earliest <= ideal, &format!("{at}/ideal_days"), || {
            said!("fault-too-early-ideal-days", earliest_days = earliest)
        });
        faults.unless(
            ideal <= latest && latest <= MAX_OFFSET_DAYS,
            &format!("{at}/latest_days"),
            || {
                said!(
                    "fault-out-of-range-latest-days",
                    ideal_days = ideal,
                    most_days = MAX_OFFSET_DAYS
                )
            },
        );
        let spacing = i64::from(self.min_spacing_days);
        faults.unless(
            spacing <= i64::from(MAX_OFFSET_DAYS),
            &format!("{at}/min_spacing_days"),
            || said!("fault-out-of-range-spacing-days", most_days = MAX_OFFSET_DAYS),
        );
        if let Some(age) = self.antibody_test_from_days {
            let pointer = format!("{at}/antibody_test_from_days");
            faults.unless((0..=MAX_OFFSET_DAYS).contains(&age), &pointer, within_offset);
            faults.unless(self.kind == HealthKind::Vaccination, &pointer, || {
                said!("fault-only-together-antibody-test")
            });
        }
        if let Some(repeat) = &self.repeat {
            let on_dose = matches!(self.anchor, StepAnchor::Step { .. } | StepAnchor::LastDose);
            faults.unless(on_dose && ideal >= 1, &format!("{at}/repeat"), || {
                said!("fault-only-together-repeat-interval")
            });
            faults.unless(
                (0..=MAX_OFFSET_DAYS).contains(&repeat.days),
                &format!("{at}/repeat/days"),
                within_offset,
            );
        }
    }
}

fn within_offset() -> Text {
    said!("fault-out-of-range-plan-days", least_days = 0, most_days = MAX_OFFSET_DAYS)
}

fn check_text(faults: &mut Faults, at: &str, text: &str) {
    let length = text.trim().chars().count();
    faults.unless(length > 0, at, || said!("fault-empty-plan-text", least = 1, most = 300));
    faults.unless(length <= 300, at, || said!("fault-too-long-plan-text", least = 1, most = 300));
}

#[cfg(test)]
mod tests;
