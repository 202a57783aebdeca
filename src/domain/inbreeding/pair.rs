//! Kinship of two animals, and of all animals with a group.

use super::ancestry::{Ancestry, YoungestFirst};
use super::mendelian_variance;
use crate::pedigree::{Animal, Parents};

/// The kinship of two animals, which is the inbreeding of pups they would have; of an animal with
/// itself, half of one plus its own inbreeding. `inbreeding` holds F of all animals by position.
///
/// The sum over all common ancestors of the shares both have of it, times the variance that its
/// own parents do not explain, halved (Meuwissen & Luo 1992, Genet Sel Evol 24:305-313, eq. 3).
/// One walk over the ancestors of both.
pub fn kinship(parents: &Parents, inbreeding: &[f64], a: Animal, b: Animal) -> f64 {
    let end = a.max(b) as usize + 1;
    let pairs = parents.pairs();
    let mut shares = vec![[0.0f64; 2]; end];
    let mut waiting = YoungestFirst::with_len(end);
    shares[a as usize][0] += 1.0;
    shares[b as usize][1] += 1.0;
    waiting.put(a);
    waiting.put(b);
    let mut relationship = 0.0;
    while let Some(animal) = waiting.take() {
        let [of_a, of_b] = shares[animal as usize];
        let pair = pairs[animal as usize];
        if of_a != 0.0 && of_b != 0.0 {
            relationship += of_a * of_b * mendelian_variance(pair, |p| inbreeding[p as usize]);
        }
        for parent in parents.known(animal) {
            let share = &mut shares[parent as usize];
            share[0] += of_a / 2.0;
            share[1] += of_b / 2.0;
            waiting.put(parent);
        }
    }
    relationship / 2.0
}

/// The mean kinship of each of `animals` with the `group` (an animal of the group is counted with
/// itself too); `None` for an empty group.
///
/// Mean kinship after Ballou & Lacy 1995 (in Population Management for Survival and Recovery,
/// Columbia University Press, 76-111). One walk up and one down serves all animals.
pub(crate) fn mean_kinships(
    parents: &Parents,
    inbreeding: &[f64],
    animals: &[Animal],
    group: &[Animal],
) -> Option<Vec<f64>> {
    if group.is_empty() {
        return None;
    }
    let all: Vec<Animal> = animals.iter().chain(group).copied().collect();
    let ancestry = Ancestry::of(parents, inbreeding, &all);
    let mut held = vec![[0.0f64]; ancestry.len() + 1];
    for member in group.iter().filter_map(|animal| ancestry.find(*animal)) {
        held[member][0] += 1.0 / group.len() as f64;
    }
    ancestry.relate(&mut held);
    let mean = |animal: &Animal| ancestry.find(*animal).map_or(0.0, |at| held[at][0] / 2.0);
    Some(animals.iter().map(mean).collect())
}
