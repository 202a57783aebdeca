//! Sends rings that are due, until they have arrived or it is too late.

use super::Ringing;
use crate::mail::Letter;
use metrics::METRICS;
use std::{sync::Arc, time::Duration};
use store::rings::outbox::{self, Destination, Due, RingOutcome};
use tokio::{sync::Semaphore, task::JoinSet};

/// Rings in flight at once.
const AT_ONCE: usize = 64;

/// Sends for as long as the process lives.
pub async fn work(ringing: Arc<Ringing>) {
    let places = Arc::new(Semaphore::new(AT_ONCE));
    let mut sending = JoinSet::new();
    loop {
        let free = places.available_permits();
        let most = i32::try_from(free).unwrap_or(i32::MAX);
        let (db, manner) = (&ringing.bell.db, &ringing.bell.manner);
        match outbox::claim(db, (ringing.bell.now)(), most, manner.lease_seconds()).await {
            Ok(claimed) => {
                for due in claimed {
                    let place = Arc::clone(&places).try_acquire_owned();
                    let ringing = Arc::clone(&ringing);
                    sending.spawn(async move {
                        ringing.send(&due).await;
                        drop(place);
                    });
                }
            }
            Err(error) => {
                tracing::debug!(%error, "nothing is rung");
                tokio::time::sleep(Duration::from_secs(1)).await;
            }
        }
        tokio::select! {
            () = ringing.due.notified() => {}
            () = tokio::time::sleep(manner.glance) => {}
            Some(_) = sending.join_next(), if places.available_permits() == 0 => {}
        }
        while sending.try_join_next().is_some() {}
    }
}

/// Tries of what is of use later as well: hourly in the end, for three days.
const PATIENT_TRIES: usize = 80;

/// What a try came to.
pub enum Tried {
    /// It was taken.
    Taken,
    /// The device is gone for good.
    Gone,
    /// It will never be taken.
    Refused(String),
    /// It may be taken later, not before so many seconds.
    Failed(String, u64),
}

impl Ringing {
    async fn send(&self, due: &Due) {
        let (way, tried) = match &due.to {
            Destination::Device(address) => ("push", self.push(due, address).await),
            Destination::Mail(email) => ("mail", self.mail(due, email).await),
            Destination::Nowhere => ("push", Tried::Gone),
        };
        let tries = usize::try_from(due.attempts).unwrap_or(usize::MAX);
        let waits = &self.bell.manner.waits;
        let later = waits.last().filter(|_| due.patient && tries < PATIENT_TRIES);
        let wait = waits.get(tries.saturating_sub(1)).or(later).copied();
        let (good, gone, error, wait) = match tried {
            Tried::Taken => (true, false, None, None),
            Tried::Gone => (false, true, Some("the device is gone".to_owned()), None),
            Tried::Refused(why) => (false, false, Some(why), None),
            Tried::Failed(why, least) => {
                let wait = wait.map(|wait| wait.max(Duration::from_secs(least)).as_secs_f64());
                (false, false, Some(why), wait)
            }
        };
        METRICS.rang(
            way,
            match (good, wait) {
                (true, _) => "sent",
                (false, Some(_)) => "failed",
                (false, None) => "dead",
            },
        );
        let outcome = RingOutcome { good, gone, error, wait_seconds: wait };
        if let Err(error) = outbox::finish(&self.bell.db, due.id, &outcome).await {
            // Its lease ends, and it is tried again under the same id.
            tracing::debug!(%error, "what became of a ring is not written down");
        }
    }

    async fn mail(&self, due: &Due, email: &str) -> Tried {
        let text = |name: &str| due.content[name].as_str().map(str::to_owned);
        let letter = Letter {
            subject: text("subject").unwrap_or_default(),
            text: text("text").unwrap_or_default(),
            html: text("html"),
            unsubscribe: text("unsubscribe"),
            id: Some(due.id),
        };
        match self.bell.mailer.send_letter(email, letter).await {
            Ok(()) => Tried::Taken,
            Err(error) => Tried::Failed(error.to_string(), 0),
        }
    }
}
