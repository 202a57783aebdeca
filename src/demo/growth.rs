//! How the demo's pups grow: one smooth curve, a little luck of its own for each, and the scale.

/// Logarithm of the weight as a multiple of the birth weight, by age in days: a slight loss on the
/// first day, doubled at nine to ten days. Invented, within the usual gains of
/// `domain/rules/growth_norms.toml`.
const THRIVING: &[(f64, f64)] =
    &[(0.0, 0.0), (0.5, -0.02), (1.0, 0.0), (7.0, 0.54), (14.0, 0.946), (28.0, 1.576)];

/// The same for a pup that falls behind from the third day and loses from the fifth.
const FAILING: &[(f64, f64)] =
    &[(0.0, 0.0), (1.0, -0.03), (3.0, 0.05), (4.5, 0.08), (7.0, 0.0), (8.0, -0.04)];

/// Gain a day from four weeks on, in grams.
const WEANING_GAIN_G: f64 = 100.0;

/// A pup as the curve knows it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct GrowingPup {
    /// Weight at birth in grams.
    pub birth_g: i32,
    /// Whether it thrives.
    pub thrives: bool,
    /// Tells its luck from its litter mates'.
    pub seed: u64,
}

impl GrowingPup {
    /// What the scale shows at an age, in grams: to the gram, from two kilograms on to ten.
    pub fn weight_g(self, age_days: f64) -> i32 {
        let curve = if self.thrives { THRIVING } else { FAILING };
        let birth = f64::from(self.birth_g);
        let vigour = 1.0 + 0.03 * noise(self.seed);
        let nursed = birth * (vigour * along(curve, age_days.min(28.0))).exp();
        let weaned = (age_days - 28.0).max(0.0) * WEANING_GAIN_G * vigour;
        #[expect(clippy::cast_sign_loss, reason = "an age")]
        let hour = (age_days * 24.0).round() as u64;
        let shown = (nursed + weaned) * (1.0 + 0.005 * noise(self.seed ^ (hour << 16)));
        let step = if shown < 2000.0 { 1.0 } else { 10.0 };
        #[expect(clippy::cast_possible_truncation, reason = "grams of a pup")]
        let grams = ((shown / step).round() * step) as i32;
        grams
    }
}

/// The curve at `x`: straight between its points, and on beyond the last as between the last two.
fn along(curve: &[(f64, f64)], x: f64) -> f64 {
    let segment = curve.windows(2).find(|pair| x <= pair[1].0).or(curve.windows(2).last());
    let Some(&[(x0, y0), (x1, y1)]) = segment else { return 0.0 };
    y0 + (y1 - y0) * (x - x0) / (x1 - x0)
}

/// Between -1 and 1, the same for the same seed (the finaliser of SplitMix64: Steele, Lea and
/// Flood 2014, Fast splittable pseudorandom number generators, DOI 10.1145/2660193.2660195).
fn noise(seed: u64) -> f64 {
    let mut z = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^= z >> 31;
    #[expect(clippy::cast_precision_loss, reason = "53 bits")]
    let unit = (z >> 11) as f64 / (1_u64 << 53) as f64;
    2.0 * unit - 1.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use domain::growth::standards::growth_norms;

    #[test]
    fn thriving_pups_keep_within_the_published_bands() {
        for seed in 0..50 {
            let pup = GrowingPup { birth_g: 410, thrives: true, seed };
            let (week, month) = (f64::from(pup.weight_g(7.0)), f64::from(pup.weight_g(28.0)));
            let daily =
                |later: f64, earlier: f64, days: f64| (later / earlier).powf(1.0 / days) - 1.0;
            for (gain, at) in [(daily(week, 410.0, 7.0), 3.0), (daily(month, week, 21.0), 14.0)] {
                let band = growth_norms()
                    .gain_band
                    .iter()
                    .find(|band| band.from_day <= at && at < band.to_day)
                    .unwrap();
                assert!(
                    (band.low..=band.high).contains(&gain),
                    "{gain} a day at {at} (seed {seed})"
                );
            }
        }
    }

    #[test]
    fn the_failing_pup_loses_after_the_fifth_day() {
        let pup = GrowingPup { birth_g: 318, thrives: false, seed: 4 };
        assert!(pup.weight_g(7.0) < pup.weight_g(6.0));
        assert!(pup.weight_g(6.0) < pup.weight_g(5.0));
        assert!(pup.weight_g(7.5) <= pup.birth_g);
    }
}
