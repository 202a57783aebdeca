//! Who asks, and what they may see and do in a kennel.
//!
//! This file and [`opened`] alone make a [`Scope`].

mod opened;

pub(super) use opened::of_booklet_link;
pub use opened::{
    founding, founding_at_upkeep, of_calendar_link, of_person, of_session, of_token, renewed,
};

use super::{StoreError, StoreResult, Tx};
use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;
use domain::record::{Area, Kennel, Role};
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
    newest_change: Option<i64>,
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
    /// Upkeep, on a connection of the owner of the database.
    Upkeep,
}

/// Something that a role allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Right {
    /// See dogs, litters and what is recorded of them.
    Dogs,
    /// Record what is observed: births, weights, temperatures, health events, readings.
    Observations,
    /// Enter and change dogs, heats, matings and litters.
    Breeding,
    /// Place pups: buyers and placements.
    Placing,
    /// See and record money.
    Money,
    /// Manage the kennel: its people, tokens, plans and rules.
    Managing,
}

impl Right {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Dogs,
        Self::Observations,
        Self::Breeding,
        Self::Placing,
        Self::Money,
        Self::Managing,
    ];

    /// Its word, as the database has it.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Dogs => "dogs",
            Self::Observations => "observations",
            Self::Breeding => "breeding",
            Self::Placing => "placing",
            Self::Money => "money",
            Self::Managing => "managing",
        }
    }
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

    /// The moment at which it was opened, at the edge: what a request takes for now.
    pub fn now(&self) -> DateTime<Utc> {
        self.now
    }

    /// The number of the kennel's newest change when the scope was opened, before anything was read in it.
    pub fn newest_change(&self) -> Option<i64> {
        self.newest_change
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
    pub fn sees_all_dogs(&self) -> bool {
        self.role != Role::CoOwner
    }

    fn may_own(&self) -> bool {
        matches!(self.role, Role::Owner | Role::CoOwner)
    }

    /// Whether the token opens an area; a session opens all.
    fn opens(&self, area: Area) -> bool {
        match &self.entry {
            Entry::Token { areas: Some(areas), .. } => areas.contains(&area),
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
            Entry::Upkeep => {
                let (person, role) = (self.person_id, self.role.as_str());
                format!(
                    "SELECT stand_in('{kennel}', '{person}', '{role}', '{today}'); \
                     SET LOCAL ROLE denwright_service"
                )
            }
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
            _ => Err(StoreError::Forbidden("only a person who is logged in may do this")),
        }
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
        Err(StoreError::Forbidden(
            "this takes in everything that the kennel has, and the access token does not open all areas; log in as \
             an owner, or take a token without areas",
        ))
    }

    /// Refuses access tokens: what lets others in is done by a person who logged in.
    ///
    /// # Errors
    /// [`StoreError::Forbidden`].
    pub fn require_person(&self) -> StoreResult<()> {
        if matches!(self.entry, Entry::Token { .. }) {
            return Err(StoreError::Forbidden(
                "an access token may not do this; log in as a person",
            ));
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
            return Err(StoreError::Forbidden(
                "the access token does not open this area, or its person's role does not",
            ));
        }
        Err(StoreError::Forbidden(match right {
            Right::Dogs => "a member of the kennel may see this",
            Right::Observations => "a viewer only reads; ask an owner for the role of helper",
            Right::Breeding => "an owner, or a co-owner of the dog, may do this",
            Right::Placing => "an owner, or a co-owner of the pup, may place pups",
            Right::Money => "an owner, or a co-owner of the pup, may see money",
            Right::Managing => "only an owner may do this",
        }))
    }

    /// Refuses to write with a token that only reads.
    ///
    /// # Errors
    /// [`StoreError::Forbidden`].
    pub fn require_writable(&self) -> StoreResult<()> {
        if self.read_only {
            return Err(StoreError::Forbidden("this access token only reads"));
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
