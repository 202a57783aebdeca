//! The limits of dating: days, values near term, and what is held against the heat.

use super::*;
use crate::advice::{CautionCode, Level};
use crate::day_chances::shift;
use crate::limits_tests::{
    Ask, Limit, MINUTE, Side, at_least, at_most, check, less_than, minutes, more_than,
};
use crate::record::{MatingMethod, MeasureKind};
use chrono::Duration;

fn today() -> NaiveDate {
    "2026-06-01".parse().unwrap()
}

fn ago(days: f64) -> NaiveDate {
    shift(today(), -(days as i64))
}

fn input(evidence: Vec<DatingEvidence>) -> DatingInput {
    DatingInput {
        today: today(),
        now: None,
        heat_began_on: None,
        whelped_on: None,
        breed: None,
        adult_weight_g: Some(8_000.0),
        chance_small_litter: None,
        temperature_fell: None,
        signs: Vec::new(),
        evidence,
    }
}

fn mating(on: NaiveDate) -> DatingEvidence {
    DatingEvidence::Mating { on, method: MatingMethod::Natural }
}

fn ovulation(on: NaiveDate) -> DatingEvidence {
    DatingEvidence::Ovulation { on, basis: OvulationBasis::Other, sd_days: None }
}

fn said(input: &DatingInput, code: CautionCode, rules: &Rules) -> Option<Level> {
    let found = due_window(input, rules).unwrap();
    found.cautions.iter().filter(|caution| caution.code == code).map(|caution| caution.level).max()
}

/// How overdue she is by one piece of evidence.
fn overdue(evidence: DatingEvidence, rules: &Rules) -> Option<Level> {
    said(&input(vec![evidence]), CautionCode::OverduePregnancy, rules)
}

/// By the due day that a vet foretold, so many days after it.
fn foretold(days: f64, rules: &Rules) -> Option<Level> {
    let due_on = ago(days);
    overdue(DatingEvidence::Forecast { on: ago(40.0), due_on, sd_days: Some(0.1) }, rules)
}

/// A mating so many days before or after the heat began.
fn believed(days: f64, rules: &Rules) -> bool {
    let began = ago(20.0);
    let mated = mating(shift(began, days as i64));
    let heat = DatingInput { heat_began_on: Some(began), ..input(vec![mated]) };
    due_window(&heat, rules).is_ok()
}

/// A scan on a day of pregnancy.
fn early_scan(day: f64, rules: &Rules) -> bool {
    let on = ago(10.0);
    // By the formula for small dams (Luvoni and Grioni), so that it moves no day.
    let values_mm = vec![68.68 - 1.53 * (63.0 - day)];
    let scan = DatingEvidence::Ultrasound { on, measure: MeasureKind::Icc, values_mm };
    let told = DatingEvidence::Ovulation {
        on: shift(on, -(day as i64)),
        basis: OvulationBasis::Other,
        sd_days: Some(0.0),
    };
    let window = due_window(&input(vec![told, scan]), rules).unwrap();
    let counted = window.counted_from_on.unwrap();
    assert_eq!((on - counted).num_days(), day as i64, "the scan moves no day");
    window.cautions.iter().any(|caution| caution.code == CautionCode::DatingEarlyScan)
}

fn near_term(ng_per_ml: f64, hours: f64, rules: &Rules) -> Option<Level> {
    let at = today().and_hms_opt(8, 0, 0).unwrap();
    let sample = DatingEvidence::PrewhelpingProgesterone { at, ng_per_ml };
    let now = at + Duration::minutes(minutes(hours));
    let seen = DatingInput {
        today: now.date(),
        now: Some(now),
        ..input(vec![ovulation(ago(62.0)), sample])
    };
    said(&seen, CautionCode::OverdueProgesteroneLow, rules)
}

/// What is told of a value near term.
fn told(ng_per_ml: f64, rules: &Rules) -> String {
    let at = today().and_hms_opt(8, 0, 0).unwrap();
    let sample = DatingEvidence::PrewhelpingProgesterone { at, ng_per_ml };
    let found = due_window(&input(vec![ovulation(ago(62.0)), sample]), rules).unwrap();
    found.evidence[1].detail.to_string()
}

/// So many days after the window of one ovulation.
fn answered(days: f64, rules: &Rules) -> bool {
    let first = input(vec![ovulation(ago(50.0))]);
    let latest = due_window(&first, rules).unwrap().latest;
    due_window(&DatingInput { today: shift(latest, days as i64), ..first }, rules).is_ok()
}

/// Two dates five days apart that overlap a little.
fn apart() -> DatingInput {
    let vet = DatingEvidence::Forecast { on: ago(20.0), due_on: shift(today(), 9), sd_days: None };
    input(vec![ovulation(ago(60.0)), vet])
}

