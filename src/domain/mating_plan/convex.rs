//! A lower bound for the kinship of any plan: a convex relaxation with a certificate.
//!
//! With n litters of each animal the mean kinship is s·n'Kn + b·n. K is split into K' + diag(d)
//! with K' still positive semi-definite; s·n'K'n is convex, and s·d·n² + b·n of each animal is
//! replaced by the straight lines between its values at whole numbers, which is exact for every
//! whole plan and higher than the square between them. Over all fractional plans the sum is then
//! minimised by simplicial decomposition (von Hohenbalken B 1977, Math Program 13:49-68): each
//! round asks for the cheapest whole plan along the gradient. That answer also proves a bound
//! (Frank M, Wolfe P 1956, Nav Res Logist Q 3:95-110), however rough the solution so far.

use super::flow::{LitterFlow, LitterSpan, PairNetwork};
use crate::cholesky::{Cholesky, dot};

/// Jitter of the factorisation; its effect on a bound is below a tenth of [`super::search::EQUAL`].
const JITTER: f64 = 1e-10;

/// The objective and the network it is minimised over.
#[derive(Debug, Clone)]
pub(super) struct KinshipObjective {
    pub network: PairNetwork,
    pub litters: u32,
    /// Kinship of the animals, row by row.
    pub kinship: Vec<f64>,
    /// s = 1 / (2 · litters)².
    pub scale: f64,
    /// b: cost of a litter for the pups' kinship with themselves.
    pub linear: Vec<f64>,
    /// d: the diagonal taken out of K.
    pub diagonal: Vec<f64>,
}

/// A whole plan met on the way, and its place in the relaxation.
#[derive(Debug, Clone)]
pub(super) struct PlanVertex {
    pub flow: LitterFlow,
    litters: Vec<f64>,
    /// K'n.
    image: Vec<f64>,
    /// Σ s·d·n² + b·n.
    separable: f64,
}

/// What a relaxation came to.
pub(super) struct Relaxed {
    /// No plan within the spans is better than this.
    pub bound: f64,
    /// Litters of each animal, perhaps fractional.
    pub litters: Vec<f64>,
    /// The whole plans in use, for the next relaxation to start from.
    pub vertices: Vec<PlanVertex>,
}

impl KinshipObjective {
    /// Mean kinship of the pups of a whole plan.
    pub(super) fn value(&self, litters: &[u32]) -> f64 {
        let n: Vec<f64> = litters.iter().map(|k| f64::from(*k)).collect();
        let linear: f64 = self.linear.iter().zip(&n).map(|(b, k)| b * k).sum();
        self.scale * dot(&n, &multiply(&self.kinship, &n)) + linear
    }

    /// Kn: kinship of each animal to the pups, times twice the litters.
    pub(super) fn image(&self, litters: &[u32]) -> Vec<f64> {
        let n: Vec<f64> = litters.iter().map(|k| f64::from(*k)).collect();
        multiply(&self.kinship, &n)
    }

    /// Change of the value when animals' litters change by the steps, given [`Self::image`].
    pub(super) fn change(&self, image: &[f64], steps: &[(usize, i32)]) -> f64 {
        let animals = self.linear.len();
        let mut change = 0.0;
        for (a, step) in steps {
            let among: f64 = steps
                .iter()
                .map(|(b, other)| self.kinship[a * animals + b] * f64::from(*other))
                .sum();
            change += f64::from(*step) * (self.scale * (2.0 * image[*a] + among) + self.linear[*a]);
        }
        change
    }

    /// Takes out as much of the diagonal as keeps the rest positive semi-definite.
    ///
    /// Each animal gives up the same part of what it could give up alone, 1/(K⁻¹)ₐₐ.
    /// `Err` when K itself is not positive semi-definite, which no pedigree produces.
    pub(super) fn split_diagonal(&mut self) -> Result<(), ()> {
        let n = self.linear.len();
        let alone = inverse_diagonal(&self.kinship, n).ok_or(())?;
        let fits = |part: f64| {
            let mut rest = self.kinship.clone();
            (0..n).for_each(|a| rest[a * n + a] -= part / alone[a]);
            factor(rest, n).is_some()
        };
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..14 {
            let middle = 0.5 * (low + high);
            if fits(middle) { low = middle } else { high = middle }
        }
        self.diagonal = alone.iter().map(|v| low / v).collect();
        Ok(())
    }

