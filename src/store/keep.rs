//! One way to keep any record: create, find, list, change, remove.
//!
//! [`keep!`] writes these for a table from the record's fields. What a resource does beyond them
//! is written out in its own file.

mod queries;

pub(crate) use queries::keep;

use super::{
    StoreError, StoreResult, Tx,
    scope::{Right, Scope},
};
use chrono::{DateTime, Utc};
use domain::record::{Kept, List, Record};
use uuid::Uuid;

/// Where a list goes on, and how many rows it gives at once.
#[derive(Debug, Clone, Copy)]
pub struct Page {
    /// Rows after this id.
    pub after: Option<Uuid>,
    /// At most so many.
    pub limit: i64,
}

/// A record that has a table.
pub trait Keep: Record {
    /// Which rows to list.
    type Filter: Default;

    /// The columns that are the record's own.
    const FIELDS: &'static [&'static str];
    /// What a person needs to read it.
    const READ: Right;
    /// What a person needs to write it.
    const WRITE: Right;
    /// Fields that need a further right; without it they are read as null, and not written.
    const HIDDEN: &'static [(Right, &'static [&'static str])] = &[];

    /// Inserts a row that was admitted, under an id of our own.
    fn insert(tx: &mut Tx, id: Uuid, record: &Self) -> impl Future<Output = StoreResult<()>>;
    /// One row that this person may see, locked when it is about to be changed.
    fn select(tx: &mut Tx, id: Uuid, lock: bool) -> impl Future<Output = StoreResult<Kept<Self>>>;
    /// One page of the rows that fit; `parent` is the row they hang on in the path.
    fn page(
        tx: &mut Tx,
        parent: Option<Uuid>,
        filter: &Self::Filter,
        page: Page,
    ) -> impl Future<Output = StoreResult<Vec<Kept<Self>>>>;
    /// Overwrites the fields of a row.
    fn update(tx: &mut Tx, id: Uuid, record: &Self) -> impl Future<Output = StoreResult<()>>;
    /// Deletes a row.
    fn delete(tx: &mut Tx, id: Uuid) -> impl Future<Output = StoreResult<()>>;

    /// The row in the path that this one hangs on, when there is one.
    fn parent(&self) -> Option<Uuid> {
        None
    }

    /// Asks whether the row in the path is there for this person.
    fn find_parent(_tx: &mut Tx, _parent: Uuid) -> impl Future<Output = StoreResult<()>> {
        async { Ok(()) }
    }

    /// Writes a new row; returns its id.
    fn add(tx: &mut Tx, record: &Self) -> impl Future<Output = StoreResult<Uuid>> {
        async move {
            record.validate(tx, None).await?;
            let id = Uuid::now_v7();
            Self::insert(tx, id, record).await?;
            Ok(id)
        }
    }

    /// Writes a row again under the id that it had.
    fn add_again(tx: &mut Tx, id: Uuid, record: &Self) -> impl Future<Output = StoreResult<()>> {
        async move {
            record.validate(tx, None).await?;
            Self::insert(tx, id, record).await
        }
    }

    /// Takes a row away, with what it wrote beside itself.
    fn delete_cascading(tx: &mut Tx, kept: &Kept<Self>) -> impl Future<Output = StoreResult<()>> {
        async move { Self::delete(tx, kept.id).await }
    }

    /// Refuses what goes against other rows; `before` is null for a new one.
    fn validate(
        &self,
        _tx: &mut Tx,
        _before: Option<&Kept<Self>>,
    ) -> impl Future<Output = StoreResult<()>> {
        async { Ok(()) }
    }

    /// The record with what the service fills in where the client left it out.
    fn completed(
        self,
        _tx: &mut Tx,
        _before: Option<&Kept<Self>>,
    ) -> impl Future<Output = StoreResult<Self>> {
        async { Ok(self) }
    }

    /// Does to other rows what follows from one that was written, in the same transaction; `before`
    /// is null for a new one.
    fn after_write(
        _tx: &mut Tx,
        _before: Option<&Kept<Self>>,
        _after: &Kept<Self>,
    ) -> impl Future<Output = StoreResult<()>> {
        async { Ok(()) }
    }

    /// The record without the fields of [`Keep::HIDDEN`] that this person may not read.
    fn redacted(self, _tx: &Tx) -> Self {
        self
    }

    /// Refuses whoever has the right to write such records, but not this one.
    ///
    /// # Errors
    /// [`StoreError::Forbidden`].
    fn may_write(&self, _scope: &Scope) -> StoreResult<()> {
        Ok(())
    }
}

/// Refuses to write what this person may not read.
fn validate_hidden<R: Keep>(tx: &Tx, record: &R, before: Option<&R>) -> StoreResult<()> {
    let json = |record: &R| {
        serde_json::to_value(record).map_err(|error| StoreError::Internal(error.to_string()))
    };
    for (right, fields) in R::HIDDEN.iter().filter(|(right, _)| !tx.scope.allows(*right)) {
        let now = json(record)?;
        let was = before.map(json).transpose()?.unwrap_or_default();
        let value =
            |of: &serde_json::Value, field: &str| of.get(field).cloned().unwrap_or_default();
        if fields.iter().any(|field| value(&now, field) != value(&was, field)) {
            return tx.scope.require(*right);
        }
    }
    Ok(())
}

