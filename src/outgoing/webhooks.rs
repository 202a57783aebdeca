//! Tells webhooks of changes, signed as the Standard Webhooks specification (version 1.0.0) says.
//!
//! Several instances share the work: each takes deliveries that nobody else has taken. A delivery
//! arrives at least once; its id tells a receiver what it has had already. Kennels have their turns, and
//! webhooks that fail or take long have places of their own, so that they delay nobody else.

pub use super::webhook_address::check_url;
use super::{
    lanes::Lanes,
    mail::Mailer,
    webhook_address::{NOT_PUBLIC, PublicOnly},
};
use base64::{Engine as _, engine::general_purpose::STANDARD};
use catalogue::{Text, said};
use chrono::Utc;
use hmac::{Hmac, Mac as _};
use metrics::METRICS;
use reqwest::{Client, Url, redirect::Policy};
use serde_json::json;
use sha2::Sha256;
use std::{
    sync::Arc,
    time::{Duration, Instant},
};
use store::{
    Db,
    webhooks::{self, DeliveryOutcome, Due, SwitchedOff},
};
use tokio::task::JoinSet;
use uuid::Uuid;

/// How webhooks are delivered.
#[derive(Debug, Clone)]
pub struct Manner {
    /// Whether addresses of this machine and of private networks may be called, also without TLS.
    pub private_networks: bool,
    /// How long to wait after each failed try; after the last one a delivery is dead.
    pub waits: Vec<Duration>,
    /// How often to look for what is due.
    pub glance: Duration,
    /// How long a receiver may take.
    pub patience: Duration,
    /// A receiver that takes longer counts as slow.
    pub slow: Duration,
    /// For how long a webhook may fail, without a good try in between, before it is switched off.
    pub failing: Duration,
}

const MINUTE: u64 = 60;
const HOUR: u64 = 60 * MINUTE;

impl Default for Manner {
    /// The schedule that the specification proposes: ten tries in about three days. It proposes as well to
    /// switch off what fails for days.
    fn default() -> Self {
        let waits = [
            5,
            5 * MINUTE,
            30 * MINUTE,
            2 * HOUR,
            5 * HOUR,
            10 * HOUR,
            14 * HOUR,
            20 * HOUR,
            24 * HOUR,
        ];
        Self {
            private_networks: false,
            waits: waits.map(Duration::from_secs).to_vec(),
            glance: Duration::from_secs(1),
            patience: Duration::from_secs(20),
            slow: Duration::from_secs(2),
            failing: Duration::from_secs(5 * 24 * HOUR),
        }
    }
}

/// How a secret is shown: with the specification's prefix.
pub fn shown_secret(secret: &[u8]) -> String {
    format!("whsec_{}", STANDARD.encode(secret))
}

/// The signature of a message: HMAC-SHA256 over its id, time and body.
pub fn signature(secret: &[u8], id: &str, unix_seconds: i64, body: &str) -> String {
    // HMAC takes keys of any length.
    let Ok(mut mac) = Hmac::<Sha256>::new_from_slice(secret) else { return String::new() };
    mac.update(format!("{id}.{unix_seconds}.{body}").as_bytes());
    format!("v1,{}", STANDARD.encode(mac.finalize().into_bytes()))
}

/// Calls addresses that may be called, and no others.
pub(super) fn client(manner: &Manner) -> Result<Client, reqwest::Error> {
    let builder = Client::builder()
        .redirect(Policy::none())
        .no_proxy()
        .timeout(manner.patience)
        .pool_max_idle_per_host(1)
        .user_agent(concat!("denwright/", env!("CARGO_PKG_VERSION")));
    if manner.private_networks {
        builder.build()
    } else {
        builder.dns_resolver(Arc::new(PublicOnly)).build()
    }
}

/// What each delivery needs.
struct Courier {
    db: Db,
    manner: Manner,
    mailer: Mailer,
    caller: Client,
}

/// Delivers for as long as the process lives.
pub async fn work(db: Db, manner: Manner, mailer: Mailer) {
    let caller = match client(&manner) {
        Ok(caller) => caller,
        Err(error) => {
            tracing::error!(%error, "webhooks are not delivered");
            return;
        }
    };
    let glance = manner.glance;
    let courier = Arc::new(Courier { db, manner, mailer, caller });
    let lanes = Lanes::new();
    let mut served_last = Uuid::nil();
    let mut in_flight = JoinSet::new();
    loop {
        match webhooks::claim(&courier.db, lanes.free(), served_last, courier.lease()).await {
            Ok(claimed) => {
                for due in claimed {
                    served_last = due.kennel_id;
                    let (slow, soon, courier) =
                        (due.slow, courier.manner.slow, Arc::clone(&courier));
                    let delivery = async move { courier.deliver(&due).await };
                    in_flight.spawn(lanes.call(slow, soon, delivery, || {}));
                }
            }
            Err(error) => {
                tracing::debug!(%error, "no deliveries");
                tokio::time::sleep(Duration::from_secs(1)).await;
            }
        }
        if in_flight.is_empty() {
            tokio::time::sleep(glance).await;
            continue;
        }
        // Whoever ends makes room: the next may be claimed at once.
        let _ = tokio::time::timeout(glance, in_flight.join_next()).await;
        while in_flight.try_join_next().is_some() {}
    }
}

