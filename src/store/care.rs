//! Weights and temperatures.

use super::{
    StoreError, StoreResult, Tx, asked,
    batches::{Offered, RowOutcome},
    births,
    keep::{Hooks, keep},
    litters, schema, weight_batches,
};
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, Queryable, Selectable,
    SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    admission::BirthWeightFacts,
    growth::{GrowthLitter, Weighing, plausibility},
    litter::{self, Weights},
    record::{Kept, Temperature, TemperatureFilter, Weight, WeightFilter},
};
use std::collections::BTreeMap;
use uuid::Uuid;

keep!(Weight in weights { dog_id, measured_at, weight_g, confirmed, at_birth, note }
sorted { measured_at Time, weight_g Number } dated measured_at
filter WeightFilter {}, of dog_id, in batches);

impl Hooks for Weight {
    /// Asks about a weight of a pup that is far from what is expected of it.
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        if self.at_birth {
            let born_at = births::born_at(tx, self.dog_id).await?;
            // That each has one is held by the database.
            self.admit_at_birth(BirthWeightFacts { born_at, taken: false })?;
        }
        if !self.is_asked_about(before.map(|kept| &kept.record)) {
            return Ok(());
        }
        let Some(litter) = litter_to_weigh(tx, self.dog_id).await? else { return Ok(()) };
        let moment = tx.moment().await?;
        let new = Weighing::of(self, before.map(|kept| kept.id));
        let verdict = plausibility(&litter, self.dog_id, &new, moment.now, &moment.rules);
        asked(verdict.map_err(StoreError::Refused)?.questions())
    }

    /// The same questions, with one fit a litter and day instead of one a weight.
    async fn validate_all(
        tx: &mut Tx,
        rows: Vec<Offered<Self>>,
        done: &mut Vec<RowOutcome>,
    ) -> StoreResult<Vec<Offered<Self>>> {
        weight_batches::screen(tx, rows, done).await
    }
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

/// The weights of several dogs, of each in order of time.
pub(super) async fn weighings(
    tx: &Tx,
    dogs: &[Uuid],
) -> StoreResult<BTreeMap<Uuid, Vec<Weighing>>> {
    use schema::weights::dsl;
    let rows: Vec<WeighingRow> = dsl::weights
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(dogs)))
        .select(WeighingRow::as_select())
        .load(&mut tx.pipelined())
        .await?;
    let mut by_dog: BTreeMap<Uuid, Vec<Weighing>> = BTreeMap::new();
    for WeighingRow { dog_id, id, measured_at, weight_g } in rows {
        by_dog.entry(dog_id).or_default().push(Weighing {
            id: Some(id),
            measured_at,
            weight_g: f64::from(weight_g),
            // A doubtful weight is asked about before it is kept.
            doubtful: false,
        });
    }
    // Half of the query's time when Postgres sorts them all together.
    for list in by_dog.values_mut() {
        list.sort_unstable_by_key(|weighing| (weighing.measured_at, weighing.id));
    }
    Ok(by_dog)
}

/// The litter against which a new weight of a dog is held; `None` when nothing is known of its birth.
pub(super) async fn litter_to_weigh(
    tx: &mut Tx,
    dog_id: Uuid,
) -> StoreResult<Option<GrowthLitter>> {
    let (core, weights) = match litters::of_dog::<Weights>(tx, dog_id).await {
        Ok(known) => known,
        Err(StoreError::NotFound) => return Ok(None),
        Err(error) => return Err(error),
    };
    let moment = tx.moment().await?;
    let litter = litter::litter_to_weigh(&core, &weights, &moment);
    // A stillborn pup is weighed once, with its birth.
    Ok(Some(litter).filter(|litter| litter.pups.iter().any(|pup| pup.dog_id == dog_id)))
}

keep!(Temperature in temperatures { dog_id, measured_at, temperature_c, note }
    sorted { measured_at Time, temperature_c Number } dated measured_at
    filter TemperatureFilter {}, of dog_id, in batches);

impl Hooks for Temperature {}
