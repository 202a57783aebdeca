//! Measures the release binary under load, beside pgbench that runs the same statements prepared, on
//! the same cluster and cores, over as many connections.
//!
//! The statements are those that Postgres logs while the service answers one request, transaction and
//! login's lookup included. Both take turns; of three turns the middle one counts.
//!
//! With `looks`, `writes`, `streams` or `day` before anything else it measures looks at the wall screen, what is
//! written, streams that are open, or the morning of a whole host.

#[path = "../breed.rs"]
mod breed;
mod client;
mod day;
#[path = "../../../src/domain/agreement/dice.rs"]
mod dice;
mod host;
mod looks;
mod machine;
mod pgbench;
#[path = "../served.rs"]
mod served;
mod statements;
mod streams;
mod writes;

use client::{Connection, Load, Outcome, load};
use host::{Host, Place};
use statements::Script;
use std::time::Duration;

/// Database connections of the service, and of pgbench.
const CONNECTIONS: usize = 8;
/// Clients of the service: twice as many, so that its connections have work.
const CLIENTS: usize = 16;
/// Kennels whose statements pgbench runs, and whose requests stand against them.
const COMPARED: usize = 48;
/// Turns of each side.
const TURNS: usize = 3;

/// What is asked for.
#[derive(Clone, Copy, PartialEq)]
enum Question {
    Dog,
    Weights,
    Weigh,
    Today,
}

const QUESTIONS: [Question; 4] =
    [Question::Dog, Question::Weights, Question::Weigh, Question::Today];

impl Question {
    fn name(self) -> &'static str {
        match self {
            Self::Dog => "read of a dog",
            Self::Weights => "list of weights",
            Self::Weigh => "insert of a weight",
            Self::Today => "today, busy kennel",
        }
    }

    fn request(self, place: &Place, number: usize) -> Vec<u8> {
        let dog = place.dog;
        match self {
            Self::Dog => place.request("GET", &format!("/dogs/{dog}"), None),
            Self::Weights => place.request("GET", &format!("/dogs/{dog}/weights"), None),
            Self::Weigh => weigh(place, number),
            Self::Today => place.request("GET", "/today", None),
        }
    }

    /// The places that are asked about: the busy kennel comes first.
    fn places(self, host: &Host) -> &[Place] {
        match self {
            Self::Today => &host.places[..1],
            _ => &host.places[1..=COMPARED.min(host.places.len() - 1)],
        }
    }
}

