use super::proposal::{BreedAim, ProposalPair};
use super::*;
use crate::rules::Rules;
use proptest::prelude::*;
use uuid::Uuid;

fn id(n: usize) -> Uuid {
    Uuid::from_u128(n as u128 + 1)
}

/// Kinship by the tabular method (Emik LO, Terrill CE 1949, J Hered 40:51-55): parents before
/// offspring.
fn tabular(parents: &[(Option<usize>, Option<usize>)]) -> Vec<f64> {
    let n = parents.len();
    let mut k = vec![0.0; n * n];
    for i in 0..n {
        let (sire, dam) = parents[i];
        for j in 0..i {
            let of = |p: Option<usize>| p.map_or(0.0, |p| k[p * n + j]);
            let value = 0.5 * (of(sire) + of(dam));
            k[i * n + j] = value;
            k[j * n + i] = value;
        }
        let between = sire.zip(dam).map_or(0.0, |(s, d)| k[s * n + d]);
        k[i * n + i] = 0.5 * (1.0 + between);
    }
    k
}

/// A random pedigree of which the youngest `take` are on offer.
fn kinship(parents: &[(Option<usize>, Option<usize>)], take: usize) -> KinshipTable {
    let (n, all) = (parents.len(), tabular(parents));
    let from = n - take;
    let values = (from..n).flat_map(|i| all[i * n + from..(i + 1) * n].to_vec()).collect();
    KinshipTable::new((0..take).map(id).collect(), values).unwrap()
}

fn request(
    dams: usize,
    sires: usize,
    litters: u32,
    most: &[u32],
    banned: &[bool],
) -> YearPlanRequest {
    let animal = |a: usize| ProposalAnimal { id: id(a), at_least: 0, at_most: most[a] };
    let all = (0..dams).flat_map(|d| (dams..dams + sires).map(move |s| (d, s)));
    let allowed = all.zip(banned).filter(|(_, banned)| !**banned);
    YearPlanRequest {
        litters,
        dams: (0..dams).map(animal).collect(),
        sires: (dams..dams + sires).map(animal).collect(),
        pairs: allowed
            .map(|((d, s), _)| ProposalPair { dam_id: id(d), sire_id: id(s), at_most: 2 })
            .collect(),
        pups_per_litter: Some(5.0),
        breed: None,
    }
}

/// Mean kinship of a plan's pups the long way: every pup is added to the pedigree.
fn by_pups(table: &KinshipTable, matings: &[(Uuid, Uuid, u32)], pups: usize) -> f64 {
    let mut parents = Vec::new();
    for (dam, sire, litters) in matings {
        parents.extend(std::iter::repeat_n((*dam, *sire), *litters as usize * pups));
    }
    let of = |a: Uuid, b: Uuid| table.kinship(a, b).unwrap();
    let mut sum = 0.0;
    for (i, (d, s)) in parents.iter().enumerate() {
        for (j, (e, t)) in parents.iter().enumerate() {
            sum += if i == j {
                0.5 * (1.0 + of(*d, *s))
            } else {
                0.25 * (of(*d, *e) + of(*d, *t) + of(*s, *e) + of(*s, *t))
            };
        }
    }
    sum / (parents.len() * parents.len()) as f64
}

/// Mean kinship of a plan's pups to their breed, times its weight: each pup is as akin to it as its parents on average.
fn by_breed(request: &YearPlanRequest, matings: &[(Uuid, Uuid, u32)]) -> f64 {
    let Some(aim) = &request.breed else { return 0.0 };
    let of = |dog: &Uuid| aim.of_dogs.iter().find(|(id, _)| id == dog).unwrap().1;
    let sum: f64 =
        matings.iter().map(|(d, s, litters)| f64::from(*litters) * 0.5 * (of(d) + of(s))).sum();
    aim.weight * sum / f64::from(request.litters)
}

