//! The morning of a host: pups are weighed everywhere, people look at their day, alarms are watched for.

use super::{
    CONNECTIONS,
    client::{Connection, Load, Outcome},
    host::{Host, Place},
};
use chrono::{Duration as Days, Timelike as _, Utc};
use std::{
    collections::BTreeMap,
    fmt::Write as _,
    sync::{
        Mutex, PoisonError,
        atomic::{AtomicUsize, Ordering},
    },
    thread,
    time::{Duration, Instant},
};
use uuid::Uuid;

/// Connections over which people ask; each arrival has its own moment, whoever is answered before.
const CLIENTS: usize = 64;
/// One kennel of so many has a litter.
const ONE_IN: usize = 10;
/// One round of so many ends with a print.
const PRINTS: usize = 20;

/// What is asked for.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum Question {
    Batch,
    Today,
    Alarms,
    Tasks,
    Growth,
    Weights,
    Dog,
    Print,
}

impl Question {
    fn name(self) -> &'static str {
        match self {
            Self::Batch => "batch of six weights",
            Self::Today => "today",
            Self::Alarms => "alarms",
            Self::Tasks => "tasks",
            Self::Growth => "growth of the litter",
            Self::Weights => "list of a pup's weights",
            Self::Dog => "read of a dog",
            Self::Print => "labels as PDF",
        }
    }

    /// The request, by the kennel's owner; of a litter where there is one.
    fn request(self, place: &Place, litter: Option<&Litter>) -> Vec<u8> {
        let path = match (self, litter) {
            (Self::Batch, Some(litter)) => {
                return place.request("POST", "/weights/batch", Some(&batch(litter)));
            }
            (Self::Growth, Some(litter)) => format!("/litters/{}/growth", litter.id),
            (Self::Weights, Some(litter)) => format!("/dogs/{}/weights", litter.pups[0]),
            (Self::Print, Some(litter)) => format!("/litters/{}/labels.pdf", litter.id),
            (Self::Alarms, _) => "/alarms".to_owned(),
            (Self::Tasks, _) => "/tasks".to_owned(),
            (Self::Dog, _) => format!("/dogs/{}", place.dog),
            _ => "/today".to_owned(),
        };
        place.request("GET", &path, None)
    }
}

/// A litter of the seed.
struct Litter {
    id: Uuid,
    age_days: i64,
    pups: Vec<Uuid>,
}

/// The litters, of the second kennel and those after it.
fn litters_of(host: &Host, litters: usize) -> Outcome<Vec<Litter>> {
    let rows = host.psql(&[
        "--command",
        &format!(
            "SELECT md5('litter' || k || '/1')::uuid, 7 + k % 42, (SELECT string_agg(md5('pup' || k || '/1/' || p), ',' ORDER BY p) \
             FROM generate_series(1, 6) p) FROM generate_series(2, {litters} + 1) k ORDER BY k"
        ),
    ])?;
    rows.lines()
        .map(|row| {
            let fields: Vec<&str> = row.split('|').collect();
            let [id, age_days, pups] = fields[..] else { return Err("not three columns".into()) };
            let pups = pups.split(',').map(str::parse).collect::<Result<_, _>>()?;
            Ok(Litter { id: id.parse()?, age_days: age_days.parse()?, pups })
        })
        .collect()
}

