//! Where the inbreeding of pups comes from: common ancestors, their contributions and the paths.
//!
//! Wright's path coefficients (1922, Am Nat 56:330-338): F is the sum, over all pairs of paths
//! that lead from the sire and from the dam to a common ancestor and share no other animal, of
//! one half to the power of the animals on both, times one plus the ancestor's own F.
//! Paths are not listed to get there, since a deep pedigree has more of them than atoms: the
//! shares of both parents in an ancestor multiply to the weight of all path pairs that end there,
//! and those that met before, at a younger ancestor, are taken off, youngest ancestor first.

use super::ancestry::Ancestry;
use crate::pedigree::{Animal, Parents};
use std::{cmp::Reverse, collections::BinaryHeap};

/// Common ancestors that share a walk.
const LANES: usize = 8;
/// Below this share of all its path pairs, those left to an ancestor are rounding.
const ROUNDING: f64 = 1e-12;
/// Integers below this are exact in a float.
const EXACT_COUNT: f64 = 9_007_199_254_740_992.0;
/// Steps of the search for one ancestor's shortest paths.
const PATH_STEPS: usize = 20_000;

/// A common ancestor of a sire and a dam, and what it adds to the inbreeding of their pups.
#[derive(Debug, Clone, PartialEq)]
pub struct AncestorContribution {
    /// The ancestor; may be the sire or the dam itself.
    pub ancestor: Animal,
    /// Its own F.
    pub inbreeding: f64,
    /// What it adds to the pups' F; these sum to it.
    pub contribution: f64,
    /// Number of paths through it; `None` where there are too many to be counted exactly (2^53).
    pub path_count: Option<u64>,
}

/// The common ancestors of a pair, as far as they were looked at.
#[derive(Debug, Clone, PartialEq)]
pub struct CommonAncestors {
    /// Those through which the pups are inbred, largest contribution first.
    pub contributions: Vec<AncestorContribution>,
    /// Common ancestors older than all of these that were not looked at.
    pub unexamined: usize,
}

/// The common ancestors through which pups of `sire` and `dam` are inbred.
///
/// `inbreeding` holds F of all animals by position. The work is the number of common ancestors times
/// that of all ancestors; it goes from the youngest on until `most_steps` are taken, and contributions
/// that were found are exact in any case.
pub fn common_ancestors(
    parents: &Parents,
    inbreeding: &[f64],
    sire: Animal,
    dam: Animal,
    most_steps: usize,
) -> CommonAncestors {
    let ancestry = Ancestry::of(parents, inbreeding, &[sire, dam]);
    let mut found = Vec::new();
    let (meetings, unexamined) = Meetings::of(&ancestry, sire, dam, most_steps);
    for meeting in meetings {
        let ancestor = ancestry.animals[meeting.at];
        let own = inbreeding[ancestor as usize];
        found.push(AncestorContribution {
            ancestor,
            inbreeding: own,
            contribution: meeting.weight * (1.0 + own) / 2.0,
            path_count: meeting.count.map(|count| count as u64),
        });
    }
    found.sort_by(|a, b| {
        b.contribution.total_cmp(&a.contribution).then(a.ancestor.cmp(&b.ancestor))
    });
    CommonAncestors { contributions: found, unexamined }
}

/// The path pairs that meet first at one ancestor.
struct Meeting {
    at: usize,
    weight: f64,
    count: Option<f64>,
}

/// Weights and numbers of path pairs, of both parents to each ancestor.
struct Meetings<'a> {
    ancestry: &'a Ancestry,
    weight: Vec<f64>,
    count: Vec<f64>,
    /// The weights before those that met earlier are taken off.
    all_weight: Vec<f64>,
    all_count: Vec<f64>,
}

impl<'a> Meetings<'a> {
    fn of(
        ancestry: &'a Ancestry,
        sire: Animal,
        dam: Animal,
        most_steps: usize,
    ) -> (Vec<Meeting>, usize) {
        let mut lines = vec![[0.0f64; 4]; ancestry.len() + 1];
        for (side, animal) in [sire, dam].into_iter().enumerate() {
            if let Some(at) = ancestry.find(animal) {
                lines[at][side] += 1.0;
                lines[at][side + 2] += 1.0;
            }
        }
        for (at, pair) in ancestry.pairs.iter().enumerate().rev() {
            let [a, b, paths_a, paths_b] = lines[at];
            for parent in pair {
                let place = &mut lines[*parent as usize];
                place[0] += a / 2.0;
                place[1] += b / 2.0;
                place[2] += paths_a;
                place[3] += paths_b;
            }
        }
        lines.truncate(ancestry.len());
        let weight: Vec<f64> = lines.iter().map(|[a, b, ..]| a * b).collect();
        let count: Vec<f64> = lines.iter().map(|[.., a, b]| a * b).collect();
        let (all_weight, all_count) = (weight.clone(), count.clone());
        Self { ancestry, weight, count, all_weight, all_count }.take_off_earlier(most_steps)
    }

    fn take_off_earlier(mut self, most_steps: usize) -> (Vec<Meeting>, usize) {
        let common: Vec<usize> =
            (0..self.ancestry.len()).rev().filter(|at| self.all_count[*at] > 0.0).collect();
        let mut lanes = vec![([0.0f64; LANES], [0.0f64; LANES]); self.ancestry.len() + 1];
        let mut meetings = Vec::new();
        let affordable = (most_steps / self.ancestry.len().max(1)).max(LANES).min(common.len());
        for block in common[..affordable].chunks(LANES) {
            crate::stop::look();
            self.walk(block, &mut lanes, &mut meetings);
        }
        (meetings, common.len() - affordable)
    }

