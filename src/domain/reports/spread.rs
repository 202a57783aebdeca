//! Mean and spread of a handful of weights.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Mean and spread of weights.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WeightSpread {
    /// How many weights.
    #[schema(example = 6)]
    pub count: usize,
    /// Their mean; `null` without weights.
    #[schema(example = 412.5)]
    pub mean_g: Option<f64>,
    /// The least.
    #[schema(example = 365.0)]
    pub min_g: Option<f64>,
    /// The largest.
    #[schema(example = 450.0)]
    pub max_g: Option<f64>,
    /// Sample standard deviation (n − 1); `null` for fewer than two weights.
    #[schema(example = 31.2)]
    pub standard_deviation_g: Option<f64>,
}

impl WeightSpread {
    /// Mean and spread of `weights_g`.
    pub fn of(weights_g: &[f64]) -> Self {
        let count = weights_g.len();
        let n = count as f64;
        let mean = (count > 0).then(|| weights_g.iter().sum::<f64>() / n);
        let deviation = |mean: f64| {
            let squares: f64 = weights_g.iter().map(|weight| (weight - mean).powi(2)).sum();
            (squares / (n - 1.0)).sqrt()
        };
        Self {
            count,
            mean_g: mean,
            min_g: weights_g.iter().copied().reduce(f64::min),
            max_g: weights_g.iter().copied().reduce(f64::max),
            standard_deviation_g: mean.filter(|_| count > 1).map(deviation),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST/SEMATECH e-Handbook of Statistical Methods defines s with n − 1; by hand: 2, 4, 4, 4,
    /// 5, 5, 7, 9 has the mean 5 and squares that sum to 32.
    #[test]
    fn spread_is_by_the_book() {
        let spread = WeightSpread::of(&[2.0, 4.0, 4.0, 4.0, 5.0, 5.0, 7.0, 9.0]);
        assert_eq!((spread.mean_g, spread.min_g, spread.max_g), (Some(5.0), Some(2.0), Some(9.0)));
        assert!((spread.standard_deviation_g.unwrap() - (32.0f64 / 7.0).sqrt()).abs() < 1e-12);
        assert_eq!(WeightSpread::of(&[3.0]).standard_deviation_g, None);
        assert_eq!(WeightSpread::of(&[]).mean_g, None);
    }
}
