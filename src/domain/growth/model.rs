//! A growth curve for every pup with its litter as context: what will it weigh, and when.
//!
//! A linear mixed model on log weight with correlated deviations: coefficients of the litter and of
//! the pup with normal priors from the published norms, a rate that wanders and comes back, and
//! the error of weighing. Everything is normal, so the posterior is exact: `V = B D Bᵀ + K + s²I` for
//! each pup, and the litter's deviation by generalised least squares with its prior (Laird and Ware
//! 1982, Random-effects models for longitudinal data, Biometrics 38:963-974, DOI 10.2307/2529876).

use super::cholesky::{Cholesky, dot};
use super::prior::{Prior, TERMS, week_four_from_later};
use super::series::{GrowthLitter, WeightPoint};
use crate::rules::Rules;
use chrono::{DateTime, Utc};
use uuid::Uuid;

/// The fitted growth of a litter.
#[derive(Debug, Clone, PartialEq)]
pub struct GrowthModel {
    pub(super) prior: Prior,
    litter: [f64; TERMS],
    litter_precision: Cholesky,
    pups: Vec<FittedPup>,
}

#[derive(Debug, Clone, PartialEq)]
struct FittedPup {
    dog_id: Uuid,
    born_at: DateTime<Utc>,
    ages: Vec<f64>,
    last_age: Option<f64>,
    factor: Cholesky,
    /// `V⁻¹ (y - B (m + u))`.
    weights: Vec<f64>,
    /// `V⁻¹ B`, a column a term.
    columns: Vec<Vec<f64>>,
}

/// Log weight at one age: mean and variance of the true weight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LogWeight {
    /// Mean of the logarithm of the weight in grams.
    pub mean: f64,
    /// Its variance, without the error of weighing.
    pub variance: f64,
}

impl LogWeight {
    /// The weight in grams at `z` standard deviations from the middle.
    pub fn weight_g(self, z: f64) -> f64 {
        (self.mean + z * self.variance.sqrt()).exp()
    }
}

impl GrowthModel {
    /// Fits the litter with the accepted weights up to `now`.
    ///
    /// `None` only when no pup is in the litter. Weights beyond the ages for which norms are
    /// published (12 weeks, or 4 when the adult weight is unknown) are left out.
    pub fn fit(litter: &GrowthLitter, now: DateTime<Utc>, rules: &Rules) -> Option<Self> {
        let points = litter.days(now);
        let early = Self::with_prior(litter, &points, Prior::of(litter, rules))?;
        match early.late_prior(litter, &points) {
            Some(prior) => Self::with_prior(litter, &points, prior),
            None => Some(early),
        }
    }

    /// The prior for the weights by day that [`Self::fit`] ends with, without that last fit.
    pub(super) fn prior_of(
        litter: &GrowthLitter,
        points: &[Vec<WeightPoint>],
        rules: &Rules,
    ) -> Option<Prior> {
        let early = Prior::of(litter, rules);
        // Before its last day nothing depends on the gain after week 4.
        if !points.iter().flatten().any(|point| point.age_days > early.to_day) {
            return Some(early);
        }
        let early = Self::with_prior(litter, points, early)?;
        Some(early.late_prior(litter, points).unwrap_or(early.prior))
    }

    /// The prior with the gain after week 4, which is published in grams per adult weight: its share
    /// of the body weight needs the weight that this litter has at that age.
    fn late_prior(&self, litter: &GrowthLitter, points: &[Vec<WeightPoint>]) -> Option<Prior> {
        let adult = litter.adult_weight_g.or(litter.dam_weight_g).filter(|w| *w > 0.0)?;
        let any_early = points.iter().flatten().any(|p| p.age_days < 28.0);
        let later = if any_early { None } else { week_four_from_later(points, adult) };
        let week_four = later.unwrap_or_else(|| self.litter_at(28.0).mean.exp());
        Some(self.prior.clone().with_late_gain(adult, week_four))
    }

