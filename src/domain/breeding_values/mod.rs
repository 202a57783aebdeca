//! What does a dog pass on of a trait that many genes make? Breeding values of screened traits with their errors.
//!
//! Counting a dog's affected offspring says as much of their other parents, of chance and of who was screened as of
//! the dog. The animal model weighs all results on record, its own and those of all its kin, by how they are related.

mod model;
#[cfg(test)]
pub(crate) mod tests;

use self::model::{AnimalModel, ModelRecord};
use crate::{
    inbreeding::{Ancestry, Studbook},
    partial_date::PartialDate,
    pedigree::{Animal, PedigreeError},
    record::{ScreeningResult, words::words},
    rules::{Rule, Rules, Status},
    screening::{ScreenedTrait, ScreeningScheme},
};
use catalogue::{Text, figure, said};
use chrono::{Months, NaiveDate};
use serde::{Deserialize, Serialize};
use std::{
    collections::{BTreeMap, HashMap},
    sync::Arc,
};
use utoipa::ToSchema;
use uuid::Uuid;

words! {
    /// How a dog's breeding value stands to the mean.
    BreedingValueStanding {
        /// Better than the mean by more than the error.
        Better = "better",
        /// The error is too great to tell.
        NotToldApart = "not_told_apart",
        /// Worse than the mean by more than the error.
        Worse = "worse",
    }
}

/// A dog's breeding value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BreedingValue {
    /// The dog.
    pub dog_id: Uuid,
    /// What it passes on, twice over, in genetic standard deviations: 0 is the mean of the pedigree's founders,
    /// less than 0 is healthier. A pup gets half of it, and half of the other parent's.
    #[schema(example = -0.42)]
    pub breeding_value: f64,
    /// Standard error of the breeding value, in genetic standard deviations.
    #[schema(example = 0.71)]
    pub standard_error: f64,
    /// From here the true breeding value lies in 95 of 100 cases.
    #[schema(example = -1.81)]
    pub lowest: f64,
    /// Up to here the true breeding value lies in 95 of 100 cases.
    #[schema(example = 0.97)]
    pub highest: f64,
    /// Correlation of the breeding value with the true one (0-1): 0 knows nothing, 1 all.
    #[schema(example = 0.6)]
    pub accuracy: f64,
    /// The square of the accuracy.
    #[schema(example = 0.36)]
    pub reliability: f64,
    /// Inbreeding of the dog, which the model takes into account (0-1).
    pub inbreeding: f64,
    /// Its own result, where one counts.
    pub own_result: Option<OwnScreening>,
    /// How it stands to the mean.
    pub standing: BreedingValueStanding,
    /// That in words.
    #[schema(value_type = String)]
    pub tells: Text,
}

/// A dog's own result.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct OwnScreening {
    /// Key of the scheme.
    #[schema(example = "fci_hips")]
    pub scheme: String,
    /// The result.
    #[schema(example = "A2")]
    pub result: Option<String>,
    /// When it was examined.
    pub examined_on: Option<NaiveDate>,
}

/// Results of one scheme that the model uses.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct SchemeUsed {
    /// Key of the scheme.
    #[schema(example = "fci_hips")]
    pub scheme: String,
    /// Its name.
    #[schema(value_type = String)]
    pub name: Text,
    /// Dogs whose result counts.
    #[schema(example = 12)]
    pub dogs: usize,
    /// Where the spread of its results comes from.
    pub spread_source: Option<String>,
}

/// How breeding values were made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BreedingValueModel {
    /// What was screened.
    #[serde(rename = "trait")]
    pub screened: ScreenedTrait,
    /// Share of the differences that is inherited (0-1); null where no source gives one.
    #[schema(example = 0.35)]
    pub heritability: Option<f64>,
    /// Where that comes from.
    pub heritability_source: Option<String>,
    /// How that was confirmed.
    pub confirmation: Option<Status>,
    /// Schemes whose results count, each with a mean of its own.
    pub schemes: Vec<SchemeUsed>,
    /// Results that do not count since the dog was too young for its scheme.
    #[schema(example = 0)]
    pub too_young: usize,
    /// Dogs of the pedigree that link the results.
    #[schema(example = 214)]
    pub pedigree_dogs: usize,
    /// Why there are no breeding values; null when there are.
    #[schema(value_type = Option<String>)]
    pub why_none: Option<Text>,
    /// What the figures rest on.
    #[schema(value_type = Vec<String>)]
    pub assumptions: Vec<Text>,
}

/// Breeding values of some dogs, and how they were made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BreedingValueReport {
    /// How they were made.
    pub model: BreedingValueModel,
    /// The dogs, as they were asked for.
    pub values: Vec<BreedingValue>,
}

/// What breeding values are computed from.
#[derive(Clone)]
pub struct BreedingValueFacts {
    /// The kennel's pedigrees.
    pub book: Arc<Studbook<Uuid>>,
    /// What was screened.
    pub screened: ScreenedTrait,
    /// Results of dogs, of any trait.
    pub results: Vec<(Uuid, ScreeningResult)>,
    /// When those dogs were born.
    pub born_on: HashMap<Uuid, PartialDate>,
    /// The rules in force.
    pub rules: Rules,
}

