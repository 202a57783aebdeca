//! The engine against the tabular method in exact arithmetic, on random pedigrees.

use super::super::*;
use crate::pedigree::{Pedigree, PedigreeRow};
use proptest::prelude::*;
use std::collections::BTreeMap;

type Row = PedigreeRow<u32>;

/// Kinships as multiples of 2^-100.
const ONE: u128 = 1 << 100;

/// The tabular method (Emik & Terrill 1949, J Hered 40:51-55) on rows with parents first, exact:
/// halving a multiple of 2^-100 that is not even would be noticed.
fn table(rows: &[Row]) -> BTreeMap<(u32, u32), u128> {
    let half = |x: u128| {
        assert_eq!(x % 2, 0, "more than 100 binary places");
        x / 2
    };
    let mut kinship = BTreeMap::new();
    let of = |k: &BTreeMap<(u32, u32), u128>, a: Option<u32>, b: Option<u32>| match (a, b) {
        (Some(a), Some(b)) => k[&(a, b)],
        _ => 0,
    };
    for (at, row) in rows.iter().enumerate() {
        for older in &rows[..at] {
            let sire = of(&kinship, row.sire, Some(older.id));
            let dam = of(&kinship, row.dam, Some(older.id));
            kinship.insert((row.id, older.id), half(sire + dam));
            kinship.insert((older.id, row.id), half(sire + dam));
        }
        let own = half(ONE + of(&kinship, row.sire, row.dam));
        kinship.insert((row.id, row.id), own);
    }
    kinship
}

/// Whether two figures are the same but for rounding in a different order of terms.
fn is_near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-14
}

fn float(exact: u128) -> f64 {
    exact as f64 / ONE as f64
}

/// Up to 40 animals, parents first, each with parents anywhere before it or unknown.
fn pedigrees() -> impl Strategy<Value = Vec<Row>> {
    prop::collection::vec(
        (any::<prop::sample::Index>(), any::<prop::sample::Index>(), 0..10u8),
        2..40,
    )
    .prop_map(|draws| {
        let mut rows: Vec<Row> = Vec::new();
        for (at, (sire, dam, kind)) in draws.into_iter().enumerate() {
            // Near parents make deep lines, far ones overlapping generations.
            let pick = |index: prop::sample::Index| {
                let span = if kind % 2 == 0 { at.min(4) } else { at };
                (span > 0).then(|| (at - 1 - index.index(span)) as u32)
            };
            let sire = pick(sire).filter(|_| kind != 8);
            let dam = pick(dam).filter(|dam| Some(*dam) != sire && kind != 9);
            rows.push(Row { id: at as u32, sire, dam });
        }
        rows
    })
}

/// Up to 600 animals in generations: few sires, litters of full sibs of whom some are bred from,
/// mated back to parents and to sibs; so many sires that they are served in several parts.
fn breeds() -> impl Strategy<Value = Vec<Row>> {
    let litter = (any::<prop::sample::Index>(), any::<prop::sample::Index>(), 1..6u8, 0..12u8);
    (1..30usize, prop::collection::vec(litter, 1..200)).prop_map(|(span, litters)| {
        let founders = 2 + span as u32 % 7;
        let mut rows: Vec<Row> =
            (0..founders).map(|id| Row { id, sire: None, dam: None }).collect();
        for (sire, dam, pups, kind) in litters {
            let near = |index: prop::sample::Index| {
                let span = span.min(rows.len());
                (rows.len() - 1 - index.index(span)) as u32
            };
            let sire = Some(near(sire)).filter(|_| kind != 0);
            // Back to his own dam, where she is known.
            let of_sire = sire.and_then(|sire| rows[sire as usize].dam).filter(|_| kind == 1);
            let dam = of_sire.or(Some(near(dam))).filter(|dam| Some(*dam) != sire && kind != 2);
            let id = rows.len() as u32;
            rows.extend((0..pups).map(|pup| Row { id: id + u32::from(pup), sire, dam }));
        }
        rows
    })
}

