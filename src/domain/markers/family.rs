//! A dog's relatives with their results, and what each marker's network of genotypes looks like.

use super::{
    catalogue::{Genotype, Marker, MarkerCatalogue},
    ratio::{Ratio, from_decimal, ratio},
    result::{Evidence, GenotypeResult},
};
use crate::{
    breeding_limits::BreedingSex,
    fault::{Fault, Faults},
    pedigree::PedigreeRow,
};
use catalogue::{Text, said};
use num_traits::Zero;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, HashMap, HashSet};
use utoipa::ToSchema;
use uuid::Uuid;

/// A dog with its parents and results, as far as a family is given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FamilyMember {
    /// The dog.
    pub id: Uuid,
    /// Its sex.
    pub sex: BreedingSex,
    /// Its sire, if known.
    pub sire: Option<Uuid>,
    /// Its dam, if known.
    pub dam: Option<Uuid>,
    /// Its results, of any markers; several of one marker must agree.
    pub results: Vec<GenotypeResult>,
}

/// How common the alleles of a marker are where untested founders come from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AlleleFrequencies {
    /// Key of the marker.
    pub marker: String,
    /// Fraction of each allele, by symbol; together 1.
    #[schema(example = json!({"N": 0.9, "prcd": 0.1}))]
    pub frequencies: BTreeMap<String, f64>,
    /// Where the figures come from, and of which population.
    pub source: String,
}

impl AlleleFrequencies {
    /// Exact fractions in the order of the marker's alleles.
    ///
    /// # Errors
    /// An unknown allele, a frequency outside 0–1, a sum that is not 1 (within a millionth; then
    /// scaled to 1).
    pub fn check(&self, marker: &Marker) -> Result<Vec<Ratio>, Vec<Fault>> {
        let mut faults = Faults::new();
        let mut exact = vec![Ratio::zero(); marker.alleles.len()];
        for (symbol, frequency) in &self.frequencies {
            let pointer = format!("/frequencies/{symbol}");
            let place = marker.allele(symbol).and_then(|at| exact.get_mut(at));
            match (place, from_decimal(*frequency)) {
                (None, _) => faults.add(
                    pointer,
                    said!(
                        "fault-unknown-value-allele-here",
                        marker = &marker.key,
                        known = marker.alleles.join(", ")
                    ),
                ),
                (Some(place), Some(value)) if (0.0..=1.0).contains(frequency) => *place = value,
                _ => faults.add(pointer, said!("fault-out-of-range-from-to", from = 0, to = 1)),
            }
        }
        let sum: Ratio = exact.iter().sum();
        let near = (&sum - ratio(1, 1)) * ratio(1_000_000, 1);
        faults.unless(near <= ratio(1, 1) && near >= ratio(-1, 1), "/frequencies", || {
            said!("fault-out-of-range-frequencies-sum")
        });
        faults.into_result()?;
        Ok(exact.into_iter().map(|value| value / &sum).collect())
    }
}

/// Relatives that a trial mating's genotypes are worked out from.
#[derive(Debug, Clone)]
pub struct MarkerFamily {
    members: Vec<FamilyMember>,
    index: HashMap<Uuid, usize>,
}

/// One marker's genotypes in a family: who descends from whom, what is known of each.
#[derive(Debug, Clone)]
pub(super) struct Network {
    pub male: Vec<bool>,
    /// `(sire, dam)` of each; founders have none.
    pub parents: Vec<Option<(usize, usize)>>,
    pub evidence: Vec<Evidence>,
    /// Founders' allele frequencies; without them a founder may have any genotype.
    pub frequencies: Option<Vec<Ratio>>,
}

impl MarkerFamily {
    /// A family in any order; parents that are not members count as unknown.
    ///
    /// # Errors
    /// A dog twice, a sire that is female or a dam that is male, a dog among its own ancestors.
    pub fn new(members: Vec<FamilyMember>) -> Result<Self, Vec<Fault>> {
        let mut faults = Faults::new();
        let mut index = HashMap::new();
        for (at, member) in members.iter().enumerate() {
            if index.insert(member.id, at).is_some() {
                faults.add(
                    format!("/members/{at}/id"),
                    said!("fault-twice-dog-id", id = member.id.to_string()),
                );
            }
        }
        let family = Self { members, index };
        for (at, member) in family.members.iter().enumerate() {
            let wrong = |parent: Option<Uuid>, sex| {
                parent.and_then(|id| family.member(id)).is_some_and(|p| p.sex != sex)
            };
            faults.unless(
                !wrong(member.sire, BreedingSex::Male),
                &format!("/members/{at}/sire"),
                || said!("fault-wrong-sex-is-female"),
            );
            faults.unless(
                !wrong(member.dam, BreedingSex::Female),
                &format!("/members/{at}/dam"),
                || said!("fault-wrong-sex-is-male"),
            );
        }
        faults.unless(!family.has_cycle(), "/members", || said!("fault-own-ancestor-parents"));
        faults.into_result()?;
        Ok(family)
    }

