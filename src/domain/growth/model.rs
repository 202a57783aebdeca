//! A growth curve for every pup with its litter as context: what will it weigh, and when.
//!
//! A linear mixed model on log weight with correlated deviations: coefficients of the litter and of
//! the pup with normal priors from the published norms, a rate that wanders and comes back, and
//! the error of weighing. Everything is normal, so the posterior is exact: `V = B D Bᵀ + K + s²I` for
//! each pup, and the litter's deviation by generalised least squares with its prior (Laird and Ware
//! 1982, Random-effects models for longitudinal data, Biometrics 38:963-974, DOI 10.2307/2529876).

use super::prior::{Prior, TERMS, week_four_from_later};
use super::series::{GrowthLitter, GrowthPup, WeightPoint};
use crate::cholesky::{Cholesky, dot};
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

/// What the weights say of the litter as a whole: its deviation from the norms by generalised least squares.
struct LitterFit {
    prior: Prior,
    deviation: [f64; TERMS],
    precision: Cholesky,
    pups: Vec<Whitened>,
}

/// The weights of one pup, whitened: `V = L Lᵀ`, `L⁻¹ (y - B m)` and `L⁻¹ B`, a column a term.
struct Whitened {
    ages: Vec<f64>,
    factor: Cholesky,
    off: Vec<f64>,
    columns: [Vec<f64>; TERMS],
}

impl Whitened {
    fn of(points: &[WeightPoint], prior: &Prior) -> Option<Self> {
        let used = || points.iter().filter(|p| p.age_days <= prior.to_day);
        let ages: Vec<f64> = used().map(|p| p.age_days).collect();
        let basis: Vec<[f64; TERMS]> = ages.iter().map(|t| prior.basis(*t)).collect();
        let off = used().zip(&basis).map(|(p, b)| p.weight_g.ln() - dot(b, &prior.mean));
        let factor = Cholesky::of(ages.len(), &prior.observed_covariances(&ages))?;
        let off = factor.forward(&off.collect::<Vec<_>>());
        let column = |k: usize| factor.forward(&basis.iter().map(|b| b[k]).collect::<Vec<_>>());
        let columns = std::array::from_fn(column);
        Some(Self { ages, factor, off, columns })
    }
}

impl LitterFit {
    /// `None` when there is no pup.
    fn of(points: &[Vec<WeightPoint>], prior: Prior) -> Option<Self> {
        if points.is_empty() {
            return None;
        }
        let pups: Option<Vec<Whitened>> =
            points.iter().map(|points| Whitened::of(points, &prior)).collect();
        let pups = pups?;
        let mut precision = [0.0; TERMS * TERMS];
        let mut score = [0.0; TERMS];
        for k in 0..TERMS {
            precision[k * TERMS + k] = prior.litter_sd[k].powi(-2);
            for pup in &pups {
                score[k] += dot(&pup.columns[k], &pup.off);
                for l in 0..TERMS {
                    precision[k * TERMS + l] += dot(&pup.columns[k], &pup.columns[l]);
                }
            }
        }
        let precision = Cholesky::of(TERMS, &precision)?;
        let mut deviation = [0.0; TERMS];
        deviation.copy_from_slice(&precision.solve(&score));
        Some(Self { prior, deviation, precision, pups })
    }

    /// The prior with the gain after week 4, which is published in grams per adult weight: its share
    /// of the body weight needs the weight that this litter has at that age.
    fn late_prior(&self, litter: &GrowthLitter, points: &[Vec<WeightPoint>]) -> Option<Prior> {
        let adult = litter.adult_weight_g.or(litter.dam_weight_g).filter(|w| *w > 0.0)?;
        let any_early = points.iter().flatten().any(|p| p.age_days < 28.0);
        let later = if any_early { None } else { week_four_from_later(points, adult) };
        let week_four = later.unwrap_or_else(|| {
            let basis = self.prior.basis(28.0);
            (dot(&basis, &self.prior.mean) + dot(&basis, &self.deviation)).exp()
        });
        Some(self.prior.clone().with_late_gain(adult, week_four))
    }

    /// The model of the litter and each of its pups.
    fn with_pups(self, litter: &GrowthLitter) -> GrowthModel {
        let Self { prior, deviation, precision, pups } = self;
        let fitted = |(pup, own): (&GrowthPup, Whitened)| {
            let Whitened { ages, factor, mut off, columns } = own;
            for (column, u) in columns.iter().zip(deviation) {
                off.iter_mut().zip(column).for_each(|(value, c)| *value -= c * u);
            }
            FittedPup {
                dog_id: pup.dog_id,
                born_at: pup.born_at,
                last_age: ages.last().copied(),
                ages,
                weights: factor.backward(off),
                columns: columns.map(|column| factor.backward(column)).to_vec(),
                factor,
            }
        };
        let pups = litter.pups.iter().zip(pups).map(fitted).collect();
        GrowthModel { prior, litter: deviation, litter_precision: precision, pups }
    }
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
        let early = LitterFit::of(&points, Prior::of(litter, rules))?;
        let fit = match early.late_prior(litter, &points) {
            Some(prior) => LitterFit::of(&points, prior)?,
            None => early,
        };
        Some(fit.with_pups(litter))
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
        let early = LitterFit::of(points, early)?;
        Some(early.late_prior(litter, points).unwrap_or(early.prior))
    }

    /// The last age in days that can be forecast.
    pub(crate) fn to_day(&self) -> f64 {
        self.prior.to_day
    }

    /// Standard deviation of the log of one weighing.
    pub fn weighing_sd(&self) -> f64 {
        self.prior.weighing_sd
    }

    /// The age in days of the last weight used of a pup.
    pub(crate) fn last_age(&self, dog_id: Uuid) -> Option<f64> {
        self.pup(dog_id).and_then(|pup| pup.last_age)
    }

    /// When a pup was born.
    pub fn born_at(&self, dog_id: Uuid) -> Option<DateTime<Utc>> {
        self.pup(dog_id).map(|pup| pup.born_at)
    }

    fn pup(&self, dog_id: Uuid) -> Option<&FittedPup> {
        self.pups.iter().find(|pup| pup.dog_id == dog_id)
    }

    /// The log weight of a pup at an age in days; `None` for a pup of another litter, an age before
    /// birth or one beyond [`Self::to_day`].
    pub fn at(&self, dog_id: Uuid, age_days: f64) -> Option<LogWeight> {
        let (mean, variance) = self.joint(dog_id, age_days, age_days)?;
        Some(LogWeight { mean: mean.0, variance })
    }

    /// The gain of a pup between two ages in log weight: mean and variance.
    pub(crate) fn gain(&self, dog_id: Uuid, from_day: f64, to_day: f64) -> Option<LogWeight> {
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
