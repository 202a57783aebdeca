//! The answers about one pregnancy.

use super::{KennelTime, Pregnancy, PregnancyRecords};
use crate::{
    advice::{Caution, standing_line},
    dating::{CountedFrom, DatingAdjustment, EvidenceConflict, EvidenceLine, OverdueLimit},
    day_chances::DayChance,
    expected_pups::PupForecast,
    record::{LossKind, PregnancyCheck, PregnancyMethod, PregnancyResult},
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

/// What one check of a pregnancy saw.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PregnancySeen {
    /// The day.
    pub checked_on: NaiveDate,
    /// The day of pregnancy, where it is dated.
    #[schema(example = 28)]
    pub day_of_pregnancy: Option<i64>,
    /// How.
    pub method: PregnancyMethod,
    /// What it said.
    pub result: PregnancyResult,
    /// Pups seen for certain.
    #[schema(example = 6)]
    pub count_at_least: Option<i32>,
    /// Pups at the most.
    pub count_at_most: Option<i32>,
    /// Pups whose heart was seen to beat.
    #[schema(example = 6)]
    pub heartbeats: Option<i32>,
    /// Pups seen that had died or were being resorbed.
    #[schema(example = 1)]
    pub resorptions: Option<i32>,
    /// How the pregnancy was lost, when it was.
    pub lost_how: Option<LossKind>,
}

/// How many pups a litter will have, or had.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LitterPups {
    /// The litter.
    pub litter_id: Uuid,
    /// Pups born so far, alive or not.
    #[schema(example = 0)]
    pub born: u32,
    /// What each check saw, the first first: heartbeats, resorptions, a loss.
    pub seen: Vec<PregnancySeen>,
    /// What is expected, those born among it; null once the whelping log is finished, or fell silent, once
    /// the pregnancy is lost, and while counts contradict one another.
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
    pub fn of(records: &PregnancyRecords<'_>, pregnancy: Pregnancy, time: KennelTime) -> Self {
        let born = records.litter.is_all_born();
        let lost = !born && pregnancy.checked == Some(PregnancyResult::Lost);
        let over = born || lost;
        let seen = seen(records, pregnancy.window.as_ref().and_then(|w| w.counted_from_on), time);
        let mut lacking: Vec<Text> = Vec::new();
        if lost {
            lacking.push(said!("pregnancy-is-lost"));
        } else if born {
            lacking.push(said!("pregnancy-litter-born"));
        } else if pregnancy.pups.is_none() {
            lacking = pregnancy.lacking;
        } else if records.checks.iter().all(|c| c.count_at_least.is_none()) {
            lacking.push(said!("pregnancy-no-count"));
        }
        Self {
            litter_id: records.litter.litter.id,
            born: records.litter.born,
            seen,
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

/// What each check saw, the first first; `from` is day 0 of the pregnancy.
fn seen(
    records: &PregnancyRecords<'_>,
    from: Option<NaiveDate>,
    time: KennelTime,
) -> Vec<PregnancySeen> {
    let mut checks = records.checks.clone();
    checks.sort_by_key(|check| check.checked_at);
    let told = |check: &&PregnancyCheck| {
        let checked_on = time.day_of(check.checked_at);
        PregnancySeen {
            checked_on,
            day_of_pregnancy: from.map(|from| (checked_on - from).num_days()),
            method: check.method,
            result: check.result,
            count_at_least: check.count_at_least,
            count_at_most: check.count_at_most,
            heartbeats: check.heartbeats,
            resorptions: check.resorptions,
            lost_how: check.lost_how,
        }
    };
    checks.iter().map(told).collect()
}
