//! A litter's alarms, each about the pup whose record it rests on.

use super::*;
use crate::advice::{CautionCode, Level};
use crate::growth::Weighing;
use crate::litter::ByDog;
use crate::litter::limits_tests::{after, core_of, no_pregnancy, whelped};
use crate::record::{Feed, Kept};
use crate::rules::Rules;
use chrono::Duration;
use std::collections::BTreeMap;

/// Three pups, weighed daily: two gain 6 % a day, the third loses as much.
fn weighed() -> Weights {
    let of_pup = |pup: u128| {
        let a_day = if pup == 3 { 0.96_f64 } else { 1.06 };
        let on = move |day: i32| Weighing {
            id: None,
            measured_at: whelped() + Duration::days(day.into()),
            weight_g: (400.0 * a_day.powi(day)).round(),
            doubtful: false,
        };
        (Uuid::from_u128(pup), (0..5).map(on).collect())
    };
    Weights { weighings: (1..=3).map(of_pup).collect::<BTreeMap<_, Vec<_>>>().into() }
}

#[test]
fn each_pup_is_told_of_its_own_weights() {
    let (core, moment) = (core_of(&[1, 2, 3]), after(4.0, &Rules::standard()));
    let parts = (
        weighed(),
        Nursing::default(),
        Health::default(),
        WhelpingWatch::default(),
        no_pregnancy(),
        Sights::default(),
    );
    let found = look_at(&core, &parts, &moment);
    let of = |pup: u128| {
        let about = found.alarms.iter().filter(|a| a.about.dog_id == Some(Uuid::from_u128(pup)));
        about.flat_map(|alarm| &alarm.grounds).map(|ground| (ground.code, ground.level)).collect()
    };
    let third: Vec<(CautionCode, Level)> = of(3);
    assert!(third.contains(&(CautionCode::GrowthFailing, Level::Act)), "{third:?}");
    for pup in [1, 2] {
        let others: Vec<(CautionCode, Level)> = of(pup);
        assert!(others.iter().all(|(_, level)| *level < Level::Act), "{pup}: {others:?}");
    }
    assert!(found.alarms.is_sorted_by_key(|alarm| std::cmp::Reverse(alarm.level)));
}

/// A record of no litter: dogs that came here are not watched for growth. Pups of one that the asker may not see
/// are, each under the id that its alarm has for everybody; of the litter itself nothing is said.
#[test]
fn without_a_litter_those_are_watched_for_growth_who_were_born_here() {
    let (whole, moment) = (core_of(&[1, 2, 3]), after(4.0, &Rules::standard()));
    let parts = (
        weighed(),
        Nursing::default(),
        Health::default(),
        WhelpingWatch::default(),
        no_pregnancy(),
        Sights::default(),
    );
    let mut came = Core { litter: None, ..whole.clone() };
    for dog in &mut came.pups {
        dog.birth = None;
    }
    let found = look_at(&came, &parts, &moment);
    assert!(found.alarms.iter().all(|alarm| !alarm.is_of_growth()), "{:?}", found.alarms);
    assert!(found.growth.pups.is_empty());

    let mut shared = Core { litter: None, dam: None, sire: None, ..whole.clone() };
    shared.pups.retain(|pup| pup.dog_id == Uuid::from_u128(3));
    let told = look_at(&shared, &parts, &moment).alarms;
    let of_third = |alarm: &&Alarm| alarm.about.dog_id == Some(Uuid::from_u128(3));
    let all = look_at(&whole, &parts, &moment).alarms;
    let ids = |alarms: Vec<&Alarm>| alarms.iter().map(|alarm| alarm.id).collect::<Vec<_>>();
    assert!(!told.is_empty() && told.iter().all(|alarm| of_third(&alarm)), "{told:?}");
    assert_eq!(ids(told.iter().collect()), ids(all.iter().filter(of_third).collect()));
}

/// Where nobody writes feeds down, a pup without one is not unfed: the litter is asked about first milk.
#[test]
fn feeds_are_missed_only_where_they_are_kept() {
    let rules = Rules::standard();
    let core = core_of(&[1, 2]);
    let said = |nursing: Nursing, hours: f64, code: CautionCode| {
        let parts = (
            Weights::default(),
            nursing,
            Health::default(),
            WhelpingWatch::default(),
            no_pregnancy(),
            Sights::default(),
        );
        let found = look_at(&core, &parts, &after(hours / 24.0, &rules));
        let grounds = found.alarms.iter().flat_map(|alarm| &alarm.grounds);
        grounds.filter(|ground| ground.code == code).count()
    };
    let fed = || {
        let at = whelped() + Duration::hours(9);
        let record =
            serde_json::json!({ "dog_id": Uuid::from_u128(1), "fed_at": at, "volume_ml": 3.0 });
        let feed: Kept<Feed> = crate::litter::limits_tests::kept(9, record);
        Nursing { feeds: ByDog::group([feed], |feed| feed.record.dog_id), ..Nursing::default() }
    };
    assert_eq!(said(Nursing::default(), 10.0, CautionCode::NewbornUnfed), 0);
    assert_eq!(said(Nursing::default(), 10.0, CautionCode::FeedingFirstMilk), 1);
    assert_eq!(said(fed(), 10.0, CautionCode::NewbornUnfed), 1, "the other one");
    assert_eq!(said(fed(), 10.0, CautionCode::FeedingFirstMilk), 0);
    assert_eq!(said(fed(), 8.9, CautionCode::NewbornUnfed), 0, "the feed is still to come");
}
