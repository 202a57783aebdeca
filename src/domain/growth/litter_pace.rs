//! The gains of a litter from day to day, and what they say of each pup's: how the litter grows beside the norm,
//! what its pups have in common on one day, and how noisy its weighings are.

use super::prior::{Drift, Prior, UsualRate};
use super::regimes::{Expected, Weighed};
use super::scale_step::ScaleSteps;
use super::series::{WeightPoint, median};
use chrono::NaiveDate;
use std::collections::BTreeMap;
use std::f64::consts::PI;

/// Weighings closer together than this tell no gain of a day.
const LEAST_SPAN_DAYS: f64 = 0.2;

/// The middle of the absolute values of a standard normal distribution.
const NORMAL_MIDDLE: f64 = 0.674_489_75;

/// A gain in log weight between two weighings.
#[derive(Debug, Clone, Copy)]
pub(super) struct Gain {
    pub(super) day: NaiveDate,
    from_age: f64,
    to_age: f64,
    /// Log weight a day.
    pub(super) rate: f64,
    /// Log of the weights before and after.
    logs: [f64; 2],
    /// Variances of their errors by the scale: its error and its step.
    errors: [f64; 2],
}

impl Gain {
    fn days(&self) -> f64 {
        self.to_age - self.from_age
    }

    fn usual(&self, prior: &Prior) -> UsualRate {
        prior.rate(self.from_age, self.to_age)
    }

    /// Variance of its rate by the scale alone.
    fn scale_variance(&self) -> f64 {
        (self.errors[0] + self.errors[1]) / (self.days() * self.days())
    }

    /// The weighing that it begins with.
    pub(super) fn first(&self) -> (f64, f64) {
        (self.logs[0], self.errors[0])
    }

    /// The weighing that it ends with.
    pub(super) fn weighed(&self) -> Weighed {
        Weighed { to_age: self.to_age, days: self.days(), log: self.logs[1], error: self.errors[1] }
    }
}

/// The gains of each pup of a litter, and what they have in common.
pub(super) struct LitterPace {
    pub(super) gains: Vec<Vec<Gain>>,
    /// The gains that end on each day, the least first, with the place of the pup.
    by_day: BTreeMap<NaiveDate, Vec<(usize, f64)>>,
    /// How noisy weighings are beside what is supposed, as a ratio of variances.
    noise: f64,
    /// What was known before each day of the litter's rate beside the norm: mean and variance.
    before: BTreeMap<NaiveDate, (f64, f64)>,
}

impl LitterPace {
    /// Of the weights by day of each pup and the steps of the scale, up to the last age that has norms.
    pub(super) fn of(series: &[Vec<WeightPoint>], steps: &ScaleSteps, prior: &Prior) -> Self {
        let gains: Vec<_> = series.iter().map(|points| gains(points, steps, prior)).collect();
        let mut pace = Self { by_day: by_day(&gains), gains, noise: 1.0, before: BTreeMap::new() };
        pace.noise = pace.learned_noise(prior);
        for gain in pace.gains.iter_mut().flatten() {
            gain.errors = gain.errors.map(|error| error * pace.noise);
        }
        pace.before = pace.learned_pace(prior);
        pace
    }

    /// The true gain that a pup is expected to have if it thrives, but for its own pace: the norm with what is
    /// known of its litter, drawn towards its littermates of that day. Of a shifted scale or a cold night that
    /// hits all of them none is told.
    pub(super) fn expected(&self, pup: usize, gain: &Gain, prior: &Prior) -> Expected {
        let usual = gain.usual(prior);
        let (beside, variance) =
            self.before.get(&gain.day).copied().unwrap_or((0.0, usual.between_litters));
        let rate = usual.mean + beside;
        let between = variance + Drift::usual().litter_day_variance / gain.days();
        let own = usual.wander * self.noise;
        let mates = self.by_day.get(&gain.day).and_then(|of_day| mates_gain(pup, of_day));
        let Some((middle, count)) = mates else {
            return Expected { rate, variance: between + own };
        };
        let single = own + usual.between_pups + gain.scale_variance();
        let share = between / (between + error_of_middle(single, count));
        Expected { rate: rate + share * (middle - rate), variance: between * (1.0 - share) + own }
    }

    /// What pups differ from the middle of their litter on one day tells how noisy they are, by the middle of all
    /// such differences; until there are some, what is supposed.
    fn learned_noise(&self, prior: &Prior) -> f64 {
        let beside = |(pup, gain): (usize, &Gain)| {
            let (middle, count) = mates_gain(pup, self.by_day.get(&gain.day)?)?;
            let usual = gain.usual(prior);
            let single = usual.wander + usual.between_pups + gain.scale_variance();
            let variance = single + error_of_middle(single, count);
            Some((gain.rate - middle).abs() / variance.sqrt())
        };
        let all = self
            .gains
            .iter()
            .enumerate()
            .flat_map(|(pup, own)| own.iter().map(move |it| (pup, it)));
        let beside: Vec<f64> = all.filter_map(beside).collect();
        let count = beside.len() as f64;
        let Some(middle) = median(beside) else { return 1.0 };
        let seen = (middle / NORMAL_MIDDLE).powi(2);
        let drift = Drift::usual();
        let supposed = drift.noise_supposed_gains;
        ((supposed + count * seen) / (supposed + count)).clamp(drift.noise_least, drift.noise_most)
    }

