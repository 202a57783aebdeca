use super::*;
use crate::{
    limits_tests::{Ask, Limit, Side, check},
    pedigree::{Pedigree, PedigreeRow},
};
use proptest::prelude::*;
use serde_json::{Value, json};

/// Figures of `tests/outside/animal_model.py`: numpy's solution of the whole equations with A inverted whole.
const BY_NUMPY: &str = include_str!("../../../tests/reference/breeding_values/animal_model.json");

fn id(number: usize) -> Uuid {
    Uuid::from_u128(number as u128 + 1)
}

/// A pedigree of animals by number, parents by number or less than 0.
fn book(parents: &[(i64, i64)]) -> Studbook<Uuid> {
    let parent = |number: i64| usize::try_from(number).ok().map(id);
    let row = |(at, (sire, dam)): (usize, &(i64, i64))| PedigreeRow {
        id: id(at),
        sire: parent(*sire),
        dam: parent(*dam),
    };
    Studbook::compute(Pedigree::build(parents.iter().enumerate().map(row)).unwrap(), 1)
}

/// The ancestry of all animals of a book, with the place of each number in it.
fn ancestry(book: &Studbook<Uuid>) -> (Ancestry, impl Fn(usize) -> usize) {
    let all: Vec<Animal> = book.pedigree().parents().animals().collect();
    let ancestry = Ancestry::of(book.pedigree().parents(), book.coefficients(), &all);
    let places: Vec<usize> = (0..all.len())
        .map(|number| ancestry.find(book.pedigree().find(&id(number)).unwrap()).unwrap())
        .collect();
    (ancestry, move |number| places[number])
}

fn near(found: f64, wanted: f64, within: f64, what: &str) {
    assert!((found - wanted).abs() <= within, "{what}: {found} and not {wanted}");
}

/// Example 3.1 of Mrode RA 2014, Linear Models for the Prediction of Animal Breeding Values (4.1 in the edition of
/// 2023), with the table of accuracies: gains of five calves in two sexes, lambda 2. The printed figures were taken
/// from two public programs that hold theirs against the book's pages (read on 30 November 2026).
#[test]
fn a_textbook_example_comes_out_as_printed() {
    let parents = [(-1, -1), (-1, -1), (-1, -1), (0, -1), (2, 1), (0, 1), (3, 4), (2, 5)];
    let book = book(&parents);
    let (ancestry, place) = ancestry(&book);
    let gains = [(3, 0, 4.5), (4, 1, 2.9), (5, 1, 3.9), (6, 0, 3.5), (7, 0, 5.0)];
    let records =
        gains.map(|(animal, group, value)| ModelRecord { animal: place(animal), group, value });
    let model = AnimalModel::new(&ancestry, &records, 1.0 / 3.0);
    let (values, means) = model.breeding_values();
    near(means[0], 4.358, 6e-4, "males");
    near(means[1], 3.404, 6e-4, "females");
    let printed = [0.098, -0.019, -0.041, -0.009, -0.186, 0.177, -0.249, 0.183];
    let reliable = [0.058, 0.016, 0.088, 0.144, 0.144, 0.116, 0.116, 0.156];
    let errors = [4.341, 4.436, 4.271, 4.138, 4.138, 4.205, 4.205, 4.109];
    for animal in 0..8 {
        near(values[place(animal)], printed[animal], 6e-4, "breeding value");
        let error = model.error_variance(place(animal));
        near(1.0 - error, reliable[animal], 1.1e-3, "reliability");
        near(
            (20.0 * error).sqrt(),
            errors[animal],
            3e-3,
            "standard error, of a genetic variance of 20",
        );
    }
}

/// The same solutions as numpy finds by other means, over pedigrees with inbreeding up to 0.5 and more.
#[test]
fn solutions_and_errors_are_those_of_numpy() {
    let cases: Vec<Value> = serde_json::from_str(BY_NUMPY).unwrap();
    assert_eq!(cases.len(), 5);
    let mut most_inbred = 0.0_f64;
    for case in &cases {
        let list = |key: &str| -> Vec<f64> { serde_json::from_value(case[key].clone()).unwrap() };
        let parents: Vec<(i64, i64)> = serde_json::from_value(case["parents"].clone()).unwrap();
        let book = book(&parents);
        let (ancestry, place) = ancestry(&book);
        let record = |one: &Value| ModelRecord {
            animal: place(one["animal"].as_u64().unwrap() as usize),
            group: one["group"].as_u64().unwrap() as usize,
            value: one["value"].as_f64().unwrap(),
        };
        let records: Vec<ModelRecord> =
            case["records"].as_array().unwrap().iter().map(record).collect();
        let model = AnimalModel::new(&ancestry, &records, case["heritability"].as_f64().unwrap());
        let (values, means) = model.breeding_values();
        for (found, wanted) in means.iter().zip(list("means")) {
            near(*found, wanted, 1e-9, "mean of a group");
        }
        let (wanted, errors) = (list("breeding_values"), list("error_variances"));
        for (animal, inbreeding) in list("inbreeding").into_iter().enumerate() {
            near(book.inbreeding(&id(animal)).unwrap(), inbreeding, 1e-12, "inbreeding");
            near(values[place(animal)], wanted[animal], 1e-9, "breeding value");
            near(model.error_variance(place(animal)), errors[animal], 1e-9, "error variance");
            most_inbred = most_inbred.max(inbreeding);
        }
    }
    assert!(most_inbred > 0.4, "{most_inbred}");
}

