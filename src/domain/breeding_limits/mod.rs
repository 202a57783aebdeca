//! May this dam or sire be mated, by the limits of a body of rules?
//!
//! The sets are data (`rules/breeding_limits.toml`), each row with its source and how far it was
//! confirmed. They are examples to choose from: local law and the registry's current text decide.

mod check;
mod law_told;
#[cfg(test)]
mod limits_tests;
#[cfg(test)]
mod tests;

use catalogue::Text;
pub(crate) use check::{check_dam, check_sire};
pub use law_told::{law_cautions, law_line};

use crate::{law, partial_date::PartialDate, rules::Status};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use utoipa::ToSchema;

/// What a limit is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum LimitKind {
    /// Least age of the dam at mating, months.
    DamMinAgeAtMating,
    /// Greatest age of the dam at mating, months.
    DamMaxAgeAtMating,
    /// Age that the dam may not have reached at mating, months.
    DamUnderAgeAtMating,
    /// Age that the dam may not have reached at whelping, months.
    DamMaxAgeAtWhelping,
    /// Most litters of a dam in her life.
    DamMaxLitters,
    /// Most litters of a dam in any `window_months`.
    DamMaxLittersInWindow,
    /// Most litters of a dam in one calendar year.
    DamMaxLittersPerCalendarYear,
    /// Least time from one whelping to the next, months.
    DamMinLitterInterval,
    /// Rest after two litters within `window_months`, months.
    DamRestAfterTwoLitters,
    /// Most litters born by caesarean before a further mating.
    DamMaxCaesareans,
    /// Most males in one heat.
    DamOneSirePerHeat,
    /// Least age of the sire at mating, months.
    SireMinAgeAtMating,
    /// Greatest age of the sire at mating, months.
    SireMaxAgeAtMating,
    /// No mating of parent with offspring or of full sibs.
    NoParentOffspringOrFullSib,
}

/// One limit of a [`RuleSet`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BreedingLimit {
    /// What it is about.
    pub kind: LimitKind,
    /// The limit, in `unit`.
    #[schema(example = 18)]
    pub value: u32,
    /// Unit of `value`.
    #[schema(example = "months")]
    pub unit: String,
    /// Length of the window that litters are counted in, months.
    pub window_months: Option<u32>,
    /// Where it is written.
    #[schema(example = "Sweden, SJVFS 2020:8 ch. 6 s. 5")]
    pub source: String,
    /// How it was confirmed.
    #[serde(rename = "confirmation")]
    pub status: Status,
    /// When it was last compared with its source.
    pub checked_on: NaiveDate,
}

/// The limits of one body or jurisdiction.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = BreedingRuleSet)]
pub struct RuleSet {
    /// Stable name, as a kennel chooses it.
    #[schema(example = "sweden_2020")]
    pub name: String,
    /// Whose law it is; null for a body or a club.
    #[schema(example = "GB-SCT")]
    pub jurisdiction: Option<String>,
    /// Body, law or club.
    #[schema(value_type = String)]
    pub title: Text,
    /// Whom it binds.
    #[schema(value_type = String)]
    pub scope: Text,
    /// Its limits.
    #[serde(alias = "limit")]
    pub limits: Vec<BreedingLimit>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    note: Text,
    expected_gestation: Gestation,
    #[serde(rename = "rule_set")]
    rule_sets: Vec<RuleSet>,
    nothing_found: Vec<NothingFound>,
}

/// A jurisdiction whose limits were looked for and not found, or not their figures.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct NothingFound {
    jurisdiction: String,
    name: Text,
    looked_on: NaiveDate,
    looked_at: Text,
}

#[derive(Debug, Deserialize)]
struct Gestation {
    value: u64,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| {
    #[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
    let table: Table =
        toml::from_str(include_str!("../rules/breeding_limits.toml")).expect("embedded limits");
    table.keyed()
});

impl Table {
    /// The same with each text under its key, so that it can be said in another language.
    fn keyed(mut self) -> Self {
        let keyed = |group, key: &str, text: &mut Text| {
            *text = Text::keyed(group, key, text.to_string());
        };
        keyed("breeding-limits", "note", &mut self.note);
        for set in &mut self.rule_sets {
            keyed("rule-set-title", &set.name, &mut set.title);
            keyed("rule-set-scope", &set.name, &mut set.scope);
        }
        for law in &mut self.nothing_found {
            keyed("law-of", &law.jurisdiction, &mut law.name);
            keyed("law-looked-at", &law.jurisdiction, &mut law.looked_at);
        }
        self
    }
}

impl RuleSet {
    /// The set with this name, if there is one; `careful` holds the defaults.
    pub fn named(name: &str) -> Option<&'static Self> {
        TABLE.rule_sets.iter().find(|set| set.name == name)
    }

    /// Every set on file.
    pub fn all() -> &'static [Self] {
        &TABLE.rule_sets
    }

    /// The set of a jurisdiction's law, or of its country's.
    pub(crate) fn of_law(jurisdiction: &str) -> Option<&'static Self> {
        law::nearest(&TABLE.rule_sets, jurisdiction, |set| set.jurisdiction.as_deref())
    }

    /// The line that stands beside every set: local law decides.
    pub fn note() -> Text {
        TABLE.note.clone()
    }
}

/// A litter that a dam has had.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct PastWhelping {
    /// When it was born, as precisely as known.
    pub whelped_on: PartialDate,
    /// Whether it was born by caesarean; `null` when not recorded.
    pub caesarean: Option<bool>,
}

/// What is known of a dam for the limits.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct DamHistory {
    /// Birth date.
    pub born_on: Option<PartialDate>,
    /// Litters on record, in any order.
    pub whelpings: Vec<PastWhelping>,
    /// Whether `whelpings` is known to hold all her litters.
    pub complete: bool,
    /// Other males she was mated to in this heat; `None` when not recorded.
    pub other_sires_this_heat: Option<u32>,
    /// Whether the male meant is her parent, offspring or full sib; `None` when no male is meant.
    pub parent_offspring_or_full_sib: Option<bool>,
}

/// What is known of a sire for the limits.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct SireHistory {
    /// Birth date.
    pub born_on: Option<PartialDate>,
}

/// Whether a limit is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum LimitResult {
    /// Kept.
    Met,
    /// Broken.
    Unmet,
    /// Not decided by what is on record.
    Unknown,
}

/// One limit, held against one dog.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct LimitFinding {
    /// The limit's kind.
    pub rule: LimitKind,
    /// Whether it is kept.
    pub result: LimitResult,
    /// The figures behind it.
    #[schema(value_type = String, example = "14 months old on 2026-03-01; at least 18 months")]
    pub detail: Text,
    /// Where the limit is written.
    pub source: String,
    /// How the limit was confirmed.
    #[serde(rename = "confirmation")]
    pub status: Status,
    /// When the limit was last compared with its source.
    pub checked_on: NaiveDate,
}

/// Sex of a dog that is considered for breeding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum BreedingSex {
    /// A dam, or one to be.
    Female,
    /// A sire, or one to be.
    Male,
}
