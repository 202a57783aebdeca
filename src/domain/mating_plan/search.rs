//! Branch and bound over the litters of each animal, with the relaxation of [`super::convex`].

use super::{
    convex::{KinshipObjective, PlanVertex},
    flow::{LitterFlow, LitterSpan},
};
use std::{cmp::Ordering, collections::BinaryHeap};

/// Difference of mean kinship below which two plans count as equally good.
pub(super) const EQUAL: f64 = 1e-9;

/// The best plan found and how good any plan can be.
#[derive(Debug, Clone)]
pub(super) struct SearchOutcome {
    pub plan: LitterFlow,
    pub value: f64,
    /// No plan is below this.
    pub bound: f64,
    /// The bound before any branching.
    pub root_bound: f64,
    pub nodes: u64,
}

struct Node {
    bound: f64,
    spans: Vec<LitterSpan>,
    litters: Vec<f64>,
    vertices: Vec<PlanVertex>,
}

impl PartialEq for Node {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Node {}

impl PartialOrd for Node {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Node {
    /// The heap's greatest is the node with the lowest bound.
    fn cmp(&self, other: &Self) -> Ordering {
        other.bound.total_cmp(&self.bound)
    }
}

struct Search<'a> {
    objective: &'a KinshipObjective,
    spans: &'a [LitterSpan],
    best: Option<(f64, LitterFlow)>,
    /// Least bound of the nodes given up.
    closed: f64,
    nodes: u64,
}

/// Finds the plan of least mean kinship within `spans`, or the best after `node_limit` nodes.
///
/// `None` when no plan fits.
pub(super) fn search(
    objective: &KinshipObjective,
    spans: &[LitterSpan],
    node_limit: u64,
) -> Option<SearchOutcome> {
    let mut search = Search { objective, spans, best: None, closed: f64::INFINITY, nodes: 0 };
    let mut open = BinaryHeap::new();
    let root = search.bound(spans.to_vec(), &[])?;
    let root_bound = root.bound;
    open.push(root);
    while search.nodes < node_limit
        && let Some(node) = open.pop()
    {
        crate::stop::look();
        if search.hopeless(node.bound) {
            search.closed = search.closed.min(node.bound);
            continue;
        }
        let Some((animal, below)) = search.branch_on(&node) else {
            search.closed = search.closed.min(node.bound);
            continue;
        };
        for up in [false, true] {
            let mut spans = node.spans.clone();
            if up {
                spans[animal].at_least = below + 1;
            } else {
                spans[animal].at_most = below;
            }
            if let Some(mut child) = search.bound(spans, &node.vertices) {
                child.bound = child.bound.max(node.bound);
                open.push(child);
            }
        }
    }
    let (value, plan) = search.best?;
    let left = open.peek().map_or(f64::INFINITY, |node| node.bound);
    let bound = value.min(search.closed).min(left);
    Some(SearchOutcome { plan, value, bound, root_bound, nodes: search.nodes })
}

impl Search<'_> {
    fn hopeless(&self, bound: f64) -> bool {
        self.best.as_ref().is_some_and(|(value, _)| bound >= value - EQUAL)
    }

    fn bound(&mut self, spans: Vec<LitterSpan>, start: &[PlanVertex]) -> Option<Node> {
        self.nodes += 1;
        let enough = self.best.as_ref().map(|(value, _)| value - EQUAL);
        let mut met = Vec::new();
        let relaxed = self.objective.relax(&spans, start, enough, |flow| met.push(flow.clone()))?;
        met.into_iter().for_each(|flow| self.offer(flow));
        let (bound, litters) = (relaxed.bound, relaxed.litters);
        Some(Node { bound, spans, litters, vertices: relaxed.vertices })
    }

    /// Takes a whole plan if it beats the best, after improving it by single exchanges.
    fn offer(&mut self, flow: LitterFlow) {
        let value = self.objective.value(&flow.of_animal);
        if self.best.as_ref().is_none_or(|(best, _)| value < best - 1e-13) {
            self.best = Some(self.exchange(flow, value));
        }
    }

    /// Moves one litter at a time to another pair while that lowers the mean kinship.
    fn exchange(&self, mut flow: LitterFlow, mut value: f64) -> (f64, LitterFlow) {
        let pairs = &self.objective.network.pairs;
        loop {
            let image = self.objective.image(&flow.of_animal);
            let mut better: Option<(f64, usize, usize)> = None;
            for from in (0..pairs.len()).filter(|p| flow.of_pair[*p] > 0) {
                crate::stop::look();
                for to in (0..pairs.len()).filter(|p| flow.of_pair[*p] < pairs[*p].at_most) {
                    let steps = self.steps(from, to);
                    if steps.iter().all(|(a, step)| self.may(*a, flow.of_animal[*a], *step)) {
                        let change = self.objective.change(&image, &steps);
                        if change < better.map_or(-1e-12, |b| b.0) {
                            better = Some((change, from, to));
                        }
                    }
                }
            }
            let Some((_, from, to)) = better else { return (value, flow) };
            flow.of_pair[from] -= 1;
            flow.of_pair[to] += 1;
            for (a, step) in self.steps(from, to) {
                flow.of_animal[a] = flow.of_animal[a].saturating_add_signed(step);
            }
            value = self.objective.value(&flow.of_animal);
        }
    }

    /// What a litter's move from one pair to another does to each animal.
    fn steps(&self, from: usize, to: usize) -> [(usize, i32); 4] {
        let (from, to) = (self.objective.network.pairs[from], self.objective.network.pairs[to]);
        let dam = if from.dam == to.dam { 0 } else { 1 };
        let sire = if from.sire == to.sire { 0 } else { 1 };
        [(from.dam, -dam), (to.dam, dam), (from.sire, -sire), (to.sire, sire)]
    }

    fn may(&self, animal: usize, litters: u32, step: i32) -> bool {
        let span = self.spans[animal];
        step == 0
            || litters
                .checked_add_signed(step)
                .is_some_and(|k| (span.at_least..=span.at_most).contains(&k))
    }

    /// The animal whose litters are the most fractional, and the whole number below.
    fn branch_on(&self, node: &Node) -> Option<(usize, u32)> {
        let away = |x: f64| (x - x.round()).abs();
        let fractional = (0..node.litters.len()).filter(|a| away(node.litters[*a]) > 1e-6);
        let most =
            fractional.max_by(|a, b| away(node.litters[*a]).total_cmp(&away(node.litters[*b])));
        let animal = most.or_else(|| {
            // Whole, yet not proved: split the widest span at this plan.
            (0..node.spans.len())
                .filter(|a| node.spans[*a].at_least < node.spans[*a].at_most)
                .max_by_key(|a| node.spans[*a].at_most - node.spans[*a].at_least)
        })?;
        let span = node.spans[animal];
        // Litters are small and not negative.
        let below = (node.litters[animal] + 1e-6).floor().max(0.0) as u32;
        Some((animal, below.clamp(span.at_least, span.at_most.saturating_sub(1))))
    }
}
