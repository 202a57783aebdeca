//! A window out of evidence of which some may be mistaken.

use super::EvidenceLeftOut;
use crate::{
    advice::{Caution, CautionCode, Level},
    dating::{DatingEvidence, DatingInput, DueWindow, due_window},
    fault::Fault,
    rules::Rules,
};
use catalogue::{Text, said};
use chrono::NaiveDate;

/// What could be made of the evidence.
#[derive(Debug, Default)]
pub(super) struct Solved {
    pub window: Option<DueWindow>,
    pub lacking: Vec<Text>,
    pub cautions: Vec<Caution>,
}

/// Takes the items that `faults` point at (`{prefix}{index}/…`) out of a list, each with its fault.
pub(super) fn take_faulty<T>(items: &mut Vec<T>, faults: &[Fault], prefix: &str) -> Vec<(T, Text)> {
    let mut places: Vec<(usize, Text)> = faults
        .iter()
        .filter_map(|fault| {
            let rest = fault.pointer.strip_prefix(prefix)?;
            let index = rest.split('/').next()?.parse().ok()?;
            Some((index, fault.detail.clone()))
        })
        .filter(|(index, _)| *index < items.len())
        .collect();
    places.sort_by_key(|place| place.0);
    places.dedup_by_key(|place| place.0);
    let mut taken: Vec<(T, Text)> =
        places.into_iter().rev().map(|(index, why)| (items.remove(index), why)).collect();
    taken.reverse();
    taken
}

/// The due window of all evidence that agrees with the records; the rest goes to `left_out`.
pub(super) fn window(
    input: &DatingInput,
    rules: &Rules,
    left_out: &mut Vec<EvidenceLeftOut>,
) -> Solved {
    let mut input = input.clone();
    loop {
        if input.evidence.is_empty() {
            let lacking = vec![said!("pregnancy-nothing-dates")];
            return Solved { lacking, ..Solved::default() };
        }
        let faults = match due_window(&input, rules) {
            Ok(window) => return Solved { window: Some(window), ..Solved::default() },
            Err(faults) => faults,
        };
        let taken = take_faulty(&mut input.evidence, &faults, "/evidence/");
        if taken.is_empty() {
            return past_or_none(&input, &faults, rules);
        }
        left_out.extend(
            taken.into_iter().map(|(item, why)| EvidenceLeftOut { what: named(&item), why }),
        );
    }
}

/// All windows have passed: what was foretold, with a caution. Otherwise nothing.
fn past_or_none(input: &DatingInput, faults: &[Fault], rules: &Rules) -> Solved {
    let told = |fault: &Fault| said!("pregnancy-evidence-fault", fault = &fault.detail);
    let lacking = faults.iter().map(told).collect();
    let seen = input.evidence.iter().map(day_of).max().unwrap_or(input.today);
    let then = DatingInput { today: seen.min(input.today), signs: Vec::new(), ..input.clone() };
    let Ok(mut window) = due_window(&then, rules) else {
        return Solved { lacking, ..Solved::default() };
    };
    window.passed = true;
    window.day_of_pregnancy = window.counted_from_on.map(|on| (input.today - on).num_days());
    window.cautions.clear();
    let limit = rules.get("dating.after_window_days");
    let caution = Caution::new(
        CautionCode::OverdueLongPast,
        Level::Emergency,
        said!("pregnancy-long-past"),
        said!("pregnancy-long-past-why", day = window.latest),
        limit.source.clone(),
    );
    Solved { window: Some(window), lacking, cautions: vec![caution] }
}

/// Day of a piece of evidence.
fn day_of(item: &DatingEvidence) -> NaiveDate {
    match item {
        DatingEvidence::Mating { on, .. }
        | DatingEvidence::LhSurge { on }
        | DatingEvidence::ProgesteroneRise { on }
        | DatingEvidence::Ovulation { on, .. }
        | DatingEvidence::Dioestrus { on }
        | DatingEvidence::Ultrasound { on, .. }
        | DatingEvidence::Radiograph { on, .. }
        | DatingEvidence::Forecast { on, .. } => *on,
        DatingEvidence::PrewhelpingProgesterone { at, .. }
        | DatingEvidence::TemperatureFall { at } => at.date(),
    }
}

fn named(item: &DatingEvidence) -> Text {
    let day = day_of(item);
    match item {
        DatingEvidence::Mating { .. } => said!("pregnancy-mating-of", day = day),
        DatingEvidence::LhSurge { .. } => said!("pregnancy-lh-surge-of", day = day),
        DatingEvidence::ProgesteroneRise { .. } => {
            said!("pregnancy-progesterone-rise-of", day = day)
        }
        DatingEvidence::Ovulation { .. } => said!("pregnancy-ovulation-of", day = day),
        DatingEvidence::Dioestrus { .. } => said!("pregnancy-dioestrus-of", day = day),
        DatingEvidence::Ultrasound { .. } => said!("pregnancy-ultrasound-of", day = day),
        DatingEvidence::Radiograph { .. } => said!("pregnancy-radiograph-of", day = day),
        DatingEvidence::Forecast { .. } => said!("pregnancy-forecast-of", day = day),
        DatingEvidence::PrewhelpingProgesterone { .. } => {
            said!("pregnancy-progesterone-near-term-of", day = day)
        }
        DatingEvidence::TemperatureFall { .. } => said!("pregnancy-temperature-fall-of", day = day),
    }
}
