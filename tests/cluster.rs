//! The private Postgres through the real program: starts, crashes, odd folders, refusals.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test tells of a fault by a panic")]

#[path = "common/cluster.rs"]
mod shared_cluster;

use std::env;
use std::fs::{self, Permissions};
use std::io::{BufRead, BufReader};
use std::os::unix::fs::{MetadataExt, PermissionsExt};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Output, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use rustix::process::{Pid, Signal, kill_process};

/// A folder for one test, gone at its end, that the database's user can pass through.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = env::temp_dir().join(format!("denwright test {name} {}", std::process::id()));
        fs::create_dir_all(&path).unwrap();
        fs::set_permissions(&path, Permissions::from_mode(0o755)).unwrap();
        Self(path)
    }

    fn data(&self) -> PathBuf {
        self.0.join("data")
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// The program with a cluster and a command that ends when its input does.
struct Running {
    child: Child,
    url: String,
}

impl Running {
    fn start(data: &Path) -> Self {
        let mut child = spawn(data);
        let output = child.stdout.take().unwrap();
        let mut url = String::new();
        BufReader::new(output).read_line(&mut url).unwrap();
        let url = url.trim().to_owned();
        assert!(url.starts_with("postgres://"), "no address but {url:?}");
        Self { child, url }
    }

    fn signal(&self, signal: Signal) {
        send(self.child.id().cast_signed(), signal);
    }

    /// Ends the command by closing its input.
    fn finish(mut self) -> ExitStatus {
        drop(self.child.stdin.take());
        self.child.wait().unwrap()
    }

    fn statement(&self, sql: &str) -> Result<Vec<String>, tokio_postgres::Error> {
        statement(&self.url, sql)
    }
}

impl Drop for Running {
    /// Lets nothing of a failed test run on; after `finish` there is nothing left to end.
    fn drop(&mut self) {
        drop(self.child.stdin.take());
        let _ = self.child.wait();
    }
}

fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_denwright"));
    command.args(["cluster", "run"]);
    command
}

fn spawn(data: &Path) -> Child {
    let command = "echo \"$DATABASE_URL\"; exec cat >/dev/null";
    program()
        .arg("--data")
        .arg(data)
        .args(["--", "sh", "-c", command])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap()
}

/// Runs the program on `data` with a command that does nothing, to see it refuse.
fn refused(data: &Path, prepare: impl FnOnce(&mut Command)) -> String {
    let mut command = program();
    prepare(&mut command);
    let output: Output = command.arg("--data").arg(data).args(["--", "true"]).output().unwrap();
    assert_eq!(output.status.code(), Some(1), "{output:?}");
    String::from_utf8(output.stderr).unwrap()
}

/// The first column of what `sql` answers.
fn statement(url: &str, sql: &str) -> Result<Vec<String>, tokio_postgres::Error> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    runtime.block_on(async {
        let (client, connection) = tokio_postgres::connect(url, tokio_postgres::NoTls).await?;
        let connection = tokio::spawn(connection);
        let messages = client.simple_query(sql).await?;
        drop(client);
        let _ = connection.await;
        let rows = messages.iter().filter_map(|message| match message {
            tokio_postgres::SimpleQueryMessage::Row(row) => row.get(0).map(str::to_owned),
            _ => None,
        });
        Ok(rows.collect())
    })
}

fn send(pid: i32, signal: Signal) {
    kill_process(Pid::from_raw(pid).unwrap(), signal).unwrap();
}

fn pgdata(data: &Path) -> PathBuf {
    data.join("cluster/pgdata")
}

fn postmaster_pid(data: &Path) -> i32 {
    let text = fs::read_to_string(pgdata(data).join("postmaster.pid")).unwrap();
    text.lines().next().unwrap().parse().unwrap()
}

/// Whether the process runs; a zombie does not.
fn runs(pid: i32) -> bool {
    let state = if Path::new("/proc/self").exists() {
        let text = fs::read_to_string(format!("/proc/{pid}/stat")).unwrap_or_default();
        // The state follows the name, which is in brackets and may hold anything.
        text.rsplit_once(") ").map(|(_, rest)| rest.to_owned()).unwrap_or_default()
    } else {
        let output = Command::new("ps").args(["-o", "stat=", "-p", &pid.to_string()]).output();
        String::from_utf8_lossy(&output.unwrap().stdout).trim().to_owned()
    };
    !state.is_empty() && !state.starts_with('Z')
}