    /// Follows the litter's rate beside the norm from day to day (Kalman filter). The middle pup of a day tells
    /// it; of fewer than three there is no middle that one failing pup does not move.
    fn learned_pace(&self, prior: &Prior) -> BTreeMap<NaiveDate, (f64, f64)> {
        let mut by_day: BTreeMap<NaiveDate, Vec<&Gain>> = BTreeMap::new();
        for gain in self.gains.iter().flatten() {
            by_day.entry(gain.day).or_default().push(gain);
        }
        let drift = Drift::usual();
        let mut known = None;
        let mut before = BTreeMap::new();
        for (day, of_day) in by_day {
            let Some(first) = of_day.first() else { continue };
            let usual = first.usual(prior);
            let (mean, variance) = known.unwrap_or((0.0, usual.between_litters));
            let drifted = variance + drift.litter_pace_variance * first.days();
            let variance: f64 = drifted.min(usual.between_litters);
            before.insert(day, (mean, variance));
            known = Some((mean, variance));
            let beside = of_day.iter().map(|gain| gain.rate - gain.usual(prior).mean).collect();
            let Some(beside) = median(beside).filter(|_| of_day.len() >= 3) else { continue };
            let single = usual.wander * self.noise + first.scale_variance() + usual.between_pups;
            let error = error_of_middle(single, of_day.len() as f64)
                + drift.litter_day_variance / first.days();
            let share = variance / (variance + error);
            known = Some((mean + share * (beside - mean), variance * (1.0 - share)));
        }
        before
    }
}

/// A median of n normal values varies by about pi / 2n of one value.
fn error_of_middle(single: f64, count: f64) -> f64 {
    single * PI / (2.0 * count)
}

fn gains(points: &[WeightPoint], steps: &ScaleSteps, prior: &Prior) -> Vec<Gain> {
    let error = |point: &WeightPoint| {
        prior.weighing_sd.powi(2) + (steps.on(point.day) / point.weight_g).powi(2) / 12.0
    };
    let gain = |pair: &[WeightPoint]| {
        let [before, after] = pair else { return None };
        let span = after.age_days - before.age_days;
        (span > LEAST_SPAN_DAYS).then(|| Gain {
            day: after.day,
            from_age: before.age_days,
            to_age: after.age_days,
            rate: (after.weight_g / before.weight_g).ln() / span,
            logs: [before.weight_g.ln(), after.weight_g.ln()],
            errors: [error(before), error(after)],
        })
    };
    points.windows(2).filter_map(gain).take_while(|gain| gain.to_age <= prior.to_day).collect()
}

fn by_day(gains: &[Vec<Gain>]) -> BTreeMap<NaiveDate, Vec<(usize, f64)>> {
    let mut by_day: BTreeMap<NaiveDate, Vec<(usize, f64)>> = BTreeMap::new();
    for (pup, own) in gains.iter().enumerate() {
        for gain in own {
            by_day.entry(gain.day).or_default().push((pup, gain.rate));
        }
    }
    for of_day in by_day.values_mut() {
        of_day.sort_by(|a, b| a.1.total_cmp(&b.1));
    }
    by_day
}

/// The middle gain of the littermates weighed on the same day, of which there are two at least, and how
/// many they are. `of_day` is in the order of gains.
fn mates_gain(pup: usize, of_day: &[(usize, f64)]) -> Option<(f64, f64)> {
    let own = of_day.iter().position(|(other, _)| *other == pup).unwrap_or(of_day.len());
    let mates = of_day.len() - usize::from(own < of_day.len());
    // Without its own, what stands behind it moves up by a place.
    let mate = |place: usize| of_day.get(place + usize::from(place >= own)).map(|(_, rate)| *rate);
    let upper = mate(mates / 2).filter(|_| mates >= 2)?;
    let middle = match mates % 2 {
        1 => upper,
        _ => (mate(mates / 2 - 1)? + upper) / 2.0,
    };
    Some((middle, mates as f64))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Its own gain is left out, and one that was not weighed that day has all the others for mates.
    #[test]
    fn the_middle_of_the_mates_is_without_its_own() {
        let of_day = [(2, 0.02), (0, 0.04), (1, 0.07)];
        assert_eq!(mates_gain(7, &of_day), Some((0.04, 3.0)));
        assert_eq!(mates_gain(0, &of_day), Some(((0.02 + 0.07) / 2.0, 2.0)));
        assert_eq!(mates_gain(2, &of_day), Some(((0.04 + 0.07) / 2.0, 2.0)));
        assert_eq!(mates_gain(1, &of_day[1..]), None, "one mate is no litter");
    }
}
