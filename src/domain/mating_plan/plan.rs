//! A plan of matings as it is asked for: whom to mate, by which limits, and how many litters.

use super::{
    BreedGroup, BreedKinship, ChoiceCost, KinshipTable, MatingCandidate, MatingGrid, PairChoice,
    PlanContext, ProposalAnimal, YearPlanRequest, YearProposal, plan_grid, propose_year,
};
use crate::{
    breeding_limits::{BreedingSex, RuleSet},
    fault::{Fault, Faults},
    inbreeding::Studbook,
    markers::{GenotypeBook, GenotypeResult, MarkerCatalogue, MarkerFamily},
    pedigree::PedigreeRow,
    rules::Rules,
    seen_traits::TraitSigns,
};
use catalogue::{Text, Value, said};
use chrono::NaiveDate;
use serde::Deserialize;
use std::{
    collections::{BTreeSet, HashMap, HashSet},
    sync::Arc,
};
use utoipa::ToSchema;
use uuid::Uuid;

#[cfg(test)]
mod tests;

/// Most dogs that a plan weighs, breeding stock included: kinship is computed of every two.
const MOST_DOGS: usize = 600;
/// Most matings that an answer tells, and as many that are left out: it stays under 1 MB.
const MOST_TOLD: usize = 300;
/// The rule set when none is chosen.
const DEFAULT_RULE_SET: &str = "careful";

/// What to plan.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MatingPlanRequest {
    /// Dams; all females of the living breeding stock when left out or empty.
    #[serde(default)]
    #[schema(max_items = 600)]
    pub dams: Vec<Uuid>,
    /// Sires; all males of the living breeding stock when left out or empty.
    #[serde(default)]
    #[schema(max_items = 600)]
    pub sires: Vec<Uuid>,
    /// Day of mating that ages and rests are counted to; today when left out.
    #[serde(default)]
    pub mated_on: Option<NaiveDate>,
    /// Name of the rule set that limits are held against; `careful` when left out.
    #[serde(default)]
    #[schema(example = "careful", min_length = 1, max_length = 100)]
    pub rule_set: Option<String>,
    /// Litters wanted: adds the proposal of pairs with the lowest mean kinship of the pups.
    #[serde(default)]
    #[schema(example = 4, minimum = 1, maximum = 1000)]
    pub litters: Option<u32>,
    /// Most litters of a dam in the proposal; 1 when left out.
    #[serde(default)]
    #[schema(example = 1, minimum = 1, maximum = 10)]
    pub litters_per_dam: Option<u32>,
    /// Most litters of a sire in the proposal; as many as wanted when left out.
    #[serde(default)]
    #[schema(example = 2, minimum = 1, maximum = 1000)]
    pub litters_per_sire: Option<u32>,
    /// Pups expected in a litter; the rule `breeding.pups_per_litter` when left out.
    #[serde(default)]
    #[schema(example = 6.5, minimum = 1, maximum = 24)]
    pub pups_per_litter: Option<f64>,
    /// Least and most litters of single dogs in the proposal, instead of those of all dams or sires.
    #[serde(default)]
    #[schema(max_items = 600)]
    pub limits: Vec<LitterLimit>,
    /// Pairs to weigh: of each the best plan that has a litter of it, and what that costs all others; needs
    /// `litters`.
    #[serde(default)]
    #[schema(max_items = 20)]
    pub choices: Vec<PairChoice>,
    /// A breed as it is written on the dogs: adds the mean kinship of the pups to its living dogs on record.
    #[serde(default)]
    #[schema(example = "Labrador Retriever", min_length = 1, max_length = 200)]
    pub breed: Option<String>,
    /// What the pups' mean kinship to the breed counts in the proposal beside that among themselves: 1 as much, 0 not at
    /// all, as when it is left out; needs `breed` and `litters`.
    #[serde(default)]
    #[schema(example = 0.5, minimum = 0, maximum = 10)]
    pub breed_weight: Option<f64>,
}

/// How many litters one dog may have in a proposal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LitterLimit {
    /// A dam or sire of the plan.
    pub dog_id: Uuid,
    /// Litters it must have; none when left out.
    #[serde(default)]
    #[schema(example = 1, minimum = 0, maximum = 1000)]
    pub at_least: u32,
    /// Litters it may have.
    #[schema(example = 2, minimum = 0, maximum = 1000)]
    pub at_most: u32,
}

/// A year as it was planned.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedYear {
    /// Sires ranked for every dam.
    pub grid: MatingGrid,
    /// Which pairs to mate, where litters were asked for.
    pub proposal: Option<YearProposal>,
    /// What each pair that was to be weighed costs the others.
    pub choices: Vec<ChoiceCost>,
    /// How the dogs stand to the breed, where one was asked for.
    pub breed: Option<BreedKinship>,
}

