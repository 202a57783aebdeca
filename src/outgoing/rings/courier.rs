//! Sends rings that are due, until they have arrived or it is too late.

use super::Ringing;
use crate::{lanes::Lanes, mail::Letter};
use metrics::METRICS;
use std::{
    collections::BTreeSet,
    sync::{Arc, Mutex, MutexGuard, PoisonError},
    time::Duration,
};
use store::rings::outbox::{self, Destination, Due, RingOutcome};
use tokio::task::JoinSet;

/// Tries of what is of use later as well: hourly in the end, for three days.
const PATIENT_TRIES: usize = 80;

/// Most services that an instance remembers as slow ones.
const MOST_SLOW: usize = 1000;

/// Sends for as long as the process lives.
pub async fn work(ringing: Arc<Ringing>) {
    let lanes = Lanes::new();
    let mut sending = JoinSet::new();
    loop {
        let (db, manner) = (&ringing.bell.db, &ringing.bell.manner);
        let (now, lease) = ((ringing.bell.now)(), manner.lease_seconds());
        match outbox::claim(db, now, lanes.free(), ringing.slow.all(), lease).await {
            Ok(claimed) => {
                for due in claimed {
                    sending.spawn(Arc::clone(&ringing).called(due, &lanes));
                }
            }
            Err(error) => {
                tracing::debug!(%error, "nothing is rung");
                tokio::time::sleep(Duration::from_secs(1)).await;
            }
        }
        // Whoever ends makes room: the next may be claimed at once.
        tokio::select! {
            () = ringing.due.notified() => {}
            () = tokio::time::sleep(manner.glance) => {}
            Some(_) = sending.join_next() => {}
        }
        while sending.try_join_next().is_some() {}
    }
}

/// The services that took long to answer their last call.
#[derive(Default)]
pub struct SlowServices(Mutex<BTreeSet<String>>);

impl SlowServices {
    fn names(&self) -> MutexGuard<'_, BTreeSet<String>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn all(&self) -> Vec<String> {
        self.names().iter().cloned().collect()
    }

    fn note(&self, service: &str, took_long: bool) {
        let mut slow = self.names();
        if !took_long {
            slow.remove(service);
        } else if slow.len() < MOST_SLOW {
            slow.insert(service.to_owned());
        }
    }
}

/// What a try came to.
pub(crate) enum Tried {
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
    /// Sends from a place that it has from now on. A service that takes long is known as a slow one before it has
    /// answered, so that no more of its rings take places of others.
    fn called(self: Arc<Self>, due: Due, lanes: &Lanes) -> impl Future<Output = ()> + use<> {
        let soon = self.bell.addresses.slow;
        let (service, slow) = (due.service.clone(), due.slow);
        let (sender, noting) = (Arc::clone(&self), Arc::clone(&self));
        let named = service.clone();
        let send = async move { sender.send(&due).await };
        let takes_long = move || {
            noting.slow.note(&named, true);
            noting.due.notify_one();
        };
        let call = lanes.call(slow, soon, send, takes_long);
        async move {
            if !call.await {
                self.slow.note(&service, false);
            }
        }
    }

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
