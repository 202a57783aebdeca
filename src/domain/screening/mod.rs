//! What hips, elbows, knees, hearts and eyes were found to be, by the scheme that graded them.
//!
//! Schemes are data (`rules/screening.toml`): results from best to worst, how two sides make one, and what a result
//! counts as where dogs are compared.

mod relatives;
#[cfg(test)]
mod tests;

pub use relatives::{
    GradeCount, Relation, RelativeResult, RelativesScreened, SchemeCounts, ScreenedFamily,
    ScreenedKin,
};

use crate::{
    fault::{Faults, quoted},
    record::{ScreeningResult, words::words},
    rules::Status,
};
use catalogue::{Text, said};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use utoipa::ToSchema;

words! {
    /// What is screened.
    ScreenedTrait {
        /// How well the hips fit, legs stretched.
        Hips = "hips",
        /// How loose the hips are when drawn apart.
        HipLaxity = "hip_laxity",
        /// The elbows.
        Elbows = "elbows",
        /// The knee caps.
        Patella = "patella",
        /// The heart.
        Heart = "heart",
        /// The eyes.
        Eyes = "eyes",
    }
}

words! {
    /// How the result of a dog follows from those of its two sides.
    OverallResult {
        /// The worse side's.
        Worse = "worse",
        /// Both together.
        Sum = "sum",
        /// There are no sides.
        Whole = "whole",
    }
}

/// A result that a scheme gives, best ones first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SchemeGrade {
    /// As it is written.
    #[schema(example = "A1")]
    pub grade: String,
    /// What it counts as where dogs are compared, more is worse; null where it is only counted.
    #[serde(default)]
    pub value: Option<f64>,
}

/// The figures that a scheme gives instead of grades.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SchemeNumber {
    /// Least of a side.
    pub least_side: f64,
    /// Greatest of a side.
    pub most_side: f64,
    /// Least of the dog.
    pub least: f64,
    /// Greatest of the dog.
    pub most: f64,
    /// Decimals at most.
    pub decimals: u32,
}

/// A scheme of screening.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ScreeningScheme {
    /// Stable key.
    #[schema(example = "fci_hips")]
    pub key: String,
    /// What it screens.
    #[serde(rename = "trait")]
    pub screened: ScreenedTrait,
    /// Its name.
    #[schema(value_type = String, example = "FCI hip grade")]
    pub name: Text,
    /// How the dog's result follows from its sides'.
    #[serde(default = "whole")]
    pub overall: OverallResult,
    /// Results from best to worst; empty where it gives figures.
    #[serde(default)]
    pub grades: Vec<SchemeGrade>,
    /// The figures it gives instead.
    #[serde(default)]
    pub number: Option<SchemeNumber>,
    /// Whether a result is one of a named condition, such as one disease of the eyes.
    #[serde(default)]
    pub names_condition: bool,
    /// Whether figures are compared by the logarithm of one more.
    #[serde(default)]
    pub by_logarithm: bool,
    /// Whether dogs are compared by the mean of both sides, where both are known.
    #[serde(default)]
    pub by_mean_of_sides: bool,
    /// Age in months from which on a result counts where dogs are compared.
    #[serde(default)]
    pub least_age_months: Option<u32>,
    /// Standard deviation of what results count as, among dogs that are screened; null where dogs are not compared.
    #[serde(default)]
    pub spread: Option<f64>,
    /// Where the spread comes from.
    #[serde(default)]
    pub spread_source: Option<String>,
    /// Where the row comes from.
    pub source: String,
    /// How the row was confirmed.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

fn whole() -> OverallResult {
    OverallResult::Whole
}

#[derive(Debug, Deserialize)]
struct Table {
    scheme: Vec<ScreeningScheme>,
}

static SCHEMES: LazyLock<Vec<ScreeningScheme>> = LazyLock::new(|| {
    #[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
    let table: Table =
        toml::from_str(include_str!("../rules/screening.toml")).expect("embedded schemes");
    let keyed = |scheme: ScreeningScheme| {
        let name = Text::keyed("screening-scheme", &scheme.key, scheme.name.to_string());
        ScreeningScheme { name, ..scheme }
    };
    table.scheme.into_iter().map(keyed).collect()
});

/// Rounding within which two sums of results are the same.
const SAME: f64 = 1e-9;

