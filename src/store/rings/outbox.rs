//! Rings that are due: taken by one instance, tried until they have arrived, or too late for that.

use super::devices_of;
use crate::{Db, StoreResult, columns::Word, statement::statement, webhooks::Places};
use chrono::{DateTime, Utc};
use diesel::{
    QueryableByName,
    sql_types::{
        Array, Bool, Bytea, Double, Integer, Jsonb, Nullable, Text, Timestamptz, Uuid as SqlUuid,
    },
};
use diesel_async::RunQueryDsl as _;
use domain::record::RingWay;
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
    /// To a device whose address does not open any more.
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
    let opened = |row: DueRow| {
        let DueRow { id, kennel_id, way, service, slow, attempts, content, secret, email } = row;
        let address = || -> Option<Address> {
            let secret = vault.open(&devices_of(kennel_id), &secret.unwrap_or_default());
            serde_json::from_slice(&secret.ok()?).ok()
        };
        let to = match way {
            RingWay::Mail => Destination::Mail(email),
            RingWay::Push => address().map_or(Destination::Nowhere, Destination::Device),
        };
        Due { id, to, service, slow, attempts, content }
    };
    Ok(rows.into_iter().map(opened).collect())
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
