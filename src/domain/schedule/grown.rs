//! What a grown dog is due for: the plans of grown dogs, and what a pup's plans repeat for life.

use super::{
    age::rule_days,
    due::{
        DueList, DueState, DueStep, GivenEvent, ScheduleDates, of_step, series_of, state_on, window,
    },
    layout::{Layout, repeats_for_life},
    plan::{HealthKind, PlanStep, StepAnchor},
};
use crate::rules::Rules;
use catalogue::said;
use chrono::NaiveDate;

/// The doses of a grown dog: those on record, and the next of each step.
///
/// `of_grown` are the steps of the plans of grown dogs. Those anchored on the last dose, and the
/// steps of `of_pups` that are repeated for life unless a plan of grown dogs has their series, are
/// counted from the last dose of their kind and series, whatever the dog was given as a pup and
/// whether that is recorded; without one the step is there, but not dated. `grown_on` is the first
/// day on which the dog was grown, `None` when its birth is not known: doses from then on are told.
/// The other steps are laid out as for a pup. An event later than `today` is ignored.
pub(crate) fn due_when_grown(
    (of_grown, of_pups): (&[PlanStep], &[PlanStep]),
    dates: ScheduleDates,
    grown_on: Option<NaiveDate>,
    events: &[GivenEvent],
    today: NaiveDate,
    rules: &Rules,
) -> DueList {
    let from_last = |step: &PlanStep| step.anchor == StepAnchor::LastDose;
    let once: Vec<PlanStep> = of_grown.iter().filter(|step| !from_last(step)).cloned().collect();
    let mut list = Layout::new(&once, dates, events, today, rules).laid_out();
    let for_life = of_pups.iter().filter(|step| repeats_for_life(step)).filter(|step| {
        !of_grown.iter().any(|own| own.kind == step.kind && own.series == step.series)
    });
    let test_after_days = rule_days(rules, "schedule.antibody_test_after_dose_days");
    // An event that names no series is of the first of its kind, for pups and grown dogs alike.
    let all: Vec<PlanStep> = of_pups.iter().chain(of_grown).cloned().collect();
    for step in of_grown.iter().filter(|step| from_last(step)).chain(for_life) {
        list.steps.extend(doses(step, &all, events, grown_on, (today, test_after_days)));
    }
    list.steps.sort_by_key(|step| {
        let on = step.ideal_on.or(step.given_on);
        (on.is_none(), on)
    });
    list
}

/// The doses of one step that were given to the grown dog, and the next.
fn doses(
    step: &PlanStep,
    steps: &[PlanStep],
    events: &[GivenEvent],
    grown_on: Option<NaiveDate>,
    (today, test_after_days): (NaiveDate, i64),
) -> Vec<DueStep> {
    let mut given = of_series((step.kind, &step.series), steps, events, today);
    drop_tests_that_prove_nothing(&mut given, step, test_after_days);
    if step.optional && given.is_empty() {
        // What only some dogs need is not asked about.
        return Vec::new();
    }
    let mut doses: Vec<DueStep> = Vec::new();
    for (index, event) in given.iter().enumerate() {
        if grown_on.is_some_and(|grown_on| event.given_on < grown_on) {
            continue;
        }
        let before = index.checked_sub(1).and_then(|index| given.get(index));
        let slot = before.map(|before| window(step, before.given_on, None));
        let late = slot.as_ref().map(|slot| (event.given_on - slot.latest).num_days());
        doses.push(DueStep {
            state: DueState::Done,
            given_on: Some(event.given_on),
            event_id: event.id,
            by_test: event.by_test,
            late_days: late.filter(|days| *days > 0),
            occurrence: number(&doses),
            ideal_on: slot.as_ref().map(|slot| slot.ideal),
            latest_on: slot.map(|slot| slot.latest),
            ..of_step(step)
        });
    }
    doses.push(next(step, given.last().map(|event| event.given_on), number(&doses), today));
    doses
}

fn number(doses: &[DueStep]) -> u32 {
    u32::try_from(doses.len()).unwrap_or(u32::MAX).saturating_add(1)
}

fn next(
    step: &PlanStep,
    last_given_on: Option<NaiveDate>,
    occurrence: u32,
    today: NaiveDate,
) -> DueStep {
    let Some(last) = last_given_on else {
        return DueStep { lacks: Some(said!("schedule-lacks-last-dose")), ..of_step(step) };
    };
    let window = window(step, last, Some(last));
    let late_days = (today - window.latest).num_days();
    DueStep {
        state: state_on(&window, today),
        earliest_on: Some(window.earliest),
        ideal_on: Some(window.ideal),
        latest_on: Some(window.latest),
        late_days: (late_days > 0).then_some(late_days),
        occurrence,
        ..of_step(step)
    }
}

/// The events of a series up to today, by day; several on one day are one.
fn of_series<'e>(
    (kind, series): (HealthKind, &str),
    steps: &[PlanStep],
    events: &'e [GivenEvent],
    today: NaiveDate,
) -> Vec<&'e GivenEvent> {
    let belongs = |event: &&GivenEvent| {
        event.kind == kind && event.given_on <= today && series_of(steps, event) == Some(series)
    };
    let mut given: Vec<&GivenEvent> = events.iter().filter(belongs).collect();
    given.sort_by_key(|event| (event.given_on, event.by_test));
    given.dedup_by_key(|event| event.given_on);
    given
}

/// Leaves out tests where none stands for a dose, and those too soon after one.
fn drop_tests_that_prove_nothing(
    given: &mut Vec<&GivenEvent>,
    step: &PlanStep,
    test_after_days: i64,
) {
    let mut last: Option<NaiveDate> = None;
    given.retain(|event| {
        let too_soon = last.is_some_and(|on| (event.given_on - on).num_days() < test_after_days);
        let counts = !event.by_test || (step.antibody_test_from_days.is_some() && !too_soon);
        last = if counts { Some(event.given_on) } else { last };
        counts
    });
}
