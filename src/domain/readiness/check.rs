//! One check for each rule: met, unmet or unknown, why, and from when it can be met.

use super::{
    BalanceFact, DayRange, PaperDone, ReadinessCheck, ReadinessFacts, ReadinessResult,
    rule_set::{AgeComparison, ReadinessRule, RequiredPaper, RuleInForce},
};
use crate::{
    listing::{commas, semicolons},
    microchip::read_chip,
    rules::Rules,
    schedule::{BeforeGoHome, DueState, DueStep, HealthKind, completed_weeks, plus, rule_days},
};
use catalogue::{Text, Value, said};
use chrono::{Months, NaiveDate};

/// What a check found, before the rule's name and source are put to it.
struct Finding {
    result: ReadinessResult,
    detail: Text,
    met_on: Option<NaiveDate>,
}

fn met(detail: Text, on: Option<NaiveDate>) -> Finding {
    Finding { result: ReadinessResult::Met, detail, met_on: on }
}

fn unmet(detail: Text, on: Option<NaiveDate>) -> Finding {
    Finding { result: ReadinessResult::Unmet, detail, met_on: on }
}

fn unknown(detail: Text) -> Finding {
    Finding { result: ReadinessResult::Unknown, detail, met_on: None }
}

pub(super) fn check(
    row: &RuleInForce,
    facts: &ReadinessFacts,
    today: NaiveDate,
    rules: &Rules,
) -> ReadinessCheck {
    let planned_kind = |kind| planned(kind, facts, today);
    let finding = match row.rule {
        ReadinessRule::MinimumAge => minimum_age(row, facts, today),
        ReadinessRule::WeightReached => weight_reached(row, facts, today),
        ReadinessRule::Gaining => gaining(facts, today, rules),
        ReadinessRule::Weaned => weaned(facts, today, rules),
        ReadinessRule::Worming => planned_kind(HealthKind::Worming),
        ReadinessRule::Vaccination => planned_kind(HealthKind::Vaccination),
        ReadinessRule::Microchip => microchip(facts, today),
        ReadinessRule::Examination => planned_kind(HealthKind::Examination),
        ReadinessRule::Paperwork => paperwork(&row.papers, &facts.papers, today),
        ReadinessRule::BalancePaid => balance_paid(facts.balance, today),
        ReadinessRule::Border => unknown(said!("readiness-border-elsewhere")),
    };
    let detail = match &row.note {
        Some(note) if finding.result != ReadinessResult::Met => {
            Text::sentences([finding.detail, note.clone()])
        }
        _ => finding.detail,
    };
    ReadinessCheck {
        rule: row.rule,
        result: finding.result,
        detail,
        met_on: finding.met_on,
        source: row.source.clone(),
        checked_on: row.checked_on,
        overridden: None,
    }
}

fn minimum_age(row: &RuleInForce, facts: &ReadinessFacts, today: NaiveDate) -> Finding {
    let Some(born_on) = facts.born_on else {
        return unknown(said!("readiness-no-birth"));
    };
    let (completed_on, age) = match row.minimum_age_months {
        Some(months) => {
            (months_after(born_on, months), said!("readiness-age-months", months = months))
        }
        None => {
            let days = i64::from(row.minimum_age_days.unwrap_or_default());
            (plus(born_on, days), weeks_and_days(days))
        }
    };
    let first_day = match row.comparison {
        AgeComparison::AtLeast => completed_on,
        AgeComparison::MoreThan => plus(completed_on, 1),
    };
    let weeks = completed_weeks(born_on, today).unwrap_or_default();
    let scope = &row.scope;
    let detail = match row.comparison {
        AgeComparison::AtLeast => said!(
            "readiness-age-at-least",
            weeks = weeks,
            age = age,
            scope = scope,
            first_day = first_day
        ),
        AgeComparison::MoreThan => said!(
            "readiness-age-more-than",
            weeks = weeks,
            age = age,
            scope = scope,
            first_day = first_day
        ),
    };
    if today >= first_day { met(detail, Some(first_day)) } else { unmet(detail, Some(first_day)) }
}

