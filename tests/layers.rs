//! The walls of the program: which part may use what, and where things stand.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test tells of a fault by a panic")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use denwright::domain::rules::Rules;

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
        self.path.contains("/tests/") || self.path.ends_with("tests.rs")
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

#[test]
fn words_are_found_whole() {
    assert!(has_word("use tokio::time;", "tokio"));
    assert!(has_word("    let now = Utc::now();", "Utc::now"));
    assert!(!has_word("use tokio_postgres::NoTls;", "tokio"));
    assert!(!has_word("struct CurrencyFile {", "File"));
}

#[test]
fn the_domain_computes_and_nothing_else() {
    let worlds = [
        "actix_web",
        "actix_cors",
        "diesel",
        "diesel_async",
        "tokio",
        "tokio_postgres",
        "reqwest",
        "crate::api",
        "crate::store",
        "crate::server",
        "crate::config",
        "crate::documents",
    ];
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
    let words =
        ["actix_web", "utoipa", "HttpResponse", "StatusCode", "crate::api", "crate::server"];
    assert_eq!(uses("src/store", &words), [""; 0]);
}

#[test]
fn the_api_knows_no_sql() {
    let words = ["diesel", "diesel_async", "tokio_postgres", "sql_query", "crate::server"];
    assert_eq!(uses("src/api", &words), [""; 0]);
}

#[test]
fn documents_come_from_the_domain_alone() {
    if root().join("src/documents").is_dir() {
        let words = ["actix_web", "diesel", "diesel_async", "tokio", "crate::store", "crate::api"];
        assert_eq!(uses("src/documents", &words), [""; 0]);
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
    for source in sources("src", &["rs"]).iter().filter(|source| !source.is_test()) {
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
        assert!(name == "denwright" || field("source") == Some(registry), "{package}");
        assert!(name == "denwright" || field("checksum").is_some(), "{package}");
    }
}
