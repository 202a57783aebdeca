//! Heats and their readings.

use super::{StoreError, StoreResult, Tx, keep::keep};
use crate::domain::record::{Heat, HeatFilter, HeatReading, HeatReadingFilter, Kept};

keep!(Heat in heats { dog_id, began_on, ended_on, note }
    filter HeatFilter { dog_id == dog_id };
    read Dogs, write Breeding, of dog_id);

keep!(HeatReading in heat_readings { heat_id, kind, taken_at, value, unit, finding, note }
    under heat_id of Heat
    filter HeatReadingFilter { kind == kind };
    read Dogs, write Observations, of heat_id, {
    async fn admit(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        let heat = Heat::select(tx, self.heat_id, false).await?.record;
        if tx.scope.day_of(self.taken_at) >= heat.began_on {
            return Ok(());
        }
        Err(StoreError::refused(
            "/taken_at",
            format!("is before the heat began ({}); correct one of the two", heat.began_on),
        ))
    }
});
