//! When a litter would be born that is only planned.

use crate::{
    dating::{DatingEvidence, DatingInput, due_window},
    day_chances::DayChances,
    distribution::normal_cdf,
    fault::Fault,
    record::MatingMethod,
    rules::Rules,
};
use catalogue::said;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What is known of a planned mating's time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "by", rename_all = "snake_case")]
pub(crate) enum DraftTiming {
    /// On a day, without timing by progesterone.
    Day {
        /// Day of the mating.
        on: NaiveDate,
        /// Method.
        method: MatingMethod,
    },
    /// On the day that progesterone will show to be best.
    TimedDay {
        /// Day of the mating.
        on: NaiveDate,
    },
    /// In a heat that is forecast.
    Heat {
        /// Chance by day that the heat begins.
        begins: Vec<super::DayChance>,
    },
}

/// Chance by day of whelping after a planned mating that takes.
///
/// # Errors
/// Faults of the timing (`/begins`: no chance by day).
pub(crate) fn draft_whelping(
    timing: &DraftTiming,
    rules: &Rules,
) -> Result<DayChances, Vec<Fault>> {
    match timing {
        DraftTiming::Day { on, method } => {
            let input = DatingInput {
                today: *on,
                now: None,
                heat_began_on: None,
                whelped_on: None,
                breed: None,
                adult_weight_g: None,
                chance_small_litter: None,
                temperature_fell: None,
                signs: Vec::new(),
                evidence: vec![DatingEvidence::Mating { on: *on, method: *method }],
            };
            due_window(&input, rules)?.chances().ok_or_else(no_chance)
        }
        DraftTiming::TimedDay { on } => {
            let mean = rules.value("planner.timed_mating_days");
            delayed(&DayChances::certain(*on), mean, rules.value("planner.timed_mating_sd_days"))
        }
        DraftTiming::Heat { begins } => {
            let begins = DayChances::from_list(begins).ok_or_else(no_chance)?;
            let mean = rules.value("planner.heat_to_whelping_days");
            delayed(&begins, mean, rules.value("planner.heat_to_whelping_sd_days"))
        }
    }
}

/// Chance that a mating leads to a litter: 1 once born, less while pregnancy is found or only hoped
/// for.
pub(crate) fn chance_of_litter(born: bool, pregnancy_found: bool, rules: &Rules) -> f64 {
    match (born, pregnancy_found) {
        (true, _) => 1.0,
        (false, true) => rules.value("planner.pregnant_whelped_share"),
        (false, false) => rules.value("planner.whelped_share"),
    }
}

fn no_chance() -> Vec<Fault> {
    vec![Fault::new("/begins", said!("fault-empty-chances"))]
}

/// `chances` plus a normal delay.
fn delayed(chances: &DayChances, mean: f64, sd: f64) -> Result<DayChances, Vec<Fault>> {
    #[expect(clippy::cast_possible_truncation, reason = "a few months of days")]
    let (low, high) = ((mean - 4.0 * sd).floor() as i32, (mean + 4.0 * sd).ceil() as i32);
    let law: Vec<f64> = (low..=high)
        .map(|d| {
            let z = |days: f64| normal_cdf((days - mean) / sd);
            z(f64::from(d) + 0.5) - z(f64::from(d) - 0.5)
        })
        .collect();
    chances.plus_delay(i64::from(low), &law).ok_or_else(no_chance)
}
