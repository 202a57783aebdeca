//! What a dog is told of its food at which age.

use super::limits_tests::{after, core_of, no_pregnancy};
use super::*;
use crate::{
    alarms::Sights,
    growth::{
        Weighing,
        own_lines::{AdultWeightBasis, LineDog, OwnLines, own_lines},
    },
    moment::Moment,
    record::Sex,
    rules::Rules,
};
use uuid::Uuid;

const ORPHAN: HandFeeding = HandFeeding { share: 1.0, replacer_kcal_per_ml: None, weak: false };

/// A kennel that has no grown dogs of its lines.
fn no_lines() -> OwnLines {
    own_lines("", &[], &Rules::standard())
}

/// A dog that is weighed once, now.
fn weighed(dog_id: Uuid, weight_g: f64, moment: &Moment) -> Weights {
    let weighing = Weighing { id: None, measured_at: moment.now, weight_g, doubtful: false };
    Weights { weighings: ByDog::group([weighing], |_| dog_id) }
}

/// What the pup of a litter is told so many days after its birth, when it weighs so much.
fn told(days: f64, weight_g: Option<f64>, adult_g: Option<i32>) -> FeedingAnswer {
    let moment = after(days, &Rules::standard());
    let mut core = core_of(&[2]);
    let dog_id = core.pups[0].dog_id;
    if let Some(dog) = &mut core.pups[0].dog {
        dog.adult_weight_g = adult_g;
    }
    let weights = weight_g.map(|weight_g| weighed(dog_id, weight_g, &moment)).unwrap_or_default();
    let own = (&core, &weights, &Nursing::default(), &Sights::default());
    ration(dog_id, own, &[], &no_lines(), &ORPHAN, &moment).unwrap().unwrap()
}

/// Pups are usually weaned by day 49.
#[test]
fn a_pup_is_fed_by_hand_until_it_is_weaned_and_grows_after() {
    let at = |days: f64| {
        let told = told(days, Some(2_000.0), Some(20_000));
        (told.pup.is_some(), told.weaning.is_some(), told.growing.is_some())
    };
    assert_eq!(at(48.0), (true, true, false));
    assert_eq!(at(49.0), (true, true, false));
    assert_eq!(at(50.0), (false, false, true));
}

#[test]
fn what_is_not_known_is_named_and_a_grown_dog_grows_no_more() {
    let unweighed = told(10.0, None, None);
    assert!(unweighed.pup.is_none() && unweighed.weaning.is_some());
    assert_eq!(unweighed.lacks.len(), 1);
    let growing = |weight_g: f64| told(200.0, Some(weight_g), Some(20_000)).growing.is_some();
    assert_eq!([19_999.0, 20_000.0, 20_001.0].map(growing), [true, false, false]);
    assert!(told(200.0, Some(10_000.0), None).growing.is_none(), "its adult weight is not known");
}

/// Where its own adult weight is not known, that of enough dogs of the own lines is taken, and said to be.
#[test]
fn a_growing_dog_is_fed_by_its_own_lines_where_its_adult_weight_is_not_known() {
    let moment = after(200.0, &Rules::standard());
    let mut core = core_of(&[2]);
    let dog_id = core.pups[0].dog_id;
    let weights = weighed(dog_id, 10_000.0, &moment);
    let mut told = |count: usize, adult_weight_g: Option<i32>| {
        let dog = core.pups[0].dog.as_mut().unwrap();
        (dog.sex, dog.adult_weight_g) = (Some(Sex::Male), adult_weight_g);
        let grown = LineDog {
            litter_id: Uuid::from_u128(7),
            sex: Sex::Male,
            adult_weight_g: Some(20_000.0),
            weights: Vec::new(),
        };
        let lines = own_lines("Larkfell Spaniel", &vec![grown; count], &moment.rules);
        let own = (&core, &weights, &Nursing::default(), &Sights::default());
        let told = ration(dog_id, own, &[], &lines, &ORPHAN, &moment).unwrap().unwrap();
        (told.growing, told.adult_weight.map(|used| (used.basis, used.dogs)))
    };
    assert_eq!(told(19, None), (None, None));
    let (by_lines, used) = told(20, None);
    assert_eq!(used, Some((AdultWeightBasis::OwnLines, Some(20))));
    let (own, used) = told(20, Some(20_000));
    assert_eq!(used, Some((AdultWeightBasis::Dog, None)));
    assert!(own.is_some());
    assert_eq!(by_lines, own, "the same weight is the same ration");
}

#[test]
fn a_dam_that_neither_carries_nor_nurses_and_a_stranger_are_told_nothing() {
    let moment = after(10.0, &Rules::standard());
    let core = core_of(&[2]);
    let parts = (&core, &Weights::default(), &Nursing::default(), &Sights::default());
    assert_eq!(ration(Uuid::from_u128(99), parts, &[], &no_lines(), &ORPHAN, &moment), Ok(None));
    let mut nursing = core_of(&[2]);
    let litters = |core: &Core| vec![(core.clone(), no_pregnancy())];
    let own = |weight_g| weighed(Uuid::from_u128(2), weight_g, &moment);
    let weights = own(20_000.0);
    let as_dam = |core: &Core| {
        let own = (&core_of(&[2]), &weights, &Nursing::default(), &Sights::default());
        ration(Uuid::from_u128(2), own, &litters(core), &no_lines(), &ORPHAN, &moment)
            .unwrap()
            .unwrap()
            .dam
    };
    assert!(as_dam(&nursing).is_some(), "by her one pup");
    nursing.pups.clear();
    assert!(as_dam(&nursing).is_none(), "her pups have gone");
}