/// The least of what is to be low, of all plans, by enumeration.
fn brute_force(request: &YearPlanRequest, table: &KinshipTable) -> Option<f64> {
    let mut best: Option<f64> = None;
    let mut x = vec![0_u32; request.pairs.len()];
    loop {
        let litters = |id: Uuid| -> u32 {
            let of = request.pairs.iter().zip(&x);
            of.filter(|(p, _)| p.dam_id == id || p.sire_id == id).map(|(_, k)| *k).sum()
        };
        let fits = x.iter().sum::<u32>() == request.litters
            && request
                .dams
                .iter()
                .chain(&request.sires)
                .all(|a| (a.at_least..=a.at_most).contains(&litters(a.id)));
        if fits {
            let matings: Vec<(Uuid, Uuid, u32)> =
                request.pairs.iter().zip(&x).map(|(p, k)| (p.dam_id, p.sire_id, *k)).collect();
            let value = by_pups(table, &matings, 5) + by_breed(request, &matings);
            best = Some(best.map_or(value, |b: f64| b.min(value)));
        }
        let Some(p) = (0..x.len()).find(|p| x[*p] < request.pairs[*p].at_most) else {
            return best;
        };
        x[p] += 1;
        x[..p].fill(0);
    }
}

type Parents = Vec<(Option<usize>, Option<usize>)>;

fn pedigrees(size: usize) -> impl Strategy<Value = Parents> {
    let one = (any::<prop::sample::Index>(), any::<prop::sample::Index>(), 0..4_u8);
    prop::collection::vec(one, size).prop_map(|draws| {
        let pick = |i: usize, index: &prop::sample::Index| (i > 2).then(|| index.index(i));
        let rows = draws.iter().enumerate();
        rows.map(|(i, (sire, dam, known))| match known {
            0 => (None, None),
            1 => (pick(i, sire), None),
            _ => (pick(i, sire), pick(i, dam).filter(|d| Some(*d) != pick(i, sire))),
        })
        .collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..Default::default() })]

    /// bound ≤ optimum ≤ answer always, and all three equal when the search may finish.
    #[test]
    fn equals_enumeration_and_never_overstates_its_bound(
        parents in pedigrees(14),
        dams in 2..4_usize,
        litters in 1..5_u32,
        most in prop::collection::vec(0..3_u32, 6),
        banned in prop::collection::vec(prop::bool::weighted(0.25), 9),
        nodes in prop_oneof![Just(1.0), Just(3.0), Just(2000.0)],
        weight in prop_oneof![Just(0.0), Just(0.5), Just(4.0)],
        to_breed in prop::collection::vec(0.0..0.3_f64, 5),
    ) {
        let mut request = request(dams, 5 - dams, litters, &most, &banned);
        let of_dogs = to_breed.iter().enumerate().map(|(dog, kinship)| (id(dog), *kinship));
        request.breed =
            (weight > 0.0).then(|| BreedAim { weight, of_dogs: of_dogs.collect() });
        let table = kinship(&parents, 5);
        let rules = Rules::standard()
            .with_override("breeding.proposal_nodes_limit", nodes, "test")
            .unwrap();
        let truth = brute_force(&request, &table);
        match propose_year(&request, &table, &rules) {
            Err(faults) => prop_assert!(truth.is_none(), "{faults:?}"),
            Ok(answer) => {
                let best = truth.unwrap();
                prop_assert!(answer.lower_bound <= best + 1e-9, "{} {best}", answer.lower_bound);
                prop_assert!(answer.weighed >= best - 1e-9);
                prop_assert!(answer.relaxation_bound <= best + 1e-9);
                prop_assert!((answer.weighed - answer.lower_bound - answer.gap).abs() < 1e-12);
                if nodes > 3.0 {
                    prop_assert!(answer.optimal && (answer.weighed - best).abs() < 3e-9);
                }
                let matings: Vec<(Uuid, Uuid, u32)> =
                    answer.matings.iter().map(|m| (m.dam_id, m.sire_id, m.litters)).collect();
                prop_assert!((by_pups(&table, &matings, 5) - answer.mean_kinship).abs() < 1e-9);
                let breed = by_breed(&request, &matings);
                prop_assert!((answer.weighed - answer.mean_kinship - breed).abs() < 1e-9);
                prop_assert_eq!(answer.breed_weight.to_bits(), weight.to_bits());
                let parts = answer.between_pups + answer.within_pups;
                prop_assert!((parts - answer.mean_kinship).abs() < 1e-12);
                prop_assert_eq!(matings.iter().map(|m| m.2).sum::<u32>(), litters);
                let shares: f64 = answer.contributions.iter().map(|c| c.contribution).sum();
                prop_assert!((shares - 1.0).abs() < 1e-12);
            }
        }
    }
}

