//! A database of its own for each test, copied from one that was migrated once.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use chrono::Utc;
use sha2::{Digest as _, Sha256};
use store::{Db, migrate};
use tokio::sync::OnceCell;
use tokio_postgres::{Client, NoTls, error::SqlState};
use uuid::Uuid;

use super::cluster::{self, admin_url};
use super::{kennel::now, waiting::until};

/// A database that lives as long as its test.
pub struct Database {
    name: String,
    /// The address of a database of its server whose role may make others.
    server: String,
}

impl Database {
    /// A database with the present schema and nothing in it.
    pub async fn migrated() -> Self {
        let (admin, version) = admin().await;
        Self::copied(&admin, version, template(&admin).await).await
    }

    /// The same on another server.
    pub async fn migrated_on(server: &str) -> Self {
        let database = Self { name: new_name(), server: server.to_owned() };
        execute(&connect(server).await, &format!("CREATE DATABASE {}", database.name)).await;
        migrate::run(&database.url(), migrate::Direction::Up).await.expect("it migrates");
        database
    }

    /// A database with the demo kennel as of the moment at which each test begins; the first test to come loads
    /// it, all others copy what it loaded.
    pub async fn with_demo() -> Self {
        static LOADED: OnceCell<String> = OnceCell::const_new();
        let load = || async {
            let database = Self::migrated().await;
            let db = Db::for_upkeep(&database.url(), 2).expect("the address is good");
            demo::load(&db, now()).await.expect("the demo loads");
            // Nobody may be connected to what is copied.
            let (admin, _) = admin().await;
            let name = &database.name;
            let close = format!(
                "ALTER DATABASE {name} ALLOW_CONNECTIONS false; \
                 SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = '{name}'"
            );
            execute(&admin, &close).await;
            database.name
        };
        let (admin, version) = admin().await;
        Self::copied(&admin, version, LOADED.get_or_init(load).await).await
    }

    async fn copied(admin: &Client, version: i32, source: &str) -> Self {
        // The other strategy (the default since 15) writes every block to the log as well.
        let strategy = if version >= 15 { "STRATEGY file_copy" } else { "" };
        let name = new_name();
        execute(admin, &format!("CREATE DATABASE {name} TEMPLATE {source} {strategy}")).await;
        Self { name, server: admin_url().to_owned() }
    }

    /// A database with nothing in it, not even the schema.
    pub async fn empty() -> Self {
        let (admin, _) = admin().await;
        let name = new_name();
        execute(&admin, &format!("CREATE DATABASE {name}")).await;
        Self { name, server: admin_url().to_owned() }
    }

    /// Its address.
    pub fn url(&self) -> String {
        in_database(&self.server, &self.name)
    }

    /// The address of its copy on the server at this address.
    pub fn copy_at(&self, server: &str) -> String {
        in_database(server, &self.name)
    }

    /// A connection of the role that owns the database.
    pub async fn connect(&self) -> Client {
        connect(&self.url()).await
    }

    /// Deletes it, whoever is connected.
    pub async fn remove(self) {
        let admin = connect(&self.server).await;
        // What autovacuum works on cannot be dropped until it is done.
        let drop = format!("DROP DATABASE {} WITH (FORCE)", self.name);
        until(&drop, async || {
            let Err(error) = admin.batch_execute(&drop).await else { return Some(()) };
            assert!(
                error.code() == Some(&SqlState::INSUFFICIENT_PRIVILEGE)
                    || error.code() == Some(&SqlState::OBJECT_IN_USE),
                "{drop}: {error:?}"
            );
            None
        })
        .await;
    }
}

fn new_name() -> String {
    format!("test_{}", Uuid::now_v7().simple())
}

/// The address of another database of the same server.
fn url_of(database: &str) -> String {
    in_database(admin_url(), database)
}

fn in_database(url: &str, database: &str) -> String {
    let (address, settings) = match url.split_once('?') {
        Some((address, settings)) => (address, format!("?{settings}")),
        None => (url, String::new()),
    };
    let (server, _) = address.rsplit_once('/').expect("an address ends with a database");
    format!("{server}/{database}{settings}")
}

/// The address of the database that the owner reaches at `url`, as the service's own role where that has a
/// password here.
pub fn service_url(url: &str) -> String {
    let (server, database) = parts(url);
    let own = || cluster::service_url().filter(|_| parts(admin_url()).0 == server);
    own().map_or_else(|| url.to_owned(), |service| in_database(service, database))
}

/// The address of the same database by a pooler in transaction mode, where the tests' services are to use one.
pub fn pooler_url(url: &str) -> Option<String> {
    let pooler = std::env::var("DENWRIGHT_TEST_POOLER_URL").ok().filter(|url| !url.is_empty())?;
    Some(in_database(&pooler, parts(url).1))
}

