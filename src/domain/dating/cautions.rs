//! What to mind about a pregnancy's dates.

use super::{CountedFrom, DatingEvidence, DatingInput, DueWindow, PregnancySign, overdue};
use crate::{
    advice::{Caution, CautionCode, Level},
    rules::Rules,
};
use catalogue::{figure, said};
use chrono::{NaiveDate, NaiveDateTime};

/// Cautions about `window`; `window_end` is its last day before today was taken into account.
pub(super) fn of(
    input: &DatingInput,
    window: &DueWindow,
    window_end: NaiveDate,
    rules: &Rules,
) -> Vec<Caution> {
    let mut cautions = Vec::new();
    if input.whelped_on.is_none() {
        signs(&mut cautions, input);
        early_scans(&mut cautions, input, window, rules);
        cautions.extend(overdue::caution(&window.overdue_limits, input.today));
        no_fall(&mut cautions, input, window, window_end, rules);
        low_progesterone(&mut cautions, input, rules);
    }
    for conflict in &window.conflicts {
        cautions.push(Caution::new(
            CautionCode::DatingDisagrees,
            Level::Note,
            said!("dating-evidence-disagrees"),
            conflict.detail.clone(),
            rules.get("dating.conflict_overlap").source.clone(),
        ));
    }
    if window.counted_from == Some(CountedFrom::FirstMating) && input.whelped_on.is_none() {
        cautions.push(Caution::new(
            CautionCode::DatingOnlyMatings,
            Level::Note,
            said!("dating-only-matings"),
            said!(
                "dating-only-matings-why",
                least_days = rules.value("dating.mating_earliest_days"),
                most_days = rules.value("dating.mating_latest_days")
            ),
            rules.get("dating.mating_earliest_days").source.clone(),
        ));
    }
    cautions
}

/// Signs that practitioners call the vet for, whatever the dates.
fn signs(cautions: &mut Vec<Caution>, input: &DatingInput) {
    const JUTKOWITZ: &str = "Jutkowitz L.A. 2005, Veterinary Clinics of North America: Small Animal Practice 35:397-420";
    const FRESHMAN: &str = "Freshman J.L. 2002, Western Veterinary Conference";
    for sign in &input.signs {
        let (code, level, what, why, source) = match sign {
            PregnancySign::GreenDischarge => (
                CautionCode::GreenDischarge,
                Level::Emergency,
                said!("dating-green-discharge"),
                said!("dating-green-discharge-why"),
                FRESHMAN,
            ),
            PregnancySign::HeavyBleeding => (
                CautionCode::HeavyBleeding,
                Level::Emergency,
                said!("dating-heavy-bleeding"),
                said!("dating-help-at-once"),
                JUTKOWITZ,
            ),
            PregnancySign::Collapse => (
                CautionCode::Collapse,
                Level::Emergency,
                said!("dating-collapse"),
                said!("dating-help-at-once"),
                JUTKOWITZ,
            ),
            PregnancySign::Unwell => (
                CautionCode::PregnancyUnwell,
                Level::Act,
                said!("dating-unwell"),
                said!("dating-unwell-why"),
                "common practice, no source",
            ),
        };
        cautions.push(Caution::new(code, level, what, why, source));
    }
}

/// Scans so early that a measure is doubtful.
fn early_scans(
    cautions: &mut Vec<Caution>,
    input: &DatingInput,
    window: &DueWindow,
    rules: &Rules,
) {
    let earliest = rules.get("dating.scan_day_earliest");
    let counted = window.counted_from_on.filter(|_| window.counted_from.is_some());
    for item in &input.evidence {
        if let (DatingEvidence::Ultrasound { on, .. }, Some(from)) = (item, counted)
            && days((*on - from).num_days()) < earliest.value
        {
            cautions.push(Caution::new(
                CautionCode::DatingEarlyScan,
                Level::Note,
                said!("dating-early-scan"),
                said!(
                    "dating-early-scan-why",
                    day = *on,
                    pregnancy_day = (*on - from).num_days(),
                    from_day = earliest.value
                ),
                earliest.source.clone(),
            ));
        }
    }
}

/// The last day of the window has come and the temperature, which is taken, has not fallen.
fn no_fall(
    cautions: &mut Vec<Caution>,
    input: &DatingInput,
    window: &DueWindow,
    window_end: NaiveDate,
    rules: &Rules,
) {
    let end = window_end.min(window.latest);
    if input.today >= end && input.temperature_fell == Some(false) {
        let share = rules.get("dating.temperature_fall_seen_share");
        cautions.push(Caution::new(
            CautionCode::OverdueNoFall,
            Level::Note,
            said!("dating-no-fall"),
            said!("dating-no-fall-why", day = end, share_percent = figure(100.0 * share.value, 0)),
            share.source.clone(),
        ));
    }
}

/// Progesterone was low, and days later no pup is born.
fn low_progesterone(cautions: &mut Vec<Caution>, input: &DatingInput, rules: &Rules) {
    let low = rules.get("dating.low_progesterone_waits_ng_per_ml");
    let hours = rules.get("dating.low_progesterone_waits_hours");
    let samples = input.evidence.iter().filter_map(|item| match item {
        DatingEvidence::PrewhelpingProgesterone { at, ng_per_ml } if *ng_per_ml <= low.value => {
            Some((*at, *ng_per_ml))
        }
        _ => None,
    });
    // Without the time of day only whole days that have gone by are certain.
    let waited = |at: NaiveDateTime| match input.now {
        Some(now) => days((now - at).num_minutes()) / 60.0,
        None => (days((input.today - at.date()).num_days()) - 1.0) * 24.0,
    };
    let first = samples.min_by_key(|(at, _)| *at).map(|(at, value)| (at, value, waited(at)));
    if let Some((at, value, waited)) = first.filter(|(.., waited)| *waited >= hours.value) {
        cautions.push(Caution::new(
            CautionCode::OverdueProgesteroneLow,
            Level::Act,
            said!("dating-progesterone-low"),
            said!(
                "dating-progesterone-low-why",
                ng_per_ml = value,
                day = at.date(),
                time = at.time(),
                waited_hours = figure(waited, 0),
                limit_hours = figure(hours.value, 0)
            ),
            hours.source.clone(),
        ));
    }
}

fn days(count: i64) -> f64 {
    i32::try_from(count).map_or(f64::INFINITY, f64::from)
}
