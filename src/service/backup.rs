//! Backup and restore, by Postgres's own tools in their own format, with the pictures and papers beside.

mod pictures;

pub use pictures::require_all;

use cluster::{Cluster, ClusterError};
use files::{Blobs, BlobsError};
use postgres::address::Address;
use reqwest::Url;
use std::{
    fs::{self, OpenOptions},
    io::{self, Write as _},
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
    /// The pictures and papers.
    #[error(transparent)]
    Blobs(#[from] BlobsError),
    /// A picture or paper of the backup is not what its name says.
    #[error("{} is damaged: its bytes are not those that its name says", .0.display())]
    Damaged(PathBuf),
    /// Pictures or papers whose rows came back and whose files did not.
    #[error("{0} pictures or papers are not in the backup; everything else has come back")]
    Incomplete(usize),
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

/// Writes all data at one moment into a file, while the service goes on, and pictures and papers into a folder
/// beside it.
///
/// The file has its name once it is whole, and only its owner reads it: it holds everything. The pictures
/// are copied after the rows: none is ever changed, and none that a row named is removed on the same day.
///
/// # Errors
/// When the tools are missing or fail, or the file cannot be written.
pub async fn backup(
    data: &Path,
    url: &str,
    files: Option<&Blobs>,
    file: &Path,
) -> Result<(), BackupError> {
    let partial = beside(file, ".partial");
    let out = OpenOptions::new().write(true).create(true).truncate(true).mode(0o600).open(&partial);
    let out = out.map_err(file_error(&partial))?;
    let whole = out.try_clone().map_err(file_error(&partial))?;
    let mut dump = tool(data, "pg_dump", url)?;
    // Row-level security holds for the owner too; this role sees all by a policy.
    dump.args([
        "--format=custom",
        "--no-owner",
        "--enable-row-security",
        "--role=denwright_upkeep",
    ])
    .stdin(Stdio::null())
    .stdout(out);
    let copied = async {
        run(dump).await?;
        match files {
            Some(files) => pictures::copy(files, &pictures_beside(file)).await,
            None => Ok(()),
        }
    };
    let done = copied.await.and_then(|()| {
        whole.sync_all().and_then(|()| fs::rename(&partial, file)).map_err(file_error(file))
    });
    if done.is_err() {
        let _ = fs::remove_file(&partial);
    }
    done
}

/// Reads a backup into an empty database: all of it, or nothing. Its pictures and papers come first, which
/// nothing refers to until the rows are there.
///
/// # Errors
/// When the database is not empty, the tools are missing or fail, or the file is none.
pub async fn restore(
    data: &Path,
    url: &str,
    files: &Blobs,
    file: &Path,
) -> Result<(), BackupError> {
    let input = fs::File::open(file).map_err(file_error(file))?;
    prepare(url).await?;
    pictures::take_in(files, &pictures_beside(file)).await?;
    let mut restore = tool(data, "pg_restore", url)?;
    restore.args(["--no-owner", "--exit-on-error", "--single-transaction"]).stdin(input);
    let wanted = without_defaults(data, file).await?;
    restore.arg(format!("--use-list={}", wanted.0.display())).stdout(Stdio::null());
    run(restore).await
}

/// A file that ends with this value.
struct Passing(PathBuf);

impl Drop for Passing {
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.0);
    }
}

/// The list of what a backup holds, without the rights that later things get by themselves: those are an
/// owner's by name, who may be another one here. The migrations set them again.
async fn without_defaults(data: &Path, file: &Path) -> Result<Passing, BackupError> {
    let mut list = Command::new(Cluster::program(data, "pg_restore")?);
    list.arg("--list").arg(file).stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let output = list.output().await.map_err(file_error(file))?;
    if !output.status.success() {
        let said = String::from_utf8_lossy(&output.stderr).trim().to_owned();
        return Err(BackupError::Failed { program: "pg_restore".to_owned(), said });
    }
    let kept: Vec<&[u8]> = output
        .stdout
        .split_inclusive(|byte| *byte == b'\n')
        .filter(|line| !line.windows(13).any(|part| part == b" DEFAULT ACL "))
        .collect();
    let path = std::env::temp_dir().join(format!("denwright-restore-{}", std::process::id()));
    fs::write(&path, kept.concat()).map_err(file_error(&path))?;
    Ok(Passing(path))
}

/// Where something lies beside a backup.
fn beside(file: &Path, ending: &str) -> PathBuf {
    let mut name = file.file_name().unwrap_or_default().to_owned();
    name.push(ending);
    file.with_file_name(name)
}

/// Where the key for secrets lies beside a backup.
pub fn key_beside(file: &Path) -> PathBuf {
    beside(file, ".key")
}

/// The folder beside a backup in which its pictures and papers lie.
fn pictures_beside(file: &Path) -> PathBuf {
    beside(file, PICTURES)
}

/// How the name of that folder ends.
const PICTURES: &str = ".pictures";

/// Copies a key for secrets into a file that only its owner reads, in place of one that is there.
///
/// # Errors
/// When it cannot be read or written.
pub fn copy_key(from: &Path, to: &Path) -> Result<(), BackupError> {
    let key = fs::read(from).map_err(file_error(from))?;
    let partial = beside(to, ".partial");
    let file =
        OpenOptions::new().write(true).create(true).truncate(true).mode(0o600).open(&partial);
    let written = file.and_then(|mut file| {
        file.write_all(&key)?;
        file.sync_all()?;
        fs::rename(&partial, to)
    });
    written.map_err(file_error(to))
}

/// Refuses a database with tables, and makes the roles that a backup gives rights to.
async fn prepare(url: &str) -> Result<(), BackupError> {
    let address: Address = url.parse().map_err(BackupError::Address)?;
    let (client, _messages) = address.listen().await.map_err(BackupError::Address)?;
    let tables = "SELECT count(*) FROM pg_class \
                  WHERE relnamespace = 'public'::regnamespace AND relkind = 'r'";
    let is_empty = client.query_one(tables, &[]).await?.get::<_, i64>(0) == 0;
    if is_empty {
        client
            .batch_execute(
                "DO $$ DECLARE name text; BEGIN \
                   FOREACH name IN ARRAY ARRAY['denwright_service', 'denwright_upkeep'] LOOP \
                     IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = name) THEN \
                       EXECUTE format('CREATE ROLE %I NOLOGIN', name); \
                     END IF; \
                     IF NOT pg_has_role(current_user, name, 'USAGE') THEN \
                       EXECUTE format('GRANT %I TO %I', name, current_user); \
                     END IF; \
                   END LOOP; \
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
