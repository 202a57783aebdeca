//! The pedigree engine on a generated breed against the method of Meuwissen & Luo (1992), an
//! independent way to the same figures, and its answers on a whole breed.

#![expect(clippy::unwrap_used, reason = "a test may panic")]

#[path = "bench/breed.rs"]
mod breed;
#[path = "../src/domain/agreement/dice.rs"]
mod dice;
#[path = "bench/many_sires.rs"]
mod many_sires;
#[path = "../src/domain/inbreeding/tests/meuwissen_luo.rs"]
mod meuwissen_luo;

use domain::{
    inbreeding::{Studbook, coefficients, explanation, kinship, kinship_grid},
    pedigree::{Animal, Parents, Pedigree, PedigreeRow, completeness::depths},
};

fn pedigree(dogs: usize, seed: u64) -> Pedigree<u32> {
    let rows = breed::breed(dogs, seed).into_iter().enumerate();
    Pedigree::build(rows.map(|(id, [sire, dam])| PedigreeRow { id: id as u32, sire, dam })).unwrap()
}

#[test]
fn agrees_with_meuwissen_and_luo_on_a_generated_breed() {
    for seed in 1..4 {
        let pedigree = pedigree(6_000, seed);
        let parents = pedigree.parents();
        let deepest = depths(parents).iter().map(|depth| depth.deepest).max().unwrap();
        assert!(deepest > 30, "the breed is {deepest} generations deep");
        let plain = meuwissen_luo::coefficients(parents);
        for threads in [1, 2, 4] {
            let f = coefficients(parents, threads);
            let off = f.iter().zip(&plain).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            assert!(off < 1e-12, "seed {seed}, {threads} threads: {off}");
        }
        assert!(plain.iter().filter(|f| **f > 0.01).count() > 3_000, "the breed is inbred");
    }
}

#[test]
fn grid_and_single_matings_agree_on_a_generated_breed() {
    let pedigree = pedigree(6_000, 9);
    let parents = pedigree.parents();
    let f = coefficients(parents, 1);
    let young = parents.len() as Animal - 400;
    let rows: Vec<Animal> = (young..).take(37).collect();
    let columns: Vec<Animal> = (5..2_000).step_by(100).collect();
    let grid = kinship_grid(parents, &f, &rows, &columns);
    for (row, animal) in rows.iter().enumerate() {
        for (column, other) in columns.iter().enumerate() {
            let one = kinship(parents, &f, *animal, *other);
            assert!((grid[row][column] - one).abs() < 1e-13);
        }
    }
    assert!(kinship_grid(parents, &f, &[], &columns).is_empty());
    assert_eq!(kinship_grid(parents, &f, &rows[..1], &[]), [Vec::<f64>::new()]);
}

#[test]
fn contributions_sum_to_f_in_a_generated_breed() {
    let pedigree = pedigree(6_000, 4);
    let parents = pedigree.parents();
    let f = coefficients(parents, 1);
    let last = parents.len() as Animal - 1;
    let (sire, dam) = (parents.sire(last).unwrap(), parents.dam(last).unwrap());
    let found = explanation::common_ancestors(parents, &f, sire, dam, usize::MAX).contributions;
    let sum: f64 = found.iter().map(|one| one.contribution).sum();
    assert!((sum - f[last as usize]).abs() < 1e-12, "{sum} {}", f[last as usize]);
    assert!(found.iter().all(|one| one.path_count.is_some_and(|count| count > 0)));
    let paths = explanation::shortest_paths(parents, sire, dam, found[0].ancestor, 10);
    assert!(!paths.is_empty() && paths.is_sorted_by_key(Vec::len));
}

/// Sixty generations of full sibs: F after the recurrence of Falconer & Mackay (1996, ch. 5).
#[test]
fn contributions_sum_to_f_with_more_paths_than_can_be_counted() {
    let sib = |id: u32, generation: u32| PedigreeRow {
        id,
        sire: (generation > 0).then(|| 2 * generation - 2),
        dam: (generation > 0).then(|| 2 * generation - 1),
    };
    let rows = (0..60).flat_map(|g| [sib(2 * g, g), sib(2 * g + 1, g)]);
    let book = Studbook::compute(Pedigree::build(rows).unwrap(), 2);
    let (mut before, mut now) = (0.0, 0.0);
    for _ in 0..60 {
        (before, now) = (now, (1.0 + 2.0 * now + before) / 4.0);
    }
    let parents = book.pedigree().parents();
    let find = |id: u32| book.pedigree().find(&id).unwrap();
    let (sire, dam) = (find(118), find(119));
    assert!((book.trial_mating(&118, &119).unwrap() - before).abs() < 1e-12);
    let found = explanation::common_ancestors(parents, book.coefficients(), sire, dam, usize::MAX)
        .contributions;
    let sum: f64 = found.iter().map(|one| one.contribution).sum();
    assert!((sum - before).abs() < 1e-12, "{sum} {before}");
    assert!(found.iter().any(|one| one.path_count.is_none()), "some beyond 2^53");
    assert_eq!(found.iter().filter(|one| one.path_count == Some(1)).count(), 2);
}

#[test]
fn one_litter_changes_no_other_coefficient() {
    let mut book = Studbook::compute(pedigree(6_000, 5), 1);
    let before = book.coefficients().to_vec();
    let (sib, sire, dam) = {
        let parents = book.pedigree().parents();
        let last = parents.len() as Animal - 1;
        let id = |animal: Option<Animal>| *book.pedigree().id(animal.unwrap());
        (id(Some(last)), id(parents.sire(last)), id(parents.dam(last)))
    };
    let pups = (10_000..10_006).map(|id| PedigreeRow { id, sire: Some(sire), dam: Some(dam) });
    book.append(pups).unwrap();
    assert_eq!(book.coefficients()[..before.len()], before);
    let f = book.inbreeding(&10_005).unwrap();
    assert!((f - book.trial_mating(&sire, &dam).unwrap()).abs() < 1e-12);
    assert!((f - book.inbreeding(&sib).unwrap()).abs() < 1e-12);
}

/// Enough sires for many parts, which threads share: to the same bits, and as the other method.
#[test]
fn a_breed_of_many_sires_agrees_with_meuwissen_and_luo_on_any_threads() {
    let rows = (0..).zip(many_sires::breed(20_000, 2));
    let rows = rows.map(|(id, [sire, dam])| PedigreeRow { id, sire, dam });
    let pedigree = Pedigree::build(rows).unwrap();
    let f = coefficients(pedigree.parents(), 1);
    let plain = meuwissen_luo::coefficients(pedigree.parents());
    assert!(f.iter().zip(&plain).all(|(a, b)| (a - b).abs() < 1e-12));
    assert!(f.iter().filter(|f| **f > 0.01).count() > 10_000, "the breed is inbred");
    for threads in [2, 3, 8] {
        let other = coefficients(pedigree.parents(), threads);
        assert!(f.iter().zip(&other).all(|(a, b)| a.to_bits() == b.to_bits()), "{threads}");
    }
}
