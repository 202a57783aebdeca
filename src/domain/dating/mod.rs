//! When a litter will be born: one chance by day out of all evidence.
//!
//! Every kind of evidence foretells the day of whelping with a published spread. Hormones,
//! cytology, ultrasound and matings date the ovulation; the length of pregnancy itself varies on
//! top of that, and this part is shared, so that ten measures of one ovulation never make whelping
//! surer than pregnancy is. A fall of the temperature or of progesterone near term speaks of
//! whelping itself. All are multiplied into one posterior by day.

mod anchors;
mod breed;
mod cautions;
mod check;
mod overdue;
mod posterior;
pub mod spread;
pub(crate) mod ultrasound;

use catalogue::Text;
pub use overdue::{OverdueFrom, OverdueLimit};

use crate::{
    advice::Caution,
    day_chances::{DayChance, DayChances},
    fault::Fault,
    record::{MatingMethod, MeasureKind},
    rules::Rules,
};
use chrono::{NaiveDate, NaiveDateTime};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// How an ovulation was dated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum OvulationBasis {
    /// Estimated from progesterone readings.
    Progesterone,
    /// Dated otherwise, e.g. by ultrasound of the ovaries or by the vet without a method given.
    Other,
}

/// One observation that helps to date a litter; days are the kennel's local calendar.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub(crate) enum DatingEvidence {
    /// A mating or insemination.
    Mating {
        /// Day of the mating.
        on: NaiveDate,
        /// How.
        method: MatingMethod,
    },
    /// Day of the LH surge.
    LhSurge {
        /// The day.
        on: NaiveDate,
    },
    /// First sharp rise of progesterone (at least 1.5 ng/mL and twice the baseline).
    ProgesteroneRise {
        /// The day.
        on: NaiveDate,
    },
    /// Day of ovulation.
    Ovulation {
        /// The day.
        on: NaiveDate,
        /// How it was dated.
        basis: OvulationBasis,
        /// Uncertainty of the date itself, days; `None` for the published spread.
        sd_days: Option<f64>,
    },
    /// First day of dioestrus by vaginal cytology.
    Dioestrus {
        /// The day.
        on: NaiveDate,
    },
    /// Measures of pups on an ultrasound picture; several pups of one day are averaged.
    Ultrasound {
        /// Day of the scan.
        on: NaiveDate,
        /// What was measured.
        measure: MeasureKind,
        /// One measure a pup, mm.
        values_mm: Vec<f64>,
    },
    /// A due day told by the mineralisation of the skeletons on a radiograph.
    Radiograph {
        /// Day of the radiograph.
        on: NaiveDate,
        /// Due day told from it.
        due_on: NaiveDate,
    },
    /// A forecast by a vet or by an earlier estimate.
    Forecast {
        /// Day it was made.
        on: NaiveDate,
        /// Due day foretold.
        due_on: NaiveDate,
        /// Its spread, days; `None` for that of mixed ultrasound methods.
        sd_days: Option<f64>,
    },
    /// Progesterone near term.
    PrewhelpingProgesterone {
        /// When the sample was taken, local time.
        at: NaiveDateTime,
        /// Result, ng/mL.
        ng_per_ml: f64,
    },
    /// The fall of the dam's temperature before labour.
    TemperatureFall {
        /// When it fell to 37.5 °C or less, local time.
        at: NaiveDateTime,
    },
}

/// A sign of a dam in late pregnancy that needs a vet.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum PregnancySign {
    /// Green or black discharge before the first pup.
    GreenDischarge,
    /// Heavy bleeding.
    HeavyBleeding,
    /// Collapse or severe pain.
    Collapse,
    /// Dull, feverish, vomiting, not eating: unwell.
    Unwell,
}

