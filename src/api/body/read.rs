//! The bytes of a body: so many by the kind of the operation, counted while they come.
//!
//! How large a body may be hangs on who sends it. What needs no login, or a login of no kennel, takes
//! 16 KB; other JSON 1 MB; files and batches what the service is set to. No operation has to say so: an
//! extractor of a login leaves a [`Gate`] in the request, the body waits behind it, and without a gate
//! nobody has been asked. So nothing larger is read for somebody who is then turned away.

use crate::{
    App,
    problem::{Kind, Problem},
};
use actix_web::{
    HttpMessage as _, HttpRequest,
    dev::Payload,
    error::PayloadError,
    http::header,
    web::{self, Bytes, BytesMut},
};
use catalogue::said;
use futures_util::StreamExt as _;
use sha2::{Digest as _, Sha256};
use std::{io::Read, sync::Arc};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// Largest body of an operation that needs no kennel, in bytes.
pub const SMALL: usize = 16 << 10;
/// Largest JSON body, in bytes.
pub(crate) const JSON: usize = 1 << 20;
/// Largest batch of observations, in bytes: ten thousand rows with long notes.
pub(crate) const BATCH: usize = 32 << 20;
/// A body above so many bytes is read and checked away from the threads that answer requests.
pub(crate) const LARGE: usize = 64 << 10;

/// Memory that large bodies may take at once, in parts of 64 KB.
#[derive(Clone)]
pub struct LargeBodies(Arc<Semaphore>);

impl LargeBodies {
    /// Room for two of the largest.
    pub fn new(largest: usize) -> Self {
        Self(Arc::new(Semaphore::new((2 * largest.max(JSON)).div_ceil(LARGE))))
    }

    /// Room for one part more.
    fn part(&self) -> Result<OwnedSemaphorePermit, Problem> {
        let busy = |_| Problem::later(Kind::Busy, said!("problem-later-large"), "10");
        Arc::clone(&self.0).try_acquire_owned().map_err(busy)
    }
}

/// What a body waits behind until it is known who sends it.
#[derive(Clone)]
pub(crate) struct Gate {
    known: Arc<Semaphore>,
    /// Whether a member of the kennel in the path is asked for, or just anybody with a login.
    of_kennel: bool,
}

impl Gate {
    /// Has the body of this request wait.
    pub fn before(request: &HttpRequest, of_kennel: bool) -> Self {
        let gate = Self { known: Arc::new(Semaphore::new(0)), of_kennel };
        request.extensions_mut().insert(gate.clone());
        gate
    }

    /// Lets the body through.
    pub fn open(&self) {
        self.known.add_permits(1);
    }
}

/// What kind of body an operation takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Taken {
    /// A JSON document.
    Json,
    /// Many rows as JSON.
    Batch,
    /// A file, which may come compressed.
    File,
}

/// A body, whole, and the room that it takes.
pub struct Arrived {
    /// Its bytes; those of a compressed file are unpacked.
    pub bytes: Bytes,
    /// SHA-256 of what came.
    pub digest: [u8; 32],
    /// Held for as long as the body is.
    pub room: Vec<OwnedSemaphorePermit>,
    /// The application.
    pub app: web::Data<App>,
}

/// Media type of a request's body, without parameters, in lower case.
fn media_type(request: &HttpRequest) -> String {
    let header = request.headers().get(header::CONTENT_TYPE).and_then(|v| v.to_str().ok());
    header.unwrap_or_default().split(';').next().unwrap_or_default().trim().to_ascii_lowercase()
}

/// Reads a body of one of these media types, no more of it than the operation takes.
///
/// # Errors
/// 415 when it is of another type or encoded in a way that is not taken, 413 when it is larger, 400 when
/// it breaks off, 503 when others fill the room for large ones.
pub async fn read(
    request: HttpRequest,
    mut payload: Payload,
    taken: Taken,
    media_types: &[&str],
) -> Result<Arrived, Problem> {
    let gate = request.extensions().get::<Gate>().cloned();
    if let Some(gate) = &gate {
        // Never given up without the request: the login's extractor ends it when it fails.
        let _known = gate.known.acquire().await;
    }
    let app = request
        .app_data::<web::Data<App>>()
        .cloned()
        .ok_or_else(|| Problem::of_ours(&"no application"))?;
    if !media_types.contains(&media_type(&request).as_str()) {
        let wanted = media_types.first().copied().unwrap_or_default();
        let detail = said!("problem-media-type", wanted = wanted);
        return Err(Problem::new(Kind::WrongMediaType, detail));
    }
    let packed = packing(&request, taken)?;
    let most = most(gate.as_ref(), taken, app.body_limit);
    let length = request.headers().get(header::CONTENT_LENGTH);
    let length = length.and_then(|value| value.to_str().ok()?.parse::<u64>().ok());
    if length.is_some_and(|length| length > most as u64) {
        return Err(too_large(most));
    }
    let (mut bytes, mut room, mut hash) = (BytesMut::new(), Vec::new(), Sha256::new());
    while let Some(chunk) = payload.next().await {
        let chunk = chunk.map_err(broken_off)?;
        if bytes.len() + chunk.len() > most {
            return Err(too_large(most));
        }
        hash.update(&chunk);
        bytes.extend_from_slice(&chunk);
        make_room(&mut room, bytes.len(), &app.large_bodies)?;
    }
    let digest = hash.finalize().into();
    let bytes = bytes.freeze();
    let Some(packing) = packed else { return Ok(Arrived { bytes, digest, room, app }) };
    let large = app.large_bodies.clone();
    let unpack = move || unpacked(&bytes, packing, most, &large);
    let (bytes, room) = app.reading.done(unpack).await??;
    Ok(Arrived { bytes, digest, room, app })
}

