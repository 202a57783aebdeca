//! The Postgres server process: start, wait until ready, stop, and clear away an orphan.

use std::fs::{self, File, OpenOptions};
use std::io::{Read, Seek, SeekFrom};
use std::os::unix::ffi::OsStrExt;
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use rustix::io::Errno;
use rustix::process::{Pid, Signal, kill_process, test_kill_process};

use super::ClusterError;
use super::binaries::Binaries;
use super::folders::{Folders, remove_socket_folder};
use super::owner::Owner;

/// How often the state of a process is looked at.
const GLANCE: Duration = Duration::from_millis(20);
/// Recovery after a crash may take minutes on a large database.
const START_PATIENCE: Duration = Duration::from_secs(300);
/// How long a start is tried again while the last postmaster's children still let go.
const STALE_LOCK_PATIENCE: Duration = Duration::from_secs(15);
/// How long a fast shutdown (which writes a checkpoint) may take.
const FAST_PATIENCE: Duration = Duration::from_secs(60);
/// How long an immediate shutdown may take.
const IMMEDIATE_PATIENCE: Duration = Duration::from_secs(10);
/// Above this size the log is put aside at a start.
const LOG_LIMIT_BYTES: u64 = 10 * 1024 * 1024;

/// Settings for a small machine that also runs the service.
const SETTINGS: [(&str, &str); 15] = [
    ("listen_addresses", ""),
    ("unix_socket_permissions", "0700"),
    ("port", "5432"),
    ("max_connections", "200"),
    ("shared_buffers", "128MB"),
    ("work_mem", "8MB"),
    ("maintenance_work_mem", "64MB"),
    ("random_page_cost", "1.1"),
    // Requests are many and short: neither compiling them nor sharing them out pays. Parallel
    // workers would also need /dev/shm, which containers keep tiny.
    ("jit", "off"),
    ("max_parallel_workers_per_gather", "0"),
    ("max_parallel_maintenance_workers", "0"),
    ("timezone", "UTC"),
    // The log tells what went wrong and where, never what people wrote: no details of rows, no
    // statements, no values of theirs.
    ("log_error_verbosity", "terse"),
    ("log_min_error_statement", "panic"),
    ("log_parameter_max_length_on_error", "0"),
];

/// What makes throw-away databases quick and crashes fatal to them.
const THROW_AWAY: [(&str, &str); 3] =
    [("fsync", "off"), ("synchronous_commit", "off"), ("full_page_writes", "off")];

/// What makes them quicker where nobody follows them.
const UNFOLLOWED: [(&str, &str); 2] = [("wal_level", "minimal"), ("max_wal_senders", "0")];

/// What a cluster is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Manner {
    /// Its data is kept, whatever crashes.
    Durable,
    /// For a run of tests.
    ThrowAway,
    /// The same with a standby, or as one.
    ThrowAwayPair,
}

impl Manner {
    /// Whether its data outlives a crash of the machine.
    pub(crate) fn is_durable(self) -> bool {
        self == Self::Durable
    }

    fn settings(self) -> impl Iterator<Item = (&'static str, &'static str)> {
        let quick = THROW_AWAY.iter().filter(move |_| !self.is_durable());
        let alone = UNFOLLOWED.iter().filter(move |_| self == Self::ThrowAway);
        SETTINGS.iter().chain(quick).chain(alone).copied()
    }
}

/// A running server that is a child of this process.
#[derive(Debug)]
pub(crate) struct Postmaster {
    child: Child,
}

impl Postmaster {
    /// Starts the server on the database of `folders` and waits until it takes connections.
    ///
    /// # Errors
    /// When it ends instead; the error holds what it said.
    pub fn start(
        binaries: &Binaries,
        folders: &Folders,
        owner: &Owner,
        manner: Manner,
    ) -> Result<Self, ClusterError> {
        let began = Instant::now();
        loop {
            let (log, from) = open_log(&folders.log())?;
            owner.give(&folders.log())?;
            let child = spawn(binaries, folders, owner, manner, &log)?;
            let mut postmaster = Self { child };
            if postmaster.becomes_ready(&folders.pgdata())? {
                return Ok(postmaster);
            }
            let said = read_log(&folders.log(), from);
            // Children of a postmaster that was killed hold its memory until they notice.
            let passing = said.contains("pre-existing shared memory block")
                || said.contains("is another postmaster")
                || said.contains("is another postgres");
            if !passing || began.elapsed() > STALE_LOCK_PATIENCE {
                return Err(ClusterError::DidNotStart { said });
            }
            end_left_children(&folders.pgdata());
            thread::sleep(Duration::from_millis(250));
        }
    }