    /// Walks up from a block of common ancestors, youngest first, and takes the path pairs that
    /// met at them off those of their own ancestors.
    fn walk(
        &mut self,
        block: &[usize],
        lanes: &mut [([f64; LANES], [f64; LANES])],
        meetings: &mut Vec<Meeting>,
    ) {
        let mut met_weight = [0.0; LANES];
        let mut met_count = [0.0; LANES];
        let mut next = 0;
        for at in (0..=block[0]).rev() {
            let (mut share, mut paths) = std::mem::take(&mut lanes[at]);
            for lane in 0..LANES {
                self.weight[at] -= met_weight[lane] * share[lane] * share[lane];
                // A block's own count can be too large to be exact; its product with 0 is 0.
                self.count[at] -= met_count[lane] * paths[lane] * paths[lane];
            }
            if block.get(next) == Some(&at) {
                if let Some(meeting) = self.settle(at) {
                    (share[next], paths[next]) = (1.0, 1.0);
                    met_weight[next] = meeting.weight;
                    met_count[next] = self.count[at];
                    meetings.push(meeting);
                }
                next += 1;
            }
            for parent in self.ancestry.pairs[at] {
                let (share_above, paths_above) = &mut lanes[parent as usize];
                for lane in 0..LANES {
                    share_above[lane] += share[lane] / 2.0;
                    paths_above[lane] += paths[lane];
                }
            }
        }
    }

    /// What is left to an ancestor once all younger ones have been taken off.
    fn settle(&self, at: usize) -> Option<Meeting> {
        let exact = self.all_count[at] < EXACT_COUNT;
        let is_left = if exact {
            self.count[at] > 0.5
        } else {
            self.weight[at] > ROUNDING * self.all_weight[at]
        };
        let count = exact.then_some(self.count[at]);
        is_left.then(|| Meeting { at, weight: self.weight[at], count })
    }
}

/// The shortest paths from `sire` up to `ancestor` and down to `dam` on which no animal stands
/// twice, at most `most` of them.
pub fn shortest_paths(
    parents: &Parents,
    sire: Animal,
    dam: Animal,
    ancestor: Animal,
    most: usize,
) -> Vec<Vec<Animal>> {
    let lineage = distances(parents, ancestor, [sire, dam]);
    let left = |animal: Animal| {
        lineage.binary_search_by_key(&animal, |(a, _)| *a).ok().map(|at| lineage[at].1)
    };
    let mut steps: Vec<Step> = Vec::new();
    // By the least length that a path through this step can have, then by what is left of it:
    // the search goes straight for the ancestor and finds shorter paths first.
    let mut waiting = BinaryHeap::new();
    if let (Some(a), Some(b)) = (left(sire), left(dam)) {
        steps.push(Step { ends: [sire, dam], from: None, length: 0 });
        waiting.push(Reverse((a + b, a + b, 0usize)));
    }
    let mut paths = Vec::new();
    crate::stop::look();
    for _ in 0..PATH_STEPS {
        let Some(Reverse((_, _, number))) = waiting.pop().filter(|_| paths.len() < most) else {
            break;
        };
        let [a, b] = steps[number].ends;
        if a == b {
            // Paths that meet elsewhere belong to the animal where they meet.
            if a == ancestor {
                paths.push(trace(&steps, number));
            }
            continue;
        }
        // Going up from the younger one only keeps the two paths apart until they meet.
        let younger = usize::from(b > a);
        let other_left = left([a, b][1 - younger]).unwrap_or(0);
        for parent in parents.known([a, b][younger]) {
            let Some(parent_left) = left(parent) else { continue };
            let (length, left) = (steps[number].length + 1, parent_left + other_left);
            let mut ends = [a, b];
            ends[younger] = parent;
            waiting.push(Reverse((length + left, left, steps.len())));
            steps.push(Step { ends, from: Some(number), length });
        }
    }
    paths
}

/// Where the two halves of a path have got to.
struct Step {
    ends: [Animal; 2],
    from: Option<usize>,
    /// Generations gone up on both halves together.
    length: u32,
}

fn trace(steps: &[Step], last: usize) -> Vec<Animal> {
    let mut halves: [Vec<Animal>; 2] = [Vec::new(), Vec::new()];
    let mut at = Some(last);
    while let Some(step) = at.map(|number| &steps[number]) {
        for (half, end) in halves.iter_mut().zip(step.ends) {
            if half.last() != Some(&end) {
                half.push(end);
            }
        }
        at = step.from;
    }
    let [up, down] = halves;
    // Both begin with the ancestor, which stands in the path once.
    up.into_iter().rev().chain(down.into_iter().skip(1)).collect()
}

/// `ancestor` and its descendants among the ancestors of `pair`, ascending, each with the
/// generations of the shortest line between.
fn distances(parents: &Parents, ancestor: Animal, pair: [Animal; 2]) -> Vec<(Animal, u32)> {
    let mut found = vec![(ancestor, 0)];
    for animal in super::ancestors(parents, &pair) {
        let above = parents.known(animal).filter_map(|parent| {
            found.binary_search_by_key(&parent, |(a, _)| *a).ok().map(|at| found[at].1)
        });
        if let Some(least) = above.min().filter(|_| animal > ancestor) {
            found.push((animal, least + 1));
        }
    }
    found
}
