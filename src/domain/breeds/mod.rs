//! Of which breeds is this dog, and how much of each?
//!
//! By pedigree a dog has the mean of its parents' shares, exactly. What it really carries strays
//! from that, since a parent passes on a random half; how far follows from the lengths of the
//! chromosomes.

mod genome;
mod spread;
#[cfg(test)]
mod tests;

use catalogue::{Text, said};
pub use genome::GeneticMap;

use crate::{
    fault::{Fault, Faults},
    markers::{Ratio, ratio, to_f64},
    pedigree::PedigreeRow,
    rules::Rules,
};
use num_traits::{One, Zero};
use serde::{Deserialize, Serialize};
use spread::Spread;
use std::collections::{BTreeMap, BTreeSet, HashMap};
use utoipa::ToSchema;
use uuid::Uuid;

/// A breed that a dog is said to be of, by parts.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct StatedBreed {
    /// Breed.
    #[schema(example = "Beagle")]
    pub breed: String,
    /// Numerator of its part.
    #[schema(example = 1)]
    pub numerator: u32,
    /// Denominator of its part.
    #[schema(example = 1)]
    pub denominator: u32,
}

/// A dog with its parents and what is said of its breed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BreedMember {
    /// The dog.
    pub id: Uuid,
    /// Its sire, if known.
    pub sire: Option<Uuid>,
    /// Its dam, if known.
    pub dam: Option<Uuid>,
    /// Its breed as recorded; used where a parent is not known. Empty when not recorded.
    pub stated: Vec<StatedBreed>,
}

impl BreedMember {
    /// A dog of a pedigree, wholly of the breed that is written down of it; blank is none.
    pub fn recorded(row: PedigreeRow<Uuid>, breed: Option<&str>) -> Self {
        let breed = breed.map(str::trim).filter(|breed| !breed.is_empty());
        let stated = breed.map(|breed| StatedBreed {
            breed: breed.to_owned(),
            numerator: 1,
            denominator: 1,
        });
        Self { id: row.id, sire: row.sire, dam: row.dam, stated: stated.into_iter().collect() }
    }
}

/// A breed's part in a dog.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BreedShare {
    /// Breed; `null` for the part that comes from ancestors of unknown breed.
    #[schema(example = "Beagle")]
    pub breed: Option<String>,
    /// Expected share, the mean of the parents' shares.
    #[schema(example = 0.375)]
    pub expected: f64,
    /// The same as a fraction.
    #[schema(example = "3/8")]
    pub exact: String,
    /// Least share that the pedigree allows.
    #[schema(example = 0.0)]
    pub possible_lowest: f64,
    /// Greatest share that the pedigree allows, if all of unknown breed were of this one.
    #[schema(example = 0.5)]
    pub possible_highest: f64,
    /// Standard deviation of the realised share; `null` when it cannot be worked out.
    pub standard_deviation: Option<f64>,
    /// Lower end of the range that holds 95 % of such dogs.
    pub likely_lowest: Option<f64>,
    /// Upper end of that range.
    pub likely_highest: Option<f64>,
}

/// Breed shares of a dog, or of the pups of a mating.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BreedShareReport {
    /// Shares, greatest first; they sum to 1.
    pub shares: Vec<BreedShare>,
    /// How the ranges were worked out.
    #[schema(value_type = String)]
    pub method: Text,
    /// Where method and map come from.
    pub source: String,
    /// What the figures rest on.
    #[schema(value_type = Vec<String>)]
    pub assumptions: Vec<Text>,
}

const METHOD_SOURCE: &str = "Frisch M, Melchinger AE 2007, Variance of the parental genome contribution to inbred lines derived from biparental crosses, Genetics 176:477-488; map: ";

type Shares = BTreeMap<Option<String>, Ratio>;

/// Dogs whose breeds are known or follow from their parents.
#[derive(Debug, Clone)]
pub struct BreedFamily {
    members: Vec<BreedMember>,
    index: HashMap<Uuid, usize>,
    /// Parents before offspring.
    order: Vec<usize>,
    shares: Vec<Shares>,
}

/// Where half of a dog's genes come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Origin {
    /// A parent of the family.
    Parent(usize),
    /// Nobody of the family: the dog's own statement holds, or nothing is known.
    Stated(usize),
}

