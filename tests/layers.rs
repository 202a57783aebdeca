//! The walls of the program: which part may use what, and where things stand.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test tells of a fault by a panic")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use domain::rules::Rules;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A file of the program and what is in it.
struct Source {
    /// Path from the top, such as `src/api/dogs.rs`.
    path: String,
    text: String,
}

impl Source {
    /// Whether it holds tests and nothing else.
    fn is_test(&self) -> bool {
        self.path.contains("/tests/")
            || self.path.ends_with("tests.rs")
            || Path::new(&self.path).ancestors().any(declared_for_tests)
    }

    /// Its lines with their numbers, without comments and the tests at its foot.
    fn code(&self) -> impl Iterator<Item = (usize, &str)> {
        let foot = self.text.find("#[cfg(test)]\nmod tests {").unwrap_or(self.text.len());
        let numbered = self.text[..foot].lines().enumerate().map(|(index, line)| (index + 1, line));
        numbered.map(|(number, line)| {
            // A `//` within a text, such as an address, is no comment.
            let comment = line.find("//").filter(|at| !line[..*at].contains('"'));
            (number, &line[..comment.unwrap_or(line.len())])
        })
    }
}

/// All files with one of these endings below a folder.
fn sources(folder: &str, endings: &[&str]) -> Vec<Source> {
    let mut files = Vec::new();
    walk(&root().join(folder), &mut files);
    files.sort();
    let wanted = files
        .into_iter()
        .filter(|path| path.extension().is_some_and(|e| endings.iter().any(|ending| e == *ending)));
    let found: Vec<Source> = wanted
        .map(|path| Source {
            path: path.strip_prefix(root()).unwrap().to_string_lossy().into_owned(),
            text: fs::read_to_string(&path).unwrap(),
        })
        .collect();
    assert!(!found.is_empty(), "no {endings:?} below {folder}");
    found
}

fn walk(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            walk(&path, files);
        } else {
            files.push(path);
        }
    }
}

/// The places below `folder` whose code has one of `words` as a whole word.
fn uses(folder: &str, words: &[&str]) -> Vec<String> {
    let mut places = Vec::new();
    for source in sources(folder, &["rs"]).iter().filter(|source| !source.is_test()) {
        for (number, line) in source.code() {
            for word in words.iter().filter(|word| has_word(line, word)) {
                places.push(format!("{}:{number}: {word}", source.path));
            }
        }
    }
    places
}

fn has_word(line: &str, word: &str) -> bool {
    let is_name = |letter: char| letter.is_alphanumeric() || letter == '_';
    line.match_indices(word).any(|(at, _)| {
        !line[..at].ends_with(is_name) && !line[at + word.len()..].starts_with(is_name)
    })
}

/// Whether the folder's own file takes a module in for tests alone.
fn declared_for_tests(module: &Path) -> bool {
    let (Some(folder), Some(name)) = (module.parent(), module.file_stem()) else { return false };
    let name = name.to_string_lossy();
    let lines = ["mod", "pub(crate) mod"].map(|kind| format!("#[cfg(test)]\n{kind} {name};"));
    ["lib.rs", "mod.rs"].iter().any(|file| {
        let text = fs::read_to_string(root().join(folder).join(file)).unwrap_or_default();
        lines.iter().any(|line| text.contains(line))
    })
}

#[test]
fn modules_for_tests_are_known() {
    assert!(declared_for_tests(Path::new("src/domain/agreement")));
    assert!(declared_for_tests(Path::new("src/domain/alarms/healthy.rs")));
    assert!(!declared_for_tests(Path::new("src/domain/alarms/growth.rs")));
    assert!(!declared_for_tests(Path::new("src/domain/alarms")));
}

#[test]
fn words_are_found_whole() {
    assert!(has_word("use tokio::time;", "tokio"));
    assert!(has_word("    let now = Utc::now();", "Utc::now"));
    assert!(!has_word("use tokio_postgres::NoTls;", "tokio"));
    assert!(!has_word("struct CurrencyFile {", "File"));
}

/// Ways onto another thread.
const SLOW: [&str; 5] =
    ["spawn_blocking", "block_in_place", "web::block", "thread::spawn", "thread::Builder"];

/// Slow work goes beside the threads that answer by one way, which ends it when nobody waits: what is
/// named here reads files, or belongs to no request.
#[test]
fn slow_work_has_one_way_out() {
    let known = [
        "src/cluster/run.rs",
        "src/outgoing/mail.rs",
        "src/service/database.rs",
        "src/store/archive/import.rs",
        "src/store/aside.rs",
        "src/store/migrate.rs",
    ];
    let places = uses("src", &SLOW);
    let others: Vec<_> =
        places.iter().filter(|place| !known.iter().any(|file| place.starts_with(file))).collect();
    assert!(others.is_empty(), "go through api::work or store::aside: {others:?}");
    assert!(places.len() >= known.len(), "{places:?}");
}