    fn marginal(&self, animal: usize, k: u32) -> f64 {
        self.scale * self.diagonal[animal] * f64::from(2 * k - 1) + self.linear[animal]
    }

    fn vertex(&self, flow: LitterFlow) -> PlanVertex {
        let litters: Vec<f64> = flow.of_animal.iter().map(|k| f64::from(*k)).collect();
        let mut image = multiply(&self.kinship, &litters);
        let mut separable = 0.0;
        for (a, n) in litters.iter().enumerate() {
            image[a] -= self.diagonal[a] * n;
            separable += (self.scale * self.diagonal[a] * n + self.linear[a]) * n;
        }
        PlanVertex { flow, litters, image, separable }
    }

    /// Bounds every plan within `spans`; `None` when there is none.
    ///
    /// Stops once the bound reaches `enough`, or is so exact that it will not; without, when exact.
    /// `seen` is told every whole plan met.
    pub(super) fn relax(
        &self,
        spans: &[LitterSpan],
        start: &[PlanVertex],
        enough: Option<f64>,
        mut seen: impl FnMut(&LitterFlow),
    ) -> Option<Relaxed> {
        let inside = |v: &&PlanVertex| {
            let n = v.flow.of_animal.iter().zip(spans);
            n.into_iter().all(|(k, s)| (s.at_least..=s.at_most).contains(k))
        };
        let mut mixture = Mixture::default();
        start.iter().filter(inside).for_each(|v| mixture.push(self, v.clone()));
        if mixture.vertices.is_empty() {
            let marginal = |a, k| self.marginal(a, k);
            let flow = self.network.cheapest(self.litters, spans, marginal, None).ok()?;
            seen(&flow);
            mixture.push(self, self.vertex(flow));
        }
        let mut bound = f64::NEG_INFINITY;
        for round in 0..200 {
            mixture.settle();
            let (litters, image) = blend(&mixture.vertices, &mixture.weights);
            let separable = mixture.separable();
            let convex = self.scale * dot(&litters, &image);
            let slope = |a: usize, k: u32| 2.0 * self.scale * image[a] + self.marginal(a, k);
            let flow = self.network.cheapest(self.litters, spans, slope, None).ok()?;
            seen(&flow);
            let vertex = self.vertex(flow);
            let along = |n: &[f64], separable: f64| 2.0 * self.scale * dot(&image, n) + separable;
            let gap = along(&litters, separable) - along(&vertex.litters, vertex.separable);
            bound = bound.max(convex + separable - gap.max(0.0));
            let met = |v: &PlanVertex| v.flow.of_animal == vertex.flow.of_animal;
            let known = mixture.vertices.iter().any(met);
            let decided = enough.is_some_and(|e| bound >= e || gap <= 0.02 * (e - bound));
            if decided || known || gap <= 1e-12 || round == 199 {
                return Some(Relaxed { bound, litters, vertices: mixture.vertices });
            }
            mixture.push(self, vertex);
        }
        None
    }
}

/// A mixture of whole plans and the products between them.
#[derive(Default)]
struct Mixture {
    vertices: Vec<PlanVertex>,
    weights: Vec<f64>,
    /// 2·s·nᵤ'K'nᵥ.
    gram: Vec<Vec<f64>>,
}

