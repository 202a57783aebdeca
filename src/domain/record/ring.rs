//! Whom alarms reach: what each member chose, the devices that ring, and who is on duty.

use super::{
    Record,
    words::{none_of, words},
};
use crate::{
    advice::{CautionCode, Level},
    fault::Faults,
    rings::time_of_day,
};
use catalogue::{Language, said};
use chrono::{DateTime, NaiveTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

words! {
    /// By which way somebody is rung.
    RingWay {
        /// A message to each of their devices.
        Push = "push",
        /// A mail.
        Mail = "mail",
    }
}

/// Hours of the kennel's day in which nothing rings; what is due then rings at their end.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct QuietHours {
    /// From this time on.
    #[schema(example = "22:00", pattern = "^([01][0-9]|2[0-3]):[0-5][0-9]$")]
    pub begin: String,
    /// Until this time, on the next day when it is earlier.
    #[schema(example = "06:30", pattern = "^([01][0-9]|2[0-3]):[0-5][0-9]$")]
    pub end: String,
    /// Whether emergencies wait, too.
    #[serde(default)]
    pub emergencies: bool,
}

impl QuietHours {
    /// Begin and end; `None` for what is no time of day.
    pub fn span(&self) -> Option<(NaiveTime, NaiveTime)> {
        Some((time_of_day(&self.begin)?, time_of_day(&self.end)?))
    }
}

/// Of which alarms and tasks a member is rung, by which way and when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RingChoices {
    /// By which ways; empty for none.
    #[serde(default)]
    #[schema(max_items = 2)]
    pub ways: Vec<RingWay>,
    /// From this level on.
    #[serde(default = "act")]
    pub level: Level,
    /// Only these families, the part of a code before its dot; empty for all.
    #[serde(default)]
    #[schema(example = json!(["whelping", "newborn"]), max_items = 20)]
    pub kinds: Vec<String>,
    /// Only about these litters; empty for all. It holds for tasks, too.
    #[serde(default)]
    #[schema(max_items = 100)]
    pub litter_ids: Vec<Uuid>,
    /// When it is quiet; null for never.
    #[serde(default)]
    pub quiet: Option<QuietHours>,
    /// While others are on duty: minutes for which nobody has marked it seen before it rings here; null for never.
    #[serde(default = "quarter_of_an_hour")]
    #[schema(example = 15, minimum = 0, maximum = 1440)]
    pub unseen_minutes: Option<i32>,
    /// When the tasks that come due on a day ring, each once and the chores of the day together; what comes due
    /// later that day rings then. Null for never.
    #[serde(default)]
    #[schema(example = "07:30", pattern = "^([01][0-9]|2[0-3]):[0-5][0-9]$")]
    pub tasks_at: Option<String>,
    /// When a daily letter comes by mail, should something be due; null for never.
    #[serde(default)]
    #[schema(example = "06:30", pattern = "^([01][0-9]|2[0-3]):[0-5][0-9]$")]
    pub letter_at: Option<String>,
    /// The language of what is said.
    #[serde(default)]
    pub language: Language,
}

fn act() -> Level {
    Level::Act
}

/// How long whoever is on duty has for it (common practice, no source).
fn quarter_of_an_hour() -> Option<i32> {
    Some(15)
}

impl Default for RingChoices {
    fn default() -> Self {
        Self {
            ways: Vec::new(),
            level: act(),
            kinds: Vec::new(),
            litter_ids: Vec::new(),
            quiet: None,
            unseen_minutes: quarter_of_an_hour(),
            tasks_at: None,
            letter_at: None,
            language: Language::default(),
        }
    }
}

impl Record for RingChoices {
    fn check(&self, _now: DateTime<Utc>, faults: &mut Faults) {
        let mut families: Vec<&'static str> =
            CautionCode::ALL.iter().map(|code| code.family()).collect();
        families.sort_unstable();
        families.dedup();
        for (index, kind) in self.kinds.iter().enumerate() {
            if !families.contains(&kind.as_str()) {
                faults.add(format!("/kinds/{index}"), none_of(kind, &families));
            }
        }
        if let Some(quiet) = &self.quiet {
            faults
                .unless(quiet.begin != quiet.end, "/quiet/end", || said!("fault-disordered-quiet"));
        }
    }
}

/// That somebody is on duty for a time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DutyTurn {
    /// Who: a member of the kennel.
    pub person_id: Uuid,
    /// From when on.
    #[schema(example = "2026-05-29T20:00:00Z")]
    pub begins_at: DateTime<Utc>,
    /// Until when.
    pub ends_at: DateTime<Utc>,
}

/// Who is on duty when; they are rung before the others.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DutyRoster {
    /// In any order; several may be on duty at once.
    #[serde(default)]
    #[schema(max_items = 200)]
    pub turns: Vec<DutyTurn>,
}

impl Record for DutyRoster {
    fn check(&self, _now: DateTime<Utc>, faults: &mut Faults) {
        for (index, turn) in self.turns.iter().enumerate() {
            faults.unless(
                turn.begins_at < turn.ends_at,
                &format!("/turns/{index}/ends_at"),
                || said!("fault-disordered-duty-turn"),
            );
        }
    }
}

/// A device that is to ring, as its browser subscribes it (`PushSubscription`).
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PushDevice {
    /// What it is called.
    #[schema(example = "Maren's phone", min_length = 1, max_length = 100)]
    pub name: String,
    /// The address of its push service, kept as a secret.
    #[schema(example = "https://push.example/send/8f3a", min_length = 1, max_length = 2000)]
    pub endpoint: String,
    /// Its keys, for which messages are sealed.
    pub keys: PushKeys,
}

/// The keys of a device, in URL-safe base 64.
#[derive(Debug, Clone, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PushKeys {
    /// Its point of the curve P-256.
    #[schema(
        example = "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4",
        min_length = 87,
        max_length = 88
    )]
    pub p256dh: String,
    /// Its secret.
    #[schema(example = "BTBZMqHH6r4Tts7J_aSIgg", min_length = 22, max_length = 24)]
    pub auth: String,
}

impl Record for PushDevice {
    fn check(&self, _now: DateTime<Utc>, _faults: &mut Faults) {}
}

#[cfg(test)]
mod tests {
    use super::*;

    fn faults(choices: serde_json::Value) -> Vec<String> {
        let choices: RingChoices = serde_json::from_value(choices).unwrap();
        let mut faults = Faults::new();
        choices.check(DateTime::UNIX_EPOCH, &mut faults);
        let found = faults.into_result().err().unwrap_or_default();
        found.into_iter().map(|fault| fault.pointer).collect()
    }

    #[test]
    fn what_is_left_out_is_chosen_as_most_would() {
        let choices: RingChoices = serde_json::from_str("{}").unwrap();
        assert_eq!(choices, RingChoices::default());
        assert_eq!((choices.level, choices.unseen_minutes), (Level::Act, Some(15)));
        let never: RingChoices = serde_json::from_str(r#"{"unseen_minutes": null}"#).unwrap();
        assert_eq!(never.unseen_minutes, None);
    }

    #[test]
    fn families_are_those_of_codes_and_quiet_hours_last() {
        use serde_json::json;
        assert!(faults(json!({ "kinds": ["whelping", "go_home"] })).is_empty());
        assert_eq!(faults(json!({ "kinds": ["whelping", "whelps"] })), ["/kinds/1"]);
        let quiet = |end: &str| json!({ "quiet": { "begin": "22:00", "end": end } });
        assert!(faults(quiet("06:00")).is_empty());
        assert_eq!(faults(quiet("22:00")), ["/quiet/end"]);
    }
}