/// The server and the database of an address.
fn parts(url: &str) -> (&str, &str) {
    let (address, _) = url.split_once('?').unwrap_or((url, ""));
    address.rsplit_once('/').expect("an address ends with a database")
}

/// A connection to the database at this address.
pub async fn connect(url: &str) -> Client {
    let (client, connection) = tokio_postgres::connect(url, NoTls).await.expect("Postgres answers");
    tokio::spawn(connection);
    client
}

/// A connection that may make databases, and the server's major version.
async fn admin() -> (Client, i32) {
    let client = connect(admin_url()).await;
    let row = client
        .query_one("SELECT current_setting('server_version_num')::integer / 10000", &[])
        .await
        .expect("the server tells its version");
    (client, row.get(0))
}

async fn execute(client: &Client, sql: &str) {
    client.batch_execute(sql).await.unwrap_or_else(|error| panic!("{sql}: {error:?}"));
}

/// The name of the migrated template; the first test to come makes it, all others wait.
///
/// Test programs that run side by side share it, hence the lock in Postgres and a name that tells
/// the schema.
async fn template(admin: &Client) -> &'static str {
    static TEMPLATE: OnceCell<String> = OnceCell::const_new();
    TEMPLATE
        .get_or_init(|| async {
            let name = format!("template_{}", schema_hash());
            execute(admin, "SELECT pg_advisory_lock(hashtext('denwright test template'))").await;
            let known = admin
                .query_opt("SELECT datistemplate FROM pg_database WHERE datname = $1", &[&name])
                .await
                .expect("databases can be listed");
            // It is called a template only once it is whole.
            if !known.is_some_and(|row| row.get(0)) {
                execute(admin, &format!("DROP DATABASE IF EXISTS {name}")).await;
                execute(admin, &format!("CREATE DATABASE {name}")).await;
                let url = url_of(&name);
                migrate::run(&url, migrate::Direction::Up).await.expect("it migrates");
                let done =
                    format!("ALTER DATABASE {name} ALLOW_CONNECTIONS false IS_TEMPLATE true");
                execute(admin, &done).await;
            }
            remove_left_behind(admin).await;
            execute(admin, "SELECT pg_advisory_unlock(hashtext('denwright test template'))").await;
            name
        })
        .await
}

/// Removes what earlier test programs left: the demo that was copied, and services that tests shared, end with
/// their program and not with a test.
async fn remove_left_behind(admin: &Client) {
    let left = "SELECT datname FROM pg_database d WHERE datname LIKE 'test\\_%' \
                AND NOT EXISTS (SELECT FROM pg_stat_activity a WHERE a.datname = d.datname)";
    for row in admin.query(left, &[]).await.expect("databases can be listed") {
        let name: &str = row.get(0);
        let made_at = name.strip_prefix("test_").and_then(|id| Uuid::parse_str(id).ok());
        let made_at = made_at.and_then(|id| id.get_timestamp()).map(|time| time.to_unix().0);
        let hour_ago = Utc::now().timestamp() - 3_600;
        if made_at.is_some_and(|seconds| seconds.cast_signed() < hour_ago) {
            execute(admin, &format!("DROP DATABASE IF EXISTS {name}")).await;
        }
    }
}

/// Tells one schema from another.
fn schema_hash() -> String {
    let mut files = Vec::new();
    sql_files(&Path::new(env!("CARGO_MANIFEST_DIR")).join("migrations"), &mut files);
    files.sort();
    let mut hash = Sha256::new();
    for file in files {
        hash.update(file.to_string_lossy().as_bytes());
        hash.update(fs::read(&file).expect("a migration can be read"));
    }
    hash.finalize().iter().take(8).map(|byte| format!("{byte:02x}")).collect()
}

fn sql_files(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).expect("the migrations are there") {
        let path = entry.expect("a folder can be read").path();
        if path.is_dir() {
            sql_files(&path, files);
        } else {
            files.push(path);
        }
    }
}

/// The names of all tables.
pub async fn tables(sql: &Client) -> Vec<String> {
    let query = "SELECT relname::text FROM pg_class WHERE relkind IN ('r', 'p', 'm') \
                 AND relnamespace = 'public'::regnamespace ORDER BY 1";
    let rows = sql.query(query, &[]).await.expect("there is a catalogue");
    rows.iter().map(|row| row.get(0)).collect()
}

/// Every row of any table that holds the text, in whatever column and whatever spelling.
pub async fn rows_with(sql: &Client, text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for table in tables(sql).await {
        let rows = format!("SELECT t::text FROM \"{table}\" t WHERE t::text ILIKE '%{text}%'");
        for row in sql.query(&rows, &[]).await.expect("a table is read") {
            found.push(format!("{table}: {}", row.get::<_, String>(0)));
        }
    }
    found
}
