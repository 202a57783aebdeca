//! Weights and temperatures.

use super::{StoreError, StoreResult, Tx, births, keep::keep, litters, schema};
use chrono::{DateTime, Utc};
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::{
    growth::{GrowthLitter, Weighing, WeightVerdict, plausibility},
    litter::{self, Weights},
    record::{Dog, Kept, Temperature, TemperatureFilter, Weight, WeightFilter},
};
use std::collections::BTreeMap;
use uuid::Uuid;

keep!(Weight in weights { dog_id, measured_at, weight_g, confirmed, at_birth, note }
under dog_id of Dog
filter WeightFilter {}
and |query, filter| {
    match filter.since {
        Some(since) => query.filter(dsl::measured_at.ge(since)),
        None => query,
    }
};
read Dogs, write Observations, {
    /// Asks about a weight of a pup that is far from what is expected of it.
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        let unchanged = before.is_some_and(|kept| {
            (kept.record.weight_g, kept.record.measured_at) == (self.weight_g, self.measured_at)
        });
        if self.at_birth {
            admit_at_birth(self, tx).await?;
        }
        if self.confirmed || unchanged {
            return Ok(());
        }
        let Some(litter) = litter_to_weigh(tx, self.dog_id).await? else { return Ok(()) };
        let moment = tx.moment().await?;
        let new = weighing(self, before.map(|kept| kept.id));
        match plausibility(&litter, self.dog_id, &new, moment.now, &moment.rules) {
            Ok(verdict) => verdict_of(verdict),
            Err(faults) => Err(StoreError::Refused(faults)),
        }
    }
});

/// A weight as the questions of growth see it.
pub(super) fn weighing(weight: &Weight, id: Option<Uuid>) -> Weighing {
    Weighing {
        id,
        measured_at: weight.measured_at,
        weight_g: f64::from(weight.weight_g),
        doubtful: false,
    }
}

/// The weight at birth is that of a pup born here, at the time of its birth; each has one.
pub(super) async fn admit_at_birth(weight: &Weight, tx: &mut Tx) -> StoreResult<()> {
    match births::born_at(tx, weight.dog_id).await? {
        None => Err(StoreError::refused("/at_birth", "is of a pup whose birth is recorded here")),
        Some(born_at) if born_at != weight.measured_at => Err(StoreError::refused(
            "/measured_at",
            format!(
                "is not the time of the birth ({}); correct born_at there, and this goes along",
                born_at.format("%FT%TZ")
            ),
        )),
        Some(_) => Ok(()),
    }
}

/// The weights of several dogs, of each in order of time.
pub(super) async fn weighings(
    tx: &Tx,
    dogs: &[Uuid],
) -> StoreResult<BTreeMap<Uuid, Vec<Weighing>>> {
    use schema::weights::dsl;
    let rows: Vec<(Uuid, Uuid, DateTime<Utc>, i32)> = dsl::weights
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(dogs)))
        .select((dsl::dog_id, dsl::id, dsl::measured_at, dsl::weight_g))
        .load(&mut tx.pipelined())
        .await?;
    let mut by_dog: BTreeMap<Uuid, Vec<Weighing>> = BTreeMap::new();
    for (dog_id, id, measured_at, weight_g) in rows {
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

/// Refuses an implausible weight with what was probably meant and how to keep it.
pub(super) fn verdict_of(verdict: WeightVerdict) -> StoreResult<()> {
    match verdict {
        WeightVerdict::Plausible => Ok(()),
        WeightVerdict::Implausible(why) => Err(StoreError::refused(
            "/weight_g",
            format!("{} To keep it as it is, send it with \"confirmed\": true.", why.detail),
        )),
    }
}

keep!(Temperature in temperatures { dog_id, measured_at, temperature_c, note }
    under dog_id of Dog
    filter TemperatureFilter {}
    and |query, filter| {
        match filter.since {
            Some(since) => query.filter(dsl::measured_at.ge(since)),
            None => query,
        }
    };
    read Dogs, write Observations);
