//! What the dogs of a kennel's own lines weigh, beside what is published of their breed.
//!
//! Pups of one litter are alike, so beside the dogs their litters are counted. The figures of a few dogs are told with
//! their number and used for nothing; the published norm is always told beside.

use super::standards::{adult_curve_of, birth_weights, birth_weights_of, growth_norms};
use crate::{record::Sex, reports::WeightSpread, rules::Rules};
use serde::Serialize;
use std::collections::BTreeSet;
use utoipa::ToSchema;
use uuid::Uuid;

/// Ages at which weights are told, in days, and by how many days a weighing may be off: birth, the weeks of the
/// nest, then a quarter, half, three quarters of a year and a year.
pub const TOLD_AGES: [(i32, i32); 13] = [
    (0, 0),
    (7, 0),
    (14, 0),
    (21, 0),
    (28, 0),
    (35, 0),
    (42, 0),
    (49, 0),
    (56, 0),
    (91, 3),
    (182, 3),
    (273, 3),
    (364, 3),
];

/// A dog that was born here.
#[derive(Debug, Clone, PartialEq)]
pub struct LineDog {
    /// Its litter.
    pub litter_id: Uuid,
    /// Its sex.
    pub sex: Sex,
    /// Its weight as a grown dog, in grams.
    pub adult_weight_g: Option<f64>,
    /// Its weight in grams at ages of [`TOLD_AGES`].
    pub weights: Vec<(i32, f64)>,
}

/// Weights of dogs of the own lines.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct LineFigure {
    /// How many dogs, their mean and spread.
    #[serde(flatten)]
    pub weights: WeightSpread,
    /// From how many litters they are: those of one are alike.
    #[schema(example = 6)]
    pub litters: usize,
    /// Whether there are enough dogs to go by them (rule `growth.own_lines_dogs`).
    pub is_used: bool,
}

impl LineFigure {
    fn of(found: &[(Uuid, f64)], least_dogs: f64) -> Self {
        let weights: Vec<f64> = found.iter().map(|(_, weight_g)| *weight_g).collect();
        let litters: BTreeSet<Uuid> = found.iter().map(|(litter, _)| *litter).collect();
        Self {
            weights: WeightSpread::of(&weights),
            litters: litters.len(),
            is_used: weights.len() as f64 >= least_dogs,
        }
    }
}

/// Weights of the own lines at one age.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, ToSchema)]
pub struct LineAge {
    /// Age in days.
    #[schema(example = 56)]
    pub age_days: i32,
    /// What they weighed.
    #[serde(flatten)]
    pub figure: LineFigure,
}

/// What is published of the adult weight of a breed and sex.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PublishedAdult {
    /// Mean adult weight in grams.
    #[schema(example = 31400.0)]
    pub adult_weight_g: f64,
    /// Its standard error in grams.
    #[schema(example = 300.0)]
    pub adult_weight_se_g: f64,
    /// Age in days at which growth is nearly complete.
    #[schema(example = 327.0)]
    pub grown_at_days: f64,
    /// The paper.
    pub source: String,
}

/// What is published of the birth weights of a breed.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PublishedBirth {
    /// Mean birth weight in grams.
    #[schema(example = 409.0)]
    pub mean_g: f64,
    /// Standard deviation in grams.
    #[schema(example = 88.0)]
    pub standard_deviation_g: f64,
    /// The paper.
    pub source: String,
}

/// Weights of one sex.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LinesOfSex {
    /// The sex.
    pub sex: Sex,
    /// As grown dogs.
    pub adult_weight: LineFigure,
    /// While they grew, at ages at which any was weighed.
    pub ages: Vec<LineAge>,
    /// What is published of the adult weight; null where nothing is.
    pub published_adult: Option<PublishedAdult>,
}