/// Standard errors on either side within which 95 of 100 true values lie.
const ERRORS_OF_95: f64 = 1.96;

/// The result of each dog that counts, and how many do not for the dog's age.
struct Counted<'a> {
    of_dog: BTreeMap<Uuid, &'a ScreeningResult>,
    too_young: usize,
}

/// A model with what it was made from.
struct Prepared {
    ancestry: Ancestry,
    records: Vec<ModelRecord>,
}

impl ScreenedTrait {
    /// The rule on how much of its differences is inherited; none of the eyes, whose diseases are each inherited
    /// in a way of their own.
    fn heritability(self, rules: &Rules) -> Option<&Rule> {
        Some(match self {
            Self::Hips => rules.get("breeding_values.heritability_hips"),
            Self::HipLaxity => rules.get("breeding_values.heritability_hip_laxity"),
            Self::Elbows => rules.get("breeding_values.heritability_elbows"),
            Self::Patella => rules.get("breeding_values.heritability_patella"),
            Self::Heart => rules.get("breeding_values.heritability_heart"),
            Self::Eyes => return None,
        })
    }
}

impl BreedingValueFacts {
    /// Dogs whose result counts.
    pub fn screened_dogs(&self) -> Vec<Uuid> {
        self.counted().of_dog.into_keys().collect()
    }

