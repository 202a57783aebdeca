//! Open streams of changes: what they hold, and how soon a change reaches all of a kennel's.

use super::{
    CONNECTIONS,
    client::{Connection, Outcome},
    host::{Host, Place},
    middle,
};
use std::{
    collections::VecDeque,
    sync::{
        Arc, Mutex, PoisonError,
        atomic::{AtomicUsize, Ordering},
    },
    thread,
    time::{Duration, Instant},
};
use tokio::{net::TcpStream, task::JoinSet};

/// Streams of a kennel, and of a person: the most that there may be.
const OF_KENNEL: usize = 100;
const OF_PERSON: usize = 20;
/// Changes in each kennel.
const CHANGES: usize = 5;

/// Opens so many streams and has each kennel change.
pub async fn run(streams: usize) -> Outcome<()> {
    let kennels = streams.div_ceil(OF_KENNEL);
    let host = Host::start((kennels + 1).max(100), CONNECTIONS).await?;
    println!("{CONNECTIONS} connections; memory idle {:.1} MiB", host.idle_mib);
    // Reads and writes of some kennels: connections are open and statements prepared before memory is compared.
    let mut writer = Connection::open(host.address)?;
    for place in host.places.iter().skip(1).cycle().take(200) {
        writer.ask(&place.request("GET", &format!("/dogs/{}", place.dog), None))?;
        writer.ask(&super::weigh(place, 0))?;
    }
    let before = host.memory_mib()?;
    let open = Streams::open(&host, kennels, streams)?;
    let held = host.memory_mib()?;
    println!(
        "{streams} streams of {kennels} kennels: memory {before:.1} MiB before, {held:.1} with them ({:.1} KiB each)",
        (held - before) * 1024.0 / streams as f64
    );
    let (mut medians, mut lasts) = (Vec::new(), Vec::new());
    for round in 0..CHANGES {
        for kennel in 0..kennels {
            let times = open.told(&mut writer, &host.places[kennel + 1], kennel, round)?;
            medians.push(times[times.len() / 2]);
            lasts.push(times[times.len() - 1]);
        }
    }
    let worst = lasts.iter().copied().fold(0.0, f64::max);
    println!(
        "from a write's answer to the streams of its kennel: the median one {:.1} ms, the last one {:.1} ms (middle of {}), \
         {worst:.1} ms at worst; memory after it {:.1} MiB",
        middle(&mut medians),
        middle(&mut lasts),
        lasts.len(),
        host.memory_mib()?
    );
    host.stop().await
}

/// How soon a change reaches ten streams of a kennel, in milliseconds: the middle of some changes.
pub fn soon(host: &Host) -> Outcome<f64> {
    let open = Streams::open(host, 1, 10)?;
    let mut writer = Connection::open(host.address)?;
    let mut lasts = Vec::new();
    for round in 0..25 {
        let times = open.told(&mut writer, &host.places[1], 0, round)?;
        lasts.push(times[times.len() - 1]);
    }
    Ok(middle(&mut lasts))
}

/// Streams that are read on a thread of their own.
struct Streams {
    /// When an event came, by kennel.
    came: Arc<Vec<Mutex<VecDeque<Instant>>>>,
    each: usize,
    _ends: tokio::sync::oneshot::Sender<()>,
}

impl Streams {
    /// Opens them: as many of each kennel, by as many people as are needed.
    fn open(host: &Host, kennels: usize, streams: usize) -> Outcome<Self> {
        let members = OF_KENNEL / OF_PERSON;
        // The busy kennel, the first, is left out.
        host.seed("members.sql", &[("kennels", kennels + 1), ("members", members)])?;
        let last = kennels + 1;
        let people = host.signed(&format!(
            "SELECT md5('kennel' || k)::uuid, md5('dog' || k || '/3')::uuid, md5('person' || k || '/' || m)::uuid, \
                    md5('session' || k || '/' || m)::uuid \
             FROM generate_series(2, {last}) k, generate_series(1, {members}) m ORDER BY k, m"
        ))?;
        let each = streams / kennels;
        let came: Arc<Vec<_>> = Arc::new((0..kennels).map(|_| Mutex::default()).collect());
        let opened = Arc::new(AtomicUsize::new(0));
        let (ends, ended) = tokio::sync::oneshot::channel();
        let requests: Vec<(usize, Vec<u8>)> = (0..kennels * each)
            .map(|number| {
                let kennel = number / each;
                let person = &people[kennel * members + number % each % members];
                (kennel, ask_for_changes(person))
            })
            .collect();
        let reader =
            Reader { address: host.address, came: Arc::clone(&came), opened: Arc::clone(&opened) };
        thread::spawn(move || reader.read(requests, ended));
        let began = Instant::now();
        while opened.load(Ordering::Relaxed) < kennels * each {
            if began.elapsed() > Duration::from_secs(120) {
                let count = opened.load(Ordering::Relaxed);
                return Err(format!("{count} of {} streams are open", kennels * each).into());
            }
            thread::sleep(Duration::from_millis(20));
        }
        // What each looked at when it began is over.
        thread::sleep(Duration::from_secs(2));
        Ok(Self { came, each, _ends: ends })
    }

