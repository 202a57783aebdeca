//! What is done from time to time: new signing keys, the end of what nobody needs any more, and secrets
//! sealed under the newest key.

use super::{Db, StoreError, StoreResult, accounts, rings, statement::statement, webhooks};
use diesel::{
    QueryableByName,
    sql_types::{Array, BigInt, Bytea, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use uuid::Uuid;

#[derive(QueryableByName)]
struct KeyId {
    #[diesel(sql_type = Nullable<SqlUuid>)]
    id: Option<Uuid>,
}

async fn renew_key(db: &Db, fresh: &[u8], days: Option<i64>) -> StoreResult<Option<Uuid>> {
    let row: KeyId = statement("SELECT renew_signing_key($1, $2, $3) AS id")
        .bind::<SqlUuid, _>(Uuid::now_v7())
        .bind::<Bytea, _>(fresh)
        .bind::<Nullable<BigInt>, _>(days)
        .get_result(&mut db.connection().await?)
        .await?;
    Ok(row.id)
}

/// Signs with a new key from now on; the old ones verify until the last token they signed is over.
///
/// # Errors
/// When the database is away.
pub async fn rotate_keys(db: &Db, fresh: &[u8]) -> StoreResult<Uuid> {
    let id = renew_key(db, fresh, None).await?;
    id.ok_or_else(|| StoreError::Internal("no new key was made".to_owned()))
}

/// Rotates when the newest key is older than so many days; of several instances, one does it.
///
/// # Errors
/// When the database is away.
pub async fn rotate_old_keys(db: &Db, days: i64, fresh: &[u8]) -> StoreResult<Option<Uuid>> {
    renew_key(db, fresh, Some(days)).await
}

/// Deletes what is over: old keys, sessions, resets, tries, and answers kept for repeats. Nothing is done
/// when another instance is at it.
///
/// # Errors
/// When the database is away.
pub async fn clear_away(db: &Db) -> StoreResult<()> {
    statement("SELECT clear_away()").execute(&mut db.connection().await?).await?;
    Ok(())
}

#[derive(QueryableByName)]
struct SecretRow {
    #[diesel(sql_type = Nullable<SqlUuid>)]
    of_kennel: Option<Uuid>,
    #[diesel(sql_type = SqlUuid)]
    of_row: Uuid,
    #[diesel(sql_type = Text)]
    of_table: String,
    #[diesel(sql_type = Bytea)]
    secret: Vec<u8>,
}

impl SecretRow {
    /// What it is sealed for.
    fn purpose(&self) -> String {
        match (self.of_kennel, self.of_table.as_str()) {
            (Some(kennel), "push_devices") => rings::devices_of(kennel),
            (Some(kennel), _) => webhooks::secret_of(kennel),
            (None, "vapid_key") => rings::PUSH_KEY.to_owned(),
            (None, _) => accounts::factor_of(self.of_row),
        }
    }
}

/// What is sealed is longer than any secret that was kept without (20 and 32 bytes).
const SHORTEST_SEALED: usize = 50;

/// Seals secrets that an earlier edition kept in the clear, and those under a key that is no longer the
/// newest; returns how many it was.
///
/// # Errors
/// [`StoreError::Internal`] when one was sealed under a key that is not here: nothing is changed of that.
pub async fn seal_secrets(db: &Db) -> StoreResult<usize> {
    let vault = db.vault()?;
    let mut conn = db.connection().await?;
    let rows: Vec<SecretRow> =
        statement("SELECT of_kennel, of_row, of_table, secret FROM secrets_to_seal($1)")
            .bind::<Bytea, _>(vault.key_id().to_vec())
            .load(&mut conn)
            .await?;
    let count = rows.len();
    for row in rows {
        let purpose = row.purpose();
        let SecretRow { of_kennel, of_row, secret, .. } = row;
        let plain = match secret.len() {
            0..SHORTEST_SEALED => secret.clone(),
            _ => vault.open(&purpose, &secret)?,
        };
        statement("SELECT seal_secret($1, $2, $3, $4)")
            .bind::<Nullable<SqlUuid>, _>(of_kennel)
            .bind::<SqlUuid, _>(of_row)
            .bind::<Bytea, _>(secret)
            .bind::<Bytea, _>(vault.seal(&purpose, &plain)?)
            .execute(&mut conn)
            .await?;
    }
    Ok(count)
}

/// Gives up what was sealed under keys that are lost: second factors go off, webhooks are deleted; returns
/// how many. As the owner of the database alone.
///
/// # Errors
/// When the database is away.
pub async fn forget_sealed(db: &Db) -> StoreResult<i64> {
    #[derive(QueryableByName)]
    struct Row {
        #[diesel(sql_type = BigInt)]
        count: i64,
    }
    let known: Vec<Vec<u8>> = db.vault()?.key_ids().iter().map(|id| id.to_vec()).collect();
    let row: Row = statement("SELECT forget_sealed($1) AS count")
        .bind::<Array<Bytea>, _>(known)
        .get_result(&mut db.connection().await?)
        .await?;
    Ok(row.count)
}
