//! Asks over HTTP/1.1 on connections that stay open, at the least cost: what the asking takes, on the
//! same cores, must not count against the service.

use std::{
    error::Error,
    io::{Read as _, Write as _},
    net::{SocketAddr, TcpStream},
    sync::Barrier,
    thread,
    time::{Duration, Instant},
};

pub type Outcome<T> = Result<T, Box<dyn Error + Send + Sync>>;

/// How long before anything is counted: connections open, statements get prepared.
pub const WARM_UP: Duration = Duration::from_millis(700);

/// A connection to the service.
pub struct Connection {
    stream: TcpStream,
    buffer: Vec<u8>,
}

impl Connection {
    /// Opens one.
    pub fn open(address: SocketAddr) -> Outcome<Self> {
        let stream = TcpStream::connect(address)?;
        stream.set_nodelay(true)?;
        Ok(Self { stream, buffer: vec![0; 1 << 16] })
    }

    /// Sends a request and reads its answer, head and body; anything but success, or that nothing has changed,
    /// is an error.
    pub fn ask(&mut self, request: &[u8]) -> Outcome<&[u8]> {
        self.stream.write_all(request)?;
        let mut filled = 0;
        let mut whole = usize::MAX;
        while filled < whole {
            if filled == self.buffer.len() {
                self.buffer.resize(filled * 2, 0);
            }
            let read = self.stream.read(&mut self.buffer[filled..])?;
            if read == 0 {
                return Err("the service closed the connection".into());
            }
            filled += read;
            if whole == usize::MAX {
                whole = length(&self.buffer[..filled])?.unwrap_or(usize::MAX);
            }
        }
        let answer = &self.buffer[..filled];
        if answer.get(9) != Some(&b'2') && !answer.starts_with(UNCHANGED) {
            return Err(String::from_utf8_lossy(answer).into());
        }
        Ok(answer)
    }
}

/// How an answer begins that tells nothing anew, and has no body.
const UNCHANGED: &[u8] = b"HTTP/1.1 304";

/// Bytes of the whole answer, once its head is there.
fn length(start: &[u8]) -> Outcome<Option<usize>> {
    let Some(head) = start.windows(4).position(|four| four == b"\r\n\r\n") else { return Ok(None) };
    if start.starts_with(UNCHANGED) {
        return Ok(Some(head + 4));
    }
    let text = std::str::from_utf8(&start[..head])?.to_ascii_lowercase();
    let length = text.split("content-length:").nth(1).and_then(|rest| rest.lines().next());
    let length: usize = length.ok_or("an answer without its length")?.trim().parse()?;
    Ok(Some(head + 4 + length))
}

/// The times of the answers that came while it was measured.
pub struct Load {
    /// Answers a second.
    pub rate: f64,
    /// Milliseconds, shortest first.
    times: Vec<f64>,
}

impl Load {
    /// The load of these times in milliseconds.
    pub fn of(mut times: Vec<f64>, lasts: Duration) -> Self {
        times.sort_by(f64::total_cmp);
        Self { rate: times.len() as f64 / lasts.as_secs_f64(), times }
    }

    /// How much longer the slowest hundredth takes than the middle.
    pub fn spread(&self) -> f64 {
        self.quantile(0.99) / self.quantile(0.5)
    }

    /// The time within which this share of the answers came, in milliseconds.
    pub fn quantile(&self, share: f64) -> f64 {
        let last = self.times.len().saturating_sub(1);
        self.times.get((last as f64 * share) as usize).copied().unwrap_or(f64::NAN)
    }
}

/// Makes the request with this number.
pub type Make<'a> = &'a (dyn Fn(usize) -> Vec<u8> + Sync);

/// Asks as fast as `clients` can who wait for each answer; or, with `rate`, so often a second,
/// and then an answer's time counts from when it should have been asked for.
pub fn load(
    address: SocketAddr,
    clients: usize,
    lasts: Duration,
    rate: Option<f64>,
    make: Make<'_>,
) -> Outcome<Load> {
    let gate = Barrier::new(clients);
    let parts: Vec<Outcome<Vec<f64>>> = thread::scope(|scope| {
        let threads: Vec<_> = (0..clients)
            .map(|client| {
                let gate = &gate;
                let pace = rate.map(|rate| clients as f64 / rate);
                scope.spawn(move || one_client(address, client, clients, lasts, pace, make, gate))
            })
            .collect();
        let ended = threads.into_iter().map(thread::ScopedJoinHandle::join);
        ended.map(|part| part.unwrap_or_else(|_| Err("a client panicked".into()))).collect()
    });
    let times = parts.into_iter().collect::<Outcome<Vec<_>>>()?.concat();
    Ok(Load::of(times, lasts))
}

fn one_client(
    address: SocketAddr,
    client: usize,
    clients: usize,
    lasts: Duration,
    pace: Option<f64>,
    make: Make<'_>,
    gate: &Barrier,
) -> Outcome<Vec<f64>> {
    // Whoever fails here must not leave the others at the gate.
    let connection = Connection::open(address);
    gate.wait();
    let mut connection = connection?;
    let began = Instant::now();
    let counted_from = began + WARM_UP;
    let end = counted_from + lasts;
    let mut times = Vec::new();
    for turn in 0.. {
        let mut asked = Instant::now();
        if let Some(pace) = pace {
            // Each client's turns lie between those of the others.
            let at = began
                + Duration::from_secs_f64(pace * (turn as f64 + client as f64 / clients as f64));
            thread::sleep(at.saturating_duration_since(asked));
            asked = at;
        }
        if asked >= end {
            break;
        }
        connection.ask(&make(turn * clients + client))?;
        if asked >= counted_from {
            times.push(asked.elapsed().as_secs_f64() * 1000.0);
        }
    }
    Ok(times)
}
