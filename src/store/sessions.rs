//! Sessions: the refresh tokens that carry them on, and the keys that sign access tokens.

use super::{Db, StoreError, StoreResult, schema};
use crate::credentials::Subject;
use chrono::{DateTime, Utc};
use diesel::{ExpressionMethods as _, OptionalExtension as _, QueryDsl as _};
use diesel_async::{AsyncConnection as _, RunQueryDsl as _};
use uuid::Uuid;

/// Begins a session: the first refresh token of a new family.
///
/// # Errors
/// When the database is away.
pub async fn begin_session(
    db: &Db,
    person_id: Uuid,
    token_hash: &[u8],
    expires_at: DateTime<Utc>,
) -> StoreResult<()> {
    let mut conn = db.connection().await?;
    insert_refresh(&mut conn, Uuid::now_v7(), person_id, token_hash, expires_at).await
}

async fn insert_refresh(
    conn: &mut diesel_async::AsyncPgConnection,
    family_id: Uuid,
    person_id: Uuid,
    token_hash: &[u8],
    expires_at: DateTime<Utc>,
) -> StoreResult<()> {
    use schema::refresh_tokens as t;
    diesel::insert_into(t::table)
        .values((
            t::id.eq(Uuid::now_v7()),
            t::family_id.eq(family_id),
            t::person_id.eq(person_id),
            t::token_hash.eq(token_hash),
            t::expires_at.eq(expires_at),
        ))
        .execute(conn)
        .await?;
    Ok(())
}

/// Spends a refresh token and hands out the next of its family; returns whose session it is.
///
/// # Errors
/// [`StoreError::Login`]; a token spent before ends its whole family, since one of the two who hold
/// it must have stolen it.
pub async fn rotate_session(
    db: &Db,
    old_hash: &[u8],
    new_hash: &[u8],
    expires_at: DateTime<Utc>,
    now: DateTime<Utc>,
) -> StoreResult<Subject> {
    use schema::{people as p, refresh_tokens as t};
    const DEAD: StoreError =
        StoreError::Login("the refresh token is unknown or ended; log in again");
    type Row = (Uuid, Uuid, Uuid, DateTime<Utc>, Option<DateTime<Utc>>, Option<DateTime<Utc>>);
    let mut conn = db.connection().await?;
    conn.transaction::<Result<Subject, StoreError>, StoreError, _>(async |conn| {
        let found: Option<Row> = t::table
            .filter(t::token_hash.eq(old_hash))
            .select((t::id, t::family_id, t::person_id, t::expires_at, t::spent_at, t::ended_at))
            .for_update()
            .first(conn)
            .await
            .optional()?;
        let Some((id, family_id, person_id, good_until, spent_at, ended_at)) = found else {
            return Ok(Err(DEAD));
        };
        if spent_at.is_some() || ended_at.is_some() || good_until <= now {
            diesel::update(t::table.filter(t::family_id.eq(family_id)))
                .set(t::ended_at.eq(now))
                .execute(conn)
                .await?;
            // Committed, not rolled back: the family is over.
            return Ok(Err(DEAD));
        }
        diesel::update(t::table.filter(t::id.eq(id)))
            .set(t::spent_at.eq(now))
            .execute(conn)
            .await?;
        insert_refresh(conn, family_id, person_id, new_hash, expires_at).await?;
        let generation =
            p::table.filter(p::id.eq(person_id)).select(p::generation).first(conn).await?;
        Ok(Ok(Subject { person_id, generation }))
    })
    .await?
}

/// Ends the session that a refresh token belongs to; an unknown token is no error.
///
/// # Errors
/// When the database is away.
pub async fn end_session(db: &Db, token_hash: &[u8], now: DateTime<Utc>) -> StoreResult<()> {
    use schema::refresh_tokens as t;
    let mut conn = db.connection().await?;
    let family: Option<Uuid> = t::table
        .filter(t::token_hash.eq(token_hash))
        .select(t::family_id)
        .first(&mut conn)
        .await
        .optional()?;
    if let Some(family) = family {
        diesel::update(t::table.filter(t::family_id.eq(family)))
            .set(t::ended_at.eq(now))
            .execute(&mut conn)
            .await?;
    }
    Ok(())
}

/// The keys that sign access tokens, newest first; makes one when there is none.
///
/// # Errors
/// When the database is away.
pub async fn signing_keys(db: &Db, fresh: &[u8]) -> StoreResult<Vec<(Uuid, Vec<u8>)>> {
    use schema::signing_keys as k;
    let mut conn = db.connection().await?;
    conn.transaction::<_, StoreError, _>(async |conn| {
        // Two instances that start at once agree on one key.
        diesel::sql_query("SELECT pg_advisory_xact_lock(hashtext('denwright signing keys'))")
            .execute(conn)
            .await?;
        let good = || {
            k::table.filter(k::retired_at.is_null()).select((k::id, k::secret)).order(k::id.desc())
        };
        let keys: Vec<(Uuid, Vec<u8>)> = good().load(conn).await?;
        if !keys.is_empty() {
            return Ok(keys);
        }
        diesel::insert_into(k::table)
            .values((k::id.eq(Uuid::now_v7()), k::secret.eq(fresh)))
            .execute(conn)
            .await?;
        Ok(good().load(conn).await?)
    })
    .await
}
