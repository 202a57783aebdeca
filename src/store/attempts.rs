//! Tries of somebody or from somewhere, counted for all instances together.

use super::{Db, StoreResult};
use diesel::{
    OptionalExtension as _, QueryableByName,
    sql_types::{Bytea, Integer},
};
use diesel_async::RunQueryDsl as _;

/// What is counted, and how many tries go without a wait.
#[derive(Debug, Clone)]
pub struct Counter {
    /// A hash: neither addresses nor accounts are kept.
    pub key: Vec<u8>,
    /// Tries in a row before the first wait.
    pub free: i32,
}

#[derive(QueryableByName)]
struct Number {
    #[diesel(sql_type = Integer)]
    number: i32,
}

/// Counts a try before it is made, so that tries at the same moment do not slip through together.
///
/// After the free tries each waits twice as long as the one before, from 15 seconds to 15 minutes;
/// a day without a try forgets. Answers the seconds to wait when it may not be made now. A wait that
/// was set while the clock was ahead bars nobody.
///
/// # Errors
/// When the database is away.
pub async fn count(db: &Db, counter: &Counter) -> StoreResult<Option<i32>> {
    let mut conn = db.connection().await?;
    let counted = diesel::sql_query(
        "INSERT INTO attempts AS a (key, failures, last_at, blocked_until) VALUES ($1, 1, now(), now()) \
         ON CONFLICT (key) DO UPDATE SET \
           failures = CASE WHEN a.last_at < now() - interval '1 day' THEN 1 ELSE a.failures + 1 END, \
           last_at = now(), \
           blocked_until = now() + CASE \
             WHEN a.last_at < now() - interval '1 day' OR a.failures + 1 < $2 THEN interval '0' \
             ELSE interval '1 second' * least(900, 15 * 2 ^ least(a.failures + 1 - $2, 10)) END \
         WHERE a.blocked_until <= now() OR a.last_at > now() + interval '1 minute' \
         RETURNING failures AS number",
    )
    .bind::<Bytea, _>(&counter.key)
    .bind::<Integer, _>(counter.free)
    .get_result::<Number>(&mut conn)
    .await
    .optional()?;
    if counted.is_some() {
        return Ok(None);
    }
    let wait = diesel::sql_query(
        "SELECT greatest(1, ceil(extract(epoch FROM blocked_until - now())))::integer AS number \
         FROM attempts WHERE key = $1",
    )
    .bind::<Bytea, _>(&counter.key)
    .get_result::<Number>(&mut conn)
    .await
    .optional()?;
    Ok(Some(wait.map_or(1, |wait| wait.number)))
}

/// Forgets the tries of an account that has shown who it is.
///
/// # Errors
/// When the database is away.
pub async fn forget(db: &Db, key: &[u8]) -> StoreResult<()> {
    let mut conn = db.connection().await?;
    diesel::sql_query("DELETE FROM attempts WHERE key = $1")
        .bind::<Bytea, _>(key)
        .execute(&mut conn)
        .await?;
    Ok(())
}

/// Takes one try back that turned out good, and no more: somebody who tries many accounts must not
/// wipe the slate with one of their own.
///
/// # Errors
/// When the database is away.
pub async fn take_back(db: &Db, key: &[u8]) -> StoreResult<()> {
    let mut conn = db.connection().await?;
    diesel::sql_query(
        "UPDATE attempts SET failures = greatest(0, failures - 1), blocked_until = now() WHERE key = $1",
    )
    .bind::<Bytea, _>(key)
    .execute(&mut conn)
    .await?;
    Ok(())
}
