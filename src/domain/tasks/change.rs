//! What somebody notes about a task, and the mark that it leaves.

use super::{TaskLine, TaskMark};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

#[cfg(test)]
mod tests;

/// What to note about a task: a JSON Merge Patch, null clears, absent leaves.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TaskChange {
    /// Who is to do it: a member of the kennel.
    #[serde(default)]
    pub assignee_id: Option<Uuid>,
    /// When it was done; whoever sends it has done it.
    #[serde(default)]
    #[schema(example = "2026-05-04T08:00:00+02:00")]
    pub done_at: Option<DateTime<Utc>>,
    /// Put off to this day.
    #[serde(default, rename = "snooze_ends_on")]
    #[schema(example = "2026-05-08")]
    pub snoozed_until: Option<NaiveDate>,
    /// Why it is put off.
    #[serde(default)]
    #[schema(example = "the vet is away", min_length = 1, max_length = 500)]
    pub snooze_reason: Option<String>,
}

impl TaskChange {
    /// What is noted about a task already.
    pub fn of(line: &TaskLine) -> Self {
        Self {
            assignee_id: line.assignee_id,
            done_at: line.done_at,
            snoozed_until: line.snoozed_until,
            snooze_reason: line.snooze_reason.clone(),
        }
    }

    /// The mark that it leaves when `by` notes it about a task; `says_done` tells whether the person said
    /// anything of it being done.
    pub fn mark(self, line: &TaskLine, says_done: bool, by: Uuid) -> TaskMark {
        // Who did it stays, unless somebody says anew that it is done.
        let did = if says_done { Some(by) } else { line.done_by };
        let open = self.done_at.is_none();
        TaskMark {
            assignee_id: self.assignee_id,
            done_at: self.done_at,
            done_by: did.filter(|_| !open),
            // A task that somebody says is done needs no day, and one that is done no reason, for being put
            // off; a day for one that was done before is refused.
            snoozed_until: self.snoozed_until.filter(|_| open || !says_done),
            snooze_reason: self.snooze_reason.filter(|_| open),
        }
    }
}
