//! Which tasks of the list somebody wants to see.

use super::{DaysAhead, TaskLine, TaskOrigin, TaskStatus, within};
use crate::rules::Rules;
use chrono::NaiveDate;
use serde::Deserialize;
use utoipa::IntoParams;
use uuid::Uuid;

#[cfg(test)]
mod tests;

/// Which tasks to list.
#[derive(Debug, Clone, Default, Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct TaskFilter {
    /// Only with this status; what is done, or of no more use, is listed only when asked for.
    pub status: Option<TaskStatus>,
    /// Only from this origin.
    pub origin: Option<TaskOrigin>,
    /// Only about this litter, alone or with others.
    pub litter_id: Option<Uuid>,
    /// Only about this dog, alone or with others.
    pub dog_id: Option<Uuid>,
    /// Only for this person.
    pub assignee_id: Option<Uuid>,
    /// Only due on this day or earlier; a later one than the horizon's moves that.
    #[param(example = "2026-05-31")]
    pub due_by: Option<NaiveDate>,
    /// How many days ahead to look; 14 when left out, or what the kennel set as `tasks.horizon`.
    #[param(value_type = Option<i64>, minimum = 0, maximum = 366, example = 14)]
    pub horizon_days: Option<DaysAhead>,
}

impl TaskFilter {
    /// Whether a line is wanted.
    pub(crate) fn wants(&self, line: &TaskLine, today: NaiveDate, rules: &Rules) -> bool {
        let usual = DaysAhead::usual(rules);
        let usual = self.due_by.map_or(usual, |day| usual.at_least_to(day, today));
        let past = self.status == Some(line.status) && !line.status.is_to_do();
        (past || within(line, today, self.horizon_days.unwrap_or(usual)))
            && self.status.is_none_or(|status| status == line.status)
            && self.origin.is_none_or(|origin| origin == line.origin)
            && self.litter_id.is_none_or(|id| line.is_about_litter(id))
            && self.dog_id.is_none_or(|id| line.is_about_dog(id))
            && self.assignee_id.is_none_or(|id| Some(id) == line.assignee_id)
            && self.due_by.is_none_or(|day| line.due_on <= day)
    }
}
