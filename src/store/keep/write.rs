//! The one way in which a row is written, whoever writes it: a person, a batch, a file, the log, an answer to
//! another row, the demo.
//!
//! The steps: the writer's rights, the row that it hangs on, what was left out, what other rows say against it,
//! the statement, what follows for other rows. Which of them there are is said by the cause of a new row; no
//! cause leaves out what follows. An archive alone brings rows with all that follows from them, and is held
//! against itself as a whole.

use super::{Keep, KeepMany, RowPath, Seen, Validated, at, find_parent, only, shown};
use crate::{
    StoreError, StoreResult, Tx,
    batches::{Offered, RowOutcome},
};
use catalogue::said;
use domain::record::{Kept, RowStatus};
use futures_util::future::BoxFuture;
use serde_json::Value;
use std::{collections::HashSet, convert::Infallible};
use uuid::Uuid;

/// What the statements of a record ask for: only this file has one.
#[derive(Debug)]
pub struct Pen {
    comes_back: bool,
}

impl Pen {
    /// Whether the row was there before, under this id.
    pub(crate) fn comes_back(&self) -> bool {
        self.comes_back
    }
}

const PEN: Pen = Pen { comes_back: false };

/// Why a new row is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Cause {
    /// Somebody states it: all steps.
    Stated,
    /// The log remembers it: complete as it is, and held against what is there now.
    Remembered,
    /// It follows from a row that was admitted, or was settled before the book began: it is computed, or too late
    /// to ask about.
    Settled,
}

/// Refuses a write that this person's rights do not reach, now or before.
fn validate_writer<R: Keep>(tx: &Tx, record: &R, before: Option<&R>) -> StoreResult<()> {
    tx.scope.require(R::WRITE)?;
    record.may_write(&tx.scope)?;
    if let Some(before) = before {
        before.may_write(&tx.scope)?;
    }
    validate_hidden(tx, record, before)
}

/// Refuses to write what this person may not read.
fn validate_hidden<R: Keep>(tx: &Tx, record: &R, before: Option<&R>) -> StoreResult<()> {
    let json = |record: &R| {
        serde_json::to_value(record).map_err(|error| StoreError::Internal(error.to_string()))
    };
    for (right, fields) in R::LINE.hidden.iter().filter(|(right, _)| !tx.scope.allows(*right)) {
        let now = json(record)?;
        let was = before.map(json).transpose()?.unwrap_or_default();
        let value = |of: &Value, field: &str| of.get(field).cloned().unwrap_or_default();
        if fields.iter().any(|field| value(&now, field) != value(&was, field)) {
            return tx.scope.require(*right);
        }
    }
    Ok(())
}

/// The record as it may be written.
async fn admitted<R: Keep>(tx: &mut Tx, record: R, cause: Cause) -> StoreResult<R> {
    if cause == Cause::Settled {
        return Ok(record);
    }
    validate_writer(tx, &record, None)?;
    tx.begin_writing().await?;
    if let Some(parent) = record.parent() {
        find_parent::<R>(tx, parent).await.map_err(|error| match error {
            StoreError::NotFound if cause == Cause::Remembered => {
                StoreError::Conflict(said!("problem-conflict-owner-deleted"))
            }
            other => other,
        })?;
    }
    if cause == Cause::Remembered {
        record.validate_again(tx).await?;
        return Ok(record);
    }
    let record = record.completed(tx, None).await?;
    record.validate(tx, None).await?;
    Ok(record)
}

/// Writes a new row, with all steps of its cause.
async fn enter<R: Keep>(tx: &mut Tx, id: Uuid, record: R, cause: Cause) -> StoreResult<()> {
    let record = admitted(tx, record, cause).await?;
    R::insert(tx, id, &record, &Pen { comes_back: cause == Cause::Remembered }).await?;
    R::after_write(tx, id, None, &record).await
}

/// The same of a row that somebody states, which is told as it is kept.
async fn entered<R: Keep>(tx: &mut Tx, id: Uuid, record: R) -> StoreResult<Kept<R>> {
    let record = admitted(tx, record, Cause::Stated).await?;
    let told = R::insert_told(tx, id, &record, &PEN).await?;
    R::after_write(tx, id, None, &record).await?;
    match told {
        Some(kept) => Ok(shown(tx.scope(), kept)),
        None => written(tx, id).await,
    }
}

/// Overwrites a row, and does what follows.
async fn overwrite<R: Keep>(tx: &mut Tx, id: Uuid, before: &R, record: &R) -> StoreResult<()> {
    R::update(tx, id, record, &PEN).await?;
    R::after_write(tx, id, Some(before), record).await
}