/// What a problem or a fault says is for the client alone.
#[test]
fn details_are_not_logged() {
    for source in sources("src", &["rs"]).iter().filter(|source| !source.is_test()) {
        for (number, line) in source.code().filter(|(_, line)| line.contains("tracing::")) {
            for word in ["detail", "fault", "faults", "body", "value", "email", "message"] {
                let place = format!("{}:{number}: {word}", source.path);
                assert!(!has_word(line, word) || line.contains('"'), "{place}");
                assert!(!line.contains(&format!("%{word}")), "{place}");
                assert!(!line.contains(&format!("?{word}")), "{place}");
            }
        }
    }
}

#[test]
fn the_domain_computes_and_nothing_else() {
    let worlds =
        ["actix_web", "actix_cors", "diesel", "diesel_async", "tokio", "tokio_postgres", "reqwest"];
    let clocks = ["Utc::now", "Local::now", "Local", "SystemTime", "Instant", "now_v7", "new_v4"];
    let outside = [
        "std::fs",
        "std::env",
        "std::net",
        "std::process",
        "File::open",
        "env::var",
        "async fn",
        "println",
        "eprintln",
        "tracing",
    ];
    for words in [worlds.as_slice(), &clocks, &outside] {
        assert_eq!(uses("src/domain", words), [""; 0], "the domain is pure");
    }
}

#[test]
fn the_store_knows_no_http() {
    let words = ["actix_web", "utoipa", "HttpResponse", "StatusCode"];
    assert_eq!(uses("src/store", &words), [""; 0]);
}

#[test]
fn the_api_knows_no_sql() {
    let words = ["diesel", "diesel_async", "tokio_postgres", "sql_query"];
    assert_eq!(uses("src/api", &words), [""; 0]);
}

/// A request has one now, made at the edge: two answers of one request cannot fall on two days.
#[test]
fn only_the_edge_reads_a_clock() {
    let clocks = ["Utc::now", "Local::now", "SystemTime"];
    for folder in ["src/store", "src/documents"] {
        assert_eq!(uses(folder, &clocks), [""; 0]);
    }
    let edge = uses("src/api", &clocks);
    assert!(edge.iter().all(|place| place.starts_with("src/api/clock.rs:")), "{edge:?}");
    assert_eq!(edge.len(), 1);
}

/// What each layer may be built on; the compiler refuses whatever its manifest does not name.
#[test]
fn layers_depend_one_way() {
    let layers: [(&str, &[&str]); 9] = [
        ("domain", &[]),
        ("documents", &["domain"]),
        ("security", &[]),
        ("metrics", &[]),
        ("cluster", &[]),
        ("store", &["domain", "security"]),
        ("outgoing", &["metrics", "store"]),
        ("api", &["documents", "domain", "metrics", "outgoing", "security", "store"]),
        ("demo", &["domain", "security", "store"]),
    ];
    let worlds =
        ["actix-web", "diesel", "diesel-async", "reqwest", "tokio", "tokio-postgres", "lettre"];
    for (layer, below) in layers {
        let manifest = root().join("src").join(layer).join("Cargo.toml");
        let manifest = fs::read_to_string(&manifest).unwrap();
        let dependencies = manifest.split("[dependencies]").nth(1).unwrap();
        let dependencies = dependencies.split("\n[").next().unwrap();
        let named: BTreeSet<&str> = dependencies
            .lines()
            .filter_map(|line| line.split_once('.'))
            .map(|(name, _)| name)
            .collect();
        let ours: BTreeSet<&str> =
            layers.iter().map(|(name, _)| *name).filter(|name| named.contains(name)).collect();
        assert_eq!(ours, below.iter().copied().collect(), "{layer}");
        if ["domain", "documents", "security"].contains(&layer) {
            let outside: Vec<_> = worlds.iter().filter(|world| named.contains(*world)).collect();
            assert!(outside.is_empty(), "{layer} uses {outside:?}");
        }
    }
}

#[test]
fn files_stay_readable() {
    for source in sources("src", &["rs"]) {
        let lines = source.text.lines().count();
        assert!(lines <= 800, "{} has {lines} lines; part it", source.path);
        let name = source.path.rsplit('/').next().unwrap();
        assert!(
            !["utils.rs", "util.rs", "helpers.rs", "misc.rs"].contains(&name),
            "{}",
            source.path
        );
    }
}

