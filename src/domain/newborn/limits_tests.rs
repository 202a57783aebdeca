//! The limits by which a newborn is asked about, and by which one fades.

use super::*;
use crate::advice::{CautionCode, Level};
use crate::alarms::newborn::{fades, findings, unexamined};
use crate::alarms::{NewbornFacts, PupCheckFact};
use crate::call_signs::PupSign;
use crate::growth::{PupRisk, RiskLevel};
use crate::limits_tests::{Ask, Limit, MINUTE, Side, at_most, check, less_than, minutes};
use crate::rules::Rules;
use catalogue::Text;
use chrono::{DateTime, Duration, Utc};
use uuid::Uuid;

fn at(hours: f64) -> DateTime<Utc> {
    "2026-03-01T06:00:00Z".parse::<DateTime<Utc>>().unwrap() + Duration::minutes(minutes(hours))
}

fn facts() -> NewbornFacts {
    NewbornFacts {
        dog_id: Uuid::from_u128(1),
        label: "red".into(),
        born_at: at(0.0),
        present: true,
        vitality: None,
        vitality_minutes: 5,
        revived: Vec::new(),
        temperatures: Vec::new(),
        checks: Vec::new(),
        feeds: Vec::new(),
    }
}

fn look(hours: f64) -> PupCheckFact {
    PupCheckFact { at: at(hours), signs: Vec::new(), nurses: None, exam: None }
}

fn examined(hours: f64, exam: NewbornExam) -> NewbornFacts {
    NewbornFacts { checks: vec![PupCheckFact { exam: Some(exam), ..look(hours) }], ..facts() }
}

fn cleft(finding: ExamFinding) -> NewbornExam {
    NewbornExam { palate: Some(finding), ..NewbornExam::default() }
}

/// What is said of a palate that was found cleft at two hours, so many hours after birth.
fn defect(pup: &NewbornFacts, hours: f64, rules: &Rules) -> Option<Level> {
    let found = findings(pup, false, at(hours), rules);
    let found = found.iter().filter(|one| one.caution.code == CautionCode::NewbornDefect);
    found.map(|one| one.caution.level).max()
}

fn by_weights(probability: f64) -> PupRisk {
    PupRisk {
        dog_id: Uuid::from_u128(1),
        probability,
        level: RiskLevel::Watch,
        gain_fraction_per_day: Some(0.01),
        expected_fraction_per_day: Some(0.07),
        why: Text::verbatim("gains 1 % a day where 7 % was expected"),
    }
}

/// A pup that cries and is a little cool, two kinds of evidence beside its weights.
fn unwell(hours: f64) -> NewbornFacts {
    let cries = PupCheckFact { signs: vec![PupSign::Crying], ..look(hours - 1.0) };
    NewbornFacts { checks: vec![cries], temperatures: vec![(at(hours - 1.0), 35.0)], ..facts() }
}

fn score(probability: f64, hours: f64, rules: &Rules) -> FadingScore {
    let risk = by_weights(probability);
    fading_score(&unwell(hours), Some(&risk), false, at(hours), rules).unwrap()
}

fn level(probability: f64, hours: f64, rules: &Rules) -> Option<Level> {
    let risk = by_weights(probability);
    let found = fades(&unwell(hours), Some(&risk), &[], at(hours), rules);
    found.map(|one| one.caution.level)
}

pub(crate) const LIMITS: &[Limit] = &[
    less_than("newborn.exam_asked_hours", "how long after birth", MINUTE, |hours, r| {
        unexamined(&[facts()], at(hours), r).is_some()
    }),
    less_than("newborn.exam_told_days", "below which", 1.0 / 1440.0, |days, r| {
        defect(&examined(2.0, cleft(ExamFinding::Abnormal)), days * 24.0, r).is_some()
    }),
    at_most("newborn.fading_to_day", "age to which", 1.0, |days, r| {
        fading_score(&facts(), None, false, at(days * 24.0), r).is_some()
    }),
    Limit {
        rule: "newborn.fading_act",
        side: Side::AtLeast,
        words: "from this probability",
        step: 0.001,
        ask: Ask::Rule(|r| score(0.3, 96.0, r).probability, |r| level(0.3, 96.0, r).is_some()),
    },
    Limit {
        rule: "newborn.fading_emergency",
        side: Side::AtLeast,
        words: "from this probability",
        step: 0.001,
        ask: Ask::Rule(
            |r| score(0.8, 96.0, r).probability,
            |r| level(0.8, 96.0, r) == Some(Level::Emergency),
        ),
    },
];

