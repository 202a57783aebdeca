//! Which rules hold for a kennel: its jurisdiction's, the strict defaults, and its own on top.

use crate::{
    fault::{Fault, Faults},
    law,
    record::words::words,
    rules::Status,
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use utoipa::ToSchema;

const DEFAULTS: &str = include_str!("../rules/readiness.toml");
/// What laws ask, a file a part of the world.
const LAWS: &[&str] = &[
    include_str!("../rules/go_home_law/british_isles.toml"),
    include_str!("../rules/go_home_law/western_europe.toml"),
    include_str!("../rules/go_home_law/nordic.toml"),
    include_str!("../rules/go_home_law/southern_and_eastern_europe.toml"),
    include_str!("../rules/go_home_law/united_states.toml"),
    include_str!("../rules/go_home_law/overseas.toml"),
];
/// Days of a month at most: an age in weeks reaches one in months for sure.
const LONGEST_MONTH_DAYS: u32 = 31;
/// Oldest least age a kennel may set for itself, in weeks: a year.
const MAX_AGE_WEEKS: u32 = 52;

words! {
    /// What must hold before a pup leaves.
    ReadinessRule {
        /// It has the least age.
        MinimumAge = "minimum_age",
        /// It has the least weight that the kennel has set.
        WeightReached = "weight_reached",
        /// It is gaining weight.
        Gaining = "gaining",
        /// It is weaned.
        Weaned = "weaned",
        /// It is wormed as planned.
        Worming = "worming",
        /// It is vaccinated as planned.
        Vaccination = "vaccination",
        /// It carries a chip.
        Microchip = "microchip",
        /// A veterinarian has seen it.
        Examination = "examination",
        /// The papers are there.
        Paperwork = "paperwork",
        /// Nothing is owed.
        BalancePaid = "balance_paid",
        /// The border that it goes over lets it in.
        Border = "border",
    }
}

impl ReadinessRule {
    /// The rule in words.
    pub fn words(self) -> Text {
        match self {
            Self::MinimumAge => said!("readiness-rule-minimum-age"),
            Self::WeightReached => said!("readiness-rule-weight-reached"),
            Self::Gaining => said!("readiness-rule-gaining"),
            Self::Weaned => said!("readiness-rule-weaned"),
            Self::Worming => said!("readiness-rule-worming"),
            Self::Vaccination => said!("readiness-rule-vaccination"),
            Self::Microchip => said!("readiness-rule-microchip"),
            Self::Examination => said!("readiness-rule-examination"),
            Self::Paperwork => said!("readiness-rule-paperwork"),
            Self::BalancePaid => said!("readiness-rule-balance-paid"),
            Self::Border => said!("readiness-rule-border"),
        }
    }
}

/// How an age compares to the least one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum AgeComparison {
    /// The day on which the age is completed is the first day.
    #[default]
    AtLeast,
    /// "Older than": the day after is the first day.
    MoreThan,
}

/// A paper that must be there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RequiredPaper {
    /// Name for machines.
    #[schema(example = "knowledge_certificate")]
    pub paper: String,
    /// Name for people.
    #[schema(value_type = String, example = "knowledge certificate, signed by the buyer")]
    pub name: Text,
    /// How many days it must be there before the pup leaves.
    #[serde(default)]
    #[schema(example = 7)]
    pub days_before: u32,
}

/// One rule in force, with for whom it is written and where it comes from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RuleInForce {
    /// The rule.
    pub rule: ReadinessRule,
    /// Least age in days, for `minimum_age`.
    #[serde(default)]
    #[schema(example = 56)]
    pub minimum_age_days: Option<u32>,
    /// The same, where it is told in months.
    #[serde(default)]
    #[schema(example = 2)]
    pub minimum_age_months: Option<u32>,
    /// How the age compares to it.
    #[serde(default)]
    pub comparison: AgeComparison,
    /// Least weight, for `weight_reached`.
    #[serde(default)]
    #[schema(example = 2500.0)]
    pub minimum_weight_g: Option<f64>,
    /// The papers, for `paperwork`.
    #[serde(default)]
    pub papers: Vec<RequiredPaper>,
    /// For whom it is written.
    #[schema(value_type = String, example = "licensed breeders")]
    pub scope: Text,
    /// Where it comes from.
    #[schema(example = "9 CFR 2.130")]
    pub source: String,
    /// How it was confirmed.
    #[serde(rename = "confirmation")]
    pub status: Status,
    /// When the law was last read.
    #[serde(default)]
    pub checked_on: Option<NaiveDate>,
    /// What else to know.
    #[serde(default)]
    #[schema(value_type = Option<String>)]
    pub note: Option<Text>,
}

impl RuleInForce {
    /// The row as its table has it, its note by where it holds, what many rows share by its words.
    fn of_table(mut self, code: &str) -> Self {
        let rule = entry(self.rule.as_str());
        self.scope = shared("go-home-scope", &self.scope);
        self.note = self
            .note
            .map(|note| Text::keyed("go-home-note", &format!("{code}-{rule}"), note.to_string()));
        for paper in &mut self.papers {
            paper.name = shared("go-home-paper", &paper.name);
        }
        self
    }

