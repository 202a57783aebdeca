//! Many observations at once: every row is stored, there already, or refused for a reason of its own.
//!
//! Rows carry ids that the client made, so that sending them again changes nothing, in whatever order.

mod one_by_one;

use super::{
    StoreError, StoreResult, Tx, changes,
    keep::{Keep, KeepMany, write},
    register::seen,
};
use catalogue::{Text, said};
use chrono::{DateTime, Duration, SubsecRound as _, Utc};
use domain::{
    fault::Fault,
    record::{Kept, RowStatus, register::Observed},
};
use std::collections::{HashMap, HashSet};
use uuid::Uuid;

/// A row that was offered.
#[derive(Debug, Clone)]
pub struct Offered<R> {
    /// Its place in the batch.
    pub index: usize,
    /// The client's id.
    pub id: Uuid,
    /// What was observed.
    pub record: R,
}

/// What became of a row.
#[derive(Debug, Clone)]
pub struct RowOutcome {
    /// Its place in the batch.
    pub index: usize,
    /// What became of it.
    pub status: RowStatus,
    /// More about it.
    pub detail: Option<Text>,
    /// Why it was refused; the pointers lead into the record.
    pub errors: Vec<Fault>,
}

impl RowOutcome {
    pub(super) fn new(index: usize, status: RowStatus, detail: Option<Text>) -> Self {
        Self { index, status, detail, errors: Vec::new() }
    }

    /// Refused for these faults.
    pub fn refused(index: usize, errors: Vec<Fault>) -> Self {
        Self { index, status: RowStatus::Refused, detail: None, errors }
    }

    pub(super) fn refused_for(index: usize, pointer: &str, detail: Text) -> Self {
        Self::refused(index, vec![Fault::new(pointer, detail)])
    }
}

/// A record that comes in batches.
pub trait Batched: Keep + Observed + PartialEq {
    /// Rows by id.
    fn known(tx: &mut Tx, ids: &[Uuid]) -> impl Future<Output = StoreResult<Vec<Kept<Self>>>>;
    /// Enters new rows as any are, and tells what became of them; gives those whose id was taken meanwhile.
    fn enter(
        tx: &mut Tx,
        rows: Vec<Offered<Self>>,
        done: &mut Vec<RowOutcome>,
    ) -> impl Future<Output = StoreResult<Vec<Offered<Self>>>>;

    /// Whether a stored record is the one offered; when times were moved, they do not count.
    fn is_same(&self, stored: &Self, moved: bool) -> bool {
        self.clone().timed_as(stored, moved) == *stored
    }

    /// The same with the times of the stored one where those were moved, else as exact as they are stored.
    fn timed_as(mut self, stored: &Self, moved: bool) -> Self {
        let mut stored = stored.clone();
        let known: Vec<DateTime<Utc>> = stored.times().into_iter().map(|at| *at).collect();
        for (place, at) in self.times().into_iter().enumerate() {
            // Postgres keeps microseconds.
            let exact = at.trunc_subsecs(6);
            *at = known.get(place).copied().filter(|_| moved).unwrap_or(exact);
        }
        self
    }
}

