//! One way to keep any record: create, find, list, change, remove.
//!
//! `keep!` writes the queries of a table from the record's fields; its line of the register says who may read and
//! write it. What a record does beyond them is written out in its own file, as its [`Hooks`]. How a row is
//! written, and with which steps, is in [`write`].

mod queries;
pub mod write;

pub(crate) use queries::{Conditions, keep};
pub use write::{Pen, change, create, put_only, remove};

use super::{
    Db, StoreError, StoreResult, Tx,
    ask::Answer,
    batches::{Offered, RowOutcome},
    register::seen,
    scope::{Claim, Scope},
};
use chrono::{DateTime, Utc};
use diesel::{QueryableByName, sql_types::Uuid as SqlUuid};
use domain::record::{Kept, List, register::Registered};
use futures_util::future::BoxFuture;
use postgres::order::{Order, Place, Sortable};
use std::{collections::HashSet, sync::Arc};
use uuid::Uuid;

/// In which order a list is read, where it goes on, and how many rows it gives at once.
#[derive(Debug, Clone)]
pub struct Page {
    /// The order.
    pub order: Order,
    /// Rows after this one.
    pub after: Option<Place>,
    /// At most so many.
    pub limit: i64,
}

impl Page {
    /// The first rows, in the order of entry.
    pub const fn first(limit: i64) -> Self {
        Self { order: Order::ENTRY, after: None, limit }
    }
}

/// A record that has a table.
///
/// Nobody but [`write`] has the [`Pen`] that the statements ask for: no row is written past its steps.
pub trait Keep: Hooks {
    /// Which rows to list.
    type Filter: Default;

    /// The columns that are the record's own.
    const FIELDS: &'static [&'static str];
    /// The fields by which a list is sorted: those that everybody who reads it may read.
    const SORTS: &'static [Sortable];

    /// Inserts a row that was admitted.
    fn insert(
        tx: &mut Tx,
        id: Uuid,
        record: &Self,
        pen: &Pen,
    ) -> impl Future<Output = StoreResult<()>>;
    /// The same, and tells the row as it is kept; null where it has to be read, since what follows from it may change it.
    fn insert_told(
        tx: &mut Tx,
        id: Uuid,
        record: &Self,
        pen: &Pen,
    ) -> impl Future<Output = StoreResult<Option<Kept<Self>>>> {
        async move {
            Self::insert(tx, id, record, pen).await?;
            Ok(None)
        }
    }
    /// One row that this person may see, locked when it is about to be changed.
    fn select(tx: &mut Tx, id: Uuid, lock: bool) -> impl Future<Output = StoreResult<Kept<Self>>>;
    /// One row, by a claim.
    fn ask_row(
        db: &Db,
        claim: &Claim,
        id: Uuid,
    ) -> impl Future<Output = StoreResult<Answer<Kept<Self>>>>;
    /// One page of the rows that fit; `parent` is the row they hang on in the path.
    fn page(
        tx: &mut Tx,
        parent: Option<Uuid>,
        filter: &Self::Filter,
        page: Page,
    ) -> impl Future<Output = StoreResult<Vec<Kept<Self>>>>;
    /// The same, by a claim.
    fn ask_page(
        db: &Db,
        claim: &Claim,
        parent: Option<Uuid>,
        filter: &Self::Filter,
        page: Page,
    ) -> impl Future<Output = StoreResult<Answer<Kept<Self>>>>;
    /// Overwrites the fields of a row.
    fn update(
        tx: &mut Tx,
        id: Uuid,
        record: &Self,
        pen: &Pen,
    ) -> impl Future<Output = StoreResult<()>>;
    /// Deletes a row.
    fn delete(tx: &mut Tx, id: Uuid, pen: &Pen) -> impl Future<Output = StoreResult<()>>;
}

