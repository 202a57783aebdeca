//! May this pup go home, and from which day?
//!
//! A rule set ([`ReadinessRuleSet`]) says what must hold; each rule is checked against what is
//! recorded and answers met, unmet or unknown, why, and from which day it can be met.

mod border;
mod by_law;
mod cautions;
mod check;
mod litter;
mod rule_set;

#[cfg(test)]
pub(crate) mod limits_tests;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod words_tests;

pub use by_law::rules_in_force;
pub use cautions::law_cautions;
pub(crate) use litter::litter_readiness;
pub use litter::{LitterReadiness, PupReadiness};
#[cfg(test)]
pub(crate) use rule_set::listed_jurisdictions;
pub use rule_set::{
    AgeComparison, KennelReadinessRules, ReadinessRule, ReadinessRuleSet, RequiredPaper,
    RuleInForce,
};

use crate::{
    advice::Caution,
    fault::{Fault, Faults},
    law::Country,
    placement::Money,
    rules::Rules,
    schedule::DueStep,
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A weight and the day of its weighing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeightFact {
    /// The weight in grams.
    pub weight_g: f64,
    /// The day on the kennel's calendar.
    pub measured_on: NaiveDate,
}

/// The days between which something is expected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DayRange {
    /// First day.
    pub earliest: NaiveDate,
    /// Likeliest day.
    pub likely: NaiveDate,
    /// Last day.
    pub latest: NaiveDate,
}

/// A paper that is there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PaperDone {
    /// Which, by the name of the rule set.
    #[schema(example = "sale_contract")]
    pub paper: String,
    /// Since when.
    pub done_on: NaiveDate,
}

/// How the account of the sale stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum BalanceFact {
    /// No sale is recorded.
    #[default]
    NoSale,
    /// A sale without a price.
    Unknown,
    /// What is owed, 0 or less when all is paid.
    Known {
        /// The balance due.
        balance_due: Money,
        /// Day on which it was agreed to be paid.
        due_on: Option<NaiveDate>,
        /// Day of the last payment.
        paid_on: Option<NaiveDate>,
    },
}

/// What is recorded of a pup.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReadinessFacts {
    /// Day of birth on the kennel's calendar.
    pub born_on: Option<NaiveDate>,
    /// Day of weaning, done or planned.
    pub weaned_on: Option<NaiveDate>,
    /// Last weight.
    pub last_weight: Option<WeightFact>,
    /// Whether it gains, by its growth.
    pub gaining: Option<bool>,
    /// When it will have the least weight of the rule set, by its growth.
    pub weight_forecast: Option<DayRange>,
    /// Its health steps as of today.
    pub health_steps: Vec<DueStep>,
    /// Chip number.
    pub chip_number: Option<String>,
    /// Papers that are there.
    pub papers: Vec<PaperDone>,
    /// The account of its sale.
    pub balance: BalanceFact,
    /// The country that it is promised to.
    pub goes_to: Option<Country>,
}

/// How a check came out.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum ReadinessResult {
    /// The rule holds.
    Met,
    /// It cannot be said.
    Unknown,
    /// The rule does not hold.
    Unmet,
}

/// A rule that an owner has set aside for one pup.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ReadinessOverride {
    /// The rule.
    pub rule: ReadinessRule,
    /// Why.
    #[schema(example = "The veterinarian advised an early move for health; letter of 2026-02-20.")]
    pub reason: String,
    /// Who decided.
    #[schema(example = "Ada Example")]
    #[serde(rename = "decided_by", alias = "by")]
    pub by: String,
    /// On which day.
    #[serde(rename = "decided_on", alias = "on")]
    pub on: NaiveDate,
}

impl ReadinessOverride {
    /// Checks an override before it is kept.
    ///
    /// # Errors
    /// Every fault: no reason of 10 to 1000 characters, nobody who decided, a day after `today`.
    pub fn check(&self, today: NaiveDate) -> Result<(), Vec<Fault>> {
        let mut faults = Faults::new();
        let length = self.reason.trim().chars().count();
        faults.unless((10..=1000).contains(&length), "/reason", || {
            said!("fault-out-of-range-override-reason")
        });
        faults.unless(!self.by.trim().is_empty(), "/decided_by", || {
            said!("fault-missing-override-by")
        });
        faults.unless(self.on <= today, "/decided_on", || {
            said!("fault-in-future-override", today = today)
        });
        faults.into_result()
    }
}

