//! Is the dam well after whelping: fever, low calcium, mastitis, womb, placenta.

mod puerperium;

pub use puerperium::{
    CalciumRisk, CalciumRiskLevel, DamWeightCourse, EarlierSigns, Involution, LochiaStage,
    Puerperium,
};
pub(crate) use puerperium::{DamInMilk, low_calcium_after, puerperium, usual_weight};

use crate::advice::Caution;
use crate::alarms::{Alarm, cautions};
use crate::fault::{Fault, Faults};
use crate::rules::Rules;
use crate::whelping::log::wrong_dam_temperature;
use crate::whelping::{DischargeAmount, DischargeColour, WhelpingEntry, WhelpingEvent};
use catalogue::{Text, said};
use chrono::{DateTime, Duration, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A sign seen on the dam.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum DamSign {
    /// Restless.
    Restless,
    /// Pants without heat.
    Panting,
    /// Walks stiffly.
    StiffGait,
    /// Trembles.
    Tremor,
    /// Stiff limbs or fits.
    Fits,
    /// Dull, lies about.
    Dull,
    /// Neglects her pups.
    NeglectsPups,
    /// Collapses.
    Collapse,
    /// Rubs her face.
    FaceRubbing,
    /// Drools.
    Drooling,
    /// Has no milk.
    NoMilk,
    /// Tissue hangs from the vulva.
    Prolapse,
    /// Vomits.
    Vomiting,
    /// Pale gums.
    PaleGums,
}

impl DamSign {
    /// Every sign.
    pub const ALL: [Self; 14] = [
        Self::Restless,
        Self::Panting,
        Self::StiffGait,
        Self::Tremor,
        Self::Fits,
        Self::Dull,
        Self::NeglectsPups,
        Self::Collapse,
        Self::FaceRubbing,
        Self::Drooling,
        Self::NoMilk,
        Self::Prolapse,
        Self::Vomiting,
        Self::PaleGums,
    ];

    /// The early signs of low calcium.
    pub(crate) const EARLY: [Self; 4] =
        [Self::Restless, Self::Panting, Self::FaceRubbing, Self::Drooling];

    /// Its grave signs.
    pub(crate) const GRAVE: [Self; 3] = [Self::StiffGait, Self::Tremor, Self::Fits];
}

/// The state of her glands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum GlandState {
    /// Soft, normal milk.
    Normal,
    /// Full and firm, not painful.
    Engorged,
    /// Hot, painful or hard.
    HotPainfulHard,
    /// Discoloured, bloody or purulent milk, or dark skin.
    BadMilk,
}

/// What was seen of the dam at one time; everything may be unknown.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct DamObservation {
    /// When.
    pub at: DateTime<Utc>,
    /// Temperature in degrees Celsius.
    #[schema(example = 38.9)]
    pub temperature_c: Option<f64>,
    /// Discharge seen.
    pub discharge: Option<DischargeColour>,
    /// How much of it.
    #[serde(default)]
    pub discharge_amount: Option<DischargeAmount>,
    /// Whether she eats.
    #[schema(example = true)]
    pub eats: Option<bool>,
    /// Her glands.
    pub glands: Option<GlandState>,
    /// Signs.
    #[serde(default)]
    pub signs: Vec<DamSign>,
    /// Whether the pups cry and do not settle.
    pub pups_cry: Option<bool>,
}

impl DamObservation {
    /// A look at which nothing was written down.
    pub fn at(at: DateTime<Utc>) -> Self {
        Self {
            at,
            temperature_c: None,
            discharge: None,
            discharge_amount: None,
            eats: None,
            glands: None,
            signs: Vec::new(),
            pups_cry: None,
        }
    }

    /// What a line of the log tells of the dam after the birth: a discharge, or her temperature.
    pub(crate) fn of_log(entry: &WhelpingEntry) -> Option<Self> {
        match entry.event {
            WhelpingEvent::Discharge { colour, amount } => Some(Self {
                discharge: Some(colour),
                discharge_amount: amount,
                ..Self::at(entry.at)
            }),
            WhelpingEvent::Temperature { temperature_c } => {
                Some(Self { temperature_c: Some(temperature_c), ..Self::at(entry.at) })
            }
            _ => None,
        }
    }
}

