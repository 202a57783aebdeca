//! How far a realised breed share strays from its expectation: the dog's genetic map.

use serde::Deserialize;
use std::sync::LazyLock;

/// Chromosomes by genetic length and by their weight in the genome.
#[derive(Debug, Clone, PartialEq)]
pub struct GeneticMap {
    /// Length of each, morgans, and its part of the genome.
    chromosomes: Vec<(f64, f64)>,
    /// Where the lengths come from.
    pub source: String,
}

#[derive(Debug, Deserialize)]
struct Table {
    source: String,
    autosomes_morgan: Vec<f64>,
    autosomes_megabase: Vec<f64>,
}

static DOG: LazyLock<GeneticMap> = LazyLock::new(|| {
    #[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
    let table: Table =
        toml::from_str(include_str!("../rules/dog_genetic_map.toml")).expect("embedded map");
    let lengths: Vec<(f64, f64)> =
        table.autosomes_morgan.into_iter().zip(table.autosomes_megabase).collect();
    GeneticMap::new(&lengths, table.source)
});

impl GeneticMap {
    /// The dog's 38 autosomes.
    pub fn dog() -> &'static Self {
        &DOG
    }

    /// A map from each chromosome's length in morgans and its physical size in any unit.
    pub fn new(lengths: &[(f64, f64)], source: impl Into<String>) -> Self {
        let total: f64 = lengths.iter().map(|(_, size)| size).sum();
        let chromosomes = lengths.iter().map(|(morgan, size)| (*morgan, size / total)).collect();
        Self { chromosomes, source: source.into() }
    }

    /// Variance of a mean over the genome whose covariance at two loci d morgans apart is
    /// `Σ coefficients[k]·exp(−2kd)`, and nothing between chromosomes.
    ///
    /// Over a chromosome of l morgans exp(−2kd) averages (2kl − 1 + exp(−2kl)) / 2k²l² (the
    /// integral in Frisch M, Melchinger AE 2007, Variance of the parental genome contribution to
    /// inbred lines derived from biparental crosses, Genetics 176:477-488).
    pub(crate) fn variance(&self, coefficients: &[f64]) -> f64 {
        let averaged = |k: usize, l: f64| {
            let x = 2.0 * k as f64 * l;
            if x < 1e-4 { 1.0 - x / 3.0 } else { 2.0 * (x + (-x).exp_m1()) / (x * x) }
        };
        let of = |l: f64| -> f64 {
            coefficients.iter().enumerate().map(|(k, c)| c * averaged(k, l)).sum()
        };
        self.chromosomes.iter().map(|(l, weight)| weight * weight * of(*l)).sum()
    }
}
