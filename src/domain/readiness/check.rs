//! One check for each rule: met, unmet or unknown, why, and from when it can be met.

use super::{
    BalanceFact, PaperDone, ReadinessCheck, ReadinessFacts, ReadinessResult,
    rule_set::{AgeComparison, ReadinessRule, RequiredPaper, RuleInForce},
};
use crate::{
    microchip::read_chip,
    rules::Rules,
    schedule::{BeforeGoHome, DueState, DueStep, HealthKind, completed_weeks, plus, rule_days},
};
use chrono::NaiveDate;

/// What a check found, before the rule's name and source are put to it.
struct Finding {
    result: ReadinessResult,
    detail: String,
    met_on: Option<NaiveDate>,
}

fn met(detail: impl Into<String>, on: Option<NaiveDate>) -> Finding {
    Finding { result: ReadinessResult::Met, detail: detail.into(), met_on: on }
}

fn unmet(detail: impl Into<String>, on: Option<NaiveDate>) -> Finding {
    Finding { result: ReadinessResult::Unmet, detail: detail.into(), met_on: on }
}

fn unknown(detail: impl Into<String>) -> Finding {
    Finding { result: ReadinessResult::Unknown, detail: detail.into(), met_on: None }
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
    };
    let detail = match &row.note {
        Some(note) if finding.result != ReadinessResult::Met => {
            format!("{} {note}", finding.detail)
        }
        _ => finding.detail,
    };
    ReadinessCheck {
        rule: row.rule,
        result: finding.result,
        detail,
        met_on: finding.met_on,
        source: row.source.clone(),
        overridden: None,
    }
}

fn minimum_age(row: &RuleInForce, facts: &ReadinessFacts, today: NaiveDate) -> Finding {
    let Some(born_on) = facts.born_on else {
        return unknown("The day of birth is not recorded.");
    };
    let least_days = i64::from(row.minimum_age_days.unwrap_or_default());
    let (first_day, words) = match row.comparison {
        AgeComparison::AtLeast => (plus(born_on, least_days), "at least"),
        AgeComparison::MoreThan => (plus(born_on, least_days + 1), "more than"),
    };
    let weeks = completed_weeks(born_on, today).unwrap_or_default();
    let detail = format!(
        "{weeks} completed weeks old; {words} {} asked ({}): from {first_day} on.",
        weeks_and_days(least_days),
        row.scope
    );
    if today >= first_day { met(detail, Some(first_day)) } else { unmet(detail, Some(first_day)) }
}

fn weeks_and_days(days: i64) -> String {
    match (days / 7, days % 7) {
        (weeks, 0) => format!("{weeks} weeks"),
        _ => format!("{days} days"),
    }
}

fn weight_reached(row: &RuleInForce, facts: &ReadinessFacts, today: NaiveDate) -> Finding {
    let least_g = row.minimum_weight_g.unwrap_or_default();
    let Some(weight) = facts.last_weight else {
        return unknown("No weight is recorded; weigh the pup.");
    };
    let now = format!("{} g on {}; {least_g} g asked", weight.weight_g, weight.measured_on);
    if weight.weight_g >= least_g {
        return met(format!("{now}."), Some(weight.measured_on));
    }
    match facts.weight_forecast {
        Some(forecast) => unmet(
            format!(
                "{now}: by its growth about {} ({} to {}).",
                forecast.likely, forecast.earliest, forecast.latest
            ),
            Some(forecast.likely.max(today)),
        ),
        None => unmet(format!("{now}; too few weights for a forecast."), None),
    }
}

fn gaining(facts: &ReadinessFacts, today: NaiveDate, rules: &Rules) -> Finding {
    let (Some(weight), Some(gaining)) = (facts.last_weight, facts.gaining) else {
        return unknown("Too few weights to tell; weigh the pup on two days.");
    };
    let age_days = (today - weight.measured_on).num_days();
    if !gaining {
        unmet(format!("It did not gain to its last weighing on {}.", weight.measured_on), None)
    } else if age_days > rule_days(rules, "go_home.weight_recent") {
        unknown(format!("It gained, but was last weighed {age_days} days ago; weigh it again."))
    } else {
        met(format!("It gained to its last weighing on {}.", weight.measured_on), None)
    }
}

