//! Secret links to the calendar, kept as hashes.

use super::{StoreError, StoreResult, Tx, keep::Seen, schema, scope::Right};
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
    Queryable, Selectable, SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::record::{CalendarKind, CalendarLink};
use uuid::Uuid;

/// A secret link as it is kept.
#[derive(Debug, Clone)]
pub struct KeptCalendarLink {
    /// Id.
    pub id: Uuid,
    /// Counts the changes.
    pub version: i64,
    /// When it was made.
    pub created_at: DateTime<Utc>,
    /// Whose it is.
    pub person_id: Uuid,
    /// What it is for, and what it shows.
    pub link: CalendarLink,
}

/// A link as it is kept.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::calendar_links)]
struct LinkRow {
    id: Uuid,
    version: i64,
    created_at: DateTime<Utc>,
    person_id: Uuid,
    name: String,
    kinds: Vec<String>,
    alarms: bool,
}

impl KeptCalendarLink {
    fn of(row: LinkRow) -> Self {
        let LinkRow { id, version, created_at, person_id, name, kinds: words, alarms } = row;
        let link = CalendarLink { name, kinds: kinds(&words), alarms };
        Self { id, version, created_at, person_id, link }
    }
}

/// The kinds that these words name; one that this edition does not know shows nothing.
pub(super) fn kinds(words: &[String]) -> Vec<CalendarKind> {
    words.iter().filter_map(|word| word.parse().ok()).collect()
}

fn words(kinds: &[CalendarKind]) -> Vec<&'static str> {
    kinds.iter().map(|kind| kind.as_str()).collect()
}

/// Makes a link for the person of the scope.
///
/// # Errors
/// When the database is away.
pub async fn add(
    tx: &mut Tx,
    link: &CalendarLink,
    secret_hash: &[u8],
) -> StoreResult<KeptCalendarLink> {
    use schema::calendar_links::dsl;
    tx.scope.require_person()?;
    let id = Uuid::now_v7();
    diesel::insert_into(dsl::calendar_links)
        .values((
            dsl::kennel_id.eq(tx.scope.kennel_id()),
            dsl::id.eq(id),
            dsl::person_id.eq(tx.scope.person_id()),
            dsl::name.eq(&link.name),
            dsl::token_hash.eq(secret_hash),
            dsl::kinds.eq(words(&link.kinds)),
            dsl::alarms.eq(link.alarms),
        ))
        .execute(&mut tx.conn)
        .await?;
    one(tx, id).await
}

/// The links that the person of the scope may manage.
///
/// # Errors
/// When the database is away.
pub async fn all(tx: &mut Tx) -> StoreResult<Vec<KeptCalendarLink>> {
    use schema::calendar_links::dsl;
    let mut query = dsl::calendar_links
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select(LinkRow::as_select())
        .order(dsl::id)
        .into_boxed();
    if !tx.scope.allows(Right::Managing) {
        query = query.filter(dsl::person_id.eq(tx.scope.person_id()));
    }
    let rows: Vec<LinkRow> = query.load(&mut tx.conn).await?;
    Ok(rows.into_iter().map(KeptCalendarLink::of).collect())
}

/// One of them.
///
/// # Errors
/// [`StoreError::NotFound`] when there is none that this person may manage.
pub async fn one(tx: &mut Tx, id: Uuid) -> StoreResult<KeptCalendarLink> {
    all(tx).await?.into_iter().find(|kept| kept.id == id).ok_or(StoreError::NotFound)
}

/// Changes what a link is for and what it shows, from the version that was seen; its address stays.
///
/// # Errors
/// [`StoreError::NotFound`] when there is none that this person may manage, [`StoreError::Stale`] when
/// somebody else was faster.
pub async fn change(
    tx: &mut Tx,
    id: Uuid,
    seen: Seen,
    link: &CalendarLink,
) -> StoreResult<KeptCalendarLink> {
    use schema::calendar_links::dsl;
    tx.scope.require_person()?;
    one(tx, id).await?;
    let row =
        dsl::calendar_links.filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq(id)));
    let version = row.select(dsl::version).for_update().first(&mut tx.conn).await.optional()?;
    seen.must_be(version.ok_or(StoreError::NotFound)?)?;
    diesel::update(row)
        .set((
            dsl::name.eq(&link.name),
            dsl::kinds.eq(words(&link.kinds)),
            dsl::alarms.eq(link.alarms),
        ))
        .execute(&mut tx.conn)
        .await?;
    one(tx, id).await
}

/// Withdraws a link.
///
/// # Errors
/// [`StoreError::NotFound`] when there is none that this person may manage.
pub async fn remove(tx: &mut Tx, id: Uuid) -> StoreResult<()> {
    use schema::calendar_links::dsl;
    tx.scope.require_person()?;
    let mut row = diesel::delete(dsl::calendar_links)
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
