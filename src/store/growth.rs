//! The weights of litters, gathered for the questions of growth.

use super::{StoreError, StoreResult, Tx, care, schema};
use crate::domain::{
    growth::{GrowthLitter, GrowthPup, Weighing, series::median},
    partial_date::PartialDate,
    record::{BirthOutcome, HealthKind, PlacementKind, PlacementStage, Sex},
};
use chrono::{DateTime, Days, NaiveDate, NaiveTime, TimeZone as _, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, JoinOnDsl as _, OptionalExtension as _,
    QueryDsl as _,
};
use diesel_async::RunQueryDsl as _;
use std::collections::{BTreeSet, HashMap};
use uuid::Uuid;

/// One litter with the weights of its pups, as known at `now`.
///
/// # Errors
/// [`StoreError::NotFound`] when there is none that this person may see.
pub async fn litter(tx: &mut Tx, id: Uuid, now: DateTime<Utc>) -> StoreResult<GrowthLitter> {
    litters(tx, &[id], now).await?.pop().ok_or(StoreError::NotFound)
}

/// The litter that a dog was born into; one of its own when only its day of birth is known.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such dog; a fault when its day of birth is unknown.
pub async fn litter_of_dog(
    tx: &mut Tx,
    dog_id: Uuid,
    now: DateTime<Utc>,
) -> StoreResult<GrowthLitter> {
    if let Some((litter_id, _)) = births_of(tx, &[dog_id]).await?.pop() {
        return litter(tx, litter_id, now).await;
    }
    let row = dog_rows(tx, &[dog_id]).await?.pop().ok_or(StoreError::NotFound)?;
    let Some(day) = row.born_on.and_then(PartialDate::day) else {
        return Err(StoreError::refused(
            "#path/dog_id",
            "names a dog whose day of birth is unknown; give it, growth is counted from there",
        ));
    };
    let mut weights = care::weighings(tx, &[dog_id]).await?;
    let pup = GrowthPup {
        dog_id,
        label: row.label(None, None),
        born_at: midnight(tx, day),
        birth_weight_g: None,
        is_female: row.sex.map(|sex| sex == Sex::Female),
        left_at: row.died_on.map(|day| end_of(tx, day, now)),
        weighings: weights.remove(&dog_id).unwrap_or_default(),
    };
    Ok(GrowthLitter {
        // No litter of ours: this id stands in no answer.
        litter_id: Uuid::nil(),
        breed: row.breed,
        adult_weight_g: row.adult_weight_g.map(f64::from),
        dam_weight_g: None,
        time_zone: tx.scope.tz(),
        pups: vec![pup],
    })
}

/// The litters into which these dogs were born, each id once, by dog.
///
/// # Errors
/// When the database is away.
pub async fn litters_of_dogs(tx: &mut Tx, dogs: &[Uuid]) -> StoreResult<HashMap<Uuid, Uuid>> {
    Ok(births_of(tx, dogs).await?.into_iter().map(|(litter, dog)| (dog, litter)).collect())
}

async fn births_of(tx: &mut Tx, dogs: &[Uuid]) -> StoreResult<Vec<(Uuid, Uuid)>> {
    use schema::births::dsl;
    Ok(dsl::births
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(dogs)))
        .select((dsl::litter_id, dsl::dog_id))
        .load(&mut tx.conn)
        .await?)
}

/// Several litters with the weights of their pups, as known at `now`; those that this person may
/// not see are left out.
///
/// # Errors
/// When the database is away.
pub async fn litters(
    tx: &mut Tx,
    ids: &[Uuid],
    now: DateTime<Utc>,
) -> StoreResult<Vec<GrowthLitter>> {
    gather(tx, ids, now, true).await
}

/// The same, where a pup that was handed over still counts as one to weigh: its new family may.
///
/// # Errors
/// When the database is away.
pub async fn litters_to_weigh(
    tx: &mut Tx,
    ids: &[Uuid],
    now: DateTime<Utc>,
) -> StoreResult<Vec<GrowthLitter>> {
    gather(tx, ids, now, false).await
}

