//! Webhooks, and what became of what they were told.

use super::{
    Db, StoreResult, Tx,
    keep::{self, Hooks, keep},
    schema,
    scope::Right,
};
use crate::columns::Stored;
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
    QueryableByName,
    sql_types::{
        Bool, Bytea, Double, Integer, Jsonb, Nullable, Text, Timestamptz, Uuid as SqlUuid,
    },
};
use diesel_async::RunQueryDsl as _;
use domain::record::{DeliveryStatus, Kept, Webhook, WebhookFilter};
use security::credentials::random_key;
use uuid::Uuid;

keep!(Webhook in webhooks { url, events as json, active, note }
    entered with { secret = sealed_secret }
    sorted { url Word }
    filter WebhookFilter { active == active });

impl Hooks for Webhook {
    async fn validate(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        let known: Vec<LoggedWord> = diesel::sql_query("SELECT logged_words() AS word ORDER BY 1")
            .load(&mut tx.conn)
            .await?;
        let known: Vec<String> = known.into_iter().map(|row| row.word).collect();
        Ok(self.admit(&known)?)
    }
}

/// A secret of its own for a new webhook, sealed.
fn sealed_secret(tx: &Tx) -> StoreResult<Vec<u8>> {
    Ok(tx.vault()?.seal(&secret_of(tx.scope.kennel_id()), &random_key())?)
}

/// What the secrets of a kennel's webhooks are sealed for.
pub(super) fn secret_of(kennel_id: Uuid) -> String {
    format!("webhook of {kennel_id}")
}

#[derive(QueryableByName)]
struct LoggedWord {
    #[diesel(sql_type = Text)]
    word: String,
}

/// Writes a webhook; returns it with the secret that signs what it is sent.
///
/// # Errors
/// When the role does not allow it, or it is told of nothing that there is.
pub async fn add(tx: &mut Tx, webhook: &Webhook) -> StoreResult<(Kept<Webhook>, Vec<u8>)> {
    #[derive(QueryableByName)]
    struct Sealed {
        #[diesel(sql_type = Bytea)]
        sealed: Vec<u8>,
    }
    let kept = keep::create(tx, webhook).await?;
    let row: Sealed = diesel::sql_query("SELECT sealed_webhook_secret($1) AS sealed")
        .bind::<SqlUuid, _>(kept.id)
        .get_result(&mut tx.conn)
        .await?;
    let secret = tx.vault()?.open(&secret_of(tx.scope.kennel_id()), &row.sealed)?;
    Ok((kept, secret))
}

/// What became of one event for one webhook.
#[derive(Debug, Clone, diesel::Queryable)]
pub struct Delivery {
    /// Id, which the receiver gets as `webhook-id`.
    pub id: Uuid,
    /// Number of the change.
    pub sequence: i64,
    /// What happened, such as `weight.created`.
    pub event: String,
    /// `waiting`, `delivered` or `dead`.
    pub status: DeliveryStatus,
    /// Tries so far.
    pub attempts: i32,
    /// When it is tried next; of no meaning when it is not waiting.
    pub next_at: DateTime<Utc>,
    /// HTTP status of the last answer.
    pub last_status: Option<i32>,
    /// Why the last try failed.
    pub last_error: Option<String>,
    /// When it arrived.
    pub delivered_at: Option<DateTime<Utc>>,
    /// When it happened.
    pub created_at: DateTime<Utc>,
}

/// What a webhook was told, newest first: before a sequence, of one status.
///
/// # Errors
/// [`crate::StoreError::NotFound`] when there is no such webhook.
pub async fn deliveries(
    tx: &mut Tx,
    webhook_id: Uuid,
    status: Option<DeliveryStatus>,
    before: Option<i64>,
    limit: i64,
) -> StoreResult<Vec<Delivery>> {
    use schema::webhook_deliveries::dsl;
    keep::find::<Webhook>(tx, webhook_id).await?;
    let mut query = dsl::webhook_deliveries
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::webhook_id.eq(webhook_id)))
        .select((
            dsl::id,
            dsl::sequence,
            dsl::event,
            dsl::status,
            dsl::attempts,
            dsl::next_at,
            dsl::last_status,
            dsl::last_error,
            dsl::delivered_at,
            dsl::created_at,
        ))
        .order(dsl::sequence.desc())
        .limit(limit)
        .into_boxed();
    if let Some(status) = status {
        query = query.filter(dsl::status.eq(Stored(status)));
    }
    if let Some(before) = before {
        query = query.filter(dsl::sequence.lt(before));
    }
    Ok(query.load(&mut tx.conn).await?)
}

/// How a webhook does.
#[derive(Debug, Clone, Default, diesel::Queryable)]
pub struct Standing {
    /// Since when every try has failed; null when the last one was good.
    pub failing_since: Option<DateTime<Utc>>,
    /// When it was switched off for that.
    pub switched_off_at: Option<DateTime<Utc>>,
}

/// How a webhook does; that it does well when it was never tried.
///
/// # Errors
/// When the database is away.
pub async fn standing(tx: &mut Tx, webhook_id: Uuid) -> StoreResult<Standing> {
    use schema::webhook_standing::dsl;
    let found = dsl::webhook_standing
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::webhook_id.eq(webhook_id)))
        .select((dsl::failing_since, dsl::switched_off_at))
        .first(&mut tx.conn)
        .await
        .optional()?;
    Ok(found.unwrap_or_default())
}