/// A record of which many rows are read and written by one statement. What follows from a row changes others alone.
pub(crate) trait KeepMany: Keep {
    /// Rows by id.
    fn select_all(tx: &mut Tx, ids: &[Uuid]) -> impl Future<Output = StoreResult<Vec<Kept<Self>>>>;
    /// Inserts rows that were admitted, and leaves out those whose id is taken; gives the ids of the others.
    fn insert_all(
        tx: &mut Tx,
        rows: &[Offered<Self>],
        pen: &Pen,
    ) -> impl Future<Output = StoreResult<HashSet<Uuid>>>;
}

/// The id of a row that a statement over many has stored.
#[derive(QueryableByName)]
pub(crate) struct StoredRow {
    #[diesel(sql_type = SqlUuid)]
    pub(crate) id: Uuid,
}

/// Many new rows that nothing read so far speaks against.
pub struct Validated<R> {
    /// The rows.
    pub(crate) rows: Vec<Offered<R>>,
    /// What became of those that are not to be kept, where that takes long to reckon: nothing is read for it any more,
    /// so the rows are written meanwhile.
    pub(crate) judging: Option<BoxFuture<'static, StoreResult<Vec<RowOutcome>>>>,
}

/// What a record asks and does beyond its own row.
pub trait Hooks: Registered {
    /// Whether a row is another one once a promise is over: it is read in a transaction, which ends that first.
    const LAPSES: bool = false;

    /// Refuses whoever has the right to write such records, but not this one.
    ///
    /// # Errors
    /// [`StoreError::Forbidden`].
    fn may_write(&self, _scope: &Scope) -> StoreResult<()> {
        Ok(())
    }

    /// The record with what the service fills in where the client left it out.
    fn completed(
        self,
        _tx: &mut Tx,
        _before: Option<&Kept<Self>>,
    ) -> impl Future<Output = StoreResult<Self>> {
        async { Ok(self) }
    }

    /// Refuses what goes against other rows; `before` is null for a new one.
    fn validate(
        &self,
        _tx: &mut Tx,
        _before: Option<&Kept<Self>>,
    ) -> impl Future<Output = StoreResult<()>> {
        async { Ok(()) }
    }

    /// Refuses a row that comes back under its id, where it goes against other rows.
    fn validate_again(&self, tx: &mut Tx) -> impl Future<Output = StoreResult<()>> {
        self.validate(tx, None)
    }

    /// [`Hooks::validate`] for many new rows: takes out those that are refused, or there already.
    fn validate_all(
        tx: &mut Tx,
        rows: Vec<Offered<Self>>,
        done: &mut Vec<RowOutcome>,
    ) -> impl Future<Output = StoreResult<Validated<Self>>> {
        async move {
            let mut good = Vec::with_capacity(rows.len());
            for row in rows {
                match row.record.validate(tx, None).await {
                    Ok(()) => good.push(row),
                    Err(StoreError::Refused(faults)) => {
                        done.push(RowOutcome::refused(row.index, faults));
                    }
                    Err(error) => return Err(error),
                }
            }
            Ok(Validated { rows: good, judging: None })
        }
    }

    /// Does to other rows what follows from one that was written, in the same transaction; `before`
    /// is null for a new one.
    fn after_write(
        _tx: &mut Tx,
        _id: Uuid,
        _before: Option<&Self>,
        _after: &Self,
    ) -> impl Future<Output = StoreResult<()>> {
        async { Ok(()) }
    }

    /// Refuses to take a row away, or takes away what has to go before it.
    fn before_removal(_tx: &mut Tx, _kept: &Kept<Self>) -> impl Future<Output = StoreResult<()>> {
        async { Ok(()) }
    }

    /// Does to other rows what follows from one that was taken away.
    fn after_removal(_tx: &mut Tx, _kept: &Kept<Self>) -> impl Future<Output = StoreResult<()>> {
        async { Ok(()) }
    }
}

/// Asks whether the row in the path is there for this person.
async fn find_parent<R: Registered>(tx: &mut Tx, parent: Uuid) -> StoreResult<()> {
    let Some(of) = R::LINE.parent else { return Ok(()) };
    match seen(tx, of.word, &[parent]).await?.is_empty() {
        true => Err(StoreError::NotFound),
        false => Ok(()),
    }
}