    /// Waits until the server is ready (true) or has ended (false).
    fn becomes_ready(&mut self, pgdata: &Path) -> Result<bool, ClusterError> {
        let began = Instant::now();
        while began.elapsed() < START_PATIENCE {
            if !self.is_running() {
                return Ok(false);
            }
            let ready = PidFile::read(pgdata)
                .is_some_and(|file| file.is_ready && file.pid == self.child.id().cast_signed());
            if ready {
                return Ok(true);
            }
            thread::sleep(GLANCE);
        }
        self.stop()?;
        Err(ClusterError::NotReady { seconds: START_PATIENCE.as_secs() })
    }

    /// Whether the server process is still there.
    pub(crate) fn is_running(&mut self) -> bool {
        matches!(self.child.try_wait(), Ok(None))
    }

    /// Shuts the server down: open connections are ended, everything written is kept.
    ///
    /// # Errors
    /// When it does not end, not even when told to drop everything.
    pub fn stop(&mut self) -> Result<(), ClusterError> {
        let pid = self.child.id().cast_signed();
        end(pid, || self.is_running())
    }
}

/// Ends the server that outlived its service, or takes away a pid file that would mislead.
///
/// To be called only by the holder of the data folder's lock.
///
/// # Errors
/// When the orphan does not end.
pub(crate) fn clear_the_way(pgdata: &Path) -> Result<(), ClusterError> {
    let Some(file) = PidFile::read(pgdata) else { return Ok(()) };
    if is_postmaster_of(file.pid, pgdata) {
        tracing::warn!("stopping Postgres (process {}) that outlived its service", file.pid);
        end(file.pid, || is_postmaster_of(file.pid, pgdata))?;
    } else if exists(file.pid) {
        // The number went to another process (or to a zombie); Postgres would believe the file.
        let path = pgdata.join("postmaster.pid");
        fs::remove_file(&path)
            .map_err(|source| ClusterError::io("remove the stale file", &path, source))?;
    }
    if let Some(socket) = file.socket {
        remove_socket_folder(&socket);
    }
    Ok(())
}

/// Ends what a postmaster that was killed has left behind: a busy child may not notice for long.
///
/// Only where `/proc` tells which folder a process works in; elsewhere they end by themselves.
fn end_left_children(pgdata: &Path) {
    let Ok(processes) = Path::new("/proc").read_dir() else { return };
    for process in processes.flatten() {
        let works_there =
            fs::read_link(process.path().join("cwd")).is_ok_and(|folder| folder == pgdata);
        let title = fs::read(process.path().join("cmdline")).unwrap_or_default();
        let number = process.file_name().to_string_lossy().parse().ok();
        if works_there
            && title.starts_with(b"postgres: ")
            && let Some(pid) = number.and_then(Pid::from_raw)
        {
            // Its crash recovery is the next start's business. It may have ended just now.
            let _ = kill_process(pid, Signal::QUIT);
        }
    }
}

/// Asks a postmaster to end, first kindly, then with force, while `runs` says it has not.
fn end(pid: i32, mut runs: impl FnMut() -> bool) -> Result<(), ClusterError> {
    for (signal, patience) in [(Signal::INT, FAST_PATIENCE), (Signal::QUIT, IMMEDIATE_PATIENCE)] {
        if !runs() {
            return Ok(());
        }
        if let Some(pid) = Pid::from_raw(pid) {
            // It may have ended by itself just now; the loop below sees that.
            let _ = kill_process(pid, signal);
        }
        let began = Instant::now();
        while began.elapsed() < patience {
            if !runs() {
                return Ok(());
            }
            thread::sleep(GLANCE);
        }
    }
    Err(ClusterError::DoesNotStop { pid })
}

/// Starts the server process.
fn spawn(
    binaries: &Binaries,
    folders: &Folders,
    owner: &Owner,
    manner: Manner,
    log: &File,
) -> Result<Child, ClusterError> {
    let program = binaries.program("postgres");
    let error = |source| ClusterError::io("start", &program, source);
    let mut command = owner.command(&program);
    command.arg("-D").arg(folders.pgdata());
    for (name, value) in manner.settings() {
        command.arg("-c").arg(format!("{name}={value}"));
    }
    let socket = folders.socket().to_string_lossy();
    command.arg("-c").arg(format!("unix_socket_directories=\"{socket}\""));
    command
        .stdin(Stdio::null())
        .stdout(log.try_clone().map_err(error)?)
        .stderr(log.try_clone().map_err(error)?)
        // Ctrl-C in a terminal reaches the whole group: the service must go first.
        .process_group(0)
        .spawn()
        .map_err(error)
}

/// Opens the log for appending, and tells where this start's part begins.
fn open_log(path: &Path) -> Result<(File, u64), ClusterError> {
    let error = |source| ClusterError::io("open the log", path, source);
    let size = path.metadata().map_or(0, |metadata| metadata.len());
    if size > LOG_LIMIT_BYTES {
        fs::rename(path, path.with_extension("log.old")).map_err(error)?;
    }
    let file = OpenOptions::new().append(true).create(true).open(path).map_err(error)?;
    let from = file.metadata().map_err(error)?.len();
    Ok((file, from))
}

