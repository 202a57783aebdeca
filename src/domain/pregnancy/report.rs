//! The answers about one pregnancy.

use super::{KennelTime, Pregnancy, PregnancyRecords};
use crate::{
    advice::{Caution, standing_line},
    dating::{CountedFrom, DatingAdjustment, EvidenceConflict, EvidenceLine, OverdueLimit},
    day_chances::DayChance,
    expected_pups::PupForecast,
    temperature::TemperatureAssessment,
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

/// Something on record that does not agree with the rest, and was left out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct EvidenceLeftOut {
    /// What it is.
    #[schema(value_type = String, example = "mating of 2026-03-13")]
    #[serde(rename = "evidence")]
    pub what: Text,
    /// Why it does not count.
    #[schema(value_type = String, example = "the mating is before the heat, which began on 2026-03-20")]
    pub why: Text,
}

/// When a litter is due, or was: the window of all evidence. Null where nothing dates it.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LitterDueWindow {
    /// The litter.
    pub litter_id: Uuid,
    /// Day of whelping, once born; the window is then what was foretold.
    pub whelped_on: Option<NaiveDate>,
    /// First day of the window.
    #[schema(example = "2026-05-13")]
    #[serde(rename = "earliest_on")]
    pub earliest: Option<NaiveDate>,
    /// Day by which whelping is as likely to have come as not.
    #[schema(example = "2026-05-15")]
    #[serde(rename = "likely_on")]
    pub likely: Option<NaiveDate>,
    /// Last day of the window.
    #[schema(example = "2026-05-17")]
    #[serde(rename = "latest_on")]
    pub latest: Option<NaiveDate>,
    /// Whether the window has passed without whelping: its three days then stay as they were
    /// foretold, and only `chance_by_day` speaks of the days to come.
    #[schema(example = false)]
    pub passed: bool,
    /// Chance that whelping falls in the window, 0–1.
    #[schema(example = 0.95)]
    pub coverage: Option<f64>,
    /// From when she is overdue, by each way of counting, the first reached before the others;
    /// none once born.
    pub overdue_limits: Vec<OverdueLimit>,
    /// Today's day of pregnancy, day 0 being that of `counted_from_on`; null before it and once born.
    #[schema(example = 58)]
    pub day_of_pregnancy: Option<i64>,
    /// What the days are counted from.
    pub counted_from: Option<CountedFrom>,
    /// The day that they are counted from.
    pub counted_from_on: Option<NaiveDate>,
    /// Days from there to the whelping, once born.
    #[schema(example = 63)]
    pub length_days: Option<i64>,
    /// Every piece of evidence with its own window and weight.
    pub evidence: Vec<EvidenceLine>,
    /// Shifts for breed and litter.
    pub adjustments: Vec<DatingAdjustment>,
    /// Chance of whelping by day, summing to 1.
    pub chance_by_day: Vec<DayChance>,
    /// Evidence that disagrees.
    pub conflicts: Vec<EvidenceConflict>,
    /// Records that go against the others and do not count.
    pub left_out: Vec<EvidenceLeftOut>,
    /// What would be needed for an answer.
    #[schema(value_type = Vec<String>)]
    pub lacking: Vec<Text>,
    /// What to mind.
    pub cautions: Vec<Caution>,
    /// The line that stands beside every piece of advice.
    #[schema(value_type = String)]
    pub standing_line: Text,
}

/// How many pups a litter will have, or had.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LitterPups {
    /// The litter.
    pub litter_id: Uuid,
    /// Pups born so far, alive or not.
    #[schema(example = 0)]
    pub born: u32,
    /// What is expected, those born among it; null once the whelping log is finished, or fell silent,
    /// and while counts contradict one another.
    pub forecast: Option<PupForecast>,
    /// Why there is no forecast, or what would better it.
    #[schema(value_type = Vec<String>)]
    pub lacking: Vec<Text>,
}