/// A pedigree of random parents, older ones first.
fn pedigrees() -> impl Strategy<Value = Vec<(i64, i64)>> {
    let one = (any::<prop::sample::Index>(), any::<prop::sample::Index>(), 0..6_u8);
    prop::collection::vec(one, 3..24).prop_map(|draws| {
        let pick = |index: prop::sample::Index, at: usize, known: bool| match known && at > 1 {
            true => index.index(at) as i64,
            false => -1,
        };
        let pair = |(at, (sire, dam, known)): (usize, _)| {
            let (sire, dam) = (pick(sire, at, known > 0), pick(dam, at, known > 1));
            if sire == dam { (sire, -1) } else { (sire, dam) }
        };
        draws.into_iter().enumerate().map(pair).collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..Default::default() })]

    /// Henderson's rules give the inverse of A, whatever the inbreeding: A times it is nothing but the vector.
    #[test]
    fn the_inverse_by_rules_is_the_inverse(parents in pedigrees(), seed in 0..100_u32) {
        let book = book(&parents);
        let (ancestry, _) = ancestry(&book);
        let x: Vec<f64> = (0..parents.len()).map(|i| f64::from((seed + 7 * i as u32) % 11) - 5.0).collect();
        let back = ancestry.times(&ancestry.inverse_times(&x));
        for (found, wanted) in back.iter().zip(&x) {
            prop_assert!((found - wanted).abs() < 1e-9);
        }
    }

    /// A breeding value is known the better the more there is: its error never rises by a further record of its
    /// group, and never above what an animal without any has.
    #[test]
    fn a_further_record_never_makes_an_error_greater(parents in pedigrees(), h2 in 0.05..0.9_f64) {
        let book = book(&parents);
        let (ancestry, _) = ancestry(&book);
        let record = |animal: usize| ModelRecord { animal, group: 0, value: animal as f64 };
        let all: Vec<ModelRecord> = (0..parents.len()).map(record).collect();
        let error = |records: &[ModelRecord], animal| AnimalModel::new(&ancestry, records, h2).error_variance(animal);
        for animal in 0..parents.len() {
            let inbreeding = ancestry.times(&unit(parents.len(), animal))[animal];
            let (few, more) = (error(&all[..2], animal), error(&all, animal));
            prop_assert!(more <= few + 1e-9 && few <= inbreeding + 1e-9, "{} {} {}", more, few, inbreeding);
        }
    }
}

fn unit(length: usize, at: usize) -> Vec<f64> {
    (0..length).map(|i| f64::from(u8::from(i == at))).collect()
}

fn graded(number: usize, scheme: &str, result: &str, day: &str) -> (Uuid, ScreeningResult) {
    let fields = json!({ "scheme": scheme, "result": result, "examined_on": day });
    (id(number), serde_json::from_value(fields).unwrap())
}

/// A sire (0) and a dam (1) with pups 2 to 7, and another pair (8, 9) with pups 10 to 15; all born in 2020.
fn facts(results: Vec<(Uuid, ScreeningResult)>, rules: &Rules) -> BreedingValueFacts {
    let mut parents = vec![(-1, -1); 2];
    parents.extend([(0, 1); 6]);
    parents.extend([(-1, -1); 2]);
    parents.extend([(8, 9); 6]);
    let born: PartialDate = "2020-01-01".parse().unwrap();
    BreedingValueFacts {
        born_on: (0..16).map(|number| (id(number), born)).collect(),
        book: Arc::new(book(&parents)),
        screened: ScreenedTrait::Hips,
        results,
        rules: rules.clone(),
    }
}

