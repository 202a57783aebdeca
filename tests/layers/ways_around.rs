//! Each known way around a wall, in a small program that takes it and is caught, and a harmless neighbour
//! that passes.

use crate::files::{Program, Texts};
use crate::names::LAYERS;
use crate::reading::Reading;
use crate::{sums, turns, walls};

/// A program of these files; a layer without a root gets one that takes them all in.
fn program(files: &[(&str, &str)]) -> Texts {
    let mut texts: Texts =
        files.iter().map(|(path, text)| ((*path).to_owned(), (*text).to_owned())).collect();
    for (path, _) in files {
        let (folder, file) = path.rsplit_once('/').unwrap();
        let root = format!("{folder}/lib.rs");
        let is_layer = folder.strip_prefix("src/").is_some_and(|name| LAYERS.contains(&name));
        if is_layer && !files.iter().any(|(path, _)| *path == root) {
            let name = file.strip_suffix(".rs").unwrap();
            texts.entry(root).or_default().push_str(&format!("mod {name};\n"));
        }
    }
    texts
}

type Wall = fn(&Reading) -> Vec<String>;

fn found(wall: Wall, files: &[(&str, &str)]) -> Vec<String> {
    wall(&Reading::of_texts(&program(files)))
}

/// Holds that each of these texts as `path` is caught, at its last line.
fn caught(wall: Wall, path: &str, texts: &[&str]) {
    for text in texts {
        let found = found(wall, &[(path, text)]);
        let place = format!("{path}:{}:", text.trim_end().lines().count());
        assert!(
            found.iter().any(|told| told.starts_with(&place)),
            "not caught:\n{text}\n{found:?}"
        );
    }
}

fn passes(wall: Wall, path: &str, texts: &[&str]) {
    for text in texts {
        assert_eq!(found(wall, &[(path, text)]), [""; 0], "{text}");
    }
}

const STORE: &str = "src/store/a.rs";
const DOMAIN: &str = "src/domain/a.rs";
const API: &str = "src/api/a.rs";

#[test]
fn a_clock_by_another_name() {
    caught(
        walls::clocks,
        STORE,
        &[
            "fn f() { chrono::Utc::now(); }",
            "use chrono::Utc;\nfn f() { Utc::now(); }",
            "use chrono::Utc as Time;\nfn f() { Time::now(); }",
            "use chrono::{self as c, offset};\nfn f() { (c::Utc::now(), offset::Utc::now()); }",
            "use chrono::*;\nfn f() { Utc::now(); }",
            "use chrono::prelude::*;\nfn f() { let now = Utc::now; now(); }",
            "extern crate chrono as c;\nfn f() { c::Utc::now(); }",
            "type Time = chrono::Utc;\nfn f() { Time::now(); }",
            "fn f() { use chrono::Utc as Time;\nTime::now(); }",
            "fn f() { <chrono::Utc>::now(); }",
            "use chrono::Utc;\nfn f() { <Utc as Clock>::now(); }",
            "fn f() { ::std::time::SystemTime::now(); }",
            "use std::time as t;\nfn f() { t::SystemTime::now(); }",
            "use core::time::*; fn f() { chrono::Local::now(); }",
            "fn f() { actix_web::cookie::time::OffsetDateTime::now_utc(); }",
        ],
    );
    passes(
        walls::clocks,
        STORE,
        &[
            "use chrono::{DateTime, Utc};\nfn f(now: DateTime<Utc>) -> DateTime<Utc> { now }",
            "struct Utc;\nimpl Utc { fn then() {} }\nfn f() { Utc::then(); }",
            "fn f(tx: &Tx) { tx.now(); }",
            "use std::time::Duration;\nfn f(_: Duration) {}",
            "/// Not `Utc::now()`.\nfn f() -> &'static str { \"Utc::now()\" }",
        ],
    );
    // A layer that lends its own reading to another is found as well.
    caught(walls::clocks, "src/metrics/a.rs", &["pub fn now() { chrono::Utc::now(); }"]);
}

#[test]
fn a_clock_inside_a_macro() {
    caught(
        walls::clocks,
        STORE,
        &[
            "use chrono::Utc;\nfn f() { vec![1, { Utc::now() }]; }",
            "use chrono::Utc as Time;\nfn f() { println!(\"{}\", Time::now()); }",
            "macro_rules! m { () => { chrono::Utc::now() }; }",
            "macro_rules! m { ($of:ident) => { $of::now() }; }",
            "macro_rules! m { () => { <chrono::Utc>::now() }; }",
            "macro_rules! m { () => { { use chrono::Utc as T; T::now() } }; }",
            "use chrono::Utc;\nfn f() { clock!(Utc, now); }",
            "#[given(chrono::Utc::now)] struct S;",
        ],
    );
    passes(
        walls::clocks,
        STORE,
        &[
            "use chrono::{DateTime, Utc};\nfn f(now: DateTime<Utc>) { vec![now, at(now)]; }",
            "macro_rules! m { ($of:ident) => { $of::then() }; }",
        ],
    );
}

