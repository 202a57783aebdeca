//! What is known of a litter's growth before it is weighed: published norms as a distribution.

use super::series::{GrowthLitter, WeightPoint, median};
use super::standards::{birth_weights, birth_weights_of, growth_norms};
use crate::rules::Rules;

/// Number of growth coefficients: birth weight, the rates of the first day, of week 1, of the later
/// nursing weeks, and a multiple of the usual gain after that.
pub(super) const TERMS: usize = 5;

/// The normal half-width of a range that holds 95 %.
const NORMAL_95: f64 = 1.959_963_985;

/// The prior distribution of log weight: `log W(t) = (m + u + b) . basis(t) + wander(t)`, where `u`
/// is the litter's and `b` the pup's deviation, each with independent terms.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Prior {
    /// Mean of the coefficients `m`.
    pub(super) mean: [f64; TERMS],
    /// Standard deviation of the litter's deviation `u`.
    pub(super) litter_sd: [f64; TERMS],
    /// Standard deviation of the pup's deviation `b`.
    pub(super) pup_sd: [f64; TERMS],
    /// Standard deviation of the wandering rate, per day.
    pub(super) wander_sd: f64,
    /// Days over which it comes back.
    pub(super) wander_days: f64,
    /// Standard deviation of the log of one weighing.
    pub(super) weighing_sd: f64,
    /// Last age in days for which there is a norm.
    pub(super) to_day: f64,
    /// Usual gain after week 4 as a share of the weight then, per day; 0 when no adult weight is known.
    late_gain: f64,
}

impl Prior {
    /// The prior of a litter. Widths of published ranges are read as holding 95 % of pups.
    pub(super) fn of(litter: &GrowthLitter, rules: &Rules) -> Self {
        let norms = growth_norms();
        let spread = &norms.spread;
        let (birth_mean_g, birth_sd) = match litter.breed.as_deref().and_then(birth_weights_of) {
            Some(row) => (row.mean_g, row.sd_g / row.mean_g),
            None => (birth_weights().all_breeds.mean_g, spread.birth_weight_unknown_breed),
        };
        let range = |low: f64, high: f64| ((1.0 + high).ln() - (1.0 + low).ln()) / 2.0 / NORMAL_95;
        let band = |age: f64| {
            norms
                .gain_band
                .iter()
                .find(|b| age < b.to_day)
                .map_or((0.0, 0.01), |b| ((1.0 + b.usual).ln(), range(b.low, b.high)))
        };
        let ((week_one, week_one_sd), (later, later_sd)) = (band(1.0), band(14.0));
        let (week_one, later) = rates_of_means(week_one, later);
        let adult = &norms.adult_gain;
        let late_sd =
            (adult.high_g_per_kg - adult.low_g_per_kg) / (2.0 * NORMAL_95 * adult.usual_g_per_kg);
        let first = &norms.first_day;
        let sd = [birth_sd, range(first.low, first.high), week_one_sd, later_sd, late_sd];
        let between = spread.between_litters;
        let mut litter_sd = sd.map(|s| s * between.sqrt());
        let mut pup_sd = sd.map(|s| s * (1.0 - between).sqrt());
        litter_sd[0] = birth_sd;
        pup_sd[0] = spread.birth_weight_within_breed * (1.0 - between).sqrt();
        Self {
            mean: [birth_mean_g.ln(), (1.0 + first.usual).ln(), week_one, later, 1.0],
            litter_sd,
            pup_sd,
            wander_sd: spread.rate_wander_per_day,
            wander_days: spread.rate_wander_days,
            weighing_sd: rules.value("growth.weighing_error"),
            to_day: adult.from_day,
            late_gain: 0.0,
        }
    }

    /// The same with a norm for the time after week 4, from the adult weight and the weight in grams
    /// at the end of week 4 that the litter is expected to have.
    pub(super) fn with_late_gain(mut self, adult_weight_g: f64, week_four_g: f64) -> Self {
        let adult = &growth_norms().adult_gain;
        if adult_weight_g > 0.0 && week_four_g > 0.0 {
            let gain_g = adult.usual_g_per_kg * adult_weight_g / 1000.0;
            self.late_gain = gain_g / week_four_g;
            self.to_day = adult.to_day;
        }
        self
    }