/// All that a plan is computed from.
#[derive(Clone)]
pub struct MatingPlanFacts {
    /// The kennel's pedigrees.
    pub book: Arc<Studbook<Uuid>>,
    /// The dams to plan for.
    pub dams: Vec<MatingCandidate>,
    /// The sires to choose from.
    pub sires: Vec<MatingCandidate>,
    /// The living breeding stock.
    pub stock: Vec<Uuid>,
    /// The candidates with their near ancestors, whose tests tell of them.
    pub family: Vec<PedigreeRow<Uuid>>,
    /// Genetic tests of the family.
    pub results: Vec<(Uuid, GenotypeResult)>,
    /// What is seen of the candidates' coats.
    pub traits: HashMap<Uuid, TraitSigns>,
    /// The limits that the plan is held against.
    pub rule_set: &'static RuleSet,
    /// The line on the law beside them.
    pub law: Text,
    /// The rules in force.
    pub rules: Rules,
    /// The day of mating that ages and rests are counted to.
    pub mated_on: NaiveDate,
    /// The living dogs of the breed that was asked for.
    pub breed: Option<BreedGroup>,
}

impl MatingPlanRequest {
    /// The limits that the plan is held against.
    ///
    /// # Errors
    /// A fault at `/rule_set` with the names that there are.
    pub fn limits(&self) -> Result<&'static RuleSet, Fault> {
        RuleSet::named(self.rule_set.as_deref().unwrap_or(DEFAULT_RULE_SET)).ok_or_else(|| {
            let known: Vec<&str> = RuleSet::all().iter().map(|set| set.name.as_str()).collect();
            let known = Value::all(known);
            Fault::new("/rule_set", said!("fault-unknown-value-breeding-rule-set", known = known))
        })
    }

    /// The dams and the sires that were named, or those of the breeding stock; `known` are the dogs of which
    /// the sex is known.
    ///
    /// # Errors
    /// A fault for each dog that is not known, and for too many dogs.
    pub fn candidates(
        &self,
        stock: &[Uuid],
        known: &HashMap<Uuid, MatingCandidate>,
    ) -> Result<[Vec<MatingCandidate>; 2], Vec<Fault>> {
        let mut faults = Faults::new();
        let mut list = |name: &str, named: &[Uuid], sex: BreedingSex| -> Vec<MatingCandidate> {
            if named.is_empty() {
                let of_stock = stock.iter().filter_map(|id| known.get(id));
                return of_stock.filter(|dog| dog.sex == sex).cloned().collect();
            }
            let mut found = Vec::new();
            for (at, id) in named.iter().enumerate() {
                match known.get(id) {
                    Some(dog) => found.push(dog.clone()),
                    None => faults
                        .add(format!("/{name}/{at}"), said!("fault-not-found-dog-of-known-sex")),
                }
            }
            found
        };
        let dams = list("dams", &self.dams, BreedingSex::Female);
        let sires = list("sires", &self.sires, BreedingSex::Male);
        let dogs: HashSet<Uuid> =
            stock.iter().copied().chain(dams.iter().chain(&sires).map(|dog| dog.id)).collect();
        faults.unless(dogs.len() <= MOST_DOGS, "/dams", || {
            said!("fault-too-many-dogs-of-plan", count = dogs.len(), most = MOST_DOGS)
        });
        faults.into_result()?;
        Ok([dams, sires])
    }
}

impl MatingPlanRequest {
    /// Reports limits and pairs to weigh that name no candidate, or make no sense.
    fn check(&self, facts: &MatingPlanFacts) -> Result<(), Vec<Fault>> {
        let mut faults = Faults::new();
        let is_in = |dogs: &[MatingCandidate], id: Uuid| dogs.iter().any(|dog| dog.id == id);
        let mut named = HashSet::new();
        for (at, limit) in self.limits.iter().enumerate() {
            let pointer = format!("/limits/{at}/dog_id");
            let known = is_in(&facts.dams, limit.dog_id) || is_in(&facts.sires, limit.dog_id);
            faults.unless(known, &pointer, || said!("fault-not-found-among-candidates"));
            faults.unless(named.insert(limit.dog_id), &pointer, || said!("fault-twice"));
            let ordered = limit.at_least <= limit.at_most;
            faults.unless(ordered, &format!("/limits/{at}/at_least"), || {
                said!("fault-disordered-litters")
            });
        }
        for (at, pair) in self.choices.iter().enumerate() {
            for (field, dogs, id) in
                [("dam_id", &facts.dams, pair.dam_id), ("sire_id", &facts.sires, pair.sire_id)]
            {
                faults.unless(is_in(dogs, id), &format!("/choices/{at}/{field}"), || {
                    said!("fault-not-found-among-candidates")
                });
            }
        }
        faults.unless(self.choices.is_empty() || self.litters.is_some(), "/litters", || {
            said!("fault-missing-litters-of-choices")
        });
        let weighs = self.breed_weight.is_some();
        faults.unless(!weighs || self.breed.is_some(), "/breed", || {
            said!("fault-missing-breed-of-weight")
        });
        faults.unless(!weighs || self.litters.is_some(), "/litters", || {
            said!("fault-missing-litters-of-weight")
        });
        faults.into_result()
    }

