//! Symmetric positive definite systems, small enough to be solved at once: of growth, and of the year's plan.

/// The lower factor `L` of a symmetric positive definite matrix `A = L Lᵀ`, by rows.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Cholesky {
    size: usize,
    lower: Vec<f64>,
}

impl Cholesky {
    /// Factors a matrix given by rows; `None` when it is not positive definite.
    pub(crate) fn of(size: usize, matrix: &[f64]) -> Option<Self> {
        let mut lower = vec![0.0; size * size];
        for i in 0..size {
            crate::stop::look();
            for j in 0..=i {
                let rows = (&lower[i * size..i * size + j], &lower[j * size..j * size + j]);
                let rest = matrix[i * size + j] - dot(rows.0, rows.1);
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
    pub(crate) fn solve(&self, right: &[f64]) -> Vec<f64> {
        self.backward(self.forward(right))
    }

    /// Solves `L x = b`.
    pub(crate) fn forward(&self, right: &[f64]) -> Vec<f64> {
        let n = self.size;
        let mut x = right.to_vec();
        for i in 0..n {
            let (known, row) = (&x[..i], &self.lower[i * n..i * n + i]);
            x[i] = (x[i] - dot(row, known)) / self.lower[i * n + i];
        }
        x
    }

    /// Solves `Lᵀ x = b`.
    pub(crate) fn backward(&self, mut x: Vec<f64>) -> Vec<f64> {
        let n = self.size;
        for i in (0..n).rev() {
            x[i] /= self.lower[i * n + i];
            let solved = x[i];
            // Row by row, as the factor lies in memory.
            let row = &self.lower[i * n..i * n + i];
            x.iter_mut().zip(row).for_each(|(value, of_row)| *value -= of_row * solved);
        }
        x
    }
}

/// The sum of the products of two vectors.
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}