proptest! {
    #[test]
    fn agrees_with_meuwissen_and_luo_to_the_same_bits_on_any_threads(rows in breeds()) {
        let pedigree = Pedigree::build(rows).unwrap();
        let f = coefficients(pedigree.parents(), 1);
        let other = super::meuwissen_luo::coefficients(pedigree.parents());
        prop_assert!(f.iter().zip(&other).all(|(a, b)| (a - b).abs() < 1e-12));
        for threads in [2, 3, 8] {
            prop_assert_eq!(&coefficients(pedigree.parents(), threads), &f);
        }
    }

    #[test]
    fn equals_the_exact_table(rows in pedigrees(), threads in 1..3usize) {
        let table = table(&rows);
        let pedigree = Pedigree::build(rows.clone()).unwrap();
        let parents = pedigree.parents();
        let f = coefficients(parents, threads);
        let place = |id: u32| pedigree.find(&id).unwrap();
        let all: Vec<Animal> = rows.iter().map(|row| place(row.id)).collect();
        let grid = kinship_grid(parents, &f, &all, &all);
        for a in &rows {
            let exact = 2.0 * float(table[&(a.id, a.id)]) - 1.0;
            prop_assert!(is_near(f[place(a.id) as usize], exact));
            for b in &rows {
                let exact = float(table[&(a.id, b.id)]);
                prop_assert!((kinship(parents, &f, place(a.id), place(b.id)) - exact).abs() < 1e-14);
                prop_assert!((grid[a.id as usize][b.id as usize] - exact).abs() < 1e-14);
            }
        }
        let means = mean_kinships(parents, &f, &all, &all).unwrap();
        for row in &rows {
            let sum: f64 = rows.iter().map(|other| float(table[&(row.id, other.id)])).sum();
            prop_assert!((means[row.id as usize] - sum / rows.len() as f64).abs() < 1e-14);
        }
    }

    #[test]
    fn contributions_sum_to_f_and_paths_account_for_them(rows in pedigrees()) {
        let pedigree = Pedigree::build(rows.clone()).unwrap();
        let parents = pedigree.parents();
        let f = coefficients(parents, 1);
        let (sire, dam) = (parents.len() as Animal - 1, parents.len() as Animal - 2);
        let found = explanation::common_ancestors(parents, &f, sire, dam, usize::MAX).contributions;
        let sum: f64 = found.iter().map(|one| one.contribution).sum();
        prop_assert!((sum - kinship(parents, &f, sire, dam)).abs() < 1e-13);
        // Cut short it finds fewer, and each as it is.
        let cut = explanation::common_ancestors(parents, &f, sire, dam, 1);
        prop_assert!(cut.contributions.iter().all(|one| found.contains(one)));
        prop_assert!(cut.unexamined > 0 || cut.contributions.len() == found.len());
        for one in &found {
            let count = one.path_count.unwrap();
            let paths = explanation::shortest_paths(parents, sire, dam, one.ancestor, 500);
            if count > 500 {
                continue;
            }
            prop_assert_eq!(paths.len() as u64, count);
            let mut by_paths = 0.0;
            for path in &paths {
                let mut animals = path.clone();
                animals.sort_unstable();
                animals.dedup();
                prop_assert_eq!(animals.len(), path.len(), "an animal stands twice");
                prop_assert_eq!((path[0], path[path.len() - 1]), (sire, dam));
                by_paths += 0.5f64.powi(path.len() as i32) * (1.0 + one.inbreeding);
            }
            prop_assert!((by_paths - one.contribution).abs() < 1e-13);
        }
    }

    #[test]
    fn order_of_rows_changes_nothing(rows in pedigrees(), seed in any::<u64>()) {
        let book = |rows: Vec<Row>| Studbook::compute(Pedigree::build(rows).unwrap(), 1);
        let mut shuffled = rows.clone();
        shuffled.sort_by_key(|row| u64::from(row.id).wrapping_mul(seed | 1).rotate_left(17));
        // A founder is one with a row of its own or without.
        let is_parent = |id| rows.iter().any(|row| row.sire == Some(id) || row.dam == Some(id));
        shuffled.retain(|row| row.sire.or(row.dam).is_some() || !is_parent(row.id));
        let (one, other) = (book(rows.clone()), book(shuffled));
        prop_assert_eq!(one.pedigree().len(), other.pedigree().len());
        for row in &rows {
            let of = |book: &Studbook<u32>| book.inbreeding(&row.id).unwrap();
            prop_assert!(is_near(of(&one), of(&other)));
        }
    }

    #[test]
    fn growing_and_changing_equals_computing_anew(
        rows in pedigrees(), edited in any::<prop::sample::Index>(), parent in any::<prop::sample::Index>(),
    ) {
        let fresh = |rows: &[Row]| Studbook::compute(Pedigree::build(rows.to_vec()).unwrap(), 1);
        let same = |a: &Studbook<u32>, b: &Studbook<u32>| {
            b.pedigree().ids().iter().all(|id| match (a.inbreeding(id), b.inbreeding(id)) {
                (Some(a), Some(b)) => is_near(a, b),
                _ => false,
            })
        };
        let (old, new) = rows.split_at(rows.len() / 2);
        let mut grown = fresh(old);
        grown.append(new.iter().copied()).unwrap();
        prop_assert!(same(&grown, &fresh(&rows)));

        let mut rows = rows;
        let at = edited.index(rows.len());
        let sire = Some(parent.index(rows.len()) as u32).filter(|sire| Some(*sire) != rows[at].dam);
        rows[at].sire = sire;
        let before = grown.clone();
        match grown.set_parents(rows[at], 1) {
            Ok(changed) => {
                let anew = fresh(&rows);
                prop_assert!(same(&grown, &anew));
                for id in anew.pedigree().ids() {
                    let now = anew.inbreeding(id).unwrap();
                    let differs = before.inbreeding(id).is_none_or(|f| !is_near(f, now));
                    // A founder that came in with the change has nothing to change.
                    prop_assert!(!differs || changed.contains(id));
                }
            }
            Err(_) => {
                prop_assert!(Pedigree::build(rows).is_err());
                prop_assert_eq!(grown, before);
            }
        }
    }
}
