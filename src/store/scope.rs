//! Who asks, and what they may see and do in a kennel.
//!
//! This file, [`claim`] and [`opened`] alone make a [`Scope`].

mod claim;
mod opened;

use catalogue::said;
pub use claim::Claim;
pub(super) use claim::{Shown, Told};
pub(super) use opened::{all_renewed, of_booklet_link, renewed};
pub(super) use opened::{for_letter, for_task_rings, to_ring};
pub use opened::{founding, founding_at_upkeep, of_calendar_link, of_person, of_session, of_token};

use super::{StoreError, StoreResult, Tx};
use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;
pub use domain::record::Right;
use domain::record::{Area, Kennel, Role};
use security::credentials::Subject;
use uuid::Uuid;

/// Who asks, in which kennel, and what they may see: the key to every kennel-owned row.
#[derive(Debug, Clone)]
pub struct Scope {
    kennel_id: Uuid,
    person_id: Uuid,
    role: Role,
    read_only: bool,
    kennel: Kennel,
    entry: Entry,
    now: DateTime<Utc>,
    state: Option<KennelState>,
}

/// What tells that a kennel's answers may have changed, as it was before anything was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct KennelState {
    /// The number of its newest change.
    pub newest_change: i64,
    /// How often somebody who was ever a member was renamed.
    pub renamings: i64,
}

impl KennelState {
    fn of(newest_change: Option<i64>, renamings: Option<i64>) -> Option<Self> {
        Some(Self { newest_change: newest_change?, renamings: renamings? })
    }
}

/// What a scope was opened with: each transaction shows it to the database again.
#[derive(Debug, Clone)]
enum Entry {
    /// A person's own session.
    Session(Uuid),
    /// The session of a person who founds the kennel.
    Founding(Uuid),
    /// An access token: its hash, and the areas that it opens; null for all of the role's.
    Token { hash: Vec<u8>, areas: Option<Vec<Area>> },
    /// A secret link to the calendar: its hash.
    CalendarLink(Vec<u8>),
    /// A secret link to a booklet: its hash.
    BookletLink(Vec<u8>),
    /// The lease of the worker that rings: it reads the dogs that all see, or that one co-owner does, by their
    /// membership.
    Ringing { lease: Uuid, co_owner: Option<Uuid> },
    /// The same lease, to read what one member has to do, by their membership.
    TaskRings { lease: Uuid, membership: Uuid },
    /// The lease of the worker that writes letters: it reads what one member has to do.
    Letter(Uuid),
    /// Upkeep, on a connection of the owner of the database.
    Upkeep,
}

impl Scope {
    /// The scope in which a kennel is founded under an id that it had before.
    pub(super) fn founding_as(self, kennel_id: Uuid) -> Self {
        Self { kennel_id, ..self }
    }

    /// The kennel.
    pub fn kennel_id(&self) -> Uuid {
        self.kennel_id
    }

    /// The person.
    pub fn person_id(&self) -> Uuid {
        self.person_id
    }

    /// Their role.
    pub fn role(&self) -> Role {
        self.role
    }

    /// The kennel's own particulars.
    pub fn kennel(&self) -> &Kennel {
        &self.kennel
    }

    /// Whose law applies to the kennel; empty when it names none.
    pub fn jurisdiction(&self) -> &str {
        self.kennel.jurisdiction.as_deref().unwrap_or_default()
    }

    /// The moment at which it was opened, at the edge: what a request takes for now.
    pub fn now(&self) -> DateTime<Utc> {
        self.now
    }

    /// The state of the kennel when the scope was opened; `None` where it was opened without a login, or by a question of
    /// one statement.
    pub fn state(&self) -> Option<KennelState> {
        self.state
    }

    /// Today on the kennel's calendar.
    pub fn today(&self) -> NaiveDate {
        self.day_of(self.now)
    }

    /// The kennel's time zone.
    pub fn tz(&self) -> Tz {
        self.kennel.tz()
    }

