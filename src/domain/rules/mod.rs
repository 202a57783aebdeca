//! Thresholds and defaults as data: each has a value, a unit, a source and how far to trust it.
//!
//! The tables beside this file are embedded; a kennel overrides single values. Longer tables
//! (by breed, by week) are typed and read by the file that uses them.

use crate::fault::quoted;
use chrono::Duration;
use serde::{Deserialize, Serialize};
use std::{
    collections::BTreeMap,
    sync::{Arc, LazyLock},
};
use utoipa::ToSchema;

/// How a value was confirmed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Status {
    /// Read in the source named.
    Verified,
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
    pub status: Status,
    /// What it is used for.
    pub meaning: String,
    /// Smallest value a kennel may set.
    pub min: f64,
    /// Largest value a kennel may set.
    pub max: f64,
}

/// Every embedded table: its name is the first part of its rules' keys.
const TABLES: &[(&str, &str)] = &[
    ("breeding", include_str!("breeding.toml")),
    ("cycle", include_str!("cycle.toml")),
    ("dam_after_birth", include_str!("dam_after_birth.toml")),
    ("dating", include_str!("dating.toml")),
    ("expected_pups", include_str!("expected_pups.toml")),
    ("feeding", include_str!("feeding.toml")),
    ("go_home", include_str!("go_home.toml")),
    ("growth", include_str!("growth.toml")),
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
/// share the embedded ones.
#[derive(Debug, Clone, PartialEq)]
pub struct Rules(Arc<BTreeMap<String, Rule>>);

static STANDARD: LazyLock<Rules> = LazyLock::new(|| {
    let mut rules = BTreeMap::new();
    for (table, text) in TABLES {
        #[expect(clippy::expect_used, reason = "embedded at compile time; a test reads them all")]
        let entries: BTreeMap<String, Rule> = toml::from_str(text).expect("embedded rule table");
        rules.extend(entries.into_iter().map(|(name, rule)| (format!("{table}.{name}"), rule)));
    }
    Rules(Arc::new(rules))
});

impl Rules {
    /// The embedded defaults.
    pub fn standard() -> Self {
        STANDARD.clone()
    }

    /// These rules with one value replaced by the kennel's own.
    ///
    /// # Errors
    /// What is wrong with the override: no such rule, or a value outside `min..=max`.
    pub fn with_override(mut self, key: &str, value: f64, source: &str) -> Result<Self, String> {
        let rules = Arc::make_mut(&mut self.0);
        let rule = rules.get_mut(key).ok_or_else(|| format!("there is no rule {}", quoted(key)))?;
        if !(rule.min..=rule.max).contains(&value) {
            return Err(format!("must be from {} to {} {}", rule.min, rule.max, rule.unit));
        }
        rule.value = value;
        rule.source = source.to_owned();
        rule.status = Status::Kennel;
        Ok(self)
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

    /// All rules, by key.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Rule)> {
        self.0.iter().map(|(key, rule)| (key.as_str(), rule))
    }
}
