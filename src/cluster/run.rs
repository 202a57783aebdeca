//! Runs a command with a private cluster around it: `denwright cluster run -- COMMAND`.

use std::env;
use std::ffi::OsString;
use std::fs::{self, DirBuilder};
use std::io::{self, IsTerminal};
use std::os::unix::fs::DirBuilderExt;
use std::os::unix::process::ExitStatusExt;
use std::path::{Path, PathBuf};
use std::process::ExitStatus;
use std::time::Duration;

use rustix::process::{Pid, Signal, kill_process};
use tokio::process::{Child, Command};
use tokio::signal::unix::{SignalKind, signal};
use tokio::task::{JoinError, spawn_blocking};
use tokio::time::{MissedTickBehavior, interval};

use super::{Cluster, ClusterError, folders};

/// What shells answer for a command that does not exist.
const COMMAND_NOT_FOUND: u8 = 127;
/// How often the server is looked after while the command runs.
const LOOK_AFTER: Duration = Duration::from_secs(1);

/// Starts a cluster, runs `command` with its address, as the owner of the database, in `DATABASE_URL` and
/// `DENWRIGHT_TEST_DATABASE_URL`, as the service in `DENWRIGHT_TEST_SERVICE_URL`, stops the cluster, and
/// answers the command's exit code.
///
/// With a standby beside it, that one's addresses stand in `DENWRIGHT_TEST_READ_URL`, as the service, and
/// `DENWRIGHT_TEST_READ_ADMIN_URL`, as superuser; it ends with the command.
///
/// With `data` the cluster is durable and stays; without, it is quick, lives in a temporary folder
/// and is deleted. SIGTERM, SIGHUP and SIGINT are passed on to the command, whose end ends all.
///
/// # Errors
/// When the cluster cannot be started or stopped, or signals cannot be heard.
pub async fn run(
    data: Option<PathBuf>,
    standby: bool,
    command: Vec<OsString>,
) -> Result<u8, RunError> {
    // Heard from here on, so that a signal during the start leaves nothing half-made.
    let mut signals = Signals::listen()?;
    let is_temporary = data.is_none();
    let data = data.map_or_else(temporary_folder, Ok)?;
    let folder = data.clone();
    let started = spawn_blocking(move || start(&folder, !is_temporary, standby)).await?;
    let result = match started {
        Ok((cluster, standby)) => {
            let command = Asked { words: command, standby: standby.as_ref().map(addresses) };
            let done = within(cluster, &mut signals, command, is_temporary).await;
            // Not before the command has ended; a server that stops waits for whoever follows it no longer than that.
            spawn_blocking(move || standby.map_or(Ok(()), Cluster::stop)).await??;
            done
        }
        Err(error) => Err(error.into()),
    };
    if is_temporary {
        // Only the lock is left in it, and, when the start failed, what that left.
        fs::remove_dir_all(&data).map_err(|source| ClusterError::io("delete", &data, source))?;
    }
    result
}

/// Starts the cluster, and a standby beside it in a folder of its own within the first one's.
fn start(
    data: &Path,
    durable: bool,
    standby: bool,
) -> Result<(Cluster, Option<Cluster>), ClusterError> {
    if !standby {
        return Ok((Cluster::start(data, durable)?, None));
    }
    let cluster = Cluster::start_followed(data, durable)?;
    let standby = cluster.standby(&data.join("standby"))?;
    Ok((cluster, Some(standby)))
}