fn weaned(facts: &ReadinessFacts, today: NaiveDate, rules: &Rules) -> Finding {
    let assumed_age = rule_days(rules, "schedule.assumed_weaning_age");
    match (facts.weaned_on, facts.born_on) {
        (Some(on), _) if on <= today => met(format!("Weaned on {on}."), Some(on)),
        (Some(on), _) => unmet(format!("To be weaned on {on}."), Some(on)),
        (None, Some(born_on)) => unmet(
            "No day of weaning is recorded; the day is the usual age.",
            Some(plus(born_on, assumed_age).max(today)),
        ),
        (None, None) => unknown("Neither birth nor weaning is recorded."),
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
        return unknown("No health plan in force asks for it before go-home; choose a plan.");
    }
    if let Some(undated) = asked.iter().find(|step| step.state == DueState::Unknown) {
        let lacks = undated.lacks.as_deref().unwrap_or("its anchor");
        return unknown(format!("{} cannot be dated without {lacks}.", undated.name));
    }
    let open: Vec<&&DueStep> = asked.iter().filter(|step| step.hinders_go_home(today)).collect();
    if open.is_empty() {
        let last = asked.iter().filter_map(|step| step.given_on).max();
        let detail = match last {
            Some(on) => format!("As planned; last on {on}."),
            None => "Nothing was planned up to now.".into(),
        };
        return met(detail, last);
    }
    let names: Vec<String> = open
        .iter()
        .map(|step| {
            let ideal = step.ideal_on.unwrap_or(today);
            let word = if step.state == DueState::Late { "late since" } else { "planned for" };
            let on = if step.state == DueState::Late { step.latest_on } else { None };
            let why = step.not_counted.as_ref().map(|why| format!(" ({why})")).unwrap_or_default();
            format!("{}: {word} {}{why}", step.name, on.unwrap_or(ideal))
        })
        .collect();
    let on = open.iter().filter_map(|step| step.ideal_on).max().map(|on| on.max(today));
    unmet(format!("{}.", names.join("; ")), on)
}

fn microchip(facts: &ReadinessFacts, today: NaiveDate) -> Finding {
    let planned = planned(HealthKind::Microchip, facts, today);
    match facts.chip_number.as_deref().map(read_chip) {
        Some(Ok(chip)) if chip.iso_11784 => {
            let on = planned.met_on.filter(|_| planned.result == ReadinessResult::Met);
            met(format!("Chip {}.", chip.number), on)
        }
        Some(Ok(chip)) => unmet(
            format!("{} is older than ISO 11784; an ISO chip is asked.", chip.number),
            Some(today),
        ),
        Some(Err(error)) => unmet(format!("The chip number {error}."), Some(today)),
        None if planned.result == ReadinessResult::Met => {
            unmet("It was chipped, but no number is recorded.", Some(today))
        }
        None if planned.result == ReadinessResult::Unmet => planned,
        None => unmet("No chip number is recorded.", Some(today)),
    }
}

fn paperwork(asked: &[RequiredPaper], done: &[PaperDone], today: NaiveDate) -> Finding {
    if asked.is_empty() {
        return met("No paper is asked for.", None);
    }
    let mut missing = Vec::new();
    let mut first_day = NaiveDate::MIN;
    for paper in asked {
        let done_on = done.iter().filter(|d| d.paper == paper.paper).map(|d| d.done_on).min();
        let done_on = done_on.filter(|on| *on <= today);
        let ready_on = plus(done_on.unwrap_or(today), i64::from(paper.days_before));
        first_day = first_day.max(ready_on);
        match done_on {
            None => missing.push(format!("{} is missing", paper.name)),
            Some(on) if ready_on > today => missing
                .push(format!("{} of {on} must be {} days old", paper.name, paper.days_before)),
            Some(_) => {}
        }
    }
    if missing.is_empty() {
        let names: Vec<&str> = asked.iter().map(|paper| paper.name.as_str()).collect();
        met(format!("There: {}.", names.join(", ")), Some(first_day))
    } else {
        unmet(format!("{}.", missing.join("; ")), Some(first_day.max(today)))
    }
}

fn balance_paid(balance: BalanceFact, today: NaiveDate) -> Finding {
    match balance {
        BalanceFact::NoSale => met("No sale is recorded, so nothing is owed.", None),
        BalanceFact::Unknown => unknown("A sale is recorded, but no price."),
        BalanceFact::Known { balance_due, paid_on, .. } if balance_due.amount_minor <= 0 => {
            met("Nothing is owed.", paid_on)
        }
        BalanceFact::Known { balance_due, due_on, .. } => {
            let on = due_on.unwrap_or(today).max(today);
            unmet(format!("{balance_due} are owed."), Some(on))
        }
    }
}
