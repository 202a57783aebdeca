//! The log of changes: every write of a kennel, in order and without a gap.
//!
//! Which entries somebody is told, and which fields, the database decides: the policy of `changes` and
//! `told_before`, `told_after` ask the tables `log_words` and `log_fields`, which say of each word what a
//! direct read of its rows needs.

use super::{StoreResult, Tx, schema};
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
    dsl::sql,
    sql_types::{Jsonb, Nullable},
};
use diesel_async::RunQueryDsl as _;
use std::collections::HashSet;
use uuid::Uuid;

/// One write.
#[derive(Debug, Clone, diesel::Queryable)]
pub struct Change {
    /// Its number in the kennel.
    pub sequence: i64,
    /// When.
    pub at: DateTime<Utc>,
    /// Who; null for the service itself.
    pub person_id: Option<Uuid>,
    /// What kind of row.
    pub what: String,
    /// Which row; null for an import, which is logged once.
    pub row_id: Option<Uuid>,
    /// `created`, `changed`, `deleted` or `imported`.
    pub action: String,
    /// The row before.
    pub before: Option<serde_json::Value>,
    /// The row after.
    pub after: Option<serde_json::Value>,
}

/// Which changes to tell of.
#[derive(Debug, Clone, Default)]
pub struct Which {
    /// Only of this kind of row.
    pub what: Option<String>,
    /// Only of this row.
    pub row_id: Option<Uuid>,
}

/// The changes after a number that this person may see, in order.
///
/// # Errors
/// When the database is away.
pub async fn after(
    tx: &mut Tx,
    which: &Which,
    sequence: i64,
    limit: i64,
) -> StoreResult<Vec<Change>> {
    use schema::changes::dsl;
    let mut query = dsl::changes
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::sequence.gt(sequence)))
        .select((
            dsl::sequence,
            dsl::at,
            dsl::person_id,
            dsl::what,
            dsl::row_id,
            dsl::action,
            sql::<Nullable<Jsonb>>("told_before(changes, (SELECT rights()), (SELECT sees_all()))"),
            sql::<Nullable<Jsonb>>("told_after(changes, (SELECT rights()), (SELECT sees_all()))"),
        ))
        .order(dsl::sequence)
        .limit(limit)
        .into_boxed();
    if let Some(what) = &which.what {
        query = query.filter(dsl::what.eq(what));
    }
    if let Some(row_id) = which.row_id {
        query = query.filter(dsl::row_id.eq(row_id));
    }
    Ok(query.load(&mut tx.conn).await?)
}

/// The number of the last change in the kennel; 0 when there is none.
///
/// # Errors
/// When the database is away.
pub async fn head(tx: &mut Tx) -> StoreResult<i64> {
    use schema::change_heads::dsl;
    let head = dsl::change_heads
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select(dsl::sequence)
        .first(&mut tx.conn)
        .await
        .optional()?;
    Ok(head.unwrap_or(0))
}

/// Of these rows, those that were deleted.
///
/// # Errors
/// When the database is away.
pub async fn deleted(tx: &mut Tx, rows: &[Uuid]) -> StoreResult<HashSet<Uuid>> {
    use schema::changes::dsl;
    let found: Vec<Option<Uuid>> = dsl::changes
        .filter(
            dsl::kennel_id
                .eq(tx.scope.kennel_id())
                .and(dsl::row_id.eq_any(rows))
                .and(dsl::action.eq("deleted")),
        )
        .select(dsl::row_id)
        .load(&mut tx.conn)
        .await?;
    Ok(found.into_iter().flatten().collect())
}

/// Who wrote a row first; `None` for the service itself.
///
/// # Errors
/// When the database is away.
pub async fn created_by(tx: &mut Tx, row: Uuid) -> StoreResult<Option<Uuid>> {
    use schema::changes::dsl;
    let found: Option<Option<Uuid>> = dsl::changes
        .filter(
            dsl::kennel_id
                .eq(tx.scope.kennel_id())
                .and(dsl::row_id.eq(row))
                .and(dsl::action.eq("created")),
        )
        .select(dsl::person_id)
        .first(&mut tx.conn)
        .await
        .optional()?;
    Ok(found.flatten())
}