async fn written<R: Keep>(tx: &mut Tx, id: Uuid) -> StoreResult<Kept<R>> {
    let kept = R::select(tx, id, false).await?;
    Ok(shown(tx.scope(), kept))
}

/// Writes a new record.
///
/// # Errors
/// When the role does not allow it, or other rows do not.
pub async fn create<R: Keep>(tx: &mut Tx, record: &R) -> StoreResult<Kept<R>> {
    entered(tx, Uuid::now_v7(), record.clone()).await
}

/// Writes a new record under an id that the client made.
///
/// # Errors
/// As [`create`].
pub(crate) async fn create_as<R: Keep>(tx: &mut Tx, id: Uuid, record: &R) -> StoreResult<()> {
    enter(tx, id, record.clone(), Cause::Stated).await
}

/// Rows in one statement, which is held whole with the entries of the log that it makes.
const CHUNK: usize = 1000;

/// Writes many new records by the steps of [`create`], but for the row in the path, which is the caller's to look
/// for: all are asked about before the first is kept. Tells what became of them, and gives those whose id is taken.
///
/// # Errors
/// When the database is away; never for a single row.
pub(crate) async fn create_all<R: KeepMany>(
    tx: &mut Tx,
    rows: Vec<Offered<R>>,
    done: &mut Vec<RowOutcome>,
) -> StoreResult<Vec<Offered<R>>> {
    let mut complete = Vec::with_capacity(rows.len());
    for Offered { index, id, record } in rows {
        let stated = match validate_writer(tx, &record, None) {
            Ok(()) => record.completed(tx, None).await,
            Err(error) => Err(error),
        };
        match stated {
            Ok(record) => complete.push(Offered { index, id, record }),
            Err(StoreError::Refused(faults)) => done.push(RowOutcome::refused(index, faults)),
            Err(StoreError::Forbidden(why)) => {
                let detail = said!("fault-not-allowed-row", why = why);
                done.push(RowOutcome::refused_for(index, "", detail));
            }
            Err(error) => return Err(error),
        }
    }
    let Validated { rows, judging } = R::validate_all(tx, complete, done).await?;
    let (rows, stored) = match judging {
        None => written_all(tx, &rows).await.map(|stored| (rows, stored))?,
        Some(judging) => written_while_judged(tx, rows, judging, done).await?,
    };
    let (stored, taken): (Vec<_>, Vec<_>) =
        rows.into_iter().partition(|row| stored.contains(&row.id));
    for row in stored {
        R::after_write(tx, row.id, None, &row.record).await?;
        done.push(RowOutcome::new(row.index, RowStatus::Stored, None));
    }
    Ok(taken)
}

/// Inserts rows, and gives the ids of those whose id was not taken.
async fn written_all<R: KeepMany>(tx: &mut Tx, rows: &[Offered<R>]) -> StoreResult<HashSet<Uuid>> {
    let mut stored = HashSet::with_capacity(rows.len());
    for rows in rows.chunks(CHUNK) {
        stored.extend(R::insert_all(tx, rows, &PEN).await?);
    }
    Ok(stored)
}

/// Why rows that were written while they were judged are not kept.
enum Unkept {
    /// Some are not to be kept.
    Judged(Vec<RowOutcome>),
    Failed(StoreError),
}

impl From<diesel::result::Error> for Unkept {
    fn from(error: diesel::result::Error) -> Self {
        Self::Failed(error.into())
    }
}

/// Writes rows while they are judged, since mostly all are good; where some are not, all is undone and the others are
/// written again. Gives the rows to keep, and the ids of those that are written.
async fn written_while_judged<R: KeepMany>(
    tx: &mut Tx,
    mut rows: Vec<Offered<R>>,
    judging: BoxFuture<'static, StoreResult<Vec<RowOutcome>>>,
    done: &mut Vec<RowOutcome>,
) -> StoreResult<(Vec<Offered<R>>, HashSet<Uuid>)> {
    let at_once = async |tx: &mut Tx| {
        let (judged, stored) = tokio::join!(judging, written_all(tx, &rows));
        // A row that is not to be kept may be why the others could not be written.
        match judged.map_err(Unkept::Failed)? {
            judged if judged.is_empty() => stored.map_err(Unkept::Failed),
            judged => Err(Unkept::Judged(judged)),
        }
    };
    match tx.attempt(at_once).await {
        Ok(stored) => Ok((rows, stored)),
        Err(Unkept::Failed(error)) => Err(error),
        Err(Unkept::Judged(judged)) => {
            let out: HashSet<usize> = judged.iter().map(|outcome| outcome.index).collect();
            rows.retain(|row| !out.contains(&row.index));
            done.extend(judged);
            let stored = written_all(tx, &rows).await?;
            Ok((rows, stored))
        }
    }
}

