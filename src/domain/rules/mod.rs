//! Thresholds and defaults as data: each has a value, a unit, a source and how far to trust it.
//!
//! The tables beside this file are embedded; a kennel overrides single values. Longer tables
//! (by breed, by week) are typed and read by the file that uses them.

use crate::fault::{Fault, near, quoted};
use catalogue::{Text, said};
use chrono::Duration;
use serde::{Deserialize, Serialize};
use std::{
    collections::HashMap,
    sync::{Arc, LazyLock},
};
use utoipa::ToSchema;

/// How a value was confirmed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Status {
    /// Read in the source named.
    Verified,
    /// Read on another page that quotes or reports the source.
    Secondary,
    /// Calculated from verified values.
    Derived,
    /// Not confirmed on any page read.
    FromMemory,
    /// A habit of the trade without a source.
    CommonPractice,
    /// Set by this kennel or its veterinarian.
    Kennel,
}

/// One value that advice rests on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Rule {
    /// The value, in `unit`.
    pub value: f64,
    /// Unit of `value`, e.g. `days`, `g`, `fraction`.
    pub unit: String,
    /// Where the value comes from.
    pub source: String,
    /// How it was confirmed.
    #[serde(rename = "confirmation")]
    pub status: Status,
    /// What it is used for.
    #[schema(value_type = String)]
    pub meaning: Text,
    /// Smallest value a kennel may set.
    pub min: f64,
    /// Largest value a kennel may set.
    pub max: f64,
}

impl Rule {
    /// The rule of a table by its key, with its meaning as the catalogue has it by that key.
    fn of_table(self, table: &str, name: &str) -> (String, Self) {
        let key = format!("{table}.{name}");
        let entry = key.replace('_', "-");
        let meaning = Text::keyed("rule", &entry, self.meaning.to_string());
        (key, Self { meaning, ..self })
    }
}

/// Every embedded table: its name is the first part of its rules' keys.
const TABLES: &[(&str, &str)] = &[
    ("birth_risks", include_str!("birth_risks.toml")),
    ("breeding", include_str!("breeding.toml")),
    ("breeding_values", include_str!("breeding_values.toml")),
    ("cycle", include_str!("cycle.toml")),
    ("dam_after_birth", include_str!("dam_after_birth.toml")),
    ("dating", include_str!("dating.toml")),
    ("expected_pups", include_str!("expected_pups.toml")),
    ("feeding", include_str!("feeding.toml")),
    ("go_home", include_str!("go_home.toml")),
    ("growth", include_str!("growth.toml")),
    ("mating_tests", include_str!("mating_tests.toml")),
    ("newborn", include_str!("newborn.toml")),
    ("placement", include_str!("placement.toml")),
    ("planner", include_str!("planner.toml")),
    ("preparation", include_str!("preparation.toml")),
    ("schedule", include_str!("schedule.toml")),
    ("slips", include_str!("slips.toml")),
    ("tasks", include_str!("tasks.toml")),
    ("temperature", include_str!("temperature.toml")),
    ("today", include_str!("today.toml")),
    ("whelping", include_str!("whelping.toml")),
];

/// The rules in force for a kennel, by key (`table.name`); kennels without values of their own
/// share the embedded ones. Looked up some ten thousand times for one wall screen, hence hashed.
#[derive(Debug, Clone, PartialEq)]
pub struct Rules(Arc<HashMap<String, Rule>>);

static STANDARD: LazyLock<Rules> = LazyLock::new(|| {
    let mut rules = HashMap::new();
    for (table, text) in TABLES {
        #[expect(clippy::expect_used, reason = "embedded at compile time; a test reads them all")]
        let entries: HashMap<String, Rule> = toml::from_str(text).expect("embedded rule table");
        rules.extend(entries.into_iter().map(|(name, rule)| rule.of_table(table, &name)));
    }
    Rules(Arc::new(rules))
});

impl Rules {
    /// The embedded defaults.
    pub fn standard() -> Self {
        STANDARD.clone()
    }

