//! The weights of dogs as the questions of growth read them, remembered between looks.
//!
//! A wall screen looks every minute at the weights of two months, of which a handful are new. What is remembered holds
//! up to a number of the kennel's log, which has no gaps; the log tells whose weights changed since, and these alone
//! are read again. It tells that whole only to who sees all dogs, and only of what was kept: a transaction that has
//! written, or sees some of the dogs, reads all. An instance may lose it at any time.

use super::{StoreResult, Tx, schema, statement::statement};
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, Queryable, QueryableByName,
    Selectable, SelectableHelper as _,
    sql_types::{Array, BigInt, Nullable, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{growth::Weighing, litter::ByDog, shared::Shared};
use std::{
    collections::{HashMap, HashSet},
    sync::{Arc, Mutex, PoisonError},
};
use uuid::Uuid;

/// Kennels whose weights are remembered; with one more it begins anew.
const KENNELS: usize = 32;

/// Most weights of a kennel that are: of forty bytes each, so all take 25 MB at most.
const WEIGHINGS: usize = 20_000;

/// The weights of kennels as they were read last.
#[derive(Clone, Default)]
pub(crate) struct WeighingMemory(Arc<Mutex<HashMap<Uuid, Arc<Known>>>>);

/// Weights by dog, of each in order of time; dogs that have none among them.
type OfDogs = HashMap<Uuid, Shared<[Weighing]>>;

/// What is known of a kennel.
struct Known {
    /// The number of the log up to which it holds.
    newest: i64,
    dogs: OfDogs,
}

impl WeighingMemory {
    fn of(&self, kennel_id: Uuid) -> Option<Arc<Known>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).get(&kennel_id).cloned()
    }

    fn keep(&self, kennel_id: Uuid, known: Known) {
        let weighings: usize = known.dogs.values().map(|list| list.len()).sum();
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        all.remove(&kennel_id);
        if weighings > WEIGHINGS {
            return;
        }
        if all.len() >= KENNELS {
            all.clear();
        }
        all.insert(kennel_id, Arc::new(known));
    }
}

/// The weights of several dogs, of each in order of time.
pub(super) async fn weighings(tx: &Tx, dogs: &[Uuid]) -> StoreResult<ByDog<Weighing>> {
    let kennel_id = tx.scope.kennel_id();
    let remembered = tx.weighings.of(kennel_id);
    let since = remembered.as_ref().map(|known| known.newest);
    let Some(news) = news(tx, since).await? else {
        return Ok(read(tx, dogs).await?.into_iter().collect());
    };
    let mut known: OfDogs = match (remembered, news.dogs) {
        (Some(known), Some(changed)) => {
            let changed: HashSet<Uuid> = changed.into_iter().collect();
            let holds = |dog: &Uuid| !changed.contains(dog);
            let held = known.dogs.iter().filter(|(dog, _)| holds(dog));
            held.map(|(dog, list)| (*dog, list.clone())).collect()
        }
        _ => HashMap::new(),
    };
    let unknown: Vec<Uuid> = dogs.iter().filter(|dog| !known.contains_key(dog)).copied().collect();
    if !unknown.is_empty() {
        known.extend(read(tx, &unknown).await?);
    }
    let asked = dogs.iter().filter_map(|dog| Some((*dog, known.get(dog)?.clone()))).collect();
    tx.weighings.keep(kennel_id, Known { newest: news.newest, dogs: known });
    Ok(asked)
}

/// What the log tells of weights.
#[derive(QueryableByName)]
struct News {
    /// The number of its newest change.
    #[diesel(sql_type = BigInt)]
    newest: i64,
    /// Whose weights changed since; null when all have to be read anew.
    #[diesel(sql_type = Nullable<Array<SqlUuid>>)]
    dogs: Option<Vec<Uuid>>,
}

/// What the log tells of weights since a number; null where it does not tell all of it.
async fn news(tx: &Tx, since: Option<i64>) -> StoreResult<Option<News>> {
    // Who writes has a number of a transaction, which the log tells nothing.
    if !tx.scope.sees_all_dogs() || tx.has_begun_writing {
        return Ok(None);
    }
    // A look at the whole kennel whose login told that nothing was written.
    if let Some(newest) = tx.unchanged_since(since) {
        return Ok(Some(News { newest, dogs: Some(Vec::new()) }));
    }
    let query = statement("SELECT newest, dogs FROM dogs_weighed_since($1)");
    let rows: Vec<News> =
        query.bind::<Nullable<BigInt>, _>(since).load(&mut tx.pipelined()).await?;
    Ok(rows.into_iter().next())
}

/// A weight as the questions of growth read it.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::weights)]
struct WeighingRow {
    dog_id: Uuid,
    id: Uuid,
    measured_at: DateTime<Utc>,
    weight_g: i32,
}

/// The weights of these dogs, of which some have none.
async fn read(tx: &Tx, dogs: &[Uuid]) -> StoreResult<OfDogs> {
    use schema::weights::dsl;
    let rows: Vec<WeighingRow> = dsl::weights
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(dogs)))
        .select(WeighingRow::as_select())
        .load(&mut tx.pipelined())
        .await?;
    let mut by_dog: HashMap<Uuid, Vec<Weighing>> =
        dogs.iter().map(|dog| (*dog, Vec::new())).collect();
    for WeighingRow { dog_id, id, measured_at, weight_g } in rows {
        by_dog.entry(dog_id).or_default().push(Weighing {
            id: Some(id),
            measured_at,
            weight_g: f64::from(weight_g),
            // A doubtful weight is asked about before it is kept.
            doubtful: false,
        });
    }
    let sorted = |mut list: Vec<Weighing>| {
        // Half of the query's time when Postgres sorts them all together.
        list.sort_unstable_by_key(|weighing| (weighing.measured_at, weighing.id));
        Shared::from(list)
    };
    Ok(by_dog.into_iter().map(|(dog, list)| (dog, sorted(list))).collect())
}
