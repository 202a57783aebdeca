//! How a scope is opened: by a session, a token, a link, or at upkeep.

use super::{Entry, KennelState, Scope};
use crate::{
    Db, StoreError, StoreResult,
    columns::Word,
    people::{self, Membership},
    pools::soon,
    rings::watches::Audience,
    statement::statement,
};
use catalogue::said;
use chrono::{DateTime, Utc};
use diesel::{
    OptionalExtension as _, QueryableByName,
    sql_types::{Array, BigInt, Bool, Bytea, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::record::{CalendarKind, Kennel, Role};
use security::credentials::Subject;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// What a person may see and do in a kennel; at upkeep alone, the service asks by a session, a token or a
/// link.
///
/// # Errors
/// [`StoreError::NotFound`] when they do not belong to it, or there is none.
pub async fn of_person(
    db: &Db,
    person_id: Uuid,
    kennel_id: Uuid,
    now: DateTime<Utc>,
) -> StoreResult<Scope> {
    let belongings = people::kennels_of(db, person_id).await?;
    let found = belongings.into_iter().find(|belonging| belonging.kennel_id == kennel_id);
    let Membership { kennel, role, .. } = found.ok_or(StoreError::NotFound)?;
    let (entry, state) = (Entry::Upkeep, None);
    Ok(Scope { kennel_id, person_id, role, read_only: false, kennel, entry, now, state })
}

#[derive(Clone, QueryableByName)]
struct SessionRow {
    #[diesel(sql_type = SqlUuid)]
    person_id: Uuid,
    #[diesel(sql_type = Nullable<Text>)]
    name: Option<String>,
    #[diesel(sql_type = Nullable<Text>)]
    time_zone: Option<String>,
    #[diesel(sql_type = Nullable<Text>)]
    jurisdiction: Option<String>,
    #[diesel(sql_type = Nullable<Text>)]
    currency: Option<String>,
    #[diesel(sql_type = Nullable<Word>)]
    role: Option<Role>,
    #[diesel(sql_type = Nullable<BigInt>)]
    newest_change: Option<i64>,
    #[diesel(sql_type = Nullable<BigInt>)]
    renamings: Option<i64>,
}

/// What a person's session may see and do in a kennel.
///
/// # Errors
/// [`StoreError::Login`] when that session has ended, [`StoreError::NotFound`] when its person does not
/// belong to the kennel, or there is none.
pub async fn of_session(
    db: &Db,
    subject: Subject,
    kennel_id: Uuid,
    now: DateTime<Utc>,
) -> StoreResult<Scope> {
    let query = statement(
        "SELECT person_id, name, time_zone, jurisdiction, currency, role, newest_change, renamings \
         FROM session_in_kennel($1, $2)",
    );
    let query = query.bind::<SqlUuid, _>(subject.session_id).bind::<SqlUuid, _>(kennel_id);
    let row: Option<SessionRow> =
        soon(async { Ok(query.get_result(&mut db.connection().await?).await.optional()?) }).await?;
    let row = row.ok_or_else(|| StoreError::Login(said!("problem-login-session-ended")))?;
    row.scope(subject, kennel_id, now)
}

impl SessionRow {
    /// The scope that a session opens, by what is told of it.
    fn scope(self, subject: Subject, kennel_id: Uuid, now: DateTime<Utc>) -> StoreResult<Scope> {
        if self.person_id != subject.person_id {
            return Err(StoreError::Login(said!("problem-login-session-ended")));
        }
        let (Some(name), Some(time_zone), Some(currency), Some(role)) =
            (self.name, self.time_zone, self.currency, self.role)
        else {
            return Err(StoreError::NotFound);
        };
        let kennel = Kennel::of(name, time_zone, self.jurisdiction, currency);
        let entry = Entry::Session(subject.session_id);
        let person_id = self.person_id;
        let state = KennelState::of(self.newest_change, self.renamings);
        Ok(Scope { kennel_id, person_id, role, read_only: false, kennel, entry, now, state })
    }
}

/// The same scope as it would be opened at `now`: roles change, memberships, sessions and tokens end.
///
/// # Errors
/// Why it would not be opened.
pub async fn renewed(db: &Db, scope: &Scope, now: DateTime<Utc>) -> StoreResult<Scope> {
    match &scope.entry {
        Entry::Session(session_id) => {
            let subject = Subject { person_id: scope.person_id, session_id: *session_id };
            of_session(db, subject, scope.kennel_id, now).await
        }
        Entry::Token { hash, .. } => of_token(db, hash, scope.kennel_id, now).await,
        _ => Ok(Scope { now, ..scope.clone() }),
    }
}

#[derive(QueryableByName)]
struct NamedSessionRow {
    #[diesel(sql_type = SqlUuid)]
    session_id: Uuid,
    #[diesel(embed)]
    row: SessionRow,
}

/// The same of many scopes of one kennel: sessions are asked about together. Null for each that would not be opened.
///
/// # Errors
/// When the database is away.
pub(crate) async fn all_renewed(
    db: &Db,
    kennel_id: Uuid,
    scopes: &[&Scope],
    now: DateTime<Utc>,
) -> StoreResult<Vec<Option<Scope>>> {
    let session = |scope: &&Scope| match &scope.entry {
        Entry::Session(session_id) => Some(*session_id),
        _ => None,
    };
    let sessions: BTreeSet<Uuid> = scopes.iter().filter_map(session).collect();
    let mut told: BTreeMap<Uuid, SessionRow> = BTreeMap::new();
    if !sessions.is_empty() {
        let query = statement(
            "SELECT s.id AS session_id, t.* FROM unnest($1) AS s (id), session_in_kennel(s.id, $2) AS t",
        );
        let query = query
            .bind::<Array<SqlUuid>, _>(sessions.into_iter().collect::<Vec<_>>())
            .bind::<SqlUuid, _>(kennel_id);
        let rows: Vec<NamedSessionRow> =
            soon(async { Ok(query.load(&mut db.connection().await?).await?) }).await?;
        told.extend(rows.into_iter().map(|NamedSessionRow { session_id, row }| (session_id, row)));
    }
    let mut renewed = Vec::with_capacity(scopes.len());
    for scope in scopes {
        renewed.push(match &scope.entry {
            Entry::Session(session_id) => {
                let subject = Subject { person_id: scope.person_id, session_id: *session_id };
                told.get(session_id)
                    .cloned()
                    .and_then(|row| row.scope(subject, kennel_id, now).ok())
            }
            _ => self::renewed(db, scope, now).await.ok(),
        });
    }
    Ok(renewed)
}

/// The scope in which the person of a session founds a kennel of their own, which does not exist yet.
pub fn founding(subject: Subject, kennel: &Kennel, now: DateTime<Utc>) -> Scope {
    let entry = Entry::Founding(subject.session_id);
    Scope { entry, ..founding_at_upkeep(subject.person_id, kennel, now) }
}

/// The same without a session, on a connection of the owner of the database.
pub fn founding_at_upkeep(person_id: Uuid, kennel: &Kennel, now: DateTime<Utc>) -> Scope {
    Scope {
        kennel_id: Uuid::now_v7(),
        person_id,
        role: Role::Owner,
        read_only: false,
        kennel: kennel.clone(),
        entry: Entry::Upkeep,
        now,
        state: None,
    }
}

/// The scope in which a booklet is read by its link: nobody's login, no contact data, no money.
/// [`crate::booklets::linked`] alone uses it, and shows one dog.
pub(crate) fn of_booklet_link(
    kennel_id: Uuid,
    kennel: Kennel,
    hash: &[u8],
    now: DateTime<Utc>,
) -> Scope {
    let entry = Entry::BookletLink(hash.to_vec());
    Scope {
        kennel_id,
        person_id: Uuid::nil(),
        role: Role::Viewer,
        read_only: true,
        kennel,
        entry,
        now,
        state: None,
    }
}

/// The scope in which the worker that rings reads the dogs that an audience sees: no contact data, no money.
/// [`crate::rings::watches`] alone uses it.
pub(crate) fn to_ring(
    kennel_id: Uuid,
    kennel: Kennel,
    lease: Uuid,
    audience: Audience,
    now: DateTime<Utc>,
) -> Scope {
    let (person_id, role, co_owner) = match audience {
        Audience::All => (Uuid::nil(), Role::Viewer, None),
        Audience::CoOwner { person_id, membership_id } => {
            (person_id, Role::CoOwner, Some(membership_id))
        }
    };
    let entry = Entry::Ringing { lease, co_owner };
    Scope { kennel_id, person_id, role, read_only: true, kennel, entry, now, state: None }
}

/// The scope in which the worker that rings reads what a member has to do: no money, nothing written.
/// [`crate::rings::watches`] alone uses it.
pub(crate) fn for_task_rings(
    kennel_id: Uuid,
    kennel: Kennel,
    lease: Uuid,
    (person_id, membership, role): (Uuid, Uuid, Role),
    now: DateTime<Utc>,
) -> Scope {
    let entry = Entry::TaskRings { lease, membership };
    Scope { kennel_id, person_id, role, read_only: true, kennel, entry, now, state: None }
}

/// The scope in which the worker that writes letters reads what a member has to do: no money, nothing written.
/// [`crate::rings::letters`] alone uses it.
pub(crate) fn for_letter(
    kennel_id: Uuid,
    person_id: Uuid,
    role: Role,
    kennel: Kennel,
    lease: Uuid,
    now: DateTime<Utc>,
) -> Scope {
    let entry = Entry::Letter(lease);
    Scope { kennel_id, person_id, role, read_only: true, kennel, entry, now, state: None }
}

#[derive(QueryableByName)]
struct BearerRow {
    #[diesel(sql_type = SqlUuid)]
    kennel_id: Uuid,
    #[diesel(sql_type = SqlUuid)]
    person_id: Uuid,
    #[diesel(sql_type = Bool)]
    read_only: bool,
    #[diesel(sql_type = Nullable<Array<Text>>)]
    areas: Option<Vec<String>>,
    #[diesel(sql_type = Text)]
    name: String,
    #[diesel(sql_type = Text)]
    time_zone: String,
    #[diesel(sql_type = Nullable<Text>)]
    jurisdiction: Option<String>,
    #[diesel(sql_type = Text)]
    currency: String,
    #[diesel(sql_type = Word)]
    role: Role,
    #[diesel(sql_type = Nullable<BigInt>)]
    newest_change: Option<i64>,
    #[diesel(sql_type = Nullable<BigInt>)]
    renamings: Option<i64>,
}

impl BearerRow {
    fn scope(self, entry: Entry, now: DateTime<Utc>) -> Scope {
        let Self { kennel_id, person_id, read_only, role, .. } = self;
        let state = KennelState::of(self.newest_change, self.renamings);
        let Self { name, time_zone, jurisdiction, .. } = self;
        let kennel = Kennel::of(name, time_zone, jurisdiction, self.currency);
        Scope { kennel_id, person_id, role, read_only, kennel, entry, now, state }
    }
}

/// What a named access token may see and do in a kennel.
///
/// # Errors
/// [`StoreError::Login`] for a dead token, [`StoreError::NotFound`] for another kennel's.
pub async fn of_token(
    db: &Db,
    token_hash: &[u8],
    kennel_id: Uuid,
    now: DateTime<Utc>,
) -> StoreResult<Scope> {
    let query = statement("SELECT * FROM access_token_by_hash($1)").bind::<Bytea, _>(token_hash);
    let row: Option<BearerRow> =
        soon(async { Ok(query.get_result(&mut db.connection().await?).await.optional()?) }).await?;
    let mut row = row.ok_or_else(|| StoreError::Login(said!("problem-login-token-dead")))?;
    if row.kennel_id != kennel_id {
        return Err(StoreError::NotFound);
    }
    // An area that this edition does not know opens nothing.
    let areas = row.areas.take();
    let areas = areas.map(|words| words.iter().filter_map(|word| word.parse().ok()).collect());
    Ok(row.scope(Entry::Token { hash: token_hash.to_vec(), areas }, now))
}

#[derive(QueryableByName)]
struct CalendarLinkRow {
    #[diesel(embed)]
    bearer: BearerRow,
    #[diesel(sql_type = Array<Text>)]
    kinds: Vec<String>,
    #[diesel(sql_type = Bool)]
    alarms: bool,
}

/// What the maker of a link to the calendar may see; of that, what the link shows, and whether it rings.
///
/// # Errors
/// [`StoreError::NotFound`] when it was withdrawn, or its person left the kennel.
pub async fn of_calendar_link(
    db: &Db,
    hash: &[u8],
    now: DateTime<Utc>,
) -> StoreResult<(Scope, Vec<CalendarKind>, bool)> {
    let query = statement(
        "SELECT *, true AS read_only, NULL::text[] AS areas, NULL::bigint AS newest_change, \
         NULL::bigint AS renamings FROM calendar_link_by_hash($1)",
    );
    let query = query.bind::<Bytea, _>(hash);
    let row: Option<CalendarLinkRow> =
        soon(async { Ok(query.get_result(&mut db.connection().await?).await.optional()?) }).await?;
    let row = row.ok_or(StoreError::NotFound)?;
    let scope = row.bearer.scope(Entry::CalendarLink(hash.to_vec()), now);
    Ok((scope, crate::calendar_links::kinds(&row.kinds), row.alarms))
}
