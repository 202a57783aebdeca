//! What each part of the program may not name, and the program held against it.

use std::sync::LazyLock;

use crate::catalogue::Sayings;
use crate::files::{Program, Texts, texts};
use crate::names::LAYERS;
use crate::published::published;
use crate::reading::{Literal, Mention, Reading};
use crate::sums::{self, Sum};
use crate::turns;

/// The program's own texts.
pub static TEXTS: LazyLock<Texts> = LazyLock::new(|| texts("src", &["rs"]));

/// What its code names and does, read once for all tests.
pub static OURS: LazyLock<Ours> = LazyLock::new(|| {
    let program = Program::of(&TEXTS);
    Ours {
        modules: program.modules.len(),
        reading: Reading::of(&program),
        sums: sums(&program),
        out_of_turn: turns::out_of_turn(&program),
        published: published(&program),
        sayings: Sayings::of(&program),
        astray: program.astray,
    }
});

/// The program itself.
pub struct Ours {
    pub modules: usize,
    pub reading: Reading,
    pub sums: Vec<String>,
    pub out_of_turn: Vec<String>,
    pub published: Vec<(String, String)>,
    pub sayings: Sayings,
    pub astray: Vec<String>,
}

/// Whether something tells the time of the day.
fn is_clock(mention: &Mention) -> bool {
    let methods = [".now_utc", ".now_local"];
    let readings =
        ["Utc::now", "Utc::today", "$::now", "get_current_timestamp", "clock_gettime", "now_utc"];
    mention.has("SystemTime")
        || mention.is_of("chrono") && mention.has("Local")
        || methods.contains(&&*mention.name)
        || readings.iter().any(|reading| mention.has(reading))
}

/// Where a clock is read: a request has one now, made at the edge.
pub fn clocks(reading: &Reading) -> Vec<String> {
    reading.mentions.iter().filter(|m| is_clock(m)).map(Mention::told).collect()
}

/// Ways onto another thread.
pub fn threads(reading: &Reading) -> Vec<String> {
    let methods = [".spawn_blocking", ".block_on", ".spawn_broadcast"];
    let ways = [
        "spawn_blocking",
        "block_in_place",
        "web::block",
        "thread::spawn",
        "thread::Builder",
        "thread::scope",
        "rayon::spawn",
        "rayon::ThreadPoolBuilder",
        "Handle::block_on",
        "Runtime::block_on",
    ];
    let is_way = |m: &&Mention| {
        methods.contains(&&*m.name) || ways.iter().any(|way| m.has(way)) || m.has("thread::*")
    };
    reading.mentions.iter().filter(is_way).map(Mention::told).collect()
}

/// Crates that speak to a database.
const DATABASES: [&str; 7] = [
    "diesel",
    "diesel_async",
    "diesel_migrations",
    "tokio_postgres",
    "postgres_protocol",
    "deadpool",
    "pq_sys",
];

/// How a statement begins and what follows in it.
const STATEMENTS: [(&str, &str); 9] = [
    ("SELECT ", ""),
    ("INSERT ", "INTO "),
    ("UPDATE ", "SET "),
    ("DELETE ", "FROM "),
    ("WITH ", "AS ("),
    ("CREATE ", ""),
    ("ALTER ", ""),
    ("DROP ", ""),
    ("GRANT ", ""),
];

fn is_statement(literal: &Literal) -> bool {
    let text = literal.text.trim_start();
    let begins = |(begin, then): &(&str, &str)| text.starts_with(begin) && text.contains(then);
    STATEMENTS.iter().any(begins)
}

/// Whether a file is of the crates that know SQL.
fn is_of_sql(path: &str) -> bool {
    path.starts_with("src/store/") || path.starts_with("src/postgres/")
}