/// What dogs of a breed weigh in the kennel's own lines, and by what is published.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct OwnLines {
    /// The breed.
    #[schema(example = "Labrador Retriever")]
    pub breed: String,
    /// From so many dogs of a sex on the own lines' figures are used.
    #[schema(example = 20.0)]
    pub least_dogs: f64,
    /// Females, then males.
    pub sexes: Vec<LinesOfSex>,
    /// What is published of birth weights; null where nothing is.
    pub published_birth: Option<PublishedBirth>,
}

/// What a grown dog's weight is taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum AdultWeightBasis {
    /// It was weighed, or its kennel says so.
    Dog,
    /// The mean of grown dogs of its breed and sex in the kennel's own lines.
    OwnLines,
}

/// The adult weight that figures rest on.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct AdultWeightUsed {
    /// Grams.
    #[schema(example = 27900.0)]
    pub weight_g: f64,
    /// From where.
    pub basis: AdultWeightBasis,
    /// Of how many dogs it is the mean; null for the dog's own.
    #[schema(example = 24)]
    pub dogs: Option<usize>,
    /// What is published for its breed and sex; null where nothing is.
    pub published: Option<PublishedAdult>,
}

/// The published adult weight of a breed and sex.
fn published_adult(breed: &str, sex: Sex) -> Option<PublishedAdult> {
    let curve = adult_curve_of(breed, sex == Sex::Female)?;
    Some(PublishedAdult {
        adult_weight_g: curve.adult_weight_g,
        adult_weight_se_g: curve.adult_weight_se_g,
        grown_at_days: curve.growth_days,
        source: growth_norms().adult_curve_source.source.clone(),
    })
}

/// What dogs of a breed that were born here weigh, beside what is published.
///
/// Means and sample standard deviations in grams; a figure is used from `growth.own_lines_dogs` dogs of the sex on.
pub fn own_lines(breed: &str, dogs: &[LineDog], rules: &Rules) -> OwnLines {
    let least_dogs = rules.value("growth.own_lines_dogs");
    let of_sex = |sex: Sex| {
        let own: Vec<&LineDog> = dogs.iter().filter(|dog| dog.sex == sex).collect();
        let adult: Vec<(Uuid, f64)> =
            own.iter().filter_map(|dog| Some((dog.litter_id, dog.adult_weight_g?))).collect();
        let at = |age_days: i32| {
            let weighed = own.iter().flat_map(|dog| {
                let then = dog.weights.iter().filter(move |(age, _)| *age == age_days);
                then.map(|(_, weight_g)| (dog.litter_id, *weight_g))
            });
            let found: Vec<(Uuid, f64)> = weighed.collect();
            let figure = LineFigure::of(&found, least_dogs);
            (!found.is_empty()).then_some(LineAge { age_days, figure })
        };
        LinesOfSex {
            sex,
            adult_weight: LineFigure::of(&adult, least_dogs),
            ages: TOLD_AGES.iter().filter_map(|(age_days, _)| at(*age_days)).collect(),
            published_adult: published_adult(breed, sex),
        }
    };
    OwnLines {
        breed: breed.to_owned(),
        least_dogs,
        sexes: vec![of_sex(Sex::Female), of_sex(Sex::Male)],
        published_birth: birth_weights_of(breed).map(|row| PublishedBirth {
            mean_g: row.mean_g,
            standard_deviation_g: row.sd_g,
            source: birth_weights().source.clone(),
        }),
    }
}

