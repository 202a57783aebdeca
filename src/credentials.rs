//! Passwords, secrets and signed tokens.

use argon2::{
    Argon2,
    password_hash::{PasswordHasher, PasswordVerifier, phc::PasswordHash},
};
use base64::{Engine as _, engine::general_purpose::URL_SAFE_NO_PAD};
use chrono::{DateTime, Duration, Utc};
use jsonwebtoken::{Algorithm, DecodingKey, EncodingKey, Header, Validation, decode, encode};
use rand::RngCore as _;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use uuid::Uuid;

/// Shortest password that is accepted (NIST SP 800-63B-4 asks for 15 without a second factor, 8
/// with one; OWASP's Authentication Cheat Sheet for 8 at the least).
pub const SHORTEST_PASSWORD: usize = 10;

/// Marks an access token for a front end's server, so that leaks can be recognised.
pub const ACCESS_TOKEN_PREFIX: &str = "dwt_";

/// Begins every secret of a link to a booklet.
pub const BOOKLET_LINK_PREFIX: &str = "dwb_";
/// Begins every secret of a calendar link.
pub const CALENDAR_LINK_PREFIX: &str = "dwc_";

/// Who a signed token speaks for, and until when.
#[derive(Debug, Serialize, Deserialize)]
struct Claims {
    sub: Uuid,
    iat: i64,
    exp: i64,
}

/// The keys that sign access tokens: the first signs, all verify.
#[derive(Clone)]
pub struct Signer {
    keys: Vec<(Uuid, EncodingKey, DecodingKey)>,
    lifetime: Duration,
}

/// Why a credential could not be made or read.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub struct CredentialError(String);

impl Signer {
    /// A signer with at least one key, newest first.
    pub fn new(keys: Vec<(Uuid, Vec<u8>)>, lifetime: Duration) -> Self {
        let keys = keys
            .into_iter()
            .map(|(id, secret)| {
                (id, EncodingKey::from_secret(&secret), DecodingKey::from_secret(&secret))
            })
            .collect();
        Self { keys, lifetime }
    }

    /// How long a token is good for.
    pub fn lifetime(&self) -> Duration {
        self.lifetime
    }

    /// Signs a token for a person.
    ///
    /// # Errors
    /// When there is no key.
    pub fn sign(&self, person_id: Uuid, now: DateTime<Utc>) -> Result<String, CredentialError> {
        let (id, key, _) = self.keys.first().ok_or_else(|| CredentialError("no key".to_owned()))?;
        let header = Header { kid: Some(id.to_string()), ..Header::new(Algorithm::HS256) };
        let claims =
            Claims { sub: person_id, iat: now.timestamp(), exp: (now + self.lifetime).timestamp() };
        encode(&header, &claims, key).map_err(|error| CredentialError(error.to_string()))
    }

    /// The person that a token speaks for, if it is good.
    pub fn verify(&self, token: &str) -> Option<Uuid> {
        let kid = jsonwebtoken::decode_header(token).ok()?.kid?;
        let (.., key) = self.keys.iter().find(|(id, ..)| id.to_string() == kid)?;
        let mut validation = Validation::new(Algorithm::HS256);
        validation.leeway = 0;
        decode::<Claims>(token, key, &validation).ok().map(|data| data.claims.sub)
    }
}

/// Hashes a password with argon2id (RFC 9106) at the crate's defaults: 19 MiB, two passes, one lane,
/// which is the first choice of OWASP's Password Storage Cheat Sheet. Slow by design: not on a worker.
///
/// # Errors
/// When the system gives no random salt.
pub fn hash_password(password: &str) -> Result<String, CredentialError> {
    Argon2::default()
        .hash_password(password.as_bytes())
        .map(|hash| hash.to_string())
        .map_err(|error| CredentialError(error.to_string()))
}

/// Whether a password fits a hash. Slow by design: not on a worker.
pub fn password_fits(password: &str, hash: &str) -> bool {
    PasswordHash::new(hash)
        .is_ok_and(|hash| Argon2::default().verify_password(password.as_bytes(), &hash).is_ok())
}

/// 32 random bytes.
pub fn random_key() -> [u8; 32] {
    let mut bytes = [0; 32];
    rand::rng().fill_bytes(&mut bytes);
    bytes
}

/// A secret to hand out once: 256 random bits, URL-safe.
pub fn new_secret(prefix: &str) -> String {
    format!("{prefix}{}", URL_SAFE_NO_PAD.encode(random_key()))
}

/// What is kept of a secret. One round of SHA-256 is enough for 256 random bits.
pub fn hash_secret(secret: &str) -> Vec<u8> {
    Sha256::digest(secret.as_bytes()).to_vec()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_token_speaks_for_its_person_until_it_expires() {
        let signer = Signer::new(vec![(Uuid::now_v7(), vec![7; 32])], Duration::minutes(15));
        let person = Uuid::now_v7();
        let now = Utc::now();
        assert_eq!(signer.verify(&signer.sign(person, now).unwrap()), Some(person));
        assert_eq!(signer.verify(&signer.sign(person, now - Duration::minutes(16)).unwrap()), None);
        let other = Signer::new(vec![(Uuid::now_v7(), vec![8; 32])], Duration::minutes(15));
        assert_eq!(signer.verify(&other.sign(person, now).unwrap()), None);
    }

    #[test]
    fn a_hash_fits_its_password_only() {
        let hash = hash_password("correct horse battery").unwrap();
        assert!(hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"));
        assert!(password_fits("correct horse battery", &hash));
        assert!(!password_fits("correct horse batterz", &hash));
    }
}
