//! The kennel's own particulars, its members, invitations, access tokens and rules.

use super::{
    Db, StoreError, StoreResult, Tx,
    columns::JsonList,
    keep::{self, Keep as _, Seen, keep},
    people::Person,
    schema,
    scope::Right,
    statement::statement,
};
use crate::columns::Stored;
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, QueryableByName,
    sql_types::{Bytea, Nullable, Text, Timestamptz, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    record::{
        Area, Invitation, InvitationFilter, Kennel, Kept, Member, MemberFilter, Role, RuleOverride,
        RuleOverrideFilter,
    },
    rules::Rules,
};
use uuid::Uuid;

keep!(Member in memberships { person_id, role }
    filter MemberFilter { role == role };
    read Dogs, write Managing, {
    async fn validate(&self, _tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        match before {
            Some(before) if before.record.person_id != self.person_id => Err(StoreError::refused(
                "/person_id",
                "cannot change; end this membership and invite the other person",
            )),
            _ => Ok(()),
        }
    }
});

keep!(Invitation in invitations { email, role }
    filter InvitationFilter { role == role };
    read Managing, write Managing);

keep!(RuleOverride in rule_overrides { key, value, source }
    filter RuleOverrideFilter { key == key };
    read Dogs, write Managing);

/// Writes a kennel and its first owner; run it within that owner's founding scope.
///
/// # Errors
/// When the database is away.
pub async fn found(tx: &mut Tx) -> StoreResult<Kept<Kennel>> {
    use schema::kennels::dsl;
    let kennel = tx.scope.kennel().clone();
    diesel::insert_into(dsl::kennels)
        .values((
            dsl::id.eq(tx.scope.kennel_id()),
            dsl::name.eq(&kennel.name),
            dsl::time_zone.eq(&kennel.time_zone),
            dsl::jurisdiction.eq(&kennel.jurisdiction),
            dsl::currency.eq(&kennel.currency),
            dsl::collars.eq(JsonList(kennel.collars.clone())),
            dsl::vet_phone.eq(&kennel.vet_phone),
        ))
        .execute(&mut tx.conn)
        .await?;
    let owner = Member { person_id: tx.scope.person_id(), role: Role::Owner };
    keep::create(tx, &owner).await?;
    find(tx).await
}

/// The kennel of the scope.
///
/// # Errors
/// When the database is away.
pub async fn find(tx: &mut Tx) -> StoreResult<Kept<Kennel>> {
    use schema::kennels::dsl;
    let (stamp, (name, time_zone, jurisdiction, currency, JsonList(collars), vet_phone)) =
        dsl::kennels
            .filter(dsl::id.eq(tx.scope.kennel_id()))
            .select((
                (dsl::id, dsl::version, dsl::created_at, dsl::updated_at),
                (
                    dsl::name,
                    dsl::time_zone,
                    dsl::jurisdiction,
                    dsl::currency,
                    dsl::collars,
                    dsl::vet_phone,
                ),
            ))
            .for_no_key_update()
            .first(&mut tx.conn)
            .await?;
    Ok(keep::kept(stamp, Kennel { name, time_zone, jurisdiction, currency, collars, vet_phone }))
}

/// The kennel's own collars, in its order.
///
/// # Errors
/// When the database is away.
pub async fn collars(tx: &mut Tx) -> StoreResult<Vec<String>> {
    use schema::kennels::dsl;
    let own = dsl::kennels.filter(dsl::id.eq(tx.scope.kennel_id()));
    let JsonList(collars) = own.select(dsl::collars).first(&mut tx.conn).await?;
    Ok(collars)
}

/// The number to ring the kennel's veterinarian.
///
/// # Errors
/// When the database is away.
pub async fn vet_phone(tx: &mut Tx) -> StoreResult<Option<String>> {
    use schema::kennels::dsl;
    let own = dsl::kennels.filter(dsl::id.eq(tx.scope.kennel_id()));
    Ok(own.select(dsl::vet_phone).first(&mut tx.conn).await?)
}

