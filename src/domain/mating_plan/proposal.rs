//! Which pairs to mate this year so that the next generation's mean kinship stays lowest.
//!
//! Choosing parents by c'Kc follows optimal contributions (Meuwissen THE 1997, Maximizing the
//! response of selection with a predefined rate of inbreeding, J Anim Sci 75:934-940) with mean
//! kinship itself as the aim (Ballou JD, Lacy RC 1995, Identifying genetically important
//! individuals for management of genetic variation in pedigreed populations, in Population
//! Management for Survival and Recovery).

use super::{
    KinshipTable,
    convex::KinshipObjective,
    flow::{LitterSpan, PairArc, PairNetwork},
    search::{EQUAL, SearchOutcome, search},
};
use crate::{
    fault::{Fault, Faults},
    rules::Rules,
};
use catalogue::{Text, said};
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use utoipa::ToSchema;
use uuid::Uuid;

/// A dam or sire that a proposal may use.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub(crate) struct ProposalAnimal {
    /// The dog.
    pub id: Uuid,
    /// Litters it must have.
    #[serde(default)]
    pub at_least: u32,
    /// Litters it may have.
    #[schema(example = 1)]
    pub at_most: u32,
}

/// A pair that may be mated.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub(crate) struct ProposalPair {
    /// The dam.
    pub dam_id: Uuid,
    /// The sire.
    pub sire_id: Uuid,
    /// Litters it may have.
    #[schema(example = 1)]
    pub at_most: u32,
}

/// How much it counts how akin the pups are to their breed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub(crate) struct BreedAim {
    /// What a part of mean kinship to the breed counts beside one of mean kinship among the pups.
    #[schema(example = 0.5)]
    pub weight: f64,
    /// Mean kinship of each dam and sire to the breed.
    pub of_dogs: Vec<(Uuid, f64)>,
}

impl BreedAim {
    fn of(&self, dog: Uuid) -> f64 {
        self.of_dogs.iter().find(|(id, _)| *id == dog).map_or(0.0, |(_, kinship)| *kinship)
    }
}

/// What a year's proposal must keep to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub(crate) struct YearPlanRequest {
    /// Litters wanted.
    #[schema(example = 5)]
    pub litters: u32,
    /// Dams on offer.
    pub dams: Vec<ProposalAnimal>,
    /// Sires on offer.
    pub sires: Vec<ProposalAnimal>,
    /// Pairs allowed, e.g. those that the ranking did not exclude.
    pub pairs: Vec<ProposalPair>,
    /// Pups expected in a litter; the rule `breeding.pups_per_litter` when absent.
    pub pups_per_litter: Option<f64>,
    /// Whether kinship to the breed counts as well, and how much.
    #[serde(default)]
    pub breed: Option<BreedAim>,
}

/// A mating of the proposal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ProposedMating {
    /// The dam.
    pub dam_id: Uuid,
    /// The sire.
    pub sire_id: Uuid,
    /// Litters of this pair.
    pub litters: u32,
    /// Inbreeding of the pups: the kinship of the parents.
    #[schema(example = 0.03125)]
    pub inbreeding: f64,
    /// Mean kinship of the pups to the living dogs of the breed, where one was asked for.
    pub mean_kinship_to_breed: Option<f64>,
}

/// A parent's part in the next generation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ParentContribution {
    /// The dog.
    pub dog_id: Uuid,
    /// Its litters.
    pub litters: u32,
    /// Its share of the pups' genes; all shares sum to 1.
    #[schema(example = 0.1)]
    pub contribution: f64,
}

/// The year's proposal with the proof of how good it is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct YearProposal {
    /// Matings, by dam in the order given.
    pub matings: Vec<ProposedMating>,
    /// Parents used, dams first.
    pub contributions: Vec<ParentContribution>,
    /// Mean kinship of the pups, each with itself counted.
    #[schema(example = 0.083)]
    pub mean_kinship: f64,
    /// Its part c'Kc: any two pups, litter mates and half sibs included.
    pub between_pups: f64,
    /// Its part for each pup's kinship with itself beyond that with a litter mate.
    pub within_pups: f64,
    /// Mean inbreeding of the pups.
    pub mean_inbreeding: f64,
    /// What the mean kinship of the pups to the breed counts beside that; 0 where it is only told.
    #[schema(example = 0.5)]
    pub breed_weight: f64,
    /// What the plan makes lowest: `mean_kinship`, and `breed_weight` times the mean kinship of the pups to the breed.
    #[schema(example = 0.083)]
    pub weighed: f64,
    /// No plan within the request has a lower `weighed`.
    pub lower_bound: f64,
    /// `weighed` less `lower_bound`.
    pub gap: f64,
    /// Whether the gap is within rounding, so that no plan is better.
    pub optimal: bool,
    /// The bound of the convex relaxation alone.
    pub relaxation_bound: f64,
    /// Relaxations solved.
    pub nodes: u64,
    /// Relaxations allowed.
    pub nodes_limit: u64,
    /// How it was found.
    #[schema(value_type = String)]
    pub method: Text,
    /// What the figures rest on.
    #[schema(value_type = Vec<String>)]
    pub assumptions: Vec<Text>,
}

