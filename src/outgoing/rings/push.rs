//! One message to a device, by its push service (RFC 8030).

use super::{Ringing, courier::Tried};
use crate::webhooks::check_url;
use base64::{Engine as _, engine::general_purpose::URL_SAFE_NO_PAD};
use chrono::Utc;
use reqwest::{
    Response, StatusCode, Url,
    header::{CONTENT_ENCODING, CONTENT_TYPE, HeaderName, RETRY_AFTER},
};
use security::web_push::DeviceKeys;
use serde_json::json;
use store::rings::outbox::{Address, Due};
use uuid::Uuid;

/// For how many seconds a push service keeps a message for a device that is away.
const KEPT_SECONDS: u32 = 4 * 3600;
/// The longest that a push service may have us wait, in seconds.
const LONGEST_WAIT: u64 = 3600;

impl Ringing {
    pub(super) async fn push(&self, due: &Due, address: &Address) -> Tried {
        let Ok(url) = check_url(&address.endpoint, &self.bell.addresses) else {
            return Tried::Refused("the address is not allowed".to_owned());
        };
        match self.pushed(due, address, url).await {
            Ok(response) => answered(&response),
            Err(why) => Tried::Failed(why, 0),
        }
    }

    async fn pushed(&self, due: &Due, address: &Address, url: Url) -> Result<Response, String> {
        let content = &due.content;
        let message = json!({
            "id": due.id, "title": content["title"], "body": content["body"],
            "path": content["path"], "tag": content["tag"], "level": content["level"],
            "language": content["language"],
        });
        let keys = DeviceKeys::read(&address.p256dh, &address.auth)
            .map_err(|key| format!("{key} does not fit"))?;
        let sealed =
            keys.seal(message.to_string().as_bytes()).map_err(|error| error.to_string())?;
        let key = self.key().await.map_err(|error| error.to_string())?;
        let contact = format!("mailto:{}", self.bell.mailer.address());
        let origin = url.origin().ascii_serialization();
        // By the system's clock, which is the push service's.
        let signed = key.authorization(&origin, &contact, Utc::now());
        let urgency = if content["level"] == "note" { "normal" } else { "high" };
        let mut request = self
            .caller
            .post(url)
            .header("authorization", signed.map_err(|error| error.to_string())?)
            .header("ttl", KEPT_SECONDS)
            .header("urgency", urgency)
            .header(CONTENT_ENCODING, "aes128gcm")
            .header(CONTENT_TYPE, "application/octet-stream")
            .body(sealed);
        // What waits for a device that is away is replaced by what is newer about the same.
        if let Some(tag) = content["tag"].as_str().and_then(|tag| tag.parse::<Uuid>().ok()) {
            let topic = URL_SAFE_NO_PAD.encode(tag.as_bytes());
            request = request.header(HeaderName::from_static("topic"), topic);
        }
        // Without the address, which is a secret.
        request.send().await.map_err(|error| match error.without_url() {
            error if error.is_timeout() => "no answer came in time".to_owned(),
            error if error.is_connect() => "no connection came about".to_owned(),
            _ => "the connection broke off".to_owned(),
        })
    }
}

fn answered(response: &Response) -> Tried {
    let status = response.status();
    match status {
        _ if status.is_success() => Tried::Taken,
        StatusCode::NOT_FOUND | StatusCode::GONE => Tried::Gone,
        StatusCode::BAD_REQUEST | StatusCode::PAYLOAD_TOO_LARGE => {
            Tried::Refused(format!("answered {status}"))
        }
        _ => {
            let wait = response.headers().get(RETRY_AFTER).and_then(|wait| wait.to_str().ok());
            let wait = wait.and_then(|wait| wait.parse().ok()).unwrap_or(0_u64);
            Tried::Failed(format!("answered {status}"), wait.min(LONGEST_WAIT))
        }
    }
}
