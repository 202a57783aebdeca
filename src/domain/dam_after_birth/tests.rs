//! Thresholds one by one.

use super::*;
use crate::advice::Level;
use crate::alarms::{self, AlarmAbout};
use crate::whelping::DischargeColour;

fn birth() -> DateTime<Utc> {
    "2026-03-01T06:00:00Z".parse().unwrap()
}

fn seen(hours: i64) -> DamObservation {
    DamObservation::at(birth() + Duration::hours(hours))
}

fn dam(observations: Vec<DamObservation>) -> DamAfterBirth {
    DamAfterBirth {
        last_pup_at: birth(),
        pups: 7,
        first_litter: Some(true),
        placentas_missing: Some(1),
        observations,
    }
}

fn alarms_of(dam: &DamAfterBirth, hours: i64) -> Vec<alarms::Alarm> {
    let about = AlarmAbout { litter_id: None, dog_id: None, label: "Juno".into() };
    let now = birth() + Duration::hours(hours);
    alarms::gather(&about, alarms::dam::findings(dam, now, &Rules::standard()))
}

fn health(observations: Vec<DamObservation>, hours: i64) -> DamHealth {
    let dam = dam(observations);
    let (now, rules) = (birth() + Duration::hours(hours), Rules::standard());
    let alarms = alarms_of(&dam, hours);
    dam_health(&dam, &alarms, now, &rules)
}

fn levels(observation: DamObservation) -> Vec<Level> {
    let hours = (observation.at - birth()).num_hours();
    health(vec![observation], hours).cautions.iter().map(|c| c.level).collect()
}

/// The handbook's fever begins at 39.4 C, and over 40 C is treated as heat stroke.
#[test]
fn fever_is_graded() {
    let at = |hours, t| DamObservation { temperature_c: Some(t), ..seen(hours) };
    assert!(levels(at(24, 39.4)).is_empty(), "a slight rise is usual");
    assert!(levels(at(24, 39.2)).is_empty());
    assert!(levels(at(72, 39.2)).is_empty());
    assert_eq!(levels(at(72, 39.4)), [Level::Note]);
    // One placenta was not seen: with fever it is an emergency, one cause with it.
    assert_eq!(levels(at(24, 39.5)), [Level::Emergency]);
    let counted = |observation: DamObservation| {
        let dam = DamAfterBirth { placentas_missing: Some(0), ..dam(vec![observation]) };
        alarms_of(&dam, 72).iter().map(|alarm| alarm.level).collect::<Vec<_>>()
    };
    assert_eq!(counted(at(72, 39.5)), [Level::Act]);
    assert_eq!(counted(at(72, 39.9)), [Level::Act]);
    assert_eq!(counted(at(72, 40.0)), [Level::Emergency]);
    assert_eq!(levels(at(72, 36.9)), [Level::Act]);
}

#[test]
fn signs_of_low_calcium_call_alone_and_are_grave_together() {
    let with = |signs: &[DamSign]| DamObservation { signs: signs.to_vec(), ..seen(400) };
    let stiff = health(vec![with(&[DamSign::StiffGait])], 400);
    assert_eq!(stiff.cautions[0].level, Level::Emergency);
    assert!(stiff.cautions[0].why.contains("Day 17") && stiff.cautions[0].why.contains("first"));
    for early in DamSign::EARLY {
        assert_eq!(levels(with(&[early])), [Level::Act], "{early:?}");
        for grave in DamSign::GRAVE {
            assert_eq!(levels(with(&[early, grave])), [Level::Emergency]);
        }
        let hot = DamObservation { temperature_c: Some(39.5), ..with(&[early]) };
        assert_eq!(levels(hot)[0], Level::Emergency, "{early:?} with fever");
    }
    assert_eq!(levels(with(&[DamSign::Collapse])), [Level::Emergency]);
}