impl OwnLines {
    /// The adult weight to reckon with for a dog of this breed: its own where that is known, else the mean of the own
    /// lines where there are enough of its sex.
    pub fn adult_weight(&self, own_g: Option<f64>, sex: Option<Sex>) -> Option<AdultWeightUsed> {
        let lines = self.sexes.iter().find(|lines| Some(lines.sex) == sex);
        let published = || lines.and_then(|lines| lines.published_adult.clone());
        if let Some(weight_g) = own_g {
            let basis = AdultWeightBasis::Dog;
            return Some(AdultWeightUsed { weight_g, basis, dogs: None, published: published() });
        }
        let figure = lines?.adult_weight;
        Some(AdultWeightUsed {
            weight_g: figure.weights.mean_g.filter(|_| figure.is_used)?,
            basis: AdultWeightBasis::OwnLines,
            dogs: Some(figure.weights.count),
            published: published(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LABRADOR: &str = "Labrador Retriever";

    fn dogs(count: usize, sex: Sex, adult_weight_g: f64) -> Vec<LineDog> {
        (0..count)
            .map(|n| LineDog {
                litter_id: Uuid::from_u128(n as u128 / 4),
                sex,
                adult_weight_g: Some(adult_weight_g + n as f64),
                weights: vec![(0, 400.0), (56, 5_000.0 + n as f64)],
            })
            .collect()
    }

    /// On the limit, one dog before it and one after it; also on the one that a kennel has set.
    #[test]
    fn own_lines_are_used_from_enough_dogs_on() {
        let rules = Rules::standard();
        let limit = rules.value("growth.own_lines_dogs") as usize;
        let used = |count: usize, rules: &Rules| {
            let lines = own_lines(LABRADOR, &dogs(count, Sex::Female, 26_000.0), rules);
            let figure = lines.sexes[0].adult_weight;
            assert_eq!(figure.weights.count, count, "the number is always told");
            assert_eq!(lines.adult_weight(None, Some(Sex::Female)).is_some(), figure.is_used);
            // Nobody of the other sex, and what is published is told beside.
            assert_eq!(lines.adult_weight(None, Some(Sex::Male)), None);
            assert_eq!(lines.adult_weight(None, None), None);
            assert_eq!(lines.sexes[0].published_adult.as_ref().unwrap().adult_weight_g, 26_700.0);
            assert!(lines.sexes[0].ages.iter().all(|age| age.figure.is_used == figure.is_used));
            figure.is_used
        };
        assert_eq!(
            [limit - 1, limit, limit + 1].map(|count| used(count, &rules)),
            [false, true, true]
        );
        let rules = rules.with_override("growth.own_lines_dogs", 7.0, "ours").unwrap();
        assert_eq!([6, 7, 8].map(|count| used(count, &rules)), [false, true, true]);
    }

    #[test]
    fn figures_are_of_each_sex_and_count_their_litters() {
        let mut all = dogs(20, Sex::Female, 26_000.0);
        all.extend(dogs(3, Sex::Male, 31_000.0));
        let lines = own_lines(LABRADOR, &all, &Rules::standard());
        let [females, males] = &lines.sexes[..] else { panic!("{lines:?}") };
        assert_eq!((females.adult_weight.litters, males.adult_weight.litters), (5, 1));
        assert_eq!(females.adult_weight.weights.mean_g, Some(26_009.5));
        assert_eq!(males.adult_weight.weights.mean_g, Some(31_001.0));
        let ages: Vec<_> =
            males.ages.iter().map(|age| (age.age_days, age.figure.weights.count)).collect();
        assert_eq!(ages, [(0, 3), (56, 3)]);
        assert_eq!(
            lines.published_birth.as_ref().unwrap().mean_g,
            birth_weights_of(LABRADOR).unwrap().mean_g
        );
        // A dog's own weight goes before all of them.
        let used = lines.adult_weight(Some(24_000.0), Some(Sex::Female)).unwrap();
        assert_eq!((used.weight_g, used.basis, used.dogs), (24_000.0, AdultWeightBasis::Dog, None));
        let used = lines.adult_weight(None, Some(Sex::Female)).unwrap();
        assert_eq!((used.weight_g, used.dogs), (26_009.5, Some(20)));
        assert!(used.published.is_some());
        // Of a breed of which nothing is published the own lines are told alone.
        let unknown = own_lines("Larkfell Spaniel", &[], &Rules::standard());
        assert_eq!((unknown.published_birth, &unknown.sexes[1].published_adult), (None, &None));
    }
}