    /// What the coefficients are multiplied with at an age in days.
    pub(super) fn basis(&self, age_days: f64) -> [f64; TERMS] {
        let nursing = age_days.min(WEEK_FOUR);
        let week_one = week_one_part(nursing);
        let late = self.late_gain * (age_days - WEEK_FOUR).max(0.0);
        [
            1.0,
            age_days.clamp(0.0, 1.0),
            week_one,
            (nursing - 1.0).max(0.0) - week_one,
            if late > 0.0 { late.ln_1p() } else { 0.0 },
        ]
    }

    /// How fast a pup grows between two ages.
    pub(super) fn rate(&self, from_day: f64, to_day: f64) -> UsualRate {
        let (from, to) = (self.basis(from_day), self.basis(to_day));
        let span = to_day - from_day;
        let mut rate = UsualRate {
            mean: 0.0,
            between_litters: 0.0,
            between_pups: 0.0,
            wander: self.wander_covariance(span, span) / (span * span),
        };
        for k in 1..TERMS {
            let change = (to[k] - from[k]) / span;
            rate.mean += self.mean[k] * change;
            rate.between_litters += (self.litter_sd[k] * change).powi(2);
            rate.between_pups += (self.pup_sd[k] * change).powi(2);
        }
        rate
    }

    /// Variance of the pace of one pup beside its litter, in week 1.
    pub(super) fn pace_variance(&self) -> f64 {
        self.rate(1.0, 7.0).between_pups
    }

    /// Covariance of the log weights of one pup at two ages, given its litter and without the error
    /// of weighing.
    pub(super) fn covariance(&self, a: f64, b: f64) -> f64 {
        let (at_a, at_b) = (self.basis(a), self.basis(b));
        let terms: f64 =
            (0..TERMS).map(|k| self.pup_sd[k] * self.pup_sd[k] * at_a[k] * at_b[k]).sum();
        terms + self.wander_covariance(a, b)
    }

    /// The covariances of the weighings of one pup at several ages, by rows, the error of weighing
    /// on the diagonal.
    ///
    /// What belongs to one age is worked out once, not once a pair; of each pair one half.
    pub(super) fn observed_covariances(&self, ages: &[f64]) -> Vec<f64> {
        let scaled = |age: &f64| {
            let mut basis = self.basis(*age);
            basis.iter_mut().zip(&self.pup_sd).for_each(|(value, sd)| *value *= sd);
            basis
        };
        let bases: Vec<[f64; TERMS]> = ages.iter().map(scaled).collect();
        let wander: Vec<Wander> = ages.iter().map(|age| self.wander_at(*age)).collect();
        let size = ages.len();
        let mut matrix = vec![0.0; size * size];
        for i in 0..size {
            for j in 0..=i {
                let terms: f64 = (0..TERMS).map(|k| bases[i][k] * bases[j][k]).sum();
                let both = terms + self.wander_of(wander[i], wander[j]);
                matrix[i * size + j] = both;
                matrix[j * size + i] = both;
            }
            matrix[i * size + i] += self.weighing_sd * self.weighing_sd;
        }
        matrix
    }

    /// Covariance of an integrated Ornstein-Uhlenbeck process that starts at birth: a rate that
    /// wanders about the pup's own mean and comes back.
    fn wander_covariance(&self, a: f64, b: f64) -> f64 {
        let at_a = self.wander_at(a);
        self.wander_of(at_a, if a == b { at_a } else { self.wander_at(b) })
    }

    fn wander_at(&self, age_days: f64) -> Wander {
        let age = age_days.max(0.0) / self.wander_days;
        Wander { age, left: (-age).exp() }
    }

    fn wander_of(&self, a: Wander, b: Wander) -> f64 {
        let scale = (self.wander_sd * self.wander_days).powi(2);
        let apart = (a.age - b.age).abs();
        let common = if apart == 0.0 { 1.0 } else { (-apart).exp() };
        scale * (2.0 * a.age.min(b.age) + a.left + b.left - 1.0 - common)
    }
}

/// How the growth of a litter and of a pup moves from day to day (`spread` of growth_norms.toml).
#[derive(Debug, Clone, Copy)]
pub(super) struct Drift {
    /// Variance of what one day does to the rate of a whole litter.
    pub(super) litter_day_variance: f64,
    /// By how much the variance of a litter's rate beside the norm grows in a day, and that of a pup's own pace.
    pub(super) litter_pace_variance: f64,
    pub(super) pup_pace_variance: f64,
    /// Gains that the supposed noise of weighings counts as, and between which multiples of it it is learned.
    pub(super) noise_supposed_gains: f64,
    pub(super) noise_least: f64,
    pub(super) noise_most: f64,
}