#[test]
fn a_clock_brought_in_by_another_file() {
    let elsewhere = |brought, used| {
        let files =
            [("src/store/a.rs", brought), ("src/store/b.rs", used), ("src/domain/c.rs", brought)];
        found(walls::clocks, &files)
    };
    for (brought, used) in [
        ("pub use chrono::Utc as Time;", "use crate::a::Time;\nfn f() { Time::now(); }"),
        ("pub use chrono::Utc as Time;", "fn f() { super::a::Time::now(); }"),
        ("pub use chrono::Utc as Time;", "use super::a::*;\nfn f() { Time::now(); }"),
        ("pub use chrono::*;", "use super::a;\nfn f() { a::Utc::now(); }"),
        (
            "pub mod inner { pub use chrono as c; }",
            "use crate::a::{inner::c::Utc as T};\nfn f() { T::now(); }",
        ),
        ("pub type Time = chrono::Utc;", "use crate::a::Time;\nfn f() { Time::now(); }"),
        ("pub use chrono::Utc as Time;", "use domain::c::Time;\nfn f() { Time::now(); }"),
    ] {
        let found = elsewhere(brought, used);
        assert!(found.iter().any(|told| told.starts_with("src/store/b.rs:")), "{used}\n{found:?}");
    }
    assert_eq!(
        elsewhere("pub struct Time;", "use crate::a::Time;\nfn f() { Time::now(); }"),
        [""; 0]
    );
}

#[test]
fn code_is_left_out_by_its_attribute_and_not_by_its_place() {
    let tests = "#[cfg(test)]\nmod tests {\n    fn f() { chrono::Utc::now(); }\n}\n";
    passes(
        walls::clocks,
        STORE,
        &[
            tests,
            "#[test]\nfn f() { chrono::Utc::now(); }",
            "#[tokio::test]\nasync fn f() { chrono::Utc::now(); }",
            "#[cfg(all(test, unix))]\nfn f() { chrono::Utc::now(); }",
            "impl S { #[cfg(test)] fn f() { chrono::Utc::now(); } }",
            "#![cfg(test)]\nfn f() { chrono::Utc::now(); }",
        ],
    );
    caught(
        walls::clocks,
        STORE,
        &[
            &format!("{tests}fn f() {{ chrono::Utc::now(); }}"),
            "mod tests {\nfn f() { chrono::Utc::now(); } }",
            "#[cfg(not(test))]\nfn f() { chrono::Utc::now(); }",
            "#[cfg(any(test, unix))]\nfn f() { chrono::Utc::now(); }",
            "// #[cfg(test)] mod tests {\nfn f() { chrono::Utc::now(); }",
        ],
    );
    let root = |attribute: &str| format!("{attribute}\nmod a;\nmod b;");
    let clock = "fn f() { chrono::Utc::now(); }";
    for (attribute, count) in [("#[cfg(test)]", 0), ("#[cfg(unix)]", 1)] {
        let files =
            [("src/store/lib.rs", &*root(attribute)), (STORE, clock), ("src/store/b.rs", "")];
        assert_eq!(found(walls::clocks, &files).len(), count, "{attribute}");
    }
    // A folder that is for tests takes its files along.
    let files = [
        ("src/store/lib.rs", "#[cfg(test)]\nmod a;\nmod tests;"),
        ("src/store/a/mod.rs", "mod deep;"),
        ("src/store/a/deep.rs", clock),
        ("src/store/tests.rs", clock),
    ];
    let only = found(walls::clocks, &files);
    assert!(only.len() == 1 && only[0].starts_with("src/store/tests.rs:1:"), "{only:?}");
}

