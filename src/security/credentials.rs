//! Passwords, secrets and signed tokens.

use super::hashing;
use argon2::password_hash::phc::PasswordHash;
use base64::{Engine as _, engine::general_purpose::URL_SAFE_NO_PAD};
use chrono::{DateTime, Duration, Utc};
use jsonwebtoken::{Algorithm, DecodingKey, EncodingKey, Header, Validation, decode, encode};
use rand::RngCore as _;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use uuid::Uuid;

/// Marks an access token for a front end's server, so that leaks can be recognised.
pub const ACCESS_TOKEN_PREFIX: &str = "dwt_";

/// Begins every secret of a link to a booklet.
pub const BOOKLET_LINK_PREFIX: &str = "dwb_";
/// Begins every secret of a calendar link.
pub const CALENDAR_LINK_PREFIX: &str = "dwc_";

/// How far the clocks of instances may be apart.
const CLOCKS_APART: Duration = Duration::minutes(5);

/// Who a signed token speaks for, and until when.
#[derive(Debug, Serialize, Deserialize)]
struct Claims {
    sub: Uuid,
    /// The session, which may have ended meanwhile.
    sid: Uuid,
    iat: i64,
    exp: i64,
}

/// Whose session a good token belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Subject {
    /// The person.
    pub person_id: Uuid,
    /// The session, asked for at each request: it may have ended meanwhile.
    pub session_id: Uuid,
}

/// What a token turns out to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Good, for this person.
    Good(Subject),
    /// Signed with a key that is not known here, perhaps not yet.
    UnknownKey,
    /// Forged, expired, or no token.
    Bad,
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

impl CredentialError {
    pub(crate) fn new(why: &str) -> Self {
        Self(why.to_owned())
    }
}

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

    /// Signs a token for a person's session.
    ///
    /// # Errors
    /// When there is no key.
    pub fn sign(&self, subject: Subject, now: DateTime<Utc>) -> Result<String, CredentialError> {
        let (id, key, _) = self.keys.first().ok_or_else(|| CredentialError("no key".to_owned()))?;
        let header = Header { kid: Some(id.to_string()), ..Header::new(Algorithm::HS256) };
        let claims = Claims {
            sub: subject.person_id,
            sid: subject.session_id,
            iat: now.timestamp(),
            exp: (now + self.lifetime).timestamp(),
        };
        encode(&header, &claims, key).map_err(|error| CredentialError(error.to_string()))
    }

    /// Whether a token is good, and whose it is.
    pub fn verify(&self, token: &str) -> Verdict {
        let Some(kid) = jsonwebtoken::decode_header(token).ok().and_then(|header| header.kid)
        else {
            return Verdict::Bad;
        };
        let Some((.., key)) = self.keys.iter().find(|(id, ..)| id.to_string() == kid) else {
            return Verdict::UnknownKey;
        };
        let mut validation = Validation::new(Algorithm::HS256);
        validation.leeway = 0;
        match decode::<Claims>(token, key, &validation) {
            // Signed while the clock was ahead, it would be good for as long as that.
            Ok(data) if data.claims.iat > (Utc::now() + CLOCKS_APART).timestamp() => Verdict::Bad,
            Ok(data) => {
                Verdict::Good(Subject { person_id: data.claims.sub, session_id: data.claims.sid })
            }
            Err(_) => Verdict::Bad,
        }
    }
}

/// Hashes a password with argon2id (RFC 9106) at the crate's defaults: 19 MiB, two passes, one lane,
/// which is the first choice of OWASP's Password Storage Cheat Sheet. Slow by design: not on a worker.
///
/// # Errors
/// When the system gives no random salt.
pub fn hash_password(password: &str) -> Result<String, CredentialError> {
    hashing::hashed(password.as_bytes())
        .map(|hash| hash.to_string())
        .map_err(|error| CredentialError(error.to_string()))
}

/// Whether a password fits a hash. Slow by design: not on a worker.
pub fn password_fits(password: &str, hash: &str) -> bool {
    PasswordHash::new(hash)
        .is_ok_and(|hash| matches!(hashing::fits(password.as_bytes(), &hash), Ok(true)))
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

/// Letters of codes that people type: Crockford's base 32, without letters that look alike.
const CODE_LETTERS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// A code to type once: 60 random bits in three groups, such as `7K2M-QX04-9TBD`. One round of
/// SHA-256 is enough to keep it by, since it is good for minutes or once.
pub fn new_code() -> String {
    let bytes = random_key();
    let letters =
        bytes.iter().take(12).map(|byte| char::from(CODE_LETTERS[usize::from(byte % 32)]));
    let text: String = letters.collect();
    format!("{}-{}-{}", &text[..4], &text[4..8], &text[8..])
}

/// A code as it was meant, whatever the case and the spaces it was typed with.
pub fn typed_code(text: &str) -> String {
    let letters = text.chars().filter(char::is_ascii_alphanumeric).map(|letter| {
        match letter.to_ascii_uppercase() {
            'O' => '0',
            'I' | 'L' => '1',
            other => other,
        }
    });
    letters.collect()
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
        let subject = Subject { person_id: Uuid::now_v7(), session_id: Uuid::now_v7() };
        let now = Utc::now();
        assert_eq!(signer.verify(&signer.sign(subject, now).unwrap()), Verdict::Good(subject));
        let old = signer.sign(subject, now - Duration::minutes(16)).unwrap();
        assert_eq!(signer.verify(&old), Verdict::Bad);
        let ahead = |minutes| signer.sign(subject, now + Duration::minutes(minutes)).unwrap();
        assert_eq!(signer.verify(&ahead(4)), Verdict::Good(subject));
        assert_eq!(signer.verify(&ahead(6)), Verdict::Bad, "signed by a clock that was ahead");
        let other = Signer::new(vec![(Uuid::now_v7(), vec![8; 32])], Duration::minutes(15));
        assert_eq!(signer.verify(&other.sign(subject, now).unwrap()), Verdict::UnknownKey);
    }

    #[test]
    fn a_new_key_signs_and_the_old_one_still_verifies() {
        let (old, new) = ((Uuid::now_v7(), vec![7; 32]), (Uuid::now_v7(), vec![8; 32]));
        let subject = Subject { person_id: Uuid::now_v7(), session_id: Uuid::now_v7() };
        let before = Signer::new(vec![old.clone()], Duration::minutes(15));
        let token = before.sign(subject, Utc::now()).unwrap();
        let after = Signer::new(vec![new, old], Duration::minutes(15));
        assert_eq!(after.verify(&token), Verdict::Good(subject));
        assert_eq!(before.verify(&after.sign(subject, Utc::now()).unwrap()), Verdict::UnknownKey);
    }

    #[test]
    fn a_code_is_read_as_it_was_meant() {
        let code = new_code();
        assert_eq!(code.len(), 14);
        assert_eq!(typed_code(&code.to_lowercase().replace('-', " ")), code.replace('-', ""));
        assert_eq!(typed_code("o1il"), "0111");
    }

    #[test]
    fn a_hash_fits_its_password_only() {
        let hash = hash_password("correct horse battery").unwrap();
        assert!(hash.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"));
        assert!(password_fits("correct horse battery", &hash));
        assert!(!password_fits("correct horse batterz", &hash));
    }
}
