//! All that is recorded of litters, their dams and pups, gathered for the questions of the domain.

mod asked;
mod facts;
mod of_dogs;

pub use asked::{Asked, asked, own_readiness_rules, rule_set, set_readiness_rules};

use super::{StoreError, StoreResult, Tx, kennels, matings, people::Right, schema};
use crate::domain::{
    litter_record::{DogRecord, LitterRecord},
    record::{BirthOutcome, Residence},
};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, JoinOnDsl as _,
    NullableExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
};
use diesel_async::RunQueryDsl as _;
use facts::Facts;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;

/// Which litters to gather.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// Litters with a pup in the kennel, and those whose dam is followed: what a walk meets.
    Current,
    /// One litter.
    Litter(Uuid),
    /// All litters.
    All,
}

struct LitterRow {
    id: Uuid,
    dam_id: Uuid,
    sire_id: Option<Uuid>,
    mating_id: Option<Uuid>,
    name: Option<String>,
    place: Option<String>,
    whelped_on: Option<NaiveDate>,
    weaned_on: Option<NaiveDate>,
}

struct BirthRow {
    litter_id: Uuid,
    dog_id: Uuid,
    ordinal: i32,
    born_at: DateTime<Utc>,
    outcome: BirthOutcome,
    weight_g: Option<i32>,
    collar: Option<String>,
}

/// The records of the litters wanted, oldest first.
///
/// # Errors
/// [`StoreError::NotFound`] when the one litter asked for is not there.
pub async fn litters(
    tx: &mut Tx,
    wanted: Wanted,
    now: DateTime<Utc>,
) -> StoreResult<Vec<LitterRecord>> {
    tx.scope.require(Right::Dogs)?;
    let today = tx.scope.day_of(now);
    let (rules, rows) = tokio::try_join!(kennels::rules(tx), litter_rows(tx, wanted))?;
    if rows.is_empty() && matches!(wanted, Wanted::Litter(_)) {
        return Err(StoreError::NotFound);
    }
    let matings: Vec<Uuid> = rows.iter().filter_map(|row| row.mating_id).collect();
    let (births, mated) =
        tokio::try_join!(birth_rows(tx, &rows), matings::first_ties(tx, &matings))?;
    let mut ids: BTreeSet<Uuid> = births.iter().map(|birth| birth.dog_id).collect();
    ids.extend(rows.iter().flat_map(|row| [Some(row.dam_id), row.sire_id]).flatten());
    let mut facts = Facts::of(tx, ids.into_iter().collect()).await?;
    let latest = latest_litters(&rows);
    let mut records = Vec::with_capacity(rows.len());
    for row in &rows {
        let pups: Vec<DogRecord> = births
            .iter()
            .filter(|birth| birth.litter_id == row.id && birth.outcome == BirthOutcome::Alive)
            .map(|birth| facts.pup(birth, tx))
            .collect();
        let followed = latest.contains(&row.id)
            && LitterRecord::follows_dam(row.whelped_on, row.weaned_on, today, &rules);
        if wanted == Wanted::Current && !followed && !pups.iter().any(|pup| pup.here) {
            continue;
        }
        let dam = if followed { facts.dam(row.dam_id) } else { None };
        records.push(LitterRecord {
            litter_id: Some(row.id),
            name: row.name.clone().or_else(|| facts.name_of(row.dam_id)),
            place: row.place.clone(),
            mated_on: row.mating_id.and_then(|id| mated.get(&id)).copied(),
            whelped_on: row.whelped_on,
            weaned_on: row.weaned_on,
            breed: <[DogRecord]>::first(&pups)
                .and_then(|pup| facts.dogs.get(&pup.dog_id)?.breed.clone()),
            adult_weight_g: facts.adult_weight(row),
            dam_weight_g: facts.grown(Some(row.dam_id)),
            dam,
            pups,
        });
    }
    Ok(records)
}

/// The record of one dog, with its litter when its birth is recorded here.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such dog that this person may see.
pub async fn of_dog(
    tx: &mut Tx,
    dog_id: Uuid,
    now: DateTime<Utc>,
) -> StoreResult<(LitterRecord, DogRecord)> {
    use schema::births::dsl;
    let litter_id: Option<Uuid> = dsl::births
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq(dog_id)))
        .select(dsl::litter_id)
        .first(&mut tx.conn)
        .await
        .optional()?;
    if let Some(litter_id) = litter_id
        && let Some(litter) = litters(tx, Wanted::Litter(litter_id), now).await?.pop()
        && let Some(pup) = litter.pups.iter().find(|pup| pup.dog_id == dog_id).cloned()
    {
        return Ok((litter, pup));
    }
    let mut facts = Facts::of(tx, vec![dog_id]).await?;
    let dog = facts.dam(dog_id).ok_or(StoreError::NotFound)?;
    let row = facts.dogs.remove(&dog_id).ok_or(StoreError::NotFound)?;
    let alone = LitterRecord {
        breed: row.breed,
        adult_weight_g: row.adult_weight_g.map(f64::from),
        pups: vec![dog.clone()],
        ..alone()
    };
    Ok((alone, dog))
}