/// Refuses a write that this person's rights do not reach, now or before.
fn validate_writer<R: Keep>(tx: &Tx, record: &R, before: Option<&R>) -> StoreResult<()> {
    record.may_write(&tx.scope)?;
    if let Some(before) = before {
        before.may_write(&tx.scope)?;
    }
    validate_hidden(tx, record, before)
}

/// A record whose rows can be had for many owners at once, e.g. the heats of several dams.
pub trait Gather: Keep {
    /// All rows of these owners that this person may see, oldest first.
    fn gather(tx: &Tx, owners: &[Uuid]) -> impl Future<Output = StoreResult<Vec<Kept<Self>>>>;
}

/// Writes a new record.
///
/// # Errors
/// When the role does not allow it, or other rows do not.
pub async fn create<R: Keep>(tx: &mut Tx, record: &R) -> StoreResult<Kept<R>> {
    tx.scope().require(R::WRITE)?;
    validate_writer(tx, record, None)?;
    tx.begin_writing().await?;
    if let Some(parent) = record.parent() {
        R::find_parent(tx, parent).await?;
    }
    let record = record.clone().completed(tx, None).await?;
    let id = R::add(tx, &record).await?;
    let written = R::select(tx, id, false).await?;
    R::after_write(tx, None, &written).await?;
    shown(tx, written)
}

/// Writes a record again under the id that it had before it was deleted.
///
/// # Errors
/// As [`create`], and [`StoreError::Conflict`] when what it hangs on is gone.
pub async fn bring_back<R: Keep>(tx: &mut Tx, id: Uuid, record: &R) -> StoreResult<Kept<R>> {
    tx.scope().require(R::WRITE)?;
    validate_writer(tx, record, None)?;
    if let Some(parent) = record.parent() {
        R::find_parent(tx, parent).await.map_err(|error| match error {
            StoreError::NotFound => StoreError::Conflict(
                "what this row belongs to is deleted as well; restore that first".to_owned(),
            ),
            other => other,
        })?;
    }
    let record = record.clone().completed(tx, None).await?;
    R::add_again(tx, id, &record).await?;
    let written = R::select(tx, id, false).await?;
    R::after_write(tx, None, &written).await?;
    shown(tx, written)
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
    shown(tx, kept)
}

async fn at<R: Keep>(tx: &mut Tx, place: RowPath, lock: bool) -> StoreResult<Kept<R>> {
    let kept = R::select(tx, place.id, lock).await?;
    match place.parent {
        Some(parent) if kept.record.parent() != Some(parent) => Err(StoreError::NotFound),
        _ => Ok(kept),
    }
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

/// One page of records, oldest first.
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
        R::find_parent(tx, parent).await?;
    }
    let limit = usize::try_from(page.limit).unwrap_or(0);
    let mut items = R::page(tx, parent, filter, Page { limit: page.limit + 1, ..page }).await?;
    let more = items.len() > limit;
    items.truncate(limit);
    let next_cursor = items.last().filter(|_| more).map(|last| last.id.to_string());
    let items = items.into_iter().map(|kept| shown(tx, kept)).collect::<StoreResult<_>>()?;
    Ok(List { items, next_cursor })
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
    R::update(tx, before.id, &record).await?;
    let written = R::select(tx, before.id, false).await?;
    R::after_write(tx, Some(&before), &written).await?;
    Ok(Ok(shown(tx, written)?))
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
    R::delete_cascading(tx, &before).await
}

/// The record of which a kennel has one at most.
///
/// # Errors
/// When the role does not allow it.
pub async fn only<R: Keep>(tx: &mut Tx) -> StoreResult<Option<Kept<R>>> {
    tx.scope().require(R::READ)?;
    let page = Page { after: None, limit: 1 };
    Ok(R::page(tx, None, &R::Filter::default(), page).await?.pop())
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
    let make = async |_: &Kept<R>| Ok::<R, std::convert::Infallible>(record);
    match change(tx, id, seen, make).await? {
        Ok(kept) => Ok(kept),
        Err(never) => match never {},
    }
}

fn shown<R: Keep>(tx: &Tx, kept: Kept<R>) -> StoreResult<Kept<R>> {
    Ok(Kept { record: kept.record.redacted(tx), ..kept })
}

/// The columns that every kept row begins with.
pub type Stamp = (Uuid, i64, DateTime<Utc>, DateTime<Utc>);

/// Puts a row together from its stamp and its record.
pub fn kept<R>((id, version, created_at, updated_at): Stamp, record: R) -> Kept<R> {
    Kept { id, version, created_at, updated_at, record }
}
