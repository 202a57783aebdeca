//! The animal model: breeding values by best linear unbiased prediction over a pedigree.
//!
//! Henderson's mixed model equations (Henderson CR 1975, Biometrics 31:423-447) for `y = Xb + Zu + e` with
//! `var(u) = A sigma2_u`, where each record belongs to one group with a mean of its own:
//!
//! ```text
//! [ X'X   X'Z               ] [b]   [X'y]
//! [ Z'X   Z'Z + lambda A^-1 ] [u] = [Z'y],    lambda = (1 - h2) / h2
//! ```
//!
//! `A^-1` is applied by Henderson's rules with inbreeding (Henderson 1976, Biometrics 32:69-83; Quaas 1976,
//! 32:949-953): an animal adds `(1, -1/2, -1/2)'(1, -1/2, -1/2) / d` to itself and its parents, `d` being the share
//! of variance that the parents do not explain. The groups are absorbed. What is left is solved by conjugate
//! gradients, preconditioned by `A` itself, which one walk up and one down the pedigree multiply (Colleau 2002,
//! Genet Sel Evol 34:409-421): the system then is a multiple of the identity plus a matrix of the rank of the
//! records, so it takes at most one step more than there are records, whatever the pedigree's size.

use crate::inbreeding::Ancestry;

/// A value of one animal, by its position in the ancestry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ModelRecord {
    /// The animal.
    pub animal: usize,
    /// The group whose mean it is measured from.
    pub group: usize,
    /// The value.
    pub value: f64,
}

/// An animal model with its data.
pub(crate) struct AnimalModel<'a> {
    ancestry: &'a Ancestry,
    records: &'a [ModelRecord],
    /// Records of each group.
    in_group: Vec<f64>,
    /// Residual variance over genetic variance.
    lambda: f64,
}

/// Residual, relative to the right-hand side, at which the equations count as solved.
const SOLVED: f64 = 1e-12;
/// The same for an error variance, whose own error is of the square of this.
const SOLVED_FOR_ERROR: f64 = 1e-7;

impl<'a> AnimalModel<'a> {
    /// A model for a heritability between 0 and 1, both excluded.
    pub(crate) fn new(
        ancestry: &'a Ancestry,
        records: &'a [ModelRecord],
        heritability: f64,
    ) -> Self {
        let groups = records.iter().map(|record| record.group + 1).max().unwrap_or(0);
        let mut in_group = vec![0.0; groups];
        records.iter().for_each(|record| in_group[record.group] += 1.0);
        Self { ancestry, records, in_group, lambda: (1.0 - heritability) / heritability }
    }

    /// Breeding values of all animals of the ancestry, in the records' unit, and the mean of each group.
    pub(crate) fn breeding_values(&self) -> (Vec<f64>, Vec<f64>) {
        let mut right = vec![0.0; self.ancestry.len()];
        for (record, centred) in self.records.iter().zip(self.centred(|record| record.value)) {
            right[record.animal] += centred;
        }
        let values = self.solved(&right, SOLVED);
        let means = self.means(|record| record.value - values[record.animal]);
        (values, means)
    }

    /// Prediction error variance of an animal's breeding value, in units of the genetic variance.
    ///
    /// The animal's diagonal element of the inverse of the equations, times lambda: the error of the groups'
    /// means is in it.
    pub(crate) fn error_variance(&self, animal: usize) -> f64 {
        let mut unit = vec![0.0; self.ancestry.len()];
        unit[animal] = 1.0;
        self.lambda * self.solved(&unit, SOLVED_FOR_ERROR)[animal]
    }

    /// Means of the groups.
    fn means(&self, of: impl Fn(&ModelRecord) -> f64) -> Vec<f64> {
        let mut means = vec![0.0; self.in_group.len()];
        for record in self.records {
            means[record.group] += of(record) / self.in_group[record.group];
        }
        means
    }

    /// What each record has beyond its group's mean.
    fn centred(&self, of: impl Fn(&ModelRecord) -> f64) -> Vec<f64> {
        let means = self.means(&of);
        self.records.iter().map(|record| of(record) - means[record.group]).collect()
    }

    /// The left-hand side, groups absorbed, times a vector: `Z'(I - X(X'X)^-1 X')Z x + lambda A^-1 x`.
    fn times(&self, x: &[f64]) -> Vec<f64> {
        let mut product = self.ancestry.inverse_times(x);
        product.iter_mut().for_each(|value| *value *= self.lambda);
        for (record, centred) in self.records.iter().zip(self.centred(|one| x[one.animal])) {
            product[record.animal] += centred;
        }
        product
    }

    /// Solves the equations for a right-hand side.
    fn solved(&self, right: &[f64], solved: f64) -> Vec<f64> {
        let norm = |x: &[f64]| dot(x, x).sqrt();
        let goal = solved * norm(right);
        let mut x = vec![0.0; right.len()];
        let mut residual = right.to_vec();
        let mut direction = self.ancestry.times(&residual);
        let mut descent = dot(&residual, &direction);
        // Rounding asks for a few steps more than the rank of the records.
        for _ in 0..2 * self.records.len() + 20 {
            crate::stop::look();
            if norm(&residual) <= goal {
                break;
            }
            let image = self.times(&direction);
            let step = descent / dot(&direction, &image);
            for ((x, r), (d, i)) in
                x.iter_mut().zip(&mut residual).zip(direction.iter().zip(&image))
            {
                *x += step * d;
                *r -= step * i;
            }
            let next = self.ancestry.times(&residual);
            let descent_then = dot(&residual, &next);
            let turn = descent_then / descent;
            descent = descent_then;
            for (d, n) in direction.iter_mut().zip(&next) {
                *d = n + turn * *d;
            }
        }
        x
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}
