//! Animals that would be their own ancestors.

use super::parents::UNKNOWN;

/// Every group of animals that descend from one another, each in ascending order of position.
///
/// Strongly connected components after Tarjan (1972) SIAM J Comput 1:146-160, without recursion
/// so that a deep pedigree cannot exhaust the stack.
pub(crate) fn loops(parents: &[[u32; 2]]) -> Vec<Vec<u32>> {
    let mut search = Search {
        parents,
        found: vec![UNKNOWN; parents.len()],
        low: vec![0; parents.len()],
        open: Vec::new(),
        is_open: vec![false; parents.len()],
        next: 0,
        loops: Vec::new(),
    };
    for root in 0..parents.len() as u32 {
        if search.found[root as usize] == UNKNOWN {
            search.walk(root);
        }
    }
    search.loops
}

struct Search<'a> {
    parents: &'a [[u32; 2]],
    /// When an animal was first met.
    found: Vec<u32>,
    /// The earliest animal met that can be reached from it.
    low: Vec<u32>,
    open: Vec<u32>,
    is_open: Vec<bool>,
    next: u32,
    loops: Vec<Vec<u32>>,
}

impl Search<'_> {
    fn walk(&mut self, root: u32) {
        let mut path = vec![(root, 0usize)];
        self.meet(root);
        while let Some((animal, side)) = path.pop() {
            if side < 2 {
                path.push((animal, side + 1));
                let parent = self.parents[animal as usize][side];
                if parent == UNKNOWN {
                    continue;
                }
                if self.found[parent as usize] == UNKNOWN {
                    self.meet(parent);
                    path.push((parent, 0));
                } else if self.is_open[parent as usize] {
                    let reached = self.found[parent as usize];
                    self.low[animal as usize] = self.low[animal as usize].min(reached);
                }
                continue;
            }
            if let Some((child, _)) = path.last() {
                let reached = self.low[animal as usize];
                self.low[*child as usize] = self.low[*child as usize].min(reached);
            }
            if self.low[animal as usize] == self.found[animal as usize] {
                self.close(animal);
            }
        }
    }

    fn meet(&mut self, animal: u32) {
        self.found[animal as usize] = self.next;
        self.low[animal as usize] = self.next;
        self.next += 1;
        self.open.push(animal);
        self.is_open[animal as usize] = true;
    }

    fn close(&mut self, first: u32) {
        let mut group = Vec::new();
        while let Some(animal) = self.open.pop() {
            self.is_open[animal as usize] = false;
            group.push(animal);
            if animal == first {
                break;
            }
        }
        if group.len() > 1 || self.parents[first as usize].contains(&first) {
            group.sort_unstable();
            self.loops.push(group);
        }
    }
}
