//! Advice that touches health, and where it comes from.

mod code;

pub(crate) use code::CautionCode;

use crate::alarms::AlarmSeen;
use catalogue::{Text, said};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;
use utoipa::ToSchema;
use uuid::Uuid;

/// Where a caution comes from that no single source stands behind; sources are named in English.
pub(crate) const STANDING_SOURCE: &str =
    "Guidance from published sources; a licensed veterinarian and local law decide.";

/// The line that stands beside every piece of advice.
pub fn standing_line() -> Text {
    said!("standing-line")
}

/// How soon a person should do something about a [`Caution`].
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Level {
    /// Worth knowing; nothing is wrong yet.
    Note,
    /// Do something today.
    Act,
    /// Call a veterinarian now.
    Emergency,
}

/// Figures by name, with their units in the names.
pub type Params = BTreeMap<String, Value>;

/// Something that a person should know or do about an animal's health.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Caution {
    /// What kind of thing it is: a word that stays, for translation.
    pub code: CautionCode,
    /// How soon to act.
    pub level: Level,
    /// What is the case and what to do, in one plain sentence.
    #[schema(
        value_type = String,
        example = "Pup 3 has lost weight since yesterday: check it nurses, weigh again in 4 hours."
    )]
    pub what: Text,
    /// The figures behind it.
    #[schema(value_type = String, example = "312 g after 320 g (-2.5 %).")]
    pub why: Text,
    /// Where the threshold comes from.
    #[schema(example = "common practice, no source")]
    pub source: String,
    /// The same figures by name, for translation; units stand in the names.
    #[schema(value_type = Object, example = json!({"weight_g": 312.0, "before_g": 320.0}))]
    pub params: Params,
    /// The alarm that it is, in the list of alarms; null for what judges a question that was asked: a
    /// trial mating, a ration, whether a pup may go home.
    #[serde(default)]
    pub alarm: Option<AlarmShown>,
}

/// An alarm, where another answer shows it as a caution.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct AlarmShown {
    /// Its id in the list of alarms.
    pub id: Uuid,
    /// Who has seen it; null when nobody has, or when it has become graver since.
    pub seen: Option<AlarmSeen>,
}

impl Caution {
    /// A caution at `level`.
    pub fn new(
        code: CautionCode,
        level: Level,
        what: impl Into<Text>,
        why: impl Into<Text>,
        source: impl Into<String>,
    ) -> Self {
        Self {
            code,
            level,
            what: what.into(),
            why: why.into(),
            source: source.into(),
            params: Params::new(),
            alarm: None,
        }
    }

    /// The same with a figure that stands in its words.
    pub fn with(mut self, name: &str, value: impl Into<Value>) -> Self {
        self.params.insert(name.to_owned(), value.into());
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_standing_line_is_the_one_that_sources_name() {
        assert_eq!(standing_line(), STANDING_SOURCE);
    }
}