fn most(gate: Option<&Gate>, taken: Taken, largest: usize) -> usize {
    let by_sender = match gate {
        None => SMALL,
        Some(gate) if !gate.of_kennel && taken != Taken::File => SMALL,
        Some(_) => largest,
    };
    let by_kind = match taken {
        Taken::Json => JSON,
        Taken::Batch => BATCH,
        Taken::File => largest,
    };
    by_sender.min(by_kind)
}

fn too_large(most: usize) -> Problem {
    let detail = match most {
        megabytes if megabytes >= 1 << 20 => {
            said!("problem-too-large-mb", most_mb = megabytes >> 20)
        }
        bytes => said!("problem-too-large-kb", most_kb = bytes >> 10),
    };
    Problem::new(Kind::TooLarge, detail)
}

fn broken_off(error: PayloadError) -> Problem {
    // The cause is the connection's, and tells nothing of what came over it.
    let detail = match error {
        PayloadError::Incomplete(_) => said!("problem-not-whole-ended"),
        PayloadError::EncodingCorrupted => said!("problem-not-whole-chunks"),
        _ => said!("problem-not-whole-connection"),
    };
    Problem::new(Kind::Unreadable, detail)
}

/// How a file is compressed.
#[derive(Debug, Clone, Copy)]
enum Packing {
    Gzip,
    Deflate,
}

/// Refuses a body that comes packed, where none is unpacked.
pub(crate) fn not_packed(request: &HttpRequest) -> Result<(), Problem> {
    packing(request, Taken::Json).map(drop)
}

fn packing(request: &HttpRequest, taken: Taken) -> Result<Option<Packing>, Problem> {
    let mut named = Vec::new();
    for value in request.headers().get_all(header::CONTENT_ENCODING) {
        let value = value.to_str().unwrap_or("?").to_ascii_lowercase();
        let words = value.split(',').map(|word| word.trim().to_owned());
        named.extend(words.filter(|word| word != "identity"));
    }
    match named.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        [] => Ok(None),
        ["gzip" | "x-gzip"] if taken == Taken::File => Ok(Some(Packing::Gzip)),
        ["deflate"] if taken == Taken::File => Ok(Some(Packing::Deflate)),
        _ => {
            // RFC 9110, section 12.5.3: the answer tells what would be taken.
            let (detail, accepted) = match taken {
                Taken::File => (said!("problem-packing-of-file"), "gzip, deflate"),
                _ => (said!("problem-packing"), "identity"),
            };
            Err(Problem::new(Kind::WrongMediaType, detail)
                .with_header(header::ACCEPT_ENCODING, accepted))
        }
    }
}

type Unpacked = (Bytes, Vec<OwnedSemaphorePermit>);

/// Unpacks a file, no more of it than may come.
fn unpacked(
    bytes: &[u8],
    packing: Packing,
    most: usize,
    large: &LargeBodies,
) -> Result<Unpacked, Problem> {
    let mut source: Box<dyn Read> = match packing {
        Packing::Gzip => Box::new(flate2::read::MultiGzDecoder::new(bytes)),
        Packing::Deflate => Box::new(flate2::read::ZlibDecoder::new(bytes)),
    };
    let (mut whole, mut room) = (BytesMut::new(), Vec::new());
    let mut part = vec![0; LARGE];
    loop {
        domain::stop::look();
        let count = source.read(&mut part).map_err(|_| {
            let detail = said!("problem-unpacking");
            Problem::new(Kind::Unreadable, detail)
        })?;
        if count == 0 {
            return Ok((whole.freeze(), room));
        }
        if whole.len() + count > most {
            return Err(too_large(most));
        }
        whole.extend_from_slice(&part[..count]);
        make_room(&mut room, whole.len(), large)?;
    }
}

/// Takes room for a body that has grown to so many bytes.
fn make_room(
    room: &mut Vec<OwnedSemaphorePermit>,
    bytes: usize,
    large: &LargeBodies,
) -> Result<(), Problem> {
    while bytes > LARGE * (room.len() + 1) {
        room.push(large.part()?);
    }
    Ok(())
}
