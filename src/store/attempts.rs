//! Tries of somebody or from somewhere, counted for all instances together.

use super::{Db, StoreResult, statement::statement};
use diesel::{
    QueryableByName,
    sql_types::{Array, Bytea, Integer, Nullable},
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

/// Counts a try under each of these before it is made, so that tries at the same moment do not slip
/// through together; the first that bars it ends the count.
///
/// After the free tries each waits twice as long as the one before, from 15 seconds to 15 minutes; a day
/// without a try forgets. Answers the seconds to wait when it may not be made now.
///
/// # Errors
/// When the database is away.
pub async fn count(db: &Db, counters: &[Counter]) -> StoreResult<Option<i32>> {
    #[derive(QueryableByName)]
    struct Wait {
        #[diesel(sql_type = Nullable<Integer>)]
        seconds: Option<i32>,
    }
    let keys: Vec<&[u8]> = counters.iter().map(|counter| counter.key.as_slice()).collect();
    let free: Vec<i32> = counters.iter().map(|counter| counter.free).collect();
    let wait: Wait = statement("SELECT count_try($1, $2) AS seconds")
        .bind::<Array<Bytea>, _>(keys)
        .bind::<Array<Integer>, _>(free)
        .get_result(&mut db.connection().await?)
        .await?;
    Ok(wait.seconds)
}

/// A try turned out good: those counted under `forgotten` are forgotten, and under `taken_back` this one is
/// taken back and no more, since somebody who tries many accounts must not wipe the slate with one of
/// their own.
///
/// # Errors
/// When the database is away.
pub async fn was_good(db: &Db, forgotten: &[Vec<u8>], taken_back: &[u8]) -> StoreResult<()> {
    statement("SELECT try_was_good($1, $2)")
        .bind::<Array<Bytea>, _>(forgotten)
        .bind::<Bytea, _>(taken_back)
        .execute(&mut db.connection().await?)
        .await?;
    Ok(())
}

/// Forgets the tries on an account from everywhere; their keys begin with these 16 bytes.
///
/// # Errors
/// When the database is away.
pub async fn forget_account(db: &Db, account: &[u8]) -> StoreResult<()> {
    statement("SELECT forget_tries($1)")
        .bind::<Bytea, _>(account)
        .execute(&mut db.connection().await?)
        .await?;
    Ok(())
}