#[test]
fn a_thread_by_another_name() {
    caught(
        walls::threads,
        API,
        &[
            "fn f() { tokio::task::spawn_blocking(g); }",
            "use tokio::task::spawn_blocking as later;\nfn f() { later(g); }",
            "fn f() { tokio::runtime::Handle::current().spawn_blocking(g); }",
            "use actix_web::web as w;\nfn f() { w::block(g); }",
            "use std::{thread as t};\nfn f() { t::spawn(g); }",
            "fn f() { std::thread::Builder::new(); }",
            "use std::thread::*;\nfn f() { spawn(g); }",
            "fn f() { select! { _ = tokio::task::block_in_place(g) => {} } }",
        ],
    );
    passes(
        walls::threads,
        API,
        &["fn f() { tokio::spawn(g); }", "fn f(room: Room) { room.seat(); web::Path::spawn(); }"],
    );
}

#[test]
fn sql_outside_the_store() {
    caught(
        walls::sql,
        API,
        &[
            "use diesel::prelude::*;",
            "use {chrono::Utc, diesel as d};",
            "fn f() { tokio_postgres::connect(); }",
            "use store::schema::*;\nfn f() { diesel_async::run(); }",
            "fn f() -> &'static str { \"SELECT id FROM dogs\" }",
            "fn f() { run!(\"\\n  DELETE FROM dogs\"); }",
        ],
    );
    let brought = [
        ("src/store/a.rs", "pub use diesel::sql_query as ask;"),
        ("src/store/lib.rs", "pub mod a;"),
        (API, "use store::a::ask;\nfn f() { ask(); }"),
    ];
    assert!(found(walls::sql, &brought).iter().any(|told| told.starts_with("src/api/a.rs:2:")));
    passes(walls::sql, STORE, &["use diesel::prelude::*;\nconst A: &str = \"SELECT 1\";"]);
    passes(
        walls::sql,
        API,
        &["/// SELECT a pup.\nfn f() -> &'static str { \"UPDATE the record of the pup\" }"],
    );
}

#[test]
fn the_world_in_the_domain() {
    caught(
        walls::impurities,
        DOMAIN,
        &[
            "use std::{fs, env};",
            "use std::{io::{self, Read}, process as p};",
            "use std as s;\nfn f() { s::fs::read(); }",
            "fn f() { ::std::env::var(\"A\"); }",
            "use std::*;\nfn f() { net::lookup(); }",
            "fn f() { println!(); }",
            "use std::println as say;\nfn f() { say!(); }",
            "use tracing::info;\nfn f() { info!(\"a\"); }",
            "async fn f() {}",
            "fn f() { spawn(async { 1 }); }",
            "fn f() { join!(async move { 1 }); }",
            "trait T { async fn f(); }",
            "fn f() { uuid::Uuid::now_v7(); }",
            "fn f() { std::time::Instant::now(); }",
            "fn f() { vec![std::fs::read(\"a\")]; }",
        ],
    );
    passes(
        walls::impurities,
        DOMAIN,
        &[
            "use std::{collections::BTreeMap, fmt};\nfn f() { format!(\"{}\", 1); }",
            "fn f(log: &Log, store: f64, env: f64) -> f64 { log.net + store + env }",
            "/// Never `std::fs`.\nfn print() { writeln!(out, \"println!\"); }",
        ],
    );
}

#[test]
fn another_layer_by_any_way() {
    let deep = "src/domain/a.rs";
    caught(
        walls::impurities,
        deep,
        &[
            "use store::Db;",
            "use crate::{store::Db};",
            "use crate::{growth, store::{self, Db}};",
            "use super::super::store;",
            "use super::super::{api::Problem as P};",
            "mod inner { use super::super::super::store::Db; }",
            "fn f() { let _: store::Db; }",
        ],
    );
    // A module of its own may have the name of a layer.
    let own = [
        ("src/domain/lib.rs", "mod store;\nmod b;"),
        ("src/domain/store.rs", "pub struct Shelf;"),
        ("src/domain/b.rs", "use crate::store::Shelf;"),
    ];
    assert_eq!(found(walls::impurities, &own), [""; 0]);
}

#[test]
fn http_in_the_store() {
    caught(
        walls::http,
        STORE,
        &[
            "use {uuid::Uuid, actix_web::http as h};",
            "use actix_web as a;\nfn f() { a::HttpResponse::Ok(); }",
            "fn f() { vec![reqwest::get(\"a\")]; }",
            "#[derive(utoipa::ToSchema)] struct S;",
        ],
    );
    passes(walls::http, STORE, &["/// No `actix_web`.\nfn f(status: i16) {}"]);
}

