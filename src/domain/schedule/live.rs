//! Two injected live vaccines of different kinds: on one day, or some days apart.

use super::{
    age::{plus, rule_days},
    due::{DueList, DueState, DueStep, GivenEvent, Window, state_on},
    plan::HealthKind,
    regional::is_live_and_injected,
};
use crate::{
    advice::{Caution, CautionCode, Level},
    rules::Rules,
};
use catalogue::said;
use chrono::NaiveDate;
use std::collections::BTreeSet;

/// Keeps live vaccines of different series apart by `schedule.live_vaccines_apart_days`.
///
/// A dose that is open and may come in that time after another one waits until it is over. Two that were given
/// within it, and not on one day, are cautioned: what the first sets off may hinder the second.
pub(crate) fn keep_apart(
    list: &mut DueList,
    given: &[GivenEvent],
    today: NaiveDate,
    rules: &Rules,
) {
    let apart = rule_days(rules, "schedule.live_vaccines_apart_days");
    let doses = live_doses(list, given, today);
    for step in list.steps.iter_mut().filter(|step| is_live(step) && waits(step)) {
        let others = doses.iter().filter(|(_, series)| *series != step.series);
        let free_on = others.map(|(on, _)| plus(*on, apart)).max();
        if let Some(free_on) = free_on.filter(|free_on| step.earliest_on < Some(*free_on)) {
            move_to(step, free_on, today);
        }
    }
    for (on, series) in &doses {
        let before = doses.iter().filter(|(other, of)| other < on && of != series);
        let last = before.map(|(other, _)| *other).max();
        if let Some(last) = last.filter(|last| (*on - *last).num_days() < apart) {
            list.cautions.push(too_close(*on, last, apart, rules));
        }
    }
}

fn is_live(step: &DueStep) -> bool {
    step.kind == HealthKind::Vaccination && is_live_and_injected(&step.series) == Some(true)
}

fn waits(step: &DueStep) -> bool {
    matches!(step.state, DueState::Late | DueState::Due | DueState::Upcoming | DueState::TooEarly)
}

/// The days of live injected doses with their series, whether they counted or not.
fn live_doses(
    list: &DueList,
    given: &[GivenEvent],
    today: NaiveDate,
) -> BTreeSet<(NaiveDate, String)> {
    let taken = list
        .steps
        .iter()
        .filter(|step| is_live(step) && !step.by_test)
        .filter_map(|step| Some((step.given_on?, step.series.clone())));
    let named = given
        .iter()
        .filter(|event| event.kind == HealthKind::Vaccination && !event.by_test)
        .filter_map(|event| Some((event.given_on, event.series.clone()?)))
        .filter(|(on, series)| *on <= today && is_live_and_injected(series) == Some(true));
    taken.chain(named).collect()
}

fn move_to(step: &mut DueStep, free_on: NaiveDate, today: NaiveDate) {
    let ideal = step.ideal_on.map_or(free_on, |on| on.max(free_on));
    let latest = step.latest_on.map_or(ideal, |on| on.max(ideal));
    step.state = state_on(&Window { earliest: free_on, ideal, latest }, today);
    (step.earliest_on, step.ideal_on, step.latest_on) = (Some(free_on), Some(ideal), Some(latest));
    step.late_days = Some((today - latest).num_days()).filter(|days| *days > 0);
}

fn too_close(on: NaiveDate, last: NaiveDate, apart: i64, rules: &Rules) -> Caution {
    let days = (on - last).num_days();
    Caution::new(
        CautionCode::HealthLiveVaccinesClose,
        Level::Note,
        said!("schedule-live-close", given_on = on, least_days = apart),
        said!("schedule-live-close-why", given_on = on, days = days, before = last),
        rules.get("schedule.live_vaccines_apart_days").source.clone(),
    )
    .with("given_on", on.to_string())
    .with("before_on", last.to_string())
    .with("least_days", apart)
}