    /// The last result of each dog that can be compared, taken at an age that its scheme allows.
    fn counted(&self) -> Counted<'_> {
        let mut counted = Counted { of_dog: BTreeMap::new(), too_young: 0 };
        for (dog, result) in &self.results {
            let scheme = ScreeningScheme::named(&result.scheme);
            let Some(scheme) = scheme.filter(|one| one.screened == self.screened) else { continue };
            if result.liability().is_none() {
                continue;
            }
            if too_young(scheme, self.born_on.get(dog), result.examined_on) {
                counted.too_young += 1;
                continue;
            }
            let place = counted.of_dog.entry(*dog).or_insert(result);
            if result.examined_on >= place.examined_on {
                *place = result;
            }
        }
        counted
    }

    /// Schemes whose results count, with the number of dogs, by key.
    fn schemes(counted: &Counted<'_>) -> Vec<SchemeUsed> {
        let mut dogs: BTreeMap<&str, usize> = BTreeMap::new();
        for result in counted.of_dog.values() {
            *dogs.entry(&result.scheme).or_default() += 1;
        }
        let used = |(key, dogs): (&str, usize)| {
            let scheme = ScreeningScheme::named(key)?;
            let (name, spread_source) = (scheme.name.clone(), scheme.spread_source.clone());
            Some(SchemeUsed { scheme: key.to_owned(), name, dogs, spread_source })
        };
        dogs.into_iter().filter_map(used).collect()
    }

    fn prepared(
        &self,
        counted: &Counted<'_>,
        schemes: &[SchemeUsed],
        asked: &[Uuid],
    ) -> Result<Prepared, PedigreeError<Uuid>> {
        let pedigree = self.book.pedigree();
        let find = |dog: &Uuid| pedigree.find(dog).ok_or(PedigreeError::NotThere(*dog));
        let mut dogs: Vec<Animal> = asked.iter().map(find).collect::<Result<_, _>>()?;
        let results: Vec<(Animal, &ScreeningResult)> = counted
            .of_dog
            .iter()
            .map(|(dog, result)| Ok((find(dog)?, *result)))
            .collect::<Result<_, PedigreeError<Uuid>>>()?;
        dogs.extend(results.iter().map(|(animal, _)| *animal));
        let ancestry = Ancestry::of(pedigree.parents(), self.book.coefficients(), &dogs);
        let record = |(animal, result): &(Animal, &ScreeningResult)| {
            Some(ModelRecord {
                animal: ancestry.find(*animal)?,
                group: schemes.iter().position(|one| one.scheme == result.scheme)?,
                value: result.liability()?,
            })
        };
        let records = results.iter().filter_map(record).collect();
        Ok(Prepared { ancestry, records })
    }

    /// How the values are made, and why there are none.
    fn model(&self, counted: &Counted<'_>, schemes: Vec<SchemeUsed>) -> BreedingValueModel {
        let rule = self.screened.heritability(&self.rules);
        let least = self.rules.value("breeding_values.least_results");
        let dogs = counted.of_dog.len();
        let why_none = match rule {
            None => Some(said!("breeding-values-no-heritability")),
            Some(_) if (dogs as f64) < least => {
                Some(said!("breeding-values-too-few", dogs = dogs, least = least))
            }
            Some(_) => None,
        };
        BreedingValueModel {
            screened: self.screened,
            heritability: rule.map(|rule| rule.value),
            heritability_source: rule.map(|rule| rule.source.clone()),
            confirmation: rule.map(|rule| rule.status),
            schemes,
            too_young: counted.too_young,
            pedigree_dogs: 0,
            why_none,
            assumptions: vec![
                said!("breeding-values-about-scale"),
                said!("breeding-values-about-groups"),
                said!("breeding-values-about-base"),
                said!("breeding-values-about-linear"),
                said!("breeding-values-about-chosen"),
            ],
        }
    }

    /// The dogs asked for from the best breeding value to the worst; nobody where there are none.
    ///
    /// # Errors
    /// A dog that is not in the pedigree.
    pub fn ordered(&self, asked: Vec<Uuid>) -> Result<Vec<Uuid>, PedigreeError<Uuid>> {
        let counted = self.counted();
        let schemes = Self::schemes(&counted);
        let prepared = self.prepared(&counted, &schemes, &asked)?;
        let model = self.model(&counted, schemes);
        let (Some(heritability), None) = (model.heritability, model.why_none) else {
            return Ok(Vec::new());
        };
        let model = AnimalModel::new(&prepared.ancestry, &prepared.records, heritability);
        let (values, _) = model.breeding_values();
        let mut ordered: Vec<(f64, Uuid)> = Vec::new();
        for dog in asked {
            ordered.push((values[self.place(&prepared, dog)?], dog));
        }
        ordered.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        Ok(ordered.into_iter().map(|(_, dog)| dog).collect())
    }

    fn place(&self, prepared: &Prepared, dog: Uuid) -> Result<usize, PedigreeError<Uuid>> {
        let animal = self.book.pedigree().find(&dog);
        animal.and_then(|animal| prepared.ancestry.find(animal)).ok_or(PedigreeError::NotThere(dog))
    }

    /// Breeding values of the dogs asked for, with their errors.
    ///
    /// Values in genetic standard deviations, from the animal model of [`model`] with the heritability of the
    /// rules `breeding_values.heritability_*` (0-1); none where fewer dogs than `breeding_values.least_results`
    /// have a result that counts, or where no heritability is on file. The error is that of the model, given the
    /// heritability: that one itself is uncertain is not in it.
    ///
    /// # Errors
    /// A dog that is not in the pedigree.
    pub fn report(&self, asked: &[Uuid]) -> Result<BreedingValueReport, PedigreeError<Uuid>> {
        let counted = self.counted();
        let schemes = Self::schemes(&counted);
        let prepared = self.prepared(&counted, &schemes, asked)?;
        let mut model = self.model(&counted, schemes);
        model.pedigree_dogs = prepared.ancestry.len();
        let (Some(heritability), None) = (model.heritability, &model.why_none) else {
            return Ok(BreedingValueReport { model, values: Vec::new() });
        };
        let equations = AnimalModel::new(&prepared.ancestry, &prepared.records, heritability);
        let (values, _) = equations.breeding_values();
        let mut told = Vec::with_capacity(asked.len());
        for dog in asked {
            let place = self.place(&prepared, *dog)?;
            let value = values[place] / heritability.sqrt();
            let own = counted.of_dog.get(dog).copied();
            told.push(self.value(*dog, value, equations.error_variance(place), own));
        }
        Ok(BreedingValueReport { model, values: told })
    }

    /// One dog's value, with `error` its prediction error variance in units of the genetic variance.
    fn value(
        &self,
        dog_id: Uuid,
        breeding_value: f64,
        error: f64,
        own: Option<&ScreeningResult>,
    ) -> BreedingValue {
        let inbreeding = self.book.inbreeding(&dog_id).unwrap_or_default();
        let standard_error = error.max(0.0).sqrt();
        let reliability = (1.0 - error / (1.0 + inbreeding)).clamp(0.0, 1.0);
        let accuracy = reliability.sqrt();
        let within = self.rules.value("breeding_values.told_apart_errors") * standard_error;
        let standing = match breeding_value {
            value if value < -within => BreedingValueStanding::Better,
            value if value > within => BreedingValueStanding::Worse,
            _ => BreedingValueStanding::NotToldApart,
        };
        let (value, accurate) = (figure(breeding_value, 2), figure(accuracy, 2));
        let tells = match standing {
            BreedingValueStanding::Better => {
                said!("breeding-value-better", value = value, accuracy = accurate)
            }
            BreedingValueStanding::Worse => {
                said!("breeding-value-worse", value = value, accuracy = accurate)
            }
            BreedingValueStanding::NotToldApart => {
                said!("breeding-value-not-told-apart", value = value, accuracy = accurate)
            }
        };
        let half = ERRORS_OF_95 * standard_error;
        BreedingValue {
            dog_id,
            breeding_value,
            standard_error,
            lowest: breeding_value - half,
            highest: breeding_value + half,
            accuracy,
            reliability,
            inbreeding,
            own_result: own.map(|result| OwnScreening {
                scheme: result.scheme.clone(),
                result: result.overall(),
                examined_on: result.examined_on,
            }),
            standing,
            tells,
        }
    }
}

/// Whether a dog was surely younger than its scheme asks when it was examined.
fn too_young(
    scheme: &ScreeningScheme,
    born_on: Option<&PartialDate>,
    examined_on: Option<NaiveDate>,
) -> bool {
    let (Some(months), Some(born), Some(examined)) =
        (scheme.least_age_months, born_on, examined_on)
    else {
        return false;
    };
    born.earliest().checked_add_months(Months::new(months)).is_some_and(|day| examined < day)
}