/// This morning's weights of a litter, which grows as the seed has it.
fn batch(litter: &Litter) -> String {
    let now = Utc::now();
    let hours = f64::from(now.num_seconds_from_midnight()) / 3_600.0;
    let days = litter.age_days as f64 + (hours - 7.0) / 24.0;
    let mut body = String::from(r#"{"items":["#);
    for (place, pup) in (1..).zip(&litter.pups) {
        let comma = if place == 1 { "" } else { "," };
        let grams = f64::from(380 + 10 * place) * (1.0 + days / 8.0);
        let at = (now - Days::seconds(20 * i64::from(place))).format("%Y-%m-%dT%H:%M:%SZ");
        let id = Uuid::now_v7();
        let _ = write!(
            body,
            r#"{comma}{{"id":"{id}","dog_id":"{pup}","measured_at":"{at}","weight_g":{grams:.0},"note":"measured"}}"#
        );
    }
    body.push_str("]}");
    body
}

/// A question and its moment.
struct Arrival {
    due: Duration,
    question: Question,
    kennel: usize,
}

/// The morning, from its begin on: each kennel comes once, those with pups with a round of questions.
fn morning(kennels: usize, litters: usize, lasts: Duration) -> Vec<Arrival> {
    let mut arrivals = Vec::new();
    for kennel in 2..=kennels {
        // Spread evenly, and in no order of theirs.
        let place = (kennel * 7_919) % kennels;
        let begins = lasts.mul_f64(place as f64 / kennels as f64);
        let mut add = |after: f64, question| {
            arrivals.push(Arrival {
                due: begins + Duration::from_secs_f64(after),
                question,
                kennel,
            });
        };
        if kennel > litters + 1 {
            add(0.0, Question::Today);
            add(1.0, Question::Dog);
            continue;
        }
        add(0.0, Question::Batch);
        add(0.5, Question::Growth);
        add(1.0, Question::Today);
        add(1.5, Question::Alarms);
        add(2.0, Question::Tasks);
        add(2.5, Question::Weights);
        if kennel % PRINTS == 0 {
            add(3.0, Question::Print);
        }
    }
    arrivals.sort_by_key(|arrival| arrival.due);
    arrivals
}

/// What was measured of a morning.
#[derive(Default)]
struct Told {
    times: BTreeMap<Question, Vec<f64>>,
    refused: Vec<String>,
}

/// Has the morning of so many kennels pass within a time.
pub async fn run(kennels: usize, lasts: Duration) -> Outcome<()> {
    let host = Host::start(kennels, CONNECTIONS).await?;
    let litters = kennels / ONE_IN;
    host.seed("day.sql", &[("kennels", kennels), ("litters", litters)])?;
    let arrivals = morning(kennels, litters, lasts);
    println!(
        "{kennels} kennels, {litters} litters, {} questions in {} s, all kennels watched; {CONNECTIONS} connections",
        arrivals.len(),
        lasts.as_secs()
    );
    let before = host.processor_seconds()?;
    let began = Instant::now();
    let told = ask_all(&host, &litters_of(&host, litters)?, &arrivals)?;
    let took = began.elapsed().as_secs_f64();
    let after = host.processor_seconds()?;
    println!("{:<26} {:>8} {:>10} {:>10} {:>10}", "", "asked", "p50 ms", "p99 ms", "longest");
    let mut all = Vec::new();
    for (question, times) in told.times {
        all.extend(&times);
        line(question.name(), times);
    }
    line("all of them", all);
    println!(
        "{} refused{}; processor: service {:.0} %, Postgres {:.0} % of one; memory {:.1} MiB",
        told.refused.len(),
        told.refused.first().map(|why| format!(" ({why})")).unwrap_or_default(),
        100.0 * (after.0 - before.0) / took,
        100.0 * (after.1 - before.1) / took,
        host.memory_mib()?
    );
    let watched = host.psql(&[
        "--command",
        "SELECT count(*) FILTER (WHERE next_at < now() - interval '5 seconds') || ' of ' || count(*) || ' looks late, the longest by ' \
         || coalesce(greatest(0, round(extract(epoch FROM now() - min(next_at)))), 0) || ' s' FROM ring_watches",
    ])?;
    println!("alarms: {}", watched.trim());
    host.stop().await
}

fn line(name: &str, times: Vec<f64>) {
    let asked = times.len();
    let load = Load::of(times, Duration::from_secs(1));
    let [p50, p99, most] = [0.5, 0.99, 1.0].map(|share| load.quantile(share));
    println!("{name:<26} {asked:>8} {p50:>10.1} {p99:>10.1} {most:>10.1}");
}

/// Asks each at its moment; times count from then.
fn ask_all(host: &Host, litters: &[Litter], arrivals: &[Arrival]) -> Outcome<Told> {
    let (next, told) = (AtomicUsize::new(0), Mutex::new(Told::default()));
    let began = Instant::now() + Duration::from_millis(500);
    let one_client = || -> Outcome<()> {
        let mut connection = Connection::open(host.address)?;
        while let Some(arrival) = arrivals.get(next.fetch_add(1, Ordering::Relaxed)) {
            let due = began + arrival.due;
            thread::sleep(due.saturating_duration_since(Instant::now()));
            let place = &host.places[arrival.kennel - 1];
            let request = arrival.question.request(place, litters.get(arrival.kennel - 2));
            let answer = connection.ask(&request).map(drop);
            let time = due.elapsed().as_secs_f64() * 1e3;
            let mut told = told.lock().unwrap_or_else(PoisonError::into_inner);
            match answer {
                Ok(()) => told.times.entry(arrival.question).or_default().push(time),
                Err(why) => told.refused.push(why.to_string().chars().take(400).collect()),
            }
        }
        Ok(())
    };
    thread::scope(|scope| {
        let clients: Vec<_> = (0..CLIENTS).map(|_| scope.spawn(one_client)).collect();
        clients
            .into_iter()
            .map(thread::ScopedJoinHandle::join)
            .try_for_each(|end| end.unwrap_or_else(|_| Err("a client panicked".into())))
    })?;
    Ok(told.into_inner().unwrap_or_else(PoisonError::into_inner))
}