/// A weight of a place's dog, another one for each number.
fn weigh(place: &Place, number: usize) -> Vec<u8> {
    let at = chrono::Utc::now() - chrono::Duration::seconds(600 + number as i64 % 60_000);
    let at = at.format("%Y-%m-%dT%H:%M:%SZ");
    let body = format!(r#"{{"measured_at":"{at}","weight_g":24900,"note":"measured"}}"#);
    place.request("POST", &format!("/dogs/{}/weights", place.dog), Some(&body))
}

#[tokio::main(flavor = "current_thread")]
async fn main() -> Outcome<()> {
    let mut arguments = std::env::args().skip(1).filter(|argument| argument != "--bench");
    let first = arguments.next().unwrap_or_else(|| "1000,10,10000".to_owned());
    let mut number = |otherwise: usize| arguments.next().map_or(Ok(otherwise), |text| text.parse());
    match first.as_str() {
        "looks" => {
            let host = Host::start(number(1_000)?, CONNECTIONS).await?;
            looks::run(&host)?;
            host.stop().await
        }
        "writes" => writes::run(number(1_000_000)?, Duration::from_secs(10)).await,
        "streams" => streams::run(number(2_000)?).await,
        "day" => day::run(number(10_000)?, Duration::from_secs(number(240)? as u64)).await,
        hosts => compared(hosts, Duration::from_secs(number(4)? as u64)).await,
    }
}

/// Hosts of so many kennels each; the first one beside pgbench.
async fn compared(hosts: &str, lasts: Duration) -> Outcome<()> {
    for (index, kennels) in hosts.split(',').enumerate() {
        let kennels: usize = kennels.trim().parse()?;
        let host = Host::start(kennels.max(2), CONNECTIONS).await?;
        println!(
            "\n{kennels} kennels; {CONNECTIONS} connections, {CLIENTS} clients; memory idle {:.1} MiB",
            host.idle_mib
        );
        if index == 0 {
            compare(&host, lasts)?;
        }
        alone(&host, lasts)?;
        watched(&host)?;
        println!("memory after it {:.1} MiB", host.memory_mib()?);
        host.stop().await?;
    }
    Ok(())
}

/// Each question beside pgbench.
fn compare(host: &Host, lasts: Duration) -> Outcome<()> {
    println!(
        "{:<20} {:>10} {:>10} {:>10} {:>7} {:>25}",
        "", "statements", "pgbench/s", "service/s", "ratio", "pgbench, half: p99/p50"
    );
    for question in QUESTIONS {
        let scripts = scripts(host, question)?;
        let statements = scripts.first().map_or(0, |script| script.statements);
        let pgbench = host.pgbench(CONNECTIONS)?;
        let (mut theirs, mut ours) = (Vec::new(), Vec::new());
        for _ in 0..TURNS {
            theirs.push(pgbench.rate(&scripts, lasts)?);
            clean(host, question)?;
            ours.push(ask(host, question, CLIENTS, lasts, None)?.rate);
            clean(host, question)?;
        }
        let (theirs, ours) = (middle(&mut theirs), middle(&mut ours));
        let half = pgbench.paced(&scripts, lasts, theirs / 2.0)?;
        clean(host, question)?;
        println!(
            "{:<20} {statements:>10} {theirs:>10.0} {ours:>10.0} {:>6.0}% {:>24.1}x",
            question.name(),
            100.0 * ours / theirs,
            half.spread()
        );
    }
    let bare =
        scripts(host, Question::Dog)?.iter().map(Script::bare).collect::<Outcome<Vec<_>>>()?;
    let rate = host.pgbench_past_the_walls(CONNECTIONS)?.rate(&bare, lasts)?;
    println!("the row of a dog by itself, past all walls: pgbench {rate:.0}/s\n");
    Ok(())
}

fn middle(rates: &mut [f64]) -> f64 {
    rates.sort_by(f64::total_cmp);
    rates[rates.len() / 2]
}

/// Each question, and a mix of them from all kennels, without pgbench: times and what it takes.
fn alone(host: &Host, lasts: Duration) -> Outcome<()> {
    println!(
        "{:<20} |      as fast as it goes     |            at half that rate           |    one client    | processor, us each",
        ""
    );
    println!(
        "{:<20} | {:>8} {:>8} {:>9} | {:>8} {:>8} {:>8} {:>12} | {:>8} {:>7} | {:>8} {:>8}",
        "",
        "answers/s",
        "p50 ms",
        "p99 ms",
        "answers/s",
        "p50 ms",
        "p99 ms",
        "p99/p50",
        "p50 ms",
        "p99 ms",
        "service",
        "Postgres"
    );
    for question in QUESTIONS {
        row(host, question.name(), lasts, &|clients, rate| {
            ask(host, question, clients, lasts, rate)
        })?;
        clean(host, question)?;
    }
    row(host, "mix of all kennels", lasts, &|clients, rate| mix(host, clients, lasts, rate))?;
    clean(host, Question::Weigh)
}

/// What goes on beside answering: how soon a change reaches streams, and what a look at the alarms of a kennel takes.
fn watched(host: &Host) -> Outcome<()> {
    println!(
        "a change reaches ten streams of its kennel, the last one, after {:.1} ms",
        streams::soon(host)?
    );
    let kennels = host.places.len();
    // All are watched and none is due: what the worker costs when there is nothing to do.
    host.psql(&["--command", "INSERT INTO ring_watches (kennel_id, next_at, looked_sequence, routine) \
        SELECT k.id, now() + interval '1 hour', h.sequence, true FROM kennels k JOIN change_heads h ON h.kennel_id = k.id \
        ON CONFLICT (kennel_id) DO UPDATE SET next_at = excluded.next_at, looked_sequence = excluded.looked_sequence, routine = true"])?;
    let idle = processor_of(host, Duration::from_secs(5))?;
    let due = kennels.min(1_000);
    host.psql(&["--command", &format!(
        "INSERT INTO ring_choices (kennel_id, id, person_id, membership_id, choices) \
         SELECT m.kennel_id, m.id, m.person_id, m.id, '{{\"ways\": [\"mail\"], \"level\": \"emergency\"}}' \
         FROM memberships m WHERE m.role = 'owner' ORDER BY m.kennel_id = md5('kennel1')::uuid, m.id LIMIT {due} ON CONFLICT DO NOTHING")])?;
    let before = host.processor_seconds()?;
    let began = std::time::Instant::now();
    let left = || -> Outcome<usize> {
        let left = host.psql(&["--command", "SELECT count(*) FROM ring_watches WHERE next_at < now() - interval '1 day' OR leased_until > now()"])?;
        Ok(left.trim().parse()?)
    };
    while left()? > 0 {
        if began.elapsed() > Duration::from_secs(120) {
            return Err("the alarms of some kennels are not looked at".into());
        }
        std::thread::sleep(Duration::from_millis(100));
    }
    let took = began.elapsed().as_secs_f64();
    let after = host.processor_seconds()?;
    let each = |seconds: f64| seconds * 1e3 / due as f64;
    println!(
        "alarms of {due} kennels that somebody begins to listen to: {:.1} ms a kennel, processor {:.2} ms service and {:.2} ms \
         Postgres; with {kennels} watched and none due {:.1} ms service and {:.1} ms Postgres a second",
        each(took),
        each(after.0 - before.0),
        each(after.1 - before.1),
        idle.0 * 1e3,
        idle.1 * 1e3
    );
    host.psql(&["--command", "DELETE FROM ring_choices; DELETE FROM ring_watches"]).map(drop)
}

/// Processor seconds a second while nobody asks: the service's, and Postgres's.
fn processor_of(host: &Host, lasts: Duration) -> Outcome<(f64, f64)> {
    let before = host.processor_seconds()?;
    std::thread::sleep(lasts);
    let after = host.processor_seconds()?;
    Ok(((after.0 - before.0) / lasts.as_secs_f64(), (after.1 - before.1) / lasts.as_secs_f64()))
}

type Run<'a> = &'a dyn Fn(usize, Option<f64>) -> Outcome<Load>;

/// One line: as fast as it goes, at half that rate, and one client alone; with the processor time of an
/// answer.
fn row(host: &Host, name: &str, lasts: Duration, run: Run<'_>) -> Outcome<()> {
    let before = host.processor_seconds()?;
    let full = run(CLIENTS, None)?;
    let after = host.processor_seconds()?;
    let answers = full.rate * (lasts.as_secs_f64() + client::WARM_UP.as_secs_f64());
    let each = |before: f64, after: f64| (after - before) * 1e6 / answers;
    let half = || run(CLIENTS, Some(full.rate / 2.0));
    let mut halves = (0..TURNS).map(|_| half()).collect::<Outcome<Vec<_>>>()?;
    halves.sort_by(|a, b| a.spread().total_cmp(&b.spread()));
    let half = halves.swap_remove(TURNS / 2);
    let one = run(1, None)?;
    let (p50, p99) = (half.quantile(0.5), half.quantile(0.99));
    println!(
        "{name:<20} | {:>9.0} {:>8.2} {:>8.2} | {:>9.0} {p50:>8.2} {p99:>8.2} {:>11.1}x | {:>8.2} {:>7.2} | {:>8.0} {:>8.0}",
        full.rate,
        full.quantile(0.5),
        full.quantile(0.99),
        half.rate,
        half.spread(),
        one.quantile(0.5),
        one.quantile(0.99),
        each(before.0, after.0),
        each(before.1, after.1),
    );
    Ok(())
}

fn ask(
    host: &Host,
    question: Question,
    clients: usize,
    lasts: Duration,
    rate: Option<f64>,
) -> Outcome<Load> {
    let places = question.places(host);
    let make = |number: usize| question.request(&places[number % places.len()], number);
    load(host.address, clients, lasts, rate, &make)
}

/// What people of all kennels do at once: mostly reading, some weighing, now and then the whole day.
fn mix(host: &Host, clients: usize, lasts: Duration, rate: Option<f64>) -> Outcome<Load> {
    let make = |number: usize| {
        let place = &host.places[number * 7919 % host.places.len()];
        let question = match number % 20 {
            0..=11 => Question::Dog,
            12..=15 => Question::Weights,
            16..=18 => Question::Weigh,
            _ => Question::Today,
        };
        question.request(place, number)
    };
    load(host.address, clients, lasts, rate, &make)
}

fn clean(host: &Host, question: Question) -> Outcome<()> {
    if question == Question::Weigh { host.forget_written() } else { Ok(()) }
}

/// The statements of one request in each of the compared kennels.
fn scripts(host: &Host, question: Question) -> Outcome<Vec<Script>> {
    let mut connection = Connection::open(host.address)?;
    let places = question.places(host);
    // Every connection has prepared its statements, and knows the types, before it counts.
    for number in 0..4 * CONNECTIONS {
        connection.ask(&question.request(&places[0], number))?;
    }
    host.log_statements(true)?;
    let log = host.log();
    let mut scripts = Vec::new();
    for (number, place) in places.iter().enumerate() {
        let from = statements::log_length(&log)?;
        let answer = connection.ask(&question.request(place, number))?;
        let fresh = (question == Question::Weigh).then(|| id_in(answer)).flatten();
        // A transaction may end after its answer.
        std::thread::sleep(Duration::from_millis(30));
        scripts.push(statements::script_since(
            &log,
            from,
            &format!("s{number}"),
            fresh.as_deref(),
        )?);
    }
    host.log_statements(false)?;
    clean(host, question)?;
    Ok(scripts)
}

fn id_in(answer: &[u8]) -> Option<String> {
    let text = String::from_utf8_lossy(answer);
    Some(text.split_once("{\"id\":\"")?.1.split_once('"')?.0.to_owned())
}