/// Changes the kennel's particulars from the version the client has seen.
///
/// # Errors
/// [`StoreError::Stale`] when somebody else was faster.
pub async fn change<E>(
    tx: &mut Tx,
    seen: Seen,
    make: impl AsyncFnOnce(&Kept<Kennel>) -> Result<Kennel, E>,
) -> StoreResult<Result<Kept<Kennel>, E>> {
    use schema::kennels::dsl;
    tx.scope.require(Right::Managing)?;
    let before = find(tx).await?;
    seen.must_be(before.version)?;
    let kennel = match make(&before).await {
        Ok(kennel) => kennel,
        Err(error) => return Ok(Err(error)),
    };
    diesel::update(dsl::kennels.filter(dsl::id.eq(tx.scope.kennel_id())))
        .set((
            dsl::name.eq(&kennel.name),
            dsl::time_zone.eq(&kennel.time_zone),
            dsl::jurisdiction.eq(&kennel.jurisdiction),
            dsl::currency.eq(&kennel.currency),
            dsl::collars.eq(JsonList(kennel.collars.clone())),
            dsl::vet_phone.eq(&kennel.vet_phone),
        ))
        .execute(&mut tx.conn)
        .await?;
    Ok(Ok(find(tx).await?))
}

/// A member with the particulars of the person.
#[derive(Debug, Clone)]
pub struct MemberOf {
    /// The membership.
    pub member: Kept<Member>,
    /// The person.
    pub person: Person,
}

/// All members of the kennel with their names, in the order in which they joined.
///
/// # Errors
/// When the database is away.
pub async fn members(tx: &Tx) -> StoreResult<Vec<MemberOf>> {
    use schema::{memberships as m, people as p};
    let rows: Vec<(keep::Stamp, (Uuid, Role), (Uuid, String, String))> = m::table
        .inner_join(p::table.on(p::id.eq(m::person_id)))
        .filter(m::kennel_id.eq(tx.scope.kennel_id()))
        .select((
            (m::id, m::version, m::created_at, m::updated_at),
            (m::person_id, m::role),
            (p::id, p::name, p::email),
        ))
        .order(m::id)
        .load(&mut tx.pipelined())
        .await?;
    Ok(rows
        .into_iter()
        .map(|(stamp, (person_id, role), (id, name, email))| MemberOf {
            member: keep::kept(stamp, Member { person_id, role }),
            person: Person { id, name, email },
        })
        .collect())
}

use diesel::JoinOnDsl as _;

/// Ends a membership at the version the client has seen; who is no owner ends their own only.
///
/// # Errors
/// [`StoreError::Conflict`] for the last owner, [`StoreError::Stale`] when it changed.
pub async fn end_membership(tx: &mut Tx, id: Uuid, seen: Seen) -> StoreResult<()> {
    let leaving = Member::select(tx, id, false).await?.record.person_id == tx.scope.person_id();
    if !leaving {
        tx.scope.require(Right::Managing)?;
    }
    tx.begin_writing().await?;
    let before = Member::select(tx, id, true).await?;
    seen.must_be(before.version)?;
    Member::delete_cascading(tx, &before).await
}

/// The rules in force: the published defaults with the kennel's own values on top.
///
/// # Errors
/// When the database is away.
pub async fn rules(tx: &Tx) -> StoreResult<Rules> {
    use schema::rule_overrides::dsl;
    let own: Vec<(String, f64, String)> = dsl::rule_overrides
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select((dsl::key, dsl::value, dsl::source))
        .load(&mut tx.pipelined())
        .await?;
    Ok(own.into_iter().fold(Rules::standard(), |rules, (key, value, source)| {
        // A value that a later edition no longer knows or allows falls back to the default.
        rules.clone().with_override(&key, value, &source).unwrap_or(rules)
    }))
}

/// Invites somebody: whoever shows the secret joins with the role.
///
/// # Errors
/// When the role does not allow it.
pub async fn invite(
    tx: &mut Tx,
    invitation: &Invitation,
    secret_hash: &[u8],
    expires_at: DateTime<Utc>,
) -> StoreResult<Kept<Invitation>> {
    use schema::invitations::dsl;
    tx.scope.require(Right::Managing)?;
    tx.scope.require_person()?;
    let id = Uuid::now_v7();
    diesel::insert_into(dsl::invitations)
        .values((
            dsl::kennel_id.eq(tx.scope.kennel_id()),
            dsl::id.eq(id),
            dsl::email.eq(invitation.email.to_lowercase()),
            dsl::role.eq(Stored(invitation.role)),
            dsl::token_hash.eq(secret_hash),
            dsl::expires_at.eq(expires_at),
        ))
        .execute(&mut tx.conn)
        .await?;
    keep::find(tx, id).await
}

#[derive(QueryableByName)]
struct AcceptedRow {
    #[diesel(sql_type = Text)]
    outcome: String,
    #[diesel(sql_type = Nullable<SqlUuid>)]
    kennel_id: Option<Uuid>,
}