    /// The question of a year: so many litters, of the pairs that the ranking allows.
    fn of_year(
        &self,
        litters: u32,
        facts: &MatingPlanFacts,
        grid: &MatingGrid,
        breed: Option<&BreedKinship>,
    ) -> YearPlanRequest {
        let per_dam = self.litters_per_dam.unwrap_or(1);
        let per_sire = self.litters_per_sire.unwrap_or(litters);
        let limit = |id: Uuid| self.limits.iter().find(|limit| limit.dog_id == id);
        let offer = |dogs: &[MatingCandidate], at_most| {
            let animal = |dog: &MatingCandidate| match limit(dog.id) {
                Some(own) => {
                    ProposalAnimal { id: dog.id, at_least: own.at_least, at_most: own.at_most }
                }
                None => ProposalAnimal { id: dog.id, at_least: 0, at_most },
            };
            dogs.iter().map(animal).collect()
        };
        // A dam that may have more litters than others may have them of one sire.
        let most = self.limits.iter().map(|limit| limit.at_most).fold(per_dam, u32::max);
        YearPlanRequest {
            litters,
            dams: offer(&facts.dams, per_dam),
            sires: offer(&facts.sires, per_sire),
            pairs: grid.allowed_pairs(most),
            pups_per_litter: self.pups_per_litter,
            breed: breed
                .zip(self.breed_weight.filter(|weight| *weight > 0.0))
                .map(|(breed, weight)| breed.aim(weight)),
        }
    }
}

impl MatingPlanFacts {
    /// Ranks every sire for every dam and, where a number of litters is asked for, proposes which pairs to
    /// mate; then weighs single pairs, and holds all against the breed, where that is asked for.
    ///
    /// # Errors
    /// Those of [`plan_grid`] and [`propose_year`]; limits or pairs of dogs that are no candidates; a dog that was
    /// deleted meanwhile.
    pub fn plan(&self, asked: &MatingPlanRequest) -> Result<PlannedYear, Vec<Fault>> {
        asked.check(self)?;
        let Self { book, dams, sires, stock, rules, .. } = self;
        let gone = |_| vec![Fault::new("", said!("fault-gone-dog-deleted"))];
        let ids: BTreeSet<Uuid> =
            dams.iter().chain(sires).map(|dog| dog.id).chain(stock.iter().copied()).collect();
        let ids: Vec<Uuid> = ids.into_iter().collect();
        let values = book.kinship_values(&ids).map_err(gone)?;
        let generations = book.generation_equivalents(&ids).map_err(gone)?;
        let kinship = KinshipTable::new(ids, values)?;
        let females: HashSet<Uuid> = dams
            .iter()
            .chain(sires)
            .filter(|d| d.sex == BreedingSex::Female)
            .map(|d| d.id)
            .collect();
        let family = MarkerFamily::of_pedigree(&self.family, &females, &self.results)?;
        let named: Vec<Uuid> = dams.iter().chain(sires).map(|dog| dog.id).collect();
        let genotypes =
            GenotypeBook::new(&family, MarkerCatalogue::standard(), &[], &named, rules)?;
        let context = PlanContext {
            kinship: &kinship,
            stock,
            generations: &generations,
            traits: &self.traits,
            genotypes: Some(&genotypes),
            rule_set: self.rule_set,
            law: &self.law,
            rules,
            mated_on: self.mated_on,
        };
        let mut grid = plan_grid(dams, sires, &context)?;
        let of_breed = self.breed.as_ref();
        let breed = of_breed.map(|group| group.kinship(book, &named, self.mated_on, rules));
        let breed = breed.transpose().map_err(gone)?;
        let mut proposal = None;
        let mut choices = Vec::new();
        if let Some(litters) = asked.litters {
            let request = asked.of_year(litters, self, &grid, breed.as_ref());
            let best = propose_year(&request, &kinship, rules)?;
            let weighed = asked.choices.iter();
            choices =
                weighed.map(|pair| pair.weighed(&request, &best, &grid, &kinship, rules)).collect();
            proposal = Some(best);
        }
        grid.shorten(MOST_TOLD);
        if let Some(breed) = &breed {
            breed.tell(&mut grid, proposal.as_mut());
        }
        let breed = breed.map(|breed| breed.of_proposal(proposal.as_ref()));
        Ok(PlannedYear { grid, proposal, choices, breed })
    }
}