/// Proposes the year's matings with the lowest mean kinship of the pups.
///
/// With `c` each parent's share (litters / 2·all litters), `K` the kinship of the parents and `N`
/// the pups expected, the mean over all pairs of pups, each with itself included, is
/// `c'Kc + Σ cₐ(1 − Kₐₐ) / 2N`: the first term holds full sibs and half sibs, the second what a
/// pup is more akin to itself than to a litter mate. Where the breed weighs, `Σ c · weight · kinship of the parent to the
/// breed` is added: the pups' mean kinship to it, which is linear in the shares. Fractions 0–1; limits of size and work by
/// the rules `breeding.proposal_*` and `breeding.pups_per_litter`.
///
/// # Errors
/// All faults of the request at once: no litter wanted, a dog twice or both as dam and sire, a
/// pair of dogs that are not on offer, a dog missing in `kinship`, sizes over a limit, a span
/// that is empty, litters that do not fit (with how many would), a table that is no kinship.
pub(crate) fn propose_year(
    request: &YearPlanRequest,
    kinship: &KinshipTable,
    rules: &Rules,
) -> Result<YearProposal, Vec<Fault>> {
    check(request, kinship, rules)?;
    let animals: Vec<&ProposalAnimal> = request.dams.iter().chain(&request.sires).collect();
    let ids: Vec<Uuid> = animals.iter().map(|a| a.id).collect();
    let network = network(request, &ids);
    let spans: Vec<LitterSpan> = animals
        .iter()
        .map(|a| LitterSpan { at_least: a.at_least, at_most: a.at_most.min(request.litters) })
        .collect();
    network.cheapest(request.litters, &spans, |_, _| 0.0, None).map_err(|most| {
        let detail = if most < request.litters {
            said!("fault-too-many-litters-fit", most = most, wanted = request.litters)
        } else {
            said!("fault-too-many-litters-must")
        };
        vec![Fault::new("/litters", detail)]
    })?;
    let pups = request.pups_per_litter.unwrap_or_else(|| rules.value("breeding.pups_per_litter"));
    let mut objective = objective(network, request.litters, &ids, kinship, pups);
    let of_breed = of_breed(request, &ids);
    objective.linear.iter_mut().zip(&of_breed).for_each(|(all, breed)| *all += breed);
    objective
        .split_diagonal()
        .map_err(|()| vec![Fault::new("/kinship", said!("fault-wrong-kind-no-kinship"))])?;
    // A whole number within the bounds of its rule.
    let limit = rules.value("breeding.proposal_nodes_limit").max(1.0) as u64;
    let found = search(&objective, &spans, limit)
        .ok_or_else(|| vec![Fault::new("/litters", said!("fault-unknowable-no-plan"))])?;
    Ok(report(request, &objective, &ids, (&found, &of_breed), limit, pups))
}

/// What a litter of each dog adds to the aim by its kinship to the breed.
fn of_breed(request: &YearPlanRequest, ids: &[Uuid]) -> Vec<f64> {
    let Some(aim) = &request.breed else { return vec![0.0; ids.len()] };
    let share = 1.0 / (2.0 * f64::from(request.litters));
    ids.iter().map(|id| aim.weight * aim.of(*id) * share).collect()
}

fn network(request: &YearPlanRequest, ids: &[Uuid]) -> PairNetwork {
    let place: HashMap<Uuid, usize> = ids.iter().enumerate().map(|(i, id)| (*id, i)).collect();
    let arcs = request.pairs.iter().filter_map(|pair| {
        let (dam, sire) = (*place.get(&pair.dam_id)?, *place.get(&pair.sire_id)?);
        Some(PairArc { dam, sire, at_most: pair.at_most.min(request.litters) })
    });
    PairNetwork::new(request.dams.len(), ids.len(), arcs.collect())
}

fn objective(
    network: PairNetwork,
    litters: u32,
    ids: &[Uuid],
    kinship: &KinshipTable,
    pups_per_litter: f64,
) -> KinshipObjective {
    let of = |a: &Uuid, b: &Uuid| kinship.kinship(*a, *b).unwrap_or(0.0);
    let all = f64::from(litters);
    let linear = ids.iter().map(|a| (1.0 - of(a, a)) / (4.0 * all * all * pups_per_litter));
    KinshipObjective {
        network,
        litters,
        kinship: ids.iter().flat_map(|a| ids.iter().map(move |b| of(a, b))).collect(),
        scale: 1.0 / (4.0 * all * all),
        linear: linear.collect(),
        diagonal: vec![0.0; ids.len()],
    }
}