fn wait_until(what: &str, mut holds: impl FnMut() -> bool) {
    let began = Instant::now();
    while !holds() {
        assert!(began.elapsed() < Duration::from_secs(30), "waited in vain until {what}");
        thread::sleep(Duration::from_millis(50));
    }
}

const WRITE: &str = "CREATE TABLE dogs (name text); INSERT INTO dogs VALUES ('Juno')";
const READ: &str = "SELECT name FROM dogs";

#[test]
fn a_second_start_keeps_the_data_and_a_stop_leaves_no_server() {
    let folder = Folder::new("twice");
    let first = Running::start(&folder.data());
    first.statement(WRITE).unwrap();
    let server = postmaster_pid(&folder.data());
    assert!(runs(server));
    assert!(first.finish().success());
    assert!(!runs(server));
    assert!(!pgdata(&folder.data()).join("postmaster.pid").exists());

    let second = Running::start(&folder.data());
    assert_eq!(second.statement(READ).unwrap(), ["Juno"]);
}

#[test]
fn the_service_connects_without_superuser_rights_and_over_the_socket_alone() {
    let folder = Folder::new("rights");
    let running = Running::start(&folder.data());
    let superuser = "SELECT rolsuper FROM pg_roles WHERE rolname = current_user";
    assert_eq!(running.statement(superuser).unwrap(), ["f"]);
    assert_eq!(running.statement("SHOW listen_addresses").unwrap(), [""]);
    assert_eq!(running.statement("SHOW fsync").unwrap(), ["on"]);
    let mode = |path: &Path| path.metadata().unwrap().mode() & 0o777;
    assert_eq!(mode(&folder.data().join("cluster")), 0o700);
    assert_eq!(mode(&folder.data().join("cluster/socket")), 0o700);
    running.statement("CREATE DATABASE another").unwrap();
}

#[test]
fn paths_may_be_long() {
    let folder = Folder::new("long");
    let data = (0..6).fold(folder.0.clone(), |path, _| path.join("k".repeat(60)));
    let running = Running::start(&data);
    running.statement(WRITE).unwrap();
    let pid_file = fs::read_to_string(pgdata(&data).join("postmaster.pid")).unwrap();
    let socket = PathBuf::from(pid_file.lines().nth(4).unwrap());
    assert!(socket.is_dir() && !socket.starts_with(&data), "{}", socket.display());
    assert_eq!(socket.metadata().unwrap().mode() & 0o777, 0o700);
    assert!(running.finish().success());
    assert!(!socket.exists());
    assert_eq!(Running::start(&data).statement(READ).unwrap(), ["Juno"]);
}

#[test]
fn paths_may_hold_spaces_commas_quotes_and_letters_beyond_ascii() {
    let folder = Folder::new("odd");
    for name in ["with space", "a,b \"wuff\"", "it's Hütte 100%"] {
        let running = Running::start(&folder.0.join(name));
        assert_eq!(running.statement("SELECT 1").unwrap(), ["1"], "{name}");
        assert!(running.finish().success(), "{name}");
    }
}

#[test]
fn a_stale_pid_file_with_the_number_of_another_process_is_no_obstacle() {
    let folder = Folder::new("stale");
    let first = Running::start(&folder.data());
    first.statement(WRITE).unwrap();
    let pid_file = pgdata(&folder.data()).join("postmaster.pid");
    let text = fs::read_to_string(&pid_file).unwrap();
    assert!(first.finish().success());

    // A living process of the same user is what Postgres by itself would take for a server.
    let owner = pgdata(&folder.data()).metadata().unwrap();
    let mut other = Command::new("sleep");
    let mut other = other.arg("60").uid(owner.uid()).gid(owner.gid()).spawn().unwrap();
    let rest = text.split_once('\n').unwrap().1;
    fs::write(&pid_file, format!("{}\n{rest}", other.id())).unwrap();

    let second = Running::start(&folder.data());
    assert_eq!(second.statement(READ).unwrap(), ["Juno"]);
    assert!(other.try_wait().unwrap().is_none(), "the other process was left alone");
    other.kill().unwrap();
    other.wait().unwrap();
}

#[test]
fn a_start_after_the_service_was_killed_replaces_the_orphan() {
    let folder = Folder::new("orphan");
    let mut first = Running::start(&folder.data());
    first.statement(WRITE).unwrap();
    let orphan = postmaster_pid(&folder.data());
    first.signal(Signal::KILL);
    first.child.wait().unwrap();
    assert!(runs(orphan), "nobody was left to stop the server");

    let second = Running::start(&folder.data());
    assert_eq!(second.statement(READ).unwrap(), ["Juno"]);
    assert!(!runs(orphan));
    let server = postmaster_pid(&folder.data());
    assert!(second.finish().success());
    assert!(!runs(server));
}

