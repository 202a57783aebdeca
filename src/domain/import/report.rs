//! What an import did, or would do.

use super::fault::line_of;
use crate::{fault::Fault, record::words::words};
use serde::Serialize;
use std::collections::BTreeSet;
use utoipa::ToSchema;
use uuid::Uuid;

/// Lines, and parents made up, that a report lists.
pub(crate) const MOST_LISTED: usize = 1_000;

words! {
    /// What becomes of a line.
    ImportOutcome {
        /// It makes a new row.
        Created = "created",
        /// It changes a row that is there.
        Updated = "updated",
        /// It is there already.
        Unchanged = "unchanged",
        /// It is refused; `errors` say why.
        Refused = "refused",
    }
}

/// What becomes of one line of a file.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ImportLine {
    /// The line, or the row of the sheet.
    #[schema(example = 7)]
    pub line: u64,
    /// What becomes of it.
    pub outcome: ImportOutcome,
    /// The row; null when refused.
    pub id: Option<Uuid>,
    /// The fields that change.
    pub changes: Vec<String>,
}

/// A parent that has no row and no dog of the kennel: an ancestor living elsewhere.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct MadeUpParent {
    /// The first line that names it.
    #[schema(example = 7)]
    pub line: u64,
    /// `sire` or `dam`.
    #[schema(example = "sire")]
    pub role: &'static str,
    /// As the file names it.
    #[schema(example = "Rex of Larkfell")]
    pub name: String,
}

/// What an import did, or would do. Lists hold the first 1,000.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, ToSchema)]
pub struct ImportReport {
    /// Whether it was only tried: nothing is written then.
    pub dry_run: bool,
    /// Rows added, parents made up included.
    #[schema(example = 1204)]
    pub created: usize,
    /// Rows that were there and that the file changes.
    #[schema(example = 12)]
    pub updated: usize,
    /// Rows that were there just as the file has them.
    #[schema(example = 310)]
    pub unchanged: usize,
    /// Lines refused; above 0 only when tried.
    #[schema(example = 0)]
    pub refused: usize,
    /// How many parents are made up.
    #[schema(example = 41)]
    pub implied_parents: usize,
    /// What becomes of each line.
    pub lines: Vec<ImportLine>,
    /// The parents that are made up.
    pub made_up: Vec<MadeUpParent>,
    /// Why lines are refused.
    pub errors: Vec<Fault>,
}

impl ImportReport {
    /// The report of lines in any order.
    pub fn of(dry_run: bool, mut lines: Vec<ImportLine>, errors: Vec<Fault>) -> Self {
        let at_fault: BTreeSet<u64> =
            errors.iter().filter_map(|fault| line_of(&fault.pointer)).collect();
        for line in lines.iter_mut().filter(|line| at_fault.contains(&line.line)) {
            *line = ImportLine::refused(line.line);
        }
        let told: BTreeSet<u64> = lines.iter().map(|line| line.line).collect();
        lines.extend(at_fault.difference(&told).map(|line| ImportLine::refused(*line)));
        lines.sort_by_key(|line| line.line);
        let count = |outcome| lines.iter().filter(|line| line.outcome == outcome).count();
        let (created, updated) = (count(ImportOutcome::Created), count(ImportOutcome::Updated));
        let (unchanged, refused) = (count(ImportOutcome::Unchanged), count(ImportOutcome::Refused));
        lines.truncate(MOST_LISTED);
        Self { dry_run, created, updated, unchanged, refused, lines, errors, ..Self::default() }
    }

    /// The report of a file without a fault, however many lines it has: no more of them are held than are listed.
    pub fn of_faultless(dry_run: bool, lines: impl Iterator<Item = ImportLine>) -> Self {
        let mut report = Self { dry_run, ..Self::default() };
        for line in lines {
            match line.outcome {
                ImportOutcome::Created => report.created += 1,
                ImportOutcome::Updated => report.updated += 1,
                ImportOutcome::Unchanged => report.unchanged += 1,
                ImportOutcome::Refused => report.refused += 1,
            }
            report.lines.push(line);
            if report.lines.len() == 2 * MOST_LISTED {
                report.shorten();
            }
        }
        report.shorten();
        report
    }

    /// Leaves the first lines that are listed.
    fn shorten(&mut self) {
        self.lines.sort_by_key(|line| line.line);
        self.lines.truncate(MOST_LISTED);
    }

    /// The same with the parents that are made up; they count as created.
    #[must_use]
    pub fn with_made_up(mut self, mut parents: Vec<MadeUpParent>) -> Self {
        self.implied_parents = parents.len();
        self.created += parents.len();
        parents.sort_by_key(|parent| parent.line);
        parents.truncate(MOST_LISTED);
        Self { made_up: parents, ..self }
    }
}

impl ImportLine {
    /// A line that is not taken.
    pub fn refused(line: u64) -> Self {
        Self { line, outcome: ImportOutcome::Refused, id: None, changes: Vec::new() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(line: u64, outcome: ImportOutcome) -> ImportLine {
        ImportLine { outcome, ..ImportLine::refused(line) }
    }

    #[test]
    fn a_line_at_fault_counts_as_refused_and_nothing_else() {
        let lines = vec![line(3, ImportOutcome::Created), line(2, ImportOutcome::Unchanged)];
        let fault = |line: u64| Fault::new(format!("#line/{line}/sire"), "");
        let report = ImportReport::of(true, lines, vec![fault(3), fault(3), fault(5)]);
        assert_eq!((report.created, report.unchanged, report.refused), (0, 1, 2));
        assert_eq!(report.lines.iter().map(|line| line.line).collect::<Vec<_>>(), [2, 3, 5]);
    }

    #[test]
    fn a_thousand_lines_are_listed_and_all_are_counted() {
        let of = |count: u64| (1..=count).map(|at| line(at, ImportOutcome::Created)).collect();
        for (count, listed) in [(999, 999), (1_000, 1_000), (1_001, 1_000)] {
            let report = ImportReport::of(false, of(count), Vec::new());
            assert_eq!((report.created as u64, report.lines.len()), (count, listed));
            let parent = |line| MadeUpParent { line, role: "sire", name: "Rex".into() };
            let made_up = ImportReport::default().with_made_up((1..=count).map(parent).collect());
            assert_eq!((made_up.created as u64, made_up.made_up.len()), (count, listed));
        }
    }
}