/// The day on which an age in months is completed; in a month too short its last day.
pub(super) fn months_after(born_on: NaiveDate, months: u32) -> NaiveDate {
    born_on.checked_add_months(Months::new(months)).unwrap_or(NaiveDate::MAX)
}

pub(super) fn weeks_and_days(days: i64) -> Text {
    match (days / 7, days % 7) {
        (weeks, 0) => said!("readiness-age-weeks", weeks = weeks),
        _ => said!("readiness-age-days", days = days),
    }
}

fn weight_reached(row: &RuleInForce, facts: &ReadinessFacts, today: NaiveDate) -> Finding {
    let least_g = row.minimum_weight_g.unwrap_or_default();
    let Some(weight) = facts.last_weight else {
        return unknown(said!("readiness-no-weight"));
    };
    let (weight_g, on) = (weight.weight_g, weight.measured_on);
    if weight_g >= least_g {
        let detail =
            said!("readiness-weight-reached", weight_g = weight_g, on = on, least_g = least_g);
        return met(detail, Some(on));
    }
    match facts.weight_forecast {
        Some(DayRange { earliest, likely, latest }) => {
            let detail = said!(
                "readiness-weight-forecast",
                weight_g = weight_g,
                on = on,
                least_g = least_g,
                likely = likely,
                earliest = earliest,
                latest = latest
            );
            unmet(detail, Some(likely.max(today)))
        }
        None => unmet(
            said!("readiness-weight-no-forecast", weight_g = weight_g, on = on, least_g = least_g),
            None,
        ),
    }
}

fn gaining(facts: &ReadinessFacts, today: NaiveDate, rules: &Rules) -> Finding {
    let (Some(weight), Some(gaining)) = (facts.last_weight, facts.gaining) else {
        return unknown(said!("readiness-gain-unknown"));
    };
    let age_days = (today - weight.measured_on).num_days();
    if !gaining {
        unmet(said!("readiness-gain-none", on = weight.measured_on), None)
    } else if age_days > rule_days(rules, "go_home.weight_recent") {
        unknown(said!("readiness-gain-stale", days = age_days))
    } else {
        met(said!("readiness-gain", on = weight.measured_on), None)
    }
}

fn weaned(facts: &ReadinessFacts, today: NaiveDate, rules: &Rules) -> Finding {
    let assumed_age = rule_days(rules, "schedule.assumed_weaning_age");
    match (facts.weaned_on, facts.born_on) {
        (Some(on), _) if on <= today => met(said!("readiness-weaned", on = on), Some(on)),
        (Some(on), _) => unmet(said!("readiness-to-be-weaned", on = on), Some(on)),
        (None, Some(born_on)) => {
            unmet(said!("readiness-weaning-assumed"), Some(plus(born_on, assumed_age).max(today)))
        }
        (None, None) => unknown(said!("readiness-weaning-unknown")),
    }
}

/// What the health plans ask of one kind before a pup leaves.
fn planned(kind: HealthKind, facts: &ReadinessFacts, today: NaiveDate) -> Finding {
    let asked: Vec<&DueStep> = facts
        .health_steps
        .iter()
        .filter(|step| step.kind == kind && !step.optional)
        .filter(|step| step.before_go_home != BeforeGoHome::Nothing)
        .collect();
    if asked.is_empty() {
        return unknown(said!("readiness-no-plan"));
    }
    if let Some(undated) = asked.iter().find(|step| step.state == DueState::Unknown) {
        let lacks = match &undated.lacks {
            Some(lacks) => Value::from(lacks),
            None => said!("readiness-step-anchor").into(),
        };
        return unknown(said!("readiness-step-undated", step = &undated.name, lacks = lacks));
    }
    let open: Vec<&&DueStep> = asked.iter().filter(|step| step.hinders_go_home(today)).collect();
    if open.is_empty() {
        let last = asked.iter().filter_map(|step| step.given_on).max();
        let detail = match last {
            Some(on) => said!("readiness-steps-done", on = on),
            None => said!("readiness-steps-none"),
        };
        return met(detail, last);
    }
    let steps = semicolons(open.iter().map(|step| hindering(step, today)));
    let on = open.iter().filter_map(|step| step.ideal_on).max().map(|on| on.max(today));
    unmet(said!("readiness-open", parts = steps), on)
}