    /// The least age in days, at its longest.
    pub(super) fn longest_days(&self) -> Option<u32> {
        let of_months = |months: u32| months.saturating_mul(LONGEST_MONTH_DAYS);
        self.minimum_age_days.or(self.minimum_age_months.map(of_months))
    }
}

/// A text that stands in many rows of the tables, and is kept by its own words.
fn shared(group: &'static str, english: &Text) -> Text {
    let english = english.to_string();
    Text::keyed(group, &entry(&english), english)
}

/// English words as a key of the catalogue.
fn entry(english: &str) -> String {
    let words = english.split(|c: char| !c.is_ascii_alphanumeric());
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    words.join("-").to_lowercase()
}

/// What is not known of a jurisdiction's law.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct LawGaps {
    /// Looked for on `looked_on` and not found.
    pub nothing_found: Vec<ReadinessRule>,
    /// Not looked for.
    pub not_looked_for: Vec<ReadinessRule>,
    /// When the law was looked for.
    pub looked_on: NaiveDate,
    /// What is known of it all the same.
    pub about: Option<Text>,
}

/// The rules in force for a kennel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ReadinessRuleSet {
    /// Code of the kennel's jurisdiction, as it was asked for.
    #[schema(example = "GB-ENG")]
    pub jurisdiction: String,
    /// Code of the jurisdiction whose rows hold; `null` when none is listed and the strict defaults
    /// hold alone.
    #[schema(example = "GB-ENG")]
    pub matched: Option<String>,
    /// Its name.
    #[schema(value_type = Option<String>, example = "England")]
    pub name: Option<Text>,
    /// The rules.
    pub rules: Vec<RuleInForce>,
    #[serde(skip)]
    #[schema(ignore)]
    pub(super) gaps: Option<LawGaps>,
}