/// A dam's temperature near term.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LitterTemperature {
    /// The litter.
    pub litter_id: Uuid,
    /// The dam.
    pub dam_id: Uuid,
    /// What her readings say; null while there are none.
    pub assessment: Option<TemperatureAssessment>,
    /// What would be needed.
    #[schema(value_type = Vec<String>)]
    pub lacking: Vec<Text>,
    /// Readings that cannot be right.
    pub left_out: Vec<EvidenceLeftOut>,
    /// The line that stands beside every piece of advice.
    #[schema(value_type = String)]
    pub standing_line: Text,
}

impl LitterDueWindow {
    /// The window of a litter.
    pub fn of(records: &PregnancyRecords<'_>, pregnancy: Pregnancy, time: KennelTime) -> Self {
        let litter = &records.litter.litter;
        let whelped_on = litter.record.whelped_on;
        let Pregnancy { window, left_out, lacking, mut cautions, .. } = pregnancy;
        let mut answer = Self {
            litter_id: litter.id,
            whelped_on,
            earliest: None,
            likely: None,
            latest: None,
            passed: false,
            coverage: None,
            overdue_limits: Vec::new(),
            day_of_pregnancy: None,
            counted_from: None,
            counted_from_on: None,
            length_days: None,
            evidence: Vec::new(),
            adjustments: Vec::new(),
            chance_by_day: Vec::new(),
            conflicts: Vec::new(),
            left_out,
            lacking,
            cautions: Vec::new(),
            standing_line: standing_line(),
        };
        if let Some(window) = window {
            let from = window.counted_from_on;
            answer.earliest = Some(window.earliest);
            answer.likely = Some(window.likely);
            answer.latest = Some(window.latest);
            answer.passed = window.passed;
            answer.coverage = Some(window.coverage);
            answer.overdue_limits = window.overdue_limits;
            answer.day_of_pregnancy = window
                .day_of_pregnancy
                .filter(|_| whelped_on.is_none() && from.is_some_and(|on| on <= time.today()));
            answer.counted_from = window.counted_from;
            answer.counted_from_on = from;
            answer.length_days = whelped_on.zip(from).map(|(born, from)| (born - from).num_days());
            answer.evidence = window.evidence;
            answer.adjustments = window.adjustments;
            answer.chance_by_day = window.chance_by_day;
            answer.conflicts = window.conflicts;
            cautions.extend(window.cautions);
        }
        cautions.sort_by_key(|caution| std::cmp::Reverse(caution.level));
        answer.cautions = cautions;
        answer
    }
}

impl LitterPups {
    /// The pups of a litter.
    pub fn of(records: &PregnancyRecords<'_>, pregnancy: Pregnancy) -> Self {
        let over = records.litter.is_all_born();
        let mut lacking: Vec<Text> = Vec::new();
        if over {
            lacking.push(said!("pregnancy-litter-born"));
        } else if pregnancy.pups.is_none() {
            lacking = pregnancy.lacking;
        } else if records.checks.iter().all(|c| c.count_at_least.is_none()) {
            lacking.push(said!("pregnancy-no-count"));
        }
        Self {
            litter_id: records.litter.litter.id,
            born: records.litter.born,
            forecast: pregnancy.pups.filter(|_| !over),
            lacking,
        }
    }
}

impl LitterTemperature {
    /// The temperature of a litter's dam.
    pub fn of(records: &PregnancyRecords<'_>, pregnancy: Pregnancy) -> Self {
        let lacking = match &pregnancy.temperature {
            None => vec![said!("pregnancy-no-readings")],
            Some(_) => Vec::new(),
        };
        let of_temperature =
            |left: &EvidenceLeftOut| left.what.id() == Some("pregnancy-temperature-of");
        Self {
            litter_id: records.litter.litter.id,
            dam_id: records.dam.dam_id,
            assessment: pregnancy.temperature,
            lacking,
            left_out: pregnancy.left_out.into_iter().filter(of_temperature).collect(),
            standing_line: standing_line(),
        }
    }
}
