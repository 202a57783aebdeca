//! Writing: a batch beside `COPY`, many writers of one kennel beside its readers, a whole breed beside everybody else.

use super::{
    CONNECTIONS,
    breed::breed,
    client::{Connection, Load, Outcome, load},
    host::{Host, Place},
    middle, weigh,
};
use chrono::{DateTime, Duration as Days, Utc};
use std::{
    fmt::Write as _,
    fs,
    net::SocketAddr,
    sync::atomic::{AtomicBool, Ordering},
    thread,
    time::{Duration, Instant},
};
use uuid::Uuid;

/// Weights in a request.
const BATCH: usize = 1_000;
/// Smaller requests before it: as many as an instance has connections for a worker, twice.
const WARM_UPS: usize = 4;
/// Turns of each side.
const TURNS: usize = 9;
/// Writers of one kennel.
const WRITERS: usize = 50;
/// Readers, and how often they ask a second, together.
const READERS: usize = 8;
const READS_A_SECOND: f64 = 100.0;

/// Measures all of it; a breed of so many dogs is imported.
pub async fn run(dogs: usize, lasts: Duration) -> Outcome<()> {
    let host = Host::start(100, CONNECTIONS).await?;
    println!("{CONNECTIONS} connections; memory idle {:.1} MiB", host.idle_mib);
    batch(&host)?;
    crowd(&host, lasts)?;
    import(&host, dogs)?;
    host.stop().await
}

/// A pup of the busy kennel: its id, weight at birth in grams and first morning.
struct Pup {
    id: Uuid,
    born_g: f64,
    first: DateTime<Utc>,
}

fn pups(host: &Host) -> Outcome<Vec<Pup>> {
    let rows = host.psql(&[
        "--command",
        "SELECT md5('pup' || l || '/' || p)::uuid, 380 + 10 * p, extract(epoch FROM current_date - 3 * l + interval '7 hours')::bigint \
         FROM generate_series(1, 20) l, generate_series(1, 8) p",
    ])?;
    rows.lines()
        .map(|row| {
            let fields: Vec<&str> = row.split('|').collect();
            let [id, born_g, first] = fields[..] else { return Err("not three columns".into()) };
            let first = DateTime::from_timestamp(first.parse()?, 0).ok_or("no time")?;
            Ok(Pup { id: id.parse()?, born_g: born_g.parse()?, first })
        })
        .collect()
}

/// A thousand weights as a phone that was offline sends them: of all pups, over the last hours, as they grow.
fn weighings(pups: &[Pup], turn: usize) -> Vec<(Uuid, Uuid, DateTime<Utc>, i32)> {
    let now = Utc::now();
    (0..BATCH)
        .map(|row| {
            let pup = &pups[row % pups.len()];
            let at = now - Days::seconds((row * 7 + turn) as i64 + 60);
            let days = (at - pup.first).num_seconds() as f64 / 86_400.0;
            let grams = pup.born_g * (1.0 + days / 8.0);
            (Uuid::now_v7(), pup.id, at, grams.round() as i32)
        })
        .collect()
}

/// A batch over HTTP beside `COPY` of as many rows, in turns.
fn batch(host: &Host) -> Outcome<()> {
    let pups = pups(host)?;
    let place = &host.places[0];
    let mut connection = Connection::open(host.address)?;
    let (mut ours, mut theirs) = (Vec::new(), Vec::new());
    let mut took = [0.0; 3];
    for turn in 0..TURNS + 2 {
        let rows = weighings(&pups, turn);
        // As COPY's connection has: plans, which went with what was written before.
        for round in 1..=WARM_UPS {
            let few = weighings(&pups, turn + 1_000 * round);
            send_batch(&mut connection, place, &few[..pups.len()])?;
        }
        let before = host.processor_seconds()?;
        let time = send_batch(&mut connection, place, &rows)?;
        let after = host.processor_seconds()?;
        host.forget_written()?;
        let (copied, copy_processor) = copy(host, place, &pups, turn)?;
        host.forget_written()?;
        // The first ones prepare statements and load what is remembered.
        if turn >= 2 {
            ours.push(time);
            theirs.push(copied);
            took[0] += (after.0 - before.0) * 1e3 / TURNS as f64;
            took[1] += (after.1 - before.1) * 1e3 / TURNS as f64;
            took[2] += copy_processor * 1e3 / TURNS as f64;
        }
    }
    let (ours, theirs) = (middle(&mut ours), middle(&mut theirs));
    println!(
        "{BATCH} weights: request {ours:.1} ms, COPY {theirs:.1} ms, ratio {:.2}; processor: service {:.1} ms and Postgres \
         {:.1} ms, COPY {:.1} ms",
        ours / theirs,
        took[0],
        took[1],
        took[2]
    );
    Ok(())
}

