//! Whether a pup thrives, falls behind or fails, followed from weighing to weighing.
//!
//! Three regimes of growth over one true weight that is never seen without the scale's error: an interacting
//! multiple model filter (Blom HAP, Bar-Shalom Y 1988, The interacting multiple model algorithm for systems
//! with Markovian switching coefficients, IEEE Trans Autom Control 33:780-783, DOI 10.1109/9.1299). So a
//! weighing that was too heavy does not count twice, once as a gain and then as a loss.

use super::prior::Drift;
use crate::rules::Rules;
use std::f64::consts::PI;

/// A pup that thrives, one whose gain falls behind, one that loses.
const REGIMES: usize = 3;

/// A weighing that is far off is off by about this share of the weight.
const FAR_OFF: f64 = 0.1;

/// The rules of the regimes, read once. Chances are a day's.
pub(super) struct Chances {
    falters: f64,
    fails_early: f64,
    fails_later: f64,
    recovers: f64,
    worsens: f64,
    failing_at_birth: f64,
    faltering_share: f64,
    faltering_variance: f64,
    failing_rate: f64,
    failing_variance: f64,
    outlier: f64,
    drift: Drift,
}

/// Days up to which the published share of early deaths counts.
const EARLY_DAYS: f64 = 7.0;
/// Days over which that of later ones is spread: from then to eight weeks.
const LATER_DAYS: f64 = 49.0;

impl Chances {
    pub(super) fn of(rules: &Rules) -> Self {
        Self {
            falters: rules.value("growth.faltering_onset"),
            fails_early: rules.value("growth.early_death_base") / EARLY_DAYS,
            fails_later: rules.value("growth.onset_later") / LATER_DAYS,
            recovers: rules.value("growth.recovery"),
            worsens: rules.value("growth.faltering_worse"),
            failing_at_birth: rules.value("growth.failing_at_birth"),
            faltering_share: rules.value("growth.faltering_share"),
            faltering_variance: rules.value("growth.faltering_rate_sd").powi(2),
            failing_rate: rules.value("growth.failing_rate"),
            failing_variance: rules.value("growth.failing_rate_sd").powi(2),
            outlier: rules.value("growth.outlier"),
            drift: Drift::usual(),
        }
    }

    /// The chance to go over from each regime (rows) to each within so many days that end at an age.
    fn turns(&self, to_age: f64, days: f64) -> [[f64; REGIMES]; REGIMES] {
        let within = |per_day: f64| 1.0 - (1.0 - per_day).powf(days);
        let early = to_age <= EARLY_DAYS;
        let fails = within(if early { self.fails_early } else { self.fails_later });
        let (falters, recovers) = (within(self.falters), within(self.recovers));
        let worsens = within(self.worsens).min(1.0 - recovers);
        [
            [(1.0 - falters) * (1.0 - fails), falters * (1.0 - fails), fails],
            [recovers, 1.0 - recovers - worsens, worsens],
            [0.0, recovers, 1.0 - recovers],
        ]
    }
}

/// What a pup that thrives is expected to gain over an interval, in log weight a day, but for its own pace.
#[derive(Debug, Clone, Copy)]
pub(super) struct Expected {
    pub(super) rate: f64,
    /// How far its litter may be from that, and how much its own days vary.
    pub(super) variance: f64,
}

/// A weighing that follows another one.
#[derive(Debug, Clone, Copy)]
pub(super) struct Weighed {
    pub(super) to_age: f64,
    /// Days since the weighing before.
    pub(super) days: f64,
    /// Log of the weight, and the variance of its error by the scale.
    pub(super) log: f64,
    pub(super) error: f64,
}

/// What is believed of one pup.
#[derive(Debug, Clone, Copy)]
pub(super) struct Belief([Regime; REGIMES]);

/// One regime: its chance, and the normal distribution of log weight and of the pup's own pace in it, by
/// which its rate differs from that of its litter.
#[derive(Debug, Clone, Copy)]
struct Regime {
    chance: f64,
    log: f64,
    pace: f64,
    log_variance: f64,
    pace_variance: f64,
    covariance: f64,
}

impl Belief {
    /// At the first weighing; `dies` is the published share of deaths for the birth weight, of which some
    /// (`growth.failing_at_birth`) fall behind already.
    pub(super) fn at_first(
        (log, error): (f64, f64),
        pace_variance: f64,
        dies: f64,
        chances: &Chances,
    ) -> Self {
        let behind = dies * chances.failing_at_birth;
        let regime = |chance| Regime {
            chance,
            log,
            pace: 0.0,
            log_variance: error,
            pace_variance,
            covariance: 0.0,
        };
        Self([1.0 - behind, behind / 2.0, behind / 2.0].map(regime))
    }

