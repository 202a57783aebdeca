//! Which plans a dog follows at its age.

use super::{
    age::{plus, rule_days},
    due::{DueList, DueState, DueStep, GivenEvent, ScheduleDates, due},
    grown::due_when_grown,
    layout::repeats_for_life,
    plan::PlanStep,
};
use crate::rules::Rules;
use chrono::NaiveDate;

/// What of a dog's life its schedule hangs on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Lifetime {
    /// Its days, and those of its litter.
    pub dates: ScheduleDates,
    /// The latest day on which it can have been born, when the day itself is not known.
    pub born_by: Option<NaiveDate>,
}

impl Lifetime {
    /// The first day on which it is surely grown, `schedule.grown_from` days after birth.
    pub(crate) fn grown_on(&self, rules: &Rules) -> Option<NaiveDate> {
        let born_by = self.dates.born_on.or(self.born_by)?;
        Some(plus(born_by, rule_days(rules, "schedule.grown_from")))
    }

    /// Whether it is grown. A dog of which nobody knows when it was born is no pup of ours.
    pub(crate) fn is_grown(&self, today: NaiveDate, rules: &Rules) -> bool {
        self.grown_on(rules).is_none_or(|grown_on| grown_on <= today)
    }
}

/// All doses of a dog, by the plans of its age.
///
/// Up to `schedule.grown_from` days of age that is [`due`] by the plans of pups. From then on it is
/// what was given as a pup, [`due_when_grown`], and what of a pup's plan reaches into that age and
/// was left open, when earlier doses of its series are on record. A grown dog is not reproached with
/// what it got, or not, as a pup.
pub(crate) fn follow(
    (of_pups, of_grown): (&[PlanStep], &[PlanStep]),
    life: Lifetime,
    events: &[GivenEvent],
    today: NaiveDate,
    rules: &Rules,
) -> DueList {
    if !life.is_grown(today, rules) {
        return due(of_pups, life.dates, events, today, rules);
    }
    let grown_on = life.grown_on(rules);
    let as_pup: Vec<PlanStep> =
        of_pups.iter().filter(|step| !repeats_for_life(step)).cloned().collect();
    let pup = due(&as_pup, life.dates, events, today, rules).steps;
    let left_open = |step: &DueStep| {
        let reaches = !step.forecast && grown_on.is_some_and(|on| step.latest_on >= Some(on));
        step.is_open() && reaches && pup.iter().any(|dose| continues(dose, step))
    };
    let kept = pup.iter().filter(|step| step.state == DueState::Done || left_open(step));
    let as_given = |step: &DueStep| {
        let as_pup = step.given_on.is_some_and(|on| grown_on.is_some_and(|grown_on| on < grown_on));
        DueStep { late_days: step.late_days.filter(|_| !as_pup), ..step.clone() }
    };
    let mut list = due_when_grown((of_grown, of_pups), life.dates, grown_on, events, today, rules);
    list.steps.splice(0..0, kept.map(as_given));
    list
}

/// Whether a dose is on record of the series of a step.
fn continues(dose: &DueStep, step: &DueStep) -> bool {
    dose.state == DueState::Done && dose.kind == step.kind && dose.series == step.series
}
