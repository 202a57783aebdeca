//! What to do and have ready for a litter, by when.

mod supplies;
mod template;

pub use supplies::{
    ShoppingLine, ShoppingStep, SupplyLitter, SupplyNeed, SupplyStock, shopping_list, supply_needs,
};
pub use template::{
    PreparationAnchor, PreparationTemplate, TemplateOverlay, TemplateSupply, TemplateTask,
};

use crate::domain::{
    day_chances::shift,
    rules::{Rules, Status},
    tasks::{GeneratedTask, TaskOrigin},
};
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
    #[schema(example = "Radiograph to count the pups")]
    pub title: String,
    /// Why.
    pub why: String,
    /// First day on which it can be done.
    pub from: NaiveDate,
    /// Last day on which it should be done.
    pub due_on: NaiveDate,
    /// How often on each day, for what recurs.
    #[schema(example = 2)]
    pub times_a_day: Option<u32>,
    /// Whether the days are those of the nursing weeks, reckoned from the likely birth so far.
    pub provisional: bool,
    /// Where it comes from.
    pub source: String,
    /// How far it is confirmed.
    pub status: Status,
}

impl PreparationTask {
    /// This item for the list of everything due.
    pub fn to_task(&self, litter_id: Uuid) -> GeneratedTask {
        let title = match self.times_a_day {
            Some(times) if times > 1 => format!("{} ({times} times a day)", self.title),
            _ => self.title.clone(),
        };
        GeneratedTask {
            key: self.key.clone(),
            origin: TaskOrigin::Preparation,
            title,
            litter_id: Some(litter_id),
            dog_id: None,
            from: Some(self.from),
            due_on: self.due_on,
            source: self.source.clone(),
        }
    }
}

/// The dated list of a litter, earliest first.
///
/// Once the litter is born only what hangs on the birth remains. A recurring item gives one task a
/// day, with the day in its key.
pub fn checklist(
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
    let make = |key: String, from, due_on| PreparationTask {
        key,
        item: task.key.clone(),
        title: task.title.clone(),
        why: task.why.clone(),
        from,
        due_on,
        times_a_day: task.times_a_day,
        provisional: task.anchor == PreparationAnchor::Birth && dates.whelped_on.is_none(),
        source: task.source.clone(),
        status: task.status,
    };
    match task.every_days.and_then(|n| usize::try_from(n).ok()).filter(|n| *n > 0) {
        None => vec![make(key, from, to)],
        Some(every) => from
            .iter_days()
            .take_while(|day| *day <= to)
            .step_by(every)
            .map(|day| make(format!("{key}:{day}"), day, day))
            .collect(),
    }
}

#[cfg(test)]
mod tests;
