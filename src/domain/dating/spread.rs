//! How far whelping strays from the day a method foretells.

use crate::distribution::{bisect, normal_cdf, normal_density, normal_within};

/// Errors of a method, in days: a normal core, mixed with a wide normal for its outliers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Spread {
    core_sd: f64,
    wide_sd: f64,
    wide_weight: f64,
}

/// Half a day more than the limit: "within 1 day" of whole days means an error under 1.5 days.
const HALF_DAY: f64 = 0.5;

impl Spread {
    /// Normal errors of deviation `sd` days.
    pub fn normal(sd: f64) -> Self {
        Self { core_sd: sd, wide_sd: sd, wide_weight: 0.0 }
    }

    /// Normal errors of which `within_1` (0–1, open) lie within 1 day.
    pub(crate) fn from_share(within_1: f64) -> Self {
        Self::normal(-(1.0 + HALF_DAY) / normal_tail(within_1))
    }

    /// The errors of which the published shares lie within 1 and within 2 days.
    ///
    /// Heavier tails than the normal law get the part of outliers of deviation `wide_sd` days that
    /// meets both shares; lighter tails get the normal law closest to both.
    pub(crate) fn from_shares(within_1: f64, within_2: f64, wide_sd: f64) -> Self {
        let (one, two) = (1.0 + HALF_DAY, 2.0 + HALF_DAY);
        let normal = Self::from_share(within_1);
        if normal.within(two) <= within_2 {
            let slope = |sd: f64| {
                let miss = |s: f64| {
                    (normal_within(one, s) - within_1).powi(2)
                        + (normal_within(two, s) - within_2).powi(2)
                };
                miss(sd + 1e-4) - miss(sd - 1e-4)
            };
            return Self::normal(bisect(0.5 * normal.core_sd, 1.5 * normal.core_sd, slope));
        }
        let mixed = |core_sd: f64| {
            let (core, wide) = (normal_within(one, core_sd), normal_within(one, wide_sd));
            let wide_weight = ((core - within_1) / (core - wide)).clamp(0.0, 1.0);
            Self { core_sd, wide_sd, wide_weight }
        };
        // The wider the core, the fewer outliers it needs to meet `within_1`, the larger `within_2`.
        mixed(bisect(0.2, normal.core_sd, |sd| mixed(sd).within(two) - within_2))
    }

    /// What is left of these errors when a part of deviation `sd` days is taken out as shared.
    pub(crate) fn without(self, sd: f64) -> Self {
        let left = |own: f64| (own * own - sd * sd).max(0.01).sqrt();
        Self { core_sd: left(self.core_sd), wide_sd: left(self.wide_sd), ..self }
    }

    /// Chance of an error within `days`.
    pub fn within(self, days: f64) -> f64 {
        (1.0 - self.wide_weight) * normal_within(days, self.core_sd)
            + self.wide_weight * normal_within(days, self.wide_sd)
    }

    /// Density of an error of `days`.
    pub(crate) fn density(self, days: f64) -> f64 {
        (1.0 - self.wide_weight) * normal_density(days / self.core_sd) / self.core_sd
            + self.wide_weight * normal_density(days / self.wide_sd) / self.wide_sd
    }

    /// Standard deviation, days.
    pub(crate) fn sd(self) -> f64 {
        ((1.0 - self.wide_weight) * self.core_sd.powi(2) + self.wide_weight * self.wide_sd.powi(2))
            .sqrt()
    }
}

/// The quantile of the lower tail left when `share` lies in the middle.
fn normal_tail(share: f64) -> f64 {
    let tail = 0.5 * (1.0 - share);
    bisect(-10.0, 0.0, |z| normal_cdf(z) - tail)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::Rules;

    /// The shares are those of the papers named in the rule table.
    #[test]
    fn reproduces_the_published_shares() {
        let rules = Rules::standard();
        let wide = rules.value("dating.wide_sd_days");
        let pairs = [
            (0.88, 0.99, 0.005),  // first day of dioestrus, De Cramer & Nöthling 2017
            (0.67, 0.90, 0.005),  // progesterone rise, Kutzler 2003
            (0.81, 0.931, 0.005), // inner chorionic cavity, Beccaglia & Luvoni 2012
            (0.677, 0.859, 0.005),
            (0.786, 0.952, 0.005), // biparietal diameter, same
            (0.789, 0.823, 0.02),
            (0.509, 0.698, 0.005),
            (0.77, 1.0, 0.045), // German Shepherd formulas, Cecchetto 2017 (a small series)
            (0.83, 0.96, 0.005),
            (0.708, 0.861, 0.005), // mixed ultrasound, Aust Vet J 2007
            (0.369, 0.565, 0.005), // radiograph, Borikappakul
        ];
        for (one, two, tolerance) in pairs {
            let spread = Spread::from_shares(one, two, wide);
            let (a, b) = (spread.within(1.5), spread.within(2.5));
            assert!((a - one).abs() <= tolerance, "{one}/{two}: {a} {b}");
            assert!((b - two).abs() <= tolerance, "{one}/{two}: {a} {b}");
        }
        // De Cramer & Nöthling 2017: 100 % within 3 days; it was not fitted to.
        assert!(Spread::from_shares(0.88, 0.99, wide).within(3.5) > 0.995);
        assert!((Spread::from_share(0.96).within(1.5) - 0.96).abs() < 1e-9);
    }
}
