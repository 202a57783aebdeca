//! Messages to devices by push services: sealed for the device alone (RFC 8291), and signed by who sends (RFC 8292).

use crate::credentials::{CredentialError, random_key};
use base64::{
    Engine as _,
    engine::general_purpose::{URL_SAFE, URL_SAFE_NO_PAD},
};
use chrono::{DateTime, Duration, Utc};
use jsonwebtoken::{Algorithm, EncodingKey, Header, encode};
use p256::{
    PublicKey, SecretKey, elliptic_curve::sec1::ToEncodedPoint as _, pkcs8::EncodePrivateKey as _,
};
use serde::Serialize;

/// How long a signature is good; a push service refuses one that is good for more than a day.
const GOOD_FOR: Duration = Duration::hours(12);

fn unusable(what: &str) -> CredentialError {
    CredentialError::new(what)
}

/// The key by which push services know this service, and browsers whom they let ring.
pub struct PushKey {
    signs: EncodingKey,
    public: String,
}

impl std::fmt::Debug for PushKey {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "PushKey({})", self.public)
    }
}

#[derive(Serialize)]
struct Claims<'a> {
    aud: &'a str,
    exp: i64,
    sub: &'a str,
}

impl PushKey {
    /// Bytes of a key that nobody else has.
    pub fn fresh() -> [u8; 32] {
        loop {
            let bytes = random_key();
            // One in 2^32 is no number of the curve.
            if SecretKey::from_slice(&bytes).is_ok() {
                return bytes;
            }
        }
    }

    /// The key of these bytes.
    ///
    /// # Errors
    /// When they are no number of the curve P-256.
    pub fn of(bytes: &[u8]) -> Result<Self, CredentialError> {
        let key = SecretKey::from_slice(bytes).map_err(|_| unusable("no key of P-256"))?;
        let der = key.to_pkcs8_der().map_err(|_| unusable("the key cannot be written"))?;
        let public = URL_SAFE_NO_PAD.encode(key.public_key().to_encoded_point(false).as_bytes());
        Ok(Self { signs: EncodingKey::from_ec_der(der.as_bytes()), public })
    }

    /// What a browser subscribes with (`applicationServerKey`): the point, uncompressed, in URL-safe base 64.
    pub fn public(&self) -> &str {
        &self.public
    }

    /// The `Authorization` of a message to a push service at `origin`; `contact` is whom its people may write to.
    ///
    /// # Errors
    /// When it cannot be signed.
    pub fn authorization(
        &self,
        origin: &str,
        contact: &str,
        now: DateTime<Utc>,
    ) -> Result<String, CredentialError> {
        let claims = Claims { aud: origin, exp: (now + GOOD_FOR).timestamp(), sub: contact };
        let token = encode(&Header::new(Algorithm::ES256), &claims, &self.signs)
            .map_err(|error| unusable(&error.to_string()))?;
        Ok(format!("vapid t={token}, k={}", self.public))
    }
}

/// The keys of a device, for which a message is sealed.
pub struct DeviceKeys {
    public: PublicKey,
    secret: [u8; 16],
}

impl DeviceKeys {
    /// The keys as a browser tells them: its point (`p256dh`) and its secret (`auth`), in URL-safe base 64.
    ///
    /// # Errors
    /// When one is not that: `p256dh` or `auth`.
    pub fn read(p256dh: &str, auth: &str) -> Result<Self, &'static str> {
        let bytes = |text: &str| {
            let engine = if text.ends_with('=') { &URL_SAFE } else { &URL_SAFE_NO_PAD };
            engine.decode(text).ok()
        };
        let public = bytes(p256dh).and_then(|bytes| PublicKey::from_sec1_bytes(&bytes).ok());
        let secret = bytes(auth).and_then(|bytes| bytes.try_into().ok());
        Ok(Self { public: public.ok_or("p256dh")?, secret: secret.ok_or("auth")? })
    }

    /// A message that only this device opens, of the content coding `aes128gcm` (RFC 8188).
    ///
    /// # Errors
    /// When it is too long for that.
    pub fn seal(&self, message: &[u8]) -> Result<Vec<u8>, CredentialError> {
        web_push_native::encrypt(message.to_vec(), &self.public, &self.secret.into())
            .map_err(|_| unusable("the message cannot be sealed"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The keys of RFC 8291's example (appendix A).
    const DEVICE: [&str; 2] = [
        "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4",
        "BTBZMqHH6r4Tts7J_aSIgg",
    ];

    #[test]
    fn the_public_key_is_the_point_of_the_secret_one() {
        // The application server's pair of RFC 8291, section 5.
        let secret = URL_SAFE_NO_PAD.decode("yfWPiYE-n46HLnH0KqZOF1fJJU3MYrct3AELtAQ-oRw").unwrap();
        let key = PushKey::of(&secret).unwrap();
        assert_eq!(
            key.public(),
            "BP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A8"
        );
        assert!(PushKey::of(&[0; 32]).is_err());
        assert!(PushKey::of(&PushKey::fresh()).is_ok());
    }

    #[test]
    fn keys_of_devices_are_read_with_and_without_their_filling() {
        let [point, secret] = DEVICE;
        assert!(DeviceKeys::read(point, secret).is_ok());
        assert!(DeviceKeys::read(&format!("{point}="), &format!("{secret}==")).is_ok());
        assert_eq!(DeviceKeys::read(&point[1..], secret).err(), Some("p256dh"));
        assert_eq!(DeviceKeys::read(point, &secret[4..]).err(), Some("auth"));
    }

    #[test]
    fn a_message_is_longer_by_its_head_and_never_twice_the_same() {
        let [point, secret] = DEVICE;
        let keys = DeviceKeys::read(point, secret).unwrap();
        let sealed = keys.seal(b"When I grow up, I want to be a watermelon").unwrap();
        // The example of RFC 8291: a head of 86 bytes, the text, its end mark and the tag of 16.
        assert_eq!(sealed.len(), 86 + 41 + 1 + 16);
        assert_ne!(sealed, keys.seal(b"When I grow up, I want to be a watermelon").unwrap());
    }
}