/// Lets the person of a session join the kennel that the secret of an invitation opens.
///
/// # Errors
/// [`StoreError::Login`] when the secret is unknown, used or expired, [`StoreError::Forbidden`] when
/// somebody else was invited, [`StoreError::Conflict`] when the person is a member already.
pub async fn join(
    db: &Db,
    session_id: Uuid,
    secret_hash: &[u8],
    now: DateTime<Utc>,
) -> StoreResult<Uuid> {
    let accepted: AcceptedRow = statement("SELECT * FROM accept_invitation($1, $2, $3, $4)")
        .bind::<SqlUuid, _>(session_id)
        .bind::<Bytea, _>(secret_hash)
        .bind::<SqlUuid, _>(Uuid::now_v7())
        .bind::<Timestamptz, _>(now)
        .get_result(&mut db.connection().await?)
        .await?;
    match (accepted.outcome.as_str(), accepted.kennel_id) {
        ("joined", Some(kennel_id)) => Ok(kennel_id),
        ("other_address", _) => Err(StoreError::Forbidden(
            "the invitation is for another email address; log in with that one",
        )),
        _ => Err(StoreError::Login("the invitation is unknown, used or expired; ask for another")),
    }
}

/// A named token for a front end's own server.
#[derive(Debug, Clone, diesel::Queryable)]
pub struct AccessToken {
    /// Id.
    pub id: Uuid,
    /// The person on whose behalf it acts.
    pub person_id: Uuid,
    /// What the kennel calls it.
    pub name: String,
    /// Whether it only reads.
    pub read_only: bool,
    /// The areas it opens; null for all that the person's role allows.
    pub areas: Option<Vec<String>>,
    /// When it ends; null never.
    pub expires_at: Option<DateTime<Utc>>,
    /// When it was made.
    pub created_at: DateTime<Utc>,
}

/// An access token to be made.
#[derive(Debug, Clone)]
pub struct NewAccessToken {
    /// What the kennel calls it.
    pub name: String,
    /// Whether it only reads.
    pub read_only: bool,
    /// The areas it opens; null for all that the person's role allows.
    pub areas: Option<Vec<Area>>,
    /// When it ends; null never.
    pub expires_at: Option<DateTime<Utc>>,
}

/// Makes an access token for the person of the scope.
///
/// # Errors
/// [`StoreError::Forbidden`] for an access token, which makes no others.
pub async fn add_access_token(
    tx: &mut Tx,
    secret_hash: &[u8],
    new: &NewAccessToken,
) -> StoreResult<AccessToken> {
    use schema::access_tokens::dsl;
    tx.scope.require_person()?;
    let areas =
        new.areas.as_ref().map(|areas| areas.iter().map(|a| a.as_str()).collect::<Vec<_>>());
    let id = Uuid::now_v7();
    diesel::insert_into(dsl::access_tokens)
        .values((
            dsl::kennel_id.eq(tx.scope.kennel_id()),
            dsl::id.eq(id),
            dsl::person_id.eq(tx.scope.person_id()),
            dsl::name.eq(&new.name),
            dsl::token_hash.eq(secret_hash),
            dsl::read_only.eq(new.read_only),
            dsl::areas.eq(areas),
            dsl::expires_at.eq(new.expires_at),
        ))
        .execute(&mut tx.conn)
        .await?;
    access_tokens(tx).await?.into_iter().find(|token| token.id == id).ok_or(StoreError::NotFound)
}

/// The access tokens that the person of the scope may manage.
///
/// # Errors
/// When the database is away.
pub async fn access_tokens(tx: &mut Tx) -> StoreResult<Vec<AccessToken>> {
    use schema::access_tokens::dsl;
    let mut query = dsl::access_tokens
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select((
            dsl::id,
            dsl::person_id,
            dsl::name,
            dsl::read_only,
            dsl::areas,
            dsl::expires_at,
            dsl::created_at,
        ))
        .order(dsl::id)
        .into_boxed();
    if !tx.scope.allows(Right::Managing) {
        query = query.filter(dsl::person_id.eq(tx.scope.person_id()));
    }
    Ok(query.load(&mut tx.conn).await?)
}

/// Withdraws an access token.
///
/// # Errors
/// [`StoreError::NotFound`] when there is none that this person may manage.
pub async fn remove_access_token(tx: &mut Tx, id: Uuid) -> StoreResult<()> {
    use schema::access_tokens::dsl;
    tx.scope.require_person()?;
    let mut row = diesel::delete(dsl::access_tokens)
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(id)))
        .into_boxed();
    if !tx.scope.allows(Right::Managing) {
        row = row.filter(dsl::person_id.eq(tx.scope.person_id()));
    }
    match row.execute(&mut tx.conn).await? {
        0 => Err(StoreError::NotFound),
        _ => Ok(()),
    }
}
