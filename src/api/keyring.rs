//! The signing keys as they are now: read anew from time to time, and at a key not seen before.

use super::problem::Problem;
use chrono::{DateTime, Duration, Utc};
use security::credentials::{Signer, Subject, Verdict};
use std::{
    sync::{Arc, Mutex, PoisonError, RwLock},
    time::Instant,
};
use store::{Db, StoreResult, sessions};

/// Forged keys must not make a query each.
const LOOK_AT_MOST_EVERY: std::time::Duration = std::time::Duration::from_secs(1);

/// Signs and verifies access tokens with the keys of the database.
pub struct Keyring {
    db: Db,
    lifetime: Duration,
    signer: RwLock<Arc<Signer>>,
    looked_at: Mutex<Instant>,
}

impl Keyring {
    /// The keys of the database; makes the first one.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn open(db: Db, lifetime: Duration) -> StoreResult<Self> {
        let keys = sessions::signing_keys(&db, &security::credentials::random_key()).await?;
        let signer = RwLock::new(Arc::new(Signer::new(keys, lifetime)));
        Ok(Self { db, lifetime, signer, looked_at: Mutex::new(Instant::now()) })
    }

    /// Reads the keys anew.
    ///
    /// # Errors
    /// When the database is away.
    pub async fn renew(&self) -> StoreResult<()> {
        let keys = sessions::signing_keys(&self.db, &security::credentials::random_key()).await?;
        let signer = Arc::new(Signer::new(keys, self.lifetime));
        *self.signer.write().unwrap_or_else(PoisonError::into_inner) = signer;
        Ok(())
    }

    fn signer(&self) -> Arc<Signer> {
        Arc::clone(&self.signer.read().unwrap_or_else(PoisonError::into_inner))
    }

    /// How long a token is good for.
    pub(crate) fn lifetime(&self) -> Duration {
        self.lifetime
    }

    /// Signs a token.
    ///
    /// # Errors
    /// 500 when there is no key.
    pub fn sign(&self, subject: Subject, now: DateTime<Utc>) -> Result<String, Problem> {
        let signed = self.signer().sign(subject, now);
        signed.map_err(|error| Problem::of_ours(&error))
    }

    /// Whose a token is, when it is good by itself.
    ///
    /// # Errors
    /// When the keys must be read anew and the database is away.
    pub async fn verify(&self, token: &str) -> StoreResult<Option<Subject>> {
        let verdict = match self.signer().verify(token) {
            Verdict::UnknownKey if self.may_look() => {
                self.renew().await?;
                self.signer().verify(token)
            }
            verdict => verdict,
        };
        Ok(match verdict {
            Verdict::Good(subject) => Some(subject),
            Verdict::UnknownKey | Verdict::Bad => None,
        })
    }

    fn may_look(&self) -> bool {
        let mut looked_at = self.looked_at.lock().unwrap_or_else(PoisonError::into_inner);
        let may = looked_at.elapsed() >= LOOK_AT_MOST_EVERY;
        if may {
            *looked_at = Instant::now();
        }
        may
    }
}
