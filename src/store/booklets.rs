//! What a pup's booklet is made of, and the links by which a new owner reads it.

use super::{
    Db, StoreError, StoreResult, Tx, genotypes,
    keep::Keep,
    litter_records,
    people::{self, Right, Scope},
    schema,
};
use crate::domain::{
    booklet::{
        AncestorFact, BookletBirth, BookletDog, BookletEvent, BookletFacts, BookletKennel,
        BookletTest, BookletWeight,
    },
    litter_record::AskedOn,
    partial_date::PartialDate,
    record::{BookletTexts, Dog, HealthKind, Kennel},
};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
    QueryableByName,
    sql_types::{Bytea, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use std::collections::BTreeMap;
use uuid::Uuid;

/// The kennel's words, and their version (0 for none).
///
/// # Errors
/// When the database is away.
pub async fn texts(tx: &mut Tx) -> StoreResult<(BookletTexts, i64)> {
    use schema::booklet_texts::dsl;
    type Row =
        (Option<String>, Option<String>, Option<String>, Option<String>, Option<String>, i64);
    let row: Option<Row> = dsl::booklet_texts
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select((dsl::welcome, dsl::feeding, dsl::care, dsl::contact, dsl::logo_svg, dsl::version))
        .first(&mut tx.conn)
        .await
        .optional()?;
    Ok(row.map_or_else(Default::default, |(welcome, feeding, care, contact, logo_svg, version)| {
        (BookletTexts { welcome, feeding, care, contact, logo_svg }, version)
    }))
}

/// Sets the kennel's words, from the version the client has seen.
///
/// # Errors
/// [`StoreError::Stale`] when somebody else was faster.
pub async fn set_texts(tx: &mut Tx, texts: &BookletTexts, version: i64) -> StoreResult<()> {
    use schema::booklet_texts::dsl;
    tx.scope.require(Right::Managing)?;
    let kennel_id = tx.scope.kennel_id();
    let words = (
        dsl::welcome.eq(&texts.welcome),
        dsl::feeding.eq(&texts.feeding),
        dsl::care.eq(&texts.care),
        dsl::contact.eq(&texts.contact),
        dsl::logo_svg.eq(&texts.logo_svg),
    );
    let written = if version == 0 {
        diesel::insert_into(dsl::booklet_texts)
            .values((dsl::kennel_id.eq(kennel_id), dsl::id.eq(kennel_id), words))
            .on_conflict_do_nothing()
            .execute(&mut tx.conn)
            .await?
    } else {
        let row =
            dsl::booklet_texts.filter(dsl::kennel_id.eq(kennel_id).and(dsl::version.eq(version)));
        diesel::update(row).set(words).execute(&mut tx.conn).await?
    };
    if written == 0 { Err(StoreError::Stale) } else { Ok(()) }
}

/// What the booklet of a dog is made of, and the kennel's logo.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such dog that this person may see.
pub async fn facts(
    tx: &mut Tx,
    dog_id: Uuid,
    now: DateTime<Utc>,
) -> StoreResult<(BookletFacts, Option<String>)> {
    let dog = Dog::select(tx, dog_id, false).await?.record;
    let (texts, _) = texts(tx).await?;
    let (litter, record) = litter_records::of_dog(tx, dog_id, now).await?;
    let asked = litter_records::asked(tx).await?;
    let ask = AskedOn { book: &asked.book, rules: &asked.rules, now, zone: tx.scope.tz() };
    let facts = BookletFacts {
        kennel: BookletKennel {
            name: tx.scope.kennel().name.clone(),
            welcome: texts.welcome,
            feeding: texts.feeding,
            care: texts.care,
            contact: texts.contact,
        },
        birth: birth(tx, dog_id, litter.name.clone()).await?,
        pedigree: ancestors(tx, dog_id).await?,
        weights: weights(tx, dog_id).await?,
        given: given(tx, dog_id).await?,
        tests: tests(tx, dog_id).await?,
        schedule: litter.followed_schedule(&record, ask).steps,
        dog: BookletDog {
            dog_id,
            name: dog.name,
            call_name: dog.call_name,
            sex: dog.sex,
            breed: dog.breed,
            colour: dog.colour,
            markings: dog.markings,
            born_on: dog.born_on,
            chip_number: dog.chip_number,
            registrations: dog.registrations,
        },
    };
    Ok((facts, texts.logo_svg))
}

async fn birth(
    tx: &mut Tx,
    dog_id: Uuid,
    litter_name: Option<String>,
) -> StoreResult<Option<BookletBirth>> {
    use schema::births::dsl;
    let row: Option<(Uuid, DateTime<Utc>, i32, Option<i32>, Option<String>)> = dsl::births
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq(dog_id)))
        .select((dsl::litter_id, dsl::born_at, dsl::ordinal, dsl::weight_g, dsl::collar))
        .first(&mut tx.conn)
        .await
        .optional()?;
    let Some((litter_id, born_at, ordinal, weight_g, collar)) = row else { return Ok(None) };
    let born: i64 = dsl::births
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::litter_id.eq(litter_id)))
        .count()
        .get_result(&mut tx.conn)
        .await?;
    let litter_size = usize::try_from(born).unwrap_or_default();
    Ok(Some(BookletBirth { born_at, ordinal, litter_size, litter_name, weight_g, collar }))
}

