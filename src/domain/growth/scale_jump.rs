//! A round in which all pups weigh less, or more, than a day ago, and all alike: more likely the scale than the
//! pups.
//!
//! A scale that was not zeroed is off by so many grams for each of them, one that is set to another unit or bent by
//! the same share of each. Pups that lose because a dam has no milk differ from one another. Neither is sure: what
//! follows from it is that all are weighed again at once.

use super::series::median;
use super::summary::{PupGrowth, WeightChange};
use crate::rules::Rules;
use chrono::{DateTime, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

/// Pups of which at least so many must agree: of two, one may be failing alone.
const LEAST_PUPS: usize = 3;

/// A round that is not believed.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ScaleJump {
    /// The first weighing of the round.
    pub since: DateTime<Utc>,
    /// Pups weighed in it.
    pub pups: Vec<Uuid>,
    /// By how much the middle one of them changed since the day before, as a fraction.
    #[schema(example = -0.11)]
    pub change_fraction: f64,
}

/// The last round, where all its pups jumped alike (`growth.jump_*`).
///
/// Of the first day of life nothing is said: pups may lose then.
pub(super) fn scale_jump(pups: &[PupGrowth], rules: &Rules) -> Option<ScaleJump> {
    let present = || pups.iter().filter(|pup| pup.present);
    let newest = present().filter_map(|pup| pup.last).map(|last| last.measured_at).max()?;
    let within = rules.span("growth.jump_round_hours");
    let in_round = |change: &&WeightChange| newest - change.to.measured_at <= within;
    let round: Vec<(&PupGrowth, &WeightChange)> = present()
        .filter_map(|pup| Some((pup, pup.since_yesterday.as_ref().filter(in_round)?)))
        .collect();
    // One that was left out of the round may be the one that is well.
    let weighed = present().filter(|pup| pup.last.is_some()).count();
    if round.len() < LEAST_PUPS || round.len() < weighed {
        return None;
    }
    let first_day = rules.value("growth.first_loss_hours") / 24.0;
    let told = |change: &WeightChange| {
        change.from.age_days >= first_day && change.hours <= rules.value("growth.jump_hours") + 1e-6
    };
    if !round.iter().all(|(_, change)| told(change)) {
        return None;
    }
    let middle = median(round.iter().map(|(_, change)| change.gain_fraction).collect())?;
    let jumped = middle <= -rules.value("growth.jump_down") + 1e-9
        || middle >= rules.value("growth.jump_up") - 1e-9;
    (jumped && are_alike(&round, middle, rules)).then(|| ScaleJump {
        since: round.iter().map(|(_, change)| change.to.measured_at).min().unwrap_or(newest),
        pups: round.iter().map(|(pup, _)| pup.dog_id).collect(),
        change_fraction: middle,
    })
}

/// Whether all changed by nearly the same share, or by nearly the same grams.
fn are_alike(round: &[(&PupGrowth, &WeightChange)], middle: f64, rules: &Rules) -> bool {
    let allowed = |pup: &PupGrowth, change: &WeightChange| {
        let step =
            if pup.scale_step_g > 1.0 { pup.scale_step_g / change.from.weight_g } else { 0.0 };
        rules.value("growth.jump_spread") + step + 1e-9
    };
    let by_share = round
        .iter()
        .all(|(pup, change)| (change.gain_fraction - middle).abs() <= allowed(pup, change));
    let grams = median(round.iter().map(|(_, change)| change.gain_g).collect()).unwrap_or(0.0);
    let by_grams = round.iter().all(|(pup, change)| {
        (change.gain_g - grams).abs() / change.from.weight_g <= allowed(pup, change)
    });
    by_share || by_grams
}
