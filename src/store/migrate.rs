//! Brings a database to the present schema, and takes it back again.

use super::StoreError;
use diesel_async::{AsyncMigrationHarness, AsyncPgConnection, SimpleAsyncConnection};
use diesel_migrations::{EmbeddedMigrations, MigrationHarness, embed_migrations};

const MIGRATIONS: EmbeddedMigrations = embed_migrations!("migrations");

/// Postgres versions below this one lack what the schema uses (`gcd`, `gen_random_uuid`).
const OLDEST_POSTGRES: i32 = 13;

/// Which way to migrate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// To the newest schema.
    Up,
    /// Back to an empty database: everything is lost.
    DownToNothing,
}

/// Migrates the database at `url`; instances that start at once wait for each other.
///
/// Runs on a thread of its own, since the harness blocks.
///
/// # Errors
/// When the server is too old or away, or a migration fails (it is then undone whole).
pub async fn run(url: &str, direction: Direction) -> Result<(), StoreError> {
    let url = url.to_owned();
    let (send, receive) = tokio::sync::oneshot::channel();
    std::thread::spawn(move || {
        let result = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(1)
            .enable_all()
            .build()
            .map_err(|error| StoreError::Internal(error.to_string()))
            .and_then(|runtime| runtime.block_on(migrate(&url, direction)));
        // The receiver is gone only when the caller no longer cares.
        let _ = send.send(result);
    });
    receive.await.map_err(|_| StoreError::Internal("the migration thread died".to_owned()))?
}

async fn migrate(url: &str, direction: Direction) -> Result<(), StoreError> {
    let mut conn = super::address::establish(url)
        .await
        .map_err(|error| StoreError::Unavailable(error.to_string()))?;
    check_version(&mut conn).await?;
    // Held until the connection closes.
    conn.batch_execute("SELECT pg_advisory_lock(hashtext('denwright migrations'))").await?;
    let mut harness = AsyncMigrationHarness::new(conn);
    let done = match direction {
        Direction::Up => harness.run_pending_migrations(MIGRATIONS).map(drop),
        Direction::DownToNothing => harness.revert_all_migrations(MIGRATIONS).map(drop),
    };
    done.map_err(|error| StoreError::Internal(format!("migration failed: {error}")))
}

async fn check_version(conn: &mut AsyncPgConnection) -> Result<(), StoreError> {
    use diesel::{dsl::sql, sql_types::Integer};
    use diesel_async::RunQueryDsl;
    let version: i32 =
        diesel::select(sql::<Integer>("current_setting('server_version_num')::integer / 10000"))
            .get_result(conn)
            .await?;
    if version < OLDEST_POSTGRES {
        return Err(StoreError::Internal(format!(
            "this server is Postgres {version}; {OLDEST_POSTGRES} or newer is needed"
        )));
    }
    Ok(())
}
