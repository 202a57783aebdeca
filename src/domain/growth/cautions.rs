//! What the figures of growth mean for a pup, by published thresholds.

use super::standards::BirthWeightClass;
use super::summary::{PupGrowth, WeightChange};
use super::warning::{PupRisk, RiskLevel};
use crate::domain::advice::{Caution, Level};
use crate::domain::rules::Rules;
use chrono::{DateTime, Utc};
use uuid::Uuid;

/// The cautions for one pup; nothing is asked of a pup that has left.
pub(super) fn of_pup(pup: &PupGrowth, now: DateTime<Utc>, rules: &Rules) -> Vec<Caution> {
    if !pup.present {
        return Vec::new();
    }
    let early = early_loss(pup, rules);
    let change = if early.is_some() { None } else { day_change(pup, rules) };
    [
        early,
        change,
        early_growth(pup, rules),
        birth_weight(pup),
        below_mean(pup, rules),
        doubling(pup, now, rules),
        unweighed(pup, now, rules),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// The caution of the early warning, where it says more than the birth weight alone.
pub(super) fn of_risk(pup: &PupGrowth, risk: &PupRisk, rules: &Rules) -> Option<Caution> {
    let expected = risk.expected_fraction_per_day?;
    let gain = risk.gain_fraction_per_day.filter(|gain| *gain < expected)?;
    let (level, advice) = match risk.level {
        RiskLevel::None => return None,
        RiskLevel::Watch => (Level::Note, "weigh it twice a day"),
        RiskLevel::Act => (Level::Act, "warm it, see that it nurses, and call the vet today"),
    };
    Some(Caution::new(
        level,
        format!("{} may be failing: {advice}.", pup.label),
        format!(
            "Gain {:+.1} % a day where {:+.1} % was expected; probability {:.0} %.",
            gain * 100.0,
            expected * 100.0,
            risk.probability * 100.0
        ),
        rules.get("growth.warning_act").source.clone(),
    ))
}

/// The cautions for the litter: most pups losing at once points at the dam, the milk or the scale.
pub(super) fn of_litter(pups: &[PupGrowth], losing: &[Uuid], rules: &Rules) -> Vec<Caution> {
    let weighed = pups.iter().filter(|p| p.present && p.since_yesterday.is_some()).count();
    if losing.len() < 2 || losing.len() * 2 <= weighed {
        return Vec::new();
    }
    vec![Caution::new(
        Level::Act,
        "More than half of the litter lost weight since yesterday: check the scale, then the dam's milk, glands and temperature.",
        format!("{} of {weighed} pups weighed lost weight.", losing.len()),
        rules.get("growth.standstill").source.clone(),
    )]
}

fn figures(change: &WeightChange) -> String {
    format!(
        "{:.0} g after {:.0} g in {:.0} h ({:+.1} % a day).",
        change.to.weight_g,
        change.from.weight_g,
        change.hours,
        change.gain_fraction_per_day * 100.0
    )
}

/// A tenth of the birth weight lost in the first days, or a smaller loss that may be normal.
fn early_loss(pup: &PupGrowth, rules: &Rules) -> Option<Caution> {
    let since_birth = pup.since_birth.as_ref()?;
    let age_h = since_birth.to.age_days * 24.0;
    let lost = -since_birth.gain_fraction;
    let limit = rules.value("growth.early_loss");
    let losing_now = pup.since_yesterday.as_ref().is_none_or(|c| c.gain_g <= 0.0);
    let source = rules.get("growth.early_loss").source.clone();
    let why = format!(
        "{:.0} g at {:.0} h after {:.0} g at birth ({:+.1} %); the limit is {:.0} %.",
        since_birth.to.weight_g,
        age_h,
        since_birth.from.weight_g,
        since_birth.gain_fraction * 100.0,
        limit * 100.0
    );
    if lost >= limit && losing_now && age_h >= rules.value("growth.must_gain_by_hours") {
        let what = format!(
            "{} has lost a tenth of its birth weight or more and does not gain: call the vet now; it needs supplement feeding.",
            pup.label
        );
        return Some(Caution::new(Level::Emergency, what, why, source));
    }
    if lost >= limit && losing_now {
        let what = format!(
            "{} has lost a tenth of its birth weight or more: warm it, see that it nurses, and ask the vet about supplement feeding today.",
            pup.label
        );
        return Some(Caution::new(Level::Act, what, why, source));
    }
    if lost > 0.0 && age_h <= rules.value("growth.first_loss_hours") {
        let what = format!(
            "{} is a little below its birth weight, which may be normal on the first day: weigh again in 12 hours.",
            pup.label
        );
        let source = rules.get("growth.first_loss_hours").source.clone();
        return Some(Caution::new(Level::Note, what, why, source));
    }
    if lost > 0.0 && age_h <= rules.value("growth.early_loss_hours") {
        let what = format!(
            "{} is still below its birth weight: watch that it nurses and gains.",
            pup.label
        );
        return Some(Caution::new(Level::Note, what, why, source));
    }
    None
}

/// Lost weight or stood still since yesterday.
fn day_change(pup: &PupGrowth, rules: &Rules) -> Option<Caution> {
    let change = pup.since_yesterday.as_ref()?;
    let still = rules.get("growth.standstill");
    if change.gain_fraction_per_day > still.value {
        return None;
    }
    let nursing = change.to.age_days <= rules.value("growth.nursing_days");
    let again = rules.value("growth.weigh_again_hours");
    let (level, verb) = match (change.gain_g < 0.0, nursing) {
        (true, true) => (Level::Act, "has lost weight"),
        (true, false) => (Level::Note, "has lost weight"),
        (false, true) => (Level::Act, "has not gained"),
        (false, false) => (Level::Note, "has not gained"),
    };
    let what = format!(
        "{} {verb} since the day before: check that it is warm and nurses or eats, weigh again in {again:.0} hours.",
        pup.label
    );
    Some(Caution::new(level, what, figures(change), still.source.clone()))
}

fn early_growth(pup: &PupGrowth, rules: &Rules) -> Option<Caution> {
    let growth = pup.early_growth_fraction?;
    let limit = rules.get("growth.early_growth_risk");
    let past = pup.last.is_some_and(|p| p.age_days > rules.value("growth.nursing_days"));
    (growth <= limit.value && !past).then(|| {
        Caution::new(
            Level::Act,
            format!("{} grew too little from birth to day 2 and is at higher risk to day 21: weigh it twice a day.", pup.label),
            format!("{:+.1} % against a limit of {:+.1} %.", growth * 100.0, limit.value * 100.0),
            limit.source.clone(),
        )
    })
}

fn birth_weight(pup: &PupGrowth) -> Option<Caution> {
    let grade = pup.birth_weight_grade.as_ref()?;
    if pup.age_days > 21 {
        return None;
    }
    let (level, word, limit) = match grade.class {
        BirthWeightClass::Normal => return None,
        BirthWeightClass::Low => (Level::Note, "low", grade.normal_from_g),
        BirthWeightClass::VeryLow => (Level::Act, "very low", grade.low_from_g),
    };
    Some(Caution::new(
        level,
        format!(
            "{} had a {word} birth weight for its breed: keep it warm, see that it nurses often, weigh it twice a day.",
            pup.label
        ),
        format!(
            "{:.0} g, under {limit:.0} g; {:.1} % of such pups died within 21 days.",
            pup.birth_weight_g.unwrap_or_default(),
            grade.death_within_21_days * 100.0
        ),
        grade.source.clone(),
    ))
}

fn below_mean(pup: &PupGrowth, rules: &Rules) -> Option<Caution> {
    let limit = rules.get("growth.below_litter_mean");
    let place = pup.position.as_ref().filter(|p| p.above_mean_fraction <= -limit.value)?;
    let first_week = pup.age_days <= 7;
    let level = if first_week { Level::Act } else { Level::Note };
    Some(Caution::new(
        level,
        format!(
            "{} is far lighter than its litter: give it time alone at the dam and ask the vet whether to feed it by hand.",
            pup.label
        ),
        format!(
            "{:.0} % below the mean of the litter; the limit is {:.0} %.",
            -place.above_mean_fraction * 100.0,
            limit.value * 100.0
        ),
        limit.source.clone(),
    ))
}

/// Not doubled (or tripled) its birth weight by the usual age.
fn doubling(pup: &PupGrowth, now: DateTime<Utc>, rules: &Rules) -> Option<Caution> {
    let since_birth = pup.since_birth.as_ref()?;
    let multiple = 1.0 + since_birth.gain_fraction;
    // Only a fresh weight tells: an old one would blame the pup for a missed day.
    if (now - since_birth.to.measured_at).num_hours() > 24 {
        return None;
    }
    let age = since_birth.to.age_days;
    let late = rules.get("growth.doubled_late_day");
    let third = rules.get("growth.tripled_by_day");
    let usual = rules.value("growth.doubled_by_day");
    let (word, rule, from) = if multiple < 2.0 && age > late.value {
        ("doubled", late, usual)
    } else if multiple < 3.0 && age > third.value && age <= third.value + 7.0 {
        ("tripled", third, third.value)
    } else {
        return None;
    };
    Some(Caution::new(
        Level::Note,
        format!("{} has not {word} its birth weight yet: mention it to the vet.", pup.label),
        format!(
            "{multiple:.1} times its birth weight at {age:.0} days; usual from day {from:.0}, at the latest day {:.0}.",
            rule.value
        ),
        rule.source.clone(),
    ))
}

fn unweighed(pup: &PupGrowth, now: DateTime<Utc>, rules: &Rules) -> Option<Caution> {
    let rule = rules.get("growth.unweighed_hours");
    if pup.age_days as f64 > rules.value("growth.nursing_days") {
        return None;
    }
    let last = pup.last?;
    let hours = (now - last.measured_at).num_minutes() as f64 / 60.0;
    (hours > rule.value).then(|| {
        Caution::new(
            Level::Note,
            format!("{} has not been weighed lately: weigh it today.", pup.label),
            format!("The last weight is {hours:.0} hours old."),
            rule.source.clone(),
        )
    })
}