impl ScreeningScheme {
    /// All schemes.
    pub fn all() -> &'static [Self] {
        &SCHEMES
    }

    /// Keys of the schemes that screen a trait.
    pub fn of_trait(screened: ScreenedTrait) -> Vec<&'static str> {
        let of = SCHEMES.iter().filter(|scheme| scheme.screened == screened);
        of.map(|scheme| scheme.key.as_str()).collect()
    }

    /// The scheme with this key.
    pub fn named(key: &str) -> Option<&'static Self> {
        SCHEMES.iter().find(|scheme| scheme.key == key)
    }

    /// What a result of the dog, or of a side, is on the scheme's own scale: the place of a grade from 0, or the
    /// figure; `None` when the scheme does not give it.
    fn place(&self, text: &str, side: bool) -> Option<f64> {
        let Some(number) = self.number else {
            return self.grades.iter().position(|one| one.grade == text).map(|place| place as f64);
        };
        let decimals = text.split_once('.').map_or(0, |(_, after)| after.len());
        let digits = text.chars().all(|c| c.is_ascii_digit() || c == '.');
        let figure: f64 = text.parse().ok().filter(|_| digits)?;
        let (least, most) = match side {
            true => (number.least_side, number.most_side),
            false => (number.least, number.most),
        };
        ((least..=most).contains(&figure) && decimals <= number.decimals as usize).then_some(figure)
    }

    /// What a result counts as where dogs are compared: a grade's value, or the figure.
    fn counts(&self, text: &str, side: bool) -> Option<f64> {
        match self.number {
            Some(_) => self.place(text, side),
            None => self.grades.iter().find(|one| one.grade == text)?.value,
        }
    }

    /// The results that there are, in words.
    fn known(&self, side: bool) -> Text {
        match self.number {
            Some(number) => {
                let (least, most) = match side {
                    true => (number.least_side, number.most_side),
                    false => (number.least, number.most),
                };
                said!("screening-figures", least = least, most = most, decimals = number.decimals)
            }
            None => {
                let grades: Vec<&str> = self.grades.iter().map(|one| one.grade.as_str()).collect();
                Text::verbatim(grades.join(", "))
            }
        }
    }

    /// The dog's result as its sides make it; `None` where they are not both known or make none.
    fn of_sides(&self, left: &str, right: &str) -> Option<String> {
        let (a, b) = (self.place(left, true)?, self.place(right, true)?);
        match self.overall {
            OverallResult::Worse => Some(if b > a { right.to_owned() } else { left.to_owned() }),
            OverallResult::Sum => Some(format!("{}", a + b)),
            OverallResult::Whole => None,
        }
    }
}

impl ScreeningResult {
    /// The dog's result: as it was given, or as its sides make it; a single side stands for the dog.
    pub fn overall(&self) -> Option<String> {
        let scheme = ScreeningScheme::named(&self.scheme)?;
        if let Some(result) = &self.result {
            return Some(result.clone());
        }
        match (self.left_side.as_deref(), self.right_side.as_deref()) {
            (Some(left), Some(right)) => scheme.of_sides(left, right),
            (Some(one), None) | (None, Some(one)) if scheme.overall == OverallResult::Worse => {
                Some(one.to_owned())
            }
            _ => None,
        }
    }

    /// What the result counts as where dogs are compared, in standard deviations of the scheme, more is worse;
    /// `None` where it counts as nothing.
    ///
    /// Grades count by their value, hip scores of the BVA by the natural logarithm of the score plus one (Lewis TW
    /// et al. 2010, PLoS ONE 5:e12797), the distraction index by the mean of both hips where both are known.
    pub(crate) fn liability(&self) -> Option<f64> {
        let scheme = ScreeningScheme::named(&self.scheme)?;
        let sides = self.left_side.as_deref().zip(self.right_side.as_deref());
        let mean = sides.filter(|_| scheme.by_mean_of_sides).and_then(|(left, right)| {
            Some(0.5 * (scheme.counts(left, true)? + scheme.counts(right, true)?))
        });
        let counted = match mean {
            Some(mean) => mean,
            None => scheme.counts(&self.overall()?, false)?,
        };
        let counted = if scheme.by_logarithm { counted.ln_1p() } else { counted };
        Some(counted / scheme.spread?)
    }

    /// Reports what its scheme does not give.
    pub(crate) fn check_scheme(&self, faults: &mut Faults) {
        let Some(scheme) = ScreeningScheme::named(&self.scheme) else {
            let known: Vec<&str> = SCHEMES.iter().map(|one| one.key.as_str()).collect();
            let value = quoted(&self.scheme);
            faults.add(
                "/scheme",
                said!("fault-unknown-value-scheme", value = value, known = known.join(", ")),
            );
            return;
        };
        let sides = [("/left_side", &self.left_side), ("/right_side", &self.right_side)];
        let given = [("/result", &self.result, false)]
            .into_iter()
            .chain(sides.map(|(pointer, side)| (pointer, side, true)));
        for (pointer, value, side) in given {
            let Some(value) = value else { continue };
            if side && scheme.overall == OverallResult::Whole {
                faults.add(pointer, said!("fault-wrong-kind-sides", scheme = &scheme.name));
                continue;
            }
            faults.unless(scheme.place(value, side).is_some(), pointer, || {
                said!(
                    "fault-unknown-value-screening",
                    value = quoted(value),
                    scheme = &scheme.name,
                    known = scheme.known(side)
                )
            });
        }
        let none = self.result.is_none() && self.left_side.is_none() && self.right_side.is_none();
        faults.unless(!none, "/result", || said!("fault-missing-screening"));
        faults.unless(self.condition.is_none() || scheme.names_condition, "/condition", || {
            said!("fault-wrong-kind-condition", scheme = &scheme.name)
        });
        let both = self.left_side.as_deref().zip(self.right_side.as_deref());
        let made = both.and_then(|(left, right)| scheme.of_sides(left, right));
        if let (Some(result), Some(made)) = (&self.result, made) {
            let (a, b) = (scheme.place(result, false), scheme.place(&made, false));
            let same = a.zip(b).is_none_or(|(a, b)| (a - b).abs() < SAME);
            faults.unless(same, "/result", || said!("fault-differs-sides", made = made));
        }
    }
}