/// What a kennel sets for itself, on top of its jurisdiction.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub struct KennelReadinessRules {
    /// Least age in completed weeks; the law's when higher.
    #[schema(example = 9)]
    pub minimum_age_weeks: Option<u32>,
    /// Least weight.
    #[schema(example = 2500.0)]
    pub minimum_weight_g: Option<f64>,
    /// Papers beside those the jurisdiction asks for.
    pub papers: Vec<RequiredPaper>,
    /// Rules that this kennel does not follow; not those its jurisdiction asks for.
    pub left_out: Vec<ReadinessRule>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Defaults {
    generic: Vec<RuleInForce>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Laws {
    jurisdiction: Vec<Jurisdiction>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Jurisdiction {
    pub(super) code: String,
    name: Text,
    looked_on: NaiveDate,
    #[serde(default)]
    nothing_found: Vec<ReadinessRule>,
    #[serde(default)]
    not_looked_for: Vec<ReadinessRule>,
    #[serde(default)]
    about: Option<Text>,
    #[serde(default)]
    pub(super) row: Vec<RuleInForce>,
}

impl Jurisdiction {
    /// The jurisdiction as its table has it, with each of its texts by its key there.
    fn of_table(mut self) -> Self {
        let code = self.code.to_lowercase();
        self.name = Text::keyed("go-home-jurisdiction", &code, self.name.to_string());
        self.about = self.about.map(|about| Text::keyed("go-home-about", &code, about.to_string()));
        self.row = self.row.into_iter().map(|row| row.of_table(&code)).collect();
        self
    }

    fn gaps(&self) -> LawGaps {
        LawGaps {
            nothing_found: self.nothing_found.clone(),
            not_looked_for: self.not_looked_for.clone(),
            looked_on: self.looked_on,
            about: self.about.clone(),
        }
    }
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static GENERIC: LazyLock<Vec<RuleInForce>> = LazyLock::new(|| {
    let rows = toml::from_str::<Defaults>(DEFAULTS).expect("embedded readiness defaults").generic;
    rows.into_iter().map(|row| row.of_table("default")).collect()
});

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads them all")]
pub(super) static JURISDICTIONS: LazyLock<Vec<Jurisdiction>> = LazyLock::new(|| {
    let read = |text: &&str| toml::from_str::<Laws>(text).expect("embedded laws").jurisdiction;
    LAWS.iter().flat_map(read).map(Jurisdiction::of_table).collect()
});

/// The jurisdictions with rows of their own: code and name.
#[cfg(test)]
pub(crate) fn listed_jurisdictions() -> Vec<(String, Text)> {
    JURISDICTIONS.iter().map(|j| (j.code.clone(), j.name.clone())).collect()
}

impl ReadinessRuleSet {
    /// Names of all papers that are asked for.
    pub fn papers(&self) -> Vec<&str> {
        self.rules.iter().flat_map(|row| &row.papers).map(|paper| paper.paper.as_str()).collect()
    }

    /// The rules in force for a kennel.
    ///
    /// The strict defaults hold for every jurisdiction; a jurisdiction's row stands in the place of
    /// the default of the same rule; the kennel adds to both and cannot go below the law. A part of
    /// a country (`DE-BY`) without rows takes the country's. See `rules/go_home_law` for every
    /// row, its scope, source and status. Local law decides.
    ///
    /// # Errors
    /// Every fault of `kennel`: an age below the law's, a rule left out that the law asks for, a
    /// weight that is none.
    pub fn for_kennel(
        jurisdiction: &str,
        kennel: &KennelReadinessRules,
    ) -> Result<Self, Vec<Fault>> {
        let found = law::nearest(&*JURISDICTIONS, jurisdiction, |j| Some(j.code.as_str()));
        let legal: &[RuleInForce] = found.map_or(&[], |j| &j.row);
        kennel.check(legal)?;
        let of_law = |rule| legal.iter().find(|row| row.rule == rule);
        let mut rules: Vec<RuleInForce> = GENERIC
            .iter()
            .filter(|row| !kennel.left_out.contains(&row.rule))
            .map(|row| of_law(row.rule).unwrap_or(row).clone())
            .collect();
        kennel.add_to(&mut rules);
        rules.sort_by_key(|row| row.rule);
        Ok(Self {
            jurisdiction: jurisdiction.to_owned(),
            matched: found.map(|j| j.code.clone()),
            name: found.map(|j| j.name.clone()),
            rules,
            gaps: found.map(Jurisdiction::gaps),
        })
    }

    /// The rule, when it is in force.
    pub fn get(&self, rule: ReadinessRule) -> Option<&RuleInForce> {
        self.rules.iter().find(|row| row.rule == rule)
    }
}

impl KennelReadinessRules {
    fn check(&self, legal: &[RuleInForce]) -> Result<(), Vec<Fault>> {
        let mut faults = Faults::new();
        if let Some(weeks) = self.minimum_age_weeks {
            let legal_days = legal.iter().find_map(RuleInForce::longest_days);
            faults.unless(weeks <= MAX_AGE_WEEKS, "/minimum_age_weeks", || {
                said!("fault-out-of-range-kennel-age", most_weeks = MAX_AGE_WEEKS)
            });
            faults.unless(
                weeks.saturating_mul(7) >= legal_days.unwrap_or_default(),
                "/minimum_age_weeks",
                || said!("fault-by-law-kennel-age"),
            );
        }
        if let Some(weight_g) = self.minimum_weight_g {
            faults.unless((1.0..=100_000.0).contains(&weight_g), "/minimum_weight_g", || {
                said!("fault-out-of-range-kennel-weight")
            });
        }
        for (index, paper) in self.papers.iter().enumerate() {
            let named = !paper.paper.trim().is_empty() && !paper.name.to_string().trim().is_empty();
            faults.unless(named && paper.days_before <= 365, &format!("/papers/{index}"), || {
                said!("fault-missing-kennel-paper")
            });
        }
        for (index, rule) in self.left_out.iter().enumerate() {
            let by_law = legal.iter().any(|row| row.rule == *rule);
            let always = matches!(rule, ReadinessRule::MinimumAge | ReadinessRule::Border);
            faults.unless(!by_law && !always, &format!("/left_out/{index}"), || {
                said!("fault-by-law-left-out")
            });
        }
        faults.into_result()
    }

    fn add_to(&self, rules: &mut Vec<RuleInForce>) {
        let own = |rule| RuleInForce {
            rule,
            minimum_age_days: None,
            minimum_age_months: None,
            comparison: AgeComparison::AtLeast,
            minimum_weight_g: None,
            papers: Vec::new(),
            scope: said!("readiness-scope-kennel"),
            source: "set by the kennel".into(),
            status: Status::Kennel,
            checked_on: None,
            note: None,
        };
        if let Some(days) = self.minimum_age_weeks.map(|weeks| weeks.saturating_mul(7)) {
            for row in rules.iter_mut().filter(|row| row.rule == ReadinessRule::MinimumAge) {
                // For a jurisdiction without a row, the kennel's own age stands in the default's
                // place: a lower one is its word against no law listed.
                if row.longest_days().is_none_or(|least| days > least) || row.checked_on.is_none() {
                    *row = RuleInForce { minimum_age_days: Some(days), ..own(row.rule) };
                }
            }
        }
        if let Some(weight_g) = self.minimum_weight_g {
            let row = own(ReadinessRule::WeightReached);
            rules.push(RuleInForce { minimum_weight_g: Some(weight_g), ..row });
        }
        if self.papers.is_empty() {
            return;
        }
        match rules.iter_mut().find(|row| row.rule == ReadinessRule::Paperwork) {
            Some(row) => row.papers.extend(self.papers.iter().cloned()),
            None => rules
                .push(RuleInForce { papers: self.papers.clone(), ..own(ReadinessRule::Paperwork) }),
        }
    }
}
