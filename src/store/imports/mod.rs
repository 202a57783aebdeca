//! Files into a kennel: every row of a file, or none; a try writes nothing.
//!
//! A row is known again by what it says, so that a file that is sent twice makes nothing twice: a dog by its id
//! in the file, or its chip, registration or name; an observation by dog, time and what was seen; a buyer by
//! address or name.

pub mod buyers;
pub mod chips;
pub mod dogs;
mod lookup;
pub mod observations;

use super::{
    StoreError, StoreResult, Tx,
    keep::{self, Keep, Seen},
    scope::Right,
};
use catalogue::said;
use domain::{
    fault::{Fault, Faults},
    import::{ImportKind, ImportLine, ImportOutcome, ImportReport, StatedRow},
    record::{Buyer, HealthEvent, Kept, Temperature, Weight, register::Registered as _},
};
use std::convert::Infallible;
use uuid::Uuid;

/// What somebody needs to take such a file in.
pub fn right(kind: ImportKind) -> Right {
    match kind {
        ImportKind::Dogs => Right::Managing,
        ImportKind::Weights => Weight::WRITE,
        ImportKind::Temperatures => Temperature::WRITE,
        ImportKind::HealthEvents => HealthEvent::WRITE,
        ImportKind::Microchips => Right::Observations,
        ImportKind::Buyers => Buyer::WRITE,
    }
}

/// A row with the record that it makes, good by itself.
#[derive(Debug, Clone)]
pub struct ReadRow<R> {
    /// As the file states it.
    pub row: StatedRow,
    /// The record; what it names is not looked up yet.
    pub record: R,
}

/// What becomes of lines, as it is found.
#[derive(Default)]
struct Lines {
    lines: Vec<ImportLine>,
    faults: Faults,
}

impl Lines {
    fn told(&mut self, line: u64, outcome: ImportOutcome, id: Uuid, changes: Vec<String>) {
        self.lines.push(ImportLine { line, outcome, id: Some(id), changes });
    }

    fn refused(&mut self, row: &StatedRow, faults: Vec<Fault>) {
        self.faults.extend(faults.into_iter().map(|fault| row.at_column(fault)).collect());
        self.lines.push(ImportLine::refused(row.line));
    }

    /// Takes an outcome, or the faults of a row.
    fn take<T>(&mut self, row: &StatedRow, outcome: StoreResult<T>) -> StoreResult<Option<T>> {
        match outcome {
            Ok(value) => Ok(Some(value)),
            Err(StoreError::Refused(faults)) => {
                self.refused(row, faults);
                Ok(None)
            }
            Err(StoreError::Conflict(detail)) => {
                self.refused(row, vec![Fault::new("", said!("fault-taken-row", why = detail))]);
                Ok(None)
            }
            Err(other) => Err(other),
        }
    }

    /// The report of all lines; an import that is no try is refused for any fault.
    fn report(self, dry_run: bool) -> StoreResult<ImportReport> {
        let mut faults = self.faults.into_vec();
        faults.sort_by_key(|fault| domain::import::fault::line_of(&fault.pointer));
        if !dry_run && !faults.is_empty() {
            return Err(StoreError::Refused(faults));
        }
        let faults = faults.into_iter().map(Fault::in_brief).collect();
        Ok(ImportReport::of(dry_run, self.lines, faults))
    }
}

/// Does the work of an import, and undoes it where it is only tried.
async fn done_or_tried(
    tx: &mut Tx,
    dry_run: bool,
    work: impl AsyncFnOnce(&mut Tx) -> StoreResult<ImportReport>,
) -> StoreResult<ImportReport> {
    tx.begin_writing().await?;
    if dry_run { tx.tried(work).await } else { work(tx).await }
}

/// Writes what a row states over the record that is there, where that differs.
async fn change<R: Keep>(
    tx: &mut Tx,
    row: &StatedRow,
    present: &Kept<R>,
    lines: &mut Lines,
) -> StoreResult<()> {
    let internal = |error: serde_json::Error| StoreError::Internal(error.to_string());
    let (body, changes) = row.over(&serde_json::to_value(&present.record).map_err(internal)?);
    if changes.is_empty() {
        lines.told(row.line, ImportOutcome::Unchanged, present.id, changes);
        return Ok(());
    }
    let record: R = serde_json::from_value(body).map_err(internal)?;
    let mut faults = Faults::new();
    record.check(tx.scope().now(), &mut faults);
    if let Err(faults) = faults.into_result() {
        lines.refused(row, faults);
        return Ok(());
    }
    let changed = tx.attempt(async |tx| {
        let make = async |_: &Kept<R>| Ok::<R, Infallible>(record);
        keep::change(tx, present.id, Seen::Whichever, make).await
    });
    if lines.take(row, changed.await)?.is_some() {
        lines.told(row.line, ImportOutcome::Updated, present.id, changes);
    }
    Ok(())
}
