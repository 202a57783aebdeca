//! The five queries of a record, written from its fields.

/// Implements the five queries of [`crate::keep::Keep`] for a table whose columns are the record's fields.
///
/// A list column is given as `field as json`. `parent` names the column of the row in the path.
/// Filters are `column == field` when they compare a column; `and |query, filter| {…}` narrows further.
/// `hides Right { fields }` names fields of [`crate::keep::Keep::HIDDEN`]; `of column` implements [`crate::keep::Gather`] by that column.
macro_rules! keep {
    (
        $record:ident in $table:ident { $($field:ident $(as $wrap:ident)?),+ $(,)? }
        $(under $parent:ident of $parent_record:ident)?
        filter $filter:ident { $($column:ident == $wanted:ident),* $(,)? }
        $(and |$query:ident, $asked:ident| $narrow:block)?;
        read $read:ident, write $write:ident
        $(, hides $further:ident { $($hidden:ident),+ $(,)? })*
        $(, of $owner:ident)?
        $(, { $($extra:tt)* })?
    ) => {
        keep!(@gather $record in $table { $($field $(as $wrap)?),+ } of [$($owner)?]);

        impl crate::keep::Keep for $record {
            type Filter = $filter;
            const FIELDS: &'static [&'static str] = &[$(stringify!($field)),+];
            const READ: crate::scope::Right = crate::scope::Right::$read;
            const WRITE: crate::scope::Right = crate::scope::Right::$write;
            const HIDDEN: &'static [(crate::scope::Right, &'static [&'static str])] =
                &[$((crate::scope::Right::$further, &[$(stringify!($hidden)),+])),*];

            #[allow(unused_mut, unused_variables, reason = "most records hide nothing")]
            fn redacted(mut self, tx: &crate::Tx) -> Self {
                $(if !tx.scope.allows(crate::scope::Right::$further) {
                    $(self.$hidden = None;)+
                })*
                self
            }

            async fn insert(tx: &mut crate::Tx, id: uuid::Uuid, record: &Self) -> crate::StoreResult<()> {
                use crate::schema::$table::dsl;
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

            async fn page(
                tx: &mut crate::Tx,
                parent: Option<uuid::Uuid>,
                filter: &Self::Filter,
                page: crate::keep::Page,
            ) -> crate::StoreResult<Vec<domain::record::Kept<Self>>> {
                use crate::schema::$table::dsl;
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
                $(if let Some(wanted) = &filter.$wanted { query = query.filter(dsl::$column.eq(crate::columns::Stored(wanted))); })*
                $(
                    let ($query, $asked) = (query, filter);
                    let query = $narrow;
                )?
                let rows = diesel_async::RunQueryDsl::load(query, &mut tx.conn).await?;
                Ok(rows
                    .into_iter()
                    .map(|(stamp, ($($field,)+))| {
                        crate::keep::kept(stamp, $record { $($field: keep!(@read $field $(as $wrap)?),)+ })
                    })
                    .collect())
            }

            async fn update(tx: &mut crate::Tx, id: uuid::Uuid, record: &Self) -> crate::StoreResult<()> {
                use crate::schema::$table::dsl;
                use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
                let row = dsl::$table.filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(id)));
                let query = diesel::update(row).set(($(dsl::$field.eq(keep!(@write record.$field $(as $wrap)?)),)+));
                diesel_async::RunQueryDsl::execute(query, &mut tx.conn).await?;
                Ok(())
            }

            async fn delete(tx: &mut crate::Tx, id: uuid::Uuid) -> crate::StoreResult<()> {
                use crate::schema::$table::dsl;
                use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
                let row = dsl::$table.filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(id)));
                diesel_async::RunQueryDsl::execute(diesel::delete(row), &mut tx.conn).await?;
                Ok(())
            }

            $(
                fn parent(&self) -> Option<uuid::Uuid> {
                    Some(self.$parent)
                }

                async fn find_parent(tx: &mut crate::Tx, parent: uuid::Uuid) -> crate::StoreResult<()> {
                    <$parent_record as crate::keep::Keep>::select(tx, parent, false).await.map(drop)
                }
            )?

            $($($extra)*)?
        }
    };
    (@gather $record:ident in $table:ident { $($fields:tt)+ } of []) => {};
    (@gather $record:ident in $table:ident { $($field:ident $(as $wrap:ident)?),+ } of [$owner:ident]) => {
        impl crate::keep::Gather for $record {
            async fn gather(tx: &crate::Tx, owners: &[uuid::Uuid]) -> crate::StoreResult<Vec<domain::record::Kept<Self>>> {
                use crate::schema::$table::dsl;
                use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
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
            }
        }
    };
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