    /// The chance that it does not thrive.
    pub(super) fn is_behind(&self) -> f64 {
        self.0.iter().skip(1).map(|regime| regime.chance).sum()
    }

    /// What is believed after the next weighing.
    pub(super) fn after(&self, weighed: Weighed, expected: Expected, chances: &Chances) -> Self {
        let turns = chances.turns(weighed.to_age, weighed.days);
        let falters = chances.faltering_share * expected.rate.max(0.0);
        let thriving = self.mixed(|from| turns[from][0]).thrives(weighed.days, expected, chances);
        let faltering = self.mixed(|from| turns[from][1]);
        let failing = self.mixed(|from| turns[from][2]);
        let ahead = [
            thriving,
            faltering.grows(weighed.days, falters, chances.faltering_variance),
            failing.grows(weighed.days, chances.failing_rate, chances.failing_variance),
        ];
        let mut likely = ahead.map(|regime| regime.likelihood(weighed, chances.outlier));
        // Growth beyond what is expected never speaks for failing.
        if weighed.log >= thriving.log {
            likely = likely.map(|other| other.min(likely[0]));
        }
        let total: f64 = ahead.iter().zip(likely).map(|(it, seen)| it.chance * seen).sum();
        let mut regimes = ahead.map(|regime| regime.seen(weighed, chances.outlier));
        for (regime, seen) in regimes.iter_mut().zip(likely) {
            regime.chance *= seen / total;
        }
        Self(regimes)
    }

    /// All that may have come to one regime, as one normal distribution.
    fn mixed(&self, share: impl Fn(usize) -> f64) -> Regime {
        let parts: [f64; REGIMES] = std::array::from_fn(|from| self.0[from].chance * share(from));
        let chance = parts.iter().sum::<f64>().max(f64::MIN_POSITIVE);
        let mean = |value: &dyn Fn(&Regime) -> f64| {
            self.0.iter().zip(parts).map(|(it, part)| part / chance * value(it)).sum::<f64>()
        };
        let (log, pace) = (mean(&|it| it.log), mean(&|it| it.pace));
        Regime {
            chance,
            log,
            pace,
            log_variance: mean(&|it| it.log_variance + (it.log - log).powi(2)),
            pace_variance: mean(&|it| it.pace_variance + (it.pace - pace).powi(2)),
            covariance: mean(&|it| it.covariance + (it.log - log) * (it.pace - pace)),
        }
    }
}

impl Regime {
    /// The same some days on, at a rate that does not hang on the pup's own pace.
    fn grows(self, days: f64, rate: f64, variance: f64) -> Self {
        let log_variance = self.log_variance + days * days * variance;
        Self { log: self.log + days * rate, log_variance, ..self }
    }

    /// The same some days on, at the expected rate and the pup's own pace.
    fn thrives(self, days: f64, expected: Expected, chances: &Chances) -> Self {
        let own = days * (2.0 * self.covariance + days * self.pace_variance);
        let grown = self.grows(days, expected.rate + self.pace, expected.variance);
        Self {
            log_variance: grown.log_variance + own,
            covariance: self.covariance + days * self.pace_variance,
            pace_variance: self.pace_variance + chances.drift.pup_pace_variance * days,
            ..grown
        }
    }

    /// How likely a weighing is: as usual, or as one that is far off.
    fn likelihood(&self, weighed: Weighed, outlier: f64) -> f64 {
        let (usual, far) = self.densities(weighed, outlier);
        usual + far
    }

    fn densities(&self, weighed: Weighed, outlier: f64) -> (f64, f64) {
        let off = weighed.log - self.log;
        let variance = self.log_variance + weighed.error;
        let usual = (1.0 - outlier) * density(off, variance);
        let far = outlier * density(off, variance + FAR_OFF * FAR_OFF);
        (usual.max(f64::MIN_POSITIVE), far)
    }

    /// The same after a weighing. One that is far off says little.
    fn seen(self, weighed: Weighed, outlier: f64) -> Self {
        let (usual, far) = self.densities(weighed, outlier);
        let share = usual / (usual + far);
        let variance = self.log_variance + weighed.error;
        let weight = share / variance + (1.0 - share) / (variance + FAR_OFF * FAR_OFF);
        let off = weighed.log - self.log;
        let left = 1.0 - self.log_variance * weight;
        Self {
            chance: self.chance,
            log: self.log + self.log_variance * weight * off,
            pace: self.pace + self.covariance * weight * off,
            log_variance: self.log_variance * left,
            pace_variance: self.pace_variance - self.covariance.powi(2) * weight,
            covariance: self.covariance * left,
        }
    }
}

fn density(off: f64, variance: f64) -> f64 {
    (-off * off / (2.0 * variance)).exp() / (2.0 * PI * variance).sqrt()
}
