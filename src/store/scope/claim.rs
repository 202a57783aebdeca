//! Who somebody says that they are, until the database has been asked.

use super::{Entry, Scope, of_session, of_token};
use crate::{Db, StoreError, StoreResult};
use catalogue::said;
use chrono::{DateTime, Utc};
use diesel::Queryable;
use domain::record::{Kennel, Role};
use security::credentials::Subject;
use uuid::Uuid;

/// A login that is good by itself, in a kennel that it names: what a question shows the database.
#[derive(Debug, Clone)]
pub struct Claim {
    /// The kennel.
    pub(crate) kennel_id: Uuid,
    /// What is shown.
    pub(crate) shown: Shown,
    now: DateTime<Utc>,
}

/// What a claim shows.
#[derive(Debug, Clone)]
pub(crate) enum Shown {
    /// The session that a signed token names, and the person that it does.
    Session(Subject),
    /// The hash of an access token.
    Token(Vec<u8>),
}

/// What the database tells of a claim. Nobody asks by a session or a token that is not good, and who does not belong
/// to the kennel has no role there.
#[derive(Debug, Queryable)]
pub(crate) struct Told {
    person_id: Option<Uuid>,
    read_only: Option<bool>,
    areas: Option<Vec<String>>,
    name: Option<String>,
    time_zone: Option<String>,
    jurisdiction: Option<String>,
    currency: Option<String>,
    role: Option<Role>,
    /// Whether the row is there that what was asked for hangs on.
    pub(crate) has_parent: bool,
}

impl Claim {
    /// Of a session, as a signed token names it.
    pub fn of_session(subject: Subject, kennel_id: Uuid, now: DateTime<Utc>) -> Self {
        Self { kennel_id, shown: Shown::Session(subject), now }
    }

    /// Of an access token, by its hash.
    pub fn of_token(hash: Vec<u8>, kennel_id: Uuid, now: DateTime<Utc>) -> Self {
        Self { kennel_id, shown: Shown::Token(hash), now }
    }

    /// Opens its scope without a question; null when its person does not belong to the kennel, or there is none.
    ///
    /// # Errors
    /// [`StoreError::Login`] when what is shown is not, or no longer, good.
    pub async fn proven(&self, db: &Db) -> StoreResult<Option<Scope>> {
        let scope = match &self.shown {
            Shown::Session(subject) => of_session(db, *subject, self.kennel_id, self.now).await,
            Shown::Token(hash) => of_token(db, hash, self.kennel_id, self.now).await,
        };
        match scope {
            Err(StoreError::NotFound) => Ok(None),
            scope => scope.map(Some),
        }
    }

    /// The scope that it opens by what the database tells; null when its person does not belong to the kennel.
    ///
    /// # Errors
    /// [`StoreError::Login`].
    pub(crate) fn opened(&self, told: Told) -> StoreResult<Option<Scope>> {
        let (is_good, ended) = match &self.shown {
            Shown::Session(subject) => {
                (told.person_id == Some(subject.person_id), said!("problem-login-session-ended"))
            }
            Shown::Token(_) => (told.person_id.is_some(), said!("problem-login-token-dead")),
        };
        let Some(person_id) = told.person_id.filter(|_| is_good) else {
            return Err(StoreError::Login(ended));
        };
        let (Some(name), Some(time_zone), Some(currency), Some(role)) =
            (told.name, told.time_zone, told.currency, told.role)
        else {
            return Ok(None);
        };
        let entry = match &self.shown {
            Shown::Session(subject) => Entry::Session(subject.session_id),
            // An area that this edition does not know opens nothing.
            Shown::Token(hash) => Entry::Token {
                hash: hash.clone(),
                areas: told
                    .areas
                    .map(|words| words.iter().filter_map(|word| word.parse().ok()).collect()),
            },
        };
        Ok(Some(Scope {
            kennel_id: self.kennel_id,
            person_id,
            role,
            read_only: told.read_only.unwrap_or(true),
            kennel: Kennel::of(name, time_zone, told.jurisdiction, currency),
            entry,
            now: self.now,
            state: None,
        }))
    }
}