#[test]
fn each_limit_of_newborns_on_it_before_and_after() {
    check(LIMITS);
}

#[test]
fn a_defect_calls_until_a_vet_has_seen_it_or_it_is_as_it_should_be() {
    let rules = Rules::standard();
    let mut pup = examined(2.0, cleft(ExamFinding::Abnormal));
    assert_eq!(defect(&pup, 3.0, &rules), Some(Level::Act));
    for after in [ExamFinding::SeenByVet, ExamFinding::Normal] {
        pup.checks.truncate(1);
        pup.checks.push(PupCheckFact { exam: Some(cleft(after)), ..look(5.0) });
        assert_eq!(defect(&pup, 4.0, &rules), Some(Level::Act), "not yet");
        assert_eq!(defect(&pup, 6.0, &rules), None, "{after:?}");
    }
    // A later look at something else says nothing of the palate.
    let limbs = NewbornExam { limbs: Some(ExamFinding::Normal), ..NewbornExam::default() };
    pup.checks.truncate(1);
    pup.checks.push(PupCheckFact { exam: Some(limbs), ..look(5.0) });
    assert_eq!(defect(&pup, 6.0, &rules), Some(Level::Act));
    let open = NewbornExam { belly_wall: Some(ExamFinding::Abnormal), ..NewbornExam::default() };
    assert_eq!(defect(&examined(1.0, open), 2.0, &rules), Some(Level::Emergency));
}

/// It is asked until all that belongs before the first feed was looked at, of each pup that is here.
#[test]
fn who_was_not_looked_over_is_asked_about() {
    let rules = Rules::standard();
    let asked = |pups: &[NewbornFacts]| {
        unexamined(pups, at(3.0), &rules).map(|found| (found.caution.level, found.caution.what))
    };
    let whole = NewbornExam {
        palate: Some(ExamFinding::Normal),
        suck_reflex: Some(ExamFinding::Normal),
        limbs: Some(ExamFinding::Normal),
        belly_wall: Some(ExamFinding::Normal),
        umbilicus: Some(ExamFinding::Normal),
        anus: Some(ExamFinding::Normal),
        ..NewbornExam::default()
    };
    let done = examined(1.0, whole.clone());
    let part = examined(1.0, NewbornExam { anus: None, ..whole.clone() });
    let other = NewbornFacts { label: "blue".into(), ..facts() };
    assert_eq!(asked(std::slice::from_ref(&done)), None);
    let (level, what) = asked(&[done, part.clone(), other.clone()]).unwrap();
    assert_eq!(level, Level::Note);
    assert!(what.contains("red and blue"), "{what}");
    assert_eq!(not_looked_at(&part, at(3.0)), [ExamItem::Anus]);
    assert_eq!(asked(&[NewbornFacts { present: false, ..other.clone() }]), None);
    assert_eq!(asked(&[NewbornFacts { born_at: at(4.0), ..other }]), None, "not born yet");
}

/// Nothing looked at, nothing changed: the score is that of the weights.
#[test]
fn without_anything_else_it_is_the_early_warning() {
    let rules = Rules::standard();
    for probability in [0.02, 0.3, 0.9, 0.9999] {
        let risk = by_weights(probability);
        let score = fading_score(&facts(), Some(&risk), false, at(90.0), &rules).unwrap();
        assert!((score.probability - probability).abs() < 1e-9);
        assert_eq!((score.grounds.len(), score.lacks.len()), (1, 2));
    }
    let born = fading_score(&facts(), None, false, at(1.0), &rules).unwrap();
    let base = rules.value("growth.early_death_base");
    assert!((born.probability - base).abs() < 1e-9 && born.by_weights_alone.is_none());
}