/// A step that is open, and since or for when.
fn hindering(step: &DueStep, today: NaiveDate) -> Text {
    let (name, ideal) = (&step.name, step.ideal_on.unwrap_or(today));
    let late = step.latest_on.unwrap_or(ideal);
    match (step.state == DueState::Late, &step.not_counted) {
        (true, None) => said!("readiness-step-late", step = name, on = late),
        (true, Some(why)) => said!("readiness-step-late-why", step = name, on = late, why = why),
        (false, None) => said!("readiness-step-planned", step = name, on = ideal),
        (false, Some(why)) => {
            said!("readiness-step-planned-why", step = name, on = ideal, why = why)
        }
    }
}

fn microchip(facts: &ReadinessFacts, today: NaiveDate) -> Finding {
    let planned = planned(HealthKind::Microchip, facts, today);
    match facts.chip_number.as_deref().map(read_chip) {
        Some(Ok(chip)) if chip.iso_11784 => {
            let on = planned.met_on.filter(|_| planned.result == ReadinessResult::Met);
            met(said!("readiness-chip", number = &chip.number), on)
        }
        Some(Ok(chip)) => unmet(said!("readiness-chip-old", number = &chip.number), Some(today)),
        Some(Err(error)) => {
            unmet(said!("readiness-chip-wrong", fault = error.to_string()), Some(today))
        }
        None if planned.result == ReadinessResult::Met => {
            unmet(said!("readiness-chip-no-number"), Some(today))
        }
        None if planned.result == ReadinessResult::Unmet => planned,
        None => unmet(said!("readiness-chip-none"), Some(today)),
    }
}

fn paperwork(asked: &[RequiredPaper], done: &[PaperDone], today: NaiveDate) -> Finding {
    if asked.is_empty() {
        return met(said!("readiness-no-paper-asked"), None);
    }
    let mut missing = Vec::new();
    let mut first_day = NaiveDate::MIN;
    for paper in asked {
        let done_on = done.iter().filter(|d| d.paper == paper.paper).map(|d| d.done_on).min();
        let done_on = done_on.filter(|on| *on <= today);
        let ready_on = plus(done_on.unwrap_or(today), i64::from(paper.days_before));
        first_day = first_day.max(ready_on);
        match done_on {
            None => missing.push(said!("readiness-paper-missing", paper = &paper.name)),
            Some(on) if ready_on > today => missing.push(said!(
                "readiness-paper-too-new",
                paper = &paper.name,
                on = on,
                days = paper.days_before
            )),
            Some(_) => {}
        }
    }
    if missing.is_empty() {
        let papers = commas(asked.iter().map(|paper| paper.name.clone()));
        met(said!("readiness-papers-there", papers = papers), Some(first_day))
    } else {
        unmet(said!("readiness-open", parts = semicolons(missing)), Some(first_day.max(today)))
    }
}

fn balance_paid(balance: BalanceFact, today: NaiveDate) -> Finding {
    match balance {
        BalanceFact::NoSale => met(said!("readiness-no-sale"), None),
        BalanceFact::Unknown => unknown(said!("readiness-no-price")),
        BalanceFact::Known { balance_due, paid_on, .. } if balance_due.amount_minor <= 0 => {
            met(said!("readiness-nothing-owed"), paid_on)
        }
        BalanceFact::Known { balance_due, due_on, .. } => {
            let on = due_on.unwrap_or(today).max(today);
            unmet(said!("readiness-owed", sum = balance_due.to_string()), Some(on))
        }
    }
}
