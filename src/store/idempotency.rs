//! Repeated requests: the same key and body gets the same answer.

use super::{StoreError, StoreResult, Tx, schema};
use catalogue::said;
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, Queryable, Selectable,
    SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;

/// An answer kept for repeats.
#[derive(Debug, Clone)]
pub struct KeptAnswer {
    /// HTTP status.
    pub status: u16,
    /// Headers that belong to the answer, such as `ETag`.
    pub headers: serde_json::Value,
    /// Body; null when it held a secret, which is shown once and kept nowhere.
    pub body: Option<serde_json::Value>,
}

/// A key with the answer that was kept under it.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::idempotency_keys)]
struct KeyRow {
    fingerprint: Vec<u8>,
    status: Option<i16>,
    headers: serde_json::Value,
    body: Option<serde_json::Value>,
}

/// Takes a key for this request, or finds the answer that it got before.
///
/// A second request with the same key waits here until the first one has committed or failed.
///
/// # Errors
/// [`StoreError::Refused`] when the key was used with another request.
pub async fn claim(tx: &mut Tx, key: &str, fingerprint: &[u8]) -> StoreResult<Option<KeptAnswer>> {
    use schema::idempotency_keys::dsl;
    let person_id = tx.scope.person_id();
    let taken = diesel::insert_into(dsl::idempotency_keys)
        .values((dsl::person_id.eq(person_id), dsl::key.eq(key), dsl::fingerprint.eq(fingerprint)))
        .on_conflict_do_nothing()
        .execute(&mut tx.conn)
        .await?;
    if taken == 1 {
        return Ok(None);
    }
    let KeyRow { fingerprint: known, status, headers, body } = dsl::idempotency_keys
        .filter(dsl::person_id.eq(person_id).and(dsl::key.eq(key)))
        .select(KeyRow::as_select())
        .first(&mut tx.conn)
        .await?;
    if known != fingerprint {
        return Err(StoreError::refused(
            "#header/Idempotency-Key",
            said!("fault-taken-idempotency-key"),
        ));
    }
    let status = status
        .and_then(|status| u16::try_from(status).ok())
        .ok_or(StoreError::Internal("an idempotency key was kept without its answer".to_owned()))?;
    Ok(Some(KeptAnswer { status, headers, body }))
}

/// Keeps the answer of the request that took the key, in the transaction of its write.
///
/// # Errors
/// When the database is away.
pub async fn keep_answer(tx: &mut Tx, key: &str, answer: &KeptAnswer) -> StoreResult<()> {
    use schema::idempotency_keys::dsl;
    let own =
        dsl::idempotency_keys.filter(dsl::person_id.eq(tx.scope.person_id()).and(dsl::key.eq(key)));
    diesel::update(own)
        .set((
            dsl::status.eq(i16::try_from(answer.status).unwrap_or(200)),
            dsl::headers.eq(&answer.headers),
            dsl::body.eq(&answer.body),
        ))
        .execute(&mut tx.conn)
        .await?;
    Ok(())
}