#[derive(QueryableByName)]
struct AncestorRow {
    #[diesel(sql_type = SqlUuid)]
    id: Uuid,
    #[diesel(sql_type = Nullable<SqlUuid>)]
    sire_id: Option<Uuid>,
    #[diesel(sql_type = Nullable<SqlUuid>)]
    dam_id: Option<Uuid>,
    #[diesel(sql_type = Nullable<Text>)]
    name: Option<String>,
    #[diesel(sql_type = Nullable<Text>)]
    born_on: Option<PartialDate>,
    #[diesel(sql_type = Nullable<Text>)]
    breed: Option<String>,
}

/// The dog, which this person may see, and all its ancestors: those are part of its record.
async fn ancestors(tx: &mut Tx, dog_id: Uuid) -> StoreResult<BTreeMap<Uuid, AncestorFact>> {
    let rows: Vec<AncestorRow> = diesel::sql_query("SELECT * FROM ancestors_of($1)")
        .bind::<SqlUuid, _>(dog_id)
        .load(&mut tx.conn)
        .await?;
    let fact = |row: AncestorRow| {
        let AncestorRow { id, sire_id: sire, dam_id: dam, name, born_on, breed } = row;
        (id, AncestorFact { sire, dam, name, born_on, breed })
    };
    Ok(rows.into_iter().map(fact).collect())
}

async fn weights(tx: &mut Tx, dog_id: Uuid) -> StoreResult<Vec<BookletWeight>> {
    use schema::weights::dsl;
    let rows: Vec<(DateTime<Utc>, i32)> = dsl::weights
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq(dog_id)))
        .select((dsl::measured_at, dsl::weight_g))
        .order(dsl::measured_at)
        .load(&mut tx.conn)
        .await?;
    let on = |at| tx.scope.day_of(at);
    Ok(rows.into_iter().map(|(at, weight_g)| BookletWeight { on: on(at), weight_g }).collect())
}

/// Everything given and found; the kennel's private notes and who told it are left out.
async fn given(tx: &mut Tx, dog_id: Uuid) -> StoreResult<Vec<BookletEvent>> {
    use schema::health_events::dsl;
    type What = (HealthKind, DateTime<Utc>, Option<String>, Option<String>);
    type How = (Option<NaiveDate>, Option<String>, Option<String>, Option<String>);
    let rows: Vec<(What, How)> = dsl::health_events
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq(dog_id)))
        .select((
            (dsl::kind, dsl::given_at, dsl::product, dsl::batch),
            (dsl::expires_on, dsl::given_by, dsl::site, dsl::reaction),
        ))
        .order((dsl::given_at, dsl::id))
        .load(&mut tx.conn)
        .await?;
    let event =
        |((kind, at, product, batch), (expires_on, given_by, site, reaction)): (What, How)| {
            let on = tx.scope.day_of(at);
            BookletEvent { on, kind, product, batch, expires_on, given_by, site, reaction }
        };
    Ok(rows.into_iter().map(event).collect())
}

