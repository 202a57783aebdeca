//! The log of changes: every write of a kennel, in order and without a gap.

use super::{StoreResult, Tx, schema};
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
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

/// The changes after a number that this person may see, in order.
///
/// # Errors
/// When the database is away.
pub async fn after(tx: &mut Tx, sequence: i64, limit: i64) -> StoreResult<Vec<Change>> {
    use schema::changes::dsl;
    Ok(dsl::changes
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::sequence.gt(sequence)))
        .select((
            dsl::sequence,
            dsl::at,
            dsl::person_id,
            dsl::what,
            dsl::row_id,
            dsl::action,
            dsl::before,
            dsl::after,
        ))
        .order(dsl::sequence)
        .limit(limit)
        .load(&mut tx.conn)
        .await?)
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
