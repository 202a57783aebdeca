//! The cheapest way to place a number of litters on allowed pairs: a minimum-cost flow.
//!
//! Litters flow from a source through dams, pairs and sires to a sink. An animal's cost may rise
//! with each of its litters (convex), so augmenting one litter at a time along a shortest path is
//! exact (Ahuja RK, Magnanti TL, Orlin JB 1993, Network Flows, chapters 9 and 14), and the answer
//! is whole litters.

/// An allowed pair: places of dam and sire among the animals, and most litters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct PairArc {
    pub dam: usize,
    pub sire: usize,
    pub at_most: u32,
}

/// Least and most litters of an animal.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct LitterSpan {
    pub at_least: u32,
    pub at_most: u32,
}

/// Animals (dams first) and the pairs between them.
#[derive(Debug, Clone)]
pub(super) struct PairNetwork {
    pub dams: usize,
    pub animals: usize,
    pub pairs: Vec<PairArc>,
    /// Pair of each dam (column) and sire (row), if allowed.
    grid: Vec<Option<usize>>,
}

/// What a litter of each pair costs, beside the costs of its parents.
pub(super) type PairCost<'a> = Option<&'a dyn Fn(usize) -> f64>;

/// Litters of each pair and each animal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct LitterFlow {
    pub of_pair: Vec<u32>,
    pub of_animal: Vec<u32>,
}

/// A cost whose first part always outweighs the second: required litters come before cheap ones.
type Cost = (i32, f64);

const FAR: Cost = (i32::MAX / 2, 0.0);

/// Improvement below which two path lengths count as equal, so that rounding cannot loop.
const EQUAL: f64 = 1e-15;

fn add(a: Cost, b: Cost) -> Cost {
    (a.0 + b.0, a.1 + b.1)
}

fn shorter(a: Cost, b: Cost) -> bool {
    a.0 < b.0 || (a.0 == b.0 && a.1 < b.1 - EQUAL)
}

#[derive(Debug, Clone, Copy)]
enum Step {
    /// From the source to a dam.
    Enter,
    /// Along a pair, from dam to sire.
    Along(usize),
    /// Back over a pair, from sire to dam: one litter less of it.
    Back(usize),
}

impl PairNetwork {
    /// A network of `dams` dams, followed by sires, with at most one arc a pair.
    pub(super) fn new(dams: usize, animals: usize, pairs: Vec<PairArc>) -> Self {
        let mut grid = vec![None; dams * animals.saturating_sub(dams)];
        for (p, arc) in pairs.iter().enumerate() {
            grid[(arc.sire - dams) * dams + arc.dam] = Some(p);
        }
        Self { dams, animals, pairs, grid }
    }

    /// Places `litters` litters at least total cost.
    ///
    /// `marginal(a, k)` is the cost of animal `a`'s `k`-th litter (from 1), not falling in `k`;
    /// `pair_cost` that of each litter of a pair, none when absent. `Err` gives how many can be placed at most,
    /// or the number itself when only the required litters do not fit.
    pub(super) fn cheapest(
        &self,
        litters: u32,
        spans: &[LitterSpan],
        marginal: impl Fn(usize, u32) -> f64,
        pair_cost: PairCost<'_>,
    ) -> Result<LitterFlow, u32> {
        let mut flow =
            LitterFlow { of_pair: vec![0; self.pairs.len()], of_animal: vec![0; self.animals] };
        let next = |flow: &LitterFlow, a: usize| -> Option<Cost> {
            let had = flow.of_animal[a];
            let class = if had < spans[a].at_least { -1 } else { 0 };
            (had < spans[a].at_most).then(|| (class, marginal(a, had + 1)))
        };
        for placed in 0..litters {
            let start = (0..self.dams).map(|dam| next(&flow, dam).unwrap_or(FAR)).collect();
            let (reach, via) = match pair_cost {
                Some(cost) => self.shortest(&flow, start, cost),
                None => self.shortest_free(&flow, start),
            };
            let exit = (self.dams..self.animals)
                .filter(|s| reach[*s].0 < FAR.0)
                .filter_map(|s| next(&flow, s).map(|cost| (s, add(reach[s], cost))))
                .reduce(|best, other| if shorter(other.1, best.1) { other } else { best });
            let Some((sire, _)) = exit else { return Err(placed) };
            self.augment(&mut flow, sire, &via);
        }
        let kept = (0..self.animals).all(|a| flow.of_animal[a] >= spans[a].at_least);
        if kept { Ok(flow) } else { Err(litters) }
    }

    /// Shortest paths when pairs cost nothing: a sire is reached best from the first dam, in
    /// order of her own reach, who may still have a litter by him.
    fn shortest_free(&self, flow: &LitterFlow, start: Vec<Cost>) -> (Vec<Cost>, Vec<Step>) {
        let (mut reach, mut via) = self.begin(start);
        let used: Vec<usize> = (0..self.pairs.len()).filter(|p| flow.of_pair[*p] > 0).collect();
        let mut order: Vec<usize> = (0..self.dams).filter(|d| reach[*d].0 < FAR.0).collect();
        for _ in 0..self.animals {
            crate::stop::look();
            order.sort_by(|a, b| {
                reach[*a].0.cmp(&reach[*b].0).then(reach[*a].1.total_cmp(&reach[*b].1))
            });
            for sire in self.dams..self.animals {
                let row = &self.grid[(sire - self.dams) * self.dams..];
                let open = |p: &usize| flow.of_pair[*p] < self.pairs[*p].at_most;
                let first = order.iter().find_map(|dam| row[*dam].filter(open));
                if let Some(p) = first
                    && shorter(reach[self.pairs[p].dam], reach[sire])
                {
                    (reach[sire], via[sire]) = (reach[self.pairs[p].dam], Step::Along(p));
                }
            }
            let mut changed = false;
            for p in &used {
                let arc = self.pairs[*p];
                if reach[arc.sire].0 < FAR.0 && shorter(reach[arc.sire], reach[arc.dam]) {
                    if reach[arc.dam].0 >= FAR.0 {
                        order.push(arc.dam);
                    }
                    (reach[arc.dam], via[arc.dam], changed) =
                        (reach[arc.sire], Step::Back(*p), true);
                }
            }
            if !changed {
                break;
            }
        }
        (reach, via)
    }

