use super::*;
use crate::{
    fault::FaultCode,
    inbreeding::Studbook,
    pedigree::{Pedigree, PedigreeRow},
};
use chrono::NaiveDate;
use serde_json::{Value, json};
use uuid::Uuid;

fn id(number: u128) -> Uuid {
    Uuid::from_u128(number)
}

fn result(fields: Value) -> ScreeningResult {
    serde_json::from_value(fields).unwrap()
}

fn faults(fields: Value) -> Vec<(String, FaultCode)> {
    let mut faults = Faults::new();
    result(fields).check_scheme(&mut faults);
    faults.into_vec().into_iter().map(|fault| (fault.pointer, fault.code)).collect()
}

/// Every scheme has results, its grades stand from best to worst, and where dogs are compared it has a spread.
#[test]
fn the_schemes_are_sound() {
    for scheme in ScreeningScheme::all() {
        assert!(scheme.grades.is_empty() != scheme.number.is_none(), "{}", scheme.key);
        assert!(!scheme.source.is_empty(), "{}", scheme.key);
        let values: Vec<f64> = scheme.grades.iter().filter_map(|one| one.value).collect();
        assert!(values.is_sorted(), "{}: {values:?}", scheme.key);
        let compared = !values.is_empty() || scheme.number.is_some();
        assert_eq!(scheme.spread.is_some(), compared, "{}", scheme.key);
        assert_eq!(scheme.spread.is_some(), scheme.spread_source.is_some(), "{}", scheme.key);
        assert_eq!(ScreeningScheme::named(&scheme.key), Some(scheme));
    }
    let of = |screened| ScreeningScheme::of_trait(screened).len();
    let all: usize = ScreenedTrait::ALL.iter().map(|screened| of(*screened)).sum();
    assert_eq!(all, ScreeningScheme::all().len());
    assert!(ScreenedTrait::ALL.iter().all(|screened| of(*screened) > 0));
}

#[test]
fn what_a_scheme_does_not_give_is_refused_with_what_it_gives() {
    let place = |pointer: &str, code| vec![(pointer.to_owned(), code)];
    let unknown = FaultCode::UnknownValue;
    assert_eq!(faults(json!({ "scheme": "moon", "result": "A" })), place("/scheme", unknown));
    assert_eq!(faults(json!({ "scheme": "fci_hips", "result": "F" })), place("/result", unknown));
    assert_eq!(faults(json!({ "scheme": "fci_hips" })), place("/result", FaultCode::Missing));
    let sides = json!({ "scheme": "ofa_hips", "left_side": "good" });
    assert_eq!(faults(sides), place("/left_side", FaultCode::WrongKind));
    let condition = json!({ "scheme": "fci_hips", "result": "A", "condition": "cataract" });
    assert_eq!(faults(condition), place("/condition", FaultCode::WrongKind));
    assert!(
        faults(json!({ "scheme": "ecvo_eyes", "result": "unaffected", "condition": "cataract" }))
            .is_empty()
    );
}

/// The hip score of the BVA is 0 to 53 a hip and 0 to 106 together; the distraction index has two decimals.
#[test]
fn figures_are_held_to_their_range() {
    let bva =
        |side: &str| faults(json!({ "scheme": "bva_hips", "left_side": side, "right_side": "0" }));
    assert!(bva("0").is_empty() && bva("53").is_empty());
    for wrong in ["54", "-1", "1.5", "x", ""] {
        assert_eq!(bva(wrong), [("/left_side".to_owned(), FaultCode::UnknownValue)], "{wrong}");
    }
    let total = |total: &str| faults(json!({ "scheme": "bva_hips", "result": total }));
    assert!(total("106").is_empty() && !total("107").is_empty());
    let index = |index: &str| faults(json!({ "scheme": "pennhip", "result": index }));
    assert!(index("0.45").is_empty() && index("1.50").is_empty());
    assert!(!index("0.455").is_empty() && !index("1.51").is_empty());
}

/// Of hips and elbows graded by the FCI the worse side counts, of the BVA both together.
#[test]
fn two_sides_make_one_result() {
    let overall = |scheme: &str, left: &str, right: &str| {
        result(json!({ "scheme": scheme, "left_side": left, "right_side": right }))
            .overall()
            .unwrap()
    };
    assert_eq!(overall("fci_hips", "A", "C"), "C");
    assert_eq!(overall("fci_hips", "B2", "B1"), "B2");
    assert_eq!(overall("iewg_elbows", "BL", "0"), "BL");
    assert_eq!(overall("bva_hips", "3", "5"), "8");
    assert_eq!(overall("pennhip", "0.41", "0.39"), "0.41");
    let wrong = json!({ "scheme": "fci_hips", "result": "A", "left_side": "A", "right_side": "C" });
    assert_eq!(faults(wrong), [("/result".to_owned(), FaultCode::Differs)]);
    let right = json!({ "scheme": "bva_hips", "result": "8", "left_side": "3", "right_side": "5" });
    assert!(faults(right).is_empty());
    let one = json!({ "scheme": "fci_hips", "left_side": "B" });
    assert_eq!(result(one).overall().as_deref(), Some("B"));
    assert_eq!(result(json!({ "scheme": "bva_hips", "left_side": "4" })).overall(), None);
}