impl BreedFamily {
    /// A family in any order; parents that are not members count as unknown.
    ///
    /// # Errors
    /// A dog twice, parts that do not sum to 1, a breed named twice or without a name, a dog
    /// among its own ancestors.
    pub fn new(members: Vec<BreedMember>) -> Result<Self, Vec<Fault>> {
        let mut faults = Faults::new();
        let mut index = HashMap::new();
        for (at, member) in members.iter().enumerate() {
            let fresh = index.insert(member.id, at).is_none();
            faults.unless(fresh, &format!("/members/{at}/id"), || said!("fault-twice"));
            check_stated(&member.stated, &format!("/members/{at}/stated"), &mut faults);
        }
        let mut family = Self { members, index, order: Vec::new(), shares: Vec::new() };
        family.order = family.parents_first();
        let sorted = family.order.len() == family.members.len();
        faults.unless(sorted, "/members", || said!("fault-own-ancestor-parents"));
        faults.into_result()?;
        family.shares = vec![Shares::new(); family.members.len()];
        for at in family.order.clone() {
            family.shares[at] = family.of_halves(family.origins(at));
        }
        Ok(family)
    }

    fn parent(&self, id: Option<Uuid>) -> Option<usize> {
        id.and_then(|id| self.index.get(&id).copied())
    }

    pub(crate) fn origins(&self, at: usize) -> [Origin; 2] {
        let member = &self.members[at];
        [member.sire, member.dam]
            .map(|id| self.parent(id).map_or(Origin::Stated(at), Origin::Parent))
    }

    fn parents_first(&self) -> Vec<usize> {
        let parents: Vec<Vec<usize>> = (0..self.members.len())
            .map(|at| {
                let member = &self.members[at];
                [member.sire, member.dam].into_iter().filter_map(|id| self.parent(id)).collect()
            })
            .collect();
        let mut waiting: Vec<usize> = parents.iter().map(Vec::len).collect();
        let mut children = vec![Vec::new(); parents.len()];
        for (at, of) in parents.iter().enumerate() {
            of.iter().for_each(|parent| children[*parent].push(at));
        }
        let mut order: Vec<usize> = (0..parents.len()).filter(|at| waiting[*at] == 0).collect();
        let mut next = 0;
        while let Some(at) = order.get(next).copied() {
            next += 1;
            for child in &children[at] {
                waiting[*child] -= 1;
                if waiting[*child] == 0 {
                    order.push(*child);
                }
            }
        }
        order
    }

    pub(crate) fn of_origin(&self, origin: Origin) -> Shares {
        match origin {
            Origin::Parent(at) => self.shares[at].clone(),
            Origin::Stated(at) => {
                let stated = &self.members[at].stated;
                if stated.is_empty() {
                    return [(None, Ratio::one())].into();
                }
                let part = |s: &StatedBreed| ratio(s.numerator.into(), s.denominator.into());
                stated.iter().map(|s| (Some(s.breed.clone()), part(s))).collect()
            }
        }
    }

    fn of_halves(&self, halves: [Origin; 2]) -> Shares {
        let mut shares = Shares::new();
        for half in halves {
            for (breed, part) in self.of_origin(half) {
                *shares.entry(breed).or_insert_with(Ratio::zero) += part / ratio(2, 1);
            }
        }
        shares
    }

    /// Breed shares of a member.
    ///
    /// # Errors
    /// The dog is not a member.
    pub fn shares_of(
        &self,
        dog: Uuid,
        map: &GeneticMap,
        rules: &Rules,
    ) -> Result<BreedShareReport, Vec<Fault>> {
        let at = self.place(dog, "/dog_id")?;
        Ok(self.report(self.origins(at), map, rules))
    }

    /// Breed shares of the pups of two members.
    ///
    /// # Errors
    /// A parent is not a member, or both are the same dog.
    pub fn shares_of_pups(
        &self,
        dam: Uuid,
        sire: Uuid,
        map: &GeneticMap,
        rules: &Rules,
    ) -> Result<BreedShareReport, Vec<Fault>> {
        let mut faults = Faults::new();
        faults.unless(dam != sire, "/sire_id", || said!("fault-wrong-sex-is-dam"));
        faults.into_result()?;
        let halves = [self.place(sire, "/sire_id")?, self.place(dam, "/dam_id")?];
        Ok(self.report(halves.map(Origin::Parent), map, rules))
    }

    fn place(&self, dog: Uuid, pointer: &str) -> Result<usize, Vec<Fault>> {
        self.index.get(&dog).copied().ok_or_else(|| {
            vec![Fault::new(pointer, said!("fault-not-found-among-dogs", id = dog.to_string()))]
        })
    }