impl<R: KeepMany + Observed + PartialEq> Batched for R {
    async fn known(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<Vec<Kept<Self>>> {
        Self::select_all(tx, ids).await
    }

    async fn enter(
        tx: &mut Tx,
        rows: Vec<Offered<Self>>,
        done: &mut Vec<RowOutcome>,
    ) -> StoreResult<Vec<Offered<Self>>> {
        write::create_all(tx, rows, done).await
    }
}

/// Moves all times of a record back by so much.
pub fn move_by<R: Batched>(record: &mut R, by: Duration) {
    for at in record.times() {
        *at = at.checked_sub_signed(by).unwrap_or(*at);
    }
}

/// Stores what can be stored of a batch, in any order and any number of times.
///
/// `moved_by` is taken off every time, for a clock that runs ahead.
///
/// # Errors
/// When the database is away; never for a single row.
pub async fn store_all<R: Batched>(
    tx: &mut Tx,
    mut rows: Vec<Offered<R>>,
    moved_by: Option<Duration>,
) -> StoreResult<Vec<RowOutcome>> {
    let mut done = Vec::with_capacity(rows.len());
    if rows.is_empty() {
        return Ok(done);
    }
    if let Err(StoreError::Forbidden(why)) = tx.scope().require(R::WRITE) {
        let detail = said!("fault-not-allowed-row", why = why);
        done.extend(rows.iter().map(|row| RowOutcome::refused_for(row.index, "", detail.clone())));
        return Ok(done);
    }
    tx.begin_writing().await?;
    if let Some(by) = moved_by {
        for row in &mut rows {
            move_by(&mut row.record, by);
        }
    }
    let moved = moved_by.is_some();
    let rows = leave_known(tx, rows, moved, &mut done).await?;
    let rows = leave_doubled(rows, &mut done);
    let rows = leave_unseen(tx, rows, &mut done).await?;
    let taken = R::enter(tx, rows, &mut done).await?;
    // Somebody else sent the same rows a moment ago.
    for row in leave_known(tx, taken, moved, &mut done).await? {
        done.push(RowOutcome::refused_for(row.index, "/id", said!("fault-taken-row-id")));
    }
    Ok(done)
}

/// Answers the rows that were stored before, or stored and deleted since.
async fn leave_known<R: Batched>(
    tx: &mut Tx,
    rows: Vec<Offered<R>>,
    moved: bool,
    done: &mut Vec<RowOutcome>,
) -> StoreResult<Vec<Offered<R>>> {
    if rows.is_empty() {
        return Ok(rows);
    }
    let ids: Vec<Uuid> = rows.iter().map(|row| row.id).collect();
    let known: HashMap<Uuid, Kept<R>> =
        R::known(tx, &ids).await?.into_iter().map(|kept| (kept.id, kept)).collect();
    let deleted = changes::deleted(tx, &ids).await?;
    let mut new = Vec::with_capacity(rows.len());
    for row in rows {
        let index = row.index;
        match known.get(&row.id) {
            Some(kept) if row.record.is_same(&kept.record, moved) => {
                done.push(RowOutcome::new(index, RowStatus::AlreadyThere, None));
            }
            Some(kept) if kept.version > 1 => {
                let detail = said!("batch-corrected-since");
                done.push(RowOutcome::new(index, RowStatus::AlreadyThere, Some(detail)));
            }
            Some(_) => {
                let detail = said!("fault-taken-row-id-other-values");
                done.push(RowOutcome::refused_for(index, "/id", detail));
            }
            None if deleted.contains(&row.id) => {
                let detail = said!("batch-deleted-since");
                done.push(RowOutcome::new(index, RowStatus::AlreadyThere, Some(detail)));
            }
            None => new.push(row),
        }
    }
    Ok(new)
}

/// Takes one of the rows that are twice in the batch; none where they differ.
fn leave_doubled<R: Batched>(rows: Vec<Offered<R>>, done: &mut Vec<RowOutcome>) -> Vec<Offered<R>> {
    let mut by_id: HashMap<Uuid, Vec<Offered<R>>> = HashMap::with_capacity(rows.len());
    for row in rows {
        by_id.entry(row.id).or_default().push(row);
    }
    let mut single = Vec::with_capacity(by_id.len());
    for mut same in by_id.into_values() {
        let Some(first) = same.pop() else { continue };
        if same.iter().all(|row| row.record == first.record) {
            let twice = same.iter().map(|row| row.index);
            done.extend(twice.map(|index| RowOutcome::new(index, RowStatus::AlreadyThere, None)));
            single.push(first);
        } else {
            for row in same.iter().chain([&first]) {
                let detail = said!("fault-twice-row-id");
                done.push(RowOutcome::refused_for(row.index, "/id", detail));
            }
        }
    }
    // As they happened, whatever the order they were sent in.
    single.sort_by_key(|row| (row.record.at(), row.id));
    single
}

/// Refuses rows about what this person does not see.
async fn leave_unseen<R: Batched>(
    tx: &mut Tx,
    rows: Vec<Offered<R>>,
    done: &mut Vec<RowOutcome>,
) -> StoreResult<Vec<Offered<R>>> {
    let wanted: HashSet<Uuid> = rows.iter().map(|row| row.record.subject()).collect();
    let wanted: Vec<Uuid> = wanted.into_iter().collect();
    let seen = seen(tx, R::ABOUT.word, &wanted).await?;
    let (good, unseen): (Vec<_>, Vec<_>) =
        rows.into_iter().partition(|row| seen.contains(&row.record.subject()));
    for row in unseen {
        let detail = said!("fault-not-found-subject");
        let pointer = format!("/{}", R::ABOUT.field);
        done.push(RowOutcome::refused_for(row.index, &pointer, detail));
    }
    Ok(good)
}
