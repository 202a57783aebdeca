//! The heat: when a dam ovulates, when to test and mate, and when she comes in heat again.

pub mod coming_heats;
mod ovulation;
pub mod womb_watch;

use crate::{
    advice::Caution,
    dating::{DatingEvidence, OvulationBasis},
    fault::{Fault, Faults},
    record::MatingMethod,
    rules::Rules,
};
use catalogue::{Text, figure, said};
use chrono::{NaiveDate, NaiveDateTime};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Unit of a progesterone result.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum ProgesteroneUnit {
    /// Nanograms a millilitre.
    NgPerMl,
    /// Nanomoles a litre.
    NmolPerL,
}

impl ProgesteroneUnit {
    /// `value` of this unit in ng/mL (1 ng/mL = 3.18 nmol/L).
    pub(crate) fn to_ng_per_ml(self, value: f64, rules: &Rules) -> f64 {
        match self {
            Self::NgPerMl => value,
            Self::NmolPerL => value / rules.value("cycle.nmol_per_ng"),
        }
    }
}

/// What vaginal cytology showed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum CytologyStage {
    /// Between heats.
    Anoestrus,
    /// Coming in.
    Proestrus,
    /// Cornified: standing heat.
    Oestrus,
    /// Past heat.
    Dioestrus,
    /// Named as the first day of dioestrus by whoever read a series of smears.
    FirstDioestrus,
}

/// What was seen of the dam.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum HeatSign {
    /// Bleeding.
    Bleeding,
    /// The vulva is swollen.
    Swelling,
    /// Turns the tail aside.
    Flagging,
    /// Stands for the dog.
    Standing,
    /// No longer lets the dog near.
    Refusing,
}

/// One reading in a heat; times are the kennel's local time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub(crate) enum CycleReading {
    /// Progesterone in the blood.
    Progesterone {
        /// When the sample was taken.
        taken_at: NaiveDateTime,
        /// Result.
        value: f64,
        /// Its unit.
        unit: ProgesteroneUnit,
    },
    /// LH test.
    Lh {
        /// When the sample was taken.
        taken_at: NaiveDateTime,
        /// Whether the test shows the surge.
        positive: bool,
    },
    /// Vaginal cytology.
    Cytology {
        /// When the smear was taken.
        taken_at: NaiveDateTime,
        /// What it shows.
        stage: CytologyStage,
    },
    /// A sign of the dam.
    Sign {
        /// When it was seen.
        taken_at: NaiveDateTime,
        /// What was seen.
        sign: HeatSign,
    },
}

impl CycleReading {
    /// When it was taken.
    pub fn taken_at(&self) -> NaiveDateTime {
        match self {
            Self::Progesterone { taken_at, .. }
            | Self::Lh { taken_at, .. }
            | Self::Cytology { taken_at, .. }
            | Self::Sign { taken_at, .. } => *taken_at,
        }
    }
}

/// A moment of the cycle and how sure it is.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CycleMoment {
    /// Most likely time on the kennel's clock; not answered, since the hour is far less sure than it looks.
    #[serde(skip)]
    pub at: NaiveDateTime,
    /// Most likely day.
    #[schema(example = "2024-01-03")]
    #[serde(rename = "likely_on")]
    pub on: NaiveDate,
    /// Standard deviation, days.
    #[schema(example = 0.5)]
    pub sd_days: f64,
    /// What it rests on.
    #[schema(value_type = Vec<String>)]
    pub basis: Vec<Text>,
}

/// Best days to mate by one method.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct MatingDays {
    /// The method.
    pub method: MatingMethod,
    /// How many matings or inseminations these days are for; `None` for any number in the span.
    #[schema(example = 2)]
    pub inseminations: Option<u32>,
    /// The days, in order: for natural mating every day of the span.
    pub days: Vec<NaiveDate>,
    /// What else to know of these days.
    #[schema(
        value_type = Option<String>,
        example = "The cervix closes from 2024-01-18 to 2024-01-21: later matings take less often."
    )]
    pub note: Option<Text>,
    /// Where it comes from.
    pub source: String,
}

/// When to take the next progesterone test.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct NextTest {
    /// The day.
    #[serde(rename = "due_on")]
    pub on: NaiveDate,
    /// Why.
    #[schema(value_type = String)]
    pub why: Text,
    /// Where it comes from.
    pub source: String,
}