#[test]
fn details_in_the_log() {
    caught(
        walls::leaks,
        API,
        &[
            "fn f() { tracing::warn!(%detail, \"refused\"); }",
            "use tracing::error as e;\nfn f() { e!(\"{fault:?}\"); }",
            "use tracing as t;\nfn f() { t::info!(who = email, \"in\"); }",
            "fn f() { select! { _ = g() => tracing::info!(?body) } }",
        ],
    );
    passes(
        walls::leaks,
        API,
        &["fn f() { tracing::warn!(faults = count, \"a fault in the body, {kind}\"); }"],
    );
}

/// How many sums are found in a file of handlers.
fn sums_in(text: &str) -> usize {
    sums::in_handlers(&Program::of(&program(&[(API, text)]))).len()
}

#[test]
fn arithmetic_in_handlers() {
    for (text, count) in [
        ("#[get(\"/\")] async fn f() { a + b; }", 1),
        ("fn f() { total += weight; }", 1),
        ("fn f() { now + Duration::hours(4); }", 1),
        ("fn f() { a.iter().sum::<f64>() / a.len() as f64; }", 2),
        ("fn f() { born.checked_add_days(Days::new(4)); }", 1),
        ("fn f() { a.fold(0, i64::saturating_add); a.fold(0, Add::add); }", 2),
        ("fn f() { json!({ \"mean\": sum / count, \"a\": [b * c] }); }", 2),
        ("fn f() { format!(\"{} g\", a - b); }", 1),
        ("fn f() { -days; }", 1),
        ("impl S { fn f(&self) { self.a % 2; } }", 1),
        ("fn f() { list.iter().map(|one| one.weight * 2.0); }", 1),
        ("#[cfg(test)] mod tests {}\nfn f() { a + b; }", 1),
        ("mod tests { fn f() { a + b; } }", 1),
        // None of these reckons.
        ("#[cfg(test)] mod tests { fn f() { a + b; } }", 0),
        ("fn f() { \"a\".to_owned() + b; format!(\"a\") + &b; }", 0),
        ("fn f() { list[index + 1]; }", 0),
        ("fn f() { take(4 * 1024); -1; *a; &*b; a || !b; a == b; }", 0),
        ("const MOST: usize = A * 1024;", 0),
        ("fn f<T: A + B>(a: impl C + D) -> Box<dyn E + F> { RuleSet::checked_on() }", 0),
    ] {
        assert_eq!(sums_in(text), count, "{text}");
    }
    let below = [("src/api/lib.rs", "mod body;"), ("src/api/body/mod.rs", "fn f() { a + b; }")];
    assert_eq!(sums::in_handlers(&Program::of(&program(&below))).len(), 0);
}

#[test]
fn a_change_out_of_turn() {
    for (text, count) in [
        ("#[patch(\"/\")] async fn f() { db.within(s, w).await; }", 1),
        ("#[actix_web::put(\"/\")] async fn f() { app.db.within(s, w).await; }", 1),
        ("#[utoipa::path()] #[delete(\"/\")] async fn f() { Db::within(&db, s, w).await; }", 1),
        ("#[delete(\"/\")] async fn f() { let read = Db::within; }", 1),
        ("#[put(\"/\")] async fn f() { async fn g() { db.within(s, w).await; } }", 1),
        ("mod a { #[put(\"/\")] async fn f() { db.r#within(s, w).await; } }", 1),
        // None of these changes anything, or it takes its turn.
        ("#[get(\"/\")] async fn f() { db.within(s, w).await; }", 0),
        ("#[put(\"/\")] async fn f() { db.writing(s, w).await; }", 0),
        ("#[put(\"/\")] async fn f() {}\nasync fn g() { db.within(s, w).await; }", 0),
    ] {
        assert_eq!(
            turns::out_of_turn(&Program::of(&program(&[(API, text)]))).len(),
            count,
            "{text}"
        );
    }
}

#[test]
fn a_file_of_another_crate() {
    let files = [
        ("src/domain/lib.rs", "#[path = \"../store/a.rs\"]\nmod a;"),
        ("src/store/lib.rs", ""),
        ("src/store/a.rs", "fn f() {}"),
        ("src/store/forgotten.rs", ""),
    ];
    let astray = Program::of(&program(&files)).astray;
    assert_eq!(astray, ["src/store/a.rs, taken in by src/domain/lib.rs", "src/store/forgotten.rs"]);
    let files = [
        ("src/lib.rs", "mod service;\n#[path = \"store/a.rs\"]\nmod a;"),
        ("src/service/mod.rs", ""),
        ("src/store/lib.rs", ""),
        ("src/store/a.rs", ""),
    ];
    let astray = Program::of(&program(&files)).astray;
    assert_eq!(astray, ["src/store/a.rs, taken in by src/lib.rs"]);
}
