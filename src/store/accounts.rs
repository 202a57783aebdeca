//! What a person logs in with: password, second factor and resets.
//!
//! The service's role reaches none of it but through functions, each of which asks for the session or the
//! code that it goes by.

use super::{Db, StoreError, StoreResult, people::Person, statement::statement};
use catalogue::said;
use chrono::{DateTime, Utc};
use diesel::{
    OptionalExtension as _, QueryableByName,
    sql_types::{
        Array, BigInt, Bool, Bytea, Integer, Nullable, SmallInt, Text, Timestamptz, Uuid as SqlUuid,
    },
};
use diesel_async::RunQueryDsl as _;
use uuid::Uuid;

/// A person with what their login rests on.
#[derive(Debug, Clone)]
pub struct Account {
    /// The person.
    pub person: Person,
    /// Hash of the password.
    pub password_hash: String,
    /// Generation of the sessions; ending all begins the next.
    pub generation: i32,
    /// Secret of the second factor, sealed, also before it is confirmed.
    pub sealed_totp: Option<Vec<u8>>,
    /// Whether a second factor is asked for.
    pub totp_on: bool,
    /// The last time step whose code was taken.
    pub totp_step: i64,
}

#[derive(QueryableByName)]
struct AccountRow {
    #[diesel(sql_type = SqlUuid)]
    id: Uuid,
    #[diesel(sql_type = Text)]
    name: String,
    #[diesel(sql_type = Text)]
    email: String,
    #[diesel(sql_type = Text)]
    password_hash: String,
    #[diesel(sql_type = Integer)]
    generation: i32,
    #[diesel(sql_type = Nullable<Bytea>)]
    totp_secret: Option<Vec<u8>>,
    #[diesel(sql_type = Bool)]
    totp_on: bool,
    #[diesel(sql_type = BigInt)]
    totp_step: i64,
}

impl From<AccountRow> for Account {
    fn from(row: AccountRow) -> Self {
        Self {
            person: Person { id: row.id, name: row.name, email: row.email },
            password_hash: row.password_hash,
            generation: row.generation,
            sealed_totp: row.totp_secret,
            totp_on: row.totp_on,
            totp_step: row.totp_step,
        }
    }
}

/// The answer of a function, in the column `answer`.
macro_rules! answer {
    ($db:expr, $statement:expr, $sql:ty => $rust:ty) => {{
        #[derive(QueryableByName)]
        struct Row {
            #[diesel(sql_type = $sql)]
            answer: $rust,
        }
        let row: Row = $statement.get_result(&mut $db.connection().await?).await?;
        row.answer
    }};
}

/// What somebody may have done to a session or an account in the meantime.
fn ended() -> StoreError {
    StoreError::Login(said!("problem-login-session-ended"))
}

/// The account of an email address, in any case.
///
/// # Errors
/// When the database is away.
pub async fn by_email(db: &Db, email: &str) -> StoreResult<Option<Account>> {
    let query =
        statement("SELECT * FROM account_by_email($1)").bind::<Text, _>(email.to_lowercase());
    let row: Option<AccountRow> = query.get_result(&mut db.connection().await?).await.optional()?;
    Ok(row.map(Account::from))
}

/// The account of the person of a session.
///
/// # Errors
/// [`StoreError::Login`] when the session has ended.
pub async fn of_session(db: &Db, session_id: Uuid) -> StoreResult<Account> {
    let query = statement("SELECT * FROM account_of_session($1)").bind::<SqlUuid, _>(session_id);
    let row: Option<AccountRow> = query.get_result(&mut db.connection().await?).await.optional()?;
    row.map(Account::from).ok_or_else(ended)
}

/// Sets a password in place of the one whose hash was shown, and ends all sessions; returns the generation
/// of the next ones.
///
/// # Errors
/// [`StoreError::Login`] when the session has ended or the password was changed in the meantime.
pub async fn change_password(
    db: &Db,
    session_id: Uuid,
    shown_hash: &str,
    new_hash: &str,
    now: DateTime<Utc>,
) -> StoreResult<i32> {
    let query = statement("SELECT change_password($1, $2, $3, $4) AS answer")
        .bind::<SqlUuid, _>(session_id)
        .bind::<Text, _>(shown_hash)
        .bind::<Text, _>(new_hash)
        .bind::<Timestamptz, _>(now);
    answer!(db, query, Nullable<Integer> => Option<i32>).ok_or_else(ended)
}

/// A reset about to be opened, or to be used.
#[derive(Debug, Clone)]
pub struct Reset<'a> {
    /// Address of the account.
    pub email: &'a str,
    /// Hash of where it is asked from: what comes from elsewhere does not spoil it.
    pub place: &'a [u8],
    /// Hash of the code.
    pub code_hash: &'a [u8],
}

/// Opens a reset, in place of one that was asked for from the same place; returns the address to write to,
/// when there is such an account.
///
/// # Errors
/// When the database is away.
pub async fn open_reset(
    db: &Db,
    reset: &Reset<'_>,
    tries: i16,
    expires_at: DateTime<Utc>,
) -> StoreResult<Option<String>> {
    let query = statement("SELECT open_reset($1, $2, $3, $4, $5) AS answer")
        .bind::<Text, _>(reset.email.to_lowercase())
        .bind::<Bytea, _>(reset.place)
        .bind::<Bytea, _>(reset.code_hash)
        .bind::<SmallInt, _>(tries)
        .bind::<Timestamptz, _>(expires_at);
    Ok(answer!(db, query, Nullable<Text> => Option<String>))
}

