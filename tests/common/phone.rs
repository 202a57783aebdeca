//! A device with a push service of its own: it opens what is sealed for it by the steps of RFC 8291 and 8188,
//! on another library than the service seals with, and verifies who sent it (RFC 8292).

use base64::{Engine as _, engine::general_purpose::URL_SAFE_NO_PAD};
use p256::{PublicKey, SecretKey, ecdh::diffie_hellman, elliptic_curve::sec1::ToEncodedPoint as _};
use ring::{
    aead::{AES_128_GCM, Aad, LessSafeKey, Nonce, UnboundKey},
    hmac,
    signature::{ECDSA_P256_SHA256_FIXED, UnparsedPublicKey},
};
use serde_json::{Value, json};
use uuid::Uuid;

use super::receiver::{Received, Receiver};

/// A device.
#[derive(Clone)]
pub struct Phone {
    /// Its push service.
    pub service: Receiver,
    secret: SecretKey,
    auth: [u8; 16],
}

fn hmac(key: &[u8], parts: &[&[u8]]) -> Vec<u8> {
    let mut mac = hmac::Context::with_key(&hmac::Key::new(hmac::HMAC_SHA256, key));
    for part in parts {
        mac.update(part);
    }
    mac.sign().as_ref().to_vec()
}

/// Opens a body of the content coding `aes128gcm` that was sealed for this device.
pub fn opened(body: &[u8], secret: &SecretKey, auth: &[u8; 16]) -> Vec<u8> {
    // RFC 8188, section 2.1: salt, length of a record, length of the key's id, the id.
    let (salt, rest) = body.split_at(16);
    let (length, rest) = (u32::from_be_bytes(rest[..4].try_into().unwrap()), &rest[4..]);
    let (id, sealed) = rest[1..].split_at(rest[0].into());
    assert!(sealed.len() <= length as usize, "one record");
    let sender = PublicKey::from_sec1_bytes(id).expect("a point of the curve");
    let own = secret.public_key().to_encoded_point(false);
    // RFC 8291, section 3.4.
    let shared = diffie_hellman(secret.to_nonzero_scalar(), sender.as_affine());
    let of_both = hmac(auth, &[shared.raw_secret_bytes()]);
    let ikm = hmac(&of_both, &[b"WebPush: info\0", own.as_bytes(), id, &[1]]);
    let prk = hmac(salt, &[&ikm]);
    let key = hmac(&prk, &[b"Content-Encoding: aes128gcm\0", &[1]]);
    let nonce = hmac(&prk, &[b"Content-Encoding: nonce\0", &[1]]);
    let key = LessSafeKey::new(UnboundKey::new(&AES_128_GCM, &key[..16]).unwrap());
    let nonce = Nonce::try_assume_unique_for_key(&nonce[..12]).unwrap();
    let mut text = sealed.to_vec();
    let text = key.open_in_place(nonce, Aad::empty(), &mut text).expect("it was sealed for this");
    // The last record ends with a 2 and zeros (RFC 8188, section 2).
    let end = text.iter().rposition(|byte| *byte != 0).expect("an end mark");
    assert_eq!(text[end], 2, "the last record");
    text[..end].to_vec()
}

impl Phone {
    /// A device whose push service answers with these statuses in turn, the last one for ever.
    pub async fn start(statuses: &[u16]) -> Self {
        Self::of(Receiver::start(statuses).await)
    }

    /// One with this push service.
    pub fn of(service: Receiver) -> Self {
        let random = Uuid::new_v4();
        let bytes = [Uuid::new_v4().into_bytes(), Uuid::new_v4().into_bytes()].concat();
        let secret = SecretKey::from_slice(&bytes).expect("a number of the curve");
        Self { service, secret, auth: random.into_bytes() }
    }

    /// What its browser gives to whoever may ring.
    pub fn subscription(&self, name: &str) -> Value {
        let point = self.secret.public_key().to_encoded_point(false);
        json!({
            "name": name, "endpoint": self.service.url,
            "keys": {
                "p256dh": URL_SAFE_NO_PAD.encode(point.as_bytes()),
                "auth": URL_SAFE_NO_PAD.encode(self.auth),
            },
        })
    }

    /// A message as the device shows it.
    pub fn message(&self, received: &Received) -> Value {
        let text = opened(&received.bytes, &self.secret, &self.auth);
        serde_json::from_slice(&text).expect("it is JSON")
    }

    /// All messages so far.
    pub fn messages(&self) -> Vec<Value> {
        self.service.all().iter().map(|one| self.message(one)).collect()
    }

    /// Waits for so many messages.
    pub async fn wait(&self, count: usize) -> Vec<Value> {
        self.service.wait(count).await;
        self.messages()
    }

    /// What a message says of who sent it, once it is verified under the key that browsers subscribe with.
    pub fn sender(received: &Received, push_key: &str) -> Value {
        let told = received.headers["authorization"].strip_prefix("vapid t=").expect("a token");
        let (token, key) = told.split_once(", k=").expect("a key");
        assert_eq!(key, push_key);
        let (signed, signature) = token.rsplit_once('.').expect("three parts");
        let (head, claims) = signed.split_once('.').expect("three parts");
        let bytes = |text: &str| URL_SAFE_NO_PAD.decode(text).expect("URL-safe base 64");
        let key = UnparsedPublicKey::new(&ECDSA_P256_SHA256_FIXED, bytes(key));
        key.verify(signed.as_bytes(), &bytes(signature)).expect("it was signed by that key");
        let head: Value = serde_json::from_slice(&bytes(head)).unwrap();
        assert_eq!(head["alg"], "ES256");
        serde_json::from_slice(&bytes(claims)).unwrap()
    }
}
