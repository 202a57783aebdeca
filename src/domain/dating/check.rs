//! Faults of the evidence of a pregnancy.

use super::{DatingEvidence, DatingInput, ultrasound};
use crate::{
    day_chances::shift,
    fault::{Fault, Faults},
    record::MeasureKind,
    rules::Rules,
};
use chrono::NaiveDate;

#[expect(clippy::cast_possible_truncation, reason = "rules of days are small")]
fn days(rules: &Rules, key: &'static str) -> i64 {
    rules.value(key).round() as i64
}

/// Every fault of the input.
pub(super) fn check(input: &DatingInput, rules: &Rules) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    if input.evidence.is_empty() {
        faults.add("/evidence", "is empty; give at least a mating date or one other observation");
    }
    if input.chance_small_litter.is_some_and(|c| !(0.0..=1.0).contains(&c)) {
        faults.add("/chance_small_litter", "must be from 0 to 1");
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
        faults.add(
            "/evidence",
            format!("points to days from {first} to {last}: that is more than one pregnancy"),
        );
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
    let (name, on) = match item {
        DatingEvidence::Mating { on, .. } => ("mating", *on),
        DatingEvidence::LhSurge { on } => ("LH surge", *on),
        DatingEvidence::ProgesteroneRise { on } => ("progesterone rise", *on),
        DatingEvidence::Ovulation { on, .. } => ("ovulation", *on),
        DatingEvidence::Dioestrus { on } => ("first day of dioestrus", *on),
        DatingEvidence::Ultrasound { on, .. } => ("scan", *on),
        DatingEvidence::Radiograph { on, .. } => ("radiograph", *on),
        DatingEvidence::Forecast { on, .. } => ("forecast", *on),
        DatingEvidence::PrewhelpingProgesterone { at, .. } => ("sample", at.date()),
        DatingEvidence::TemperatureFall { at } => ("temperature fall", at.date()),
    };
    let field = match item {
        DatingEvidence::PrewhelpingProgesterone { .. } | DatingEvidence::TemperatureFall { .. } => {
            format!("{pointer}/at")
        }
        _ => format!("{pointer}/on"),
    };
    let planned = matches!(item, DatingEvidence::Mating { .. });
    if on > input.today && !planned {
        faults.add(&field, format!("the {name} is after today ({})", input.today));
    }
    if let Some(whelped) = input.whelped_on.filter(|whelped| on > *whelped) {
        faults.add(&field, format!("the {name} is after whelping ({whelped})"));
    }
    if let Some(began) = input.heat_began_on {
        in_heat(faults, &field, item, (name, on), began, rules);
    }
    values(faults, pointer, item, input);
}

/// Matings and signs of ovulation lie within the heat.
fn in_heat(
    faults: &mut Faults,
    field: &str,
    item: &DatingEvidence,
    (name, on): (&str, NaiveDate),
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
        faults.add(field, format!("the {name} is before the heat, which began on {began}"));
    } else if of_the_heat && on > shift(began, after) {
        let detail = format!("the {name} is more than {after} days after the heat began ({began})");
        faults.add(field, detail);
    }
}

fn values(faults: &mut Faults, pointer: &str, item: &DatingEvidence, input: &DatingInput) {
    let bad_sd = |sd: &Option<f64>| sd.is_some_and(|sd| !(0.0..=14.0).contains(&sd));
    match item {
        DatingEvidence::Ovulation { sd_days, .. } if bad_sd(sd_days) => {
            faults.add(format!("{pointer}/sd_days"), "must be from 0 to 14 days");
        }
        DatingEvidence::Forecast { sd_days, .. } if bad_sd(sd_days) || *sd_days == Some(0.0) => {
            faults.add(format!("{pointer}/sd_days"), "must be above 0 and at most 14 days");
        }
        DatingEvidence::Radiograph { on, due_on } | DatingEvidence::Forecast { on, due_on, .. }
            if due_on < on =>
        {
            faults
                .add(format!("{pointer}/due_on"), format!("is before the day it was told ({on})"));
        }
        DatingEvidence::PrewhelpingProgesterone { ng_per_ml, .. }
            if !(0.0..=100.0).contains(ng_per_ml) =>
        {
            faults.add(format!("{pointer}/ng_per_ml"), "must be from 0 to 100 ng/mL");
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
        faults.add(format!("{pointer}/values_mm"), "is empty; give at least one measure in mm");
    }
    let group = ultrasound::group_of(input.breed.as_deref(), input.adult_weight_g);
    let formula = ultrasound::formula(group, measure);
    for (n, value) in values_mm.iter().enumerate() {
        let place = format!("{pointer}/values_mm/{n}");
        if !(value.is_finite() && *value > 0.0) {
            faults.add(place, "must be above 0 mm");
        } else if *value > formula.intercept_mm {
            faults.add(
                place,
                format!(
                    "is beyond the formula, which reaches whelping at {:.1} mm; is it in mm, and \
                     is the dam's adult weight right?",
                    formula.intercept_mm
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
    vec![Fault {
        pointer: "/evidence".to_owned(),
        detail: format!(
            "no day of whelping from {} on agrees with it; record the whelping or that there was \
             no litter",
            input.today
        ),
    }]
}