/// A result counts in spreads of its scheme: grades by their value, the BVA's by the logarithm (Lewis 2010), the
/// distraction index by the mean of both hips (Tikekar 2018).
#[test]
fn a_result_counts_in_spreads() {
    let counts = |fields: Value| result(fields).liability();
    let near = |a: Option<f64>, b: f64| assert!((a.unwrap() - b).abs() < 1e-12, "{a:?} {b}");
    near(counts(json!({ "scheme": "ofa_hips", "result": "fair" })), 3.0 / 0.59);
    near(counts(json!({ "scheme": "bva_hips", "result": "9" })), 10.0_f64.ln() / 0.6);
    let index = json!({ "scheme": "pennhip", "left_side": "0.30", "right_side": "0.50" });
    near(counts(index), 0.40 / 0.13);
    assert_eq!(counts(json!({ "scheme": "ecvo_eyes", "result": "affected" })), None);
}

/// 3 and 4 are full sibs by 1 and 2; 5 is a half sib by 1; 6 is a pup of 3 and 5.
fn book() -> Studbook<Uuid> {
    let parent = |number: u128| (number > 0).then(|| id(number));
    let rows = [(1, 0, 0), (2, 0, 0), (3, 1, 2), (4, 1, 2), (5, 1, 0), (6, 3, 5), (7, 0, 0)];
    let row = |(dog, sire, dam)| PedigreeRow { id: id(dog), sire: parent(sire), dam: parent(dam) };
    Studbook::compute(Pedigree::build(rows.map(row)).unwrap(), 1)
}

#[test]
fn each_relative_stands_once_by_the_nearest_relation() {
    let mut kin = book().near_kin(id(3)).unwrap();
    kin.sort();
    let wanted = [
        (1, Relation::Parent),
        (2, Relation::Parent),
        (3, Relation::Itself),
        (4, Relation::FullSib),
        (5, Relation::HalfSib),
        (6, Relation::Offspring),
    ];
    assert_eq!(kin, wanted.map(|(dog, relation)| (id(dog), relation)));
    let kin = book().near_kin(id(6)).unwrap();
    let of = |dog: u128| kin.iter().find(|(one, _)| *one == id(dog)).map(|(_, kin)| *kin);
    assert_eq!(
        (of(1), of(2), of(4)),
        (Some(Relation::Grandparent), Some(Relation::Grandparent), None)
    );
    assert!(book().near_kin(id(9)).is_err());
}

#[test]
fn the_last_result_of_a_dog_counts_and_the_best_stands_first() {
    let book = book();
    let kin = book.near_kin(id(1)).unwrap();
    let on = |day: &str| Some(day.parse::<NaiveDate>().unwrap());
    let graded = |dog: u128, grade: &str, day: &str| {
        let fields = json!({ "scheme": "fci_hips", "result": grade, "examined_on": on(day) });
        (id(dog), result(fields))
    };
    let results = [
        graded(3, "C", "2024-01-01"),
        graded(3, "B", "2025-01-01"),
        graded(4, "A", "2024-01-01"),
        graded(5, "B", "2024-01-01"),
        (
            id(5),
            result(json!({ "scheme": "ecvo_eyes", "result": "affected", "condition": "cataract" })),
        ),
    ];
    let screened = ScreenedFamily { dog_id: id(1), kin: &kin, results: &results }.screened();
    let offspring = screened.kin.iter().find(|one| one.relation == Relation::Offspring).unwrap();
    assert_eq!((offspring.dogs, offspring.schemes.len()), (3, 2));
    let hips = offspring.schemes.iter().find(|one| one.scheme == "fci_hips").unwrap();
    let counts: Vec<_> = hips.results.iter().map(|one| (one.result.as_str(), one.dogs)).collect();
    assert_eq!((hips.screened, counts), (3, vec![("A", 1), ("B", 2)]));
    let eyes = offspring.schemes.iter().find(|one| one.scheme == "ecvo_eyes").unwrap();
    assert_eq!((eyes.condition.as_deref(), eyes.screened), (Some("cataract"), 1));
    let own = &screened.kin[0];
    assert_eq!((own.relation, own.dogs, own.schemes.len()), (Relation::Itself, 1, 0));
}

#[test]
fn schemes_and_risks_have_their_german() {
    use ::catalogue::{Language, speaking};
    let risks = crate::markers::MarkerCatalogue::standard().iter().flat_map(|marker| &marker.risks);
    let texts = ScreeningScheme::all().iter().map(|scheme| &scheme.name);
    for text in texts.chain(risks.map(|risk| &risk.outcome)) {
        let english = text.to_string();
        speaking(Language::German, || assert_ne!(text.to_string(), english));
    }
}