impl Mixture {
    /// Adds a plan, with no weight unless it is the first.
    fn push(&mut self, objective: &KinshipObjective, vertex: PlanVertex) {
        let product = |v: &PlanVertex| 2.0 * objective.scale * dot(&vertex.litters, &v.image);
        let mut row: Vec<f64> = self.vertices.iter().map(product).collect();
        self.gram.iter_mut().zip(&row).for_each(|(other, value)| other.push(*value));
        row.push(product(&vertex));
        self.gram.push(row);
        self.weights.push(if self.vertices.is_empty() { 1.0 } else { 0.0 });
        self.vertices.push(vertex);
    }

    fn separable(&self) -> f64 {
        self.vertices.iter().zip(&self.weights).map(|(v, w)| v.separable * w).sum()
    }

    /// Finds the best mixture, moving weight from the worst plan to the best until none helps,
    /// and drops plans without weight.
    fn settle(&mut self) {
        let n = self.vertices.len();
        let mut slope: Vec<f64> = (0..n)
            .map(|u| self.vertices[u].separable + dot(&self.gram[u], &self.weights))
            .collect();
        for _ in 0..50 * (n + 10) {
            crate::stop::look();
            let used = (0..n).filter(|u| self.weights[*u] > 0.0);
            let worst = used.max_by(|a, b| slope[*a].total_cmp(&slope[*b])).unwrap_or(0);
            let best = (0..n).min_by(|a, b| slope[*a].total_cmp(&slope[*b])).unwrap_or(0);
            let gain = slope[worst] - slope[best];
            if gain <= 1e-13 {
                break;
            }
            let gram = &self.gram;
            let bend = gram[worst][worst] + gram[best][best] - 2.0 * gram[worst][best];
            let wanted = if bend > 0.0 { gain / bend } else { f64::INFINITY };
            let had = self.weights[worst];
            let step = wanted.min(had);
            self.weights[best] += step;
            self.weights[worst] = if wanted < had { had - step } else { 0.0 };
            for (u, s) in slope.iter_mut().enumerate() {
                *s += step * (gram[u][best] - gram[u][worst]);
            }
        }
        let kept: Vec<bool> = self.weights.iter().map(|w| *w > 0.0).collect();
        keep(&mut self.vertices, &kept);
        keep(&mut self.gram, &kept);
        self.gram.iter_mut().for_each(|row| keep(row, &kept));
        keep(&mut self.weights, &kept);
    }
}

/// Keeps the flagged items.
fn keep<T>(items: &mut Vec<T>, flags: &[bool]) {
    let mut flag = flags.iter();
    items.retain(|_| flag.next().copied().unwrap_or(false));
}

fn blend(vertices: &[PlanVertex], weights: &[f64]) -> (Vec<f64>, Vec<f64>) {
    let n = vertices.first().map_or(0, |v| v.litters.len());
    let total: f64 = weights.iter().sum();
    let (mut litters, mut image) = (vec![0.0; n], vec![0.0; n]);
    for (vertex, weight) in vertices.iter().zip(weights) {
        for a in 0..n {
            litters[a] += vertex.litters[a] * weight / total;
            image[a] += vertex.image[a] * weight / total;
        }
    }
    (litters, image)
}

fn multiply(matrix: &[f64], vector: &[f64]) -> Vec<f64> {
    matrix.chunks(vector.len().max(1)).map(|row| dot(row, vector)).collect()
}

/// Factors a matrix with a little added to its diagonal; `None` when it is not positive semi-definite.
fn factor(mut matrix: Vec<f64>, n: usize) -> Option<Cholesky> {
    (0..n).for_each(|a| matrix[a * n + a] += JITTER);
    Cholesky::of(n, &matrix)
}

/// Diagonal of the inverse of a positive semi-definite matrix.
fn inverse_diagonal(matrix: &[f64], n: usize) -> Option<Vec<f64>> {
    let factor = factor(matrix.to_vec(), n)?;
    // The squares of a column of the factor's inverse sum to its place.
    let of = |a: usize| {
        crate::stop::look();
        let mut unit = vec![0.0; n];
        unit[a] = 1.0;
        let column = factor.forward(&unit);
        dot(&column, &column)
    };
    Some((0..n).map(of).collect())
}
