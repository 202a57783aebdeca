//! Symmetric positive definite systems, small enough to be solved at once.

/// The lower factor `L` of a symmetric positive definite matrix `A = L Lᵀ`, by rows.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cholesky {
    size: usize,
    lower: Vec<f64>,
}

impl Cholesky {
    /// Factors a matrix given by rows; `None` when it is not positive definite.
    pub(super) fn of(size: usize, matrix: &[f64]) -> Option<Self> {
        let mut lower = vec![0.0; size * size];
        for i in 0..size {
            crate::stop::look();
            for j in 0..=i {
                let dot: f64 = (0..j).map(|k| lower[i * size + k] * lower[j * size + k]).sum();
                let rest = matrix[i * size + j] - dot;
                if i == j {
                    if rest.is_nan() || rest <= 0.0 {
                        return None;
                    }
                    lower[i * size + i] = rest.sqrt();
                } else {
                    lower[i * size + j] = rest / lower[j * size + j];
                }
            }
        }
        Some(Self { size, lower })
    }

    /// Solves `A x = b`.
    pub(super) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let n = self.size;
        let mut x = right.to_vec();
        for i in 0..n {
            let dot: f64 = (0..i).map(|k| self.lower[i * n + k] * x[k]).sum();
            x[i] = (x[i] - dot) / self.lower[i * n + i];
        }
        for i in (0..n).rev() {
            let dot: f64 = (i + 1..n).map(|k| self.lower[k * n + i] * x[k]).sum();
            x[i] = (x[i] - dot) / self.lower[i * n + i];
        }
        x
    }
}

/// The sum of the products of two vectors.
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}
