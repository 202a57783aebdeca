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
    let mut child = Command::new(env!("CARGO_BIN_EXE_denwright"))
        .args([
            "cluster",
            "run",
            "--",
            "sh",
            "-c",
            "printf '%s\\n' \"$DATABASE_URL\" \"$DENWRIGHT_TEST_SERVICE_URL\"; exec cat >/dev/null",
        ])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let output = child.stdout.take().expect("its output is a pipe");
    let mut lines = BufReader::new(output).lines().map_while(Result::ok);
    let (url, service_url) = (lines.next(), lines.next());
    let url = url.expect("no Postgres for the tests: see the message above");
    TestCluster { url, service_url, _held: Some(child) }
}
