//! An invented breed as hard as real ones: thousands of kennels, each with a sire of its own.
//!
//! 45 generations; the parents of one are drawn from the two before. One dog in eight is bred
//! from, and one in 27 as a sire: each serves four dams or so, and nobody serves hundreds. Litters
//! have one to twelve pups; a fifth of the matings looks for a sire that is related to the dam.
//! So many sires need as many walks, and each walk goes over most of the older half of the breed.

use super::breed::{are_related, below};
use super::dice::Dice;

const GENERATIONS: usize = 45;
/// Pups kept as sires, and as sires or dams.
const KEPT_SIRES: f64 = 0.038;
const KEPT: f64 = 0.14;
const LINE_BREEDING: f64 = 0.2;

/// Sires and dams kept of one generation.
#[derive(Default)]
struct Kept {
    sires: Vec<u32>,
    dams: Vec<u32>,
}

/// Sires and dams of `dogs` dogs in the order of birth; `None` for the founders.
pub fn breed(dogs: usize, seed: u64) -> Vec<[Option<u32>; 2]> {
    let mut dice = Dice::new(seed);
    let mut parents: Vec<[Option<u32>; 2]> = Vec::with_capacity(dogs);
    let founders = (dogs / 450).max(20);
    let (mut last, mut now) = (Kept::default(), Kept::default());
    for founder in 0..founders as u32 {
        parents.push([None, None]);
        let to = if founder % 3 == 0 { &mut now.sires } else { &mut now.dams };
        to.push(founder);
    }
    for generation in 1..=GENERATIONS {
        let end = founders + (dogs - founders) * generation / GENERATIONS;
        let mut new = Kept::default();
        let sires = [last.sires.as_slice(), &now.sires].concat();
        let dams = [last.dams.as_slice(), &now.dams].concat();
        while parents.len() < end {
            let dam = dams[below(&mut dice, dams.len())];
            let in_line = dice.share() < LINE_BREEDING;
            let mut sire = sires[below(&mut dice, sires.len())];
            for _ in 0..30 {
                if !in_line || are_related(&parents, sire, dam) {
                    break;
                }
                sire = sires[below(&mut dice, sires.len())];
            }
            for _ in 0..1 + below(&mut dice, 12) {
                if parents.len() == end {
                    break;
                }
                let pup = parents.len() as u32;
                parents.push([Some(sire), Some(dam)]);
                let fate = dice.share();
                if fate < KEPT_SIRES {
                    new.sires.push(pup);
                } else if fate < KEPT {
                    new.dams.push(pup);
                }
            }
        }
        (last, now) = (now, new);
    }
    parents
}