    /// Whether these are the same; most are by being shared.
    pub(crate) fn are(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0) || self == other
    }

    /// These rules with one value replaced by the kennel's own.
    ///
    /// # Errors
    /// What is wrong with the override, at its `key` or `value`: no such rule, or a value outside
    /// `min..=max`.
    pub fn with_override(mut self, key: &str, value: f64, source: &str) -> Result<Self, Fault> {
        if !self.0.contains_key(key) {
            return Err(Fault::new("/key", self.no_rule(key)));
        }
        let rules = Arc::make_mut(&mut self.0);
        let Some(rule) = rules.get_mut(key) else { return Ok(self) };
        if !(rule.min..=rule.max).contains(&value) {
            let (from, to, unit) = (rule.min, rule.max, unit_in_words(&rule.unit));
            let detail = said!("fault-out-of-range-rule", from = from, to = to, unit = unit);
            return Err(Fault::new("/value", detail));
        }
        rule.value = value;
        rule.source = source.to_owned();
        rule.status = Status::Kennel;
        Ok(self)
    }

    /// These rules with one value replaced by the law's, which no kennel goes below; it may lie outside of
    /// what a kennel may set. Nothing changes where there is no such rule.
    #[must_use]
    pub(crate) fn with_law(mut self, key: &str, value: f64, source: &str, status: Status) -> Self {
        if let Some(rule) = Arc::make_mut(&mut self.0).get_mut(key) {
            rule.value = value;
            rule.source = source.to_owned();
            rule.status = status;
        }
        self
    }

    /// That there is no rule of this key, and which one may be meant.
    fn no_rule(&self, key: &str) -> Text {
        let wrong = quoted(key);
        match near(key, self.iter().map(|(key, _)| key)) {
            Some(near) => said!("fault-not-found-rule-near", key = wrong, near = near),
            None => said!("fault-not-found-rule", key = wrong),
        }
    }

    /// The rule with this key, which must be in an embedded table.
    pub fn get(&self, key: &'static str) -> &Rule {
        #[expect(
            clippy::expect_used,
            reason = "keys are literals; a test looks up every one in the code"
        )]
        self.0.get(key).expect("rule key")
    }

    /// The value of the rule with this key.
    pub fn value(&self, key: &'static str) -> f64 {
        self.get(key).value
    }

    /// The span of time that a rule of minutes, hours or days sets, to the second.
    pub fn span(&self, key: &'static str) -> Duration {
        let rule = self.get(key);
        let seconds = match rule.unit.as_str() {
            "minutes" => 60.0,
            "days" => 86_400.0,
            _ => 3_600.0,
        };
        // Rounded, for 4.1 times 3600 is a little less than 14760.
        Duration::seconds((rule.value * seconds).round() as i64)
    }

    /// All rules, in the order of their keys.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Rule)> {
        let mut rules: Vec<(&str, &Rule)> =
            self.0.iter().map(|(key, rule)| (key.as_str(), rule)).collect();
        rules.sort_unstable_by_key(|(key, _)| *key);
        rules.into_iter()
    }
}

/// The unit of a rule as a sentence has it: the table's own word is its key.
fn unit_in_words(unit: &str) -> Text {
    let key: String =
        unit.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect();
    Text::keyed("rule-unit", &key.to_ascii_lowercase(), unit)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault::FaultCode;
    use catalogue::{Language, speaking};

    #[test]
    fn a_rule_that_is_not_there_is_told_with_the_one_that_is_near() {
        let refused = |key: &str| Rules::standard().with_override(key, 1.0, "us").unwrap_err();
        let near = refused("growth.early_los");
        assert_eq!((near.pointer.as_str(), near.code), ("/key", FaultCode::NotFound));
        let words = "there is no rule \"growth.early_los\"; did you mean growth.early_loss?";
        assert_eq!(near.detail, words);
        assert_eq!(refused("moon").detail, "there is no rule \"moon\"");
    }

    #[test]
    fn a_value_beyond_the_range_is_told_with_it() {
        let rules = Rules::standard();
        let rule = rules.get("whelping.gap_hours").clone();
        let refused = rules.with_override("whelping.gap_hours", rule.max + 0.1, "us").unwrap_err();
        assert_eq!((refused.pointer.as_str(), refused.code), ("/value", FaultCode::OutOfRange));
        let range = format!("must be from {} to {} hours", rule.min, rule.max);
        assert_eq!(refused.detail, range.as_str());
        speaking(Language::German, || {
            assert!(refused.detail.contains("Stunden"), "{}", refused.detail);
        });
    }
}