/// Log odds add up: worked by hand for a pup at even odds by weight, 1 °C below the usual, that was seen not to suck
/// and cries.
#[test]
fn the_evidence_adds_up() {
    let rules = Rules::standard().with_override("newborn.fading_per_degree", 1.0, "us").unwrap();
    let rules = rules.with_override("newborn.fading_not_nursing", 2.0, "us").unwrap();
    let refuses = PupCheckFact { signs: vec![PupSign::Crying], nurses: Some(false), ..look(95.0) };
    let pup =
        NewbornFacts { checks: vec![refuses], temperatures: vec![(at(95.0), 34.5)], ..facts() };
    let score = fading_score(&pup, Some(&by_weights(0.5)), false, at(96.0), &rules).unwrap();
    let crying = crate::call_signs::pup_sign(PupSign::Crying).unwrap().fading_log_odds;
    let by_hand = 1.0 / (1.0 + (-(1.0 + 2.0 + crying)).exp());
    assert!((score.probability - by_hand).abs() < 1e-9, "{} {by_hand}", score.probability);
    assert_eq!(score.grounds[0].evidence, FadingEvidence::Feeding);
}

/// What says the same twice counts once, and each further sign counts for a part.
#[test]
fn the_same_thing_counts_once() {
    let rules = Rules::standard();
    let of = |signs: &[PupSign], nurses, temperature_c: Option<f64>| {
        let check = PupCheckFact { signs: signs.to_vec(), nurses, ..look(95.0) };
        let temperatures = temperature_c.map(|t| (at(95.0), t)).into_iter().collect();
        let pup = NewbornFacts { checks: vec![check], temperatures, ..facts() };
        fading_score(&pup, Some(&by_weights(0.1)), false, at(96.0), &rules).unwrap().probability
    };
    use PupSign::{Cold, Crying, Limp, NotSucking};
    assert!(
        (of(&[Cold, Crying], None, Some(34.5)) - of(&[Crying], None, Some(34.5))).abs() < 1e-12
    );
    let twice = of(&[NotSucking, Crying], Some(false), None);
    assert!((twice - of(&[Crying], Some(false), None)).abs() < 1e-12);
    assert!(of(&[Cold], None, None) > 0.1);
    assert!(of(&[Limp, Crying], None, None) > of(&[Limp], None, None));
    let weight = |sign| crate::call_signs::pup_sign(sign).unwrap().fading_log_odds;
    let both = weight(Limp) + rules.value("newborn.fading_next_sign") * weight(Crying);
    let begin: f64 = (0.1_f64 / 0.9).ln();
    let expected = 1.0 / (1.0 + (-(begin + both)).exp());
    assert!((of(&[Crying, Limp], None, None) - expected).abs() < 1e-9);
}

/// A later look that found the pup well takes a sign back for the score.
#[test]
fn a_look_that_finds_it_well_speaks_for_it() {
    let rules = Rules::standard();
    let cries = PupCheckFact { signs: vec![PupSign::Crying], ..look(90.0) };
    let of = |checks: Vec<PupCheckFact>| {
        let pup = NewbornFacts { checks, ..facts() };
        fading_score(&pup, Some(&by_weights(0.1)), false, at(96.0), &rules).unwrap().probability
    };
    assert!(of(vec![cries.clone()]) > 0.1);
    assert!(of(vec![cries.clone(), look(94.0)]) < 0.1);
    assert!(of(vec![look(89.0), cries]) > 0.1, "the sign came after it");
}

/// One kind of evidence alone speaks in its own words: the score calls where two agree.
#[test]
fn it_takes_two_kinds_of_evidence() {
    let rules = Rules::standard();
    let risk = by_weights(0.9);
    let call = |pup: &NewbornFacts, risk: Option<&PupRisk>| {
        fades(pup, risk, &[], at(96.0), &rules).map(|one| one.caution.level)
    };
    assert_eq!(call(&facts(), Some(&risk)), None);
    assert_eq!(call(&unwell(96.0), Some(&risk)), Some(Level::Emergency));
    let cool = NewbornFacts { checks: Vec::new(), ..unwell(96.0) };
    assert_eq!(call(&cool, Some(&risk)), Some(Level::Act), "two agree: today");
    let low = by_weights(0.02);
    assert_eq!(call(&unwell(96.0), Some(&low)), None, "a cool pup that cries and gains well");
    assert_eq!(call(&NewbornFacts { present: false, ..unwell(96.0) }, Some(&risk)), None);
}
