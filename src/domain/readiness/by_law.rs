//! The rules in force for a kennel: the published defaults, its own values, and the law above both.

use super::rule_set::{JURISDICTIONS, RuleInForce};
use super::{AgeComparison, ReadinessRule};
use crate::{law, record::RuleOverride, rules::Rules};
use std::{collections::HashMap, sync::LazyLock};

#[cfg(test)]
mod tests;

/// The age at which pups may go home where nothing else is said.
const GO_HOME_DAYS: &str = "planner.go_home_days";

/// The days after birth on which a law first lets a pup go. Of an age in months the longest that they can be,
/// since no day of birth is known here.
fn first_day(row: &RuleInForce) -> Option<f64> {
    let more = u32::from(row.comparison == AgeComparison::MoreThan);
    Some(f64::from(row.longest_days()?.saturating_add(more)))
}

/// The row of the law on the least age that holds in a jurisdiction.
fn least_age(jurisdiction: &str) -> Option<&'static RuleInForce> {
    let found = law::nearest(&*JURISDICTIONS, jurisdiction, |j| Some(j.code.as_str()))?;
    found.row.iter().find(|row| row.rule == ReadinessRule::MinimumAge)
}

/// The defaults of each jurisdiction whose law asks for more, made once: they are looked up at each request.
static DEFAULTS: LazyLock<HashMap<&'static str, Rules>> = LazyLock::new(|| {
    let standard = Rules::standard();
    let usual = standard.value(GO_HOME_DAYS);
    let of_law = |row: &RuleInForce| {
        let days = first_day(row).filter(|days| *days > usual)?;
        Some(standard.clone().with_law(GO_HOME_DAYS, days, &row.source, row.status))
    };
    let by_code = JURISDICTIONS
        .iter()
        .filter_map(|one| Some((one.code.as_str(), of_law(least_age(&one.code)?)?)));
    by_code.collect()
});

/// The rules in force for a kennel in a jurisdiction, with its own values: a value that this edition no longer
/// knows or allows gives way to the default, and an age of going home below the law's gives way to that.
pub fn rules_in_force(jurisdiction: &str, own: &[RuleOverride]) -> Rules {
    let code = law::nearest(&*JURISDICTIONS, jurisdiction, |j| Some(j.code.as_str()));
    let by_law = code.and_then(|found| DEFAULTS.get(found.code.as_str()));
    let defaults = by_law.cloned().unwrap_or_else(Rules::standard);
    let least = by_law.map(|rules| rules.value(GO_HOME_DAYS));
    own.iter()
        .filter(|one| one.key != GO_HOME_DAYS || least.is_none_or(|least| one.value > least))
        .fold(defaults, |rules, RuleOverride { key, value, source }| {
            rules.clone().with_override(key, *value, source).unwrap_or(rules)
        })
}