impl Drift {
    pub(super) fn usual() -> Self {
        let spread = &growth_norms().spread;
        Self {
            litter_day_variance: spread.litter_day.powi(2),
            litter_pace_variance: spread.litter_pace_drift.powi(2),
            pup_pace_variance: spread.pup_pace_drift.powi(2),
            noise_supposed_gains: spread.noise_supposed_gains,
            noise_least: spread.noise_least,
            noise_most: spread.noise_most,
        }
    }
}

/// The usual rate of growth over a span, in log weight per day.
#[derive(Debug, Clone, Copy)]
pub(super) struct UsualRate {
    pub(super) mean: f64,
    /// Its variance between litters.
    pub(super) between_litters: f64,
    /// Its variance between the pups of one.
    pub(super) between_pups: f64,
    /// How much the rate of one pup wanders over that span.
    pub(super) wander: f64,
}

/// An age in units of the time over which the wandering rate comes back, and what is left of the
/// rate at birth by then.
#[derive(Clone, Copy)]
struct Wander {
    age: f64,
    left: f64,
}

/// The rate of growth falls off smoothly: it is that of week 1 to the middle of days 1 to 7, then
/// slides to that of the later nursing weeks, reached in the middle of days 7 to 28.
const WEEK_ONE_MIDDLE: f64 = 4.0;
const LATER_MIDDLE: f64 = 17.5;
const WEEK_FOUR: f64 = 28.0;

/// The integral from day 1 of the share that the rate of week 1 has in the rate of each day.
fn week_one_part(age_days: f64) -> f64 {
    let full = (age_days - 1.0).clamp(0.0, WEEK_ONE_MIDDLE - 1.0);
    let slide = LATER_MIDDLE - WEEK_ONE_MIDDLE;
    let into = (age_days - WEEK_ONE_MIDDLE).clamp(0.0, slide);
    full + into - into * into / (2.0 * slide)
}

/// The two rates whose means over days 1 to 7 and 7 to 28 are the published ones.
fn rates_of_means(week_one: f64, later: f64) -> (f64, f64) {
    let first = week_one_part(7.0) / 6.0;
    let second = (week_one_part(WEEK_FOUR) - week_one_part(7.0)) / 21.0;
    // first r + (1 - first) s = week_one; second r + (1 - second) s = later.
    let determinant = first - second;
    let r = (week_one * (1.0 - second) - later * (1.0 - first)) / determinant;
    let s = (first * later - second * week_one) / determinant;
    (r, s)
}

/// The weight in grams at the end of week 4 at which weights taken later point, by the usual gain.
pub(super) fn week_four_from_later(
    points: &[Vec<WeightPoint>],
    adult_weight_g: f64,
) -> Option<f64> {
    let gain_g = growth_norms().adult_gain.usual_g_per_kg * adult_weight_g / 1000.0;
    median(
        points
            .iter()
            .filter_map(|pup| pup.iter().find(|p| p.age_days >= 28.0))
            .map(|p| (p.weight_g - gain_g * (p.age_days - 28.0)).max(p.weight_g / 4.0))
            .collect(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(age_days: f64, weight_g: f64) -> WeightPoint {
        let measured_at: chrono::DateTime<chrono::Utc> = "2026-03-01T12:00:00Z".parse().unwrap();
        WeightPoint { measured_at, day: measured_at.date_naive(), age_days, weight_g }
    }

    /// Back by the usual grams a day from the first weight at four weeks or later, and by no more than to a quarter.
    #[test]
    fn later_weights_point_back_at_the_end_of_week_four() {
        let gain_g = growth_norms().adult_gain.usual_g_per_kg * 29.0;
        let from = |points: &[WeightPoint]| week_four_from_later(&[points.to_vec()], 29_000.0);
        let near = |found: Option<f64>, wanted: f64| (found.unwrap() - wanted).abs() < 1e-6;
        assert!(near(from(&[point(35.0, 5_000.0)]), 5_000.0 - 7.0 * gain_g));
        assert_eq!(from(&[point(27.99, 2_500.0)]), None);
        assert!(near(from(&[point(27.0, 2_400.0), point(28.0, 2_500.0)]), 2_500.0));
        assert!(near(from(&[point(29.0, 2_600.0), point(35.0, 9_000.0)]), 2_600.0 - gain_g));
        assert!(near(from(&[point(128.0, 4_002.0)]), 1_000.5));
    }
}
