//! Two classic problems of assignment, on plain numbers.

use pathfinding::kuhn_munkres::{Weights, kuhn_munkres_min};

/// Serves rows in their order: each gets a column unless that would take one from a row before it.
///
/// Augmenting paths (Kuhn 1955, The Hungarian method for the assignment problem, Naval Research
/// Logistics Quarterly 2:83–97; Berge 1957): a row once served stays served, maybe by another
/// column. The served rows form a maximum matching, and of all such the first in order, since the
/// sets of rows that can be served together are a matroid. Cost O(rows × pairs).
///
/// `allowed[row]` lists the columns a row may have, each below `columns`. Answers the column of
/// each row.
pub(super) fn serve_in_order(allowed: &[Vec<usize>], columns: usize) -> Vec<Option<usize>> {
    let mut row_of: Vec<Option<usize>> = vec![None; columns];
    for row in 0..allowed.len() {
        crate::stop::look();
        let mut seen = vec![false; columns];
        find_column(row, allowed, &mut row_of, &mut seen);
    }
    let mut column_of = vec![None; allowed.len()];
    for (column, row) in row_of.iter().enumerate() {
        if let Some(row) = row {
            column_of[*row] = Some(column);
        }
    }
    column_of
}

fn find_column(
    row: usize,
    allowed: &[Vec<usize>],
    row_of: &mut [Option<usize>],
    seen: &mut [bool],
) -> bool {
    for &column in &allowed[row] {
        if std::mem::replace(&mut seen[column], true) {
            continue;
        }
        let free = match row_of[column] {
            None => true,
            Some(other) => find_column(other, allowed, row_of, seen),
        };
        if free {
            row_of[column] = Some(row);
            return true;
        }
    }
    false
}

/// Assigns every row a column of its own at the least total cost, by the Hungarian method (Kuhn and
/// Munkres). Cost O(columns³). Needs at least as many columns as rows, all rows of one length, and sums
/// of costs within `i64`; answers the column of each row.
pub(super) fn least_cost(cost: &[Vec<i64>]) -> Vec<usize> {
    kuhn_munkres_min(&Costs { cost, sign: 1 }).1
}

struct Costs<'a> {
    cost: &'a [Vec<i64>],
    sign: i64,
}

impl Weights<i64> for Costs<'_> {
    fn rows(&self) -> usize {
        self.cost.len()
    }

    fn columns(&self) -> usize {
        self.cost.first().map_or(0, Vec::len)
    }

    fn at(&self, row: usize, column: usize) -> i64 {
        // A thousand rows take seconds: whoever asked may be gone.
        if column == 0 {
            crate::stop::look();
        }
        self.sign * self.cost[row][column]
    }

    fn neg(&self) -> Self {
        Self { cost: self.cost, sign: -self.sign }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Deserialize;

    #[derive(Deserialize)]
    struct Problem {
        cost: Vec<Vec<i64>>,
        least: i64,
    }

    #[derive(Deserialize)]
    struct Reference {
        matrices: Vec<Problem>,
    }

    fn total(cost: &[Vec<i64>], columns: &[usize]) -> i64 {
        columns.iter().enumerate().map(|(row, column)| cost[row][*column]).sum()
    }

    fn distinct(columns: &[usize]) -> bool {
        let set: std::collections::BTreeSet<_> = columns.iter().collect();
        set.len() == columns.len()
    }

    /// Totals by `scipy.optimize.linear_sum_assignment` (tests/outside/placement_assignment.py).
    #[test]
    fn totals_agree_with_scipy() {
        let text = include_str!("../../../tests/reference/placement/assignment.json");
        let reference: Reference = serde_json::from_str(text).unwrap();
        assert!(reference.matrices.len() >= 40);
        for problem in reference.matrices {
            let columns = least_cost(&problem.cost);
            assert!(distinct(&columns));
            assert_eq!(total(&problem.cost, &columns), problem.least, "{:?}", problem.cost);
        }
    }

    /// The whole work of nobody's list ends at its first look.
    #[test]
    fn a_list_that_nobody_waits_for_is_left() {
        let stop = crate::stop::Stop::default();
        let waiting = stop.when_dropped();
        let one = || crate::stop::under(&stop, || least_cost(&[vec![7]]));
        assert_eq!(one(), Ok(vec![0]));
        drop(waiting);
        assert_eq!(one(), Err(crate::stop::Stopped));
    }

    #[test]
    fn nothing_to_assign_is_no_trouble() {
        assert!(least_cost(&[]).is_empty());
        assert!(serve_in_order(&[], 3).is_empty());
        assert_eq!(serve_in_order(&[vec![], vec![0]], 1), [None, Some(0)]);
        // The first row moves over so that the second is served too.
        assert_eq!(serve_in_order(&[vec![0, 1], vec![0]], 2), [Some(1), Some(0)]);
    }
}
