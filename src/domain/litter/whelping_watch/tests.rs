use super::*;
use crate::{
    advice::{Caution, CautionCode, Level},
    alarms::{AlarmAbout, Finding, gather},
    litter::limits_tests::{core_of, whelped},
    whelping::NewbornSigns,
};

fn dog(number: u128) -> Uuid {
    Uuid::from_u128(number)
}

fn alarm(of: Option<u128>, code: CautionCode) -> Alarm {
    let about = AlarmAbout { litter_id: Some(dog(1)), dog_id: of.map(dog), label: "a pup".into() };
    let caution = Caution::new(code, Level::Act, "what", "why", "source");
    gather(&about, vec![Finding::new("pup", whelped(), caution)]).remove(0)
}

/// The pups 2 and 3; the signs of 2 were looked at.
fn litter(signs: NewbornSigns) -> Core {
    let mut core = core_of(&[2, 3]);
    core.pups[0].birth.as_mut().unwrap().record.vitality = Some(signs);
    core
}

/// One sign each that is worth nothing, and nothing else known.
fn limp() -> NewbornSigns {
    serde_json::from_value(serde_json::json!({
        "heart_per_min": 100, "breath_per_min": 1, "reflex": "absent", "motility": "flaccid",
        "gums": "blue",
    }))
    .unwrap()
}

#[test]
fn a_pup_is_scored_once_a_sign_was_looked_at() {
    let rules = Rules::standard();
    let pups = pups_of_night(&litter(limp()), &[], &rules);
    assert_eq!(pups.iter().map(|pup| pup.ordinal).collect::<Vec<_>>(), [2, 3]);
    assert_eq!(pups[0].vitality.as_ref().unwrap().points, Some(0));
    assert_eq!(pups[1].vitality, None);
    let unlooked = pups_of_night(&litter(NewbornSigns::default()), &[], &rules);
    assert_eq!(unlooked[0].vitality.as_ref().unwrap().points, None);
}

/// What the score alone would say is said by the alarms: what was seen since outweighs it.
#[test]
fn its_cautions_are_the_alarms_of_how_it_thrives() {
    let alarms = [
        alarm(Some(2), CautionCode::NewbornWeak),
        alarm(Some(2), CautionCode::GrowthLosing),
        alarm(Some(2), CautionCode::Straining),
        alarm(Some(3), CautionCode::NewbornWeak),
        alarm(None, CautionCode::GrowthLosing),
    ];
    let told = |alarms: &[Alarm]| -> Vec<CautionCode> {
        let pups = pups_of_night(&litter(limp()), alarms, &Rules::standard());
        assert_eq!(pups[1].vitality, None);
        pups[0].vitality.as_ref().unwrap().cautions.iter().map(|caution| caution.code).collect()
    };
    assert_eq!(told(&[]), []);
    assert_eq!(told(&alarms), [CautionCode::NewbornWeak, CautionCode::GrowthLosing]);
}