/// Milliseconds of a batch, all of which must be stored.
fn send_batch(
    connection: &mut Connection,
    place: &Place,
    rows: &[(Uuid, Uuid, DateTime<Utc>, i32)],
) -> Outcome<f64> {
    let mut body = String::from(r#"{"items":["#);
    for (number, (id, dog, at, grams)) in rows.iter().enumerate() {
        let comma = if number == 0 { "" } else { "," };
        let at = at.format("%Y-%m-%dT%H:%M:%S%.6fZ");
        let _ = write!(
            body,
            r#"{comma}{{"id":"{id}","dog_id":"{dog}","measured_at":"{at}","weight_g":{grams},"note":"measured"}}"#
        );
    }
    body.push_str("]}");
    let request = place.request("POST", "/weights/batch", Some(&body));
    let began = Instant::now();
    let answer = connection.ask(&request)?;
    let time = began.elapsed().as_secs_f64() * 1e3;
    let told = format!("\"stored\":{},", rows.len());
    let answer = String::from_utf8_lossy(answer);
    if !answer.contains(&told) {
        return Err(format!("not all were stored: {}", &answer[..answer.len().min(2_000)]).into());
    }
    Ok(time)
}

/// Milliseconds of `COPY` into the same table with its triggers, in the scope of the same person, commit included; and
/// its processor time in seconds.
///
/// `COPY` goes past row-level security or not at all, so it is the superuser's. Two go before, undone, so that the
/// connection has the triggers' plans as those of the service have.
fn copy(host: &Host, place: &Place, pups: &[Pup], turn: usize) -> Outcome<(f64, f64)> {
    let mut script = String::from("\\set QUIET on\n\\o /dev/null\n");
    for (round, end) in [(0, "ROLLBACK"), (1, "ROLLBACK"), (2, "COMMIT")] {
        let last = round == 2;
        if last {
            script.push_str("\\timing on\n");
        }
        let _ = writeln!(
            script,
            "BEGIN;\nSELECT stand_in('{}', md5('person1')::uuid, 'owner', current_date);\n\
             COPY weights (kennel_id, id, dog_id, measured_at, weight_g, note) FROM STDIN;",
            place.kennel
        );
        for (id, dog, at, grams) in weighings(pups, 100 + 10 * turn + round) {
            let at = at.format("%Y-%m-%dT%H:%M:%S%.6fZ");
            let _ = writeln!(script, "{}\t{id}\t{dog}\t{at}\t{grams}\tmeasured", place.kennel);
        }
        let _ = writeln!(script, "\\.\n{end};");
    }
    let file = host.scratch("copy.sql");
    fs::write(&file, script)?;
    let before = host.processor_seconds()?.1;
    let told = host.psql(&["--file", &file.to_string_lossy()])?;
    let after = host.processor_seconds()?.1;
    let times = told
        .lines()
        .filter_map(|line| line.strip_prefix("Time: ")?.split(' ').next()?.parse::<f64>().ok());
    // BEGIN, the scope, COPY, COMMIT.
    let times: Vec<f64> = times.collect();
    if times.len() != 4 {
        return Err(format!("COPY told {} times: {told}", times.len()).into());
    }
    Ok((times.iter().sum(), (after - before) / 3.0))
}

/// Fifty writers of a kennel beside those who read there, and elsewhere.
fn crowd(host: &Host, lasts: Duration) -> Outcome<()> {
    let (here, elsewhere) = (&host.places[1], &host.places[2]);
    let read = |place: &Place, number: usize| match number % 2 {
        0 => place.request("GET", &format!("/dogs/{}", place.dog), None),
        _ => place.request("GET", &format!("/dogs/{}/weights", place.dog), None),
    };
    let reads = |place: &Place| {
        let make = |number: usize| read(place, number);
        load(host.address, READERS, lasts, Some(READS_A_SECOND), &make)
    };
    let alone = reads(here)?;
    let write = |number: usize| weigh(here, number);
    let (written, beside, away) = thread::scope(|scope| {
        let written = scope.spawn(|| load(host.address, WRITERS, lasts, None, &write));
        let away = scope.spawn(|| reads(elsewhere));
        let beside = reads(here);
        let ended = |_| "a client panicked".to_owned();
        Ok::<_, Box<dyn std::error::Error + Send + Sync>>((
            written.join().map_err(ended)??,
            beside?,
            away.join().map_err(ended)??,
        ))
    })?;
    host.forget_written()?;
    told("readers of a kennel, alone", &alone);
    told(&format!("readers beside {WRITERS} writers of it"), &beside);
    told("readers of another kennel meanwhile", &away);
    told(&format!("the {WRITERS} writers"), &written);
    Ok(())
}

fn told(what: &str, load: &Load) {
    let [p50, p99, most] = [0.5, 0.99, 1.0].map(|share| load.quantile(share));
    println!(
        "{what:<40} {:>7.0}/s  p50 {p50:>7.2} ms  p99 {p99:>8.2} ms  longest {most:>8.2} ms",
        load.rate
    );
}

/// A breed over HTTP into a kennel, while others read and write in theirs.
fn import(host: &Host, dogs: usize) -> Outcome<()> {
    let file = studbook(dogs);
    let (place, others) = (&host.places[3], &host.places[4..20]);
    let megabytes = file.len() / 1_000_000;
    let request = place.send("POST", "/imports/dogs", "Content-Type: text/csv", &file);
    drop(file);
    let before = host.memory_mib()?;
    let processor = host.processor_seconds()?;
    let (address, done) = (host.address, AtomicBool::new(false));
    let (seconds, others) = thread::scope(|scope| {
        let asking = scope.spawn(|| ask_until(address, others, &done));
        let began = Instant::now();
        let sent = Connection::open(host.address).and_then(|mut one| one.ask(&request).map(drop));
        let seconds = began.elapsed().as_secs_f64();
        done.store(true, Ordering::Relaxed);
        let asked = asking.join().map_err(|_| "a client panicked".to_owned())?;
        sent.and(asked).map(|load| (seconds, load))
    })?;
    let after = host.processor_seconds()?;
    println!(
        "import of {dogs} dogs, {megabytes} MB: {seconds:.1} s; memory {before:.0} MiB before, {:.0} at most; processor: service \
         {:.1} s, Postgres {:.1} s",
        host.peak_mib()?,
        after.0 - processor.0,
        after.1 - processor.1
    );
    told("others meanwhile", &others);
    Ok(())
}

/// Reads and weighs in other kennels, fifty times a second, until it is done; times count from when each was due.
fn ask_until(address: SocketAddr, places: &[Place], done: &AtomicBool) -> Outcome<Load> {
    let pace = Duration::from_millis(20);
    let mut connection = Connection::open(address)?;
    let began = Instant::now();
    let mut times = Vec::new();
    for number in 0.. {
        let due = began + pace * number;
        thread::sleep(due.saturating_duration_since(Instant::now()));
        if done.load(Ordering::Relaxed) {
            break;
        }
        let number = number as usize;
        let place = &places[number % places.len()];
        let request = match number % 4 {
            0 => weigh(place, number),
            _ => place.request("GET", &format!("/dogs/{}", place.dog), None),
        };
        connection.ask(&request)?;
        times.push(due.elapsed().as_secs_f64() * 1e3);
    }
    Ok(Load::of(times, began.elapsed()))
}

/// A breed as a file.
fn studbook(size: usize) -> String {
    let parents = breed(size, 1);
    let mut role = vec![' '; size];
    for [sire, dam] in &parents {
        if let (Some(sire), Some(dam)) = (sire, dam) {
            (role[*sire as usize], role[*dam as usize]) = ('M', 'F');
        }
    }
    let mut file = String::from("id,name,sex,sire,dam\n");
    for (dog, [sire, dam]) in parents.iter().enumerate() {
        let sex = match role[dog] {
            ' ' if dog % 2 == 0 => 'F',
            ' ' => 'M',
            known => known,
        };
        let id = |parent: &Option<u32>| parent.map(|n| format!("SB{n}")).unwrap_or_default();
        let _ = writeln!(file, "SB{dog},Dog {dog} of Larkfell,{sex},{},{}", id(sire), id(dam));
    }
    file
}