/// The log from `from` on, as far as it can be read.
fn read_log(path: &Path, from: u64) -> String {
    let mut said = Vec::new();
    if let Ok(mut file) = File::open(path)
        && file.seek(SeekFrom::Start(from)).is_ok()
    {
        let _ = file.take(LOG_LIMIT_BYTES).read_to_end(&mut said);
    }
    String::from_utf8_lossy(&said).trim().to_owned()
}

/// What a server writes about itself into `postmaster.pid`.
#[derive(Debug, PartialEq, Eq)]
struct PidFile {
    pid: i32,
    socket: Option<PathBuf>,
    is_ready: bool,
}

impl PidFile {
    fn read(pgdata: &Path) -> Option<Self> {
        Self::parse(&fs::read_to_string(pgdata.join("postmaster.pid")).ok()?)
    }

    /// Lines: pid, data folder, start time, port, socket folder, address, shared memory, status.
    fn parse(text: &str) -> Option<Self> {
        let lines: Vec<&str> = text.lines().collect();
        let pid: i32 = lines.first()?.trim().parse().ok()?;
        let socket = lines.get(4).filter(|line| !line.is_empty()).map(PathBuf::from);
        let is_ready = lines.get(7).is_some_and(|line| line.trim() == "ready");
        Some(Self { pid, socket, is_ready })
    }
}

/// The socket folder of the server that serves `pgdata` and takes connections, when one does.
pub(crate) fn socket_of_running(pgdata: &Path) -> Option<PathBuf> {
    let file = PidFile::read(pgdata)?;
    file.socket.filter(|_| file.is_ready && is_postmaster_of(file.pid, pgdata))
}

/// Whether there is a process of this number, whosever it is.
fn exists(pid: i32) -> bool {
    let Some(pid) = Pid::from_raw(pid) else { return false };
    !matches!(test_kill_process(pid), Err(Errno::SRCH))
}

/// Whether process `pid` is a Postgres server that serves `pgdata`.
fn is_postmaster_of(pid: i32, pgdata: &Path) -> bool {
    let process = PathBuf::from(format!("/proc/{pid}"));
    if let Ok(line) = fs::read(process.join("cmdline")) {
        // A zombie's line is empty. The working folder tells also when the data was moved since.
        let here = fs::read_link(process.join("cwd")).is_ok_and(|folder| folder == pgdata);
        return is_postgres_line(&line, pgdata, here);
    }
    if Path::new("/proc/self").exists() {
        return false;
    }
    let output =
        Command::new("ps").args(["-ww", "-o", "command=", "-p", &pid.to_string()]).output();
    output.is_ok_and(|output| {
        let line = String::from_utf8_lossy(&output.stdout);
        line.contains("postgres") && line.contains(&*pgdata.to_string_lossy())
    })
}

/// Whether a zero-parted command line is that of a server on `pgdata`.
fn is_postgres_line(line: &[u8], pgdata: &Path, works_there: bool) -> bool {
    let mut parts = line.split(|&byte| byte == 0);
    let program = parts.next().unwrap_or_default();
    let is_postgres = program.ends_with(b"/postgres") || program.ends_with(b"/postmaster");
    is_postgres && (works_there || parts.any(|part| part == pgdata.as_os_str().as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_the_pid_file_of_a_starting_and_a_ready_server() {
        let text = "4711\n/srv/pgdata\n1772323200\n5432\n/srv/socket\n\n  5432001  7\nstarting\n";
        let starting = PidFile::parse(text).unwrap();
        assert_eq!(starting.pid, 4711);
        assert_eq!(starting.socket.as_deref(), Some(Path::new("/srv/socket")));
        assert!(!starting.is_ready);
        let ready = PidFile::parse(&text.replace("starting", "ready   ")).unwrap();
        assert!(ready.is_ready);
        assert_eq!(PidFile::parse("nonsense\n"), None);
    }

    #[test]
    fn knows_a_server_by_its_command_line() {
        let pgdata = Path::new("/srv/kennel data/pgdata");
        let line = b"/usr/lib/postgresql/15/bin/postgres\0-D\0/srv/kennel data/pgdata\0-c\0x=1\0";
        assert!(is_postgres_line(line, pgdata, false));
        assert!(!is_postgres_line(line, Path::new("/srv/other"), false));
        assert!(is_postgres_line(line, Path::new("/srv/moved"), true));
        let editor = b"/usr/bin/vi\0/srv/kennel data/pgdata\0";
        assert!(!is_postgres_line(editor, pgdata, false));
        assert!(!is_postgres_line(b"", pgdata, true));
    }

    #[test]
    fn another_process_is_no_postmaster() {
        let own = std::process::id().cast_signed();
        assert!(exists(own));
        assert!(!is_postmaster_of(own, Path::new("/srv/pgdata")));
    }
}
