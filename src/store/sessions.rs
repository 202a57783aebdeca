//! Sessions: their beginning, the refresh tokens that carry them on, and their end; and the keys that sign
//! access tokens.

use super::{Db, StoreError, StoreResult, pools::soon, statement::statement};
use catalogue::said;
use chrono::{DateTime, Duration, Utc};
use diesel::{
    OptionalExtension as _, QueryableByName,
    sql_types::{Bool, Bytea, Integer, Interval, Nullable, Timestamptz, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use security::credentials::Subject;
use uuid::Uuid;

/// Begins a session of a person whose sessions are of this generation still, with its first refresh token.
///
/// # Errors
/// [`StoreError::Login`] when all sessions were ended in the meantime, as by a change of the password.
pub async fn begin(
    db: &Db,
    person_id: Uuid,
    generation: i32,
    token_hash: &[u8],
    expires_at: DateTime<Utc>,
) -> StoreResult<Subject> {
    #[derive(QueryableByName)]
    struct Begun {
        #[diesel(sql_type = Bool)]
        begun: bool,
    }
    let session_id = Uuid::now_v7();
    let query = statement("SELECT begin_session($1, $2, $3, $4, $5) AS begun")
        .bind::<SqlUuid, _>(session_id)
        .bind::<SqlUuid, _>(person_id)
        .bind::<Integer, _>(generation)
        .bind::<Bytea, _>(token_hash)
        .bind::<Timestamptz, _>(expires_at);
    let Begun { begun } = query.get_result(&mut db.connection().await?).await?;
    if begun {
        Ok(Subject { person_id, session_id })
    } else {
        Err(StoreError::Login(said!("problem-login-changed-meanwhile")))
    }
}

#[derive(QueryableByName)]
struct SubjectRow {
    #[diesel(sql_type = SqlUuid)]
    session_id: Uuid,
    #[diesel(sql_type = SqlUuid)]
    person_id: Uuid,
}

/// The refresh token that a session goes on with, by its hash.
pub struct Successor<'a> {
    /// Its hash.
    pub hash: &'a [u8],
    /// Until when it is good.
    pub expires_at: DateTime<Utc>,
}

/// Spends a refresh token and hands out the next of its session; returns whose session it is.
///
/// A token spent less than `good_again` before is good once more, as long as the one made of it was not used:
/// the answer that brought it was lost.
///
/// # Errors
/// [`StoreError::Login`]; a token spent before that ends its session, since one of the two who hold it must
/// have stolen it.
pub async fn rotate(
    db: &Db,
    old_hash: &[u8],
    next: Successor<'_>,
    good_again: Duration,
    now: DateTime<Utc>,
) -> StoreResult<Subject> {
    let query = statement("SELECT session_id, person_id FROM rotate_session($1, $2, $3, $4, $5)")
        .bind::<Bytea, _>(old_hash)
        .bind::<Bytea, _>(next.hash)
        .bind::<Timestamptz, _>(next.expires_at)
        .bind::<Timestamptz, _>(now)
        .bind::<Interval, _>(good_again);
    let row: Option<SubjectRow> = query.get_result(&mut db.connection().await?).await.optional()?;
    let SubjectRow { session_id, person_id } =
        row.ok_or_else(|| StoreError::Login(said!("problem-login-refresh-unknown")))?;
    Ok(Subject { person_id, session_id })
}

/// Whose session this is; `None` when it has ended.
///
/// # Errors
/// When the database is away.
pub async fn person(db: &Db, session_id: Uuid) -> StoreResult<Option<Uuid>> {
    #[derive(QueryableByName)]
    struct Row {
        #[diesel(sql_type = Nullable<SqlUuid>)]
        person: Option<Uuid>,
    }
    let query = statement("SELECT person_of_session($1) AS person").bind::<SqlUuid, _>(session_id);
    let row: Row = soon(async { Ok(query.get_result(&mut db.connection().await?).await?) }).await?;
    Ok(row.person)
}

/// Ends the session that a refresh token belongs to, and its access tokens with it; an unknown token is no
/// error.
///
/// # Errors
/// When the database is away.
pub async fn end(db: &Db, token_hash: &[u8], now: DateTime<Utc>) -> StoreResult<()> {
    statement("SELECT end_session($1, $2)")
        .bind::<Bytea, _>(token_hash)
        .bind::<Timestamptz, _>(now)
        .execute(&mut db.connection().await?)
        .await?;
    Ok(())
}

/// Ends all sessions of the person of this one.
///
/// # Errors
/// When the database is away.
pub async fn end_all(db: &Db, session_id: Uuid, now: DateTime<Utc>) -> StoreResult<()> {
    statement("SELECT end_all_sessions($1, $2)")
        .bind::<SqlUuid, _>(session_id)
        .bind::<Timestamptz, _>(now)
        .execute(&mut db.connection().await?)
        .await?;
    Ok(())
}

#[derive(QueryableByName)]
struct KeyRow {
    #[diesel(sql_type = SqlUuid)]
    id: Uuid,
    #[diesel(sql_type = Bytea)]
    secret: Vec<u8>,
}

/// The keys that sign access tokens, newest first; makes one when there is none.
///
/// # Errors
/// When the database is away.
pub async fn signing_keys(db: &Db, fresh: &[u8]) -> StoreResult<Vec<(Uuid, Vec<u8>)>> {
    let rows: Vec<KeyRow> = statement("SELECT id, secret FROM verifying_keys($1, $2)")
        .bind::<SqlUuid, _>(Uuid::now_v7())
        .bind::<Bytea, _>(fresh)
        .load(&mut db.connection().await?)
        .await?;
    Ok(rows.into_iter().map(|KeyRow { id, secret }| (id, secret)).collect())
}
