//! People, and what each may see and do in a kennel.
//!
//! This file alone makes a [`Scope`].

use super::{Db, StoreError, StoreResult, Tx, pools::soon, schema, statement::statement};
use crate::{
    credentials::Subject,
    domain::record::{Area, Kennel, Role},
};
use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;
use diesel::{
    ExpressionMethods as _, OptionalExtension as _, QueryDsl as _, QueryableByName,
    sql_types::{Array, Bool, Bytea, Integer, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
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
}

/// What a scope was opened with.
#[derive(Debug, Clone)]
enum Entry {
    /// A person's own session, of this generation.
    Session(i32),
    /// An access token: its hash, and the areas that it opens; null for all of the role's.
    Token { hash: Vec<u8>, areas: Option<Vec<Area>> },
    /// The service itself, or a secret link.
    Service,
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

    /// Whether the person sees buyers' contact data and money; a token needs one of both areas.
    pub fn sees_money(&self) -> bool {
        self.may_own() && (self.opens(Area::Money) || self.opens(Area::Placing))
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

/// A person with a login.
#[derive(Debug, Clone, diesel::Queryable)]
pub struct Person {
    /// Id.
    pub id: Uuid,
    /// Full name.
    pub name: String,
    /// Email address, in lower case.
    pub email: String,
}

/// A kennel that a person belongs to.
#[derive(Debug, Clone)]
pub struct Belonging {
    /// The kennel's id.
    pub kennel_id: Uuid,
    /// Its particulars.
    pub kennel: Kennel,
    /// The person's role there.
    pub role: Role,
    /// Generation of the person's sessions.
    generation: i32,
}

#[derive(QueryableByName)]
struct BelongingRow {
    #[diesel(sql_type = SqlUuid)]
    id: Uuid,
    #[diesel(sql_type = Text)]
    name: String,
    #[diesel(sql_type = Text)]
    time_zone: String,
    #[diesel(sql_type = Nullable<Text>)]
    jurisdiction: Option<String>,
    #[diesel(sql_type = Text)]
    currency: String,
    #[diesel(sql_type = Text)]
    role: Role,
    #[diesel(sql_type = Integer)]
    generation: i32,
}

impl From<BelongingRow> for Belonging {
    fn from(row: BelongingRow) -> Self {
        Self {
            kennel_id: row.id,
            kennel: Kennel {
                name: row.name,
                time_zone: row.time_zone,
                jurisdiction: row.jurisdiction,
                currency: row.currency,
                collars: Vec::new(),
            },
            role: row.role,
            generation: row.generation,
        }
    }
}

/// Writes a new person.
///
/// # Errors
/// [`StoreError::Conflict`] when the address is taken.
pub async fn add(db: &Db, name: &str, email: &str, password_hash: &str) -> StoreResult<Person> {
    let person = Person { id: Uuid::now_v7(), name: name.to_owned(), email: email.to_lowercase() };
    insert(&mut *db.connection().await?, &person, password_hash).await?;
    Ok(person)
}

/// Writes a new person in a transaction that writes what hangs on them as well.
///
/// # Errors
/// [`StoreError::Conflict`] when the address is taken.
pub async fn enter(tx: &mut Tx, person: &Person, password_hash: &str) -> StoreResult<()> {
    insert(&mut tx.conn, person, password_hash).await
}

async fn insert(
    conn: &mut diesel_async::AsyncPgConnection,
    person: &Person,
    password_hash: &str,
) -> StoreResult<()> {
    use schema::people;
    diesel::insert_into(people::table)
        .values((
            people::id.eq(person.id),
            people::name.eq(&person.name),
            people::email.eq(&person.email),
            people::password_hash.eq(password_hash),
        ))
        .execute(conn)
        .await?;
    Ok(())
}

/// The person with this id.
///
/// # Errors
/// [`StoreError::NotFound`].
pub async fn by_id(db: &Db, id: Uuid) -> StoreResult<Person> {
    use schema::people;
    Ok(people::table
        .filter(people::id.eq(id))
        .select((people::id, people::name, people::email))
        .first(&mut db.connection().await?)
        .await?)
}

/// The kennels that a person belongs to.
///
/// # Errors
/// When the database is away.
pub async fn kennels_of(db: &Db, person_id: Uuid) -> StoreResult<Vec<Belonging>> {
    let rows = statement(
        "SELECT id, name, time_zone, jurisdiction, currency, role, generation FROM kennels_of($1)",
    )
    .bind::<SqlUuid, _>(person_id)
    .load::<BelongingRow>(&mut db.connection().await?)
    .await?;
    Ok(rows.into_iter().map(Belonging::from).collect())
}

/// What a logged-in person may see and do in a kennel.
///
/// # Errors
/// [`StoreError::NotFound`] when they do not belong to it, or there is none.
pub async fn scope(db: &Db, person_id: Uuid, kennel_id: Uuid) -> StoreResult<Scope> {
    let query = statement(
        "SELECT id, name, time_zone, jurisdiction, currency, role, generation \
         FROM membership_of($1, $2)",
    )
    .bind::<SqlUuid, _>(person_id)
    .bind::<SqlUuid, _>(kennel_id);
    let row: BelongingRow =
        soon(async { Ok(query.get_result(&mut db.connection().await?).await?) }).await?;
    let Belonging { kennel, role, generation, .. } = row.into();
    let entry = Entry::Session(generation);
    Ok(Scope { kennel_id, person_id, role, read_only: false, kennel, entry })
}

/// What a person's session may see and do in a kennel.
///
/// # Errors
/// [`StoreError::Login`] when the person has ended that session since, otherwise as [`scope`].
pub async fn scope_of_session(db: &Db, subject: Subject, kennel_id: Uuid) -> StoreResult<Scope> {
    let scope = scope(db, subject.person_id, kennel_id).await?;
    match scope.entry {
        Entry::Session(generation) if generation == subject.generation => Ok(scope),
        _ => Err(StoreError::Login("this session was ended; log in again")),
    }
}

/// The same scope as it would be opened now: roles change, memberships, sessions and tokens end.
///
/// # Errors
/// Why it would not be opened.
pub async fn renewed(db: &Db, scope: &Scope) -> StoreResult<Scope> {
    match &scope.entry {
        Entry::Session(generation) => {
            let subject = Subject { person_id: scope.person_id, generation: *generation };
            scope_of_session(db, subject, scope.kennel_id).await
        }
        Entry::Token { hash, .. } => scope_of_token(db, hash, scope.kennel_id).await,
        Entry::Service => Ok(scope.clone()),
    }
}

/// The scope in which a person founds a kennel of their own, which does not exist yet.
pub fn founding_scope(person_id: Uuid, kennel: &Kennel) -> Scope {
    Scope {
        kennel_id: Uuid::now_v7(),
        person_id,
        role: Role::Owner,
        read_only: false,
        kennel: kennel.clone(),
        entry: Entry::Service,
    }
}

/// The scope in which an invited person enters a kennel: [`super::kennels::join`] alone uses it,
/// once the invitation has been checked.
pub(super) fn joining_scope(person_id: Uuid, kennel_id: Uuid) -> Scope {
    let kennel = Kennel {
        name: String::new(),
        time_zone: Tz::UTC.name().to_owned(),
        jurisdiction: None,
        currency: String::new(),
        collars: Vec::new(),
    };
    let entry = Entry::Service;
    Scope { kennel_id, person_id, role: Role::Owner, read_only: false, kennel, entry }
}

/// The scope in which a booklet is read by its link: nobody's login, no contact data, no money.
/// [`super::booklets::linked`] alone uses it, and shows one dog.
pub(super) fn booklet_scope(kennel_id: Uuid, kennel: Kennel) -> Scope {
    let entry = Entry::Service;
    Scope { kennel_id, person_id: Uuid::nil(), role: Role::Viewer, read_only: true, kennel, entry }
}

#[derive(QueryableByName)]
struct TokenRow {
    #[diesel(sql_type = SqlUuid)]
    kennel_id: Uuid,
    #[diesel(sql_type = SqlUuid)]
    person_id: Uuid,
    #[diesel(sql_type = Bool)]
    read_only: bool,
    #[diesel(sql_type = Nullable<Array<Text>>)]
    areas: Option<Vec<String>>,
}

/// What a named access token may see and do in a kennel.
///
/// # Errors
/// [`StoreError::Login`] for a dead token, [`StoreError::NotFound`] for another kennel's.
pub async fn scope_of_token(db: &Db, token_hash: &[u8], kennel_id: Uuid) -> StoreResult<Scope> {
    let query =
        statement("SELECT kennel_id, person_id, read_only, areas FROM access_token_by_hash($1)")
            .bind::<Bytea, _>(token_hash);
    let row: Option<TokenRow> =
        soon(async { Ok(query.get_result(&mut db.connection().await?).await.optional()?) }).await?;
    let row = row.ok_or(StoreError::Login("the access token is unknown, expired or withdrawn"))?;
    if row.kennel_id != kennel_id {
        return Err(StoreError::NotFound);
    }
    // An area that this edition does not know opens nothing.
    let areas = row.areas.map(|words| words.iter().filter_map(|word| word.parse().ok()).collect());
    let entry = Entry::Token { hash: token_hash.to_vec(), areas };
    Ok(Scope { read_only: row.read_only, entry, ..scope(db, row.person_id, kennel_id).await? })
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
