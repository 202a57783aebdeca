//! What is done from time to time: new signing keys, and the end of what nobody needs any more.

use super::{Db, StoreError, StoreResult, schema};
use diesel::{
    ExpressionMethods as _, OptionalExtension as _, QueryDsl as _, QueryableByName,
    sql_types::{BigInt, Bool, Bytea, Uuid as SqlUuid},
};
use diesel_async::{
    AsyncConnection as _, AsyncPgConnection, RunQueryDsl as _, SimpleAsyncConnection as _,
};
use uuid::Uuid;

/// Signs with a new key from now on; the old ones verify until the last token they signed is over.
///
/// # Errors
/// When the database is away.
pub async fn rotate_keys(db: &Db, fresh: &[u8]) -> StoreResult<Uuid> {
    use schema::signing_keys::dsl;
    let mut conn = db.connection().await?;
    conn.transaction::<_, StoreError, _>(async |conn| {
        let id = next_key_id(conn).await?;
        diesel::insert_into(dsl::signing_keys)
            .values((dsl::id.eq(id), dsl::secret.eq(fresh)))
            .execute(conn)
            .await?;
        Ok(id)
    })
    .await
}

/// An id above those of all keys, since the highest signs: also above that of a key that was made
/// while the clock was ahead. Holds the lock of the keys until the transaction ends.
async fn next_key_id(conn: &mut AsyncPgConnection) -> StoreResult<Uuid> {
    use schema::signing_keys::dsl;
    conn.batch_execute("SELECT pg_advisory_xact_lock(hashtext('denwright signing keys'))").await?;
    let newest: Option<Uuid> =
        dsl::signing_keys.select(dsl::id).order(dsl::id.desc()).first(conn).await.optional()?;
    let now = Uuid::now_v7();
    Ok(match newest {
        Some(newest) if newest >= now => Uuid::from_u128(newest.as_u128().saturating_add(1)),
        _ => now,
    })
}

#[derive(QueryableByName)]
struct KeyId {
    #[diesel(sql_type = SqlUuid)]
    id: Uuid,
}

/// Rotates when the newest key is older than so many days; of several instances, one does it.
///
/// # Errors
/// When the database is away.
pub async fn rotate_old_keys(db: &Db, days: i64, fresh: &[u8]) -> StoreResult<Option<Uuid>> {
    let mut conn = db.connection().await?;
    conn.transaction::<_, StoreError, _>(async |conn| {
        let id = next_key_id(conn).await?;
        // One that says that it was made in the future tells nothing of its age.
        let made = diesel::sql_query(
            "INSERT INTO signing_keys (id, secret) SELECT $1, $2 \
             WHERE NOT EXISTS (SELECT FROM signing_keys \
                               WHERE created_at > now() - interval '1 day' * $3 \
                               AND created_at <= now()) \
             RETURNING id",
        )
        .bind::<SqlUuid, _>(id)
        .bind::<Bytea, _>(fresh)
        .bind::<BigInt, _>(days)
        .get_result::<KeyId>(conn)
        .await
        .optional()?;
        Ok(made.map(|key| key.id))
    })
    .await
}

#[derive(QueryableByName)]
struct Locked {
    #[diesel(sql_type = Bool)]
    locked: bool,
}

/// Deletes what is over: old keys, sessions, resets, tries, and answers kept for repeats.
///
/// Tokens live a day at most, so a key whose successor is older verifies nothing any more. Nothing
/// is done when another instance is at it.
///
/// # Errors
/// When the database is away.
pub async fn clear_away(db: &Db) -> StoreResult<()> {
    let mut conn = db.connection().await?;
    conn.transaction::<_, StoreError, _>(async |conn| {
        let lock = "SELECT pg_try_advisory_xact_lock(hashtext('denwright upkeep')) AS locked";
        if !diesel::sql_query(lock).get_result::<Locked>(conn).await?.locked {
            return Ok(());
        }
        for statement in [
            "DELETE FROM signing_keys k WHERE EXISTS (SELECT FROM signing_keys n \
             WHERE n.id > k.id AND n.created_at < now() - interval '25 hours')",
            // Kept for a while after their end: a stolen one that comes back must still be known.
            "DELETE FROM refresh_tokens WHERE expires_at < now() - interval '30 days'",
            "DELETE FROM password_resets WHERE expires_at < now()",
            "DELETE FROM attempts WHERE last_at < now() - interval '1 day'",
            "DELETE FROM idempotency_keys WHERE created_at < now() - interval '7 days'",
            "SELECT clear_webhook_deliveries()",
        ] {
            conn.batch_execute(statement).await?;
        }
        Ok(())
    })
    .await
}
