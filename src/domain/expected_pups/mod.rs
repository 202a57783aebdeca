//! How many pups to expect, as one chance a number.
//!
//! Before any count: the mean of the breed or size, drawn towards the dam's own earlier litters by
//! their repeatability (normal–normal shrinkage), spread by a gamma law. Counts multiply in with their
//! errors: a radiograph is a lower bound that may have missed a pup, an ultrasound a weak one. Pups that
//! are born cut off what is less. Every answer that speaks of a number of pups is a view of this one.

mod check;
mod counts;
mod prior;

#[cfg(test)]
pub(crate) mod limits_tests;
#[cfg(test)]
mod tests;

use catalogue::{Text, said};
pub use counts::{PupCount, PupCountMethod};

use crate::{fault::Fault, record::MatingMethod, rules::Rules};
use check::check;
use counts::{counted_at_least, describe, likelihood};
use prior::prior;
pub(crate) use prior::usual_of_size;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What is known of the litter.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ExpectedPupsInput {
    /// Breed of the dam.
    pub breed: Option<String>,
    /// Her adult weight, g; used when the breed has no published mean.
    pub adult_weight_g: Option<f64>,
    /// Pups born, alive or not, in each of her earlier litters.
    pub earlier_litters: Vec<u32>,
    /// How she was mated; insemination lowers the number.
    pub method: Option<MatingMethod>,
    /// Inbreeding of the litter, 0–1.
    pub litter_inbreeding: Option<f64>,
    /// Inbreeding of the dam, 0–1.
    pub dam_inbreeding: Option<f64>,
    /// Counts, the oldest first.
    pub counts: Vec<PupCount>,
    /// Pups born so far in this litter, alive or not.
    pub born_so_far: u32,
}

/// The chance of one number of pups.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PupChance {
    /// Number of pups born.
    #[schema(example = 6)]
    pub pups: u32,
    /// Its chance, 0–1.
    #[schema(example = 0.21)]
    pub chance: f64,
}

/// How many pups to expect.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PupForecast {
    /// The likeliest number.
    #[schema(example = 6)]
    pub likely: u32,
    /// Mean of all numbers.
    #[schema(example = 5.8)]
    pub mean: f64,
    /// Lower end of the range.
    #[schema(example = 4)]
    #[serde(rename = "least")]
    pub at_least: u32,
    /// Upper end of the range.
    #[schema(example = 8)]
    #[serde(rename = "most")]
    pub at_most: u32,
    /// Chance that the litter lies in the range, 0–1.
    #[schema(example = 0.92)]
    pub coverage: f64,
    /// Pups that were counted for sure: by the last radiograph, else by the last other count less its
    /// usual error. Null when nobody counted, and all rests on what is usual.
    #[schema(example = 5)]
    pub counted_at_least: Option<u32>,
    /// Every number from 1 and its chance, summing to 1.
    pub chance_by_count: Vec<PupChance>,
    /// What it rests on, each with its source.
    #[schema(value_type = Vec<String>)]
    pub basis: Vec<Text>,
}

impl PupForecast {
    /// Chance of at most `pups`.
    #[cfg(test)]
    pub(crate) fn chance_at_most(&self, pups: u32) -> f64 {
        self.chance_by_count.iter().filter(|c| c.pups <= pups).map(|c| c.chance).sum()
    }

    /// Chance that the litter is small enough to be carried longer (Eilts et al. 2005).
    pub(crate) fn chance_small_litter(&self, rules: &Rules) -> f64 {
        let small = rules.value("dating.small_litter_pups");
        self.chance_by_count.iter().filter(|c| f64::from(c.pups) <= small).map(|c| c.chance).sum()
    }

    /// A range that was counted, each of its numbers as likely as the next.
    #[cfg(test)]
    pub(crate) fn counted(at_least: u32, at_most: u32) -> Self {
        let chance = 1.0 / f64::from(at_most - at_least + 1);
        let chances = (at_least..=at_most).map(|pups| PupChance { pups, chance }).collect();
        summarise(chances, Vec::new(), Some(at_least), 1.0)
    }
}

/// Expected pups from all that is known.
///
/// # Errors
/// Faults of the input (`/counts/0/count_at_most` …): limits in the wrong order or out of range, an
/// inbreeding outside 0–1, an earlier litter out of range, counts that nothing agrees with.
pub fn expected_pups(input: &ExpectedPupsInput, rules: &Rules) -> Result<PupForecast, Vec<Fault>> {
    check(input, rules)?;
    let mut basis = Vec::new();
    let (mean, sd) = prior(input, rules, &mut basis);
    // A gamma law of this mean and deviation, taken at whole numbers from one on.
    let (shape, scale) = ((mean / sd).powi(2), sd * sd / mean);
    let counts = 1..=most(rules);
    let logs: Vec<(u32, f64)> = counts
        .map(|n| {
            let x = f64::from(n);
            let prior = (shape - 1.0) * x.ln() - x / scale - libm::lgamma(shape);
            let seen: f64 = input.counts.iter().map(|c| likelihood(c, n, rules).ln()).sum();
            let born = if n < input.born_so_far { f64::NEG_INFINITY } else { 0.0 };
            (n, prior + seen + born)
        })
        .collect();
    for count in &input.counts {
        basis.push(describe(count, rules));
    }
    if input.born_so_far > 0 {
        basis.push(said!("expected-pups-born", born = input.born_so_far));
    }
    let top = logs.iter().map(|(_, l)| *l).fold(f64::NEG_INFINITY, f64::max);
    let total: f64 = logs.iter().map(|(_, l)| (l - top).exp()).sum();
    let chances: Vec<PupChance> = logs
        .into_iter()
        .map(|(pups, log)| PupChance { pups, chance: (log - top).exp() / total })
        .collect();
    let counted = counted_at_least(&input.counts, rules);
    Ok(summarise(chances, basis, counted, rules.value("expected_pups.coverage")))
}

fn summarise(
    chances: Vec<PupChance>,
    basis: Vec<Text>,
    counted_at_least: Option<u32>,
    coverage: f64,
) -> PupForecast {
    let likely = chances.iter().max_by(|a, b| a.chance.total_cmp(&b.chance)).map_or(1, |c| c.pups);
    // What was counted for sure is not left again because another number is usual.
    let least = counted_at_least.unwrap_or(1).clamp(1, likely);
    let possible = || chances.iter().filter(|c| c.pups >= least);
    let chance = |n: u32| possible().find(|c| c.pups == n).map_or(0.0, |c| c.chance);
    let within = possible().map(|c| c.chance).sum::<f64>();
    // Where what is usual speaks against the count, most of what is left.
    let wanted = if within >= coverage { coverage } else { coverage * within };
    // The range grows from the likeliest number towards the likelier neighbour.
    let (mut low, mut high, mut sum) = (likely, likely, chance(likely));
    while sum < wanted - 1e-9 {
        let (below, above) = (chance(low.saturating_sub(1)), chance(high + 1));
        if below <= 0.0 && above <= 0.0 {
            break;
        }
        if above >= below {
            high += 1;
            sum += above;
        } else {
            low -= 1;
            sum += below;
        }
    }
    PupForecast {
        likely,
        mean: chances.iter().map(|c| f64::from(c.pups) * c.chance).sum(),
        at_least: low,
        at_most: high,
        coverage: sum.min(1.0),
        counted_at_least,
        chance_by_count: chances,
        basis,
    }
}

fn most(rules: &Rules) -> u32 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rule of pups")]
    let most = rules.value("expected_pups.most") as u32;
    most
}