impl Courier {
    /// A receiver's patience and some time to write down what became of it, in seconds.
    fn lease(&self) -> i32 {
        i32::try_from(self.manner.patience.as_secs()).unwrap_or(i32::MAX / 2) + 30
    }

    async fn deliver(&self, due: &Due) {
        let began = Instant::now();
        let (status, error) = match self.attempt(due).await {
            Ok(status) if (200..300).contains(&status) => (Some(status), None),
            Ok(status) => {
                (Some(status), Some(said!("delivery-answered", status = status).to_string()))
            }
            Err(error) => (None, Some(error.to_string())),
        };
        let tries = usize::try_from(due.attempts).unwrap_or(usize::MAX);
        let wait = self.manner.waits.get(tries.saturating_sub(1)).map(Duration::as_secs_f64);
        let good = error.is_none();
        METRICS.delivered(match (good, wait) {
            (true, _) => "delivered",
            (false, Some(_)) => "failed",
            (false, None) => "dead",
        });
        let outcome = DeliveryOutcome {
            good,
            took_long: began.elapsed() > self.manner.slow,
            status,
            error,
            wait_seconds: wait.filter(|_| !good),
            off_after_seconds: self.manner.failing.as_secs_f64(),
        };
        match webhooks::finish(&self.db, due, &outcome).await {
            Ok(told) => {
                for person in told {
                    self.tell(&person).await;
                }
            }
            // Its lease ends, and it is tried again.
            Err(error) => tracing::debug!(%error, "what became of a delivery is not written down"),
        }
    }

    /// One try; the HTTP status, or why there was no answer.
    async fn attempt(&self, due: &Due) -> Result<i32, Text> {
        let url = check_url(&due.url, &self.manner)
            .map_err(|why| said!("delivery-address", why = why))?;
        let body = json!({
            "type": due.event, "timestamp": due.at, "kennel_id": due.kennel_id, "data": due.content,
        })
        .to_string();
        let (id, now) = (due.id.to_string(), Utc::now().timestamp());
        let request = self
            .caller
            .post(url)
            .header("content-type", "application/json")
            .header("webhook-id", &id)
            .header("webhook-timestamp", now.to_string())
            .header("webhook-signature", signature(&due.secret, &id, now, &body))
            .body(body);
        match request.send().await {
            Ok(response) => Ok(response.status().as_u16().into()),
            // Without the address, which may hold a key of the receiver.
            Err(error) => Err(reason(&error.without_url())),
        }
    }

    /// Tells a person that a webhook was switched off.
    async fn tell(&self, off: &SwitchedOff) {
        // The path may hold a key of the receiver; the host is enough to know it by.
        let host = off.url.parse::<Url>().ok().and_then(|url| url.host_str().map(str::to_owned));
        let host = host.unwrap_or_default();
        let text = said!(
            "mail-webhook-off",
            kennel = &off.kennel_name,
            host = host,
            since = off.failing_since.format("%Y-%m-%d %H:%M UTC").to_string()
        );
        let subject = said!("mail-webhook-off-subject").to_string();
        if let Err(error) = self.mailer.send(&off.email, &subject, format!("{text}\n")).await {
            tracing::warn!(%error, "a mail about a webhook was not sent");
        }
    }
}

/// Why there was no answer; what lies beneath is for the log alone.
fn reason(error: &reqwest::Error) -> Text {
    let (mut beneath, mut cause) = (String::new(), std::error::Error::source(error));
    while let Some(error) = cause {
        beneath = format!("{beneath}: {error}");
        cause = error.source();
    }
    tracing::debug!(%beneath, "a webhook was not answered");
    if beneath.ends_with(NOT_PUBLIC) {
        said!("delivery-not-public")
    } else if error.is_timeout() {
        said!("delivery-too-slow")
    } else if error.is_connect() {
        said!("delivery-no-connection")
    } else {
        said!("delivery-broken-off")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example that the libraries of the Standard Webhooks project test themselves with.
    #[test]
    fn a_message_is_signed_as_the_specification_says() {
        let secret = STANDARD.decode("MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw").unwrap();
        let body = r#"{"test": 2432232314}"#;
        assert_eq!(
            signature(&secret, "msg_p5jXN8AQM9LWM0D4loKWxJek", 1_614_265_330, body),
            "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="
        );
        assert_eq!(shown_secret(&secret), "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw");
    }

    #[tokio::test]
    async fn a_name_that_leads_inside_is_told_as_one_that_is_not_there() {
        let caller = client(&Manner::default()).unwrap();
        for name in ["localhost", "no-such-name.invalid"] {
            let error = caller.get(format!("https://{name}:1/")).send().await.unwrap_err();
            assert!(reason(&error).contains("no public address"), "{}", reason(&error));
        }
    }
}
