//! Looks at the wall screen of a busy kennel, one after another, by what was written since the last one.

use super::{
    CONNECTIONS,
    client::{Connection, Load, Outcome},
    host::Host,
    statements,
};
use std::time::{Duration, Instant};

/// Looks of each kind.
const LOOKS: usize = 150;

/// What is done before a look, which is not counted.
#[derive(Clone, Copy, PartialEq)]
enum Before {
    Nothing,
    Weight,
    Feed,
    Rule,
}

/// Each kind of look: how long it takes, and what Postgres takes for the same statements.
pub fn run(host: &Host) -> Outcome<()> {
    println!(
        "{:<52} {:>10} {:>8} {:>8} {:>22}",
        "a look at today, 20 litters and 160 pups",
        "statements",
        "p50 ms",
        "p99 ms",
        "pgbench alone, p50 ms"
    );
    unchanged(host)?;
    for (name, before) in [
        ("nothing was written, without the tag", Before::Nothing),
        ("after a weight of a pup", Before::Weight),
        ("after a feed of a pup", Before::Feed),
        ("after a rule: all is reckoned anew", Before::Rule),
    ] {
        let (times, statements, theirs) = looks(host, before)?;
        println!(
            "{name:<52} {statements:>10} {:>8.2} {:>8.2} {theirs:>22.2}",
            times.quantile(0.5),
            times.quantile(0.99)
        );
    }
    host.psql(&["--command", "DELETE FROM feeds; DELETE FROM rule_overrides"])?;
    host.forget_written()
}

/// By who names the tag that they have.
fn unchanged(host: &Host) -> Outcome<()> {
    let place = &host.places[0];
    let mut connection = Connection::open(host.address)?;
    let mut times = Vec::new();
    let mut tag = String::new();
    for _ in 0..LOOKS {
        let request = place.send("GET", "/today", &format!("If-None-Match: {tag}"), "");
        let began = Instant::now();
        let answer = connection.ask(&request)?;
        let took = began.elapsed();
        if answer.starts_with(b"HTTP/1.1 304") {
            times.push(took.as_secs_f64() * 1e3);
        } else {
            // The first one, and the first of a minute.
            tag = header(answer, "etag").ok_or("a board without its tag")?;
        }
    }
    let times = Load::of(times, Duration::from_secs(1));
    println!(
        "{:<52} {:>10} {:>8.2} {:>8.2}",
        "nothing was written, by its tag (304)",
        "",
        times.quantile(0.5),
        times.quantile(0.99)
    );
    Ok(())
}

fn looks(host: &Host, before: Before) -> Outcome<(Load, usize, f64)> {
    let place = &host.places[0];
    let pups = host.psql(&[
        "--command",
        "SELECT id FROM dogs WHERE kennel_id = md5('kennel1')::uuid AND call_name LIKE 'Pup %' ORDER BY id",
    ])?;
    let pups: Vec<&str> = pups.lines().collect();
    let mut connection = Connection::open(host.address)?;
    let mut write = |number: usize| {
        let dog = pups[number * 7 % pups.len()];
        let at = chrono::Utc::now() - chrono::Duration::seconds(600 - (number % 500) as i64);
        let at = at.format("%Y-%m-%dT%H:%M:%SZ");
        match before {
            Before::Nothing => {}
            Before::Weight => {
                let body = format!(
                    r#"{{"measured_at":"{at}","weight_g":900,"note":"measured","confirmed":true}}"#
                );
                connection.ask(&place.request(
                    "POST",
                    &format!("/dogs/{dog}/weights"),
                    Some(&body),
                ))?;
            }
            Before::Feed => {
                let body = format!(r#"{{"fed_at":"{at}","volume_ml":5.5,"confirmed":true}}"#);
                connection.ask(&place.request(
                    "POST",
                    &format!("/dogs/{dog}/feeds"),
                    Some(&body),
                ))?;
            }
            Before::Rule => {
                let weeks = 9 + number % 2;
                host.psql(&["--command", &format!(
                    "INSERT INTO rule_overrides (kennel_id, id, key, value, source) \
                     VALUES (md5('kennel1')::uuid, md5('rule')::uuid, 'today.pups_shown', {weeks}, 'our own') \
                     ON CONFLICT (kennel_id, id) DO UPDATE SET value = excluded.value"
                )])?;
            }
        }
        Outcome::Ok(())
    };
    let mut looking = Connection::open(host.address)?;
    let look = place.request("GET", "/today", None);
    let mut times = Vec::with_capacity(LOOKS);
    for number in 0..LOOKS + 4 * CONNECTIONS {
        write(number)?;
        let began = Instant::now();
        looking.ask(&look)?;
        // Every connection has prepared its statements before it counts.
        if number >= 4 * CONNECTIONS {
            times.push(began.elapsed().as_secs_f64() * 1e3);
        }
    }
    write(LOOKS + 1)?;
    host.log_statements(true)?;
    let from = statements::log_length(&host.log())?;
    looking.ask(&look)?;
    // A transaction may end after its answer.
    std::thread::sleep(Duration::from_millis(50));
    let script = statements::script_since(&host.log(), from, "look", None)?;
    host.log_statements(false)?;
    let statements = script.statements;
    let rate = host.pgbench(1)?.rate(&[script], Duration::from_secs(2))?;
    Ok((Load::of(times, Duration::from_secs(1)), statements, 1e3 / rate))
}

/// The value of a header of an answer.
fn header(answer: &[u8], name: &str) -> Option<String> {
    let text = String::from_utf8_lossy(answer);
    let lines = text.lines().take_while(|line| !line.is_empty());
    let named = lines.filter_map(|line| line.split_once(": "));
    named
        .into_iter()
        .find(|(key, _)| key.eq_ignore_ascii_case(name))
        .map(|(_, value)| value.to_owned())
}
