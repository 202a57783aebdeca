//! The method of Meuwissen & Luo (1992, Genet Sel Evol 24:305-313): one animal's ancestors at a
//! time, youngest first. Plain and dependable; the second opinion of the bench.

use super::Parents;
use std::collections::BinaryHeap;

/// F of every animal by position.
pub fn coefficients(parents: &Parents) -> Vec<f64> {
    let mut f = vec![0.0; parents.len()];
    let mut variance = Vec::with_capacity(parents.len());
    let mut shares = vec![0.0; parents.len()];
    let mut waiting = BinaryHeap::new();
    for animal in parents.animals() {
        let explained: f64 = parents.known(animal).map(|p| (1.0 + f[p as usize]) / 4.0).sum();
        variance.push(1.0 - explained);
        if parents.sire(animal).is_none() || parents.dam(animal).is_none() {
            continue;
        }
        let mut relationship = 0.0;
        shares[animal as usize] = 1.0;
        waiting.push(animal);
        while let Some(ancestor) = waiting.pop() {
            let share = std::mem::take(&mut shares[ancestor as usize]);
            relationship += share * share * variance[ancestor as usize];
            for parent in parents.known(ancestor) {
                let place: &mut f64 = &mut shares[parent as usize];
                if *place == 0.0 {
                    waiting.push(parent);
                }
                *place += share / 2.0;
            }
        }
        f[animal as usize] = relationship - 1.0;
    }
    f
}
