//! Faults of the evidence of a pregnancy.

use super::{DatingEvidence, DatingInput, ultrasound};
use crate::{
    day_chances::shift,
    fault::{Fault, Faults},
    record::MeasureKind,
    rules::Rules,
};
use catalogue::{Text, figure, said};
use chrono::NaiveDate;

#[expect(clippy::cast_possible_truncation, reason = "rules of days are small")]
fn days(rules: &Rules, key: &'static str) -> i64 {
    rules.value(key).round() as i64
}

/// Every fault of the input.
pub(super) fn check(input: &DatingInput, rules: &Rules) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    if input.evidence.is_empty() {
        faults.add("/evidence", said!("fault-empty-evidence"));
    }
    if input.chance_small_litter.is_some_and(|c| !(0.0..=1.0).contains(&c)) {
        faults.add(
            "/chance_small_litter",
            said!("fault-out-of-range-small-litter-chance", least = 0, most = 1),
        );
    }
    for (i, item) in input.evidence.iter().enumerate() {
        one(&mut faults, &format!("/evidence/{i}"), item, input, rules);
    }
    let centres: Vec<(usize, NaiveDate)> = input
        .evidence
        .iter()
        .enumerate()
        .filter_map(|(i, item)| Some((i, rough_due(item, rules)?)))
        .collect();
    if let (Some(first), Some(last)) =
        (centres.iter().map(|c| c.1).min(), centres.iter().map(|c| c.1).max())
        && (last - first).num_days() > days(rules, "dating.ovulation_days")
    {
        faults.add("/evidence", said!("fault-differs-pregnancies", first = first, last = last));
    }
    faults.into_result()
}

/// The due day by common counting, to tell pregnancies apart.
fn rough_due(item: &DatingEvidence, rules: &Rules) -> Option<NaiveDate> {
    match item {
        DatingEvidence::Mating { on, .. } | DatingEvidence::Ovulation { on, .. } => {
            Some(shift(*on, days(rules, "dating.ovulation_days")))
        }
        DatingEvidence::LhSurge { on } => Some(shift(*on, days(rules, "dating.lh_days"))),
        DatingEvidence::ProgesteroneRise { on } => {
            Some(shift(*on, days(rules, "dating.progesterone_rise_days")))
        }
        DatingEvidence::Dioestrus { on } => Some(shift(*on, days(rules, "dating.dioestrus_days"))),
        DatingEvidence::Radiograph { due_on, .. } | DatingEvidence::Forecast { due_on, .. } => {
            Some(*due_on)
        }
        DatingEvidence::TemperatureFall { at } => Some(at.date()),
        DatingEvidence::Ultrasound { on, .. } => Some(shift(
            *on,
            days(rules, "dating.ovulation_days") - days(rules, "dating.scan_day_reliable"),
        )),
        DatingEvidence::PrewhelpingProgesterone { .. } => None,
    }
}

fn one(
    faults: &mut Faults,
    pointer: &str,
    item: &DatingEvidence,
    input: &DatingInput,
    rules: &Rules,
) {
    let (what, on) = match item {
        DatingEvidence::Mating { on, .. } => (said!("dating-the-mating"), *on),
        DatingEvidence::LhSurge { on } => (said!("dating-the-lh-surge"), *on),
        DatingEvidence::ProgesteroneRise { on } => (said!("dating-the-progesterone-rise"), *on),
        DatingEvidence::Ovulation { on, .. } => (said!("dating-the-ovulation"), *on),
        DatingEvidence::Dioestrus { on } => (said!("dating-the-dioestrus"), *on),
        DatingEvidence::Ultrasound { on, .. } => (said!("dating-the-scan"), *on),
        DatingEvidence::Radiograph { on, .. } => (said!("dating-the-radiograph"), *on),
        DatingEvidence::Forecast { on, .. } => (said!("dating-the-forecast"), *on),
        DatingEvidence::PrewhelpingProgesterone { at, .. } => {
            (said!("dating-the-sample"), at.date())
        }
        DatingEvidence::TemperatureFall { at } => (said!("dating-the-temperature-fall"), at.date()),
    };
    let field = match item {
        DatingEvidence::PrewhelpingProgesterone { .. } | DatingEvidence::TemperatureFall { .. } => {
            format!("{pointer}/at")
        }
        _ => format!("{pointer}/on"),
    };
    let planned = matches!(item, DatingEvidence::Mating { .. });
    if on > input.today && !planned {
        faults.add(&field, said!("fault-in-future-evidence", what = &what, today = input.today));
    }
    if let Some(whelped) = input.whelped_on.filter(|whelped| on > *whelped) {
        faults.add(
            &field,
            said!("fault-too-late-evidence-whelping", what = &what, whelped_on = whelped),
        );
    }
    if let Some(began) = input.heat_began_on {
        in_heat(faults, &field, item, (&what, on), began, rules);
    }
    values(faults, pointer, item, input);
}

