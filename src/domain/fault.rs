//! What is wrong with something a client sent, all faults at once.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// One fault of the input and the place where it stands.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Fault {
    /// JSON pointer (RFC 6901) into the body, or `#query/name`, `#path/name`, `#header/name`, `#line/7`.
    #[schema(example = "/born_on")]
    pub pointer: String,
    /// What is wrong and what would be accepted.
    #[schema(example = "is after today (2026-03-01); give the day the dog was born")]
    pub detail: String,
}

/// A list of [`Fault`]s under construction.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Faults(Vec<Fault>);

impl Faults {
    /// No fault yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a fault at `pointer`.
    pub fn add(&mut self, pointer: impl Into<String>, detail: impl Into<String>) {
        self.0.push(Fault { pointer: pointer.into(), detail: detail.into() });
    }

    /// Adds a fault at `pointer` unless `holds`.
    pub fn unless(&mut self, holds: bool, pointer: &str, detail: impl FnOnce() -> String) {
        if !holds {
            self.add(pointer, detail());
        }
    }

    /// Whether nothing is wrong so far.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// `Ok` when there is no fault, else all of them.
    ///
    /// # Errors
    /// The faults collected.
    pub fn into_result(self) -> Result<(), Vec<Fault>> {
        if self.0.is_empty() { Ok(()) } else { Err(self.0) }
    }

    /// The faults collected.
    pub fn into_vec(self) -> Vec<Fault> {
        self.0
    }
}
