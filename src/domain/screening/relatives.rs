//! What screening found among a dog's near kin: its own results are one dog's, those of its kin tell of its genes.

use super::ScreeningScheme;
use crate::{
    inbreeding::Studbook,
    pedigree::{Animal, PedigreeError, UNKNOWN},
    record::{ScreeningResult, words::words},
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, HashMap};
use utoipa::ToSchema;
use uuid::Uuid;

words! {
    /// How a dog stands to another one.
    Relation {
        /// It is the dog itself.
        Itself = "itself",
        /// Its sire or dam.
        Parent = "parent",
        /// A parent of its sire or dam.
        Grandparent = "grandparent",
        /// One of the same sire and dam.
        FullSib = "full_sib",
        /// One of the same sire or the same dam.
        HalfSib = "half_sib",
        /// A pup of it.
        Offspring = "offspring",
    }
}

/// How many dogs have a result.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct GradeCount {
    /// The result.
    #[schema(example = "A1")]
    pub result: String,
    /// Dogs that have it.
    #[schema(example = 3)]
    pub dogs: usize,
}

/// A result of one dog: its last one by a scheme, of a condition where one is named.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct RelativeResult {
    /// The dog.
    pub dog_id: Uuid,
    /// Key of the scheme.
    pub scheme: String,
    /// The condition that was looked for.
    pub condition: Option<String>,
    /// The dog's result; null where one side alone was graded.
    pub result: Option<String>,
    /// Result of the left side.
    pub left_side: Option<String>,
    /// Result of the right side.
    pub right_side: Option<String>,
    /// When it was examined.
    pub examined_on: Option<NaiveDate>,
}

/// What one scheme found among dogs of one relation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct SchemeCounts {
    /// Key of the scheme.
    pub scheme: String,
    /// Its name.
    #[schema(value_type = String)]
    pub name: Text,
    /// The condition that was looked for.
    pub condition: Option<String>,
    /// Dogs with a result.
    #[schema(example = 4)]
    pub screened: usize,
    /// Results with their dogs, best first.
    pub results: Vec<GradeCount>,
}

/// Dogs of one relation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct ScreenedKin {
    /// How they stand to the dog.
    pub relation: Relation,
    /// How many are on record.
    #[schema(example = 11)]
    pub dogs: usize,
    /// What was found, scheme by scheme.
    pub schemes: Vec<SchemeCounts>,
    /// Their results, dog by dog.
    pub results: Vec<RelativeResult>,
}

/// What screening found among a dog's near kin.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct RelativesScreened {
    /// The dog.
    pub dog_id: Uuid,
    /// The dog itself first; relations of which no dog is on record are left out.
    pub kin: Vec<ScreenedKin>,
    /// How far counts can be trusted.
    #[schema(value_type = String)]
    pub note: Text,
}

/// A dog's near kin with their results.
#[derive(Debug, Clone)]
pub struct ScreenedFamily<'a> {
    /// The dog.
    pub dog_id: Uuid,
    /// Its near kin and itself, of those that whoever asks may see.
    pub kin: &'a [(Uuid, Relation)],
    /// Their results.
    pub results: &'a [(Uuid, ScreeningResult)],
}

impl Studbook<Uuid> {
    /// A dog and its near kin on record, each once, by the nearest relation.
    ///
    /// # Errors
    /// The dog is not in the pedigree.
    pub fn near_kin(&self, dog_id: Uuid) -> Result<Vec<(Uuid, Relation)>, PedigreeError<Uuid>> {
        let pedigree = self.pedigree();
        let dog = pedigree.find(&dog_id).ok_or(PedigreeError::NotThere(dog_id))?;
        let pairs = pedigree.parents().pairs();
        let known = |animal: Animal| pairs[animal as usize].into_iter().filter(|p| *p != UNKNOWN);
        let own = pairs[dog as usize];
        let mut found: BTreeMap<Animal, Relation> = BTreeMap::new();
        found.insert(dog, Relation::Itself);
        for parent in known(dog) {
            found.insert(parent, Relation::Parent);
        }
        for grandparent in known(dog).flat_map(known) {
            found.entry(grandparent).or_insert(Relation::Grandparent);
        }
        for (other, pair) in (0..).zip(pairs) {
            let shares = |side: usize| own[side] != UNKNOWN && own[side] == pair[side];
            let relation = match (shares(0), shares(1)) {
                _ if pair.contains(&dog) => Relation::Offspring,
                (true, true) => Relation::FullSib,
                (false, false) => continue,
                _ => Relation::HalfSib,
            };
            found.entry(other).or_insert(relation);
        }
        Ok(found.into_iter().map(|(animal, kin)| (*pedigree.id(animal), kin)).collect())
    }
}

/// By what results are counted together.
type Kind = (String, Option<String>);

impl ScreenedFamily<'_> {
    /// Counts results, relation by relation; of a dog that was screened again by a scheme the last result counts.
    pub fn screened(&self) -> RelativesScreened {
        let mut last: HashMap<(Uuid, Kind), &ScreeningResult> = HashMap::new();
        for (dog, result) in self.results {
            let kind = (result.scheme.clone(), result.condition.clone());
            let place = last.entry((*dog, kind)).or_insert(result);
            if result.examined_on >= place.examined_on {
                *place = result;
            }
        }
        let of_relation = |relation: &Relation| {
            let dogs: Vec<Uuid> =
                self.kin.iter().filter(|(_, kin)| kin == relation).map(|(dog, _)| *dog).collect();
            let mut of_kind: BTreeMap<Kind, Vec<RelativeResult>> = BTreeMap::new();
            for dog in &dogs {
                for ((_, kind), result) in last.iter().filter(|((of, _), _)| of == dog) {
                    of_kind.entry(kind.clone()).or_default().push(told(*dog, result));
                }
            }
            let schemes = of_kind.iter().filter_map(|(kind, results)| counted(kind, results));
            (!dogs.is_empty()).then(|| ScreenedKin {
                relation: *relation,
                dogs: dogs.len(),
                schemes: schemes.collect(),
                results: of_kind.values().flatten().cloned().collect(),
            })
        };
        RelativesScreened {
            dog_id: self.dog_id,
            kin: Relation::ALL.iter().filter_map(of_relation).collect(),
            note: said!("screening-relatives-note"),
        }
    }
}

fn told(dog_id: Uuid, result: &ScreeningResult) -> RelativeResult {
    RelativeResult {
        dog_id,
        scheme: result.scheme.clone(),
        condition: result.condition.clone(),
        result: result.overall(),
        left_side: result.left_side.clone(),
        right_side: result.right_side.clone(),
        examined_on: result.examined_on,
    }
}

fn counted((scheme, condition): &Kind, results: &[RelativeResult]) -> Option<SchemeCounts> {
    let row = ScreeningScheme::named(scheme)?;
    let mut counts: Vec<GradeCount> = Vec::new();
    for result in results.iter().filter_map(|one| one.result.as_deref()) {
        match counts.iter_mut().find(|count| count.result == result) {
            Some(count) => count.dogs += 1,
            None => counts.push(GradeCount { result: result.to_owned(), dogs: 1 }),
        }
    }
    let place = |count: &GradeCount| row.place(&count.result, false).unwrap_or(f64::INFINITY);
    counts.sort_by(|a, b| place(a).total_cmp(&place(b)));
    Some(SchemeCounts {
        scheme: scheme.clone(),
        name: row.name.clone(),
        condition: condition.clone(),
        screened: results.len(),
        results: counts,
    })
}
