//! The dogs and the knowledge that a mating plan weighs.

use super::KinshipTable;
use crate::{
    breeding_limits::{BreedingSex, DamHistory, PastWhelping, RuleSet},
    fault::{Fault, Faults},
    markers::GenotypeBook,
    partial_date::PartialDate,
    record::Sex,
    rules::Rules,
    seen_traits::TraitSigns,
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use std::collections::{HashMap, HashSet};
use uuid::Uuid;

/// A dog that may be mated.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MatingCandidate {
    /// The dog.
    pub id: Uuid,
    /// Its sex.
    pub sex: BreedingSex,
    /// Its birth date.
    pub born_on: Option<PartialDate>,
    /// Its sire and dam, if known.
    pub sire_id: Option<Uuid>,
    /// Its dam, if known.
    pub dam_id: Option<Uuid>,
    /// Why it cannot be mated at all: dead, retired, neutered, not on offer; `None` when it can.
    pub unavailable: Option<Text>,
    /// A dam's litters; not read of a sire.
    pub history: DamHistory,
}

impl MatingCandidate {
    /// A dog of known sex that may be mated in a heat to come, with its sire and dam; a dead one may not.
    pub fn of_dog(
        id: Uuid,
        sex: Sex,
        born_on: Option<PartialDate>,
        (sire_id, dam_id): (Option<Uuid>, Option<Uuid>),
        died_on: Option<NaiveDate>,
    ) -> Self {
        let history = DamHistory { born_on, ..DamHistory::default() };
        let unavailable = died_on.map(Self::died);
        let sex = match sex {
            Sex::Female => BreedingSex::Female,
            Sex::Male => BreedingSex::Male,
        };
        Self { id, sex, born_on, sire_id, dam_id, unavailable, history }
    }

    /// The same with its litters on record, `complete` where they are known to be all.
    #[must_use]
    pub fn with_litters(self, whelpings: Vec<PastWhelping>, complete: bool) -> Self {
        Self { history: DamHistory { whelpings, complete, ..self.history }, ..self }
    }

    /// Why a dog that died cannot be mated.
    pub(crate) fn died(on: NaiveDate) -> Text {
        said!("mating-died", on = on)
    }
}

/// What matings are weighed by.
#[derive(Clone, Copy)]
pub(crate) struct PlanContext<'a> {
    /// Kinship of the candidates to one another and to the breeding stock.
    pub kinship: &'a KinshipTable,
    /// The kennel's living breeding stock.
    pub stock: &'a [Uuid],
    /// Complete-generation equivalents of the candidates' pedigrees, where known.
    pub generations: &'a HashMap<Uuid, f64>,
    /// What is seen of the candidates' coats, by dog.
    pub traits: &'a HashMap<Uuid, TraitSigns>,
    /// Genetic tests, if any.
    pub genotypes: Option<&'a GenotypeBook<'a>>,
    /// Limits that the kennel keeps to.
    pub rule_set: &'a RuleSet,
    /// The line on the law beside them.
    pub law: &'a Text,
    /// Ceilings and weights.
    pub rules: &'a Rules,
    /// The day of mating that ages and rests are counted to.
    pub mated_on: NaiveDate,
}

/// Checks that a plan's candidates are of the sexes meant and not too many.
pub(super) fn check_candidates(
    dams: &[MatingCandidate],
    sires: &[MatingCandidate],
    rules: &Rules,
) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    let lists = [("dams", dams, BreedingSex::Female), ("sires", sires, BreedingSex::Male)];
    for (list, dogs, sex) in lists {
        faults.unless(!dogs.is_empty(), &format!("/{list}"), || said!("fault-too-few-dogs"));
        let mut seen = HashSet::new();
        for (at, dog) in dogs.iter().enumerate() {
            let pointer = format!("/{list}/{at}");
            faults.unless(seen.insert(dog.id), &pointer, || said!("fault-twice"));
            faults.unless(dog.sex == sex, &pointer, || match sex {
                BreedingSex::Female => said!("fault-wrong-sex-dams"),
                BreedingSex::Male => said!("fault-wrong-sex-sires"),
            });
        }
    }
    let pairs = dams.len().saturating_mul(sires.len());
    let limit = rules.value("breeding.grid_pairs_limit");
    faults.unless(pairs as f64 <= limit, "/dams", || {
        said!("fault-limit-pairs", pairs = pairs, most = limit)
    });
    faults.into_result()
}

/// Whether the records show parent and offspring, or full sibs; `None` when they cannot tell.
pub(super) fn close_kin(dam: &MatingCandidate, sire: &MatingCandidate) -> Option<bool> {
    if dam.sire_id == Some(sire.id) || sire.dam_id == Some(dam.id) {
        return Some(true);
    }
    let parents = |dog: &MatingCandidate| dog.sire_id.zip(dog.dam_id);
    let differ = |a: Option<Uuid>, b: Option<Uuid>| a.zip(b).is_some_and(|(a, b)| a != b);
    if parents(dam).is_some() && parents(dam) == parents(sire) {
        Some(true)
    } else if dam.sire_id.is_none() || sire.dam_id.is_none() {
        // The unknown sire of the dam could be this male, and likewise the sire's dam.
        None
    } else {
        let sibs_ruled_out = differ(dam.sire_id, sire.sire_id) || differ(dam.dam_id, sire.dam_id);
        sibs_ruled_out.then_some(false)
    }
}
