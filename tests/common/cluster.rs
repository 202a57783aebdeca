//! The Postgres that the tests make their databases on.

#![allow(clippy::expect_used, reason = "a test tells of a fault by a panic")]
#![allow(dead_code, reason = "no test program uses all of it")]

use std::env;
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;

/// A server for this test process, and what keeps it running.
struct TestCluster {
    url: String,
    service_url: Option<String>,
    /// Its standard input is a pipe from this process. Whatever way this process ends, the pipe
    /// closes, `cat` ends, and the program stops its server and deletes the data.
    _held: Option<Child>,
}

/// The address of a database whose role may make databases and roles (no superuser).
///
/// `scripts/test` starts one server for the whole run and gives its address in
/// `DENWRIGHT_TEST_DATABASE_URL`; without that, each test process starts its own, once.
pub fn admin_url() -> &'static str {
    &cluster().url
}

/// The address as the role that the service works as, `None` where only the other one is given, in
/// `DENWRIGHT_TEST_DATABASE_URL` without `DENWRIGHT_TEST_SERVICE_URL`.
pub fn service_url() -> Option<&'static str> {
    cluster().service_url.as_deref()
}

/// A server of its own with a hot standby that follows it, for this test process.
pub struct Pair {
    /// The address of the first, whose role may make databases.
    pub primary: String,
    /// The address of the standby, as that role.
    pub standby: String,
    /// The standby's address as superuser, who may hold it back.
    pub standby_admin: String,
    _held: Child,
}

/// The pair, started once.
pub fn pair() -> &'static Pair {
    static PAIR: OnceLock<Pair> = OnceLock::new();
    PAIR.get_or_init(|| {
        let told = "printf '%s\\n' \"$DATABASE_URL\" \"$DENWRIGHT_TEST_READ_ADMIN_URL\"; exec cat >/dev/null";
        let (held, lines) = start_telling(&["--standby"], told);
        let [primary, standby_admin] = lines.try_into().expect("two addresses");
        let standby = standby_admin.replace("//postgres@", "//denwright@");
        Pair { primary, standby, standby_admin, _held: held }
    })
}

/// Runs the program's cluster around a shell that tells its addresses and stays until this process ends.
fn start_telling(flags: &[&str], told: &str) -> (Child, Vec<String>) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_denwright"))
        .args(["cluster", "run"])
        .args(flags)
        .args(["--", "sh", "-c", told])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let output = child.stdout.take().expect("its output is a pipe");
    let lines = BufReader::new(output).lines().map_while(Result::ok).take(2).collect();
    (child, lines)
}

fn cluster() -> &'static TestCluster {
    static CLUSTER: OnceLock<TestCluster> = OnceLock::new();
    CLUSTER.get_or_init(find_or_start)
}

fn find_or_start() -> TestCluster {
    let given = env::var("DENWRIGHT_TEST_DATABASE_URL").unwrap_or_default();
    if given.is_empty() {
        return start();
    }
    let service_url = env::var("DENWRIGHT_TEST_SERVICE_URL").ok().filter(|url| !url.is_empty());
    TestCluster { url: given, service_url, _held: None }
}

fn start() -> TestCluster {
    let told =
        "printf '%s\\n' \"$DATABASE_URL\" \"$DENWRIGHT_TEST_SERVICE_URL\"; exec cat >/dev/null";
    let (held, lines) = start_telling(&[], told);
    let mut lines = lines.into_iter();
    let (url, service_url) = (lines.next(), lines.next());
    let url = url.expect("no Postgres for the tests: see the message above");
    TestCluster { url, service_url, _held: Some(held) }
}
