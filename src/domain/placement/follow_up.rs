//! When to ask how a pup that has gone home is.

use crate::{rules::Status, schedule::plus};
use catalogue::Text;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;
use utoipa::ToSchema;
use uuid::Uuid;

const TABLE: &str = include_str!("../rules/follow_up.toml");

/// From what a reminder is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum FollowUpAnchor {
    /// The day of the hand-over.
    HandOver,
    /// The day of birth.
    Birth,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Reminder {
    key: String,
    name: String,
    #[serde(rename = "anchor")]
    from: FollowUpAnchor,
    days: i64,
    source: String,
    #[serde(rename = "confirmation")]
    status: Status,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ReminderFile {
    reminder: Vec<Reminder>,
}

#[expect(clippy::expect_used, reason = "embedded at compile time; a test reads it")]
static REMINDERS: LazyLock<ReminderFile> =
    LazyLock::new(|| toml::from_str(TABLE).expect("embedded follow-up reminders"));

/// A reminder to ask the new owner.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct FollowUp {
    /// Name for machines.
    #[schema(example = "first_call")]
    pub key: String,
    /// What to ask.
    #[schema(
        value_type = String,
        example = "Ask how the first nights were, whether it eats and sleeps"
    )]
    pub name: Text,
    /// From what it is counted.
    #[serde(rename = "anchor")]
    pub from: FollowUpAnchor,
    /// The day.
    pub due_on: NaiveDate,
    /// Whether the day has come and it is not done.
    pub due: bool,
    /// When it was done.
    pub done_on: Option<NaiveDate>,
    /// Where the day comes from.
    #[schema(example = "common practice, no source")]
    pub source: String,
    /// How it was confirmed.
    #[serde(rename = "confirmation")]
    pub status: Status,
}

/// The follow-ups of one pup that has gone.
#[derive(Debug, Clone)]
pub struct FollowUpsOfPup {
    /// The placement.
    pub placement_id: Uuid,
    /// The pup.
    pub dog_id: Uuid,
    /// What it is called.
    pub dog_name: Option<String>,
    /// Its new owner.
    pub buyer_id: Option<Uuid>,
    /// The reminders, by their day.
    pub reminders: Vec<FollowUp>,
}

/// The reminders of a pup that has gone home, by their day, as of `today`.
///
/// A reminder counted from birth is left out when its day was before the hand-over, or when the
/// day of birth is unknown. `done` holds the keys of those done and the day.
pub fn follow_ups(
    handed_over_on: NaiveDate,
    born_on: Option<NaiveDate>,
    done: &[(String, NaiveDate)],
    today: NaiveDate,
) -> Vec<FollowUp> {
    let mut list: Vec<FollowUp> = REMINDERS
        .reminder
        .iter()
        .filter_map(|reminder| {
            let base = match reminder.from {
                FollowUpAnchor::HandOver => Some(handed_over_on),
                FollowUpAnchor::Birth => born_on,
            };
            let due_on = plus(base?, reminder.days);
            let done_on = done.iter().find(|(key, _)| *key == reminder.key).map(|(_, on)| *on);
            (due_on >= handed_over_on).then(|| FollowUp {
                key: reminder.key.clone(),
                name: Text::keyed("follow-up", &reminder.key, &reminder.name),
                from: reminder.from,
                due_on,
                due: done_on.is_none() && today >= due_on,
                done_on,
                source: reminder.source.clone(),
                status: reminder.status,
            })
        })
        .collect();
    list.sort_by_key(|follow_up| follow_up.due_on);
    list
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reminders_run_from_hand_over_and_birth() {
        let born: NaiveDate = "2026-01-01".parse().unwrap();
        let gone = plus(born, 60);
        let done = [("first_call".to_owned(), plus(gone, 2))];
        let list = follow_ups(gone, Some(born), &done, plus(born, 182));
        let days: Vec<i64> = list.iter().map(|f| (f.due_on - born).num_days()).collect();
        assert_eq!(days, [63, 74, 119, 182, 365, 548]);
        let due: Vec<bool> = list.iter().map(|f| f.due).collect();
        assert_eq!(due, [false, true, true, true, false, false]);
        // A grown dog is not asked about its puppy vaccinations.
        assert_eq!(follow_ups(plus(born, 400), Some(born), &[], plus(born, 400)).len(), 3);
        assert_eq!(follow_ups(gone, None, &[], gone).len(), 2);
    }
}
