//! What a pup's booklet is made of, and the links by which a new owner reads it.

use super::{
    Db, StoreError, StoreResult, Tx, attachments, genotypes,
    keep::{Keep, Seen},
    kennels, litters, schema,
    scope::{self, Right, Scope},
};
use crate::columns::Word;
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
    Queryable, QueryableByName, Selectable, SelectableHelper as _,
    sql_types::{Bytea, Nullable, Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    booklet::{AncestorFact, BookletFacts, BookletKennel, BookletPicture, BookletTest},
    growth::GrowthLitter,
    litter::{Health, ToldOfDog, Weights, growth_litter, told_of_dog},
    partial_date::PartialDate,
    record::{BookletTexts, Dog, Kennel},
};
use std::collections::BTreeMap;
use uuid::Uuid;

/// The kennel's words, as they are kept.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::booklet_texts)]
struct TextsRow {
    welcome: Option<String>,
    feeding: Option<String>,
    care: Option<String>,
    contact: Option<String>,
    logo_svg: Option<String>,
    version: i64,
}

/// The kennel's words, and their version (0 for none).
///
/// # Errors
/// When the database is away.
pub async fn texts(tx: &mut Tx) -> StoreResult<(BookletTexts, i64)> {
    use schema::booklet_texts::dsl;
    let row: Option<TextsRow> = dsl::booklet_texts
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select(TextsRow::as_select())
        .first(&mut tx.conn)
        .await
        .optional()?;
    let texts = |TextsRow { welcome, feeding, care, contact, logo_svg, version }| {
        (BookletTexts { welcome, feeding, care, contact, logo_svg }, version)
    };
    Ok(row.map_or_else(Default::default, texts))
}

/// Sets the kennel's words, from the version the client has seen.
///
/// # Errors
/// [`StoreError::Stale`] when somebody else was faster.
pub async fn set_texts(tx: &mut Tx, texts: &BookletTexts, seen: Seen) -> StoreResult<()> {
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
    let row = dsl::booklet_texts.filter(dsl::kennel_id.eq(kennel_id));
    let present = row.select(dsl::version).for_update().first(&mut tx.conn).await.optional()?;
    seen.must_be(present.unwrap_or(0))?;
    let written = if present.is_none() {
        diesel::insert_into(dsl::booklet_texts)
            .values((dsl::kennel_id.eq(kennel_id), dsl::id.eq(kennel_id), words))
            .on_conflict_do_nothing()
            .execute(&mut tx.conn)
            .await?
    } else {
        diesel::update(row).set(words).execute(&mut tx.conn).await?
    };
    if written == 0 { Err(StoreError::Stale) } else { Ok(()) }
}

/// What the booklet of a dog is made of, the kennel's logo, and the litter with its weights.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such dog that this person may see.
pub async fn facts(
    tx: &mut Tx,
    dog_id: Uuid,
) -> StoreResult<(BookletFacts, Option<String>, GrowthLitter)> {
    let (core, (weights, health)) = litters::of_dog::<(Weights, Health)>(tx, dog_id).await?;
    let (texts, _) = texts(tx).await?;
    let moment = tx.moment().await?;
    let told = told_of_dog(&core, &weights, &health, dog_id, &moment);
    let litter = growth_litter(&core, &weights, &moment);
    let ToldOfDog { dog, birth, weights, given, schedule } = told.ok_or(StoreError::NotFound)?;
    let pictures = attachments::shown_to_buyer(tx, dog_id).await?;
    let pictures = pictures.into_iter().map(|kept| BookletPicture::of(kept, dog.born_on)).collect();
    let facts = BookletFacts {
        kennel: BookletKennel {
            name: tx.scope.kennel().name.clone(),
            welcome: texts.welcome,
            feeding: texts.feeding,
            care: texts.care,
            contact: texts.contact,
            weight_unit: kennels::units(tx).await?.0,
        },
        birth,
        pedigree: ancestors(tx, dog_id).await?,
        weights,
        given,
        tests: tests(tx, dog_id).await?,
        schedule,
        pictures,
        dog,
    };
    Ok((facts, texts.logo_svg, litter))
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
    #[diesel(sql_type = Nullable<Word>)]
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
    tx.scope.require_person()?;
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
pub async fn linked(db: &Db, secret_hash: &[u8], now: DateTime<Utc>) -> StoreResult<(Scope, Uuid)> {
    let row = diesel::sql_query("SELECT * FROM booklet_link_by_hash($1)")
        .bind::<Bytea, _>(secret_hash)
        .get_result::<LinkedRow>(&mut db.connection().await?)
        .await?;
    let LinkedRow { kennel_id, dog_id, name, time_zone, jurisdiction, currency } = row;
    let kennel = Kennel::of(name, time_zone, jurisdiction, currency);
    Ok((scope::of_booklet_link(kennel_id, kennel, secret_hash, now), dog_id))
}