#[test]
fn each_sign_speaks() {
    let level = |sign| levels(DamObservation { signs: vec![sign], ..seen(100) });
    for sign in [DamSign::Dull, DamSign::NeglectsPups, DamSign::Vomiting, DamSign::NoMilk] {
        assert_eq!(level(sign), [Level::Act], "{sign:?}");
    }
    for sign in [DamSign::Prolapse, DamSign::PaleGums, DamSign::Collapse] {
        assert_eq!(level(sign), [Level::Emergency], "{sign:?}");
    }
    let cry = DamObservation { pups_cry: Some(true), ..seen(100) };
    assert_eq!(levels(cry), [Level::Act]);
    let eaten = DamObservation { signs: vec![DamSign::Vomiting], ..seen(3) };
    assert_eq!(levels(eaten), [Level::Note], "she may have eaten placentas");
    let dull =
        DamObservation { temperature_c: Some(39.6), signs: vec![DamSign::Dull], ..seen(100) };
    assert_eq!(levels(dull)[0], Level::Emergency);
}

#[test]
fn glands_are_graded_by_state_and_fever() {
    let with =
        |glands, t| DamObservation { glands: Some(glands), temperature_c: Some(t), ..seen(200) };
    assert!(levels(with(GlandState::Normal, 38.5)).is_empty());
    assert_eq!(levels(with(GlandState::Engorged, 38.5)), [Level::Note]);
    assert_eq!(levels(with(GlandState::HotPainfulHard, 38.5)), [Level::Act]);
    assert_eq!(levels(with(GlandState::HotPainfulHard, 39.6))[0], Level::Emergency);
    assert_eq!(levels(with(GlandState::BadMilk, 38.5))[0], Level::Emergency);
}

#[test]
fn discharge_by_colour_and_time() {
    let with = |hours, discharge| DamObservation { discharge: Some(discharge), ..seen(hours) };
    use DischargeColour::{BrightRed, Foul, GreenBlack, RedBrown};
    assert!(levels(with(12, GreenBlack)).is_empty(), "green at first is usual");
    assert_eq!(levels(with(25, GreenBlack)), [Level::Act], "longer than 24 h");
    assert!(levels(with(100, RedBrown)).is_empty());
    assert_eq!(levels(with(22 * 24, RedBrown)), [Level::Note]);
    assert_eq!(levels(with(36 * 24, RedBrown)), [Level::Act]);
    assert_eq!(levels(with(100, Foul)), [Level::Act]);
    assert_eq!(levels(with(100, BrightRed)), [Level::Emergency]);
    let spotting = Some(DischargeAmount::Spotting);
    let drops = DamObservation { discharge_amount: spotting, ..with(100, BrightRed) };
    assert!(levels(drops).is_empty());
    let dull = DamObservation { signs: vec![DamSign::Dull], ..with(100, Foul) };
    assert_eq!(levels(dull)[0], Level::Emergency);
    let hot = DamObservation { temperature_c: Some(39.6), ..with(100, GreenBlack) };
    assert_eq!(levels(hot)[0], Level::Emergency);
}

#[test]
fn a_day_without_food_calls_the_vet_until_she_eats() {
    let eats = |hours, eats| DamObservation { eats: Some(eats), ..seen(hours) };
    let level =
        |list: Vec<DamObservation>| health(list, 60).cautions.first().map(|caution| caution.level);
    assert_eq!(level(vec![eats(30, false)]), Some(Level::Note));
    assert_eq!(level(vec![eats(30, false), eats(54, false)]), Some(Level::Act));
    assert_eq!(level(vec![eats(30, false), eats(54, false), eats(58, true)]), None);
}

#[test]
fn says_what_was_not_looked_at_and_refuses_fahrenheit() {
    assert_eq!(health(vec![], 30).lacks.len(), 3);
    let hot = DamObservation { temperature_c: Some(102.2), ..seen(400) };
    let faults = check_dam_observation(&hot, birth()).unwrap_err();
    assert_eq!(faults.len(), 2);
    assert!(faults[1].detail.contains("39.0"), "{}", faults[1].detail);
}