#[test]
fn a_busy_child_of_a_server_that_was_killed_is_no_obstacle() {
    let folder = Folder::new("busy");
    let mut first = Running::start(&folder.data());
    first.statement(WRITE).unwrap();
    let url = first.url.clone();
    // A minute of work that never waits: such a child does not see that its server is gone.
    let loops = "DO $$ BEGIN FOR i IN 1..2000000000 LOOP END LOOP; END $$";
    let busy = thread::spawn(move || statement(&url, loops));
    let working = "SELECT pid::text FROM pg_stat_activity WHERE query LIKE 'DO %'";
    wait_until("it is at work", || !first.statement(working).unwrap().is_empty());
    let child: i32 = first.statement(working).unwrap().remove(0).parse().unwrap();
    let server = postmaster_pid(&folder.data());
    first.signal(Signal::KILL);
    first.child.wait().unwrap();
    send(server, Signal::KILL);
    wait_until("the server is gone", || !runs(server));
    assert!(runs(child), "the child goes on");

    let second = Running::start(&folder.data());
    assert_eq!(second.statement(READ).unwrap(), ["Juno"]);
    assert!(!runs(child));
    assert!(busy.join().unwrap().is_err());
}

#[test]
fn a_first_start_that_was_killed_leaves_nothing_half_made() {
    let folder = Folder::new("broken off");
    let cluster = folder.data().join("cluster");
    let half_made = || {
        let entries = cluster.read_dir().into_iter().flatten().flatten();
        entries
            .filter(|entry| entry.file_name().to_string_lossy().starts_with("pgdata.new"))
            .count()
    };
    let mut first = spawn(&folder.data());
    wait_until("the database is being made", || half_made() > 0);
    first.kill().unwrap();
    first.wait().unwrap();
    assert!(!pgdata(&folder.data()).exists());

    let second = Running::start(&folder.data());
    second.statement(WRITE).unwrap();
    assert!(second.finish().success());
    let third = Running::start(&folder.data());
    assert_eq!(third.statement(READ).unwrap(), ["Juno"]);
    assert_eq!(half_made(), 0);
}

#[test]
fn a_server_that_dies_is_started_again_at_the_same_address() {
    let folder = Folder::new("revived");
    let running = Running::start(&folder.data());
    running.statement(WRITE).unwrap();
    let server = postmaster_pid(&folder.data());
    send(server, Signal::KILL);
    wait_until("it answers again", || running.statement(READ).is_ok());
    assert_ne!(postmaster_pid(&folder.data()), server);
    assert_eq!(running.statement(READ).unwrap(), ["Juno"]);
}

#[test]
fn a_second_service_on_the_same_folder_is_refused_by_number() {
    let folder = Folder::new("two");
    let running = Running::start(&folder.data());
    let message = refused(&folder.data(), |_| {});
    let holder = format!("in use by process {}", running.child.id());
    assert!(message.contains(&holder), "{message}");
    assert_eq!(running.statement("SELECT 1").unwrap(), ["1"], "the first goes on");
}

#[test]
fn sigterm_and_sigint_end_command_and_server() {
    let folder = Folder::new("signals");
    for signal in [Signal::TERM, Signal::INT] {
        let mut running = Running::start(&folder.data());
        let server = postmaster_pid(&folder.data());
        // Held open, so that the signal alone can end the command.
        let input = running.child.stdin.take();
        running.signal(signal);
        let status = running.child.wait().unwrap();
        drop(input);
        assert_eq!(status.code(), Some(143), "{signal:?}");
        assert!(!runs(server));
    }
}

#[test]
fn the_exit_code_is_the_commands_and_a_temporary_cluster_leaves_nothing() {
    let folder = Folder::new("temporary");
    let output = program()
        .args(["--", "sh", "-c", "echo \"$DENWRIGHT_TEST_DATABASE_URL\"; ls \"$TMPDIR\"; exit 7"])
        .env("TMPDIR", &folder.0)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(7));
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(said.starts_with("postgres://") && said.contains("denwright-run-"), "{said}");
    assert_eq!(folder.0.read_dir().unwrap().count(), 0);

    let missing = program().args(["--", "/no/such/command"]).output().unwrap();
    assert_eq!(missing.status.code(), Some(127));
}