    fn begin(&self, start: Vec<Cost>) -> (Vec<Cost>, Vec<Step>) {
        let mut reach = start;
        reach.resize(self.animals, FAR);
        (reach, vec![Step::Enter; self.animals])
    }

    /// Bellman-Ford from the source over what is left of the arcs.
    fn shortest(
        &self,
        flow: &LitterFlow,
        start: Vec<Cost>,
        pair_cost: &dyn Fn(usize) -> f64,
    ) -> (Vec<Cost>, Vec<Step>) {
        let (mut reach, mut via) = self.begin(start);
        for _ in 0..self.animals {
            crate::stop::look();
            let mut changed = false;
            for (p, arc) in self.pairs.iter().enumerate() {
                let cost = pair_cost(p);
                let along = add(reach[arc.dam], (0, cost));
                if flow.of_pair[p] < arc.at_most
                    && reach[arc.dam].0 < FAR.0
                    && shorter(along, reach[arc.sire])
                {
                    (reach[arc.sire], via[arc.sire], changed) = (along, Step::Along(p), true);
                }
                let back = add(reach[arc.sire], (0, -cost));
                if flow.of_pair[p] > 0 && reach[arc.sire].0 < FAR.0 && shorter(back, reach[arc.dam])
                {
                    (reach[arc.dam], via[arc.dam], changed) = (back, Step::Back(p), true);
                }
            }
            if !changed {
                break;
            }
        }
        (reach, via)
    }

    fn augment(&self, flow: &mut LitterFlow, sire: usize, via: &[Step]) {
        flow.of_animal[sire] += 1;
        let mut at = sire;
        loop {
            match via[at] {
                Step::Enter => break,
                Step::Along(p) => {
                    flow.of_pair[p] += 1;
                    at = self.pairs[p].dam;
                }
                Step::Back(p) => {
                    flow.of_pair[p] -= 1;
                    at = self.pairs[p].sire;
                }
            }
        }
        flow.of_animal[at] += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, ..Default::default() })]

        /// Equals the cheapest of all whole placements, and is refused just when there is none.
        #[test]
        fn equals_enumeration(
            caps in prop::collection::vec((0..2_u32, 1..3_u32), 4),
            pairs in prop::collection::vec((0..2_usize, 2..4_usize, 1..3_u32, 0..20_u32), 1..5),
            slope in prop::collection::vec(0..9_u32, 4),
            litters in 1..5_u32,
            free in any::<bool>(),
        ) {
            let spans: Vec<LitterSpan> = caps
                .iter()
                .map(|(lo, hi)| LitterSpan { at_least: *lo, at_most: *hi })
                .collect();
            let mut pairs = pairs;
            pairs.sort_unstable();
            pairs.dedup_by_key(|p| (p.0, p.1));
            let costs: Vec<f64> =
                pairs.iter().map(|p| if free { 0.0 } else { f64::from(p.3) }).collect();
            let arcs: Vec<PairArc> = pairs
                .iter()
                .map(|p| PairArc { dam: p.0, sire: p.1, at_most: p.2 })
                .collect();
            let network = PairNetwork::new(2, 4, arcs.clone());
            let marginal = |a: usize, k: u32| f64::from(slope[a] * k);
            let price = |x: &[u32]| -> Option<f64> {
                let mut n = [0_u32; 4];
                let mut cost = 0.0;
                for (p, litters) in x.iter().enumerate() {
                    n[arcs[p].dam] += litters;
                    n[arcs[p].sire] += litters;
                    cost += costs[p] * f64::from(*litters);
                }
                for a in 0..4 {
                    if n[a] < spans[a].at_least || n[a] > spans[a].at_most {
                        return None;
                    }
                    cost += (1..=n[a]).map(|k| marginal(a, k)).sum::<f64>();
                }
                Some(cost)
            };
            let mut best: Option<f64> = None;
            let mut x = vec![0_u32; arcs.len()];
            loop {
                if x.iter().sum::<u32>() == litters
                    && let Some(cost) = price(&x)
                {
                    best = Some(best.map_or(cost, |b| b.min(cost)));
                }
                let Some(p) = (0..x.len()).find(|p| x[*p] < arcs[*p].at_most) else { break };
                x[p] += 1;
                x[..p].fill(0);
            }
            let cost = |p: usize| costs[p];
            let pair_cost: PairCost<'_> = if free { None } else { Some(&cost) };
            let found = network.cheapest(litters, &spans, marginal, pair_cost).ok();
            prop_assert_eq!(found.as_ref().map(|f| price(&f.of_pair).unwrap()), best);
        }
    }
}