async fn gather(
    tx: &mut Tx,
    ids: &[Uuid],
    now: DateTime<Utc>,
    gone_with_hand_over: bool,
) -> StoreResult<Vec<GrowthLitter>> {
    let rows = litter_rows(tx, ids).await?;
    let births = birth_rows(tx, ids).await?;
    let pups: Vec<Uuid> = births.iter().map(|birth| birth.1).collect();
    let parents = rows.iter().flat_map(|(_, dam, sire)| [Some(*dam), *sire]).flatten();
    let dogs: Vec<Uuid> = pups.iter().copied().chain(parents).collect();
    let dogs: HashMap<Uuid, DogRow> =
        dog_rows(tx, &dogs).await?.into_iter().map(|row| (row.id, row)).collect();
    let gone = if gone_with_hand_over { handed_over(tx, &pups).await? } else { HashMap::new() };
    let dams: Vec<Uuid> = rows.iter().map(|row| row.1).collect();
    let mut weights = care::weighings(tx, &[pups.as_slice(), dams.as_slice()].concat()).await?;
    let mut found = Vec::with_capacity(rows.len());
    for (litter_id, dam_id, sire_id) in rows {
        let own: Vec<&BirthRow> = births.iter().filter(|birth| birth.0 == litter_id).collect();
        let of = |id: &Uuid| dogs.get(id);
        let breeds: BTreeSet<&str> =
            own.iter().filter_map(|birth| of(&birth.1)?.breed.as_deref()).collect();
        let (dam, sire) = (of(&dam_id), sire_id.as_ref().and_then(of));
        let adult = |dog: Option<&DogRow>| dog.and_then(|d| d.adult_weight_g).map(f64::from);
        let usual = weights.get(&dam_id).and_then(|list| usual_weight(list));
        found.push(GrowthLitter {
            litter_id,
            breed: breeds.iter().next().filter(|_| breeds.len() == 1).map(|b| (*b).to_owned()),
            adult_weight_g: adult(dam).zip(adult(sire)).map(|(dam, sire)| (dam + sire) / 2.0),
            dam_weight_g: adult(dam).or(usual),
            time_zone: tx.scope.tz(),
            pups: own
                .iter()
                .filter_map(|birth| {
                    let dog = of(&birth.1)?;
                    let left = [dog.died_on, gone.get(&birth.1).copied()];
                    let left = left.into_iter().flatten().min();
                    let weighings = weights.remove(&birth.1).unwrap_or_default();
                    Some(pup(dog, birth, left.map(|day| end_of(tx, day, now)), weighings))
                })
                .collect(),
        });
    }
    Ok(found)
}

fn pup(
    dog: &DogRow,
    (_, dog_id, ordinal, born_at, weight_g, collar): &BirthRow,
    left_at: Option<DateTime<Utc>>,
    weighings: Vec<Weighing>,
) -> GrowthPup {
    GrowthPup {
        dog_id: *dog_id,
        label: dog.label(collar.as_deref(), Some(*ordinal)),
        born_at: *born_at,
        birth_weight_g: weight_g.map(f64::from),
        is_female: dog.sex.map(|sex| sex == Sex::Female),
        left_at,
        weighings,
    }
}

/// The dam's usual weight: the middle of her own, so that late pregnancy counts little.
fn usual_weight(list: &[Weighing]) -> Option<f64> {
    median(list.iter().map(|w| w.weight_g).collect())
}

/// The end of a day on which a dog left, or now when that day is today.
fn end_of(tx: &Tx, day: NaiveDate, now: DateTime<Utc>) -> DateTime<Utc> {
    let next = day.checked_add_days(Days::new(1)).unwrap_or(day);
    midnight(tx, next).min(now)
}

/// The first moment of a day on the kennel's calendar.
fn midnight(tx: &Tx, day: NaiveDate) -> DateTime<Utc> {
    let local = day.and_time(NaiveTime::MIN);
    let zone = tx.scope.tz();
    // Where clocks go forward at midnight, that day has none: take it as UTC.
    zone.from_local_datetime(&local)
        .earliest()
        .map_or_else(|| local.and_utc(), |at| at.with_timezone(&Utc))
}

async fn litter_rows(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<Vec<(Uuid, Uuid, Option<Uuid>)>> {
    use schema::litters::dsl;
    Ok(dsl::litters
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq_any(ids)))
        .select((dsl::id, dsl::dam_id, dsl::sire_id))
        .order(dsl::id)
        .load(&mut tx.conn)
        .await?)
}

