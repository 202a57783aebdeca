//! The daily letters: taken when their hour comes, with what their reader has to do.

use crate::{
    Db, StoreError, StoreResult,
    columns::{Shape, Word},
    scope::{self, Scope},
    statement::statement,
};
use base64::{Engine as _, engine::general_purpose::URL_SAFE_NO_PAD};
use chrono::{DateTime, Datelike as _, NaiveDate, Utc};
use diesel::{
    QueryableByName,
    sql_types::{Bool, Integer, Jsonb, Nullable, Text, Timestamptz, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::record::{Kennel, RingChoices, Role};
use serde_json::Value;
use uuid::Uuid;

/// What the end of somebody's letters is sealed for.
const END: &str = "end of letters";

/// A letter that is to be written now.
#[derive(Debug, Clone, QueryableByName)]
pub struct DueLetter {
    #[diesel(sql_type = SqlUuid)]
    lease: Uuid,
    #[diesel(sql_type = SqlUuid)]
    kennel_id: Uuid,
    #[diesel(sql_type = SqlUuid)]
    membership_id: Uuid,
    #[diesel(sql_type = SqlUuid)]
    person_id: Uuid,
    #[diesel(sql_type = Word)]
    role: Role,
    /// What its reader chose.
    #[diesel(sql_type = Shape)]
    pub choices: RingChoices,
    #[diesel(sql_type = Text)]
    name: String,
    #[diesel(sql_type = Text)]
    time_zone: String,
    #[diesel(sql_type = Nullable<Text>)]
    jurisdiction: Option<String>,
    #[diesel(sql_type = Text)]
    currency: String,
}

impl DueLetter {
    /// The scope of its reader, in which nothing is written and no money is seen.
    pub fn scope(&self, now: DateTime<Utc>) -> Scope {
        let Self { name, time_zone, jurisdiction, currency, .. } = self.clone();
        let kennel = Kennel::of(name, time_zone, jurisdiction, currency);
        scope::for_letter(self.kennel_id, self.person_id, self.role, kennel, self.lease, now)
    }

    /// What ends these letters, for a link that needs no login.
    ///
    /// # Errors
    /// When there is no key for secrets.
    pub fn end_token(&self, db: &Db) -> StoreResult<String> {
        let ids = [self.kennel_id.into_bytes(), self.membership_id.into_bytes()].concat();
        Ok(URL_SAFE_NO_PAD.encode(db.vault()?.seal(END, &ids)?))
    }
}

/// Takes letters whose hour has come by the service's clock; they are this instance's for so many seconds.
///
/// # Errors
/// When the database is away.
pub async fn claim(
    db: &Db,
    now: DateTime<Utc>,
    most: i32,
    lease_seconds: i32,
) -> StoreResult<Vec<DueLetter>> {
    Ok(statement("SELECT * FROM claim_letters($1, $2, $3)")
        .bind::<Timestamptz, _>(now)
        .bind::<Integer, _>(most)
        .bind::<Integer, _>(lease_seconds)
        .load(&mut db.connection().await?)
        .await?)
}

/// Has a letter mailed, once a day; `None` when nothing is due. The next is written at `next_at`.
///
/// # Errors
/// When the database is away.
pub async fn finish(
    db: &Db,
    letter: &DueLetter,
    (now, next_at): (DateTime<Utc>, DateTime<Utc>),
    day: NaiveDate,
    content: Option<Value>,
) -> StoreResult<()> {
    let number =
        day.year() * 10_000 + i32::try_from(day.month() * 100 + day.day()).unwrap_or_default();
    statement("SELECT finish_letter($1, $2, $3, $4, $5)")
        .bind::<SqlUuid, _>(letter.lease)
        .bind::<Timestamptz, _>(now)
        .bind::<Timestamptz, _>(next_at)
        .bind::<Integer, _>(number)
        .bind::<Nullable<Jsonb>, _>(content)
        .execute(&mut db.connection().await?)
        .await?;
    Ok(())
}

/// Whose letters a link ends; `None` for a link that is none of ours.
fn reader_of(db: &Db, token: &str) -> StoreResult<Option<(Uuid, Uuid)>> {
    let sealed = URL_SAFE_NO_PAD.decode(token).unwrap_or_default();
    let Ok(ids) = db.vault()?.open(END, &sealed) else { return Ok(None) };
    let id = |bytes: Option<&[u8]>| bytes.and_then(|bytes| Uuid::from_slice(bytes).ok());
    Ok(id(ids.get(..16)).zip(id(ids.get(16..))))
}

/// Whether a link ends somebody's letters.
///
/// # Errors
/// [`StoreError::NotFound`] when it is none of ours.
pub fn is_end(db: &Db, token: &str) -> StoreResult<()> {
    reader_of(db, token)?.map(drop).ok_or(StoreError::NotFound)
}

/// Ends the letters that a link is for; ended ones stay ended.
///
/// # Errors
/// [`StoreError::NotFound`] when it is none of ours.
pub async fn end(db: &Db, token: &str) -> StoreResult<()> {
    #[derive(QueryableByName)]
    struct Row {
        #[diesel(sql_type = Bool)]
        ended: bool,
    }
    let (kennel_id, membership_id) = reader_of(db, token)?.ok_or(StoreError::NotFound)?;
    let row: Row = statement("SELECT end_letters($1, $2) AS ended")
        .bind::<SqlUuid, _>(kennel_id)
        .bind::<SqlUuid, _>(membership_id)
        .get_result(&mut db.connection().await?)
        .await?;
    tracing::debug!(ended = row.ended, "letters were ended by their link");
    Ok(())
}