    /// Milliseconds from a write's answer to each stream of its kennel, the shortest first.
    fn told(
        &self,
        writer: &mut Connection,
        place: &Place,
        kennel: usize,
        round: usize,
    ) -> Outcome<Vec<f64>> {
        let came = || self.came[kennel].lock().unwrap_or_else(PoisonError::into_inner);
        came().clear();
        writer.ask(&super::weigh(place, round * 7 + 1))?;
        let answered = Instant::now();
        while came().len() < self.each {
            if answered.elapsed() > Duration::from_secs(20) {
                let count = came().len();
                return Err(format!("{count} of {} streams told of it", self.each).into());
            }
            thread::sleep(Duration::from_millis(1));
        }
        // One may be told before the answer has come.
        let since = |at: &Instant| at.saturating_duration_since(answered).as_secs_f64() * 1e3;
        let mut times: Vec<f64> = came().iter().map(since).collect();
        times.sort_by(f64::total_cmp);
        Ok(times)
    }
}

/// A stream of what has come and what comes.
fn ask_for_changes(person: &Place) -> Vec<u8> {
    person.send("GET", "/changes", "Accept: text/event-stream", "")
}

struct Reader {
    address: std::net::SocketAddr,
    came: Arc<Vec<Mutex<VecDeque<Instant>>>>,
    opened: Arc<AtomicUsize>,
}

impl Reader {
    /// Reads all streams until it is told to end.
    fn read(self, requests: Vec<(usize, Vec<u8>)>, ended: tokio::sync::oneshot::Receiver<()>) {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
        let Ok(runtime) = runtime else { return };
        runtime.block_on(async {
            let this = Arc::new(self);
            let mut streams = JoinSet::new();
            for (kennel, request) in requests {
                let this = Arc::clone(&this);
                // One after another, as people come: a backlog of connections is not what is measured.
                if let Ok(stream) = this.begun(&request).await {
                    streams.spawn(async move { this.follow(kennel, stream).await });
                }
            }
            let _ = ended.await;
        });
    }

    /// A stream whose answer has begun.
    async fn begun(&self, request: &[u8]) -> std::io::Result<TcpStream> {
        let stream = TcpStream::connect(self.address).await?;
        let mut sent = 0;
        while sent < request.len() {
            stream.writable().await?;
            match stream.try_write(&request[sent..]) {
                Ok(count) => sent += count,
                Err(error) if error.kind() == std::io::ErrorKind::WouldBlock => {}
                Err(error) => return Err(error),
            }
        }
        let head = self.next(&stream).await?;
        if !head.starts_with(b"HTTP/1.1 200") {
            return Err(std::io::Error::other(String::from_utf8_lossy(&head).into_owned()));
        }
        self.opened.fetch_add(1, Ordering::Relaxed);
        Ok(stream)
    }

    async fn follow(&self, kennel: usize, stream: TcpStream) {
        while let Ok(part) = self.next(&stream).await {
            let at = Instant::now();
            if part.windows(13).any(|text| text == b"event: change") {
                self.came[kennel].lock().unwrap_or_else(PoisonError::into_inner).push_back(at);
            }
        }
    }

    /// What comes next.
    async fn next(&self, stream: &TcpStream) -> std::io::Result<Vec<u8>> {
        let mut part = vec![0; 4096];
        loop {
            stream.readable().await?;
            match stream.try_read(&mut part) {
                Ok(0) => return Err(std::io::ErrorKind::UnexpectedEof.into()),
                Ok(count) => {
                    part.truncate(count);
                    return Ok(part);
                }
                Err(error) if error.kind() == std::io::ErrorKind::WouldBlock => {}
                Err(error) => return Err(error),
            }
        }
    }
}