/// All that is known of one pregnancy.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct DatingInput {
    /// Today in the kennel's time zone: the litter was not born before it.
    pub today: NaiveDate,
    /// The time of day as well, if it matters, on the kennel's clock.
    pub now: Option<NaiveDateTime>,
    /// First day of the heat.
    pub heat_began_on: Option<NaiveDate>,
    /// Day of whelping, if it is past; the window is then what was foretold.
    pub whelped_on: Option<NaiveDate>,
    /// Dam's breed; sets the ultrasound formula and the mean length of pregnancy, where published.
    pub breed: Option<String>,
    /// Dam's adult weight, g; sets the ultrasound formula.
    pub adult_weight_g: Option<f64>,
    /// Chance of a small litter (0–1), see `PupForecast::chance_small_litter`; `None` if unknown.
    pub chance_small_litter: Option<f64>,
    /// Whether the temperature fell; `None` if it is not taken twice a day.
    pub temperature_fell: Option<bool>,
    /// Signs seen in the last day.
    pub signs: Vec<PregnancySign>,
    /// The evidence, in any order.
    pub evidence: Vec<DatingEvidence>,
}

/// What kind of evidence a line of the answer is about.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum EvidenceKind {
    /// All matings of the heat.
    Matings,
    /// LH surge.
    LhSurge,
    /// First progesterone rise.
    ProgesteroneRise,
    /// Ovulation.
    Ovulation,
    /// First day of dioestrus.
    Dioestrus,
    /// Ultrasound measure.
    Ultrasound,
    /// Radiograph.
    Radiograph,
    /// Forecast by others.
    Forecast,
    /// Progesterone near term.
    PrewhelpingProgesterone,
    /// Fall of the temperature.
    TemperatureFall,
}

/// One piece of evidence: what it says alone, and how much it counts.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct EvidenceLine {
    /// Kind.
    pub kind: EvidenceKind,
    /// Day of the observation (of the first mating, for matings).
    #[schema(example = "2024-01-01")]
    #[serde(rename = "observed_on")]
    pub on: NaiveDate,
    /// First day of its own window; `None` when it does not date the whelping.
    #[serde(rename = "earliest_on")]
    pub earliest: Option<NaiveDate>,
    /// Its own most likely day.
    #[serde(rename = "likely_on")]
    pub likely: Option<NaiveDate>,
    /// Last day of its own window.
    #[serde(rename = "latest_on")]
    pub latest: Option<NaiveDate>,
    /// Share of all information that it brings, 0–1.
    #[schema(example = 0.6)]
    pub weight: f64,
    /// What was counted.
    #[schema(value_type = String, example = "65 days from the LH surge")]
    pub detail: Text,
    /// Where the days and the spread come from.
    pub source: String,
}

/// Two pieces of evidence that can hardly both be right.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct EvidenceConflict {
    /// Places of both in `evidence`, from 0.
    pub between: [usize; 2],
    /// Days between their likely days.
    #[schema(example = 6)]
    pub days_apart: i64,
    /// How much their chances by day overlap, 0–1.
    pub overlap: f64,
    /// What it is about, in a sentence.
    #[schema(value_type = String)]
    pub detail: Text,
}

/// A shift of the expected day for what is known of the dam and the litter.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct DatingAdjustment {
    /// Why.
    #[schema(value_type = String, example = "small litter expected")]
    #[serde(rename = "reason")]
    pub what: Text,
    /// Days later (above 0) or earlier (below 0).
    #[schema(example = 0.6)]
    pub days: f64,
    /// Where it comes from.
    pub source: String,
}

/// What the day of pregnancy is counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CountedFrom {
    /// The ovulation that all evidence together points to (due on day 63).
    Ovulation,
    /// The first mating: nothing better is known.
    FirstMating,
}

/// When a litter is due.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct DueWindow {
    /// First day of the window.
    #[schema(example = "2024-03-05")]
    pub earliest: NaiveDate,
    /// Day by which whelping is as likely to have come as not.
    #[schema(example = "2024-03-06")]
    pub likely: NaiveDate,
    /// Last day of the window.
    #[schema(example = "2024-03-07")]
    pub latest: NaiveDate,
    /// Whether the window has passed without whelping: its three days then stay as they were
    /// foretold, and only `chance_by_day` speaks of the days to come.
    #[schema(example = false)]
    pub passed: bool,
    /// Chance that whelping falls in the window, 0–1.
    #[schema(example = 0.95)]
    pub coverage: f64,
    /// From when she is overdue, by each way of counting, the first reached before the others;
    /// none once born.
    pub overdue_limits: Vec<OverdueLimit>,
    /// Today's day of pregnancy (day 0 is that of `counted_from_on`); `None` after whelping or
    /// when nothing dates the ovulation.
    #[schema(example = 61)]
    pub day_of_pregnancy: Option<i64>,
    /// What it is counted from.
    pub counted_from: Option<CountedFrom>,
    /// The day it is counted from.
    pub counted_from_on: Option<NaiveDate>,
    /// Every piece of evidence.
    pub evidence: Vec<EvidenceLine>,
    /// Shifts for breed and litter.
    pub adjustments: Vec<DatingAdjustment>,
    /// Chance of whelping by day, summing to 1; days under 0.0001 are left out.
    pub chance_by_day: Vec<DayChance>,
    /// Evidence that disagrees.
    pub conflicts: Vec<EvidenceConflict>,
    /// What to mind.
    pub cautions: Vec<Caution>,
}