fn overlap(rules: &Rules) -> f64 {
    let loose = rules.clone().with_override("dating.conflict_overlap", 0.5, "test").unwrap();
    due_window(&apart(), &loose).unwrap().conflicts[0].overlap
}

const AFTER: &str = "more than this many days after";

pub(crate) const LIMITS: &[Limit] = &[
    more_than("dating.overdue_lh_days", AFTER, 1.0, |d, r| {
        overdue(DatingEvidence::LhSurge { on: ago(d) }, r).is_some()
    }),
    more_than("dating.call_lh_days", AFTER, 1.0, |d, r| {
        overdue(DatingEvidence::LhSurge { on: ago(d) }, r) == Some(Level::Emergency)
    }),
    more_than("dating.overdue_progesterone_rise_days", AFTER, 1.0, |d, r| {
        overdue(DatingEvidence::ProgesteroneRise { on: ago(d) }, r).is_some()
    }),
    more_than("dating.call_progesterone_rise_days", AFTER, 1.0, |d, r| {
        overdue(DatingEvidence::ProgesteroneRise { on: ago(d) }, r) == Some(Level::Emergency)
    }),
    more_than("dating.overdue_dioestrus_days", AFTER, 1.0, |d, r| {
        overdue(DatingEvidence::Dioestrus { on: ago(d) }, r).is_some()
    }),
    more_than("dating.call_dioestrus_days", AFTER, 1.0, |d, r| {
        overdue(DatingEvidence::Dioestrus { on: ago(d) }, r) == Some(Level::Emergency)
    }),
    more_than("dating.overdue_ovulation_days", AFTER, 1.0, |d, r| {
        overdue(ovulation(ago(d)), r).is_some()
    }),
    more_than("dating.call_ovulation_days", AFTER, 1.0, |d, r| {
        overdue(ovulation(ago(d)), r) == Some(Level::Emergency)
    }),
    more_than("dating.overdue_mating_days", AFTER, 1.0, |d, r| {
        overdue(mating(ago(d)), r).is_some()
    }),
    more_than("dating.call_mating_days", AFTER, 1.0, |d, r| {
        overdue(mating(ago(d)), r) == Some(Level::Emergency)
    }),
    more_than("dating.overdue_scan_days", AFTER, 1.0, |d, r| foretold(d, r).is_some()),
    more_than("dating.call_scan_days", AFTER, 1.0, |d, r| foretold(d, r) == Some(Level::Emergency)),
    at_most("dating.after_window_days", "so long after", 1.0, answered),
    at_most("dating.mating_before_heat_days", "so many days before", 1.0, |d, r| believed(-d, r)),
    more_than("dating.mating_after_heat_days", "later than this", 1.0, |d, r| !believed(d, r)),
    less_than("dating.scan_day_earliest", "earliest day", 1.0, early_scan),
    less_than("dating.low_progesterone_ng_per_ml", "under this", 0.01, |ng, r| {
        told(ng, r).contains("24 hours")
    }),
    less_than("dating.falling_progesterone_ng_per_ml", "under this", 0.01, |ng, r| {
        told(ng, r).contains("48 hours")
    }),
    at_least("dating.high_progesterone_ng_per_ml", "from this on", 0.01, |ng, r| {
        told(ng, r).contains("unlikely")
    }),
    at_most("dating.low_progesterone_waits_ng_per_ml", "up to this", 0.01, |ng, r| {
        near_term(ng, 60.0, r).is_some()
    }),
    at_least("dating.low_progesterone_waits_hours", "so long after", MINUTE, |h, r| {
        near_term(1.9, h, r).is_some()
    }),
    Limit {
        rule: "dating.conflict_overlap",
        side: Side::LessThan,
        words: "less than this",
        step: 0.001,
        ask: Ask::Rule(overlap, |r| !due_window(&apart(), r).unwrap().conflicts.is_empty()),
    },
];

#[test]
fn each_limit_of_dating_on_it_before_and_after() {
    check(LIMITS);
}

/// Without the time of day only whole days that have gone by are certain: two days after the day.
#[test]
fn a_sample_without_the_hour_waits_for_whole_days() {
    let rules = Rules::standard();
    let at = today().and_hms_opt(8, 0, 0).unwrap();
    let sample = DatingEvidence::PrewhelpingProgesterone { at, ng_per_ml: 1.5 };
    let after = |days| DatingInput {
        today: shift(today(), days),
        ..input(vec![ovulation(ago(62.0)), sample.clone()])
    };
    let level = |days| said(&after(days), CautionCode::OverdueProgesteroneLow, &rules);
    assert_eq!([2, 3, 4].map(level), [None, Some(Level::Act), Some(Level::Act)]);
}

