//! What a person logs in with: password, second factor, resets, and the end of all sessions.

use super::{Db, StoreError, StoreResult, people::Person, pools::soon, schema};
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
};
use diesel_async::{AsyncConnection as _, AsyncPgConnection, RunQueryDsl as _};
use uuid::Uuid;

/// A person with what their login rests on.
#[derive(Debug, Clone, diesel::Queryable)]
pub struct Account {
    /// The person.
    pub person: Person,
    /// Hash of the password.
    pub password_hash: String,
    /// Generation of the sessions.
    pub generation: i32,
    /// Secret of the second factor, also before it is confirmed.
    pub totp_secret: Option<Vec<u8>>,
    /// Whether a second factor is asked for.
    pub totp_on: bool,
    /// The last time step whose code was taken.
    pub totp_step: i64,
}

macro_rules! account_where {
    ($db:expr, $condition:expr) => {{
        use schema::people::dsl;
        dsl::people
            .filter($condition)
            .select((
                (dsl::id, dsl::name, dsl::email),
                dsl::password_hash,
                dsl::generation,
                dsl::totp_secret,
                dsl::totp_on,
                dsl::totp_step,
            ))
            .first(&mut $db.connection().await?)
            .await
            .optional()?
    }};
}

/// The account of an email address, in any case.
///
/// # Errors
/// When the database is away.
pub async fn by_email(db: &Db, email: &str) -> StoreResult<Option<Account>> {
    Ok(account_where!(db, schema::people::email.eq(email.to_lowercase())))
}

/// The account of a person.
///
/// # Errors
/// [`StoreError::Login`] when the person is no longer there.
pub async fn by_id(db: &Db, person_id: Uuid) -> StoreResult<Account> {
    let found: Option<Account> = account_where!(db, schema::people::id.eq(person_id));
    found.ok_or(StoreError::Login("the person of this login is no longer there"))
}

/// The generation of a person's sessions; null when they are no longer there.
///
/// # Errors
/// When the database is away.
pub async fn generation(db: &Db, person_id: Uuid) -> StoreResult<Option<i32>> {
    use schema::people::dsl;
    let query = dsl::people.filter(dsl::id.eq(person_id)).select(dsl::generation);
    soon(async { Ok(query.first(&mut db.connection().await?).await.optional()?) }).await
}

/// Ends all sessions of a person; returns the generation of the next ones.
///
/// # Errors
/// When the database is away.
pub async fn end_all_sessions(db: &Db, person_id: Uuid, now: DateTime<Utc>) -> StoreResult<i32> {
    let mut conn = db.connection().await?;
    conn.transaction::<_, StoreError, _>(async |conn| end_sessions(conn, person_id, now).await)
        .await
}

async fn end_sessions(
    conn: &mut AsyncPgConnection,
    person_id: Uuid,
    now: DateTime<Utc>,
) -> StoreResult<i32> {
    use schema::{people::dsl, refresh_tokens as t};
    diesel::update(t::table.filter(t::person_id.eq(person_id).and(t::ended_at.is_null())))
        .set(t::ended_at.eq(now))
        .execute(conn)
        .await?;
    Ok(diesel::update(dsl::people.filter(dsl::id.eq(person_id)))
        .set(dsl::generation.eq(dsl::generation + 1))
        .returning(dsl::generation)
        .get_result(conn)
        .await?)
}

/// Sets a password and ends all sessions; returns the generation of the next ones.
///
/// # Errors
/// When the database is away.
pub async fn set_password(
    db: &Db,
    person_id: Uuid,
    password_hash: &str,
    now: DateTime<Utc>,
) -> StoreResult<i32> {
    use schema::{password_resets, people::dsl};
    let mut conn = db.connection().await?;
    conn.transaction::<_, StoreError, _>(async |conn| {
        diesel::update(dsl::people.filter(dsl::id.eq(person_id)))
            .set(dsl::password_hash.eq(password_hash))
            .execute(conn)
            .await?;
        // An open reset would give whoever reads the mail a way past the new password.
        diesel::delete(password_resets::table.filter(password_resets::person_id.eq(person_id)))
            .execute(conn)
            .await?;
        end_sessions(conn, person_id, now).await
    })
    .await
}

/// Opens a reset, in place of one that is open already.
///
/// # Errors
/// When the database is away.
pub async fn open_reset(
    db: &Db,
    person_id: Uuid,
    code_hash: &[u8],
    tries: i16,
    expires_at: DateTime<Utc>,
) -> StoreResult<()> {
    use schema::password_resets::dsl;
    let values =
        (dsl::code_hash.eq(code_hash), dsl::tries_left.eq(tries), dsl::expires_at.eq(expires_at));
    diesel::insert_into(dsl::password_resets)
        .values((dsl::person_id.eq(person_id), values))
        .on_conflict(dsl::person_id)
        .do_update()
        .set(values)
        .execute(&mut db.connection().await?)
        .await?;
    Ok(())
}

