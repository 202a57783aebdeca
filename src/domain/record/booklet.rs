//! The kennel's own words in the booklet of a pup.

use super::Record;
use crate::fault::Faults;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// The kennel's own words and logo in the booklet.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields, default)]
pub struct BookletTexts {
    /// A word of welcome.
    #[schema(min_length = 1, max_length = 5000, format = "several-lines")]
    pub welcome: Option<String>,
    /// How the kennel feeds.
    #[schema(min_length = 1, max_length = 10000, format = "several-lines")]
    pub feeding: Option<String>,
    /// How the kennel cares.
    #[schema(min_length = 1, max_length = 10000, format = "several-lines")]
    pub care: Option<String>,
    /// How to reach the kennel.
    #[schema(
        example = "Mara Holt, +44 20 7946 0018",
        min_length = 1,
        max_length = 2000,
        format = "several-lines"
    )]
    pub contact: Option<String>,
    /// The logo, as SVG.
    #[schema(
        example = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"40\" height=\"40\"><circle cx=\"20\" cy=\"20\" r=\"18\"/></svg>",
        min_length = 1,
        max_length = 200000,
        format = "file"
    )]
    pub logo_svg: Option<String>,
}

impl Record for BookletTexts {
    fn check(&self, _now: DateTime<Utc>, _faults: &mut Faults) {}
}