/// 37.4 % of litters are small: a greater chance means a longer pregnancy, and is said so.
#[test]
fn a_small_litter_is_one_likelier_than_usual() {
    let rules = Rules::standard();
    let said = |chance| {
        let known =
            DatingInput { chance_small_litter: Some(chance), ..input(vec![ovulation(ago(30.0))]) };
        let shift = due_window(&known, &rules).unwrap().adjustments.remove(0);
        (shift.what.to_string().split(' ').next().unwrap().to_owned(), shift.days)
    };
    let (small, larger) = ("small".to_owned(), "larger".to_owned());
    assert_eq!(said(0.374), (small.clone(), 0.0));
    assert_eq!([said(0.373).0, said(0.375).0], [larger, small]);
    assert!((said(1.0).1 - 0.626).abs() < 1e-12);
}

/// Evidence that spans more than the 63 days of one pregnancy is of two.
#[test]
fn evidence_of_two_pregnancies_is_refused() {
    let both = |apart: i64| {
        let told = vec![mating(ago(100.0)), mating(shift(ago(100.0), apart))];
        due_window(&input(told), &Rules::standard())
    };
    let refused = |apart| {
        let faults = both(apart).err().unwrap_or_default();
        faults.iter().any(|fault| fault.detail.contains("more than one pregnancy"))
    };
    assert_eq!([62, 63, 64].map(refused), [false, false, true]);
}

/// Each input on the edge of what is believed, and just beyond it.
#[test]
fn values_are_believed_up_to_their_ends() {
    let rules = Rules::standard();
    let fault = |input: &DatingInput| {
        let found = due_window(input, &rules);
        found.err().and_then(|faults| faults.first().map(|fault| fault.pointer.clone()))
    };
    let of = |evidence| fault(&input(vec![mating(ago(30.0)), evidence]));
    let ovulated = |sd| DatingEvidence::Ovulation {
        on: ago(30.0),
        basis: OvulationBasis::Other,
        sd_days: Some(sd),
    };
    assert_eq!([of(ovulated(0.0)), of(ovulated(14.0))], [None, None]);
    for sd in [-0.1, 14.1] {
        assert_eq!(of(ovulated(sd)).as_deref(), Some("/evidence/1/sd_days"), "{sd}");
    }
    let vet = |due_on, sd| DatingEvidence::Forecast { on: ago(2.0), due_on, sd_days: Some(sd) };
    let due = shift(today(), 33);
    assert_eq!([of(vet(due, 0.1)), of(vet(due, 14.0))], [None, None]);
    for sd in [0.0, 14.1] {
        assert_eq!(of(vet(due, sd)).as_deref(), Some("/evidence/1/sd_days"), "{sd}");
    }
    assert_eq!(of(vet(ago(3.0), 1.0)).as_deref(), Some("/evidence/1/due_on"), "before it was told");
    let film = |due_on| DatingEvidence::Radiograph { on: ago(2.0), due_on };
    assert_eq!([of(film(ago(2.0))), of(film(ago(1.0)))], [None, None]);
    assert_eq!(of(film(ago(3.0))).as_deref(), Some("/evidence/1/due_on"));
    let at = today().and_hms_opt(8, 0, 0).unwrap();
    let sample = |ng_per_ml| DatingEvidence::PrewhelpingProgesterone { at, ng_per_ml };
    assert_eq!([of(sample(0.0)), of(sample(100.0))], [None, None]);
    for ng in [-0.1, 100.1] {
        assert_eq!(of(sample(ng)).as_deref(), Some("/evidence/1/ng_per_ml"), "{ng}");
    }
    let surge = |on| DatingEvidence::LhSurge { on };
    assert_eq!(of(surge(today())), None);
    assert_eq!(of(surge(shift(today(), 1))).as_deref(), Some("/evidence/1/on"), "of the future");
    let small = |chance| {
        fault(&DatingInput { chance_small_litter: Some(chance), ..input(vec![mating(ago(30.0))]) })
    };
    assert_eq!([small(0.0), small(1.0)], [None, None]);
    for chance in [-0.1, 1.1] {
        assert_eq!(small(chance).as_deref(), Some("/chance_small_litter"), "{chance}");
    }
    // Whelped on the day of the scan is no fault, the day before it is.
    let whelped = |day| {
        fault(&DatingInput {
            whelped_on: Some(day),
            ..input(vec![mating(ago(63.0)), surge(ago(61.0)), vet(ago(1.0), 1.0)])
        })
    };
    assert_eq!([whelped(ago(1.0)), whelped(ago(2.0))], [None, None]);
    assert_eq!(whelped(ago(3.0)).as_deref(), Some("/evidence/2/on"));
}