/// A record whose rows can be had for many owners at once, e.g. the heats of several dams.
pub trait Gather: Keep {
    /// All rows of these owners that this person may see, oldest first; a look at the whole kennel shares them with
    /// other looks.
    fn gathered(
        tx: &Tx,
        owners: &[Uuid],
    ) -> impl Future<Output = StoreResult<Arc<Vec<Kept<Self>>>>>;

    /// The same rows for oneself.
    fn gather(tx: &Tx, owners: &[Uuid]) -> impl Future<Output = StoreResult<Vec<Kept<Self>>>> {
        async { Ok(Arc::unwrap_or_clone(Self::gathered(tx, owners).await?)) }
    }
}

/// Where a row is: its id, and the row that it hangs on in the path.
#[derive(Debug, Clone, Copy)]
pub struct RowPath {
    /// The row.
    pub id: Uuid,
    /// What it hangs on; null when it hangs on nothing but the kennel.
    pub parent: Option<Uuid>,
}

impl From<Uuid> for RowPath {
    fn from(id: Uuid) -> Self {
        Self { id, parent: None }
    }
}

/// One record.
///
/// # Errors
/// [`StoreError::NotFound`] when there is none at this place that this person may see.
pub async fn find<R: Keep>(tx: &mut Tx, place: impl Into<RowPath>) -> StoreResult<Kept<R>> {
    tx.scope().require(R::READ)?;
    let kept = at(tx, place.into(), false).await?;
    Ok(shown(tx.scope(), kept))
}

/// One record, asked for by a claim, with who asks; null when there is no such kennel for them.
///
/// # Errors
/// As [`find`], and [`StoreError::Login`].
pub async fn ask<R: Keep>(
    db: &Db,
    claim: &Claim,
    place: RowPath,
) -> StoreResult<Option<(Scope, Kept<R>)>> {
    let answer = match R::LAPSES {
        true => Answer::Later,
        false => R::ask_row(db, claim, place.id).await?,
    };
    match answer {
        Answer::NoKennel => Ok(None),
        Answer::Told { scope, mut rows, .. } => {
            scope.require(R::READ)?;
            let kept = rows.pop().ok_or(StoreError::NotFound)?;
            let kept = shown(&scope, in_its_place(kept, place)?);
            Ok(Some((*scope, kept)))
        }
        Answer::Later => {
            let Some(scope) = claim.proven(db).await? else { return Ok(None) };
            let kept = db.within(&scope, async |tx| find(tx, place).await).await?;
            Ok(Some((scope, kept)))
        }
    }
}

async fn at<R: Keep>(tx: &mut Tx, place: RowPath, lock: bool) -> StoreResult<Kept<R>> {
    in_its_place(R::select(tx, place.id, lock).await?, place)
}

fn in_its_place<R: Keep>(kept: Kept<R>, place: RowPath) -> StoreResult<Kept<R>> {
    match place.parent {
        Some(parent) if kept.record.parent() != Some(parent) => Err(StoreError::NotFound),
        _ => Ok(kept),
    }
}

/// One page of records, in the order that was asked for.
///
/// # Errors
/// When the role does not allow it.
pub async fn list<R: Keep>(
    tx: &mut Tx,
    parent: Option<Uuid>,
    filter: &R::Filter,
    page: Page,
) -> StoreResult<List<R>> {
    tx.scope().require(R::READ)?;
    if let Some(parent) = parent {
        find_parent::<R>(tx, parent).await?;
    }
    let (order, limit) = (page.order.clone(), page.limit);
    let rows = R::page(tx, parent, filter, Page { limit: limit + 1, ..page }).await?;
    listed(tx.scope(), &order, limit, rows)
}

