//! Leaving for good: the end of a login, and of a kennel with all that it has.

use super::{Db, StoreError, StoreResult, Tx, scope::Right, statement::statement};
use catalogue::{Language, said, spoken};
use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;
use diesel::{
    OptionalExtension as _, QueryableByName,
    sql_types::{Array, Bool, Integer, Jsonb, Nullable, Text, Timestamptz, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use serde_json::{Map, Value};
use uuid::Uuid;

/// Ends the login of a session's person who showed this password; gives the address that it had.
///
/// # Errors
/// [`StoreError::Login`] when the session has ended or the password was changed in the meantime,
/// [`StoreError::Conflict`] while a kennel has no other owner.
pub async fn end_login(
    db: &Db,
    session_id: Uuid,
    shown_hash: &str,
    now: DateTime<Utc>,
) -> StoreResult<String> {
    #[derive(QueryableByName)]
    struct Row {
        #[diesel(sql_type = Nullable<Text>)]
        address: Option<String>,
        #[diesel(sql_type = Array<Text>)]
        owned: Vec<String>,
    }
    let query = statement("SELECT address, owned FROM end_login($1, $2, $3)")
        .bind::<SqlUuid, _>(session_id)
        .bind::<Text, _>(shown_hash)
        .bind::<Timestamptz, _>(now);
    let row: Option<Row> = query.get_result(&mut db.connection().await?).await.optional()?;
    let ended = || StoreError::Login(said!("problem-login-session-ended"));
    let Row { address, owned } = row.ok_or_else(ended)?;
    address.ok_or_else(|| {
        let kennels = owned.join(", ");
        StoreError::Conflict(said!("problem-conflict-sole-owner", kennels = kennels))
    })
}

/// When a kennel ends, and whether that was set just now.
#[derive(Debug, Clone, Copy, QueryableByName)]
pub struct KennelEnd {
    /// When it ends.
    #[diesel(sql_type = Timestamptz)]
    pub ends_at: DateTime<Utc>,
    /// Whether it was not set before.
    #[diesel(sql_type = Bool)]
    pub fresh: bool,
}

/// Sets the kennel to end, when its name was typed as it is.
///
/// # Errors
/// [`StoreError::Refused`] for another name, [`StoreError::Forbidden`] for whoever is no owner.
pub async fn end_kennel(tx: &mut Tx, typed_name: &str) -> StoreResult<KennelEnd> {
    tx.scope.require(Right::Managing)?;
    tx.scope.require_person()?;
    let query = statement("SELECT ends_at, fresh FROM end_kennel($1)")
        .bind::<Text, _>(typed_name.to_owned());
    let set: Option<KennelEnd> = query.get_result(&mut tx.conn).await.optional()?;
    set.ok_or_else(|| StoreError::refused("/name", said!("fault-differs-kennel-name")))
}

/// Has a kennel that was set to end go on.
///
/// # Errors
/// [`StoreError::Conflict`] when it goes on anyway, [`StoreError::Forbidden`] for whoever is no owner.
pub async fn keep_kennel(tx: &mut Tx) -> StoreResult<()> {
    #[derive(QueryableByName)]
    struct Row {
        #[diesel(sql_type = Bool)]
        kept: bool,
    }
    tx.scope.require(Right::Managing)?;
    tx.scope.require_person()?;
    let row: Row = statement("SELECT keep_kennel() AS kept").get_result(&mut tx.conn).await?;
    let goes_on = || StoreError::Conflict(said!("problem-conflict-kennel-goes-on"));
    if row.kept { Ok(()) } else { Err(goes_on()) }
}

/// When the kennel ends; null when it goes on.
///
/// # Errors
/// When the database is away.
pub async fn ends_at(tx: &mut Tx) -> StoreResult<Option<DateTime<Utc>>> {
    #[derive(QueryableByName)]
    struct Row {
        #[diesel(sql_type = Nullable<Timestamptz>)]
        ends_at: Option<DateTime<Utc>>,
    }
    let row: Row = statement("SELECT kennel_ends_at() AS ends_at").get_result(&mut tx.conn).await?;
    Ok(row.ends_at)
}

/// Has all members told by mail, each in the language in which they are rung.
///
/// # Errors
/// When the database is away.
pub async fn tell_members(tx: &mut Tx, content: impl Fn(Language) -> Value) -> StoreResult<()> {
    statement("SELECT tell_members($1, $2, $3)")
        .bind::<Timestamptz, _>(tx.scope.now())
        .bind::<Jsonb, _>(in_all_languages(content))
        .bind::<Text, _>(spoken().tag())
        .execute(&mut tx.conn)
        .await?;
    Ok(())
}

/// A kennel that ends soon.
#[derive(Debug, Clone, QueryableByName)]
pub struct EndingKennel {
    /// The kennel.
    #[diesel(sql_type = SqlUuid)]
    pub id: Uuid,
    /// Its name.
    #[diesel(sql_type = Text)]
    pub name: String,
    /// Its time zone.
    #[diesel(sql_type = Text)]
    pub time_zone: String,
    /// When it ends.
    #[diesel(sql_type = Timestamptz)]
    pub ends_at: DateTime<Utc>,
}

impl EndingKennel {
    /// The day of its end on its own calendar.
    pub fn ends_on(&self) -> NaiveDate {
        let zone = self.time_zone.parse().unwrap_or(Tz::UTC);
        self.ends_at.with_timezone(&zone).date_naive()
    }
}

/// The kennels that end within a week and whose owners were not reminded of it.
///
/// # Errors
/// When the database is away.
pub async fn kennels_to_remind(db: &Db) -> StoreResult<Vec<EndingKennel>> {
    let query = statement("SELECT * FROM kennels_to_remind()");
    Ok(query.load(&mut db.connection().await?).await?)
}

/// Has the owners of a kennel that ends within a week reminded by mail, once, each in the language in which they are
/// rung; false when that was done before, or the kennel goes on.
///
/// # Errors
/// When the database is away.
pub async fn remind_owners(
    db: &Db,
    kennel_id: Uuid,
    now: DateTime<Utc>,
    content: impl Fn(Language) -> Value,
) -> StoreResult<bool> {
    let row: DoneRow = statement("SELECT remind_owners($1, $2, $3, $4) AS done")
        .bind::<SqlUuid, _>(kennel_id)
        .bind::<Timestamptz, _>(now)
        .bind::<Jsonb, _>(in_all_languages(content))
        .bind::<Text, _>(spoken().tag())
        .get_result(&mut db.connection().await?)
        .await?;
    Ok(row.done)
}

/// A mail by the tag of each language.
fn in_all_languages(content: impl Fn(Language) -> Value) -> Value {
    let mail = |one: &Language| (one.tag().to_owned(), content(*one));
    Value::Object(Language::ALL.iter().map(mail).collect::<Map<_, _>>())
}

#[derive(QueryableByName)]
struct IdRow {
    #[diesel(sql_type = SqlUuid)]
    id: Uuid,
}

#[derive(QueryableByName)]
struct DoneRow {
    #[diesel(sql_type = Bool)]
    done: bool,
}

/// The kennels whose end has come.
///
/// # Errors
/// When the database is away.
pub async fn ended_kennels(db: &Db) -> StoreResult<Vec<Uuid>> {
    let query = statement("SELECT ended_kennels() AS id");
    let rows: Vec<IdRow> = query.load(&mut db.connection().await?).await?;
    Ok(rows.into_iter().map(|row| row.id).collect())
}

/// Lets nobody into a kennel any more whose end has come; false when it goes on, or another instance is at it.
///
/// # Errors
/// When the database is away.
pub async fn close(db: &Db, kennel_id: Uuid) -> StoreResult<bool> {
    let query = statement("SELECT close_ended_kennel($1) AS done").bind::<SqlUuid, _>(kennel_id);
    let row: DoneRow = query.get_result(&mut db.connection().await?).await?;
    Ok(row.done)
}

/// The uploads under way to a kennel whose end has come.
///
/// # Errors
/// When the database is away.
pub async fn uploads_of(db: &Db, kennel_id: Uuid) -> StoreResult<Vec<Uuid>> {
    let query = statement("SELECT uploads_of_ended_kennel($1) AS id").bind::<SqlUuid, _>(kennel_id);
    let rows: Vec<IdRow> = query.load(&mut db.connection().await?).await?;
    Ok(rows.into_iter().map(|row| row.id).collect())
}

/// Deletes up to so many rows of a kennel whose end has come; whether anything may be left.
///
/// # Errors
/// When the database is away.
pub async fn clear_some(db: &Db, kennel_id: Uuid, most: i32) -> StoreResult<bool> {
    let query = statement("SELECT clear_ended_kennel($1, $2) AS done")
        .bind::<SqlUuid, _>(kennel_id)
        .bind::<Integer, _>(most);
    let row: DoneRow = query.get_result(&mut db.connection().await?).await?;
    Ok(row.done)
}
