//! Two classic problems of assignment, on plain numbers.

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

/// Assigns every row a column of its own at the least total cost.
///
/// The Hungarian method with potentials and shortest augmenting paths (Jonker & Volgenant 1987, A
/// shortest augmenting path algorithm for dense and sparse linear assignment problems, Computing
/// 38:325–340). Cost O(rows² × columns). Needs at least as many columns as rows, all rows of one
/// length, and sums of costs within `i64`; answers the column of each row.
pub(super) fn least_cost(cost: &[Vec<i64>]) -> Vec<usize> {
    let columns = cost.first().map_or(0, Vec::len);
    debug_assert!(cost.len() <= columns && cost.iter().all(|row| row.len() == columns));
    // Row and column 0 are outside the matrix: the start of each search.
    let mut row_potential = vec![0i64; cost.len() + 1];
    let mut column_potential = vec![0i64; columns + 1];
    let mut row_of = vec![0usize; columns + 1];
    for row in 1..=cost.len() {
        crate::stop::look();
        row_of[0] = row;
        let came_from = shortest_path(cost, &mut row_potential, &mut column_potential, &row_of);
        let mut column = came_from.end;
        while column != 0 {
            let before = came_from.column[column];
            row_of[column] = row_of[before];
            column = before;
        }
    }
    let mut column_of = vec![0; cost.len()];
    for (column, row) in row_of.iter().enumerate().skip(1).filter(|(_, row)| **row > 0) {
        column_of[row - 1] = column - 1;
    }
    column_of
}

struct Path {
    /// The free column reached.
    end: usize,
    /// The column before each on the path.
    column: Vec<usize>,
}

/// Grows a tree of shortest paths from column 0 to the first free column; moves the potentials.
fn shortest_path(
    cost: &[Vec<i64>],
    row_potential: &mut [i64],
    column_potential: &mut [i64],
    row_of: &[usize],
) -> Path {
    let columns = row_of.len();
    let mut distance = vec![i64::MAX; columns];
    let mut before = vec![0; columns];
    let mut in_tree = vec![false; columns];
    let mut column = 0;
    loop {
        in_tree[column] = true;
        let row = row_of[column];
        let (mut step, mut nearest) = (i64::MAX, 0);
        for next in (1..columns).filter(|next| !in_tree[*next]) {
            let reduced = cost[row - 1][next - 1] - row_potential[row] - column_potential[next];
            if reduced < distance[next] {
                distance[next] = reduced;
                before[next] = column;
            }
            if distance[next] < step {
                (step, nearest) = (distance[next], next);
            }
        }
        for next in 0..columns {
            if in_tree[next] {
                row_potential[row_of[next]] += step;
                column_potential[next] -= step;
            } else if next > 0 {
                distance[next] -= step;
            }
        }
        column = nearest;
        if row_of[column] == 0 {
            return Path { end: column, column: before };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
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

    fn brute(cost: &[Vec<i64>], row: usize, used: &mut Vec<usize>) -> i64 {
        if row == cost.len() {
            return 0;
        }
        let mut least = i64::MAX;
        for column in 0..cost[0].len() {
            if !used.contains(&column) {
                used.push(column);
                least = least.min(cost[row][column] + brute(cost, row + 1, used));
                used.pop();
            }
        }
        least
    }

    proptest! {
        #[test]
        fn no_assignment_is_cheaper(
            rows in 1usize..=5, extra in 0usize..=2,
            numbers in prop::collection::vec(-50i64..50, 35),
        ) {
            let columns = rows + extra;
            let cost: Vec<Vec<i64>> =
                numbers.chunks(columns).take(rows).map(<[i64]>::to_vec).collect();
            let found = least_cost(&cost);
            prop_assert!(distinct(&found));
            prop_assert_eq!(total(&cost, &found), brute(&cost, 0, &mut Vec::new()));
        }
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