/// Writes a record again under the id that it had before it was deleted.
///
/// # Errors
/// As [`create`], and [`StoreError::Conflict`] when what it hangs on is gone.
pub(crate) async fn bring_back<R: Keep>(tx: &mut Tx, id: Uuid, record: &R) -> StoreResult<Kept<R>> {
    enter(tx, id, record.clone(), Cause::Remembered).await?;
    written(tx, id).await
}

/// Writes a row that follows from another one, which was admitted, or that was settled before the book began.
///
/// # Errors
/// When other rows do not allow it.
pub async fn enter_settled<R: Keep>(tx: &mut Tx, id: Uuid, record: R) -> StoreResult<()> {
    enter(tx, id, record, Cause::Settled).await
}

/// Changes a row as it follows from another one, which was admitted.
///
/// # Errors
/// When other rows do not allow it.
pub(crate) async fn change_settled<R: Keep>(
    tx: &mut Tx,
    id: Uuid,
    before: &R,
    record: &R,
) -> StoreResult<()> {
    overwrite(tx, id, before, record).await
}

/// Takes a row away as it follows from another one; one that is not there for this person stays away.
///
/// # Errors
/// [`StoreError::Conflict`] when something refers to it.
pub(crate) async fn remove_settled<R: Keep>(tx: &mut Tx, id: Uuid) -> StoreResult<()> {
    match R::select(tx, id, false).await {
        Ok(before) => erase(tx, &before).await,
        Err(StoreError::NotFound) => Ok(()),
        Err(error) => Err(error),
    }
}

/// Deletes a row, and does what follows.
async fn erase<R: Keep>(tx: &mut Tx, before: &Kept<R>) -> StoreResult<()> {
    R::delete(tx, before.id, &PEN).await?;
    R::after_removal(tx, before).await
}

/// A record locked for a write that this person may do.
async fn at_to_write<R: Keep>(tx: &mut Tx, place: RowPath) -> StoreResult<Kept<R>> {
    if !tx.scope.sees_all_dogs() {
        // A wall that lets nobody lock the row would only say that it is not there.
        at::<R>(tx, place, false).await?.record.may_write(&tx.scope)?;
    }
    let kept = at::<R>(tx, place, true).await?;
    kept.record.may_write(&tx.scope)?;
    Ok(kept)
}

/// Changes a record from the version the client has seen; `make` gives the new one from the old.
///
/// # Errors
/// [`StoreError::Stale`] when somebody else was faster.
pub async fn change<R: Keep, E>(
    tx: &mut Tx,
    place: impl Into<RowPath>,
    seen: Seen,
    make: impl AsyncFnOnce(&Kept<R>) -> Result<R, E>,
) -> StoreResult<Result<Kept<R>, E>> {
    tx.scope().require(R::WRITE)?;
    tx.begin_writing().await?;
    let before = at_to_write::<R>(tx, place.into()).await?;
    seen.must_be(before.version)?;
    let record = match make(&before).await {
        Ok(record) => record,
        Err(error) => return Ok(Err(error)),
    };
    validate_writer(tx, &record, Some(&before.record))?;
    let record = record.completed(tx, Some(&before)).await?;
    record.validate(tx, Some(&before)).await?;
    overwrite(tx, before.id, &before.record, &record).await?;
    Ok(Ok(written(tx, before.id).await?))
}

/// Deletes a record at the version the client has seen.
///
/// # Errors
/// [`StoreError::Stale`] when it changed; [`StoreError::Conflict`] when something refers to it.
pub async fn remove<R: Keep>(
    tx: &mut Tx,
    place: impl Into<RowPath>,
    seen: Seen,
) -> StoreResult<()> {
    tx.scope().require(R::WRITE)?;
    tx.begin_writing().await?;
    let before = at_to_write::<R>(tx, place.into()).await?;
    seen.must_be(before.version)?;
    R::before_removal(tx, &before).await?;
    erase(tx, &before).await
}

/// Writes the record of which a kennel has one at most; version 0 is that of none yet.
///
/// # Errors
/// [`StoreError::Stale`] when somebody else was faster.
pub async fn put_only<R: Keep>(tx: &mut Tx, seen: Seen, record: &R) -> StoreResult<Kept<R>> {
    tx.scope().require(R::WRITE)?;
    let Some(before) = only::<R>(tx).await? else {
        seen.must_be(0)?;
        return create(tx, record).await;
    };
    let id = before.id;
    let record = record.clone();
    let make = async |_: &Kept<R>| Ok::<R, Infallible>(record);
    match change(tx, id, seen, make).await? {
        Ok(kept) => Ok(kept),
        Err(never) => match never {},
    }
}
