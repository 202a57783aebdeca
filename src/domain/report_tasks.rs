//! Reports of new owners that wait for a decision, as tasks of those who place pups.

use super::{
    day_chances::shift,
    moment::Moment,
    record::{BuyerReport, Kept, ToldKind},
    tasks::{GeneratedTask, TaskOrigin, Turn, task_key},
};
use catalogue::{Text, said};
use chrono::{NaiveDate, Timelike as _};

/// A report that nobody has decided, and what its dog is called.
pub type WaitingReport = (Kept<BuyerReport>, Option<String>);

/// Whether it tells of an illness, which may be in its relatives, too, or of a death.
fn is_grave(report: &BuyerReport) -> bool {
    let grave = |kind| matches!(kind, ToldKind::Illness | ToldKind::Death);
    report.news.health.iter().any(|told| grave(told.kind))
}

/// The day on which a report is due to be read: the day after it was told; of illness or death the same day, unless
/// it came in the evening. So it rings by the hour of tasks, and never in the night.
fn due_on(report: &Kept<BuyerReport>, moment: &Moment) -> NaiveDate {
    let told = report.created_at.with_timezone(&moment.zone);
    let evening = moment.rules.value("placement.report_evening_hour");
    let in_time = f64::from(told.num_seconds_from_midnight()) < evening * 3600.0;
    match is_grave(&report.record) && in_time {
        true => told.date_naive(),
        false => shift(told.date_naive(), 1),
    }
}

/// A task for each report that waits; it goes when somebody decides.
pub(crate) fn report_tasks(reports: &[WaitingReport], moment: &Moment) -> Vec<GeneratedTask> {
    let task = |(report, dog): &WaitingReport| {
        let dog_name = dog.as_deref().map_or_else(|| said!("task-a-pup"), Text::verbatim);
        let kinds = report.record.news.health.iter().map(|told| told.kind);
        let title = if kinds.clone().any(|kind| kind == ToldKind::Death) {
            said!("task-report-of-death", dog = dog_name)
        } else if is_grave(&report.record) {
            said!("task-report-of-illness", dog = dog_name)
        } else {
            said!("task-report", dog = dog_name)
        };
        let key = task_key("report", report.id, "go_home", "decide", None);
        let made = (TaskOrigin::GoHome, Turn::Ask);
        let source = moment.rules.get("placement.report_evening_hour").source.clone();
        GeneratedTask {
            dog_id: Some(report.record.dog_id),
            from: Some(moment.day_of(report.created_at)),
            ..GeneratedTask::new(key, made, title, due_on(report, moment), source)
        }
    };
    reports.iter().map(task).collect()
}

#[cfg(test)]
pub(crate) mod tests;
