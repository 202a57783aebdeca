//! What is wrong with a file, by line.

use crate::{
    advice::Params,
    fault::{Fault, FaultCode, MOST_TOLD},
};
use catalogue::Text;
use serde::{Deserialize, Serialize};

/// What kind of fault a file has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LineFaultKind {
    /// There is no row.
    Empty,
    /// Not UTF-8, a NUL character, or no file of the kind that it is sent as.
    Encoding,
    /// A column that is neither known nor mapped, or one field in two columns.
    Column,
    /// A column that must be there is not.
    MissingColumn,
    /// A row with more or fewer fields than there are columns.
    Ragged,
    /// A row without an id, or whatever else it would be known by.
    MissingId,
    /// Two rows for one.
    DuplicateId,
    /// A text that is not a value of its column.
    Value,
    /// A name that may mean several dogs.
    Ambiguous,
    /// Animals that are their own ancestors.
    Cycle,
    /// A female sire or a male dam.
    Sex,
    /// One animal as a sire in one row and as a dam in another.
    BothRoles,
    /// One animal as sire and dam of the same row.
    SameParent,
    /// A parent that is not older than its offspring.
    ParentNotOlder,
}

/// One fault of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineFault {
    /// What kind of fault.
    pub kind: LineFaultKind,
    /// Where: `#line/7`, `#line/7/born_on`, or `#query/born_on` for a parameter.
    pub pointer: String,
    /// What kind of thing is wrong, as an answer says it.
    pub code: FaultCode,
    /// What stands in the detail by name.
    pub params: Params,
    /// What is wrong and what would be accepted.
    pub detail: Text,
    /// The animals at fault, by their ids in the file.
    pub ids: Vec<String>,
}

impl From<LineFault> for Fault {
    fn from(fault: LineFault) -> Self {
        let LineFault { pointer, code, params, detail, .. } = fault;
        Self { pointer, code, params, detail }
    }
}

impl LineFault {
    /// A fault of a line as a whole.
    pub(crate) fn at_line(
        kind: LineFaultKind,
        line: u64,
        ids: &[&str],
        detail: impl Into<Text>,
    ) -> Self {
        let ids = ids.iter().map(|id| (*id).to_owned()).collect();
        Self::of(kind, Fault::new(format!("#line/{line}"), detail), ids)
    }

    fn of(kind: LineFaultKind, fault: Fault, ids: Vec<String>) -> Self {
        let Fault { pointer, code, params, detail } = fault;
        Self { kind, pointer, code, params, detail, ids }
    }

    /// The same with what it is about before its words, such as the text of a cell.
    #[must_use]
    pub fn about(self, subject: impl Into<Text>) -> Self {
        Self { detail: Text::sentences([subject.into(), self.detail]), ..self }
    }

    /// A fault of one value of a line.
    pub(crate) fn at_value(line: u64, column: &str, ids: &[&str], detail: impl Into<Text>) -> Self {
        let mut fault = Self::at_line(LineFaultKind::Value, line, ids, detail);
        fault.pointer = format!("#line/{line}/{column}");
        fault
    }

    /// A fault of a parameter.
    pub(crate) fn of_query(name: &str, detail: impl Into<Text>) -> Self {
        let fault = Fault::new(format!("#query/{name}"), detail);
        Self::of(LineFaultKind::Column, fault, Vec::new())
    }

    /// The line it stands on; a fault of a parameter comes before all.
    pub fn line(&self) -> u64 {
        line_of(&self.pointer).unwrap_or(0)
    }
}

/// The line that a pointer names.
pub fn line_of(pointer: &str) -> Option<u64> {
    pointer.strip_prefix("#line/")?.split('/').next()?.parse().ok()
}

/// The faults of a file as they are found: one more than an answer tells, to say that there are more.
#[derive(Debug, Default)]
pub(crate) struct LineFaults(Vec<LineFault>);

impl LineFaults {
    /// Adds one.
    pub fn push(&mut self, fault: LineFault) {
        if !self.is_full() {
            self.0.push(fault);
        }
    }

    /// Adds those that were found elsewhere.
    pub fn extend(&mut self, faults: impl IntoIterator<Item = LineFault>) {
        let left = MOST_TOLD + 1 - self.0.len();
        self.0.extend(faults.into_iter().take(left));
    }

    /// Whether there is no need to look for more.
    pub(crate) fn is_full(&self) -> bool {
        self.0.len() > MOST_TOLD
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Those that were found, by line.
    pub(crate) fn in_order(mut self) -> Vec<LineFault> {
        self.0.sort_by_key(LineFault::line);
        self.0
    }
}