/// One rule and how it stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ReadinessCheck {
    /// The rule.
    pub rule: ReadinessRule,
    /// How it stands.
    pub result: ReadinessResult,
    /// Why, in plain words.
    #[schema(
        value_type = String,
        example = "7 completed weeks old; at least 8 weeks asked (anyone): from 2026-02-26 on."
    )]
    pub detail: Text,
    /// Since when it is met, or the earliest day on which it can be; `null` when that is unknown.
    pub met_on: Option<NaiveDate>,
    /// Where the rule comes from.
    #[schema(example = "Swiss Animal Protection Ordinance (TSchV), Art. 70(4)")]
    pub source: String,
    /// When the law was last read.
    pub checked_on: Option<NaiveDate>,
    /// Who set it aside for this pup, and why.
    pub overridden: Option<ReadinessOverride>,
}

impl ReadinessCheck {
    /// Whether it does not stand in the way.
    pub fn passes(&self) -> bool {
        self.result == ReadinessResult::Met || self.overridden.is_some()
    }

    /// The check for a reader who sees no money: whether something is owed, not how much.
    fn without_money(&mut self) {
        if self.rule == ReadinessRule::BalancePaid {
            self.detail = match self.result {
                ReadinessResult::Met => said!("readiness-nothing-owed"),
                ReadinessResult::Unmet => said!("readiness-something-owed"),
                ReadinessResult::Unknown => said!("readiness-owed-unknown"),
            };
        }
    }
}

/// Whether a pup may go home.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Readiness {
    /// Whether every rule is met, or set aside by an owner.
    pub ready: bool,
    /// The first day on which it can go, as things stand; `null` when that cannot be said.
    pub ready_on: Option<NaiveDate>,
    /// Every rule.
    pub checks: Vec<ReadinessCheck>,
    /// What to know besides.
    pub cautions: Vec<Caution>,
}

impl Readiness {
    /// The same for a reader who sees no money.
    pub fn without_money(mut self) -> Self {
        self.checks.iter_mut().for_each(ReadinessCheck::without_money);
        self
    }
}

/// Checks a pup against the rules in force, as of `today`.
///
/// A rule that is unknown keeps a pup home like one that is unmet. `ready_on` is the latest of the
/// days on which the open rules can be met, `None` as soon as one has no such day; for a pup that
/// is ready it is the day since which it has been, as far as recorded. An override makes a rule
/// pass and stays visible on its check and among the cautions. A pup that is promised abroad is held
/// against the border too.
pub fn readiness(
    set: &ReadinessRuleSet,
    facts: &ReadinessFacts,
    overrides: &[ReadinessOverride],
    today: NaiveDate,
    rules: &Rules,
) -> Readiness {
    let mut checks: Vec<ReadinessCheck> =
        set.rules.iter().map(|row| check::check(row, facts, today, rules)).collect();
    let crossing = facts.goes_to.map(|to| border::Crossing::of(&set.jurisdiction, to));
    checks.extend(crossing.as_ref().and_then(|crossing| crossing.check(facts, today)));
    for check in checks.iter_mut().filter(|check| check.result != ReadinessResult::Met) {
        check.overridden =
            overrides.iter().rfind(|set_aside| set_aside.rule == check.rule).cloned();
    }
    let ready = checks.iter().all(ReadinessCheck::passes);
    let ready_on = ready_on(&checks, ready, today);
    let mut cautions = law_cautions(set, today);
    cautions.extend(crossing.iter().flat_map(|crossing| crossing.cautions(today)));
    cautions.extend(cautions::of_checks(&checks));
    Readiness { ready, ready_on, checks, cautions }
}

fn ready_on(checks: &[ReadinessCheck], ready: bool, today: NaiveDate) -> Option<NaiveDate> {
    if ready {
        let met = checks.iter().filter(|check| check.result == ReadinessResult::Met);
        return Some(met.filter_map(|check| check.met_on).max().unwrap_or(today).min(today));
    }
    let open = checks.iter().filter(|check| !check.passes());
    let days: Option<Vec<NaiveDate>> = open.map(|check| check.met_on).collect();
    days?.into_iter().max().map(|on| on.max(today))
}
