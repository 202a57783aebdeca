//! What people write down while a bitch whelps.

use super::doubles::BirthMarks;
use crate::dating::CountedFrom;
use crate::expected_pups::PupForecast;
use crate::fault::{Fault, Faults};
use crate::units::celsius_from_fahrenheit;
use catalogue::{Text, figure, said};
use chrono::{DateTime, Duration, NaiveDate, Utc};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// How hard she strains.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Contractions {
    /// Strong, constant straining.
    Strong,
    /// Weak or rare.
    Weak,
    /// None: she rests. Ends what was written before.
    Resting,
}

/// Colour of a discharge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum DischargeColour {
    /// Clear or milky.
    Clear,
    /// Green to black: a placenta has come loose.
    GreenBlack,
    /// Red-brown.
    RedBrown,
    /// Fresh blood.
    BrightRed,
    /// Grey, yellow or bad-smelling.
    Foul,
}

/// How much of a discharge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum DischargeAmount {
    /// A few drops.
    Spotting,
    /// More than spotting.
    More,
}

/// A sign that labour is near or has begun.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum LabourSign {
    /// Digs, builds a nest.
    Nesting,
    /// Restless.
    Restless,
    /// Pants.
    Panting,
    /// Shivers.
    Shivering,
    /// Vomits.
    Vomiting,
    /// Refuses food.
    RefusesFood,
    /// Seeks company or hides.
    SeeksOrHides,
}

/// Something for which the vet is called at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum WhelpingAlarm {
    /// A pup is seen and does not come.
    PupStuck,
    /// She collapses or does not respond.
    Collapse,
    /// Severe pain.
    SeverePain,
    /// Heavy bleeding.
    HeavyBleeding,
    /// Fits or stiffness.
    Fits,
}

/// To whom something was given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum GivenTo {
    /// The dam.
    Dam,
    /// A pup.
    Pup,
}

/// What happened. Births are written as births, not here.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum WhelpingEvent {
    /// Her temperature.
    Temperature {
        /// Degrees Celsius.
        #[schema(example = 36.9)]
        temperature_c: f64,
    },
    /// A sign of labour.
    Sign {
        /// Which.
        sign: LabourSign,
    },
    /// Contractions seen, or rest.
    Contractions {
        /// How hard.
        strength: Contractions,
    },
    /// The waters broke or a bag was seen.
    Waters {},
    /// A discharge.
    Discharge {
        /// Its colour.
        colour: DischargeColour,
        /// How much; null when it was not written down.
        #[serde(default)]
        amount: Option<DischargeAmount>,
    },
    /// Something was given to her or a pup.
    Given {
        /// What.
        #[schema(example = "calcium", min_length = 1, max_length = 200)]
        #[serde(rename = "remedy", alias = "what")]
        what: String,
        /// How much, in the words of whoever advised it.
        #[schema(example = "as the vet said on the phone", max_length = 200)]
        amount: Option<String>,
        /// By whose advice.
        #[schema(example = "our vet, by phone", max_length = 200)]
        advised_by: Option<String>,
        /// To whom; null when it was not written down.
        #[serde(default)]
        given_to: Option<GivenTo>,
        /// Number of the pup in the litter.
        #[serde(default)]
        #[schema(example = 3, minimum = 1, maximum = 30)]
        ordinal: Option<u32>,
    },
    /// Placentas seen apart from a birth.
    Placentas {
        /// How many.
        #[schema(example = 1, minimum = 1, maximum = 20)]
        count: u32,
    },
    /// A pup was helped to breathe.
    Resuscitation {
        /// Number of the pup in the litter.
        #[schema(example = 3)]
        ordinal: Option<u32>,
        /// For how many minutes.
        #[schema(example = 4)]
        minutes: Option<u32>,
        /// Whether it breathed.
        breathed: Option<bool>,
    },
    /// Something for which the vet is called at once.
    Alarm {
        /// What.
        alarm: WhelpingAlarm,
    },
    /// The vet was called.
    VetCalled {
        /// What was said.
        #[schema(
            example = "come in if no pup by five",
            max_length = 2000,
            format = "several-lines"
        )]
        advice: Option<String>,
    },
    /// A caesarean.
    Caesarean {},
    /// All pups are out.
    Finished {},
    /// Anything else.
    Note {
        /// The words.
        #[schema(
            example = "moved to the big box",
            min_length = 1,
            max_length = 10000,
            format = "several-lines"
        )]
        text: String,
    },
}

