//! The Postgres that the tests make their databases on.

#![allow(clippy::expect_used, reason = "a test tells of a fault by a panic")]

use std::env;
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;

/// A server for this test process, and what keeps it running.
struct TestCluster {
    url: String,
    /// Its standard input is a pipe from this process. Whatever way this process ends, the pipe
    /// closes, `cat` ends, and the program stops its server and deletes the data.
    _held: Option<Child>,
}

/// The address of a database whose role may make databases and roles (no superuser).
///
/// `scripts/test` starts one server for the whole run and gives its address in
/// `DENWRIGHT_TEST_DATABASE_URL`; without that, each test process starts its own, once.
pub fn admin_url() -> &'static str {
    static CLUSTER: OnceLock<TestCluster> = OnceLock::new();
    &CLUSTER.get_or_init(find_or_start).url
}

fn find_or_start() -> TestCluster {
    let given = env::var("DENWRIGHT_TEST_DATABASE_URL").unwrap_or_default();
    if given.is_empty() { start() } else { TestCluster { url: given, _held: None } }
}

fn start() -> TestCluster {
    let mut child = Command::new(env!("CARGO_BIN_EXE_denwright"))
        .args(["cluster", "run", "--", "sh", "-c", "echo \"$DATABASE_URL\"; exec cat >/dev/null"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut url = String::new();
    let output = child.stdout.take().expect("its output is a pipe");
    BufReader::new(output).read_line(&mut url).expect("its output can be read");
    let url = url.trim().to_owned();
    assert!(!url.is_empty(), "no Postgres for the tests: see the message above");
    TestCluster { url, _held: Some(child) }
}