/// Sends one delivery again, from the first try on; its id stays, so that a receiver knows it.
///
/// # Errors
/// [`crate::StoreError::NotFound`] when there is none.
pub async fn send_again(tx: &mut Tx, webhook_id: Uuid, id: Uuid) -> StoreResult<Delivery> {
    use schema::webhook_deliveries::dsl;
    tx.scope.require(Right::Managing)?;
    let own = dsl::webhook_deliveries.filter(
        dsl::kennel_id
            .eq(tx.scope.kennel_id())
            .and(dsl::webhook_id.eq(webhook_id))
            .and(dsl::id.eq(id)),
    );
    Ok(diesel::update(own)
        .set((
            dsl::status.eq(Stored(DeliveryStatus::Waiting)),
            dsl::attempts.eq(0),
            dsl::next_at.eq(diesel::dsl::now),
            dsl::queued_at.eq(diesel::dsl::now),
        ))
        .returning((
            dsl::id,
            dsl::sequence,
            dsl::event,
            dsl::status,
            dsl::attempts,
            dsl::next_at,
            dsl::last_status,
            dsl::last_error,
            dsl::delivered_at,
            dsl::created_at,
        ))
        .get_result(&mut tx.conn)
        .await?)
}

/// Something to deliver now.
#[derive(Debug, Clone, QueryableByName)]
pub struct Due {
    /// The kennel.
    #[diesel(sql_type = SqlUuid)]
    pub kennel_id: Uuid,
    /// The delivery.
    #[diesel(sql_type = SqlUuid)]
    pub id: Uuid,
    /// Where to.
    #[diesel(sql_type = Text)]
    pub url: String,
    /// Signs it.
    #[diesel(sql_type = Bytea)]
    pub secret: Vec<u8>,
    /// Whether it has a place among the slow ones.
    #[diesel(sql_type = Bool)]
    pub slow: bool,
    /// Which try this is, from 1.
    #[diesel(sql_type = Integer)]
    pub attempts: i32,
    /// What happened.
    #[diesel(sql_type = Text)]
    pub event: String,
    /// When.
    #[diesel(sql_type = Timestamptz)]
    pub at: DateTime<Utc>,
    /// The change, as the log has it.
    #[diesel(sql_type = Jsonb)]
    pub content: serde_json::Value,
}

/// Places that are free: calls that may begin.
#[derive(Debug, Clone, Copy)]
pub struct Places {
    /// To those who do well.
    pub quick: i32,
    /// To those whose last call failed or took long.
    pub slow: i32,
}

/// Takes deliveries that are due, of the kennels in turn after the one served last; they are this
/// instance's for so many seconds.
///
/// # Errors
/// When the database is away.
pub async fn claim(
    db: &Db,
    free: Places,
    served_last: Uuid,
    lease_seconds: i32,
) -> StoreResult<Vec<Due>> {
    let mut claimed: Vec<Due> =
        diesel::sql_query("SELECT * FROM claim_webhook_deliveries($1, $2, $3, $4)")
            .bind::<Integer, _>(free.quick)
            .bind::<Integer, _>(free.slow)
            .bind::<SqlUuid, _>(served_last)
            .bind::<Integer, _>(lease_seconds)
            .load(&mut db.connection().await?)
            .await?;
    let vault = db.vault()?;
    claimed.retain_mut(|due| match vault.open(&secret_of(due.kennel_id), &due.secret) {
        Ok(secret) => {
            due.secret = secret;
            true
        }
        Err(error) => {
            tracing::error!(delivery = %due.id, %error, "a delivery cannot be signed");
            false
        }
    });
    Ok(claimed)
}

/// What became of a try.
#[derive(Debug, Clone)]
pub struct DeliveryOutcome {
    /// Whether it was taken.
    pub good: bool,
    /// Whether that took long.
    pub took_long: bool,
    /// HTTP status, when there was an answer.
    pub status: Option<i32>,
    /// Why not.
    pub error: Option<String>,
    /// Seconds until the next try; null when there is none.
    pub wait_seconds: Option<f64>,
    /// Seconds for which a webhook may fail before it is switched off.
    pub off_after_seconds: f64,
}

/// Somebody who is to be told that a webhook was switched off.
#[derive(Debug, Clone, QueryableByName)]
pub struct SwitchedOff {
    /// The person's address.
    #[diesel(sql_type = Text)]
    pub email: String,
    /// The kennel.
    #[diesel(sql_type = Text)]
    pub kennel_name: String,
    /// Where the webhook leads.
    #[diesel(sql_type = Text)]
    pub url: String,
    /// Since when it has failed.
    #[diesel(sql_type = Timestamptz)]
    pub failing_since: DateTime<Utc>,
}

/// Writes down what became of a try; answers whom to tell when the webhook was switched off by it.
///
/// # Errors
/// When the database is away.
pub async fn finish(
    db: &Db,
    due: &Due,
    outcome: &DeliveryOutcome,
) -> StoreResult<Vec<SwitchedOff>> {
    Ok(diesel::sql_query("SELECT * FROM finish_webhook_delivery($1, $2, $3, $4, $5, $6, $7, $8)")
        .bind::<SqlUuid, _>(due.kennel_id)
        .bind::<SqlUuid, _>(due.id)
        .bind::<Bool, _>(outcome.good)
        .bind::<Bool, _>(outcome.took_long)
        .bind::<Nullable<Integer>, _>(outcome.status)
        .bind::<Nullable<Text>, _>(&outcome.error)
        .bind::<Nullable<Double>, _>(outcome.wait_seconds)
        .bind::<Double, _>(outcome.off_after_seconds)
        .load(&mut db.connection().await?)
        .await?)
}
