//! Which rules hold for a kennel: its jurisdiction's, the strict defaults, and its own on top.

use crate::{
    fault::{Fault, Faults},
    record::words::words,
    rules::Status,
};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use utoipa::ToSchema;

const TABLE: &str = include_str!("../rules/readiness.toml");
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
    }
}

impl ReadinessRule {
    /// The rule in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::MinimumAge => "the least age",
            Self::WeightReached => "the least weight",
            Self::Gaining => "gaining weight",
            Self::Weaned => "weaning",
            Self::Worming => "worming",
            Self::Vaccination => "vaccination",
            Self::Microchip => "the chip",
            Self::Examination => "the veterinary examination",
            Self::Paperwork => "the papers",
            Self::BalancePaid => "the balance",
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
    #[schema(example = "knowledge certificate, signed by the buyer")]
    pub name: String,
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
    #[schema(example = "licensed breeders")]
    pub scope: String,
    /// Where it comes from.
    #[schema(example = "9 CFR 2.130")]
    pub source: String,
    /// How it was confirmed.
    pub status: Status,
    /// When the law was last read.
    #[serde(default)]
    pub checked_on: Option<NaiveDate>,
    /// What else to know.
    #[serde(default)]
    pub note: Option<String>,
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
    #[schema(example = "England")]
    pub name: Option<String>,
    /// The rules.
    pub rules: Vec<RuleInForce>,
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
struct ReadinessFile {
    checked_on: NaiveDate,
    generic: Vec<RuleInForce>,
    jurisdiction: Vec<Jurisdiction>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Jurisdiction {
    code: String,
    name: String,
    row: Vec<RuleInForce>,
}

static FILE: LazyLock<ReadinessFile> = LazyLock::new(|| {
    #[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
    let mut file: ReadinessFile = toml::from_str(TABLE).expect("embedded readiness rules");
    for row in file.jurisdiction.iter_mut().flat_map(|jurisdiction| &mut jurisdiction.row) {
        row.checked_on = Some(file.checked_on);
    }
    file
});

/// The jurisdictions with rows of their own: code and name.
pub fn listed_jurisdictions() -> Vec<(String, String)> {
    FILE.jurisdiction.iter().map(|j| (j.code.clone(), j.name.clone())).collect()
}

/// The rows of a jurisdiction, of its country when it has none, else `None`.
fn find(code: &str) -> Option<&'static Jurisdiction> {
    let exact = |code: &str| FILE.jurisdiction.iter().find(|j| j.code.eq_ignore_ascii_case(code));
    exact(code.trim()).or_else(|| exact(code.trim().split('-').next().unwrap_or_default()))
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
    /// a country (`DE-BY`) without rows takes the country's. See `rules/readiness.toml` for every
    /// row, its scope, source and status. Local law decides.
    ///
    /// # Errors
    /// Every fault of `kennel`: an age below the law's, a rule left out that the law asks for, a
    /// weight that is none.
    pub fn for_kennel(
        jurisdiction: &str,
        kennel: &KennelReadinessRules,
    ) -> Result<Self, Vec<Fault>> {
        let found = find(jurisdiction);
        let legal: &[RuleInForce] = found.map_or(&[], |j| &j.row);
        kennel.check(legal)?;
        let of_law = |rule| legal.iter().find(|row| row.rule == rule);
        let mut rules: Vec<RuleInForce> = FILE
            .generic
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
            let legal_days = legal.iter().find_map(|row| row.minimum_age_days);
            faults.unless(weeks <= MAX_AGE_WEEKS, "/minimum_age_weeks", || {
                format!("must be at most {MAX_AGE_WEEKS} weeks")
            });
            faults.unless(
                weeks.saturating_mul(7) >= legal_days.unwrap_or_default(),
                "/minimum_age_weeks",
                || "is below the least age of the kennel's jurisdiction".into(),
            );
        }
        if let Some(weight_g) = self.minimum_weight_g {
            faults.unless((1.0..=100_000.0).contains(&weight_g), "/minimum_weight_g", || {
                "must be from 1 to 100000 g".into()
            });
        }
        for (index, paper) in self.papers.iter().enumerate() {
            let named = !paper.paper.trim().is_empty() && !paper.name.trim().is_empty();
            faults.unless(named && paper.days_before <= 365, &format!("/papers/{index}"), || {
                "needs a paper, a name and days_before of at most 365".into()
            });
        }
        for (index, rule) in self.left_out.iter().enumerate() {
            let by_law = legal.iter().any(|row| row.rule == *rule);
            let age = *rule == ReadinessRule::MinimumAge;
            faults.unless(!by_law && !age, &format!("/left_out/{index}"), || {
                "is asked for by law; an owner may set it aside for one pup, with a reason".into()
            });
        }
        faults.into_result()
    }

    fn add_to(&self, rules: &mut Vec<RuleInForce>) {
        let own = |rule| RuleInForce {
            rule,
            minimum_age_days: None,
            comparison: AgeComparison::AtLeast,
            minimum_weight_g: None,
            papers: Vec::new(),
            scope: "this kennel".into(),
            source: "set by the kennel".into(),
            status: Status::Kennel,
            checked_on: None,
            note: None,
        };
        if let Some(days) = self.minimum_age_weeks.map(|weeks| weeks.saturating_mul(7)) {
            for row in rules.iter_mut().filter(|row| row.rule == ReadinessRule::MinimumAge) {
                // For a jurisdiction without a row, the kennel's own age stands in the default's
                // place: a lower one is its word against no law listed.
                if row.minimum_age_days.is_none_or(|least| days > least) || row.checked_on.is_none()
                {
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
