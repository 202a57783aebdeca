//! An invented breed of any size: overlapping generations, popular sires, line breeding.
//!
//! Years pass; each year the dams of two to seven years get litters of the sires of two to ten.
//! A few sires are much preferred, and a quarter of the matings looks for a sire that is related
//! to the dam. About one dog in eight is bred from, as in the studbooks of real breeds.

use super::dice::Dice;

/// Years that the breed is followed, whatever its size.
const YEARS: usize = 140;

/// A number below `end`.
pub fn below(dice: &mut Dice, end: usize) -> usize {
    (dice.share() * end as f64) as usize
}

/// A dog kept for breeding.
struct Breeder {
    dog: u32,
    born: usize,
    /// Up to here it is drawn among the sires of its time.
    weight_to: f64,
    weight: f64,
}

/// Sires and dams of `dogs` dogs in the order of birth; `None` for the founders.
pub fn breed(dogs: usize, seed: u64) -> Vec<[Option<u32>; 2]> {
    let mut dice = Dice::new(seed);
    let mut parents: Vec<[Option<u32>; 2]> = Vec::with_capacity(dogs);
    let founders = (dogs / 150).max(40);
    let (mut sires, mut dams) = (Vec::new(), Vec::new());
    for founder in 0..founders {
        parents.push([None, None]);
        let to = if founder % 3 == 0 { &mut sires } else { &mut dams };
        keep(to, founder as u32, founder % 4, &mut dice);
    }
    for year in 4..YEARS + 4 {
        // The breed grows fourfold over its time.
        let growth = 4f64.powf((year - 4) as f64 / YEARS as f64);
        let births = (dogs - founders) as f64 * growth * 4f64.ln() / 3.0 / YEARS as f64;
        let end = if year == YEARS + 3 { dogs } else { parents.len() + births as usize };
        sires.retain(|sire: &Breeder| year - sire.born <= 10);
        dams.retain(|dam: &Breeder| year - dam.born <= 7);
        let mut total = 0.0;
        for sire in &mut sires {
            total += if year - sire.born >= 2 { sire.weight } else { 0.0 };
            sire.weight_to = total;
        }
        let (old_sires, old_dams) = (sires.len(), dams.len());
        while parents.len() < end.min(dogs) {
            let dam = &dams[below(&mut dice, old_dams)];
            if year - dam.born < 2 {
                continue;
            }
            let dam = dam.dog;
            let line = dice.share() < 0.25;
            let mut sire = draw(&sires[..old_sires], total, &mut dice);
            for _ in 0..12 {
                if !line || are_related(&parents, sire, dam) {
                    break;
                }
                sire = draw(&sires[..old_sires], total, &mut dice);
            }
            for _ in 0..3 + below(&mut dice, 6) {
                if parents.len() == dogs {
                    break;
                }
                let pup = parents.len() as u32;
                parents.push([Some(sire), Some(dam)]);
                let fate = dice.share();
                if fate < 0.028 {
                    keep(&mut sires, pup, year, &mut dice);
                } else if fate < 0.138 {
                    keep(&mut dams, pup, year, &mut dice);
                }
            }
        }
    }
    parents
}

fn keep(breeders: &mut Vec<Breeder>, dog: u32, born: usize, dice: &mut Dice) {
    // A Pareto tail: one sire in a hundred is used some thirty times as often as the usual one.
    let weight = (1.0 - dice.share()).powf(-0.75).min(200.0);
    breeders.push(Breeder { dog, born, weight_to: 0.0, weight });
}

fn draw(sires: &[Breeder], total: f64, dice: &mut Dice) -> u32 {
    let point = dice.share() * total;
    let at = sires.partition_point(|sire| sire.weight_to <= point);
    sires[at.min(sires.len() - 1)].dog
}

/// Whether two dogs share a parent or a grandparent.
pub fn are_related(parents: &[[Option<u32>; 2]], a: u32, b: u32) -> bool {
    let line = |dog: u32| {
        let near = parents[dog as usize].into_iter().flatten();
        near.clone().chain(near.flat_map(|parent| parents[parent as usize]).flatten())
    };
    line(a).any(|one| one == b || line(b).any(|other| one == other))
}