/// One line of the log.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WhelpingEntry {
    /// When it happened.
    pub at: DateTime<Utc>,
    /// What happened.
    pub event: WhelpingEvent,
}

/// A birth as the status sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct PupOut {
    /// When.
    pub born_at: DateTime<Utc>,
    /// Born alive.
    pub alive: bool,
    /// Whether its placenta was seen.
    pub placenta_seen: bool,
    /// What tells it from other births.
    pub marks: Option<BirthMarks>,
}

/// What the days of pregnancy are counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DayCount {
    /// Ovulation, or the first mating where nothing better is known.
    pub from: CountedFrom,
    /// That day: day 0.
    pub on: NaiveDate,
}

/// All that is known of a whelping.
#[derive(Debug, Clone, PartialEq)]
pub struct WhelpingCase {
    /// The log in any order; it may have gaps.
    pub entries: Vec<WhelpingEntry>,
    /// The births in any order.
    pub births: Vec<PupOut>,
    /// How many pups there will be, by all that is known; null when counts contradict one another.
    pub expected: Option<PupForecast>,
    /// What the days of pregnancy are counted from, if anything dates it.
    pub counted: Option<DayCount>,
    /// The kennel's time zone, for the times in the sentences.
    pub time_zone: Tz,
}

impl WhelpingCase {
    /// The day of pregnancy of a moment on the kennel's calendar; `None` when nothing dates it.
    pub(crate) fn day_of_pregnancy(&self, at: DateTime<Utc>) -> Option<i64> {
        let day = at.with_timezone(&self.time_zone).date_naive();
        self.counted.map(|counted| (day - counted.on).num_days())
    }
}

/// Whether a caesarean stands in a log; `None` while nothing is in it.
pub fn by_caesarean(log: &[WhelpingEntry]) -> Option<bool> {
    let cut = |entry: &WhelpingEntry| matches!(entry.event, WhelpingEvent::Caesarean {});
    (!log.is_empty()).then(|| log.iter().any(cut))
}

/// What is wrong with a temperature of the dam, which is kept in degrees Celsius.
pub(crate) fn wrong_dam_temperature(temperature_c: f64) -> Option<Text> {
    const POSSIBLE: std::ops::RangeInclusive<f64> = 30.0..=44.0;
    if POSSIBLE.contains(&temperature_c) {
        return None;
    }
    let celsius = celsius_from_fahrenheit(temperature_c);
    Some(if POSSIBLE.contains(&celsius) {
        said!(
            "fault-out-of-range-dam-fahrenheit",
            fahrenheit = temperature_c,
            celsius = figure(celsius, 1)
        )
    } else {
        said!("fault-out-of-range-dam-celsius", from = *POSSIBLE.start(), to = *POSSIBLE.end())
    })
}

/// Checks one line of the log by itself.
///
/// # Errors
/// A time in the future, a temperature that is not Celsius, a count out of range, an empty text.
pub(crate) fn check_entry(entry: &WhelpingEntry, now: DateTime<Utc>) -> Result<(), Vec<Fault>> {
    let mut faults = Faults::new();
    // Two phones in one room differ by minutes.
    faults.unless(entry.at <= now + Duration::minutes(10), "/happened_at", || {
        said!("fault-in-future-device-clock", now = now.to_string())
    });
    match &entry.event {
        WhelpingEvent::Temperature { temperature_c } => {
            if let Some(wrong) = wrong_dam_temperature(*temperature_c) {
                faults.add("/event/temperature_c", wrong);
            }
        }
        WhelpingEvent::Placentas { count } => {
            faults.unless((1..=20).contains(count), "/event/count", || {
                said!("fault-out-of-range-placentas", from = 1, to = 20)
            });
        }
        WhelpingEvent::Given { what, given_to, ordinal, .. } => {
            faults.unless(!what.trim().is_empty(), "/event/remedy", || said!("fault-empty-given"));
            faults.unless(
                ordinal.is_none() || *given_to == Some(GivenTo::Pup),
                "/event/ordinal",
                || said!("fault-only-together-given-ordinal"),
            );
        }
        WhelpingEvent::Note { text } => {
            faults.unless(!text.trim().is_empty(), "/event/text", || said!("fault-empty-log-note"));
        }
        _ => {}
    }
    faults.into_result()
}