/// Four unrelated pairs, four litters: each animal once. Any two pups of one litter are full sibs
/// (1/4), of two litters unrelated, a pup with itself 1/2 (Falconer DS, Mackay TFC 1996,
/// Introduction to Quantitative Genetics, chapter 5). Five pups: (5·½ + 20·¼)/(4·25) = 0.075.
#[test]
fn unrelated_animals_share_the_litters_evenly() {
    let table = kinship(&vec![(None, None); 8], 8);
    let request = request(4, 4, 4, &[4; 8], &[false; 16]);
    let answer = propose_year(&request, &table, &Rules::standard()).unwrap();
    assert!((answer.mean_kinship - 0.075).abs() < 1e-12, "{}", answer.mean_kinship);
    assert!(answer.optimal && answer.contributions.iter().all(|c| c.litters == 1));
    assert!((answer.between_pups - 0.0625).abs() < 1e-12);
    assert!((answer.within_pups - 0.0125).abs() < 1e-12);
}

/// Two dams, each with a full brother among the sires: kinship of the plan is the same either
/// way, so the pairs are crossed and no pup is inbred.
#[test]
fn among_equal_plans_pairs_the_less_related() {
    let parents = [
        (None, None),
        (None, None),
        (None, None),
        (None, None),
        (Some(0), Some(1)),
        (Some(2), Some(3)),
        (Some(0), Some(1)),
        (Some(2), Some(3)),
    ];
    let table = kinship(&parents, 4);
    let request = request(2, 2, 2, &[1; 4], &[false; 4]);
    let answer = propose_year(&request, &table, &Rules::standard()).unwrap();
    assert!(answer.mean_inbreeding.abs() < 1e-12);
    assert_eq!(answer.matings.len(), 2);
}

/// A kennel's year: 12 dams, 25 sires, 10 litters among relatives; solved to a stated gap.
#[test]
fn a_kennel_s_year_is_bounded_closely() {
    let mut state = 7_u64;
    let mut draw = move |n: usize| {
        state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (state >> 33) as usize % n
    };
    let parents: Parents = (0..90)
        .map(|i| if i < 12 { (None, None) } else { (Some(draw(i.min(40))), Some(draw(i))) })
        .map(|(s, d)| if s == d { (s, None) } else { (s, d) })
        .collect();
    let table = kinship(&parents, 37);
    let mut most = [1_u32; 37];
    most[12..].fill(3);
    let request = request(12, 25, 10, &most, &[false; 300]);
    let answer = propose_year(&request, &table, &Rules::standard()).unwrap();
    assert!(answer.gap <= 0.01 * answer.mean_kinship, "{}", answer.gap);
    assert!(answer.lower_bound <= answer.mean_kinship);
}

#[test]
fn names_every_fault_of_a_request() {
    let table = kinship(&[(None, None); 4], 4);
    let rules = Rules::standard();
    let faults = |r: &YearPlanRequest| propose_year(r, &table, &rules).unwrap_err();
    let good = request(2, 2, 2, &[1; 4], &[false; 4]);
    let many = YearPlanRequest { litters: 3, ..good.clone() };
    assert!(faults(&many)[0].detail.contains("at most 2 litters"));
    let empty = YearPlanRequest { pairs: vec![], litters: 0, ..good.clone() };
    assert_eq!(faults(&empty).len(), 2);
    let mut twice = good.clone();
    twice.sires[0].id = twice.dams[0].id;
    assert!(faults(&twice).iter().any(|f| f.detail.contains("twice")));
    let mut unknown = good.clone();
    unknown.dams[1].id = id(99);
    assert!(faults(&unknown).iter().any(|f| f.detail.contains("pedigree")));
    let mut required = good;
    required.litters = 1;
    required.dams.iter_mut().for_each(|d| d.at_least = 1);
    assert!(faults(&required)[0].detail.contains("must have"));
    let odd = vec![0.5, 0.5, 0.0, 0.5, 0.5, 0.5, 0.0, 0.5, 0.5];
    assert!(KinshipTable::new((0..3).map(id).collect(), odd.clone()).is_ok());
    let three = YearPlanRequest { litters: 1, ..request(1, 2, 1, &[1; 3], &[false; 2]) };
    let table = KinshipTable::new((0..3).map(id).collect(), odd).unwrap();
    assert!(propose_year(&three, &table, &rules).unwrap_err()[0].detail.contains("semi-definite"));
    assert!(KinshipTable::new(vec![id(0)], vec![0.4]).is_err());
    assert!(KinshipTable::new(vec![id(0), id(1)], vec![0.5, 0.1, 0.2, 0.5]).is_err());
}
