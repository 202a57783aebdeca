use super::*;
use crate::domain::pedigree::{Pedigree, PedigreeRow};
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
            let methods = [
                ("by_sire", by_sire::coefficients(pedigree.parents(), threads)),
                ("chosen", coefficients(pedigree.parents(), threads)),
            ];
            for (method, f) in methods {
                for (id, figure) in &figures {
                    let at = pedigree.find(id).unwrap();
                    let off = (f[at as usize] - figure).abs();
                    assert!(off < 1e-12, "{name} {method} {id}: {} {figure}", f[at as usize]);
                    let (sire, dam) = (pedigree.parents().sire(at), pedigree.parents().dam(at));
                    if let (Some(sire), Some(dam)) = (sire, dam) {
                        let off = (kinship(pedigree.parents(), &f, sire, dam) - figure).abs();
                        assert!(off < 1e-12, "{name} pair {id}");
                    }
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