/// Litter, pup, ordinal, time of birth, weight then, collar.
type BirthRow = (Uuid, Uuid, i32, DateTime<Utc>, Option<i32>, Option<String>);

async fn birth_rows(tx: &mut Tx, litters: &[Uuid]) -> StoreResult<Vec<BirthRow>> {
    use schema::births::dsl;
    Ok(dsl::births
        .filter(
            dsl::kennel_id
                .eq(tx.scope.kennel_id())
                .and(dsl::litter_id.eq_any(litters))
                .and(dsl::outcome.eq(BirthOutcome::Alive)),
        )
        .select((
            dsl::litter_id,
            dsl::dog_id,
            dsl::ordinal,
            dsl::born_at,
            dsl::weight_g,
            dsl::collar,
        ))
        .order((dsl::litter_id, dsl::ordinal))
        .load(&mut tx.conn)
        .await?)
}

#[derive(diesel::Queryable)]
struct DogRow {
    id: Uuid,
    name: Option<String>,
    call_name: Option<String>,
    sex: Option<Sex>,
    breed: Option<String>,
    born_on: Option<PartialDate>,
    died_on: Option<NaiveDate>,
    adult_weight_g: Option<i32>,
}

impl DogRow {
    /// What people call it in the whelping box.
    fn label(&self, collar: Option<&str>, ordinal: Option<i32>) -> String {
        self.call_name
            .clone()
            .or_else(|| collar.map(str::to_owned))
            .or_else(|| self.name.clone())
            .or_else(|| ordinal.map(|n| format!("pup {n}")))
            .unwrap_or_else(|| "this dog".to_owned())
    }
}

async fn dog_rows(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<Vec<DogRow>> {
    use schema::dogs::dsl;
    Ok(dsl::dogs
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq_any(ids)))
        .select((
            dsl::id,
            dsl::name,
            dsl::call_name,
            dsl::sex,
            dsl::breed,
            dsl::born_on,
            dsl::died_on,
            dsl::adult_weight_g,
        ))
        .load(&mut tx.conn)
        .await?)
}

async fn handed_over(tx: &mut Tx, pups: &[Uuid]) -> StoreResult<HashMap<Uuid, NaiveDate>> {
    use schema::placements::dsl;
    let rows: Vec<(Uuid, Option<NaiveDate>)> = dsl::placements
        .filter(
            dsl::kennel_id
                .eq(tx.scope.kennel_id())
                .and(dsl::dog_id.eq_any(pups))
                .and(dsl::stage.eq(PlacementStage::HandedOver))
                .and(dsl::kind.ne(PlacementKind::Kept)),
        )
        .select((dsl::dog_id, dsl::handed_over_on))
        .load(&mut tx.conn)
        .await?;
    Ok(rows.into_iter().filter_map(|(dog, day)| Some((dog, day?))).collect())
}

/// What happened to pups that a chart of their growth shows: wormings, vaccinations, illnesses.
///
/// # Errors
/// When the database is away.
pub async fn events(tx: &mut Tx, pups: &[Uuid]) -> StoreResult<Vec<(DateTime<Utc>, HealthKind)>> {
    use schema::health_events::dsl;
    Ok(dsl::health_events
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(pups)))
        .select((dsl::given_at, dsl::kind))
        .order(dsl::given_at)
        .load(&mut tx.conn)
        .await?)
}

/// The name of a litter as people call it, for a title.
///
/// # Errors
/// [`StoreError::NotFound`] when there is none that this person may see.
pub async fn title(tx: &mut Tx, litter_id: Uuid) -> StoreResult<String> {
    use schema::{dogs as d, litters as l};
    let row: (Option<String>, Option<String>, Option<String>) = l::table
        .inner_join(d::table.on(d::kennel_id.eq(l::kennel_id).and(d::id.eq(l::dam_id))))
        .filter(l::kennel_id.eq(tx.scope.kennel_id()).and(l::id.eq(litter_id)))
        .select((l::name, d::call_name, d::name))
        .first(&mut tx.conn)
        .await
        .optional()?
        .ok_or(StoreError::NotFound)?;
    let (name, call_name, dam) = row;
    Ok(name.unwrap_or_else(|| match call_name.or(dam) {
        Some(dam) => format!("Litter of {dam}"),
        None => "Litter".to_owned(),
    }))
}