    /// The day on the kennel's calendar.
    pub fn day_of(&self, time: DateTime<Utc>) -> NaiveDate {
        time.with_timezone(&self.tz()).date_naive()
    }

    /// Whether the person sees all dogs, or only those in which they hold a share.
    pub(crate) fn sees_all_dogs(&self) -> bool {
        self.role != Role::CoOwner
    }

    fn may_own(&self) -> bool {
        matches!(self.role, Role::Owner | Role::CoOwner)
    }

    /// Whether the token opens an area; a session opens all.
    fn opens(&self, area: Area) -> bool {
        match &self.entry {
            Entry::Token { areas: Some(areas), .. } => areas.contains(&area),
            Entry::Ringing { .. } => false,
            Entry::Letter(_) | Entry::TaskRings { .. } => area == Area::Placing,
            _ => true,
        }
    }

    /// What a transaction begins with: it shows the database by whom it is asked, and sees what they may.
    ///
    /// As text it is sent together with the beginning, without a round trip of its own. Nothing in it comes
    /// from outside as text: ids, a day, hashes and our own words.
    pub(super) fn entry(&self) -> String {
        let (kennel, today) = (self.kennel_id, self.today());
        match &self.entry {
            Entry::Session(session) => {
                format!("SELECT enter_kennel('{kennel}', '{session}', '{today}')")
            }
            Entry::Founding(session) => {
                format!("SELECT enter_new_kennel('{kennel}', '{session}', '{today}')")
            }
            Entry::Token { hash, .. } => {
                format!("SELECT enter_kennel_by_token('{kennel}', '{}', '{today}')", bytes(hash))
            }
            Entry::CalendarLink(hash) => {
                let hash = bytes(hash);
                format!("SELECT enter_kennel_by_calendar_link('{kennel}', '{hash}', '{today}')")
            }
            Entry::BookletLink(hash) => {
                let hash = bytes(hash);
                format!("SELECT enter_kennel_by_booklet_link('{kennel}', '{hash}', '{today}')")
            }
            Entry::Ringing { lease, co_owner } => {
                let co_owner = co_owner.map_or_else(|| "NULL".to_owned(), |id| format!("'{id}'"));
                format!("SELECT enter_kennel_to_ring('{lease}', {co_owner})")
            }
            Entry::TaskRings { lease, membership } => {
                format!("SELECT enter_kennel_for_task_rings('{lease}', '{membership}')")
            }
            Entry::Letter(lease) => format!("SELECT enter_kennel_for_letter('{lease}')"),
            Entry::Upkeep => {
                let (person, role) = (self.person_id, self.role.as_str());
                format!(
                    "SELECT stand_in('{kennel}', '{person}', '{role}', '{today}'); \
                     SET LOCAL ROLE denwright_service"
                )
            }
        }
    }

    /// Whether its kennel is there, and entered by a login: so its writers wait for each other.
    pub(super) fn is_entered(&self) -> bool {
        matches!(self.entry, Entry::Session(_) | Entry::Token { .. })
    }

    /// Whether somebody is told the same of the log as by the other scope: by the same rights, and of the same dogs.
    pub(super) fn sees_as(&self, other: &Self) -> bool {
        let areas = |scope: &Self| match &scope.entry {
            Entry::Session(_) => Some(None),
            Entry::Token { areas, .. } => Some(areas.clone()),
            _ => None,
        };
        let of_all = self.sees_all_dogs() && other.sees_all_dogs();
        self.kennel_id == other.kennel_id
            && self.role == other.role
            && areas(self).is_some_and(|own| areas(other) == Some(own))
            && (of_all || self.person_id == other.person_id)
    }

    /// The login that it was opened by, to be shown again; none where it was opened by a link or for a worker.
    pub(super) fn claim(&self, now: DateTime<Utc>) -> Option<Claim> {
        let (kennel_id, person_id) = (self.kennel_id, self.person_id);
        match &self.entry {
            Entry::Session(session_id) => {
                let subject = Subject { person_id, session_id: *session_id };
                Some(Claim::of_session(subject, kennel_id, now))
            }
            Entry::Token { hash, .. } => Some(Claim::of_token(hash.clone(), kennel_id, now)),
            _ => None,
        }
    }