#[test]
fn the_top_level_holds_what_it_should() {
    const ALLOWED: [&str; 9] = [
        "Cargo.lock",
        "Cargo.toml",
        "DEVELOPERS.md",
        "README.md",
        "migrations",
        "openapi",
        "scripts",
        "src",
        "tests",
    ];
    // What git ignores is nobody's business.
    let listed = Command::new("git").args(["ls-files"]).current_dir(root()).output();
    let Ok(listed) = listed.map(|output| String::from_utf8(output.stdout).unwrap()) else { return };
    let top: BTreeSet<&str> = listed.lines().filter_map(|path| path.split('/').next()).collect();
    for name in top {
        assert!(name.starts_with('.') || ALLOWED.contains(&name), "{name} is at the top level");
    }
}

/// Rules are looked up by literal keys, which the compiler cannot check.
#[test]
fn every_rule_that_the_code_names_is_in_a_table() {
    let rules = Rules::standard();
    let known: BTreeSet<&str> = rules.iter().map(|(key, _)| key).collect();
    let tables: BTreeSet<&str> = known.iter().filter_map(|key| key.split('.').next()).collect();
    let mut named = BTreeSet::new();
    let codes = "src/domain/advice/code.rs";
    // The words of cautions look like keys of rules and are none.
    let sources = sources("src", &["rs"]);
    for source in sources.iter().filter(|source| !source.is_test() && source.path != codes) {
        let code = source.text.split("#[cfg(test)]").next().unwrap();
        for literal in code.split('"') {
            let Some((table, name)) = literal.split_once('.') else { continue };
            let is_name =
                name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_');
            if is_name && name != "toml" && tables.contains(table) {
                assert!(known.contains(literal), "{}: there is no rule {literal:?}", source.path);
                named.insert(literal.to_owned());
            }
        }
    }
    assert!(named.len() > 100, "only {} rules are looked up", named.len());
}

/// Paths of the machine it was written on, and the like, have no place in a repository.
#[test]
fn nothing_names_the_machine_it_was_written_on() {
    let home = ["/ho", "me/"].concat();
    let mut texts = sources("src", &["rs", "toml", "css", "js", "html"]);
    for folder in ["tests", "scripts", "migrations"] {
        let mut files = Vec::new();
        walk(&root().join(folder), &mut files);
        files.retain(|path| !path.components().any(|part| part.as_os_str() == "node_modules"));
        texts.extend(files.into_iter().filter_map(|path| {
            let text = fs::read_to_string(&path).ok()?;
            Some(Source { path: path.to_string_lossy().into_owned(), text })
        }));
    }
    let checkout = root().to_string_lossy().into_owned();
    for source in texts {
        for path in [home.as_str(), checkout.as_str()] {
            assert!(!source.text.contains(path), "{} names {path}", source.path);
        }
    }
}

/// The document names a schema by its bare type name: of two types with one name, one is published
/// for both.
#[test]
fn every_published_type_has_a_name_of_its_own() {
    let mut names = BTreeMap::new();
    for source in sources("src", &["rs"]).iter().filter(|source| !source.is_test()) {
        let mut derives = false;
        for (number, line) in source.code() {
            let line = line.trim();
            if line.starts_with("#[derive(") {
                derives = has_word(line, "ToSchema");
            }
            let kinds = ["pub struct ", "pub enum ", "struct ", "enum "];
            let Some(rest) = kinds.iter().find_map(|kind| line.strip_prefix(kind)) else {
                continue;
            };
            let name = rest.split(|c: char| !c.is_alphanumeric()).next().unwrap().to_owned();
            if std::mem::take(&mut derives) {
                let place = format!("{}:{number}", source.path);
                if let Some(other) = names.insert(name.clone(), place.clone()) {
                    panic!("{name} is published by both {other} and {place}");
                }
            }
        }
    }
    assert!(names.len() > 50, "only {} types are published", names.len());
}

/// What `.cargo/deny.toml` says of sources and bans, as far as the lock file tells it by itself.
#[test]
fn what_is_built_comes_from_the_registry_and_links_nothing_of_the_machine() {
    let lock = fs::read_to_string(root().join("Cargo.lock")).unwrap();
    let packages: Vec<&str> = lock.split("[[package]]\n").skip(1).collect();
    assert!(packages.len() > 100, "{}", packages.len());
    let banned = ["openssl", "openssl-sys", "native-tls", "pq-sys", "libsqlite3-sys"];
    for package in packages {
        let field = |name: &str| {
            package
                .lines()
                .find_map(|line| line.strip_prefix(&format!("{name} = "))?.split('"').nth(1))
        };
        let name = field("name").unwrap();
        assert!(!banned.contains(&name), "{name}");
        let registry = "registry+https://github.com/rust-lang/crates.io-index";
        let ours =
            name == "denwright" || root().join("src").join(name).join("Cargo.toml").is_file();
        assert!(ours || field("source") == Some(registry), "{package}");
        assert!(ours || field("checksum").is_some(), "{package}");
    }
}
