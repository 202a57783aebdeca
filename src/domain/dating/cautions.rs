//! What to mind about a pregnancy's dates.

use super::{CountedFrom, DatingEvidence, DatingInput, DueWindow, PregnancySign};
use crate::domain::{
    advice::{Caution, Level},
    rules::Rules,
};
use chrono::NaiveDate;

/// Cautions about `window`; `foretold` is its last day before today was taken into account.
pub(super) fn of(
    input: &DatingInput,
    window: &DueWindow,
    foretold: NaiveDate,
    rules: &Rules,
) -> Vec<Caution> {
    let mut cautions = Vec::new();
    if input.whelped_on.is_none() {
        signs(&mut cautions, input);
        early_scans(&mut cautions, input, window, rules);
        overdue(&mut cautions, input, window, foretold, rules);
    }
    for conflict in &window.conflicts {
        cautions.push(Caution::new(
            Level::Note,
            "Two pieces of evidence disagree: check the dates; an ultrasound measure can decide.",
            conflict.detail.clone(),
            rules.get("dating.conflict_overlap").source.clone(),
        ));
    }
    if window.counted_from == Some(CountedFrom::FirstMating) && input.whelped_on.is_none() {
        cautions.push(Caution::new(
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
        let (level, what, why, source) = match sign {
            PregnancySign::GreenDischarge => (
                Level::Emergency,
                "Green or black discharge before the first pup: call the vet now.",
                "A placenta may have come loose while no pup is born.",
                FRESHMAN,
            ),
            PregnancySign::HeavyBleeding => (
                Level::Emergency,
                "Heavy bleeding: call the vet now.",
                "It is among the signs that need help at once.",
                JUTKOWITZ,
            ),
            PregnancySign::Collapse => (
                Level::Emergency,
                "Collapse or severe pain: call the vet now.",
                "It is among the signs that need help at once.",
                JUTKOWITZ,
            ),
            PregnancySign::Unwell => (
                Level::Act,
                "The dam is unwell: call the vet today.",
                "A dam near term should be bright, if restless.",
                "common practice, no source",
            ),
        };
        cautions.push(Caution::new(level, what, why, source));
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

fn overdue(
    cautions: &mut Vec<Caution>,
    input: &DatingInput,
    window: &DueWindow,
    foretold: NaiveDate,
    rules: &Rules,
) {
    for item in &input.evidence {
        let (on, key, name) = match item {
            DatingEvidence::LhSurge { on } => (*on, "dating.overdue_lh_days", "the LH surge"),
            DatingEvidence::Dioestrus { on } => {
                (*on, "dating.overdue_dioestrus_days", "the first day of dioestrus")
            }
            DatingEvidence::Ovulation { on, .. } => {
                (*on, "dating.overdue_ovulation_days", "ovulation")
            }
            _ => continue,
        };
        let (passed, limit) = ((input.today - on).num_days(), rules.get(key));
        if days(passed) > limit.value {
            cautions.push(Caution::new(
                Level::Act,
                format!("Overdue by {name}: have the vet check dam and pups today."),
                format!("Day {passed} from {name}; the limit is {} days.", limit.value),
                limit.source.clone(),
            ));
        }
    }
    too_long(cautions, input, window, rules);
    let end = foretold.min(window.latest);
    if input.today > foretold {
        cautions.push(Caution::new(
            Level::Act,
            "The due window has passed without whelping: call the vet today.",
            format!("The window of all evidence ended on {foretold}."),
            rules.get("dating.coverage").source.clone(),
        ));
    }
    if input.today >= end && input.temperature_fell == Some(false) {
        cautions.push(Caution::new(
            Level::Act,
            "No fall of the temperature by the last day of the window: ask the vet; it does not \
             show in every dam and is missed easily.",
            format!(
                "The window ends on {end}; about {:.0} % of dams show a fall.",
                100.0 * rules.value("dating.temperature_fall_true_share")
            ),
            rules.get("dating.temperature_fall_true_share").source.clone(),
        ));
    }
}

/// The hard limits of the length of pregnancy.
fn too_long(cautions: &mut Vec<Caution>, input: &DatingInput, window: &DueWindow, rules: &Rules) {
    let first_mating = input
        .evidence
        .iter()
        .filter_map(|item| match item {
            DatingEvidence::Mating { on, .. } => Some(*on),
            _ => None,
        })
        .min();
    let ovulation =
        window.counted_from_on.filter(|_| window.counted_from == Some(CountedFrom::Ovulation));
    let limits = [
        (first_mating, "dating.overdue_mating_days", "the first mating"),
        (ovulation, "dating.overdue_gestation_days", "ovulation"),
    ];
    for (on, key, name) in limits {
        let (Some(on), limit) = (on, rules.get(key)) else { continue };
        let passed = (input.today - on).num_days();
        if days(passed) > limit.value {
            cautions.push(Caution::new(
                Level::Emergency,
                "Pregnancy has gone on too long: call the vet now.",
                format!("Day {passed} from {name}; the limit is {} days.", limit.value),
                limit.source.clone(),
            ));
        }
    }
}

fn days(count: i64) -> f64 {
    i32::try_from(count).map_or(f64::INFINITY, f64::from)
}