    /// The family of some rows of a pedigree with the results on file; `females` are those that
    /// are the dam of no other row.
    ///
    /// # Errors
    /// As [`MarkerFamily::new`].
    pub fn of_pedigree(
        rows: &[PedigreeRow<Uuid>],
        females: &HashSet<Uuid>,
        results: &[(Uuid, GenotypeResult)],
    ) -> Result<Self, Vec<Fault>> {
        let dams: HashSet<Uuid> = rows.iter().filter_map(|row| row.dam).collect();
        let mut of_dog: HashMap<Uuid, Vec<GenotypeResult>> = HashMap::new();
        for (dog, result) in results {
            of_dog.entry(*dog).or_default().push(result.clone());
        }
        let member = |row: &PedigreeRow<Uuid>| FamilyMember {
            id: row.id,
            sex: match dams.contains(&row.id) || females.contains(&row.id) {
                true => BreedingSex::Female,
                false => BreedingSex::Male,
            },
            sire: row.sire,
            dam: row.dam,
            results: of_dog.remove(&row.id).unwrap_or_default(),
        };
        Self::new(rows.iter().map(member).collect())
    }

    /// The member with this id.
    pub fn member(&self, id: Uuid) -> Option<&FamilyMember> {
        self.index.get(&id).and_then(|at| self.members.get(*at))
    }

    /// All members.
    pub fn members(&self) -> &[FamilyMember] {
        &self.members
    }

    fn has_cycle(&self) -> bool {
        let at = |id: Option<Uuid>| id.and_then(|id| self.index.get(&id).copied());
        let parents: Vec<[Option<usize>; 2]> =
            self.members.iter().map(|m| [at(m.sire), at(m.dam)]).collect();
        let mut children = vec![0_usize; parents.len()];
        parents.iter().flatten().flatten().for_each(|p| children[*p] += 1);
        let mut ready: Vec<usize> = (0..parents.len()).filter(|i| children[*i] == 0).collect();
        let mut done = 0;
        while let Some(member) = ready.pop() {
            done += 1;
            for parent in parents[member].into_iter().flatten() {
                children[parent] -= 1;
                if children[parent] == 0 {
                    ready.push(parent);
                }
            }
        }
        done < parents.len()
    }

    /// Keys of every marker that some member has a result for, in the catalogue's order.
    pub(crate) fn tested_markers<'a>(&self, catalogue: &'a MarkerCatalogue) -> Vec<&'a Marker> {
        let tested = |m: &&Marker| {
            self.members.iter().any(|member| member.results.iter().any(|r| r.marker == m.key))
        };
        catalogue.iter().filter(tested).collect()
    }

    /// The network of one marker, with an unnamed founder for each single missing parent.
    pub(super) fn network(
        &self,
        marker: &Marker,
        frequencies: Option<Vec<Ratio>>,
    ) -> Result<Network, Vec<Fault>> {
        let mut faults = Faults::new();
        let mut network = Network {
            male: self.members.iter().map(|m| m.sex == BreedingSex::Male).collect(),
            parents: vec![None; self.members.len()],
            evidence: Vec::new(),
            frequencies,
        };
        for member in &self.members {
            match known(member, marker) {
                Ok(evidence) => network.evidence.push(evidence),
                Err(detail) => {
                    faults.add(format!("/dogs/{}/genotypes", member.id), detail);
                    network.evidence.push(Evidence::open(marker, member.sex == BreedingSex::Male));
                }
            }
        }
        for (at, member) in self.members.iter().enumerate() {
            let find = |id: Option<Uuid>| id.and_then(|id| self.index.get(&id).copied());
            let (sire, dam) = (find(member.sire), find(member.dam));
            if sire.is_none() && dam.is_none() {
                continue;
            }
            let sire = sire.unwrap_or_else(|| network.add_founder(marker, true));
            let dam = dam.unwrap_or_else(|| network.add_founder(marker, false));
            network.parents[at] = Some((sire, dam));
        }
        for (at, member) in self.members.iter().enumerate() {
            faults.unless(
                network.trio_possible(marker, at),
                &format!("/dogs/{}/genotypes", member.id),
                || said!("fault-differs-parents-results", marker = &marker.key),
            );
        }
        faults.into_result()?;
        Ok(network)
    }

    pub(super) fn place(&self, id: Uuid) -> Option<usize> {
        self.index.get(&id).copied()
    }
}

