//! What to do and have ready for a litter, by when.

mod records;
mod shopping;
mod supplies;
mod template;

pub use records::PreparationRecords;
pub(crate) use shopping::shopping_list;
pub use shopping::{ShoppingLine, ShoppingStep, SupplyStock};
pub(crate) use supplies::supply_needs;
pub use supplies::{SupplyLitter, SupplyNeed};
pub(crate) use template::ClosedBy;
pub use template::{
    PreparationAnchor, PreparationTemplate, TemplateOverlay, TemplateSupply, TemplateTask,
};

use crate::{
    day_chances::shift,
    rules::{Rules, Status},
    tasks::{GeneratedTask, TaskOrigin, Turn},
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;

/// The dates of a litter that preparation hangs on.
#[derive(Debug, Clone, PartialEq)]
pub struct PreparationDates {
    /// Litter.
    pub litter_id: Uuid,
    /// Day 0 of pregnancy (ovulation, due on day 63), see `DueWindow::counted_from_on`; `None` to
    /// count back from the likely day.
    pub pregnancy_from: Option<NaiveDate>,
    /// First day of the due window.
    pub earliest: NaiveDate,
    /// Likely day.
    pub likely: NaiveDate,
    /// Last day of the due window.
    pub latest: NaiveDate,
    /// Day of birth, once born.
    pub whelped_on: Option<NaiveDate>,
}

/// One thing to do for a litter.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct PreparationTask {
    /// Key that stays the same when the due window moves.
    #[schema(example = "litter:018f2f3e-0000-7000-8000-000000000001:prep:xray_count")]
    pub key: String,
    /// Item of the template.
    #[schema(example = "xray_count")]
    pub item: String,
    /// What to do.
    #[schema(value_type = String, example = "Radiograph to count the pups")]
    pub title: Text,
    /// Why.
    #[schema(value_type = String)]
    pub why: Text,
    /// First day on which it can be done.
    #[serde(rename = "possible_on")]
    pub from: NaiveDate,
    /// Last day on which it should be done.
    pub due_on: NaiveDate,
    /// How often on each day, for what recurs.
    #[schema(example = 2)]
    pub times_a_day: Option<u32>,
    /// Days between repeats; null for once.
    #[schema(example = 7)]
    pub every_days: Option<u32>,
    /// Last day on which it is of use.
    #[serde(rename = "last_useful_on")]
    pub of_use_until: NaiveDate,
    /// What on record closes it; null when it can only be ticked.
    pub closed_by: Option<ClosedBy>,
    /// Whether the days are those of the nursing weeks, reckoned from the likely birth so far.
    pub provisional: bool,
    /// Where it comes from.
    pub source: String,
    /// How far it is confirmed.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

impl PreparationTask {
    /// This item for the list of everything due, with what is on record of it.
    pub(crate) fn to_task(&self, litter_id: Uuid, records: &PreparationRecords) -> GeneratedTask {
        let (done, times) = (records.times_taken(self), self.times_a_day.unwrap_or(1));
        let title = match times {
            0 | 1 => self.title.clone(),
            _ if (1..times).contains(&done) => {
                said!("task-done-of", title = &self.title, done = done, times = times)
            }
            _ => said!("task-times-a-day", title = &self.title, times = times),
        };
        let turn = if self.every_days.is_some() { Turn::Chores } else { Turn::Prepare };
        let made = GeneratedTask::new(
            self.key.clone(),
            (TaskOrigin::Preparation, turn),
            title,
            self.due_on,
            self.source.clone(),
        );
        GeneratedTask {
            litter_id: Some(litter_id),
            from: Some(self.from),
            of_use_until: Some(self.of_use_until),
            recorded_on: records.recorded_on(self),
            ..made
        }
    }
}

/// The dated list of a litter, earliest first.
///
/// Once the litter is born only what hangs on the birth remains. A recurring item gives one task a
/// day, with the day in its key.
pub(crate) fn checklist(
    dates: &PreparationDates,
    template: &PreparationTemplate,
    rules: &Rules,
) -> Vec<PreparationTask> {
    let mut tasks: Vec<PreparationTask> = template
        .tasks
        .iter()
        .filter(|t| dates.whelped_on.is_none() || t.anchor == PreparationAnchor::Birth)
        .flat_map(|t| expand(t, dates, rules))
        .collect();
    tasks.sort_by(|a, b| (a.due_on, a.from, &a.key).cmp(&(b.due_on, b.from, &b.key)));
    tasks
}

fn anchor_day(anchor: PreparationAnchor, dates: &PreparationDates, rules: &Rules) -> NaiveDate {
    #[expect(clippy::cast_possible_truncation, reason = "a rule of days")]
    let length = rules.value("dating.ovulation_days").round() as i64;
    match anchor {
        PreparationAnchor::Pregnancy => {
            dates.pregnancy_from.unwrap_or_else(|| shift(dates.likely, -length))
        }
        PreparationAnchor::DueEarliest => dates.earliest,
        PreparationAnchor::DueLikely => dates.likely,
        PreparationAnchor::DueLatest => dates.latest,
        PreparationAnchor::Birth => dates.whelped_on.unwrap_or(dates.likely),
    }
}

fn expand(task: &TemplateTask, dates: &PreparationDates, rules: &Rules) -> Vec<PreparationTask> {
    let from = shift(anchor_day(task.anchor, dates, rules), task.from_day);
    let end = task.to_anchor.unwrap_or(task.anchor);
    let to = shift(anchor_day(end, dates, rules), task.to_day).max(from);
    let key = format!("litter:{}:prep:{}", dates.litter_id, task.key);
    let make = |key: String, from, due_on, of_use_until| PreparationTask {
        key,
        item: task.key.clone(),
        title: task.title.clone(),
        why: task.why.clone(),
        from,
        due_on,
        times_a_day: task.times_a_day,
        every_days: task.every_days,
        of_use_until,
        closed_by: task.closed_by,
        provisional: task.anchor == PreparationAnchor::Birth && dates.whelped_on.is_none(),
        source: task.source.clone(),
        status: task.status,
    };
    match task.every_days.filter(|every| *every > 0) {
        None => vec![make(key, from, to, shift(to, of_use_days(task, rules)))],
        Some(every) => from
            .iter_days()
            .take_while(|day| *day <= to)
            .step_by(usize::try_from(every).unwrap_or(1))
            // A round that was missed is made good by the next one.
            .map(|day| make(format!("{key}:{day}"), day, day, shift(day, i64::from(every) - 1)))
            .collect(),
    }
}

/// Days after its last for which a thing to do once is of use still.
fn of_use_days(task: &TemplateTask, rules: &Rules) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "a rule of days")]
    let usual = rules.value("tasks.preparation_of_use").round() as i64;
    task.of_use_days.map_or(usual, i64::from)
}

#[cfg(test)]
pub(crate) mod tests;
