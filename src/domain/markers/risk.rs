//! How often, or how much more often, dogs of a genotype fall ill: ranges as they were published.

use super::catalogue::Genotype;
use crate::{record::words::words, rules::Status};
use catalogue::{Text, figure, said};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

words! {
    /// Of which genotypes a risk is told.
    RiskCopies {
        /// One copy of two.
        One = "one",
        /// Two copies.
        Two = "two",
        /// One copy or two.
        OneOrTwo = "one_or_two",
    }
}

words! {
    /// What a risk is a figure of.
    RiskMeasure {
        /// The share that falls ill at some time of its life (0-1).
        Share = "share",
        /// How many times the risk of a dog without a copy.
        RelativeRisk = "relative_risk",
    }
}

/// A published risk of a genotype, as a range.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MarkerRisk {
    /// Whose risk it is; a male's one X counts as two copies, since nothing stands beside it.
    pub copies: RiskCopies,
    /// What the figures are of.
    pub measure: RiskMeasure,
    /// Least figure published; null where none was found.
    #[serde(default)]
    #[schema(example = 5.5)]
    pub low: Option<f64>,
    /// Greatest figure published; null where none was found.
    #[serde(default)]
    #[schema(example = 15.1)]
    pub high: Option<f64>,
    /// Of what, and in which dogs.
    #[schema(value_type = String, example = "surgery for a slipped disc")]
    pub outcome: Text,
    /// Where the figures come from, and when that was read.
    pub source: String,
    /// How it was confirmed.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

impl MarkerRisk {
    /// Whether the risk is one of a dog with so many copies of variants that do something.
    pub(super) fn is_of(&self, copies: usize, genotype: Genotype) -> bool {
        let copies = if genotype.1.is_none() { 2 * copies } else { copies };
        match self.copies {
            RiskCopies::One => copies == 1,
            RiskCopies::Two => copies == 2,
            RiskCopies::OneOrTwo => copies > 0,
        }
    }

    /// The risk in a sentence, with its range.
    pub fn says(&self) -> Text {
        let outcome = &self.outcome;
        let copies = match self.copies {
            RiskCopies::One => said!("marker-risk-copies-one"),
            RiskCopies::Two => said!("marker-risk-copies-two"),
            RiskCopies::OneOrTwo => said!("marker-risk-copies-any"),
        };
        match (self.measure, self.low.zip(self.high)) {
            (RiskMeasure::Share, Some((low, high))) => said!(
                "marker-risk-share",
                copies = copies,
                outcome = outcome,
                low = figure(100.0 * low, 0),
                high = figure(100.0 * high, 0)
            ),
            (RiskMeasure::RelativeRisk, Some((low, high))) => said!(
                "marker-risk-relative",
                copies = copies,
                outcome = outcome,
                low = figure(low, 1),
                high = figure(high, 1)
            ),
            (_, None) => said!("marker-risk-unknown", copies = copies, outcome = outcome),
        }
    }

    /// The same with its outcome under a key, so that it can be said in another language.
    pub(super) fn keyed(mut self, marker: &str, number: usize) -> Self {
        let key = format!("{marker}-{number}");
        self.outcome = Text::keyed("marker-risk-of", &key, self.outcome.to_string());
        self
    }
}