fn report(
    request: &YearPlanRequest,
    objective: &KinshipObjective,
    ids: &[Uuid],
    (found, of_breed): (&SearchOutcome, &[f64]),
    nodes_limit: u64,
    pups_per_litter: f64,
) -> YearProposal {
    let n = ids.len();
    let exact = |k: &u32| LitterSpan { at_least: *k, at_most: *k };
    let spans: Vec<LitterSpan> = found.plan.of_animal.iter().map(exact).collect();
    let pairs = &objective.network.pairs;
    let inbreeding = |p: usize| objective.kinship[pairs[p].dam * n + pairs[p].sire];
    // The same litters of each parent, in the pairs of least inbreeding.
    let paired = objective
        .network
        .cheapest(objective.litters, &spans, |_, _| 0.0, Some(&inbreeding))
        .unwrap_or_else(|_| found.plan.clone());
    let used = || (0..pairs.len()).filter(|p| paired.of_pair[*p] > 0);
    let all = f64::from(request.litters);
    let litters_of = |a: usize| f64::from(paired.of_animal[a]);
    let linear: f64 = (0..n).map(|a| objective.linear[a] * litters_of(a)).sum();
    let breed: f64 = (0..n).map(|a| of_breed[a] * litters_of(a)).sum();
    let (within, mean_kinship) = (linear - breed, found.value - breed);
    let breed_weight = request.breed.as_ref().map_or(0.0, |aim| aim.weight);
    let mut assumptions =
        vec![said!("year-plan-pups", pups = pups_per_litter), said!("year-plan-founders")];
    if breed_weight > 0.0 {
        assumptions.push(said!("year-plan-breed-weighs", weight = breed_weight));
    }
    let gap = (found.value - found.bound).max(0.0);
    YearProposal {
        matings: used()
            .map(|p| ProposedMating {
                dam_id: ids[pairs[p].dam],
                sire_id: ids[pairs[p].sire],
                litters: paired.of_pair[p],
                inbreeding: inbreeding(p),
                mean_kinship_to_breed: None,
            })
            .collect(),
        contributions: (0..n)
            .filter(|a| paired.of_animal[*a] > 0)
            .map(|a| ParentContribution {
                dog_id: ids[a],
                litters: paired.of_animal[a],
                contribution: f64::from(paired.of_animal[a]) / (2.0 * all),
            })
            .collect(),
        mean_kinship,
        between_pups: mean_kinship - within,
        within_pups: within,
        mean_inbreeding: used().map(|p| inbreeding(p) * f64::from(paired.of_pair[p])).sum::<f64>()
            / all,
        breed_weight,
        weighed: found.value,
        lower_bound: found.bound,
        gap,
        optimal: gap <= 2.0 * EQUAL,
        relaxation_bound: found.root_bound,
        nodes: found.nodes,
        nodes_limit,
        method: said!("year-plan-method"),
        assumptions,
    }
}

fn check(
    request: &YearPlanRequest,
    kinship: &KinshipTable,
    rules: &Rules,
) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    let limit = |key| rules.value(key);
    let most = limit("breeding.proposal_litters_limit");
    faults.unless(request.litters > 0 && f64::from(request.litters) <= most, "/litters", || {
        said!("fault-out-of-range-from-to", from = 1, to = most)
    });
    let animals = request.dams.len() + request.sires.len();
    let most = limit("breeding.proposal_animals_limit");
    faults.unless(animals as f64 <= most, "/dams", || {
        said!("fault-limit-animals", dogs = animals, most = most)
    });
    let most = limit("breeding.grid_pairs_limit");
    faults.unless(request.pairs.len() as f64 <= most, "/pairs", || {
        said!("fault-limit-pairs-offered", pairs = request.pairs.len(), most = most)
    });
    faults.unless(!request.pairs.is_empty(), "/pairs", || said!("fault-too-few-pairs"));
    if let Some(pups) = request.pups_per_litter {
        let rule = rules.get("breeding.pups_per_litter");
        faults.unless((rule.min..=rule.max).contains(&pups), "/pups_per_litter", || {
            said!("fault-out-of-range-from-to", from = rule.min, to = rule.max)
        });
    }
    let mut place = HashMap::new();
    for (list, dogs) in [("dams", &request.dams), ("sires", &request.sires)] {
        for (at, dog) in dogs.iter().enumerate() {
            let pointer = format!("/{list}/{at}");
            let fresh = place.insert(dog.id, list).is_none();
            faults.unless(fresh, &pointer, || said!("fault-twice-on-offer"));
            faults.unless(kinship.kinship(dog.id, dog.id).is_some(), &pointer, || {
                said!("fault-not-found-kinship")
            });
            faults.unless(dog.at_least <= dog.at_most, &pointer, || {
                said!("fault-disordered-litters")
            });
        }
    }
    let mut seen = std::collections::HashSet::new();
    for (at, pair) in request.pairs.iter().enumerate() {
        let offered =
            place.get(&pair.dam_id) == Some(&"dams") && place.get(&pair.sire_id) == Some(&"sires");
        faults.unless(offered, &format!("/pairs/{at}"), || said!("fault-not-found-on-offer"));
        faults.unless(seen.insert((pair.dam_id, pair.sire_id)), &format!("/pairs/{at}"), || {
            said!("fault-twice")
        });
    }
    faults.into_result()
}