/// The dam after whelping, as asked about.
#[derive(Debug, Clone, PartialEq)]
pub struct DamAfterBirth {
    /// Birth of the last pup.
    pub last_pup_at: DateTime<Utc>,
    /// Pups that nurse.
    pub pups: u32,
    /// Whether it is her first litter.
    pub first_litter: Option<bool>,
    /// Placentas counted short of pups, if counted.
    pub placentas_missing: Option<u32>,
    /// What was seen, in any order.
    pub observations: Vec<DamObservation>,
}

impl DamAfterBirth {
    /// Whether she is watched for this litter: up to `dam_after_birth.watched_days` after the last birth.
    pub(crate) fn is_watched(&self, now: DateTime<Utc>, rules: &Rules) -> bool {
        now - self.last_pup_at <= rules.span("dam_after_birth.watched_days")
    }
}

/// How the dam is.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct DamHealth {
    /// The moment she was looked at.
    #[serde(rename = "reckoned_at")]
    pub as_of: DateTime<Utc>,
    /// Days since the last pup.
    #[schema(example = 3)]
    pub days_after_birth: i64,
    /// Her last temperature in degrees Celsius.
    #[schema(example = 38.9)]
    pub last_temperature_c: Option<f64>,
    /// The fever limit that counts now.
    #[schema(example = 39.5)]
    pub fever_limit_c: f64,
    /// What to heed, the gravest first: the alarms about the dam since the last pup.
    pub cautions: Vec<Caution>,
    /// What was not looked at in the last day and should be.
    #[schema(value_type = Vec<String>)]
    pub lacks: Vec<Text>,
}

/// Checks one observation by itself.
///
/// # Errors
/// A time in the future or a temperature that is not Celsius.
pub(crate) fn check_dam_observation(
    observation: &DamObservation,
    now: DateTime<Utc>,
) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    faults.unless(observation.at <= now + Duration::minutes(10), "/at", || {
        said!("fault-in-future-device-clock", now = now.to_string())
    });
    if let Some(wrong) = observation.temperature_c.and_then(wrong_dam_temperature) {
        faults.add("/temperature_c", wrong);
    }
    faults.into_result()
}

/// How the dam is at `now`, by what was seen of her in the last day, and what `alarms` say of her.
///
/// Thresholds: table `dam_after_birth` of the rules; each caution names its source.
pub fn dam_health(
    dam: &DamAfterBirth,
    alarms: &[Alarm],
    now: DateTime<Utc>,
    rules: &Rules,
) -> DamHealth {
    let recent: Vec<&DamObservation> = dam
        .observations
        .iter()
        .filter(|o| o.at <= now && o.at >= dam.last_pup_at && now - o.at <= Duration::hours(24))
        .collect();
    let last = recent.iter().filter(|o| o.temperature_c.is_some()).max_by_key(|o| o.at);
    let temperature = last.and_then(|o| o.temperature_c);
    let mut lacks = Vec::new();
    if temperature.is_none() {
        lacks.push(said!("dam-lacks-temperature"));
    }
    if !recent.iter().any(|o| o.glands.is_some()) {
        lacks.push(said!("dam-lacks-glands"));
    }
    if !recent.iter().any(|o| o.eats.is_some()) {
        lacks.push(said!("dam-lacks-appetite"));
    }
    DamHealth {
        as_of: now,
        days_after_birth: (now - dam.last_pup_at).num_days(),
        last_temperature_c: temperature,
        fever_limit_c: rules.value("dam_after_birth.fever_c"),
        cautions: cautions(alarms),
        lacks,
    }
}

#[cfg(test)]
pub(crate) mod limits_tests;
#[cfg(test)]
mod tests;