#[test]
fn a_standby_follows_reads_alone_and_ends_with_the_command() {
    let folder = Folder::new("standby");
    let told =
        "echo \"$DATABASE_URL\"; echo \"$DENWRIGHT_TEST_READ_ADMIN_URL\"; exec cat >/dev/null";
    for kept in [false, true, true] {
        let mut command = Command::new(env!("CARGO_BIN_EXE_denwright"));
        command.args(["cluster", "run", "--standby"]).env("TMPDIR", &folder.0);
        if kept {
            command.arg("--data").arg(folder.data());
        }
        command.args(["--", "sh", "-c", told]).stdin(Stdio::piped()).stdout(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let urls: Vec<String> = lines.take(2).map(Result::unwrap).collect();
        let running = Running { child, url: urls[0].clone() };
        running.statement(&format!("DROP TABLE IF EXISTS dogs; {WRITE}")).unwrap();
        let copy = urls[1].replace("/postgres", "/denwright");
        let copied = || statement(&copy, READ).is_ok_and(|dogs| dogs == ["Juno"]);
        wait_until("the standby has it", copied);
        let refused = statement(&copy, "INSERT INTO dogs VALUES ('Rex')").unwrap_err();
        let why = refused.as_db_error().map(|error| error.message().to_owned());
        assert!(why.is_some_and(|why| why.contains("read-only")), "{refused}");
        let servers: Vec<i32> = match kept {
            true => {
                [folder.data(), folder.data().join("standby")].map(|of| postmaster_pid(&of)).into()
            }
            false => Vec::new(),
        };
        assert!(running.finish().success());
        assert!(servers.iter().all(|server| !runs(*server)));
    }
    let left: Vec<_> = folder.0.read_dir().unwrap().flatten().map(|of| of.file_name()).collect();
    assert_eq!(left, [folder.data().file_name().unwrap()], "the temporary ones leave nothing");
}

#[test]
fn data_of_another_version_is_refused_with_what_to_install() {
    let folder = Folder::new("version");
    assert!(Running::start(&folder.data()).finish().success());
    fs::write(pgdata(&folder.data()).join("PG_VERSION"), "99\n").unwrap();
    let message = refused(&folder.data(), |_| {});
    assert!(message.contains("apt-get install postgresql-99"), "{message}");
}

#[test]
fn too_old_and_missing_programs_are_refused() {
    let folder = Folder::new("programs");
    let old = folder.0.join("bin");
    fs::create_dir(&old).unwrap();
    for name in ["initdb", "postgres"] {
        fs::write(old.join(name), "#!/bin/sh\necho 'postgres (PostgreSQL) 12.22'\n").unwrap();
        fs::set_permissions(old.join(name), Permissions::from_mode(0o755)).unwrap();
    }
    let too_old = refused(&folder.data(), |command| {
        command.env("PG_BINDIR", &old);
    });
    assert!(too_old.contains("too old") && too_old.contains("13 or newer"), "{too_old}");
    let missing = refused(&folder.data(), |command| {
        command.env("PG_BINDIR", "/no/such/folder");
    });
    assert!(missing.contains("apt-get install postgresql"), "{missing}");
}

/// Only root runs the database as another user; for others there is nothing to see here.
#[test]
fn root_keeps_the_data_elsewhere_when_the_folder_is_closed_to_others() {
    if !rustix::process::geteuid().is_root() {
        return;
    }
    let folder = Folder::new("closed");
    fs::set_permissions(&folder.0, Permissions::from_mode(0o700)).unwrap();
    let running = Running::start(&folder.data());
    running.statement(WRITE).unwrap();
    let elsewhere = fs::read_link(folder.data().join("cluster")).unwrap();
    assert!(!elsewhere.starts_with(&folder.0), "{}", elsewhere.display());
    assert!(running.finish().success());
    assert_eq!(Running::start(&folder.data()).statement(READ).unwrap(), ["Juno"]);

    fs::remove_dir_all(&elsewhere).unwrap();
    let message = refused(&folder.data(), |_| {});
    assert!(message.contains("which is gone"), "{message}");
}

#[test]
fn the_tests_own_server_makes_databases() {
    let url = shared_cluster::admin_url();
    let name = format!("made_{}", std::process::id());
    statement(url, &format!("CREATE DATABASE {name}")).unwrap();
    statement(url, &format!("DROP DATABASE {name}")).unwrap();
}
