//! Brings a database to the present schema, and takes it back again.

use super::{StoreError, address, migrations::Migrations};
use diesel::{QueryableByName, migration::Migration as _, pg::Pg, sql_types::Text};
use diesel_async::{AsyncMigrationHarness, AsyncPgConnection, SimpleAsyncConnection};
use diesel_migrations::MigrationHarness;

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
    let mut conn = connect(url).await?;
    check_version(&mut conn).await?;
    // Held until the connection closes.
    conn.batch_execute("SELECT pg_advisory_lock(hashtext('denwright migrations'))").await?;
    // A migration includes functions as they are at present: some ask for columns that come later.
    conn.batch_execute("SET check_function_bodies = off").await?;
    let mut harness = AsyncMigrationHarness::new(conn);
    let done = match direction {
        Direction::Up => harness.run_pending_migrations(Migrations).map(drop),
        Direction::DownToNothing => harness.revert_all_migrations(Migrations).map(drop),
    };
    done.map_err(|error| StoreError::Internal(format!("migration failed: {error}")))?;
    if direction == Direction::Up {
        // What came with these migrations is walled like the rest.
        let mut conn = harness.into_inner();
        conn.batch_execute("SELECT finish_walls()").await?;
    }
    Ok(())
}

/// Refuses a database whose schema is not this edition's, for a service that may not migrate it.
///
/// # Errors
/// [`StoreError::Internal`] that says what to do, [`StoreError::Unavailable`] when it is away.
pub async fn require_current(url: &str) -> Result<(), StoreError> {
    #[derive(QueryableByName)]
    struct Applied {
        #[diesel(sql_type = Text)]
        version: String,
    }
    let mut conn = connect(url).await?;
    let applied: Vec<Applied> = diesel_async::RunQueryDsl::load(
        diesel::sql_query("SELECT version FROM __diesel_schema_migrations"),
        &mut conn,
    )
    .await
    .unwrap_or_default();
    let wanted = diesel::migration::MigrationSource::<Pg>::migrations(&Migrations)
        .map_err(|error| StoreError::Internal(error.to_string()))?;
    let is_applied = |version: String| applied.iter().any(|row| row.version == version);
    if wanted.iter().all(|migration| is_applied(migration.name().version().to_string())) {
        return Ok(());
    }
    Err(StoreError::Internal(
        "its schema is of another edition: run `denwright migrate` with the address of its owner in \
         DENWRIGHT_MIGRATE_URL, or give that to the service as well"
            .to_owned(),
    ))
}

async fn connect(url: &str) -> Result<AsyncPgConnection, StoreError> {
    let connected = address::establish(url).await;
    connected.map_err(|error| StoreError::Unavailable(error.to_string()))
}

/// Lets the service log in by its own role, as `service_url` says, when it cannot yet: the owner of the
/// database gives the role that password.
///
/// # Errors
/// When the owner may not do that, or it does not help.
pub async fn let_service_in(owner_url: &str, service_url: &str) -> Result<(), StoreError> {
    if connect(service_url).await.is_ok() {
        return Ok(());
    }
    let password = address::password_of_service(service_url).map_err(StoreError::Unavailable)?;
    let Some(password) = password else {
        return connect(service_url).await.map(drop);
    };
    // As the server keeps it, so that no log of statements shows it.
    let verifier = postgres_protocol::password::scram_sha_256(password.as_bytes());
    let sql = format!("ALTER ROLE denwright_service LOGIN PASSWORD '{verifier}'");
    let given = connect(owner_url).await?.batch_execute(&sql).await;
    // Of two that do it at once, one fails, and is let in by the other.
    match connect(service_url).await {
        Ok(_) => Ok(()),
        Err(error) => Err(given.err().map_or(error, StoreError::from)),
    }
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