/// Pups of the first pair graded well, those of the second badly.
fn unlike_litters(rules: &Rules) -> BreedingValueFacts {
    let good = (2..8).map(|number| graded(number, "fci_hips", "A1", "2022-01-01"));
    let bad = (10..16).map(|number| graded(number, "fci_hips", "D", "2022-01-01"));
    facts(good.chain(bad).collect(), rules)
}

#[test]
fn parents_that_were_never_screened_are_told_by_their_pups() {
    let rules = Rules::standard();
    let facts = unlike_litters(&rules);
    let ordered = facts.ordered((0..16).map(id).collect()).unwrap();
    assert!(
        ordered[..8].iter().all(|dog| dog.as_u128() <= 8),
        "the first family is the better one"
    );
    let report = facts.report(&[id(0), id(8), id(2)]).unwrap();
    let [good, bad, pup] = &report.values[..] else { panic!("{report:?}") };
    assert!(good.breeding_value < 0.0 && bad.breeding_value > 0.0);
    near(good.breeding_value, -bad.breeding_value, 1e-9, "both families are as large");
    assert_eq!((&good.own_result, pup.own_result.is_some()), (&None, true));
    assert!(pup.accuracy > good.accuracy && good.accuracy > 0.3);
    assert!(good.lowest < good.breeding_value && good.breeding_value < good.highest);
    assert_eq!((report.model.schemes.len(), report.model.schemes[0].dogs), (1, 12));
    assert_eq!(report.model.why_none, None);
}

/// A dog that is related to nobody with a result is not told apart from the mean, and its error is that of a
/// founder: one genetic standard deviation.
#[test]
fn who_is_related_to_nobody_is_told_as_the_mean() {
    let mut facts = unlike_litters(&Rules::standard());
    let mut parents = vec![(-1, -1); 2];
    parents.extend([(0, 1); 6]);
    parents.extend([(-1, -1); 2]);
    parents.extend([(8, 9); 6]);
    parents.push((-1, -1));
    facts.book = Arc::new(book(&parents));
    let stranger = &facts.report(&[id(16)]).unwrap().values[0];
    assert_eq!(stranger.standing, BreedingValueStanding::NotToldApart);
    near(stranger.breeding_value, 0.0, 1e-12, "breeding value");
    near(stranger.standard_error, 1.0, 1e-9, "standard error");
    near(stranger.reliability, 0.0, 1e-9, "reliability");
}

#[test]
fn a_dog_too_young_for_its_scheme_does_not_count() {
    let young = graded(2, "fci_hips", "A", "2020-12-31");
    let old = graded(3, "fci_hips", "A", "2021-01-01");
    let facts = facts(vec![young, old], &Rules::standard());
    assert_eq!(facts.screened_dogs(), [id(3)]);
    assert_eq!(facts.report(&[]).unwrap().model.too_young, 1);
}

#[test]
fn eyes_are_looked_at_and_not_reckoned() {
    let mut facts = unlike_litters(&Rules::standard());
    facts.screened = ScreenedTrait::Eyes;
    let report = facts.report(&[id(0)]).unwrap();
    assert!(report.values.is_empty() && report.model.why_none.is_some());
    assert!(facts.ordered(vec![id(0)]).unwrap().is_empty());
}

/// Whether so many results are enough.
fn enough(dogs: f64, rules: &Rules) -> bool {
    // Whole dogs of the table.
    let results =
        (2..2 + dogs as usize).map(|number| graded(number, "fci_hips", "B", "2022-01-01"));
    facts(results.collect(), rules).report(&[]).unwrap().model.why_none.is_none()
}

/// It is called worse as long as it lies further from the mean than the rule asks, and never better.
#[test]
fn a_value_is_called_worse_only_beyond_its_error() {
    let standing = |errors: f64| {
        let rules = Rules::standard();
        let rules = rules.with_override("breeding_values.told_apart_errors", errors, "us").unwrap();
        unlike_litters(&rules).report(&[id(8), id(0)]).unwrap().values
    };
    let values = standing(1.96);
    let away = values[0].breeding_value / values[0].standard_error;
    assert!(away > 0.6, "{away}");
    let told =
        |errors: f64| standing(errors).into_iter().map(|one| one.standing).collect::<Vec<_>>();
    use BreedingValueStanding::{Better, NotToldApart, Worse};
    assert_eq!(told(away - 0.01), [Worse, Better]);
    assert_eq!(told(away + 0.01), [NotToldApart, NotToldApart]);
}

pub(crate) const LIMITS: &[Limit] = &[Limit {
    rule: "breeding_values.least_results",
    side: Side::AtLeast,
    words: "at least so many dogs",
    step: 1.0,
    ask: Ask::Value(enough),
}];

#[test]
fn limits_hold_on_before_and_after() {
    check(LIMITS);
}