/// Spends a try of the open reset, and the reset itself when the code is right; returns the person.
///
/// # Errors
/// When the database is away.
pub async fn spend_reset(
    db: &Db,
    email: &str,
    code_hash: &[u8],
    now: DateTime<Utc>,
) -> StoreResult<Option<Uuid>> {
    use schema::{password_resets::dsl, people};
    let mut conn = db.connection().await?;
    let whose = people::table
        .filter(people::email.eq(email.to_lowercase()))
        .select(people::id)
        .into_boxed();
    conn.transaction::<_, StoreError, _>(async |conn| {
        // The try is spent first: of two at once, one alone finds the code.
        let open = dsl::password_resets.filter(
            dsl::person_id.eq_any(whose).and(dsl::expires_at.gt(now)).and(dsl::tries_left.gt(0)),
        );
        let tried: Option<(Uuid, Vec<u8>)> = diesel::update(open)
            .set(dsl::tries_left.eq(dsl::tries_left - 1))
            .returning((dsl::person_id, dsl::code_hash))
            .get_result(conn)
            .await
            .optional()?;
        let Some((person_id, _)) = tried.filter(|(_, hash)| hash == code_hash) else {
            return Ok(None);
        };
        diesel::delete(dsl::password_resets.filter(dsl::person_id.eq(person_id)))
            .execute(conn)
            .await?;
        Ok(Some(person_id))
    })
    .await
}

/// Keeps the secret of a second factor that is not confirmed yet; false when one is on already.
///
/// # Errors
/// When the database is away.
pub async fn begin_second_factor(db: &Db, person_id: Uuid, secret: &[u8]) -> StoreResult<bool> {
    use schema::people::dsl;
    let own = dsl::people.filter(dsl::id.eq(person_id).and(dsl::totp_on.eq(false)));
    let begun = diesel::update(own)
        .set((dsl::totp_secret.eq(secret), dsl::totp_step.eq(0)))
        .execute(&mut db.connection().await?)
        .await?;
    Ok(begun == 1)
}

/// Turns the second factor on, with its recovery codes.
///
/// # Errors
/// When the database is away.
pub async fn confirm_second_factor(
    db: &Db,
    person_id: Uuid,
    step: i64,
    code_hashes: &[Vec<u8>],
) -> StoreResult<()> {
    use schema::{people::dsl, recovery_codes as r};
    let mut conn = db.connection().await?;
    conn.transaction::<_, StoreError, _>(async |conn| {
        diesel::update(dsl::people.filter(dsl::id.eq(person_id)))
            .set((dsl::totp_on.eq(true), dsl::totp_step.eq(step)))
            .execute(conn)
            .await?;
        diesel::delete(r::table.filter(r::person_id.eq(person_id))).execute(conn).await?;
        let rows: Vec<_> = code_hashes
            .iter()
            .map(|hash| (r::person_id.eq(person_id), r::code_hash.eq(hash)))
            .collect();
        diesel::insert_into(r::table).values(rows).execute(conn).await?;
        Ok(())
    })
    .await
}

/// Takes the second factor off.
///
/// # Errors
/// When the database is away.
pub async fn end_second_factor(db: &Db, person_id: Uuid) -> StoreResult<()> {
    use schema::{people::dsl, recovery_codes as r};
    let mut conn = db.connection().await?;
    conn.transaction::<_, StoreError, _>(async |conn| {
        diesel::update(dsl::people.filter(dsl::id.eq(person_id)))
            .set((dsl::totp_on.eq(false), dsl::totp_secret.eq(None::<Vec<u8>>)))
            .execute(conn)
            .await?;
        diesel::delete(r::table.filter(r::person_id.eq(person_id))).execute(conn).await?;
        Ok(())
    })
    .await
}

/// Takes the code of a time step, unless it or a later one was taken before.
///
/// # Errors
/// When the database is away.
pub async fn spend_step(db: &Db, person_id: Uuid, step: i64) -> StoreResult<bool> {
    use schema::people::dsl;
    let own = dsl::people.filter(dsl::id.eq(person_id).and(dsl::totp_step.lt(step)));
    let spent = diesel::update(own)
        .set(dsl::totp_step.eq(step))
        .execute(&mut db.connection().await?)
        .await?;
    Ok(spent == 1)
}

/// Takes a recovery code, once.
///
/// # Errors
/// When the database is away.
pub async fn spend_recovery_code(db: &Db, person_id: Uuid, hash: &[u8]) -> StoreResult<bool> {
    use schema::recovery_codes as r;
    let own = r::table.filter(r::person_id.eq(person_id).and(r::code_hash.eq(hash)));
    let spent = diesel::delete(own).execute(&mut db.connection().await?).await?;
    Ok(spent == 1)
}

/// How many recovery codes are left.
///
/// # Errors
/// When the database is away.
pub async fn recovery_codes_left(db: &Db, person_id: Uuid) -> StoreResult<i64> {
    use schema::recovery_codes as r;
    Ok(r::table
        .filter(r::person_id.eq(person_id))
        .count()
        .get_result(&mut db.connection().await?)
        .await?)
}