/// SQL outside the store and what it speaks with: its crates, its macros, its text.
pub fn sql(reading: &Reading) -> Vec<String> {
    let named = reading.mentions.iter().filter(|m| {
        !is_of_sql(&m.path)
            && (DATABASES.iter().any(|library| m.has(library)) || m.has("sql_query"))
    });
    let said = reading
        .literals
        .iter()
        .filter(|literal| !is_of_sql(&literal.path) && is_statement(literal));
    let said = said.map(|literal| format!("{}:{}: a statement", literal.path, literal.line));
    named.map(Mention::told).chain(said).collect()
}

/// What belongs to the world outside, by the name of its module or library.
const OUTSIDE: [&str; 13] = [
    "std::fs",
    "std::env",
    "std::net",
    "std::process",
    "std::os",
    "std::io::stdin",
    "std::io::stdout",
    "std::io::stderr",
    "std::*",
    "tokio",
    "reqwest",
    "actix_web",
    "rand",
];

/// What prints.
const PRINTING: [&str; 5] = ["print!", "println!", "eprint!", "eprintln!", "dbg!"];

/// What the domain names beyond plain values: the world, its clocks and accidents, other layers.
pub fn impurities(reading: &Reading) -> Vec<String> {
    let accidents = ["SystemTime", "Instant", "now_v7", "new_v4"];
    // A name by itself is a value's; a library is named to reach into it.
    let reaches = |m: &Mention, library: &str| m.is_of(library) && m.name.contains("::");
    let is_impure = |m: &&Mention| {
        OUTSIDE.iter().any(|library| reaches(m, library))
            || LAYERS.iter().any(|layer| *layer != "domain" && reaches(m, layer))
            || reaches(m, "tracing")
            || DATABASES.iter().any(|library| m.has(library))
            || accidents.iter().any(|word| m.has(word))
            || PRINTING.iter().any(|called| m.has(called))
            || m.name == "async"
            || is_clock(m)
    };
    let domain = reading.mentions.iter().filter(|m| m.is_in("src/domain"));
    domain.filter(is_impure).map(Mention::told).collect()
}

/// Libraries and words of HTTP.
const HTTP: [&str; 9] = [
    "actix_web",
    "actix_cors",
    "actix_http",
    "utoipa",
    "reqwest",
    "http",
    "hyper",
    "HttpResponse",
    "StatusCode",
];

/// HTTP in the store.
pub fn http(reading: &Reading) -> Vec<String> {
    let store = reading.mentions.iter().filter(|m| is_of_sql(&m.path));
    store.filter(|m| HTTP.iter().any(|word| m.has(word))).map(Mention::told).collect()
}

/// Arithmetic in handlers.
pub fn sums(program: &Program) -> Vec<String> {
    let told = |sum: Sum| format!("{}: {}, line {}", sum.path, sum.function, sum.line);
    sums::in_handlers(program).into_iter().map(told).collect()
}

/// What a problem or a fault says is for the client alone: where it is logged nevertheless.
pub fn leaks(reading: &Reading) -> Vec<String> {
    let words = ["detail", "fault", "faults", "body", "value", "email", "message"];
    let told = reading.logged.iter().flat_map(|logged| {
        let found = logged.words.iter().filter(|word| words.contains(&&***word));
        found.map(move |word| format!("{}:{}: {word}", logged.path, logged.line))
    });
    told.collect()
}

/// What is known to pass a wall, by the begin of its place, and why it may. One that nothing needs any more
/// must go.
fn hold(what: &str, found: &[String], known: &[(&str, &str)]) {
    let passes = |place: &&String| known.iter().any(|(begin, _)| place.starts_with(begin));
    let others: Vec<_> = found.iter().filter(|place| !passes(place)).collect();
    assert!(others.is_empty(), "{what}: {others:#?}");
    let is_used = |begin: &str| found.iter().any(|place| place.starts_with(begin));
    let idle: Vec<_> = known.iter().filter(|(begin, _)| !is_used(begin)).collect();
    assert!(idle.is_empty(), "{what} knows of what is not there: {idle:#?}");
}