/// One page of records, asked for by a claim; null when there is no such kennel for them.
///
/// # Errors
/// As [`list`], and [`StoreError::Login`].
pub async fn ask_list<R: Keep>(
    db: &Db,
    claim: &Claim,
    parent: Option<Uuid>,
    filter: &R::Filter,
    page: Page,
) -> StoreResult<Option<List<R>>> {
    let (order, limit) = (page.order.clone(), page.limit);
    let more = Page { limit: limit + 1, ..page.clone() };
    let answer = match R::LAPSES {
        true => Answer::Later,
        false => R::ask_page(db, claim, parent, filter, more).await?,
    };
    match answer {
        Answer::NoKennel => Ok(None),
        Answer::Told { scope, has_parent, rows } => {
            scope.require(R::READ)?;
            if !has_parent {
                return Err(StoreError::NotFound);
            }
            listed(&scope, &order, limit, rows).map(Some)
        }
        Answer::Later => {
            let Some(scope) = claim.proven(db).await? else { return Ok(None) };
            let work = async |tx: &mut Tx| list::<R>(tx, parent, filter, page).await;
            db.within(&scope, work).await.map(Some)
        }
    }
}

/// A page of the rows that were asked for, of which one more than its limit tells that the list goes on.
fn listed<R: Keep>(
    scope: &Scope,
    order: &Order,
    limit: i64,
    mut rows: Vec<Kept<R>>,
) -> StoreResult<List<R>> {
    let limit = usize::try_from(limit).unwrap_or(0);
    let more = rows.len() > limit;
    rows.truncate(limit);
    let items: Vec<_> = rows.into_iter().map(|kept| shown(scope, kept)).collect();
    let next_cursor = match items.last().filter(|_| more) {
        Some(last) => Some(cursor_after(order, last)?),
        None => None,
    };
    Ok(List { items, next_cursor })
}

fn cursor_after<R: Keep>(order: &Order, last: &Kept<R>) -> StoreResult<String> {
    let row = serde_json::to_value(&last.record)
        .map_err(|error| StoreError::Internal(error.to_string()))?;
    let times = serde_json::json!({ "created_at": last.created_at, "updated_at": last.updated_at });
    Ok(order.cursor(last.id, |name| match times.get(name) {
        Some(time) => time,
        None => &row[name],
    }))
}

/// Which version a client has seen of what it changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seen {
    /// This one.
    Version(i64),
    /// It means whichever is there.
    Whichever,
}

impl Seen {
    /// Fails unless the version that is there is the one that was seen.
    ///
    /// # Errors
    /// [`StoreError::Stale`] when somebody else was faster.
    pub fn must_be(self, version: i64) -> StoreResult<()> {
        match self {
            Self::Version(seen) if seen != version => Err(StoreError::Stale),
            _ => Ok(()),
        }
    }
}

/// The record of which a kennel has one at most.
///
/// # Errors
/// When the role does not allow it.
pub async fn only<R: Keep>(tx: &mut Tx) -> StoreResult<Option<Kept<R>>> {
    tx.scope().require(R::READ)?;
    Ok(R::page(tx, None, &R::Filter::default(), Page::first(1)).await?.pop())
}

/// The same, asked for by a claim; null when there is no such kennel for them.
///
/// # Errors
/// As [`only`], and [`StoreError::Login`].
pub async fn ask_only<R: Keep>(db: &Db, claim: &Claim) -> StoreResult<Option<Option<Kept<R>>>> {
    let found = ask_list::<R>(db, claim, None, &R::Filter::default(), Page::first(1)).await?;
    Ok(found.map(|mut list| list.items.pop()))
}

/// A record without what its reader may not read.
fn shown<R: Keep>(scope: &Scope, kept: Kept<R>) -> Kept<R> {
    let record = kept.record.redacted(|right| scope.allows(right));
    Kept { record, ..kept }
}

/// The columns that every kept row begins with.
pub type Stamp = (Uuid, i64, DateTime<Utc>, DateTime<Utc>);

/// Puts a row together from its stamp and its record.
pub fn kept<R>((id, version, created_at, updated_at): Stamp, record: R) -> Kept<R> {
    Kept { id, version, created_at, updated_at, record }
}
