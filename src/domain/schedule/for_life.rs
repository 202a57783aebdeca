//! What a grown dog is due for: the steps that are repeated for life, each from the last dose given.

use super::{
    due::{DueState, DueStep, GivenEvent, series_of, state_on, undated, window},
    plan::PlanStep,
};
use chrono::NaiveDate;

/// The next dose of each step that is repeated for life, counted from the last dose of its kind and
/// series, whatever the dog was given as a pup and whether that is recorded.
///
/// Without a recorded dose the step is there, but not dated. An event later than `today` is ignored.
pub fn due_for_life(steps: &[PlanStep], events: &[GivenEvent], today: NaiveDate) -> Vec<DueStep> {
    let for_life =
        |step: &&PlanStep| step.repeat.as_ref().is_some_and(|repeat| repeat.until.is_none());
    steps.iter().filter(for_life).map(|step| next_dose(step, steps, events, today)).collect()
}

fn next_dose(
    step: &PlanStep,
    steps: &[PlanStep],
    events: &[GivenEvent],
    today: NaiveDate,
) -> DueStep {
    let of_series = |event: &&GivenEvent| {
        event.kind == step.kind
            && event.given_on <= today
            && series_of(steps, event) == Some(step.series.as_str())
    };
    let last_given_on = events.iter().filter(of_series).map(|event| event.given_on).max();
    let Some(last) = last_given_on else {
        return DueStep { lacks: Some("the day of the last dose".to_owned()), ..undated(step) };
    };
    let window = window(step, last, Some(last));
    let late_days = (today - window.latest).num_days();
    let state: DueState = state_on(&window, today);
    DueStep {
        state,
        earliest_on: Some(window.earliest),
        ideal_on: Some(window.ideal),
        latest_on: Some(window.latest),
        late_days: (late_days > 0).then_some(late_days),
        lacks: None,
        ..undated(step)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::schedule::{HealthKind, PlanSubject, plus, steps_in_force};

    fn given(series: Option<&str>, on: &str) -> GivenEvent {
        GivenEvent {
            id: None,
            kind: HealthKind::Vaccination,
            series: series.map(Into::into),
            step: None,
            given_on: on.parse().unwrap(),
        }
    }

    fn core(events: &[GivenEvent], today: &str) -> DueStep {
        let steps = steps_in_force(PlanSubject::Pup, &[], &[]);
        let due = due_for_life(&steps, events, today.parse().unwrap());
        assert_eq!(due.len(), 1, "of the standard plans, one step is for life");
        due.into_iter().next().unwrap()
    }

    /// Not more often than every three years (WSAVA congress 2017, proceedings, p. 308).
    #[test]
    fn a_booster_is_due_three_years_after_the_last_dose() {
        let last = [given(None, "2020-03-01"), given(Some("core"), "2023-03-01")];
        let at = |today| core(&last, today).state;
        assert_eq!(at("2026-02-27"), DueState::TooEarly);
        assert_eq!(at("2026-02-28"), DueState::Due);
        let late = core(&last, "2026-06-01");
        assert_eq!((late.state, late.late_days), (DueState::Late, Some(2)));
        assert_eq!(late.ideal_on, Some(plus("2023-03-01".parse().unwrap(), 1095)));
    }

    #[test]
    fn without_a_dose_nothing_is_dated() {
        let rabies = [given(Some("rabies"), "2023-03-01"), given(Some("core"), "2030-01-01")];
        let open = core(&rabies, "2026-03-01");
        assert_eq!((open.state, open.ideal_on), (DueState::Unknown, None));
        assert!(!open.is_open() && open.lacks.is_some());
    }
}