/// Matings and signs of ovulation lie within the heat.
fn in_heat(
    faults: &mut Faults,
    field: &str,
    item: &DatingEvidence,
    (what, on): (&Text, NaiveDate),
    began: NaiveDate,
    rules: &Rules,
) {
    let of_the_heat = matches!(
        item,
        DatingEvidence::Mating { .. }
            | DatingEvidence::LhSurge { .. }
            | DatingEvidence::ProgesteroneRise { .. }
            | DatingEvidence::Ovulation { .. }
            | DatingEvidence::Dioestrus { .. }
    );
    let (before, after) = (
        days(rules, "dating.mating_before_heat_days"),
        days(rules, "dating.mating_after_heat_days"),
    );
    if on < shift(began, if of_the_heat { -before } else { 0 }) {
        let detail = said!("fault-too-early-evidence-heat", what = what, began_on = began);
        faults.add(field, detail);
    } else if of_the_heat && on > shift(began, after) {
        let detail =
            said!("fault-too-late-evidence-heat", what = what, most_days = after, began_on = began);
        faults.add(field, detail);
    }
}

fn values(faults: &mut Faults, pointer: &str, item: &DatingEvidence, input: &DatingInput) {
    let bad_sd = |sd: &Option<f64>| sd.is_some_and(|sd| !(0.0..=14.0).contains(&sd));
    match item {
        DatingEvidence::Ovulation { sd_days, .. } if bad_sd(sd_days) => {
            faults.add(
                format!("{pointer}/sd_days"),
                said!("fault-out-of-range-sd-days", least = 0, most = 14),
            );
        }
        DatingEvidence::Forecast { sd_days, .. } if bad_sd(sd_days) || *sd_days == Some(0.0) => {
            faults.add(
                format!("{pointer}/sd_days"),
                said!("fault-out-of-range-forecast-sd-days", above = 0, most = 14),
            );
        }
        DatingEvidence::Radiograph { on, due_on } | DatingEvidence::Forecast { on, due_on, .. }
            if due_on < on =>
        {
            faults.add(
                format!("{pointer}/due_on"),
                said!("fault-too-early-due-before-told", told_on = *on),
            );
        }
        DatingEvidence::PrewhelpingProgesterone { ng_per_ml, .. }
            if !(0.0..=100.0).contains(ng_per_ml) =>
        {
            faults.add(
                format!("{pointer}/ng_per_ml"),
                said!("fault-out-of-range-progesterone-near-term", least = 0, most = 100),
            );
        }
        DatingEvidence::Ultrasound { measure, values_mm, .. } => {
            measures(faults, pointer, *measure, values_mm, input);
        }
        _ => {}
    }
}

fn measures(
    faults: &mut Faults,
    pointer: &str,
    measure: MeasureKind,
    values_mm: &[f64],
    input: &DatingInput,
) {
    if values_mm.is_empty() {
        faults.add(format!("{pointer}/values_mm"), said!("fault-empty-measures"));
    }
    let group = ultrasound::group_of(input.breed.as_deref(), input.adult_weight_g);
    let formula = ultrasound::formula(group, measure);
    for (n, value) in values_mm.iter().enumerate() {
        let place = format!("{pointer}/values_mm/{n}");
        if !(value.is_finite() && *value > 0.0) {
            faults.add(place, said!("fault-out-of-range-measure-above-zero"));
        } else if *value > formula.intercept_mm {
            faults.add(
                place,
                said!(
                    "fault-out-of-range-measure-beyond-formula",
                    whelping_mm = figure(formula.intercept_mm, 1)
                ),
            );
        }
    }
}

/// Whether today is so long after all windows that the pregnancy cannot still last.
pub(super) fn long_past(input: &DatingInput, latest: NaiveDate, rules: &Rules) -> bool {
    (input.today - latest).num_days() > days(rules, "dating.after_window_days")
}

/// The fault of a litter whose every window has long passed.
pub(super) fn out_of_reach(input: &DatingInput) -> Vec<Fault> {
    vec![Fault::new("/evidence", said!("fault-unknowable-due-day", today = input.today))]
}