/// The name of the person whose open reset this is; nothing is spent. `None` for a wrong code.
///
/// # Errors
/// When the database is away.
pub async fn name_of_reset(
    db: &Db,
    reset: &Reset<'_>,
    now: DateTime<Utc>,
) -> StoreResult<Option<String>> {
    let query = statement("SELECT name_of_reset($1, $2, $3) AS answer")
        .bind::<Text, _>(reset.email.to_lowercase())
        .bind::<Bytea, _>(reset.code_hash)
        .bind::<Timestamptz, _>(now);
    Ok(answer!(db, query, Nullable<Text> => Option<String>))
}

/// Sets a password by the code of a mail, once, and ends all sessions. False for a wrong code, which spends
/// a try of the reset that was asked for from the same place.
///
/// # Errors
/// When the database is away.
pub async fn reset_password(
    db: &Db,
    reset: &Reset<'_>,
    password_hash: &str,
    now: DateTime<Utc>,
) -> StoreResult<bool> {
    let query = statement("SELECT reset_password($1, $2, $3, $4, $5) AS answer")
        .bind::<Text, _>(reset.email.to_lowercase())
        .bind::<Bytea, _>(reset.place)
        .bind::<Bytea, _>(reset.code_hash)
        .bind::<Text, _>(password_hash)
        .bind::<Timestamptz, _>(now);
    Ok(answer!(db, query, Bool => bool))
}

/// What the secret of a person's second factor is sealed for.
pub(super) fn factor_of(person_id: Uuid) -> String {
    format!("second factor of {person_id}")
}

/// The secret of an account's second factor.
///
/// # Errors
/// [`StoreError::Internal`] when it was sealed under a key that is not here.
pub fn totp_secret(db: &Db, account: &Account) -> StoreResult<Option<Vec<u8>>> {
    let Some(sealed) = &account.sealed_totp else { return Ok(None) };
    Ok(Some(db.vault()?.open(&factor_of(account.person.id), sealed)?))
}

/// Keeps the secret of a second factor that is not confirmed yet; false when one is on already.
///
/// # Errors
/// When the database is away.
pub async fn begin_second_factor(
    db: &Db,
    session_id: Uuid,
    person_id: Uuid,
    secret: &[u8],
) -> StoreResult<bool> {
    let sealed = db.vault()?.seal(&factor_of(person_id), secret)?;
    let query = statement("SELECT begin_second_factor($1, $2) AS answer")
        .bind::<SqlUuid, _>(session_id)
        .bind::<Bytea, _>(sealed);
    Ok(answer!(db, query, Bool => bool))
}

/// Turns the second factor of this account on, with its recovery codes, and ends all other sessions; false
/// when it is another one by now.
///
/// # Errors
/// When the database is away.
pub async fn confirm_second_factor(
    db: &Db,
    session_id: Uuid,
    account: &Account,
    step: i64,
    code_hashes: &[Vec<u8>],
    now: DateTime<Utc>,
) -> StoreResult<bool> {
    let query = statement("SELECT confirm_second_factor($1, $2, $3, $4, $5) AS answer")
        .bind::<SqlUuid, _>(session_id)
        .bind::<Nullable<Bytea>, _>(&account.sealed_totp)
        .bind::<BigInt, _>(step)
        .bind::<Array<Bytea>, _>(code_hashes)
        .bind::<Timestamptz, _>(now);
    Ok(answer!(db, query, Bool => bool))
}

/// Takes the second factor off, and ends all other sessions.
///
/// # Errors
/// When the database is away.
pub async fn end_second_factor(db: &Db, session_id: Uuid, now: DateTime<Utc>) -> StoreResult<()> {
    statement("SELECT end_second_factor($1, $2)")
        .bind::<SqlUuid, _>(session_id)
        .bind::<Timestamptz, _>(now)
        .execute(&mut db.connection().await?)
        .await?;
    Ok(())
}

/// Takes the code of a time step, unless it or a later one was taken before.
///
/// # Errors
/// When the database is away.
pub async fn spend_step(db: &Db, person_id: Uuid, step: i64) -> StoreResult<bool> {
    let query = statement("SELECT spend_step($1, $2) AS answer")
        .bind::<SqlUuid, _>(person_id)
        .bind::<BigInt, _>(step);
    Ok(answer!(db, query, Bool => bool))
}

/// Takes a recovery code, once.
///
/// # Errors
/// When the database is away.
pub async fn spend_recovery_code(db: &Db, person_id: Uuid, hash: &[u8]) -> StoreResult<bool> {
    let query = statement("SELECT spend_recovery_code($1, $2) AS answer")
        .bind::<SqlUuid, _>(person_id)
        .bind::<Bytea, _>(hash);
    Ok(answer!(db, query, Bool => bool))
}

/// How many recovery codes are left to the person of a session.
///
/// # Errors
/// When the database is away.
pub async fn recovery_codes_left(db: &Db, session_id: Uuid) -> StoreResult<i64> {
    let query =
        statement("SELECT recovery_codes_left($1) AS answer").bind::<SqlUuid, _>(session_id);
    Ok(answer!(db, query, BigInt => i64))
}
