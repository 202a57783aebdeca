//! One way to keep any record: create, find, list, change, remove.
//!
//! [`keep!`] writes these for a table from the record's fields. What a resource does beyond them
//! is written out in its own file.

use super::{StoreError, StoreResult, Tx, people::Right};
use crate::domain::record::{Kept, List, Record};
use chrono::{DateTime, Utc};
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
    fn enter(tx: &mut Tx, record: &Self) -> impl Future<Output = StoreResult<Uuid>> {
        async move {
            record.admit(tx, None).await?;
            let id = Uuid::now_v7();
            Self::insert(tx, id, record).await?;
            Ok(id)
        }
    }

    /// Writes a row again under the id that it had.
    fn reenter(tx: &mut Tx, id: Uuid, record: &Self) -> impl Future<Output = StoreResult<()>> {
        async move {
            record.admit(tx, None).await?;
            Self::insert(tx, id, record).await
        }
    }

    /// Takes a row away, with what it wrote beside itself.
    fn withdraw(tx: &mut Tx, kept: &Kept<Self>) -> impl Future<Output = StoreResult<()>> {
        async move { Self::delete(tx, kept.id).await }
    }

    /// Refuses what goes against other rows; `before` is null for a new one.
    fn admit(
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
    fn settle(
        _tx: &mut Tx,
        _before: Option<&Kept<Self>>,
        _after: &Kept<Self>,
    ) -> impl Future<Output = StoreResult<()>> {
        async { Ok(()) }
    }

    /// Hides what this person need not see.
    fn redacted(self, _tx: &Tx) -> Self {
        self
    }
}

/// A record whose rows can be had for many owners at once, e.g. the heats of several dams.
pub trait Gather: Keep {
    /// All rows of these owners that this person may see, oldest first.
    fn gather(tx: &mut Tx, owners: &[Uuid]) -> impl Future<Output = StoreResult<Vec<Kept<Self>>>>;
}

/// Writes a new record.
///
/// # Errors
/// When the role does not allow it, or other rows do not.
pub async fn create<R: Keep>(tx: &mut Tx, record: &R) -> StoreResult<Kept<R>> {
    tx.scope().require(R::WRITE)?;
    tx.begin_writing().await?;
    if let Some(parent) = record.parent() {
        R::find_parent(tx, parent).await?;
    }
    let record = record.clone().completed(tx, None).await?;
    let id = R::enter(tx, &record).await?;
    let written = R::select(tx, id, false).await?;
    R::settle(tx, None, &written).await?;
    shown(tx, written)
}

/// Writes a record again under the id that it had before it was deleted.
///
/// # Errors
/// As [`create`], and [`StoreError::Conflict`] when what it hangs on is gone.
pub async fn bring_back<R: Keep>(tx: &mut Tx, id: Uuid, record: &R) -> StoreResult<Kept<R>> {
    tx.scope().require(R::WRITE)?;
    if let Some(parent) = record.parent() {
        R::find_parent(tx, parent).await.map_err(|error| match error {
            StoreError::NotFound => StoreError::Conflict(
                "what this row belongs to is deleted as well; restore that first".to_owned(),
            ),
            other => other,
        })?;
    }
    let record = record.clone().completed(tx, None).await?;
    R::reenter(tx, id, &record).await?;
    let written = R::select(tx, id, false).await?;
    R::settle(tx, None, &written).await?;
    shown(tx, written)
}

/// Where a row is: its id, and the row that it hangs on in the path.
#[derive(Debug, Clone, Copy)]
pub struct Place {
    /// The row.
    pub id: Uuid,
    /// What it hangs on; null when it hangs on nothing but the kennel.
    pub parent: Option<Uuid>,
}

impl From<Uuid> for Place {
    fn from(id: Uuid) -> Self {
        Self { id, parent: None }
    }
}

/// One record.
///
/// # Errors
/// [`StoreError::NotFound`] when there is none at this place that this person may see.
pub async fn find<R: Keep>(tx: &mut Tx, place: impl Into<Place>) -> StoreResult<Kept<R>> {
    tx.scope().require(R::READ)?;
    let kept = at(tx, place.into(), false).await?;
    shown(tx, kept)
}