async fn tests(tx: &mut Tx, dog_id: Uuid) -> StoreResult<Vec<BookletTest>> {
    let results = genotypes::results_of(tx, &[dog_id]).await?;
    Ok(results.into_iter().map(|(_, result)| BookletTest::of(result)).collect())
}

/// A link to a booklet.
#[derive(Debug, Clone, diesel::Queryable)]
pub struct BookletLink {
    /// Id.
    pub id: Uuid,
    /// Whose booklet.
    pub dog_id: Uuid,
    /// For whom.
    pub label: Option<String>,
    /// When it ends; null when it is withdrawn.
    pub expires_at: Option<DateTime<Utc>>,
    /// When it was made.
    pub created_at: DateTime<Utc>,
}

/// Makes a link to a dog's booklet.
///
/// # Errors
/// When the role does not allow it, or there is no such dog.
pub async fn add_link(
    tx: &mut Tx,
    dog_id: Uuid,
    label: Option<&str>,
    secret_hash: &[u8],
    expires_at: Option<DateTime<Utc>>,
) -> StoreResult<BookletLink> {
    use schema::booklet_links::dsl;
    tx.scope.require(Right::Placing)?;
    Dog::select(tx, dog_id, false).await?;
    let id = Uuid::now_v7();
    diesel::insert_into(dsl::booklet_links)
        .values((
            dsl::kennel_id.eq(tx.scope.kennel_id()),
            dsl::id.eq(id),
            dsl::dog_id.eq(dog_id),
            dsl::label.eq(label),
            dsl::token_hash.eq(secret_hash),
            dsl::expires_at.eq(expires_at),
        ))
        .execute(&mut tx.conn)
        .await?;
    links(tx, dog_id).await?.into_iter().find(|link| link.id == id).ok_or(StoreError::NotFound)
}

/// The links to a dog's booklet.
///
/// # Errors
/// When the role does not allow it, or there is no such dog.
pub async fn links(tx: &mut Tx, dog_id: Uuid) -> StoreResult<Vec<BookletLink>> {
    use schema::booklet_links::dsl;
    tx.scope.require(Right::Placing)?;
    Dog::select(tx, dog_id, false).await?;
    Ok(dsl::booklet_links
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq(dog_id)))
        .select((dsl::id, dsl::dog_id, dsl::label, dsl::expires_at, dsl::created_at))
        .order(dsl::id)
        .load(&mut tx.conn)
        .await?)
}

/// Withdraws a link: it is dead from now on.
///
/// # Errors
/// [`StoreError::NotFound`] when there is none.
pub async fn remove_link(tx: &mut Tx, dog_id: Uuid, id: Uuid) -> StoreResult<()> {
    use schema::booklet_links::dsl;
    tx.scope.require(Right::Placing)?;
    let row = dsl::booklet_links.filter(
        dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq(dog_id)).and(dsl::id.eq(id)),
    );
    match diesel::delete(row).execute(&mut tx.conn).await? {
        0 => Err(StoreError::NotFound),
        _ => Ok(()),
    }
}

#[derive(QueryableByName)]
struct LinkedRow {
    #[diesel(sql_type = SqlUuid)]
    kennel_id: Uuid,
    #[diesel(sql_type = SqlUuid)]
    dog_id: Uuid,
    #[diesel(sql_type = Text)]
    name: String,
    #[diesel(sql_type = Text)]
    time_zone: String,
    #[diesel(sql_type = Nullable<Text>)]
    jurisdiction: Option<String>,
    #[diesel(sql_type = Text)]
    currency: String,
}

/// The dog whose booklet a secret opens, and the scope in which it is read.
///
/// # Errors
/// [`StoreError::NotFound`] when the link is unknown, withdrawn or expired.
pub async fn linked(db: &Db, secret_hash: &[u8]) -> StoreResult<(Scope, Uuid)> {
    let row = diesel::sql_query("SELECT * FROM booklet_link_by_hash($1)")
        .bind::<Bytea, _>(secret_hash)
        .get_result::<LinkedRow>(&mut db.connection().await?)
        .await?;
    let LinkedRow { kennel_id, dog_id, name, time_zone, jurisdiction, currency } = row;
    let kennel = Kennel { name, time_zone, jurisdiction, currency, collars: Vec::new() };
    Ok((people::booklet_scope(kennel_id, kennel), dog_id))
}
