//! What a kennel's country calls for: rabies by its law, and plans by its guideline.

use super::plan::{HealthKind, HealthPlan, PlanStep, standard_plans};
use crate::{
    advice::{Caution, standing_line},
    law::{Country, dated, nearest, old_text},
    rules::{Rules, Status},
    schedule::rule_days,
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use utoipa::ToSchema;

/// Whether the law of a country asks for rabies vaccination of dogs that stay there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum RabiesRequired {
    /// It does.
    Yes,
    /// Its parts decide.
    ByRegion,
    /// It does not.
    No,
    /// Nobody has looked.
    NotLookedFor,
}

/// How a guideline sees a plan for the dogs of a country.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// For every dog there: a kennel follows it unless it says otherwise.
    Followed,
    /// By where the dogs live and what they do: the kennel and its veterinarian choose.
    Offered,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct RabiesRow {
    jurisdictions: Vec<String>,
    required: RabiesRequired,
    by_days: Option<i32>,
    repeat_days: Option<i32>,
    text_of: Option<i32>,
    #[serde(rename = "confirmation")]
    status: Status,
    checked_on: NaiveDate,
    source: String,
    note: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct PlanRow {
    key: String,
    disease: String,
    called: String,
    plan: Option<String>,
    jurisdictions: Vec<String>,
    standing: Standing,
    why: String,
    #[serde(rename = "confirmation")]
    status: Status,
    checked_on: NaiveDate,
    source: String,
}

/// A kind of vaccine, by the series under which its doses are recorded.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct VaccineKind {
    /// The series.
    #[schema(example = "core")]
    pub series: String,
    /// Whether what it holds is alive.
    pub live: bool,
    /// Whether it is injected; else it goes into the nose or mouth.
    pub injected: bool,
    /// Where that comes from.
    pub source: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    rabies: Vec<RabiesRow>,
    plan: Vec<PlanRow>,
    vaccine: Vec<VaccineKind>,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| {
    #[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
    let table = toml::from_str(include_str!("../rules/regional_health.toml")).expect("embedded");
    table
});

/// Of rows by jurisdiction that of `code`, else that of its country.
fn row_of<'a, T>(rows: &'a [T], code: &str, of: impl Fn(&'a T) -> &'a [String]) -> Option<&'a T> {
    let pairs: Vec<(&str, &T)> = rows
        .iter()
        .flat_map(|row| of(row).iter().map(move |place| (place.as_str(), row)))
        .collect();
    nearest(&pairs, code, |pair| Some(pair.0)).map(|pair| pair.1)
}

fn plans_of(jurisdiction: &str) -> impl Iterator<Item = &'static PlanRow> {
    let country = Country::of_jurisdiction(jurisdiction).map(|country| country.to_string());
    TABLE.plan.iter().filter(move |row| {
        country.as_ref().is_some_and(|country| row.jurisdictions.contains(country))
    })
}

/// Whether a vaccine of this series is live and injected; `None` for a series that is not known.
pub(super) fn is_live_and_injected(series: &str) -> Option<bool> {
    let kind = TABLE.vaccine.iter().find(|kind| kind.series == series)?;
    Some(kind.live && kind.injected)
}

/// Whether the guideline of a jurisdiction calls for a standard plan for every dog.
pub(super) fn is_followed_in(jurisdiction: &str, plan_key: &str) -> bool {
    let calls =
        |row: &PlanRow| row.standing == Standing::Followed && row.plan.as_deref() == Some(plan_key);
    plans_of(jurisdiction).any(calls)
}

fn rabies_law(jurisdiction: &str) -> Option<&'static RabiesRow> {
    row_of(&TABLE.rabies, jurisdiction, |row| &row.jurisdictions)
}

/// A step of a standard plan as the law of a jurisdiction has it: where that asks for rabies vaccination, the
/// first dose and those that keep it valid are needed, by the day and at the distance that it sets.
pub(super) fn as_law_has_it(step: PlanStep, jurisdiction: &str) -> PlanStep {
    let asks = |law: &&RabiesRow| law.required == RabiesRequired::Yes;
    let is_rabies = step.kind == HealthKind::Vaccination && step.series == "rabies";
    let Some(law) = rabies_law(jurisdiction).filter(asks).filter(|_| is_rabies) else {
        return step;
    };
    let by_law = PlanStep {
        optional: false,
        source: law.source.clone(),
        status: law.status,
        ..step.clone()
    };
    let lead = step.latest_days - step.ideal_days;
    match (step.key.as_str(), law.by_days, law.repeat_days) {
        ("rabies-first", Some(by), _) => {
            let latest_days = by.max(step.earliest_days);
            PlanStep { ideal_days: step.ideal_days.min(latest_days), latest_days, ..by_law }
        }
        ("rabies-adult", _, Some(every)) => PlanStep {
            ideal_days: (every - lead).max(step.earliest_days),
            latest_days: every,
            ..by_law
        },
        // A second dose in the first weeks stays the veterinarian's choice.
        ("rabies-second", ..) => step,
        _ => by_law,
    }
}

