//! Tells webhooks of changes, signed as the Standard Webhooks specification (version 1.0.0) says.
//!
//! Several instances share the work: each takes deliveries that nobody else has taken. A delivery
//! arrives at least once; its id tells a receiver what it has had already.

use crate::{
    metrics::METRICS,
    store::{
        Db, StoreResult,
        webhooks::{self, Due, Outcome},
    },
};
use base64::{Engine as _, engine::general_purpose::STANDARD};
use chrono::Utc;
use futures_util::future::join_all;
use hmac::{Hmac, Mac as _};
use reqwest::{
    Client, Url,
    dns::{Addrs, Name, Resolve, Resolving},
    redirect::Policy,
};
use serde_json::json;
use sha2::Sha256;
use std::{
    net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr},
    sync::Arc,
    time::Duration,
};

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
}

impl Default for Manner {
    /// The schedule that the specification proposes: ten tries in about three days.
    fn default() -> Self {
        const MINUTE: u64 = 60;
        const HOUR: u64 = 60 * MINUTE;
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
        }
    }
}

/// Deliveries taken at once.
const AT_ONCE: i32 = 16;

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

/// Why an address may not be a webhook's.
///
/// # Errors
/// The reason, to follow the field's name.
pub fn check_url(text: &str, manner: &Manner) -> Result<Url, String> {
    let url: Url = text
        .parse()
        .map_err(|_| "is no address; write one such as https://kennel.example/hook".to_owned())?;
    match url.scheme() {
        "https" => {}
        "http" if manner.private_networks => {}
        _ => return Err("must begin with https://".to_owned()),
    }
    if !url.username().is_empty() || url.password().is_some() {
        return Err("holds a name or password; the signature shows who calls".to_owned());
    }
    // A name is looked up, and its address judged, when it is called.
    let host = url.host_str().unwrap_or_default();
    let literal = host.trim_start_matches('[').trim_end_matches(']').parse::<IpAddr>();
    if let Ok(address) = literal
        && !manner.private_networks
        && !is_public(address)
    {
        return Err("leads into a private network, which is not allowed here".to_owned());
    }
    Ok(url)
}

/// Whether an address is one of the public internet (IANA's special-purpose registries, RFC 6890).
fn is_public(address: IpAddr) -> bool {
    match address {
        IpAddr::V4(address) => is_public_v4(address),
        IpAddr::V6(address) => is_public_v6(address),
    }
}

fn is_public_v4(address: Ipv4Addr) -> bool {
    let [a, b, c, _] = address.octets();
    !(address.is_private()
        || address.is_loopback()
        || address.is_link_local()
        || address.is_broadcast()
        || address.is_multicast()
        || address.is_documentation()
        || a == 0
        || a >= 240
        || (a == 100 && (64..128).contains(&b))
        || (a == 192 && b == 0 && c == 0)
        || (a == 192 && b == 88 && c == 99)
        || (a == 198 && (18..20).contains(&b)))
}

fn is_public_v6(address: Ipv6Addr) -> bool {
    let parts = address.segments();
    let embedded = |high: u16, low: u16| Ipv4Addr::from((u32::from(high) << 16) | u32::from(low));
    if let Some(mapped) = address.to_ipv4_mapped() {
        return is_public_v4(mapped);
    }
    match parts {
        // NAT64 and 6to4 carry an IPv4 address.
        [0x64, 0xff9b, 0, 0, 0, 0, high, low] => is_public_v4(embedded(high, low)),
        [0x2002, high, low, ..] => is_public_v4(embedded(high, low)),
        [0x2001, second, ..] if second < 0x200 || second == 0xdb8 => false,
        // Of the rest, only 2000::/3 is handed out.
        [first, ..] => (0x2000..0x4000).contains(&first),
    }
}

/// Looks names up and gives only addresses that may be called. What was judged is what is called:
/// a name that changes its address in between gains nothing.
struct PublicOnly;

impl Resolve for PublicOnly {
    fn resolve(&self, name: Name) -> Resolving {
        Box::pin(async move {
            let found = tokio::net::lookup_host((name.as_str(), 0)).await?;
            let addresses: Vec<SocketAddr> = found.collect();
            if addresses.iter().any(|address| !is_public(address.ip())) {
                return Err("the name leads into a private network".into());
            }
            Ok(Box::new(addresses.into_iter()) as Addrs)
        })
    }
}