/// Where a dam stands in her heat.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct HeatTiming {
    /// Today's day of heat, the first being 1.
    #[schema(example = 9)]
    pub day_of_heat: i64,
    /// LH surge.
    pub lh_surge: Option<CycleMoment>,
    /// First sample of the first sharp progesterone rise.
    pub progesterone_rise_on: Option<NaiveDate>,
    /// Ovulation.
    pub ovulation: Option<CycleMoment>,
    /// First day of dioestrus by cytology.
    pub dioestrus_on: Option<NaiveDate>,
    /// First day on which a mating can be fertile.
    #[serde(rename = "first_fertile_on")]
    pub fertile_from: Option<NaiveDate>,
    /// Last day on which a mating can be fertile.
    #[serde(rename = "last_fertile_on")]
    pub fertile_to: Option<NaiveDate>,
    /// Best days by method; empty before ovulation can be dated.
    pub mating_days: Vec<MatingDays>,
    /// Next test; `None` once ovulation is past.
    pub next_test: Option<NextTest>,
    /// What to mind.
    pub cautions: Vec<Caution>,
}

/// Reads a heat: LH surge and ovulation, next test, best mating days.
///
/// Progesterone is interpolated straight in its logarithm between samples. A level is reached at a
/// time whose uncertainty is that of the level between dams, over the slope, and that of the gap
/// between samples. LH tests and the first day of dioestrus are combined with it by their
/// precision.
///
/// # Errors
/// Faults of the readings (`/readings/2/value` …): before the heat or long after it, in the
/// future, or impossible values.
pub(crate) fn read_heat(
    began_on: NaiveDate,
    readings: &[CycleReading],
    today: NaiveDate,
    rules: &Rules,
) -> Result<HeatTiming, Vec<Fault>> {
    let mut faults = Faults::new();
    faults.unless(began_on <= today, "/began_on", || said!("fault-in-future-heat", today = today));
    for (i, reading) in readings.iter().enumerate() {
        check(&mut faults, i, reading, began_on, today, rules);
    }
    faults.into_result()?;
    Ok(ovulation::read(began_on, readings, today, rules))
}

/// The evidence for dating a litter that the readings of its heat give, each source by itself.
///
/// [`HeatTiming::ovulation`] joins all sources and must not be given besides them, or it would
/// count twice. A rise is dated only between samples close enough to tell its day.
///
/// # Errors
/// As [`read_heat`].
pub(crate) fn dating_evidence(
    began_on: NaiveDate,
    readings: &[CycleReading],
    today: NaiveDate,
    rules: &Rules,
) -> Result<Vec<DatingEvidence>, Vec<Fault>> {
    let all = read_heat(began_on, readings, today, rules)?;
    let hormone: Vec<CycleReading> = readings
        .iter()
        .filter(|r| matches!(r, CycleReading::Progesterone { .. }))
        .copied()
        .collect();
    let mut evidence = Vec::new();
    let surge = readings.iter().filter(|r| matches!(r, CycleReading::Lh { positive: true, .. }));
    if let Some(at) = surge.map(CycleReading::taken_at).min() {
        evidence.push(DatingEvidence::LhSurge { on: at.date() });
    }
    if let Some(on) = ovulation::dated_rise(began_on, &hormone, rules) {
        evidence.push(DatingEvidence::ProgesteroneRise { on });
    }
    if let Some(moment) = ovulation::read(began_on, &hormone, today, rules).ovulation {
        // The published spread is that of daily samples; a vaguer date brings its own.
        let sd_days = (moment.sd_days > 1.0).then_some(moment.sd_days);
        let basis = OvulationBasis::Progesterone;
        evidence.push(DatingEvidence::Ovulation { on: moment.on, basis, sd_days });
    }
    if let Some(on) = all.dioestrus_on {
        evidence.push(DatingEvidence::Dioestrus { on });
    }
    Ok(evidence)
}

fn check(
    faults: &mut Faults,
    i: usize,
    reading: &CycleReading,
    began_on: NaiveDate,
    today: NaiveDate,
    rules: &Rules,
) {
    let on = reading.taken_at().date();
    let place = format!("/readings/{i}/taken_at");
    let longest = rules.value("cycle.heat_longest_days");
    if on > today {
        faults.add(place, said!("fault-in-future-heat", today = today));
    } else if on < began_on {
        faults.add(place, said!("fault-too-early-reading", began_on = began_on));
    } else if f64::from(i32::try_from((on - began_on).num_days()).unwrap_or(i32::MAX)) > longest {
        faults
            .add(place, said!("fault-too-late-reading", most_days = longest, began_on = began_on));
    }
    if let CycleReading::Progesterone { value, unit, .. } = reading {
        let ng = unit.to_ng_per_ml(*value, rules);
        faults.unless((0.0..=100.0).contains(&ng), &format!("/readings/{i}/value"), || {
            said!(
                "fault-out-of-range-progesterone",
                least = 0,
                most = 100,
                most_nmol = 318,
                ng_per_ml = figure(ng, 1)
            )
        });
    }
}

#[cfg(test)]
pub(crate) mod limits_tests;
#[cfg(test)]
mod tests;
