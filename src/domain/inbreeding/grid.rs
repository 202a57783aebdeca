//! Kinship of every animal of one list with every animal of another.

use super::{ancestry::Ancestry, kinship};
use crate::pedigree::{Animal, Parents};

/// Columns of the relationship matrix computed in one walk: one cache line of them.
const LANES: usize = 8;

/// The kinship of each of `rows` with each of `columns`, row by row: with dams as rows and sires
/// as columns, the inbreeding of the pups of every pair. `inbreeding` holds F of all animals.
///
/// A column of the relationship matrix takes one walk up and one down the ancestors (Colleau
/// 2002, Genet Sel Evol 34:409-421); eight columns share a walk, and the shorter list is walked.
pub fn kinship_grid(
    parents: &Parents,
    inbreeding: &[f64],
    rows: &[Animal],
    columns: &[Animal],
) -> Vec<Vec<f64>> {
    if let ([row], [column]) = (rows, columns) {
        return vec![vec![kinship(parents, inbreeding, *row, *column)]];
    }
    let mut grid = vec![vec![0.0; columns.len()]; rows.len()];
    let all: Vec<Animal> = rows.iter().chain(columns).copied().collect();
    let ancestry = Ancestry::of(parents, inbreeding, &all);
    let place = |animals: &[Animal]| -> Vec<usize> {
        animals.iter().filter_map(|animal| ancestry.find(*animal)).collect()
    };
    let (row_places, column_places) = (place(rows), place(columns));
    let by_column = columns.len() <= rows.len();
    let (walked, read) =
        if by_column { (column_places, row_places) } else { (row_places, column_places) };
    let mut held = vec![[0.0f64; LANES]; ancestry.len() + 1];
    for (block, starts) in walked.chunks(LANES).enumerate() {
        crate::stop::look();
        held.fill([0.0; LANES]);
        for (lane, start) in starts.iter().enumerate() {
            held[*start][lane] = 1.0;
        }
        ancestry.relate(&mut held);
        for (other, place) in read.iter().enumerate() {
            for (lane, relationship) in held[*place][..starts.len()].iter().enumerate() {
                let one = block * LANES + lane;
                let (row, column) = if by_column { (other, one) } else { (one, other) };
                grid[row][column] = relationship / 2.0;
            }
        }
    }
    grid
}