impl DueWindow {
    /// The chances by day, to calculate with; `None` never happens for a window made by [`due_window`].
    pub(crate) fn chances(&self) -> Option<DayChances> {
        DayChances::from_list(&self.chance_by_day)
    }
}

/// Chances under this are left out of the list; they would fill weeks with zeroes.
const LISTED_FROM: f64 = 1e-4;

/// Dates a litter from all evidence, given that it was not born before `today`.
///
/// # Errors
/// Every fault of the evidence (pointers `/evidence/3/on` …): none at all, a mating far from the
/// heat, ovulation after whelping, measures beyond their formula, samples of the future; or all
/// windows long past.
pub(crate) fn due_window(input: &DatingInput, rules: &Rules) -> Result<DueWindow, Vec<Fault>> {
    check::check(input, rules)?;
    let anchors = anchors::read(input, rules);
    let adjustments = breed::adjustments(input, rules);
    let shift: f64 = adjustments.iter().map(|a| a.days).sum();
    let grid =
        posterior::Grid::around(&anchors, shift, input.whelped_on.unwrap_or(input.today), rules);
    let no_answer = || check::out_of_reach(input);
    let born_from = if input.whelped_on.is_some() { NaiveDate::MIN } else { input.today };
    let foretold = grid.combine(anchors.iter().collect()).ok_or_else(no_answer)?;
    let coverage = rules.value("dating.coverage");
    let window_end = foretold.shortest_span(coverage).latest;
    if input.whelped_on.is_none() && check::long_past(input, window_end, rules) {
        return Err(no_answer());
    }
    let chances = foretold.not_before(born_from).ok_or_else(no_answer)?;
    // What has passed stays where it was: a window that followed today would be "likely" for ever.
    let passed = input.whelped_on.is_none() && input.today > window_end;
    // The days are those of the list: whoever reckons on with it comes to the same.
    let listed = chances.to_list(LISTED_FROM);
    let told = DayChances::from_list(&listed).ok_or_else(no_answer)?;
    let stands = if passed { &foretold } else { &told };
    let own: Vec<Option<DayChances>> =
        anchors.iter().map(|anchor| grid.combine(vec![anchor])).collect();
    let span = stands.shortest_span(coverage);
    let lines = posterior::lines(&anchors, &own, &grid);
    let counted = posterior::day_count(&anchors, &grid, input);
    let ovulation_on = counted.filter(|(from, _)| *from == CountedFrom::Ovulation).map(|c| c.1);
    let mut window = DueWindow {
        earliest: span.earliest,
        likely: stands.median(),
        latest: span.latest,
        passed,
        coverage: span.coverage,
        overdue_limits: overdue::limits(input, &lines, ovulation_on, window_end, rules),
        day_of_pregnancy: counted
            .filter(|_| input.whelped_on.is_none())
            .map(|(_, on)| (input.today - on).num_days()),
        counted_from: counted.map(|(from, _)| from),
        counted_from_on: counted.map(|(_, on)| on),
        conflicts: posterior::conflicts(&lines, &own, rules),
        evidence: lines,
        adjustments,
        chance_by_day: listed,
        cautions: Vec::new(),
    };
    window.cautions = cautions::of(input, &window, window_end, rules);
    Ok(window)
}

#[cfg(test)]
pub(crate) mod limits_tests;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod windows_tests;