/// Rabies vaccination by law.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RabiesByLaw {
    /// Whether it is asked for.
    pub required: RabiesRequired,
    /// Age in days by which the first dose is given.
    #[schema(example = 119)]
    pub by_days: Option<i32>,
    /// Days after which it is repeated at the latest; null where the product's period counts.
    #[schema(example = 365)]
    pub repeat_days: Option<i32>,
    /// What was read, or that nothing was.
    #[schema(value_type = String)]
    pub source: Text,
    /// How far that is confirmed; null when nothing was looked for.
    pub confirmation: Option<Status>,
    /// The day on which it was last read.
    pub checked_on: Option<NaiveDate>,
    /// The year of the text that was read, where that is not the law as it stood on that day.
    #[schema(example = 2014)]
    pub text_of: Option<i32>,
    /// What else to know, in English as it was noted.
    pub note: Option<String>,
}

/// A plan that a guideline names for the dogs of a country.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RegionalPlan {
    /// Against what.
    #[schema(value_type = String, example = "leptospirosis")]
    pub disease: Text,
    /// Key of the standard plan; null where the series is the product's own.
    #[schema(example = "pup-leptospirosis")]
    pub plan_key: Option<String>,
    /// How the guideline sees it there.
    pub standing: Standing,
    /// Whether this kennel follows it, by default or by a plan of its own with that key.
    pub is_followed: bool,
    /// Why.
    #[schema(value_type = String)]
    pub why: Text,
    /// The guideline, and what was read.
    pub source: String,
    /// How far that is confirmed.
    pub confirmation: Status,
    /// The day on which it was last read.
    pub checked_on: NaiveDate,
}

/// What the country of a kennel calls for beside the plans that hold everywhere.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RegionalSchedule {
    /// Where the kennel is; empty when that is not known.
    #[schema(example = "DE")]
    pub jurisdiction: String,
    /// Rabies.
    pub rabies: RabiesByLaw,
    /// Plans by guideline.
    pub plans: Vec<RegionalPlan>,
    /// Which vaccines are live.
    pub vaccines: Vec<VaccineKind>,
    /// Least days between two injected live vaccines of different kinds, unless on one day.
    #[schema(example = 14)]
    pub live_vaccines_apart_days: i64,
    /// Rows that were read more than a year ago, and laws of which an older text was read.
    pub cautions: Vec<Caution>,
    /// The line that stands beside every piece of advice.
    #[schema(value_type = String)]
    pub standing_line: Text,
}

/// What the country of a kennel calls for. `own` are the kennel's plans in force today.
pub fn regional_schedule(
    jurisdiction: &str,
    own: &[HealthPlan],
    today: NaiveDate,
    rules: &Rules,
) -> RegionalSchedule {
    let law = rabies_law(jurisdiction);
    let rabies = RabiesByLaw {
        required: law.map_or(RabiesRequired::NotLookedFor, |law| law.required),
        by_days: law.and_then(|law| law.by_days),
        repeat_days: law.and_then(|law| law.repeat_days),
        source: law.map_or_else(
            || said!("regional-rabies-not-looked-for"),
            |law| Text::verbatim(law.source.as_str()),
        ),
        confirmation: law.map(|law| law.status),
        checked_on: law.map(|law| law.checked_on),
        text_of: law.and_then(|law| law.text_of),
        note: law.and_then(|law| law.note.clone()),
    };
    let plans: Vec<RegionalPlan> =
        plans_of(jurisdiction).map(|row| regional_plan(row, own)).collect();
    let rows = plans.iter().map(|plan| (plan.disease.clone(), plan.checked_on));
    let read = law.map(|law| (said!("regional-rabies"), law.checked_on));
    let old = rabies.text_of.and_then(|year| old_text(said!("regional-rabies"), year, today));
    RegionalSchedule {
        jurisdiction: jurisdiction.to_owned(),
        cautions: dated(rows.chain(read), today).into_iter().chain(old).collect(),
        rabies,
        plans,
        vaccines: TABLE.vaccine.clone(),
        live_vaccines_apart_days: rule_days(rules, "schedule.live_vaccines_apart_days"),
        standing_line: standing_line(),
    }
}

fn regional_plan(row: &PlanRow, own: &[HealthPlan]) -> RegionalPlan {
    let own = own.iter().find(|plan| Some(&plan.key) == row.plan.as_ref());
    let by_default = row.standing == Standing::Followed
        || standard_plans()
            .iter()
            .any(|plan| plan.by_default && Some(&plan.key) == row.plan.as_ref());
    RegionalPlan {
        disease: Text::keyed("regional-disease", &row.disease, row.called.as_str()),
        plan_key: row.plan.clone(),
        standing: row.standing,
        is_followed: own.map_or(by_default, |plan| plan.by_default && !plan.steps.is_empty()),
        why: Text::keyed("regional-why", &row.key, row.why.as_str()),
        source: row.source.clone(),
        confirmation: row.status,
        checked_on: row.checked_on,
    }
}

#[cfg(test)]
mod tests;