/// A command and the addresses of the standby that it is to know.
struct Asked {
    words: Vec<OsString>,
    standby: Option<[(&'static str, String); 2]>,
}

fn addresses(standby: &Cluster) -> [(&'static str, String); 2] {
    [
        ("DENWRIGHT_TEST_READ_URL", standby.service_url()),
        ("DENWRIGHT_TEST_READ_ADMIN_URL", standby.admin_url()),
    ]
}

/// Runs the command, then stops the cluster whatever came of it.
async fn within(
    cluster: Cluster,
    signals: &mut Signals,
    command: Asked,
    is_temporary: bool,
) -> Result<u8, RunError> {
    let (cluster, code) = run_command(cluster, signals, command).await?;
    spawn_blocking(move || if is_temporary { cluster.stop_and_delete() } else { cluster.stop() })
        .await??;
    code
}

/// Runs the command to its end; the cluster comes back with its exit code.
async fn run_command(
    mut cluster: Cluster,
    signals: &mut Signals,
    command: Asked,
) -> Result<(Cluster, Result<u8, RunError>), RunError> {
    let mut words = command.words.into_iter();
    let program = words.next().unwrap_or_default();
    let (url, service_url) = (cluster.database_url(), cluster.service_url());
    let spawned = Command::new(&program)
        .args(words)
        .env("DATABASE_URL", &url)
        .env("DENWRIGHT_TEST_DATABASE_URL", &url)
        .env("DENWRIGHT_TEST_SERVICE_URL", &service_url)
        .envs(command.standby.into_iter().flatten())
        .spawn();
    let mut child = match spawned {
        Ok(child) => child,
        Err(source) => {
            eprintln!("cannot run {}: {source}", program.display());
            return Ok((cluster, Ok(COMMAND_NOT_FOUND)));
        }
    };
    let mut look = interval(LOOK_AFTER);
    look.set_missed_tick_behavior(MissedTickBehavior::Delay);
    loop {
        tokio::select! {
            ended = child.wait() => {
                return Ok((cluster, ended.map(exit_code).map_err(RunError::Signals)));
            }
            signal = signals.next() => pass_on(&child, signal),
            _ = look.tick() => cluster = looked_after(cluster).await?,
        }
    }
}

/// Starts the server again if it has died; the command sees only lost connections.
async fn looked_after(mut cluster: Cluster) -> Result<Cluster, RunError> {
    let (cluster, result) = spawn_blocking(move || {
        let result = cluster.ensure_running();
        (cluster, result)
    })
    .await?;
    if let Err(error) = result {
        eprintln!("{error}");
    }
    Ok(cluster)
}

/// Passes a signal on to the command.
fn pass_on(child: &Child, signal: Signal) {
    let signal = if signal == Signal::INT {
        // A terminal sends Ctrl-C to the command as well: once is enough.
        if io::stdin().is_terminal() {
            return;
        }
        // Shells start background jobs with interrupts ignored, so this one might not be heard.
        Signal::TERM
    } else {
        signal
    };
    if let Some(pid) = child.id().and_then(|id| Pid::from_raw(id.cast_signed())) {
        // The command may have ended just now.
        let _ = kill_process(pid, signal);
    }
}

/// The exit code as shells give it: 128 and the signal for a command that a signal ended.
fn exit_code(status: ExitStatus) -> u8 {
    let code = status.code().or_else(|| status.signal().map(|signal| 128 + signal));
    code.and_then(|code| u8::try_from(code).ok()).unwrap_or(1)
}

/// Where shared memory is a file system: nothing there waits for a disk.
const MEMORY: &str = "/dev/shm";

/// What a run's database may need: it is used where so much memory is free for files.
const ENOUGH_BYTES: u64 = 4 << 30;

/// Where temporary folders go: into memory, unless there is too little or `TMPDIR` names a place.
fn temporary_base() -> PathBuf {
    let free = |at: &str| rustix::fs::statvfs(at).map(|of| of.f_bavail * of.f_frsize);
    let roomy =
        env::var_os("TMPDIR").is_none() && free(MEMORY).is_ok_and(|free| free >= ENOUGH_BYTES);
    if roomy { PathBuf::from(MEMORY) } else { env::temp_dir() }
}

/// A new folder for one run that the database's user can pass through.
fn temporary_folder() -> Result<PathBuf, ClusterError> {
    let folder = temporary_base().join(format!("denwright-run-{}", folders::short_name()));
    DirBuilder::new()
        .mode(0o711)
        .create(&folder)
        .map_err(|source| ClusterError::io("make the temporary folder", &folder, source))?;
    Ok(folder)
}

/// The signals that end a service.
struct Signals {
    terminate: tokio::signal::unix::Signal,
    hang_up: tokio::signal::unix::Signal,
    interrupt: tokio::signal::unix::Signal,
}

impl Signals {
    fn listen() -> Result<Self, RunError> {
        let listen = |kind| signal(kind).map_err(RunError::Signals);
        Ok(Self {
            terminate: listen(SignalKind::terminate())?,
            hang_up: listen(SignalKind::hangup())?,
            interrupt: listen(SignalKind::interrupt())?,
        })
    }

    async fn next(&mut self) -> Signal {
        tokio::select! {
            _ = self.terminate.recv() => Signal::TERM,
            _ = self.hang_up.recv() => Signal::HUP,
            _ = self.interrupt.recv() => Signal::INT,
        }
    }
}

/// Why a command did not run, or its cluster did not stop.
#[derive(Debug, thiserror::Error)]
pub enum RunError {
    /// The cluster failed.
    #[error(transparent)]
    Cluster(#[from] ClusterError),
    /// The system's signals or the command's end cannot be heard.
    #[error("cannot listen for signals: {0}")]
    Signals(#[source] io::Error),
    /// A thread was broken off.
    #[error("the cluster's thread was broken off: {0}")]
    Thread(#[from] JoinError),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exit_codes_are_those_of_a_shell() {
        assert_eq!(exit_code(ExitStatus::from_raw(7 << 8)), 7);
        assert_eq!(exit_code(ExitStatus::from_raw(15)), 143);
    }
}