    fn with_prior(
        litter: &GrowthLitter,
        points: &[Vec<WeightPoint>],
        prior: Prior,
    ) -> Option<Self> {
        if litter.pups.is_empty() {
            return None;
        }
        let mut precision = vec![0.0; TERMS * TERMS];
        for k in 0..TERMS {
            precision[k * TERMS + k] = prior.litter_sd[k].powi(-2);
        }
        let mut score = [0.0; TERMS];
        let mut pups = Vec::with_capacity(litter.pups.len());
        for (pup, points) in litter.pups.iter().zip(points) {
            let used: Vec<&WeightPoint> =
                points.iter().filter(|p| p.age_days <= prior.to_day).collect();
            let ages: Vec<f64> = used.iter().map(|p| p.age_days).collect();
            let basis: Vec<[f64; TERMS]> = ages.iter().map(|t| prior.basis(*t)).collect();
            let off: Vec<f64> = used
                .iter()
                .zip(&basis)
                .map(|(p, b)| p.weight_g.ln() - dot(b, &prior.mean))
                .collect();
            let factor = Cholesky::of(ages.len(), &prior.observed_covariances(&ages))?;
            let weights = factor.solve(&off);
            let columns: Vec<Vec<f64>> = (0..TERMS)
                .map(|k| factor.solve(&basis.iter().map(|b| b[k]).collect::<Vec<_>>()))
                .collect();
            for (k, column) in columns.iter().enumerate() {
                score[k] += dot(column, &off);
                for l in 0..TERMS {
                    precision[k * TERMS + l] +=
                        basis.iter().zip(column).map(|(b, c)| b[l] * c).sum::<f64>();
                }
            }
            pups.push(FittedPup {
                dog_id: pup.dog_id,
                born_at: pup.born_at,
                last_age: ages.last().copied(),
                ages,
                factor,
                weights,
                columns,
            });
        }
        let litter_precision = Cholesky::of(TERMS, &precision)?;
        let mut u = [0.0; TERMS];
        u.copy_from_slice(&litter_precision.solve(&score));
        for pup in &mut pups {
            for (k, column) in pup.columns.iter().enumerate() {
                for (weight, c) in pup.weights.iter_mut().zip(column) {
                    *weight -= c * u[k];
                }
            }
        }
        Some(Self { prior, litter: u, litter_precision, pups })
    }

    /// The last age in days that can be forecast.
    pub fn to_day(&self) -> f64 {
        self.prior.to_day
    }

    /// Standard deviation of the log of one weighing.
    pub fn weighing_sd(&self) -> f64 {
        self.prior.weighing_sd
    }

    /// The age in days of the last weight used of a pup.
    pub fn last_age(&self, dog_id: Uuid) -> Option<f64> {
        self.pup(dog_id).and_then(|pup| pup.last_age)
    }

    /// When a pup was born.
    pub fn born_at(&self, dog_id: Uuid) -> Option<DateTime<Utc>> {
        self.pup(dog_id).map(|pup| pup.born_at)
    }

    fn pup(&self, dog_id: Uuid) -> Option<&FittedPup> {
        self.pups.iter().find(|pup| pup.dog_id == dog_id)
    }

    fn litter_at(&self, age_days: f64) -> LogWeight {
        let basis = self.prior.basis(age_days);
        LogWeight {
            mean: dot(&basis, &self.prior.mean) + dot(&basis, &self.litter),
            variance: dot(&basis, &self.litter_precision.solve(&basis)),
        }
    }

    /// The log weight of a pup at an age in days; `None` for a pup of another litter, an age before
    /// birth or one beyond [`Self::to_day`].
    pub fn at(&self, dog_id: Uuid, age_days: f64) -> Option<LogWeight> {
        let (mean, variance) = self.joint(dog_id, age_days, age_days)?;
        Some(LogWeight { mean: mean.0, variance })
    }

    /// The gain of a pup between two ages in log weight: mean and variance.
    pub fn gain(&self, dog_id: Uuid, from_day: f64, to_day: f64) -> Option<LogWeight> {
        let (means, both) = self.joint(dog_id, from_day, to_day)?;
        let from = self.at(dog_id, from_day)?;
        let to = self.at(dog_id, to_day)?;
        Some(LogWeight {
            mean: means.1 - means.0,
            variance: (from.variance + to.variance - 2.0 * both).max(0.0),
        })
    }

    /// Posterior means at two ages and their covariance.
    fn joint(&self, dog_id: Uuid, a: f64, b: f64) -> Option<((f64, f64), f64)> {
        let pup = self.pup(dog_id)?;
        if a.min(b) < 0.0 || a.max(b) > self.prior.to_day {
            return None;
        }
        let (mean_a, cross_a, left_a) = self.at_age(pup, a);
        let (mean_b, cross_b, left_b) = self.at_age(pup, b);
        let pup_part = self.prior.covariance(a, b) - dot(&cross_a, &pup.factor.solve(&cross_b));
        let litter_part = dot(&left_a, &self.litter_precision.solve(&left_b));
        Some(((mean_a, mean_b), pup_part + litter_part))
    }

    /// Posterior mean at an age, the covariances with the weights used, and what is left to the
    /// litter's deviation.
    fn at_age(&self, pup: &FittedPup, age: f64) -> (f64, Vec<f64>, [f64; TERMS]) {
        let basis = self.prior.basis(age);
        let cross: Vec<f64> = pup.ages.iter().map(|t| self.prior.covariance(age, *t)).collect();
        let mut left = basis;
        for (value, column) in left.iter_mut().zip(&pup.columns) {
            *value -= dot(column, &cross);
        }
        let mean =
            dot(&basis, &self.prior.mean) + dot(&basis, &self.litter) + dot(&cross, &pup.weights);
        (mean, cross, left)
    }
}
