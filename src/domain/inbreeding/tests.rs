use super::*;
use crate::pedigree::{Pedigree, PedigreeRow};
use std::collections::BTreeMap;

pub(super) type Rows = Vec<PedigreeRow<String>>;

/// Reads `id,sire,dam[,...]` lines.
pub(super) fn rows(text: &str) -> Rows {
    let known = |field: &str| (!field.is_empty()).then(|| field.to_owned());
    text.lines()
        .skip(1)
        .map(|line| {
            let fields: Vec<&str> = line.split(',').collect();
            PedigreeRow { id: fields[0].to_owned(), sire: known(fields[1]), dam: known(fields[2]) }
        })
        .collect()
}

macro_rules! reference {
    ($name:literal) => {
        include_str!(concat!("../../../tests/reference/coi/", $name))
    };
}

const PEDIGREES: &[(&str, &str, &str)] = &[
    ("mrode_ex2_1", reference!("mrode_ex2_1.csv"), reference!("mrode_ex2_1.expected.csv")),
    ("mrode_ch3", reference!("mrode_ch3.csv"), reference!("mrode_ch3.expected.csv")),
    (
        "fernando_grossman1990",
        reference!("fernando_grossman1990.csv"),
        reference!("fernando_grossman1990.expected.csv"),
    ),
    (
        "classical_matings",
        reference!("classical_matings.csv"),
        reference!("classical_matings.expected.csv"),
    ),
    ("fullsib_10gen", reference!("fullsib_10gen.csv"), reference!("fullsib_10gen.expected.csv")),
    ("halfsib_10gen", reference!("halfsib_10gen.csv"), reference!("halfsib_10gen.expected.csv")),
    (
        "habsburg_truncated",
        reference!("habsburg_truncated.csv"),
        reference!("habsburg_truncated.expected.csv"),
    ),
    (
        "vispedigree_deep",
        reference!("vispedigree_deep.csv"),
        reference!("vispedigree_deep.expected.csv"),
    ),
    (
        "breed_1200_shuffled",
        reference!("breed_1200_shuffled.csv"),
        reference!("breed_1200_shuffled.expected.csv"),
    ),
    ("mating_600", reference!("mating_600.csv"), reference!("mating_600.expected.csv")),
];

fn expected(text: &str) -> BTreeMap<String, f64> {
    text.lines()
        .skip(1)
        .map(|line| {
            let mut fields = line.split(',');
            (fields.next().unwrap().to_owned(), fields.next().unwrap().parse().unwrap())
        })
        .collect()
}

/// Sources of the files and of their figures: `tests/reference/coi/README.md`.
#[test]
fn agrees_with_the_reference_pedigrees() {
    for (name, pedigree, figures) in PEDIGREES {
        let pedigree = Pedigree::build(rows(pedigree)).unwrap();
        let figures = expected(figures);
        assert!(figures.len() >= 5, "{name}");
        for threads in [1, 2, 3] {
            let f = coefficients(pedigree.parents(), threads);
            for (id, figure) in &figures {
                let at = pedigree.find(id).unwrap();
                let off = (f[at as usize] - figure).abs();
                assert!(off < 1e-12, "{name} {id}: {} {figure}", f[at as usize]);
                let (sire, dam) = (pedigree.parents().sire(at), pedigree.parents().dam(at));
                if let (Some(sire), Some(dam)) = (sire, dam) {
                    let pair = kinship(pedigree.parents(), &f, sire, dam);
                    assert!((pair - figure).abs() < 1e-12, "{name} pair {id}");
                }
            }
        }
    }
}

#[test]
fn agrees_with_the_reference_grid() {
    let pedigree = Pedigree::build(rows(reference!("mating_600.csv"))).unwrap();
    let f = coefficients(pedigree.parents(), 1);
    let lines: Vec<Vec<&str>> = reference!("mating_600.grid.csv")
        .lines()
        .skip(1)
        .map(|line| line.split(',').collect())
        .collect();
    let place = |id: &str| pedigree.find(&id.to_owned()).unwrap();
    let sires: Vec<Animal> = lines.iter().map(|line| place(line[0])).collect();
    let dams: Vec<Animal> = lines.iter().map(|line| place(line[1])).collect();
    let grid = kinship_grid(pedigree.parents(), &f, &dams, &sires[..9]);
    let turned = kinship_grid(pedigree.parents(), &f, &sires[..9], &dams);
    assert_eq!(lines.len(), 96);
    for (row, line) in lines.iter().enumerate() {
        let figure: f64 = line[2].parse().unwrap();
        let one = kinship(pedigree.parents(), &f, sires[row], dams[row]);
        assert!((one - figure).abs() < 1e-12, "{line:?} {one}");
        if row < 9 {
            assert!((grid[row][row] - figure).abs() < 1e-12, "{line:?}");
        }
        for column in 0..9 {
            let pair = kinship(pedigree.parents(), &f, dams[row], sires[column]);
            assert!((grid[row][column] - pair).abs() < 1e-14);
            assert!((turned[column][row] - pair).abs() < 1e-14);
        }
    }
}