async fn at<R: Keep>(tx: &mut Tx, place: Place, lock: bool) -> StoreResult<Kept<R>> {
    let kept = R::select(tx, place.id, lock).await?;
    match place.parent {
        Some(parent) if kept.record.parent() != Some(parent) => Err(StoreError::NotFound),
        _ => Ok(kept),
    }
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

/// Changes a record from the version the client has seen; `make` gives the new one from the old.
///
/// # Errors
/// [`StoreError::Stale`] when somebody else was faster.
pub async fn change<R: Keep, E>(
    tx: &mut Tx,
    place: impl Into<Place>,
    version: i64,
    make: impl FnOnce(&Kept<R>) -> Result<R, E>,
) -> StoreResult<Result<Kept<R>, E>> {
    tx.scope().require(R::WRITE)?;
    tx.begin_writing().await?;
    let before = at::<R>(tx, place.into(), true).await?;
    if before.version != version {
        return Err(StoreError::Stale);
    }
    let record = match make(&before) {
        Ok(record) => record,
        Err(error) => return Ok(Err(error)),
    };
    let record = record.completed(tx, Some(&before)).await?;
    record.admit(tx, Some(&before)).await?;
    R::update(tx, before.id, &record).await?;
    let written = R::select(tx, before.id, false).await?;
    R::settle(tx, Some(&before), &written).await?;
    Ok(Ok(shown(tx, written)?))
}

/// Deletes a record at the version the client has seen.
///
/// # Errors
/// [`StoreError::Stale`] when it changed; [`StoreError::Conflict`] when something refers to it.
pub async fn remove<R: Keep>(
    tx: &mut Tx,
    place: impl Into<Place>,
    version: i64,
) -> StoreResult<()> {
    tx.scope().require(R::WRITE)?;
    tx.begin_writing().await?;
    let before = at::<R>(tx, place.into(), true).await?;
    if before.version != version {
        return Err(StoreError::Stale);
    }
    R::withdraw(tx, &before).await
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
pub async fn put_only<R: Keep>(tx: &mut Tx, version: i64, record: &R) -> StoreResult<Kept<R>> {
    tx.scope().require(R::WRITE)?;
    let Some(before) = only::<R>(tx).await? else {
        return if version == 0 { create(tx, record).await } else { Err(StoreError::Stale) };
    };
    let id = before.id;
    let record = record.clone();
    match change(tx, id, version, |_| Ok::<R, std::convert::Infallible>(record)).await? {
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

/// Implements the five queries of [`Keep`] for a table whose columns are the record's fields.
///
/// A list column is given as `field as json`. `parent` names the column of the row in the path.
/// Filters are `column == field` when they compare a column; `and |query, filter| {…}` narrows further.
/// `of column` implements [`Gather`] by that column.
macro_rules! keep {
    (
        $record:ident in $table:ident { $($field:ident $(as $wrap:ident)?),+ $(,)? }
        $(under $parent:ident of $parent_record:ident)?
        filter $filter:ident { $($column:ident == $wanted:ident),* $(,)? }
        $(and |$query:ident, $asked:ident| $narrow:block)?;
        read $read:ident, write $write:ident
        $(, of $owner:ident)?
        $(, { $($extra:tt)* })?
    ) => {
        keep!(@gather $record in $table { $($field $(as $wrap)?),+ } of [$($owner)?]);

        impl crate::store::keep::Keep for $record {
            type Filter = $filter;
            const FIELDS: &'static [&'static str] = &[$(stringify!($field)),+];
            const READ: crate::store::people::Right = crate::store::people::Right::$read;
            const WRITE: crate::store::people::Right = crate::store::people::Right::$write;

            async fn insert(tx: &mut crate::store::Tx, id: uuid::Uuid, record: &Self) -> crate::store::StoreResult<()> {
                use crate::store::schema::$table::dsl;
                use diesel::ExpressionMethods as _;
                let values = (
                    dsl::kennel_id.eq(tx.scope.kennel_id()),
                    dsl::id.eq(id),
                    $(dsl::$field.eq(keep!(@write record.$field $(as $wrap)?)),)+
                );
                let query = diesel::insert_into(dsl::$table).values(values);
                diesel_async::RunQueryDsl::execute(query, &mut tx.conn).await?;
                Ok(())
            }

            async fn select(tx: &mut crate::store::Tx, id: uuid::Uuid, lock: bool) -> crate::store::StoreResult<crate::domain::record::Kept<Self>> {
                use crate::store::schema::$table::dsl;
                use diesel::{ExpressionMethods as _, QueryDsl as _};
                let query = dsl::$table
                    .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(id)))
                    .select((
                        (dsl::id, dsl::version, dsl::created_at, dsl::updated_at),
                        ($(dsl::$field,)+),
                    ));
                use diesel::BoolExpressionMethods as _;
                let (stamp, ($($field,)+)) = if lock {
                    diesel_async::RunQueryDsl::first(query.for_no_key_update(), &mut tx.conn).await?
                } else {
                    diesel_async::RunQueryDsl::first(query, &mut tx.conn).await?
                };
                Ok(crate::store::keep::kept(stamp, $record { $($field: keep!(@read $field $(as $wrap)?),)+ }))
            }

            async fn page(
                tx: &mut crate::store::Tx,
                parent: Option<uuid::Uuid>,
                filter: &Self::Filter,
                page: crate::store::keep::Page,
            ) -> crate::store::StoreResult<Vec<crate::domain::record::Kept<Self>>> {
                use crate::store::schema::$table::dsl;
                use diesel::{ExpressionMethods as _, QueryDsl as _};
                let mut query = dsl::$table
                    .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
                    .select((
                        (dsl::id, dsl::version, dsl::created_at, dsl::updated_at),
                        ($(dsl::$field,)+),
                    ))
                    .order(dsl::id)
                    .limit(page.limit)
                    .into_boxed();
                if let Some(after) = page.after {
                    query = query.filter(dsl::id.gt(after));
                }
                $(if let Some(parent) = parent { query = query.filter(dsl::$parent.eq(parent)); })?
                let _ = (&parent, filter);
                $(if let Some(wanted) = &filter.$wanted { query = query.filter(dsl::$column.eq(wanted)); })*
                $(
                    let ($query, $asked) = (query, filter);
                    let query = $narrow;
                )?
                let rows = diesel_async::RunQueryDsl::load(query, &mut tx.conn).await?;
                Ok(rows
                    .into_iter()
                    .map(|(stamp, ($($field,)+))| {
                        crate::store::keep::kept(stamp, $record { $($field: keep!(@read $field $(as $wrap)?),)+ })
                    })
                    .collect())
            }

            async fn update(tx: &mut crate::store::Tx, id: uuid::Uuid, record: &Self) -> crate::store::StoreResult<()> {
                use crate::store::schema::$table::dsl;
                use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
                let row = dsl::$table.filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(id)));
                let query = diesel::update(row).set(($(dsl::$field.eq(keep!(@write record.$field $(as $wrap)?)),)+));
                diesel_async::RunQueryDsl::execute(query, &mut tx.conn).await?;
                Ok(())
            }

            async fn delete(tx: &mut crate::store::Tx, id: uuid::Uuid) -> crate::store::StoreResult<()> {
                use crate::store::schema::$table::dsl;
                use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
                let row = dsl::$table.filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(id)));
                diesel_async::RunQueryDsl::execute(diesel::delete(row), &mut tx.conn).await?;
                Ok(())
            }

            $(
                fn parent(&self) -> Option<uuid::Uuid> {
                    Some(self.$parent)
                }

                async fn find_parent(tx: &mut crate::store::Tx, parent: uuid::Uuid) -> crate::store::StoreResult<()> {
                    <$parent_record as crate::store::keep::Keep>::select(tx, parent, false).await.map(drop)
                }
            )?

            $($($extra)*)?
        }
    };
    (@gather $record:ident in $table:ident { $($fields:tt)+ } of []) => {};
    (@gather $record:ident in $table:ident { $($field:ident $(as $wrap:ident)?),+ } of [$owner:ident]) => {
        impl crate::store::keep::Gather for $record {
            async fn gather(tx: &mut crate::store::Tx, owners: &[uuid::Uuid]) -> crate::store::StoreResult<Vec<crate::domain::record::Kept<Self>>> {
                use crate::store::schema::$table::dsl;
                use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
                let query = dsl::$table
                    .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::$owner.eq_any(owners)))
                    .select((
                        (dsl::id, dsl::version, dsl::created_at, dsl::updated_at),
                        ($(dsl::$field,)+),
                    ))
                    .order(dsl::id);
                let rows = diesel_async::RunQueryDsl::load(query, &mut tx.conn).await?;
                Ok(rows
                    .into_iter()
                    .map(|(stamp, ($($field,)+))| {
                        crate::store::keep::kept(stamp, $record { $($field: keep!(@read $field $(as $wrap)?),)+ })
                    })
                    .collect())
            }
        }
    };
    (@write $record:ident.$field:ident as json) => {
        crate::store::columns::JsonList($record.$field.clone())
    };
    (@write $record:ident.$field:ident) => { &$record.$field };
    (@read $field:ident as json) => {{
        let crate::store::columns::JsonList(list) = $field;
        list
    }};
    (@read $field:ident) => { $field };
}

pub(crate) use keep;
