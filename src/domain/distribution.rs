//! Laws of chance that estimates rest on: the normal and Student's t.

use libm::{erfc, lgamma};
use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// Density of the standard normal law at `z`.
pub(crate) fn normal_density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * PI).sqrt()
}

/// Chance that a standard normal value is at most `z`.
pub(crate) fn normal_cdf(z: f64) -> f64 {
    0.5 * erfc(-z * FRAC_1_SQRT_2)
}

/// The value below which a standard normal value falls with chance `p` (0–1, open).
pub(crate) fn normal_quantile(p: f64) -> f64 {
    bisect(-40.0, 40.0, |z| normal_cdf(z) - p)
}

/// Chance that a normal value of mean 0 and deviation `sd` lies within `within` of 0.
pub(crate) fn normal_within(within: f64, sd: f64) -> f64 {
    1.0 - 2.0 * normal_cdf(-within / sd)
}

/// Chance that a value of Student's t with `df` degrees of freedom is at most `t`.
pub(crate) fn student_t_cdf(t: f64, df: f64) -> f64 {
    let tail = 0.5 * incomplete_beta(df / (df + t * t), df / 2.0, 0.5);
    if t < 0.0 { tail } else { 1.0 - tail }
}

/// The zero of an increasing function between `low` and `high`.
pub(crate) fn bisect(mut low: f64, mut high: f64, increasing: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        // Between neighbours there is nothing more to find.
        if middle <= low || middle >= high {
            break;
        }
        if increasing(middle) < 0.0 { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// Regularised incomplete beta function: its continued fraction (Abramowitz & Stegun 26.5.8), from the front
/// on until it stands still (modified Lentz; Thompson IJ, Barnett AR 1986, J Comput Phys 64:490-509).
fn incomplete_beta(x: f64, a: f64, b: f64) -> f64 {
    if x <= 0.0 || x >= 1.0 {
        return x.clamp(0.0, 1.0);
    }
    if x > (a + 1.0) / (a + b + 2.0) {
        return 1.0 - incomplete_beta(1.0 - x, b, a);
    }
    let front = lgamma(a + b) - lgamma(a) - lgamma(b) + a * x.ln() + b * (1.0 - x).ln();
    let away_from_0 = |value: f64| if value.abs() < 1e-300 { 1e-300 } else { value };
    let (mut fraction, mut c, mut d) = (1.0, 1.0, 0.0);
    for k in 1..=500_u32 {
        let m = f64::from(k / 2);
        let coefficient = if k % 2 == 0 {
            m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m))
        } else {
            -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0))
        };
        d = 1.0 / away_from_0(1.0 + coefficient * d);
        c = away_from_0(1.0 + coefficient / c);
        fraction *= c * d;
        if (c * d - 1.0).abs() < 1e-16 {
            break;
        }
    }
    front.exp() / a / fraction
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(a: f64, b: f64, tolerance: f64) {
        assert!((a - b).abs() <= tolerance, "{a} is not {b}");
    }

    /// By the series of the error function near zero and its continued fraction in the tails (Abramowitz &
    /// Stegun 1964, 7.1.6 and 7.1.14): slow, and another way.
    fn normal_cdf_by_series(z: f64) -> f64 {
        let x = z.abs() / std::f64::consts::SQRT_2;
        let upper = if x < 2.5 {
            let (mut term, mut sum, mut n) = (x, x, 0.0);
            while term > sum * 1e-17 && n < 200.0 {
                n += 1.0;
                term *= 2.0 * x * x / (2.0 * n + 1.0);
                sum += term;
            }
            0.5 - (-x * x).exp() * sum / PI.sqrt()
        } else {
            let tail = (1..=60).rev().fold(x, |below, k| x + f64::from(k) / 2.0 / below);
            0.5 * (-x * x).exp() / PI.sqrt() / tail
        };
        if z < 0.0 { upper } else { 1.0 - upper }
    }

    #[test]
    fn the_normal_law_is_that_of_the_series() {
        for step in -3_200..=3_200 {
            let z = f64::from(step) / 100.0;
            let (fast, slow) = (normal_cdf(z), normal_cdf_by_series(z));
            near(fast, slow, 3e-15);
            // Chances far out are told apart by their ratio.
            assert!(z > -2.5 || (fast / slow - 1.0).abs() < 1e-11, "{z}: {fast} {slow}");
        }
        assert_eq!((normal_cdf(-40.0), normal_cdf(40.0)), (0.0, 1.0));
    }

    /// Abramowitz & Stegun 1964, table 26.1.
    #[test]
    fn gives_the_tabled_values_of_the_normal_law() {
        near(normal_cdf(0.0), 0.5, 1e-15);
        near(normal_cdf(1.0), 0.841_344_746_068_543, 1e-14);
        near(normal_cdf(1.96), 0.975_002_104_851_780, 1e-14);
        near(normal_cdf(-3.0), 0.001_349_898_031_630, 1e-14);
        near(normal_cdf(4.0), 0.999_968_328_758_167, 1e-14);
        near(normal_cdf(-6.0) / 9.865_876_450_377e-10, 1.0, 1e-9);
        near(normal_quantile(0.975), 1.959_963_984_540_054, 1e-10);
    }

    /// Fisher & Yates, Statistical Tables, table III (two-sided 5 % and 1 %).
    #[test]
    fn gives_the_tabled_values_of_students_t() {
        for (df, t) in [(1.0, 12.706), (2.0, 4.303), (5.0, 2.571), (10.0, 2.228), (30.0, 2.042)] {
            near(student_t_cdf(t, df), 0.975, 3e-5);
        }
        near(student_t_cdf(4.032, 5.0), 0.995, 3e-5);
        near(student_t_cdf(-2.228, 10.0), 0.025, 1e-4);
    }
}
