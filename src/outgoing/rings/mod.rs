//! Rings: people are told of alarms, and of tasks that come due, by messages to their devices and by mail, and webhooks by way of the log.
//!
//! Several instances share the work. [`watch`] looks at kennels whose moment has come or that have changed, and
//! keeps what is new together with the rings that follow, in one transaction; [`courier`] takes rings that are
//! due and tries until they have arrived. What an instance held when it died is another one's once its lease
//! is over: it rings late rather than never. A ring has one id at all its tries, by which a device that hears
//! of it twice stays silent.

mod courier;
mod due;
mod letter;
mod push;
mod watch;
mod words;

pub use words::test_words;

use super::{mail::Mailer, webhooks};
use chrono::{DateTime, Utc};
use postgres::wakes::Wakes;
use reqwest::Client;
use security::web_push::PushKey;
use std::{sync::Arc, time::Duration};
use store::{Db, StoreResult, rings, studbooks::Studbooks};
use tokio::sync::{Notify, OnceCell};

/// How rings are watched for and sent.
#[derive(Debug, Clone)]
pub struct Manner {
    /// How often to look for what is due.
    pub glance: Duration,
    /// How often to compare all kennels with their changes, should a notice have been lost.
    pub sweep: Duration,
    /// For how long what was taken is this instance's.
    pub lease: Duration,
    /// How long to wait after each failed try; after the last one it is too late.
    pub waits: Vec<Duration>,
}

impl Default for Manner {
    /// Tries for two hours, soon at first: what rings at night is of no use in the morning.
    fn default() -> Self {
        let waits = [2, 5, 15, 60, 300, 900, 1800, 3600];
        Self {
            glance: Duration::from_millis(500),
            sweep: Duration::from_secs(60),
            lease: Duration::from_secs(30),
            waits: waits.map(Duration::from_secs).to_vec(),
        }
    }
}

impl Manner {
    fn lease_seconds(&self) -> i32 {
        i32::try_from(self.lease.as_secs()).unwrap_or(i32::MAX).max(1)
    }
}

/// What the service takes for now.
pub type Now = Arc<dyn Fn() -> DateTime<Utc> + Send + Sync>;

/// What rings.
pub struct Bell {
    /// The database.
    pub db: Db,
    /// The pedigrees.
    pub studbooks: Arc<Studbooks>,
    /// Tells which kennels have changed.
    pub wakes: Wakes,
    /// What it takes for now.
    pub now: Now,
    /// Sends mail.
    pub mailer: Mailer,
    /// The origin at which others reach the service, where that was said.
    pub own_origin: Option<String>,
    /// Where messages may go.
    pub addresses: webhooks::Manner,
    /// How it is watched and sent.
    pub manner: Manner,
}

/// A bell at work.
struct Ringing {
    bell: Bell,
    /// Told when there is something to send.
    due: Notify,
    /// Who took long to answer.
    slow: courier::SlowServices,
    key: OnceCell<PushKey>,
    caller: Client,
}

impl Ringing {
    async fn key(&self) -> StoreResult<&PushKey> {
        self.key.get_or_try_init(|| rings::push_key(&self.bell.db)).await
    }
}

/// Rings for as long as the process lives.
pub async fn work(bell: Bell) {
    let caller = match webhooks::client(&bell.addresses) {
        Ok(caller) => caller,
        Err(error) => {
            tracing::error!(%error, "nobody is rung");
            return;
        }
    };
    let (due, key, slow) = (Notify::new(), OnceCell::new(), courier::SlowServices::default());
    let ringing = Arc::new(Ringing { bell, due, slow, key, caller });
    tokio::join!(
        watch::work(Arc::clone(&ringing)),
        courier::work(Arc::clone(&ringing)),
        letter::work(ringing)
    );
}
