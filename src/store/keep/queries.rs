//! The five queries of a record, written from its fields.

use diesel::{
    BoxableExpression,
    pg::Pg,
    sql_types::{Bool, Nullable},
};

/// What a list asks of rows of a table, all of it at once.
pub(crate) type Conditions<Table> =
    Vec<Box<dyn BoxableExpression<Table, Pg, SqlType = Nullable<Bool>>>>;

/// Implements the five queries of [`crate::keep::Keep`] for a table whose columns are the record's fields.
///
/// A list column is given as `field as json`; `entered with` names columns that the service fills when a row is
/// new. `sorted` names the fields by which a list is sorted, beside the times of entry and change; `dated` is the
/// one of which the filter has `since` (on it or after) and `until` (before it).
/// Filters are `column == field` when they compare a column; `and function` names one that asks further [`Conditions`].
/// `of column` implements [`crate::keep::Gather`] by that column, `in batches` [`crate::keep::KeepMany`].
macro_rules! keep {
    (
        $record:ident in $table:ident { $($field:ident $(as $wrap:ident)?),+ $(,)? }
        $(entered with { $($made:ident = $make:path),+ })?
        sorted { $($sort:ident $by:ident),* $(,)? } $(dated $dated:ident)?
        filter $filter:ident { $($column:ident == $wanted:ident),* $(,)? }
        $(and $asked:path)?
        $(, of $owner:ident)?
        $(, in $batches:ident)?
    ) => {
        keep!(@gather $record in $table { $($field $(as $wrap)?),+ } of [$($owner)?]);
        keep!(@many $record in $table { $($field $(as $wrap)?),+ } in [$($batches)?]);

        // The line of the register is of this table.
        const _: () = assert!(domain::record::is_same(
            <$record as domain::record::register::Registered>::LINE.table,
            stringify!($table),
        ));

        const _: () = {
        use crate::schema::$table::dsl;

        type PageQuery<'f> = diesel::dsl::IntoBoxed<
            'f,
            diesel::dsl::Select<
                dsl::$table,
                ((dsl::id, dsl::version, dsl::created_at, dsl::updated_at), ($(dsl::$field,)+)),
            >,
            diesel::pg::Pg,
        >;

        /// One page; null where the kennel's day has to be known first.
        fn page_query<'f>(
            kennel_id: uuid::Uuid,
            today: Option<chrono::NaiveDate>,
            parent: Option<uuid::Uuid>,
            filter: &'f $filter,
            page: crate::keep::Page,
        ) -> Option<PageQuery<'f>> {
            use diesel::{ExpressionMethods as _, QueryDsl as _};
            let mut query = dsl::$table
                .select((
                    (dsl::id, dsl::version, dsl::created_at, dsl::updated_at),
                    ($(dsl::$field,)+),
                ))
                .into_boxed()
                .filter(dsl::kennel_id.eq(kennel_id))
                .order(page.order.by(concat!("\"", stringify!($table), "\".\"id\"")))
                .limit(page.limit);
            if let Some(place) = page.after {
                query = query.filter(page.order.after(concat!("\"", stringify!($table), "\".\"id\""), place));
            }
            $(
                if let Some(since) = filter.since {
                    query = query.filter(dsl::$dated.ge(since));
                }
                if let Some(until) = filter.until {
                    query = query.filter(dsl::$dated.lt(until));
                }
            )?
            use domain::record::register::Registered;
            if let (Some(parent), Some(of)) = (parent, <$record as Registered>::LINE.parent) {
                query = query.filter(::postgres::expression::HangsOn { column: of.field, id: parent });
            }
            let _ = (filter, today);
            $(if let Some(wanted) = &filter.$wanted { query = query.filter(dsl::$column.eq(crate::columns::Stored(wanted))); })*
            $(
                for condition in $asked(filter, today)? {
                    query = query.filter(condition);
                }
            )?
            Some(query)
        }

        impl crate::keep::Keep for $record {
            type Filter = $filter;
            const FIELDS: &'static [&'static str] = &[$(stringify!($field)),+];
            const SORTS: &'static [::postgres::order::Sortable] = &[
                $(keep!(@sortable $record $table $sort $by),)*
                keep!(@sortable $record $table created_at Time),
                keep!(@sortable $record $table updated_at Time),
            ];

            async fn insert(
                tx: &mut crate::Tx,
                id: uuid::Uuid,
                record: &Self,
                _pen: &crate::keep::Pen,
            ) -> crate::StoreResult<()> {
                use crate::schema::$table::dsl;
                use diesel::ExpressionMethods as _;
                let values = (
                    dsl::kennel_id.eq(tx.scope.kennel_id()),
                    dsl::id.eq(id),
                    $(dsl::$field.eq(keep!(@write record.$field $(as $wrap)?)),)+
                    $($(dsl::$made.eq($make(tx)?),)+)?
                );
                let query = diesel::insert_into(dsl::$table).values(values);
                diesel_async::RunQueryDsl::execute(query, &mut tx.conn).await?;
                Ok(())
            }

            keep!(@told $record in $table { $($field $(as $wrap)?),+ } entered [$($($made = $make),+)?] in [$($batches)?]);

            async fn select(tx: &mut crate::Tx, id: uuid::Uuid, lock: bool) -> crate::StoreResult<domain::record::Kept<Self>> {
                use crate::schema::$table::dsl;
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
                Ok(crate::keep::kept(stamp, $record { $($field: keep!(@read $field $(as $wrap)?),)+ }))
            }

            async fn ask_row(
                db: &crate::Db,
                claim: &crate::scope::Claim,
                id: uuid::Uuid,
            ) -> crate::StoreResult<crate::ask::Answer<domain::record::Kept<Self>>> {
                use crate::schema::$table::dsl;
                use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
                let query = dsl::$table
                    .filter(dsl::kennel_id.eq(claim.kennel_id).and(dsl::id.eq(id)))
                    .select((
                        (dsl::id, dsl::version, dsl::created_at, dsl::updated_at),
                        ($(dsl::$field,)+),
                    ))
                    .limit(1);
                let answer = crate::ask::ask(db, claim, None, query).await?;
                Ok(answer.map(|(stamp, ($($field,)+))| {
                    crate::keep::kept(stamp, $record { $($field: keep!(@read $field $(as $wrap)?),)+ })
                }))
            }

            async fn page(
                tx: &mut crate::Tx,
                parent: Option<uuid::Uuid>,
                filter: &Self::Filter,
                page: crate::keep::Page,
            ) -> crate::StoreResult<Vec<domain::record::Kept<Self>>> {
                let (kennel_id, today) = (tx.scope.kennel_id(), Some(tx.scope.today()));
                let Some(query) = page_query(kennel_id, today, parent, filter, page) else {
                    return Ok(Vec::new());
                };
                let rows = diesel_async::RunQueryDsl::load(query, &mut tx.conn).await?;
                Ok(rows
                    .into_iter()
                    .map(|(stamp, ($($field,)+))| {
                        crate::keep::kept(stamp, $record { $($field: keep!(@read $field $(as $wrap)?),)+ })
                    })
                    .collect())
            }

            async fn ask_page(
                db: &crate::Db,
                claim: &crate::scope::Claim,
                parent: Option<uuid::Uuid>,
                filter: &Self::Filter,
                page: crate::keep::Page,
            ) -> crate::StoreResult<crate::ask::Answer<domain::record::Kept<Self>>> {
                let Some(query) = page_query(claim.kennel_id, None, parent, filter, page) else {
                    return Ok(crate::ask::Answer::Later);
                };
                let parent = crate::register::parent_of::<Self>(parent)?;
                let answer = crate::ask::ask(db, claim, parent, query).await?;
                Ok(answer.map(|(stamp, ($($field,)+))| {
                    crate::keep::kept(stamp, $record { $($field: keep!(@read $field $(as $wrap)?),)+ })
                }))
            }

            async fn update(
                tx: &mut crate::Tx,
                id: uuid::Uuid,
                record: &Self,
                _pen: &crate::keep::Pen,
            ) -> crate::StoreResult<()> {
                use crate::schema::$table::dsl;
                use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
                let row = dsl::$table.filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(id)));
                let query = diesel::update(row).set(($(dsl::$field.eq(keep!(@write record.$field $(as $wrap)?)),)+));
                diesel_async::RunQueryDsl::execute(query, &mut tx.conn).await?;
                Ok(())
            }

            async fn delete(
                tx: &mut crate::Tx,
                id: uuid::Uuid,
                _pen: &crate::keep::Pen,
            ) -> crate::StoreResult<()> {
                use crate::schema::$table::dsl;
                use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
                let row = dsl::$table.filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(id)));
                diesel_async::RunQueryDsl::execute(diesel::delete(row), &mut tx.conn).await?;
                Ok(())
            }
        }
        };
    };
    (@gather $record:ident in $table:ident { $($fields:tt)+ } of []) => {};
    (@gather $record:ident in $table:ident { $($field:ident $(as $wrap:ident)?),+ } of [$owner:ident]) => {
        impl crate::keep::Gather for $record {
            async fn gathered(
                tx: &crate::Tx,
                owners: &[uuid::Uuid],
            ) -> crate::StoreResult<std::sync::Arc<Vec<domain::record::Kept<Self>>>> {
                use crate::{reads::ListKey, schema::$table::dsl};
                use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
                use domain::record::register::Registered;
                const WORDS: &[&str] = &[<$record as Registered>::LINE.word];
                tx.remembered(|| ListKey::of(stringify!($table), owners), WORDS, async || {
                    let query = dsl::$table
                        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::$owner.eq_any(owners)))
                        .select((
                            (dsl::id, dsl::version, dsl::created_at, dsl::updated_at),
                            ($(dsl::$field,)+),
                        ))
                        .order(dsl::id);
                    let rows = diesel_async::RunQueryDsl::load(query, &mut tx.pipelined()).await?;
                    Ok(rows
                        .into_iter()
                        .map(|(stamp, ($($field,)+))| {
                            crate::keep::kept(stamp, $record { $($field: keep!(@read $field $(as $wrap)?),)+ })
                        })
                        .collect())
                })
                .await
            }
        }
    };
    (@told $record:ident in $table:ident { $($fields:tt)+ } entered [$($made:tt)*] in []) => {};
    (@told $record:ident in $table:ident { $($field:ident $(as $wrap:ident)?),+ } entered [] in [$batches:ident]) => {
        async fn insert_told(
            tx: &mut crate::Tx,
            id: uuid::Uuid,
            record: &Self,
            _pen: &crate::keep::Pen,
        ) -> crate::StoreResult<Option<domain::record::Kept<Self>>> {
            use crate::schema::$table::dsl;
            use diesel::ExpressionMethods as _;
            let query = diesel::insert_into(dsl::$table)
                .values((
                    dsl::kennel_id.eq(tx.scope.kennel_id()),
                    dsl::id.eq(id),
                    $(dsl::$field.eq(keep!(@write record.$field $(as $wrap)?)),)+
                ))
                .returning((
                    (dsl::id, dsl::version, dsl::created_at, dsl::updated_at),
                    ($(dsl::$field,)+),
                ));
            let (stamp, ($($field,)+)) =
                diesel_async::RunQueryDsl::get_result(query, &mut tx.conn).await?;
            Ok(Some(crate::keep::kept(stamp, $record { $($field: keep!(@read $field $(as $wrap)?),)+ })))
        }
    };
    (@many $record:ident in $table:ident { $($fields:tt)+ } in []) => {};
    (@many $record:ident in $table:ident { $($field:ident $(as $wrap:ident)?),+ } in [$batches:ident]) => {
        impl crate::keep::KeepMany for $record {
            async fn select_all(
                tx: &mut crate::Tx,
                ids: &[uuid::Uuid],
            ) -> crate::StoreResult<Vec<domain::record::Kept<Self>>> {
                use crate::schema::$table::dsl;
                use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
                let query = dsl::$table
                    .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq_any(ids)))
                    .select((
                        (dsl::id, dsl::version, dsl::created_at, dsl::updated_at),
                        ($(dsl::$field,)+),
                    ));
                let rows = diesel_async::RunQueryDsl::load(query, &mut tx.conn).await?;
                Ok(rows
                    .into_iter()
                    .map(|(stamp, ($($field,)+))| {
                        crate::keep::kept(stamp, $record { $($field: keep!(@read $field $(as $wrap)?),)+ })
                    })
                    .collect())
            }

            async fn insert_all(
                tx: &mut crate::Tx,
                rows: &[crate::batches::Offered<Self>],
                _pen: &crate::keep::Pen,
            ) -> crate::StoreResult<std::collections::HashSet<uuid::Uuid>> {
                use crate::schema::$table::dsl;
                use diesel::{dsl::SqlTypeOf, sql_types::{Array, Uuid as SqlUuid}};
                // A list a column: one text for any number of rows, which the connection keeps planned.
                let query = crate::statement::statement(concat!(
                    "INSERT INTO ", stringify!($table), " (kennel_id, id", $(", \"", stringify!($field), "\"",)+
                    ") SELECT $, n.* FROM unnest($", $(keep!(@place $field),)+
                    ") AS n ON CONFLICT (kennel_id, id) DO NOTHING RETURNING id"
                ))
                .bind::<SqlUuid, _>(tx.scope.kennel_id())
                .bind::<Array<SqlUuid>, _>(rows.iter().map(|row| row.id).collect::<Vec<_>>())
                $(.bind::<Array<SqlTypeOf<dsl::$field>>, _>(
                    rows.iter().map(|row| {
                        let record = &row.record;
                        keep!(@write record.$field $(as $wrap)?)
                    }).collect::<Vec<_>>(),
                ))+;
                let stored: Vec<crate::keep::StoredRow> =
                    diesel_async::RunQueryDsl::get_results(query, &mut tx.conn).await?;
                Ok(stored.into_iter().map(|row| row.id).collect())
            }
        }
    };
    (@sortable $record:ident $table:ident $field:ident $by:ident) => {
        ::postgres::order::Sortable {
            name: domain::record::field_of(<$record as domain::record::Record>::STORED_AS, stringify!($field)),
            column: concat!("\"", stringify!($table), "\".\"", stringify!($field), "\""),
            by: ::postgres::order::By::$by,
        }
    };
    (@place $field:ident) => { ", $" };
    (@write $record:ident.$field:ident as json) => {
        crate::columns::JsonList($record.$field.clone())
    };
    (@write $record:ident.$field:ident) => { crate::columns::Stored(&$record.$field) };
    (@read $field:ident as json) => {{
        let crate::columns::JsonList(list) = $field;
        list
    }};
    (@read $field:ident) => { $field };
}

pub(crate) use keep;