    /// Whether the role, and the token where there is one, allows `right`.
    pub fn allows(&self, right: Right) -> bool {
        match right {
            Right::Dogs => true,
            Right::Observations => self.role != Role::Viewer && self.opens(Area::Observations),
            Right::Breeding => self.may_own() && self.opens(Area::Breeding),
            Right::Placing => self.may_own() && self.opens(Area::Placing),
            Right::Money => self.may_own() && self.opens(Area::Money),
            Right::Managing => self.role == Role::Owner && self.opens(Area::Managing),
        }
    }

    /// The session of a person who logged in, for what asks them to show once more who they are.
    ///
    /// # Errors
    /// [`StoreError::Forbidden`] for an access token.
    pub fn session(&self) -> StoreResult<Uuid> {
        self.require_person()?;
        match self.entry {
            Entry::Session(session_id) => Ok(session_id),
            _ => Err(StoreError::Forbidden(said!("problem-forbidden-person-logged-in"))),
        }
    }

    /// Whether a transaction within it may write at all: the workers that ring and write letters only read.
    pub(super) fn writes(&self) -> bool {
        !matches!(self.entry, Entry::Ringing { .. } | Entry::TaskRings { .. } | Entry::Letter(_))
    }

    /// Refuses whoever has not every right: what takes in everything is for an owner, and for a token that
    /// opens all areas.
    ///
    /// # Errors
    /// [`StoreError::Forbidden`].
    pub fn require_all(&self) -> StoreResult<()> {
        self.require(Right::Managing)?;
        if Right::ALL.iter().all(|right| self.allows(*right)) {
            return Ok(());
        }
        Err(StoreError::Forbidden(said!("problem-forbidden-all-areas")))
    }

    /// Refuses access tokens: what lets others in is done by a person who logged in.
    ///
    /// # Errors
    /// [`StoreError::Forbidden`].
    pub fn require_person(&self) -> StoreResult<()> {
        if matches!(self.entry, Entry::Token { .. }) {
            return Err(StoreError::Forbidden(said!("problem-forbidden-token")));
        }
        Ok(())
    }

    /// Refuses what the role does not allow.
    ///
    /// # Errors
    /// [`StoreError::Forbidden`].
    pub fn require(&self, right: Right) -> StoreResult<()> {
        if self.allows(right) {
            return Ok(());
        }
        if matches!(&self.entry, Entry::Token { areas: Some(_), .. }) {
            return Err(StoreError::Forbidden(said!("problem-forbidden-area")));
        }
        Err(StoreError::Forbidden(match right {
            Right::Dogs => said!("problem-forbidden-dogs"),
            Right::Observations => said!("problem-forbidden-observations"),
            Right::Breeding => said!("problem-forbidden-breeding"),
            Right::Placing => said!("problem-forbidden-placing"),
            Right::Money => said!("problem-forbidden-money"),
            Right::Managing => said!("problem-forbidden-managing"),
        }))
    }

    /// Refuses to write with a token that only reads.
    ///
    /// # Errors
    /// [`StoreError::Forbidden`].
    pub fn require_writable(&self) -> StoreResult<()> {
        if self.read_only {
            return Err(StoreError::Forbidden(said!("problem-forbidden-token-reads")));
        }
        Ok(())
    }
}

/// Bytes as Postgres reads them.
fn bytes(bytes: &[u8]) -> String {
    let digits: String = bytes.iter().map(|byte| format!("{byte:02x}")).collect();
    format!("\\x{digits}")
}

impl Tx {
    /// Refuses what the person's role does not allow.
    ///
    /// # Errors
    /// [`StoreError::Forbidden`].
    pub fn require(&self, right: Right) -> StoreResult<()> {
        self.scope.require(right)
    }
}