/// Two answers of one request cannot fall on two days.
#[test]
fn only_the_edge_reads_a_clock() {
    let known = [
        ("src/api/clock.rs:", "the edge's clock itself"),
        ("src/main.rs:", "the demo is told the day that it is loaded on"),
        ("src/outgoing/mail.rs:", "how old the files of mails are"),
        ("src/outgoing/rings/push.rs:", "a signature ends by the clock of its push service"),
        ("src/outgoing/webhooks.rs:", "a delivery says when it was sent"),
        ("src/security/credentials.rs:", "a token must not come from the future"),
        ("src/service/background.rs:", "clears away what is old"),
        ("src/service/server.rs:", "the demo is told the day that it is loaded on"),
    ];
    let found = clocks(&OURS.reading);
    hold("a request has one now", &found, &known);
    assert_eq!(found.iter().filter(|place| place.starts_with("src/api/")).count(), 1);
}

/// Slow work goes beside the threads that answer by one way, which ends it when nobody waits.
#[test]
fn slow_work_has_one_way_out() {
    let known = [
        ("src/cluster/run.rs:", "belongs to no request"),
        (
            "src/domain/inbreeding/by_sire.rs:",
            "one sum by all processors, within a turn of the room",
        ),
        ("src/outgoing/mail.rs:", "reads and writes files, belongs to no request"),
        ("src/service/database.rs:", "starts and stops the private Postgres"),
        ("src/store/archive/import.rs:", "reads a file"),
        ("src/store/aside.rs:", "the one way itself"),
        ("src/store/migrate.rs:", "belongs to no request"),
    ];
    hold("go through api::work or store::aside", &threads(&OURS.reading), &known);
}

#[test]
fn only_the_store_knows_sql() {
    let known = [
        ("src/cluster/initdb.rs:", "makes the role and the database that the store then finds"),
        ("src/service/backup.rs:", "asks whether a database is empty before there is a store"),
    ];
    hold("SQL is the store's", &sql(&OURS.reading), &known);
}

#[test]
fn the_domain_computes_and_nothing_else() {
    hold("the domain is pure", &impurities(&OURS.reading), &[]);
}

#[test]
fn the_store_knows_no_http() {
    hold("HTTP is the api's", &http(&OURS.reading), &[]);
}

#[test]
fn details_are_not_logged() {
    hold("it is for the client alone", &leaks(&OURS.reading), &[]);
    assert!(OURS.reading.logged.len() > 30, "{} lines for the log", OURS.reading.logged.len());
}

#[test]
fn handlers_do_no_arithmetic() {
    const ONE_MORE: &str = "one row more than the page tells whether there are more";
    let known = [
        ("src/api/batches.rs: tell", "counts the faults that are told"),
        ("src/api/changes.rs: list_changes", ONE_MORE),
        ("src/api/lib.rs: end_of", "when a secret ends, by the edge's clock"),
        ("src/api/limits.rs: begin", "the part of the tries that a reset has"),
        ("src/api/limits.rs: client_address", "a place in a list"),
        ("src/api/live.rs: next", "counts heartbeats until a stream looks by itself"),
        ("src/api/query.rs: cut", "a place in a list"),
        ("src/api/query.rs: into_params", "how many of the names are a list's own"),
        ("src/api/table.rs:", "how deep a field lies within others"),
        ("src/api/webhooks.rs: list_deliveries", ONE_MORE),
        ("src/api/work.rs:", "seats in the room for work"),
    ];
    hold("sums are the domain's", &OURS.sums, &known);
}

#[test]
fn whoever_changes_something_takes_a_turn() {
    const OWN: &str =
        "a person's own, which no other writer of the kennel locks and the log does not hold";
    let known = [
        (
            "src/api/buyer_reports.rs: delete_shared_report",
            "enters by a secret, and takes the lock in the store",
        ),
        ("src/api/rings.rs: delete_ring_device", OWN),
        ("src/api/rings.rs: set_rings", OWN),
        ("src/api/uploads.rs: append_upload", "asks first; each part takes the lock in the store"),
    ];
    hold("a change takes a turn by Db::writing", &OURS.out_of_turn, &known);
}
