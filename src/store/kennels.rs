//! The kennel's own particulars, its members, invitations, access tokens and rules.

use super::{
    Db, StoreError, StoreResult, Tx,
    columns::JsonList,
    keep::{self, Hooks, Keep as _, Seen, keep, write},
    people::Person,
    reads::ListKey,
    schema,
    scope::Right,
    statement::statement,
};
use crate::columns::Stored;
use catalogue::said;
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, JoinOnDsl as _, QueryDsl as _, Queryable,
    QueryableByName, Selectable, SelectableHelper as _,
    sql_types::{Bytea, Nullable, Text, Timestamptz, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    readiness::rules_in_force,
    record::{
        Area, Invitation, InvitationFilter, Kennel, Kept, Member, MemberFilter, Role, RuleOverride,
        RuleOverrideFilter,
    },
    rules::Rules,
    units::{TemperatureUnit, WeightUnit},
};
use uuid::Uuid;

keep!(Member in memberships { person_id, role }
    sorted { role Word }
    filter MemberFilter { role == role });

impl Hooks for Member {
    async fn validate(&self, _tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        match before {
            Some(before) => Ok(self.admit_change(&before.record)?),
            None => Ok(()),
        }
    }
}

keep!(Invitation in invitations { email, role }
    sorted { email Word, role Word }
    filter InvitationFilter { role == role });

impl Hooks for Invitation {}

keep!(RuleOverride in rule_overrides { key, value, source }
    sorted { key Word }
    filter RuleOverrideFilter { key == key });

impl Hooks for RuleOverride {}

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
            dsl::weight_unit.eq(Stored(kennel.weight_unit)),
            dsl::temperature_unit.eq(Stored(kennel.temperature_unit)),
        ))
        .execute(&mut tx.conn)
        .await?;
    let owner = Member { person_id: tx.scope.person_id(), role: Role::Owner };
    keep::create(tx, &owner).await?;
    find(tx).await
}

/// A kennel as it is kept.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::kennels)]
struct KennelRow {
    id: Uuid,
    version: i64,
    created_at: DateTime<Utc>,
    updated_at: DateTime<Utc>,
    name: String,
    time_zone: String,
    jurisdiction: Option<String>,
    currency: String,
    collars: JsonList<String>,
    vet_phone: Option<String>,
    weight_unit: WeightUnit,
    temperature_unit: TemperatureUnit,
}

impl From<KennelRow> for Kept<Kennel> {
    fn from(row: KennelRow) -> Self {
        let (collars, vet_phone) = (row.collars.0, row.vet_phone);
        let (weight_unit, temperature_unit) = (row.weight_unit, row.temperature_unit);
        let own = Kennel::of(row.name, row.time_zone, row.jurisdiction, row.currency);
        let stamp = (row.id, row.version, row.created_at, row.updated_at);
        keep::kept(stamp, Kennel { collars, vet_phone, weight_unit, temperature_unit, ..own })
    }
}

/// The kennel of the scope.
///
/// # Errors
/// When the database is away.
pub async fn find(tx: &mut Tx) -> StoreResult<Kept<Kennel>> {
    use schema::kennels::dsl;
    let row: KennelRow = dsl::kennels
        .filter(dsl::id.eq(tx.scope.kennel_id()))
        .select(KennelRow::as_select())
        .for_no_key_update()
        .first(&mut tx.conn)
        .await?;
    Ok(row.into())
}

/// In what the kennel reads weights and temperatures.
///
/// # Errors
/// When the database is away.
pub async fn units(tx: &Tx) -> StoreResult<(WeightUnit, TemperatureUnit)> {
    use schema::kennels::dsl;
    let own = dsl::kennels.filter(dsl::id.eq(tx.scope.kennel_id()));
    let units = own.select((dsl::weight_unit, dsl::temperature_unit));
    Ok(units.first(&mut tx.pipelined()).await?)
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
pub(crate) async fn vet_phone(tx: &mut Tx) -> StoreResult<Option<String>> {
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
            dsl::weight_unit.eq(Stored(kennel.weight_unit)),
            dsl::temperature_unit.eq(Stored(kennel.temperature_unit)),
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

/// A membership with the person's particulars.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::memberships)]
struct MemberRow {
    id: Uuid,
    version: i64,
    created_at: DateTime<Utc>,
    updated_at: DateTime<Utc>,
    person_id: Uuid,
    role: Role,
    #[diesel(select_expression = schema::people::name)]
    name: String,
    #[diesel(select_expression = schema::people::email)]
    email: String,
}

/// All members of the kennel with their names, in the order in which they joined.
///
/// # Errors
/// When the database is away.
pub async fn members(tx: &Tx) -> StoreResult<Vec<MemberOf>> {
    use schema::{memberships as m, people as p};
    let rows: Vec<MemberRow> = m::table
        .inner_join(p::table.on(p::id.eq(m::person_id)))
        .filter(m::kennel_id.eq(tx.scope.kennel_id()))
        .select(MemberRow::as_select())
        .order(m::id)
        .load(&mut tx.pipelined())
        .await?;
    let member = |row: MemberRow| {
        let MemberRow { id, version, created_at, updated_at, person_id, role, name, email } = row;
        MemberOf {
            member: keep::kept((id, version, created_at, updated_at), Member { person_id, role }),
            person: Person { id: person_id, name, email },
        }
    };
    Ok(rows.into_iter().map(member).collect())
}

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
    write::remove_settled::<Member>(tx, id).await
}

/// A value that the kennel sets for itself.
#[derive(Clone, PartialEq, Queryable, Selectable)]
#[diesel(table_name = schema::rule_overrides)]
struct OverrideRow {
    key: String,
    value: f64,
    source: String,
}

/// The rules in force: the published defaults with the kennel's own values on top, and the law's above both.
///
/// # Errors
/// When the database is away.
pub async fn rules(tx: &Tx) -> StoreResult<Rules> {
    use schema::rule_overrides::dsl;
    let read = async || {
        let query = dsl::rule_overrides
            .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
            .select(OverrideRow::as_select());
        Ok(query.load(&mut tx.pipelined()).await?)
    };
    let own = tx.remembered(|| ListKey::all("own rules"), &["rule_override"], read).await?;
    let stated = |row: &OverrideRow| {
        let OverrideRow { key, value, source } = row.clone();
        RuleOverride { key, value, source }
    };
    let own: Vec<RuleOverride> = own.iter().map(stated).collect();
    Ok(rules_in_force(tx.scope.jurisdiction(), &own))
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
        ("other_address", _) => {
            Err(StoreError::Forbidden(said!("problem-forbidden-other-address")))
        }
        _ => Err(StoreError::Login(said!("problem-login-invitation"))),
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
