//! Rings that are due: taken by one instance, tried until they have arrived, or too late for that.

use super::{devices_of, invitations_of};
use crate::{Db, StoreResult, columns::Word, statement::statement, webhooks::Places};
use base64::{Engine as _, engine::general_purpose::STANDARD};
use chrono::{DateTime, Utc};
use diesel::{
    QueryableByName,
    sql_types::{
        Array, Bool, Bytea, Double, Integer, Jsonb, Nullable, Text, Timestamptz, Uuid as SqlUuid,
    },
};
use diesel_async::RunQueryDsl as _;
use domain::record::RingWay;
use security::vault::Vault;
use serde::Deserialize;
use serde_json::Value;
use uuid::Uuid;

#[derive(QueryableByName)]
struct DueRow {
    #[diesel(sql_type = SqlUuid)]
    id: Uuid,
    #[diesel(sql_type = SqlUuid)]
    kennel_id: Uuid,
    #[diesel(sql_type = Word)]
    way: RingWay,
    #[diesel(sql_type = Text)]
    service: String,
    #[diesel(sql_type = Bool)]
    slow: bool,
    #[diesel(sql_type = Integer)]
    attempts: i32,
    #[diesel(sql_type = Jsonb)]
    content: Value,
    #[diesel(sql_type = Nullable<Bytea>)]
    secret: Option<Vec<u8>>,
    #[diesel(sql_type = Text)]
    email: String,
    #[diesel(sql_type = Bool)]
    patient: bool,
}

/// Where a device takes messages.
#[derive(Clone, Deserialize)]
pub struct Address {
    /// Its push service's address.
    pub endpoint: String,
    /// Its point.
    pub p256dh: String,
    /// Its secret.
    pub auth: String,
}

/// Where a ring goes.
pub enum Destination {
    /// To a device.
    Device(Address),
    /// To an address for mail.
    Mail(String),
    /// To a device whose address does not open any more, or nowhere, since what is said does not.
    Nowhere,
}

/// A ring that is due now.
pub struct Due {
    /// Its id, the same at each try.
    pub id: Uuid,
    /// Where it goes.
    pub to: Destination,
    /// Who takes it: the host of a push service, or `mail`.
    pub service: String,
    /// Whether it has one of the slow places.
    pub slow: bool,
    /// Which try this is, from 1.
    pub attempts: i32,
    /// What is said.
    pub content: Value,
    /// Whether it is of use later as well, and tried for days.
    pub patient: bool,
}

/// What is said, which lies sealed where it opens something; `None` for what does not open any more.
fn opened(vault: &Vault, kennel_id: Uuid, content: Value) -> Option<Value> {
    let Some(sealed) = content.get("sealed") else { return Some(content) };
    let sealed = STANDARD.decode(sealed.as_str()?).ok()?;
    serde_json::from_slice(&vault.open(&invitations_of(kennel_id), &sealed).ok()?).ok()
}

/// Takes rings that are due by the service's clock; they are this instance's for so many seconds. Those for
/// services that take long have the slow places.
///
/// # Errors
/// When the database is away.
pub async fn claim(
    db: &Db,
    now: DateTime<Utc>,
    places: Places,
    slow_services: Vec<String>,
    lease_seconds: i32,
) -> StoreResult<Vec<Due>> {
    let rows: Vec<DueRow> = statement("SELECT * FROM claim_rings($1, $2, $3, $4, $5)")
        .bind::<Timestamptz, _>(now)
        .bind::<Integer, _>(places.quick)
        .bind::<Integer, _>(places.slow)
        .bind::<Array<Text>, _>(slow_services)
        .bind::<Integer, _>(lease_seconds)
        .load(&mut db.connection().await?)
        .await?;
    let vault = db.vault()?;
    let due = |row: DueRow| {
        let DueRow { id, kennel_id, way, service, slow, attempts, content, secret, email, patient } =
            row;
        let address = || -> Option<Address> {
            let secret = vault.open(&devices_of(kennel_id), &secret.unwrap_or_default());
            serde_json::from_slice(&secret.ok()?).ok()
        };
        let content = opened(vault, kennel_id, content);
        let to = match way {
            _ if content.is_none() => Destination::Nowhere,
            RingWay::Mail => Destination::Mail(email),
            RingWay::Push => address().map_or(Destination::Nowhere, Destination::Device),
        };
        Due { id, to, service, slow, attempts, content: content.unwrap_or_default(), patient }
    };
    Ok(rows.into_iter().map(due).collect())
}

/// What became of a try.
#[derive(Debug, Clone)]
pub struct RingOutcome {
    /// Whether it was taken.
    pub good: bool,
    /// Whether the device is gone for good.
    pub gone: bool,
    /// Why it was not taken.
    pub error: Option<String>,
    /// Seconds until the next try; null when there is none.
    pub wait_seconds: Option<f64>,
}

/// Writes down what became of a try.
///
/// # Errors
/// When the database is away.
pub async fn finish(db: &Db, id: Uuid, outcome: &RingOutcome) -> StoreResult<()> {
    statement("SELECT finish_ring($1, $2, $3, $4, $5)")
        .bind::<SqlUuid, _>(id)
        .bind::<Bool, _>(outcome.good)
        .bind::<Bool, _>(outcome.gone)
        .bind::<Nullable<Text>, _>(&outcome.error)
        .bind::<Nullable<Double>, _>(outcome.wait_seconds)
        .execute(&mut db.connection().await?)
        .await?;
    Ok(())
}
