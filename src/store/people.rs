//! People with a login, and the kennels that they belong to.

use super::{Db, StoreResult, Tx, statement::statement};
use crate::columns::Word;
use diesel::{
    QueryableByName,
    pg::Pg,
    sql_types::{Bool, Bytea, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::record::{Kennel, Role};
use uuid::Uuid;

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
pub struct Membership {
    /// The kennel's id.
    pub kennel_id: Uuid,
    /// Its particulars.
    pub kennel: Kennel,
    /// The person's role there.
    pub role: Role,
}

#[derive(QueryableByName)]
struct MembershipRow {
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
    #[diesel(sql_type = Word)]
    role: Role,
}

impl From<MembershipRow> for Membership {
    fn from(row: MembershipRow) -> Self {
        Self {
            kennel_id: row.id,
            kennel: Kennel::of(row.name, row.time_zone, row.jurisdiction, row.currency),
            role: row.role,
        }
    }
}

/// Writes a new person. `proven` says whether it is known that they read the mail of the address.
///
/// # Errors
/// [`StoreError::Conflict`] when the address is taken.
pub async fn add(
    db: &Db,
    name: &str,
    email: &str,
    password_hash: &str,
    proven: bool,
) -> StoreResult<Person> {
    let person = Person { id: Uuid::now_v7(), name: name.to_owned(), email: email.to_lowercase() };
    insert(&mut *db.connection().await?, &person, password_hash, proven).await?;
    Ok(person)
}

/// Writes a new person who holds an open invitation to this address, by its hash; `None` for another one.
///
/// # Errors
/// [`StoreError::Conflict`] when the address is taken.
pub async fn add_invited(
    db: &Db,
    name: &str,
    email: &str,
    password_hash: &str,
    invitation_hash: &[u8],
) -> StoreResult<Option<Person>> {
    #[derive(QueryableByName)]
    struct Row {
        #[diesel(sql_type = Bool)]
        added: bool,
    }
    let person = Person { id: Uuid::now_v7(), name: name.to_owned(), email: email.to_lowercase() };
    let query = statement("SELECT add_invited_person($1, $2, $3, $4, $5) AS added")
        .bind::<SqlUuid, _>(person.id)
        .bind::<Text, _>(&person.name)
        .bind::<Text, _>(&person.email)
        .bind::<Text, _>(password_hash)
        .bind::<Bytea, _>(invitation_hash);
    let Row { added } = query.get_result(&mut db.connection().await?).await?;
    Ok(added.then_some(person))
}

/// Writes a new person, whose address is known to be theirs, in a transaction that writes what hangs on
/// them as well.
///
/// # Errors
/// [`StoreError::Conflict`] when the address is taken.
pub async fn add_known(tx: &mut Tx, person: &Person, password_hash: &str) -> StoreResult<()> {
    insert(&mut tx.conn, person, password_hash, true).await
}

async fn insert(
    conn: &mut impl diesel_async::AsyncConnectionCore<Backend = Pg>,
    person: &Person,
    password_hash: &str,
    proven: bool,
) -> StoreResult<()> {
    statement("SELECT add_person($1, $2, $3, $4, $5)")
        .bind::<SqlUuid, _>(person.id)
        .bind::<Text, _>(&person.name)
        .bind::<Text, _>(&person.email)
        .bind::<Text, _>(password_hash)
        .bind::<Bool, _>(proven)
        .execute(conn)
        .await?;
    Ok(())
}

/// The kennels that the person of a session belongs to.
///
/// # Errors
/// When the database is away.
pub async fn kennels_of_session(db: &Db, session_id: Uuid) -> StoreResult<Vec<Membership>> {
    let query = statement("SELECT * FROM kennels_of_session($1)").bind::<SqlUuid, _>(session_id);
    let rows: Vec<MembershipRow> = query.load(&mut db.connection().await?).await?;
    Ok(rows.into_iter().map(Membership::from).collect())
}

/// The kennels that a person belongs to; at upkeep alone, the service asks by a session.
///
/// # Errors
/// When the database is away.
pub async fn kennels_of(db: &Db, person_id: Uuid) -> StoreResult<Vec<Membership>> {
    let query = statement(
        "SELECT k.id, k.name, k.time_zone, k.jurisdiction, k.currency, m.role \
         FROM memberships m JOIN kennels k ON k.id = m.kennel_id WHERE m.person_id = $1 ORDER BY k.id",
    );
    let query = query.bind::<SqlUuid, _>(person_id);
    let rows: Vec<MembershipRow> = query.load(&mut db.connection().await?).await?;
    Ok(rows.into_iter().map(Membership::from).collect())
}