fn client(manner: &Manner) -> Result<Client, reqwest::Error> {
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

/// Delivers for as long as the process lives.
pub async fn work(db: Db, manner: Manner) {
    // Made at the first delivery: most services have no webhooks.
    let mut caller = None;
    loop {
        let taken = round(&db, &manner, &mut caller).await;
        match taken {
            Ok(count) if count >= AT_ONCE as usize => {}
            Ok(_) => tokio::time::sleep(manner.glance).await,
            Err(error) => {
                tracing::debug!(%error, "no deliveries");
                tokio::time::sleep(manner.glance.max(Duration::from_secs(1))).await;
            }
        }
    }
}

/// Takes what is due and delivers it; answers how much it was.
async fn round(db: &Db, manner: &Manner, caller: &mut Option<Client>) -> StoreResult<usize> {
    // A receiver's patience and some time to write down what became of it.
    let lease = i32::try_from(manner.patience.as_secs()).unwrap_or(i32::MAX / 2) + 30;
    let due = webhooks::claim(db, AT_ONCE, lease).await?;
    if due.is_empty() {
        return Ok(0);
    }
    if caller.is_none() {
        let made = client(manner);
        *caller =
            Some(made.map_err(|error| crate::store::StoreError::Internal(error.to_string()))?);
    }
    if let Some(caller) = caller {
        for result in join_all(due.iter().map(|due| deliver(db, manner, caller, due))).await {
            result?;
        }
    }
    Ok(due.len())
}

async fn deliver(db: &Db, manner: &Manner, caller: &Client, due: &Due) -> StoreResult<()> {
    let (status, error) = match attempt(manner, caller, due).await {
        Ok(status) if (200..300).contains(&status) => (Some(status), None),
        Ok(status) => (Some(status), Some(format!("answered {status}"))),
        Err(error) => (None, Some(error)),
    };
    let tries = usize::try_from(due.attempts).unwrap_or(usize::MAX);
    let wait = manner.waits.get(tries.saturating_sub(1)).map(Duration::as_secs_f64);
    let good = error.is_none();
    METRICS.delivered(match (good, wait) {
        (true, _) => "delivered",
        (false, Some(_)) => "failed",
        (false, None) => "dead",
    });
    let outcome = Outcome { good, status, error, wait_seconds: wait.filter(|_| !good) };
    webhooks::finish(db, due, &outcome).await
}

/// One try; the HTTP status, or why there was no answer.
async fn attempt(manner: &Manner, caller: &Client, due: &Due) -> Result<i32, String> {
    let url = check_url(&due.url, manner).map_err(|reason| format!("the address {reason}"))?;
    let body = json!({
        "type": due.event, "timestamp": due.at, "kennel_id": due.kennel_id, "data": due.content,
    })
    .to_string();
    let (id, now) = (due.id.to_string(), Utc::now().timestamp());
    let request = caller
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

/// An error with what lies beneath it.
fn reason(error: &reqwest::Error) -> String {
    let mut text = error.to_string();
    let mut cause = std::error::Error::source(error);
    while let Some(beneath) = cause {
        text = format!("{text}: {beneath}");
        cause = beneath.source();
    }
    text
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

    #[test]
    fn private_networks_are_known_however_they_are_written() {
        let manner = Manner::default();
        for private in [
            "https://127.0.0.1/hook",
            "https://2130706433/hook",
            "https://0x7f.1/hook",
            "https://10.1.2.3/",
            "https://172.16.0.1/",
            "https://192.168.1.1/",
            "https://169.254.169.254/latest/meta-data",
            "https://100.64.0.1/",
            "https://0.0.0.0/",
            "https://255.255.255.255/",
            "https://[::1]/",
            "https://[::]/",
            "https://[fe80::1]/",
            "https://[fd00::1]/",
            "https://[::ffff:10.0.0.1]/",
            "https://[64:ff9b::a00:1]/",
            "https://[2002:a00:1::]/",
            "https://[2001:db8::1]/",
        ] {
            assert!(check_url(private, &manner).is_err(), "{private}");
        }
        for public in ["https://1.1.1.1/", "https://[2606:4700::1111]/", "https://kennel.example/"]
        {
            assert!(check_url(public, &manner).is_ok(), "{public}");
        }
        for wrong in
            ["http://kennel.example/", "ftp://kennel.example/", "kennel", "https://a:b@c.example/"]
        {
            assert!(check_url(wrong, &manner).is_err(), "{wrong}");
        }
        let open = Manner { private_networks: true, ..Manner::default() };
        assert!(check_url("http://127.0.0.1:9/", &open).is_ok());
    }

    #[tokio::test]
    async fn a_name_that_leads_inside_is_not_called() {
        let caller = client(&Manner::default()).unwrap();
        let error = caller.get("https://localhost:1/").send().await.unwrap_err();
        assert!(reason(&error).contains("private network"), "{}", reason(&error));
    }
}
