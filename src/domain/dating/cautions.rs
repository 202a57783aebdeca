//! What to mind about a pregnancy's dates.

use super::{CountedFrom, DatingEvidence, DatingInput, DueWindow, PregnancySign, overdue};
use crate::{
    advice::{Caution, CautionCode, Level},
    rules::Rules,
};
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
            "Two pieces of evidence disagree: check the dates; an ultrasound measure can decide.",
            conflict.detail.clone(),
            rules.get("dating.conflict_overlap").source.clone(),
        ));
    }
    if window.counted_from == Some(CountedFrom::FirstMating) && input.whelped_on.is_none() {
        cautions.push(Caution::new(
            CautionCode::DatingOnlyMatings,
            Level::Note,
            "Only matings are known, so the window is wide: progesterone tests in the heat or an \
             ultrasound measure narrow it.",
            format!(
                "Pregnancies last {} to {} days from the first mating.",
                rules.value("dating.mating_earliest_days"),
                rules.value("dating.mating_latest_days")
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
                "Green or black discharge before the first pup: call the vet now.",
                "A placenta may have come loose while no pup is born.",
                FRESHMAN,
            ),
            PregnancySign::HeavyBleeding => (
                CautionCode::HeavyBleeding,
                Level::Emergency,
                "Heavy bleeding: call the vet now.",
                "It is among the signs that need help at once.",
                JUTKOWITZ,
            ),
            PregnancySign::Collapse => (
                CautionCode::Collapse,
                Level::Emergency,
                "Collapse or severe pain: call the vet now.",
                "It is among the signs that need help at once.",
                JUTKOWITZ,
            ),
            PregnancySign::Unwell => (
                CautionCode::PregnancyUnwell,
                Level::Act,
                "The dam is unwell: call the vet today.",
                "A dam near term should be bright, if restless.",
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
                "An early scan dates poorly: have it repeated.",
                format!(
                    "The scan of {on} was on day {} of pregnancy; measures start about day {}.",
                    (*on - from).num_days(),
                    earliest.value
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
            "No fall of the temperature by the last day of the window: ask the vet. Many dams show \
             none, so that it proves nothing either way.",
            format!(
                "The window ends on {end}; a fall was measured in about {:.0} % of dams.",
                100.0 * share.value
            ),
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
            "Progesterone fell days ago and no pup is born: call the vet today.",
            format!(
                "{value} ng/mL on {}, {waited:.0} hours ago; labour is expected within {:.0}.",
                at.format("%F at %H:%M"),
                hours.value
            ),
            hours.source.clone(),
        ));
    }
}

fn days(count: i64) -> f64 {
    i32::try_from(count).map_or(f64::INFINITY, f64::from)
}
