//! A new database folder: made aside, then given its name, so that none is ever half-made.

use std::fs::{self, File};
use std::io::Write;
use std::path::Path;
use std::process::{Output, Stdio};

use super::binaries::Binaries;
use super::folders::Folders;
use super::owner::Owner;
use super::{ClusterError, DATABASE, ROLE, SUPERUSER};

/// Locales to try: the first sorts and folds Unicode, the second exists everywhere.
const LOCALES: [&str; 2] = ["C.UTF-8", "C"];

/// Makes the database folder with the service's role and database in it.
///
/// # Errors
/// When Postgres cannot; the error holds what it said.
pub fn create(
    binaries: &Binaries,
    folders: &Folders,
    owner: &Owner,
    durable: bool,
) -> Result<(), ClusterError> {
    let new = folders.pgdata_new();
    let made = run_initdb(binaries, owner, &new, durable)
        .and_then(|()| create_database(binaries, owner, &new, durable));
    if made.is_err() {
        let _ = fs::remove_dir_all(&new);
    }
    made?;
    let pgdata = folders.pgdata();
    fs::rename(&new, &pgdata)
        .and_then(|()| File::open(folders.home())?.sync_all())
        .map_err(|source| ClusterError::io("name the new database folder", &pgdata, source))
}

/// Runs `initdb` in the first locale that the machine knows.
fn run_initdb(
    binaries: &Binaries,
    owner: &Owner,
    new: &Path,
    durable: bool,
) -> Result<(), ClusterError> {
    let program = binaries.program("initdb");
    let mut said = String::new();
    for locale in LOCALES {
        let mut command = owner.command(&program);
        command.arg("-D").arg(new).args(["-U", SUPERUSER, "--encoding=UTF8", "--data-checksums"]);
        // No password: the socket's folder lets only its owner and root in.
        command.arg("--auth=trust").arg(format!("--locale={locale}")).arg("--lc-messages=C");
        if !durable {
            command.arg("--no-sync");
        }
        let output =
            command.output().map_err(|source| ClusterError::io("run", &program, source))?;
        if output.status.success() {
            return Ok(());
        }
        said = all_said(&output);
        if !said.contains("locale") {
            break;
        }
    }
    Err(ClusterError::NotMade { said })
}

/// Makes the role and the database, with the server's single-user mode: no socket, no client.
fn create_database(
    binaries: &Binaries,
    owner: &Owner,
    new: &Path,
    durable: bool,
) -> Result<(), ClusterError> {
    let program = binaries.program("postgres");
    let error = |source| ClusterError::io("run", &program, source);
    let mut command = owner.command(&program);
    command.arg("--single").arg("-D").arg(new);
    if !durable {
        command.args(["-c", "fsync=off"]);
    }
    let mut child = command
        .arg("postgres")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(error)?;
    // Not a superuser: policies on rows must hold here as they do on a hosted server.
    let statements = format!(
        "CREATE ROLE {ROLE} LOGIN CREATEDB CREATEROLE\nCREATE DATABASE {DATABASE} OWNER {ROLE}\n"
    );
    if let Some(mut input) = child.stdin.take() {
        // When the server has ended already, its output below says why.
        let _ = input.write_all(statements.as_bytes());
    }
    let output = child.wait_with_output().map_err(error)?;
    let said = all_said(&output);
    // Single-user mode ends well even when a statement failed.
    if output.status.success() && !said.contains("ERROR:") && !said.contains("FATAL:") {
        return Ok(());
    }
    Err(ClusterError::NotMade { said })
}

/// Both outputs of a program.
fn all_said(output: &Output) -> String {
    let mut said = String::from_utf8_lossy(&output.stdout).into_owned();
    said.push_str(&String::from_utf8_lossy(&output.stderr));
    said.trim().to_owned()
}
