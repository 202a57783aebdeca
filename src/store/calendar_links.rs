//! Secret links to the calendar, kept as hashes.

use super::{StoreError, StoreResult, Tx, schema, scope::Right};
use chrono::{DateTime, Utc};
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use uuid::Uuid;

/// A secret link.
#[derive(Debug, Clone, diesel::Queryable)]
pub struct CalendarLink {
    /// Id.
    pub id: Uuid,
    /// Whose it is.
    pub person_id: Uuid,
    /// What it is for.
    pub name: String,
    /// When it was made.
    pub created_at: DateTime<Utc>,
}

/// Makes a link for the person of the scope.
///
/// # Errors
/// When the database is away.
pub async fn add(tx: &mut Tx, name: &str, secret_hash: &[u8]) -> StoreResult<CalendarLink> {
    use schema::calendar_links::dsl;
    tx.scope.require_person()?;
    let id = Uuid::now_v7();
    diesel::insert_into(dsl::calendar_links)
        .values((
            dsl::kennel_id.eq(tx.scope.kennel_id()),
            dsl::id.eq(id),
            dsl::person_id.eq(tx.scope.person_id()),
            dsl::name.eq(name),
            dsl::token_hash.eq(secret_hash),
        ))
        .execute(&mut tx.conn)
        .await?;
    all(tx).await?.into_iter().find(|link| link.id == id).ok_or(StoreError::NotFound)
}

/// The links that the person of the scope may manage.
///
/// # Errors
/// When the database is away.
pub async fn all(tx: &mut Tx) -> StoreResult<Vec<CalendarLink>> {
    use schema::calendar_links::dsl;
    let mut query = dsl::calendar_links
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select((dsl::id, dsl::person_id, dsl::name, dsl::created_at))
        .order(dsl::id)
        .into_boxed();
    if !tx.scope.allows(Right::Managing) {
        query = query.filter(dsl::person_id.eq(tx.scope.person_id()));
    }
    Ok(query.load(&mut tx.conn).await?)
}

/// Withdraws a link.
///
/// # Errors
/// [`StoreError::NotFound`] when there is none that this person may manage.
pub async fn remove(tx: &mut Tx, id: Uuid) -> StoreResult<()> {
    use schema::calendar_links::dsl;
    tx.scope.require_person()?;
    let mut row = diesel::delete(dsl::calendar_links)
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(id)))
        .into_boxed();
    if !tx.scope.allows(Right::Managing) {
        row = row.filter(dsl::person_id.eq(tx.scope.person_id()));
    }
    match row.execute(&mut tx.conn).await? {
        0 => Err(StoreError::NotFound),
        _ => Ok(()),
    }
}
