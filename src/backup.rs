//! Backup and restore, by Postgres's own tools in their own format.

use crate::{
    cluster::{Cluster, ClusterError},
    store::address::Address,
};
use reqwest::Url;
use std::{
    fs::{self, OpenOptions},
    io,
    os::unix::fs::OpenOptionsExt as _,
    path::{Path, PathBuf},
    process::Stdio,
};
use tokio::process::Command;

/// Why there is no backup, or why it did not come back.
#[derive(Debug, thiserror::Error)]
pub enum BackupError {
    /// No tools.
    #[error(transparent)]
    Cluster(#[from] ClusterError),
    /// A tool failed.
    #[error("{program} failed. It said:\n{said}")]
    Failed {
        /// Which.
        program: String,
        /// What it said.
        said: String,
    },
    /// The database is not empty.
    #[error(
        "the database holds tables already, and a backup is restored into an empty one only: give \
         an empty folder (DENWRIGHT_DATA) or database (DATABASE_URL)"
    )]
    NotEmpty,
    /// The database cannot be asked.
    #[error("the database: {0}")]
    Database(#[from] tokio_postgres::Error),
    /// The database cannot be reached.
    #[error("the database: {0}")]
    Address(String),
    /// A file.
    #[error("{}: {source}", path.display())]
    File {
        /// Which.
        path: PathBuf,
        /// Why not.
        source: io::Error,
    },
}

fn file_error(path: &Path) -> impl Fn(io::Error) -> BackupError + '_ {
    move |source| BackupError::File { path: path.to_owned(), source }
}

/// Writes all data at one moment into a file, while the service goes on.
///
/// The file has its name once it is whole, and only its owner reads it: it holds everything.
///
/// # Errors
/// When the tools are missing or fail, or the file cannot be written.
pub async fn backup(data: &Path, url: &str, file: &Path) -> Result<(), BackupError> {
    let mut name = file.file_name().unwrap_or_default().to_owned();
    name.push(".partial");
    let partial = file.with_file_name(name);
    let out = OpenOptions::new().write(true).create(true).truncate(true).mode(0o600).open(&partial);
    let out = out.map_err(file_error(&partial))?;
    let whole = out.try_clone().map_err(file_error(&partial))?;
    let mut dump = tool(data, "pg_dump", url)?;
    dump.args(["--format=custom", "--no-owner"]).stdin(Stdio::null()).stdout(out);
    let done = match run(dump).await {
        Ok(()) => {
            whole.sync_all().and_then(|()| fs::rename(&partial, file)).map_err(file_error(file))
        }
        Err(error) => Err(error),
    };
    if done.is_err() {
        let _ = fs::remove_file(&partial);
    }
    done
}

/// Reads a backup into an empty database: all of it, or nothing.
///
/// # Errors
/// When the database is not empty, the tools are missing or fail, or the file is none.
pub async fn restore(data: &Path, url: &str, file: &Path) -> Result<(), BackupError> {
    let input = fs::File::open(file).map_err(file_error(file))?;
    prepare(url).await?;
    let mut restore = tool(data, "pg_restore", url)?;
    restore.args(["--no-owner", "--exit-on-error", "--single-transaction"]).stdin(input);
    restore.stdout(Stdio::null());
    run(restore).await
}

/// Refuses a database with tables, and makes the role that a backup gives rights to.
async fn prepare(url: &str) -> Result<(), BackupError> {
    let address: Address = url.parse().map_err(BackupError::Address)?;
    let (client, _messages) = address.listen().await.map_err(BackupError::Address)?;
    let tables = "SELECT count(*) FROM pg_class \
                  WHERE relnamespace = 'public'::regnamespace AND relkind = 'r'";
    let is_empty = client.query_one(tables, &[]).await?.get::<_, i64>(0) == 0;
    if is_empty {
        client
            .batch_execute(
                "DO $$ BEGIN \
                   IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'denwright_service') THEN \
                     CREATE ROLE denwright_service NOLOGIN; \
                   END IF; \
                   IF NOT pg_has_role(current_user, 'denwright_service', 'MEMBER') THEN \
                     EXECUTE format('GRANT denwright_service TO %I', current_user); \
                   END IF; \
                 END $$",
            )
            .await?;
    }
    if is_empty { Ok(()) } else { Err(BackupError::NotEmpty) }
}

/// One of Postgres's tools on a database; its password is not for others on the machine to see.
fn tool(data: &Path, name: &str, url: &str) -> Result<Command, BackupError> {
    let mut command = Command::new(Cluster::program(data, name)?);
    let mut address = url.to_owned();
    if let Ok(mut parsed) = url.parse::<Url>()
        && let Some(password) = parsed.password().map(str::to_owned)
        && parsed.set_password(None).is_ok()
    {
        let password =
            form_urlencoded::parse(format!("p={}", password.replace('+', "%2B")).as_bytes())
                .next()
                .map(|(_, value)| value.into_owned());
        command.env("PGPASSWORD", password.unwrap_or_default());
        address = parsed.to_string();
    }
    command.arg(format!("--dbname={address}")).stderr(Stdio::piped()).kill_on_drop(true);
    Ok(command)
}

async fn run(mut command: Command) -> Result<(), BackupError> {
    let program = command.as_std().get_program().to_owned();
    let output = command.spawn().map_err(file_error(Path::new(&program)))?;
    let output = output.wait_with_output().await.map_err(file_error(Path::new(&program)))?;
    if output.status.success() {
        return Ok(());
    }
    let said = String::from_utf8_lossy(&output.stderr).trim().to_owned();
    Err(BackupError::Failed { program: program.to_string_lossy().into_owned(), said })
}
