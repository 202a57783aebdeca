//! Webhooks, and what became of what they were told.

use super::{
    Db, StoreError, StoreResult, Tx,
    keep::{self, keep},
    people::Right,
    schema,
};
use crate::domain::record::{DeliveryStatus, Kept, Webhook, WebhookFilter};
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, QueryableByName,
    sql_types::{
        Bool, Bytea, Double, Integer, Jsonb, Nullable, Text, Timestamptz, Uuid as SqlUuid,
    },
};
use diesel_async::RunQueryDsl as _;
use uuid::Uuid;

keep!(Webhook in webhooks { url, events as json, active, note }
    filter WebhookFilter { active == active };
    read Managing, write Managing, {
    async fn admit(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        let known: Vec<LoggedWord> = diesel::sql_query("SELECT logged_words() AS word ORDER BY 1")
            .load(&mut tx.conn)
            .await?;
        let known: Vec<String> = known.into_iter().map(|row| row.word).collect();
        for (index, event) in self.events.iter().enumerate() {
            let what = event.split('.').next().unwrap_or_default();
            if !known.iter().any(|word| word == what) {
                let detail = format!("is nothing that the log tells of: {}", known.join(", "));
                return Err(StoreError::refused(&format!("/events/{index}"), detail));
            }
        }
        Ok(())
    }
});

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
    use schema::webhooks::dsl;
    let kept = keep::create(tx, webhook).await?;
    let secret = dsl::webhooks
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(kept.id)))
        .select(dsl::secret)
        .first(&mut tx.conn)
        .await?;
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
/// [`StoreError::NotFound`] when there is no such webhook.
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
        query = query.filter(dsl::status.eq(status));
    }
    if let Some(before) = before {
        query = query.filter(dsl::sequence.lt(before));
    }
    Ok(query.load(&mut tx.conn).await?)
}

/// Sends one delivery again, from the first try on; its id stays, so that a receiver knows it.
///
/// # Errors
/// [`StoreError::NotFound`] when there is none.
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
            dsl::status.eq(DeliveryStatus::Waiting),
            dsl::attempts.eq(0),
            dsl::next_at.eq(diesel::dsl::now),
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

/// Takes deliveries that are due, of any kennel; they are this instance's for so many seconds.
///
/// # Errors
/// When the database is away.
pub async fn claim(db: &Db, most: i32, lease_seconds: i32) -> StoreResult<Vec<Due>> {
    Ok(diesel::sql_query("SELECT * FROM claim_webhook_deliveries($1, $2)")
        .bind::<Integer, _>(most)
        .bind::<Integer, _>(lease_seconds)
        .load(&mut db.connection().await?)
        .await?)
}

/// What became of a try.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// Whether it was taken.
    pub good: bool,
    /// HTTP status, when there was an answer.
    pub status: Option<i32>,
    /// Why not.
    pub error: Option<String>,
    /// Seconds until the next try; null when there is none.
    pub wait_seconds: Option<f64>,
}

/// Writes down what became of a try.
///
/// # Errors
/// When the database is away.
pub async fn finish(db: &Db, due: &Due, outcome: &Outcome) -> StoreResult<()> {
    diesel::sql_query("SELECT finish_webhook_delivery($1, $2, $3, $4, $5, $6)")
        .bind::<SqlUuid, _>(due.kennel_id)
        .bind::<SqlUuid, _>(due.id)
        .bind::<Bool, _>(outcome.good)
        .bind::<Nullable<Integer>, _>(outcome.status)
        .bind::<Nullable<Text>, _>(&outcome.error)
        .bind::<Nullable<Double>, _>(outcome.wait_seconds)
        .execute(&mut db.connection().await?)
        .await?;
    Ok(())
}