    fn report(&self, halves: [Origin; 2], map: &GeneticMap, rules: &Rules) -> BreedShareReport {
        let shares = self.of_halves(halves);
        let z = rules.value("breeding.share_range_z");
        let unknown = self.possible(halves, &None).1;
        let mut rows: Vec<(Ratio, BreedShare)> = shares
            .into_iter()
            .map(|(breed, part)| {
                let (low, high) = self.possible(halves, &breed);
                let high = if breed.is_some() { (high + unknown).min(1.0) } else { high };
                let spread = self.spread(halves, &breed, map, rules);
                let expected = to_f64(&part);
                let share = BreedShare {
                    breed,
                    expected,
                    exact: part.to_string(),
                    possible_lowest: low,
                    possible_highest: high,
                    standard_deviation: spread,
                    likely_lowest: spread.map(|sd| (expected - z * sd).clamp(low, high)),
                    likely_highest: spread.map(|sd| (expected + z * sd).clamp(low, high)),
                };
                (part, share)
            })
            .collect();
        rows.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.breed.cmp(&b.1.breed)));
        let mut assumptions = vec![said!("breeds-autosomes")];
        if unknown > 0.0 {
            assumptions.push(said!("breeds-unknown-ancestors"));
        }
        if rows.iter().any(|(_, share)| share.standard_deviation.is_none()) {
            assumptions.push(said!("breeds-bounds-only"));
        }
        BreedShareReport {
            shares: rows.into_iter().map(|(_, share)| share).collect(),
            method: said!("breeds-method"),
            source: format!("{METHOD_SOURCE}{}", map.source),
            assumptions,
        }
    }

    /// Least and greatest share by pedigree: a half from a pure parent is fixed, a half from a
    /// mixed one can be all or none of a breed. A dog's own statement is taken at its word.
    fn possible(&self, halves: [Origin; 2], breed: &Option<String>) -> (f64, f64) {
        let mut bounds = (0.0, 0.0);
        for half in halves {
            let part = self.of_origin(half).remove(breed).unwrap_or_else(Ratio::zero);
            let (low, high) = match half {
                Origin::Stated(_) => (to_f64(&part), to_f64(&part)),
                Origin::Parent(_) if part.is_one() => (1.0, 1.0),
                Origin::Parent(_) if part.is_zero() => (0.0, 0.0),
                Origin::Parent(_) => (0.0, 1.0),
            };
            bounds = (bounds.0 + 0.5 * low, bounds.1 + 0.5 * high);
        }
        bounds
    }

    fn spread(
        &self,
        halves: [Origin; 2],
        breed: &Option<String>,
        map: &GeneticMap,
        rules: &Rules,
    ) -> Option<f64> {
        let limit = rules.value("breeding.breed_ancestors_limit");
        let ancestors = self.ancestors(halves);
        if ancestors.len() as f64 > limit {
            return None;
        }
        let mixed = |half: &Origin| {
            let part = self.of_origin(*half).remove(breed).unwrap_or_else(Ratio::zero);
            matches!(half, Origin::Stated(_)) && !part.is_zero() && !part.is_one()
        };
        if halves.iter().any(mixed) {
            return None;
        }
        Some(Spread::new(self, breed, &ancestors)?.variance(halves, map).max(0.0).sqrt())
    }

    fn ancestors(&self, halves: [Origin; 2]) -> BTreeSet<usize> {
        let mut found = BTreeSet::new();
        let mut queue = halves.to_vec();
        while let Some(origin) = queue.pop() {
            if let Origin::Parent(at) = origin
                && found.insert(at)
            {
                queue.extend(self.origins(at));
            }
        }
        found
    }
}

fn check_stated(stated: &[StatedBreed], pointer: &str, faults: &mut Faults) {
    let parts = || stated.iter().map(|s| ratio(s.numerator.into(), s.denominator.into()));
    let names: BTreeSet<&str> = stated.iter().map(|s| s.breed.trim()).collect();
    faults.unless(stated.iter().all(|s| s.denominator > 0), pointer, || {
        said!("fault-out-of-range-denominator")
    });
    faults.unless(stated.is_empty() || parts().sum::<Ratio>().is_one(), pointer, || {
        said!("fault-out-of-range-breeds-sum")
    });
    faults.unless(names.len() == stated.len() && !names.contains(""), pointer, || {
        said!("fault-twice-breed")
    });
}
