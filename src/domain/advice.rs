//! Advice that touches health, and where it comes from.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The line that stands beside every piece of advice.
pub const STANDING_LINE: &str =
    "Guidance from published sources; a licensed veterinarian and local law decide.";

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

/// Something that a person should know or do about an animal's health.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Caution {
    /// How soon to act.
    pub level: Level,
    /// What is the case and what to do, in one plain sentence.
    #[schema(
        example = "Pup 3 has lost weight since yesterday: check it nurses, weigh again in 4 hours."
    )]
    pub what: String,
    /// The figures behind it.
    #[schema(example = "312 g after 320 g (-2.5 %).")]
    pub why: String,
    /// Where the threshold comes from.
    #[schema(example = "common practice, no source")]
    pub source: String,
}

impl Caution {
    /// A caution at `level`.
    pub fn new(
        level: Level,
        what: impl Into<String>,
        why: impl Into<String>,
        source: impl Into<String>,
    ) -> Self {
        Self { level, what: what.into(), why: why.into(), source: source.into() }
    }
}