/// The newest litter of each dam: her schedule is followed for that one alone.
fn latest_litters(rows: &[LitterRow]) -> BTreeSet<Uuid> {
    let mut latest: BTreeMap<Uuid, Uuid> = BTreeMap::new();
    for row in rows {
        latest.insert(row.dam_id, row.id);
    }
    latest.into_values().collect()
}

async fn litter_rows(tx: &Tx, wanted: Wanted) -> StoreResult<Vec<LitterRow>> {
    use schema::{litters::dsl, places};
    let of_litter =
        places::kennel_id.eq(dsl::kennel_id).and(places::id.nullable().eq(dsl::place_id));
    let mut query = dsl::litters
        .left_join(places::table.on(of_litter))
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select((
            (dsl::id, dsl::dam_id, dsl::sire_id, dsl::mating_id),
            (dsl::name, places::name.nullable(), dsl::whelped_on, dsl::weaned_on),
        ))
        // Nulls come last: an expected litter is the newest of its dam.
        .order((dsl::whelped_on, dsl::id))
        .into_boxed();
    if let Wanted::Litter(id) = wanted {
        query = query.filter(dsl::id.eq(id));
    }
    type Ids = (Uuid, Uuid, Option<Uuid>, Option<Uuid>);
    type Words = (Option<String>, Option<String>, Option<NaiveDate>, Option<NaiveDate>);
    let rows: Vec<(Ids, Words)> = query.load(&mut tx.together()).await?;
    let row = |((id, dam_id, sire_id, mating_id), words): (Ids, Words)| {
        let (name, place, whelped_on, weaned_on) = words;
        LitterRow { id, dam_id, sire_id, mating_id, name, place, whelped_on, weaned_on }
    };
    Ok(rows.into_iter().map(row).collect())
}

async fn birth_rows(tx: &Tx, litters: &[LitterRow]) -> StoreResult<Vec<BirthRow>> {
    use schema::births::dsl;
    let ids: Vec<Uuid> = litters.iter().map(|row| row.id).collect();
    let rows: Vec<(Uuid, Uuid, i32, DateTime<Utc>, BirthOutcome, Option<i32>, Option<String>)> =
        dsl::births
            .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::litter_id.eq_any(ids)))
            .select((
                dsl::litter_id,
                dsl::dog_id,
                dsl::ordinal,
                dsl::born_at,
                dsl::outcome,
                dsl::weight_g,
                dsl::collar,
            ))
            .order((dsl::litter_id, dsl::ordinal))
            .load(&mut tx.together())
            .await?;
    Ok(rows
        .into_iter()
        .map(|(litter_id, dog_id, ordinal, born_at, outcome, weight_g, collar)| BirthRow {
            litter_id,
            dog_id,
            ordinal,
            born_at,
            outcome,
            weight_g,
            collar,
        })
        .collect())
}

/// The grown dogs that live here, as a record of no litter; those of `litters` are in theirs.
///
/// # Errors
/// When the database is away.
pub async fn grown(tx: &mut Tx, litters: &[LitterRecord]) -> StoreResult<LitterRecord> {
    use schema::dogs::dsl;
    tx.scope.require(Right::Dogs)?;
    let pups = litters.iter().flat_map(|litter| &litter.pups).map(|pup| pup.dog_id);
    let dams = litters.iter().filter_map(|litter| litter.dam.as_ref()).map(|dam| dam.dog_id);
    let met: Vec<Uuid> = pups.chain(dams).collect();
    let ids: Vec<Uuid> = dsl::dogs
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::died_on.is_null()))
        .filter(dsl::residence.eq(Residence::Here).and(dsl::id.ne_all(met)))
        .select(dsl::id)
        .order(dsl::id)
        .load(&mut tx.conn)
        .await?;
    let mut facts = Facts::of(tx, ids.clone()).await?;
    Ok(LitterRecord { pups: ids.into_iter().filter_map(|id| facts.dam(id)).collect(), ..alone() })
}

/// A record of no litter.
fn alone() -> LitterRecord {
    LitterRecord {
        litter_id: None,
        name: None,
        place: None,
        mated_on: None,
        whelped_on: None,
        weaned_on: None,
        breed: None,
        adult_weight_g: None,
        dam_weight_g: None,
        dam: None,
        pups: Vec::new(),
    }
}