/// Reports every result of a family that the catalogue cannot hold.
pub(super) fn check_results(
    family: &MarkerFamily,
    catalogue: &MarkerCatalogue,
    faults: &mut Faults,
) {
    for member in family.members() {
        for (at, result) in member.results.iter().enumerate() {
            // The day was checked when the result was recorded; any day will do here.
            let day = result.tested_on.unwrap_or_default();
            let found = result.check(catalogue, member.sex, day).err().unwrap_or_default();
            let place = format!("/dogs/{}/genotypes/{at}", member.id);
            faults.extend(found.into_iter().map(|fault| fault.within(&place)).collect());
        }
    }
}

/// The fault of results that no assignment of genotypes can explain.
pub(super) fn contradiction(marker: &Marker) -> Vec<Fault> {
    vec![Fault::new("/dogs", said!("fault-differs-family-results", marker = &marker.key))]
}

/// What all results of a member on a marker leave possible.
fn known(member: &FamilyMember, marker: &Marker) -> Result<Evidence, Text> {
    let male = member.sex == BreedingSex::Male;
    let mut all = Evidence::open(marker, male);
    for result in member.results.iter().filter(|r| r.marker == marker.key) {
        let one = result.evidence(marker, male);
        all.0.iter_mut().zip(&one.0).for_each(|(left, also)| *left = *left && *also);
    }
    if all.0.contains(&true) {
        Ok(all)
    } else {
        Err(said!("fault-differs-results", marker = &marker.key))
    }
}

impl Network {
    fn add_founder(&mut self, marker: &Marker, male: bool) -> usize {
        self.male.push(male);
        self.parents.push(None);
        self.evidence.push(Evidence::open(marker, male));
        self.male.len() - 1
    }

    fn trio_possible(&self, marker: &Marker, child: usize) -> bool {
        let Some((sire, dam)) = self.parents[child] else { return true };
        let states = |dog: usize| {
            let all = marker.genotypes(self.male[dog]);
            let open = self.evidence[dog].0.clone();
            all.into_iter().zip(open).filter(|(_, possible)| *possible).map(|(g, _)| g)
        };
        states(child).any(|g| {
            states(sire)
                .any(|s| states(dam).any(|d| can_descend(marker, s, d, g, self.male[child])))
        })
    }
}

/// Chance that a parent of this genotype passes the allele on.
fn passes(parent: Genotype, allele: usize) -> Ratio {
    let slots = if parent.1.is_some() { 2 } else { 1 };
    ratio(i64::try_from(parent.copies(|a| a == allele)).unwrap_or(0), slots)
}

/// Chance of a child's genotype by Mendel's first law; a son gets no X from his sire.
pub(super) fn transmission(
    marker: &Marker,
    sire: Genotype,
    dam: Genotype,
    child: Genotype,
    male: bool,
) -> Ratio {
    match child {
        Genotype(a, None) if male && marker.x_linked() => passes(dam, a),
        Genotype(_, None) => Ratio::zero(),
        Genotype(a, Some(b)) if a == b => passes(sire, a) * passes(dam, a),
        Genotype(a, Some(b)) => passes(sire, a) * passes(dam, b) + passes(sire, b) * passes(dam, a),
    }
}

/// Whether a child's genotype can come from its parents'.
pub(super) fn can_descend(
    marker: &Marker,
    sire: Genotype,
    dam: Genotype,
    child: Genotype,
    male: bool,
) -> bool {
    let has = |parent: Genotype, allele| parent.copies(|a| a == allele) > 0;
    match child {
        Genotype(a, None) => male && marker.x_linked() && has(dam, a),
        Genotype(a, Some(b)) => (has(sire, a) && has(dam, b)) || (has(sire, b) && has(dam, a)),
    }
}

/// Chance of a founder's genotype under random mating (Hardy and Weinberg 1908).
pub(super) fn founder_chance(genotype: Genotype, frequencies: &[Ratio]) -> Ratio {
    let of = |a: usize| frequencies.get(a).cloned().unwrap_or_else(Ratio::zero);
    match genotype {
        Genotype(a, None) => of(a),
        Genotype(a, Some(b)) if a == b => of(a) * of(a),
        Genotype(a, Some(b)) => ratio(2, 1) * of(a) * of(b),
    }
}
