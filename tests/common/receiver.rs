//! Somebody who is told by a webhook or a push.

use std::collections::BTreeMap;
use std::sync::{
    Arc, Mutex,
    atomic::{AtomicUsize, Ordering},
};
use std::time::Duration;

use super::waiting::until;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream};

/// What a receiver got.
#[derive(Clone, Debug)]
pub struct Received {
    /// Its headers, their names in lower case.
    pub headers: BTreeMap<String, String>,
    /// Its body.
    pub body: String,
    /// The same as it came.
    pub bytes: Vec<u8>,
}

/// A receiver on a port of this machine.
#[derive(Clone)]
pub struct Receiver {
    /// Where it is.
    pub url: String,
    received: Arc<Mutex<Vec<Received>>>,
    statuses: Arc<Mutex<Vec<u16>>>,
    takes: Duration,
    at_once: Arc<AtomicUsize>,
    most_at_once: Arc<AtomicUsize>,
}

impl Receiver {
    /// One that answers with these statuses in turn, the last one for ever.
    pub async fn start(statuses: &[u16]) -> Self {
        Self::slow(statuses, Duration::ZERO).await
    }

    /// The same, which takes its time before it answers.
    pub async fn slow(statuses: &[u16], takes: Duration) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let receiver = Self {
            url: format!("http://{}/hook?key=theirs", listener.local_addr().unwrap()),
            received: Arc::default(),
            statuses: Arc::new(Mutex::new(statuses.to_vec())),
            takes,
            at_once: Arc::default(),
            most_at_once: Arc::default(),
        };
        let answering = receiver.clone();
        tokio::spawn(async move {
            while let Ok((connection, _)) = listener.accept().await {
                let answering = answering.clone();
                tokio::spawn(async move { answering.answer(connection).await });
            }
        });
        receiver
    }

    async fn answer(&self, mut connection: TcpStream) {
        let mut text = Vec::new();
        let mut part = [0; 4096];
        let (head, bytes) = loop {
            let count = connection.read(&mut part).await.unwrap_or(0);
            if count == 0 {
                return;
            }
            text.extend_from_slice(&part[..count]);
            let Some(end) = text.windows(4).position(|four| four == b"\r\n\r\n") else { continue };
            let head = String::from_utf8_lossy(&text[..end]).into_owned();
            let length = head.lines().find_map(|line| {
                line.to_lowercase().strip_prefix("content-length: ")?.parse().ok()
            });
            if text.len() >= end + 4 + length.unwrap_or(0) {
                break (head, text[end + 4..].to_vec());
            }
        };
        let body = String::from_utf8_lossy(&bytes).into_owned();
        let headers = head.lines().filter_map(|line| line.split_once(": "));
        let headers =
            headers.map(|(name, value)| (name.to_lowercase(), value.to_owned())).collect();
        self.received.lock().unwrap().push(Received { headers, body, bytes });
        let now = self.at_once.fetch_add(1, Ordering::SeqCst) + 1;
        self.most_at_once.fetch_max(now, Ordering::SeqCst);
        tokio::time::sleep(self.takes).await;
        self.at_once.fetch_sub(1, Ordering::SeqCst);
        let status = {
            let mut statuses = self.statuses.lock().unwrap();
            if statuses.len() > 1 { statuses.remove(0) } else { statuses[0] }
        };
        let answer = format!(
            "HTTP/1.1 {status} X\r\nContent-Length: 0\r\nLocation: /elsewhere\r\nConnection: close\r\n\r\n"
        );
        let _ = connection.write_all(answer.as_bytes()).await;
    }

    /// From now on it answers with these.
    pub fn answers(&self, statuses: &[u16]) {
        *self.statuses.lock().unwrap() = statuses.to_vec();
    }

    /// All calls so far.
    pub fn all(&self) -> Vec<Received> {
        self.received.lock().unwrap().clone()
    }

    /// The most calls that were open at once.
    pub fn most_at_once(&self) -> usize {
        self.most_at_once.load(Ordering::SeqCst)
    }

    /// Waits for so many calls.
    pub async fn wait(&self, count: usize) -> Vec<Received> {
        let enough = async || Some(self.all()).filter(|all| all.len() >= count);
        until(format_args!("{count} calls"), enough).await
    }
}
