//! Weights and temperatures.

use super::{
    StoreError, StoreResult, Tx, asked,
    batches::{Offered, RowOutcome},
    births,
    keep::{Hooks, Validated, keep},
    litters, weight_batches,
};
use domain::{
    admission::BirthWeightFacts,
    growth::{GrowthLitter, Weighing, plausibility},
    litter::{self, Weights},
    record::{Kept, Temperature, TemperatureFilter, Weight, WeightFilter},
};
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
    ) -> StoreResult<Validated<Self>> {
        weight_batches::screen(tx, rows, done).await
    }
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