#[test]
fn agrees_with_the_reference_figures_of_limited_generations() {
    let pedigree = Pedigree::build(rows(reference!("mating_600.csv"))).unwrap();
    let place = |id: &str| pedigree.find(&id.to_owned()).unwrap();
    let text = reference!("mating_600.generations.csv");
    assert_eq!(text.lines().next(), Some("sire,dam,F_k3,F_k5,F_k8,F_k10,F_full"));
    let mut compared = 0;
    for line in text.lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        for (generations, field) in [3, 5, 8, 10].into_iter().zip(&fields[2..]) {
            let (sire, dam) = (place(fields[0]), place(fields[1]));
            let f = limited::inbreeding_within(pedigree.parents(), sire, dam, generations);
            assert!((f - field.parse::<f64>().unwrap()).abs() < 1e-12, "{line} {generations} {f}");
            compared += 1;
        }
    }
    assert!(compared > 300, "{compared}");
}

/// Half sibs, full sibs and parent with offspring: Wright's paths by hand.
#[test]
fn names_ancestors_and_paths_of_textbook_matings() {
    let text = "id,sire,dam\nh1,a,b\nh2,a,c\nf1,a,b\n";
    let pedigree = Pedigree::build(rows(text)).unwrap();
    let f = coefficients(pedigree.parents(), 1);
    let place = |id: &str| pedigree.find(&id.to_owned()).unwrap();
    let explain = |sire: &str, dam: &str| {
        let (sire, dam) = (place(sire), place(dam));
        let found = explanation::common_ancestors(pedigree.parents(), &f, sire, dam, usize::MAX)
            .contributions;
        let told = found.into_iter().map(|one| {
            let paths = explanation::shortest_paths(pedigree.parents(), sire, dam, one.ancestor, 9);
            let name = |at: &Animal| pedigree.id(*at).clone();
            let paths: Vec<String> =
                paths.iter().map(|p| p.iter().map(name).collect::<Vec<_>>().join(" ")).collect();
            (pedigree.id(one.ancestor).clone(), one.contribution, one.path_count, paths)
        });
        let mut told: Vec<_> = told.collect();
        told.sort_by(|a, b| a.0.cmp(&b.0));
        told
    };
    let one = |id: &str, contribution, path: &str| {
        (id.to_owned(), contribution, Some(1), vec![path.to_owned()])
    };
    assert_eq!(explain("h1", "h2"), [one("a", 0.125, "h1 a h2")]);
    assert_eq!(explain("h1", "f1"), [one("a", 0.125, "h1 a f1"), one("b", 0.125, "h1 b f1")]);
    assert_eq!(explain("a", "h1"), [one("a", 0.25, "a h1")]);
    assert_eq!(explain("b", "c"), []);
}

#[test]
fn contributions_sum_to_f_in_a_deep_breed() {
    let pedigree = Pedigree::build(rows(reference!("breed_1200_shuffled.csv"))).unwrap();
    let parents = pedigree.parents();
    let f = coefficients(parents, 1);
    for animal in parents.animals().rev().step_by(60) {
        let (Some(sire), Some(dam)) = (parents.sire(animal), parents.dam(animal)) else { continue };
        let found = explanation::common_ancestors(parents, &f, sire, dam, usize::MAX).contributions;
        let sum: f64 = found.iter().map(|one| one.contribution).sum();
        assert!((sum - f[animal as usize]).abs() < 1e-12, "{sum} {}", f[animal as usize]);
        assert!(found.iter().all(|one| one.contribution > 0.0));
    }
}

/// Two full-sib pairs' worth by hand: rate after ten generations of full sibs is near 19.1 %
/// (Falconer & Mackay 1996, table 5.1: 0.191 from the fourth generation on).
#[test]
fn effective_size_of_full_sibs_is_small() {
    let pedigree = Pedigree::build(rows(reference!("fullsib_10gen.csv"))).unwrap();
    let f = coefficients(pedigree.parents(), 1);
    let last = pedigree.len() as Animal - 1;
    let rate = population::inbreeding_rate(pedigree.parents(), &f, &[last]).unwrap();
    assert!((0.18..0.22).contains(&rate.rate_of_inbreeding), "{rate:?}");
    assert!((2.2..2.8).contains(&rate.effective_size.unwrap()), "{rate:?}");
    assert_eq!(rate.effective_size_error, None);
    assert_eq!(population::inbreeding_rate(pedigree.parents(), &f, &[0]), None);
}

#[test]
fn shares_of_founders_and_unknown_parents_sum_to_one() {
    let pedigree = Pedigree::build(rows("id,sire,dam\nx,a,b\ny,x,\nz,y,c\n")).unwrap();
    let shares =
        contributions::blood_shares(pedigree.parents(), &[pedigree.find(&"z".into()).unwrap()]);
    let of = |id: &str| {
        let animal = pedigree.find(&id.to_owned()).unwrap();
        shares.ancestors.iter().find(|one| one.ancestor == animal).unwrap()
    };
    assert_eq!((of("a").share, of("b").share, of("c").share), (0.125, 0.125, 0.5));
    assert_eq!((of("x").share, of("y").share, shares.unknown), (0.25, 0.5, 0.25));
    assert!(of("a").is_founder && !of("y").is_founder);
}

#[test]
fn one_animal_alone_and_none_have_nothing_to_compute() {
    assert_eq!(coefficients(&Parents::with_capacity(0), 2), [0.0; 0]);
    let mut one = Parents::with_capacity(1);
    one.push(None, None);
    assert_eq!(coefficients(&one, 2), [0.0]);
}

mod meuwissen_luo;
mod properties;
