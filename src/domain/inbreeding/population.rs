//! How fast inbreeding rises in a group, and the size of the ideal population it behaves like.

use crate::pedigree::{Animal, Parents, completeness::depths_among};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The rate of inbreeding in a group of animals.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct InbreedingRate {
    /// Animals that the figures rest on: those with a known grandparent.
    #[schema(example = 42)]
    pub animals: usize,
    /// Mean inbreeding coefficient (0-1).
    #[schema(example = 0.061)]
    pub mean_inbreeding: f64,
    /// Mean complete generation equivalents.
    #[schema(example = 7.2)]
    pub mean_generation_equivalents: f64,
    /// Rise of inbreeding a generation (0-1): the mean over the animals of
    /// 1 - (1 - F)^(1/(t - 1)), t being their complete generation equivalents.
    #[schema(example = 0.0098)]
    pub rate_of_inbreeding: f64,
    /// Effective population size, half of one over the rate; `null` while the rate is zero.
    #[schema(example = 51.0)]
    pub effective_size: Option<f64>,
    /// Standard error of the effective size; `null` with fewer than two animals.
    #[schema(example = 6.3)]
    pub effective_size_error: Option<f64>,
}

/// The rate of inbreeding in `group`; `None` if no animal of it has a known grandparent.
/// `inbreeding` holds F of all animals by position.
///
/// Individual increase in inbreeding: Gutierrez, Cervantes & Goyache 2009, J Anim Breed Genet
/// 126:327-332; Ne = 1/(2 dF): Falconer & Mackay 1996, Introduction to Quantitative Genetics,
/// ch. 4.
pub(crate) fn inbreeding_rate(
    parents: &Parents,
    inbreeding: &[f64],
    group: &[Animal],
) -> Option<InbreedingRate> {
    let counted: Vec<(f64, f64)> = group
        .iter()
        .zip(depths_among(parents, group))
        .map(|(animal, depth)| (inbreeding[*animal as usize], depth.equivalents))
        .filter(|(_, equivalents)| *equivalents > 1.0)
        .collect();
    if counted.is_empty() {
        return None;
    }
    let n = counted.len() as f64;
    let mean = |of: fn(&(f64, f64)) -> f64| counted.iter().map(of).sum::<f64>() / n;
    let rise = |(f, t): &(f64, f64)| 1.0 - (1.0 - f).powf(1.0 / (t - 1.0));
    let rate = mean(rise);
    let size = (rate > 0.0).then(|| 1.0 / (2.0 * rate));
    let spread = counted.iter().map(|one| (rise(one) - rate).powi(2)).sum::<f64>() / (n - 1.0);
    // The error of a ratio's inverse, to first order: 2 Ne^2 times that of the rate.
    let error = size.map(|size| 2.0 * size * size * (spread / n).sqrt());
    Some(InbreedingRate {
        animals: counted.len(),
        mean_inbreeding: mean(|(f, _)| *f),
        mean_generation_equivalents: mean(|(_, t)| *t),
        rate_of_inbreeding: rate,
        effective_size: size,
        effective_size_error: error.filter(|_| counted.len() > 1),
    })
}
