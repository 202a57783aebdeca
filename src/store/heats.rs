//! Heats and their readings.

use super::{
    StoreError, StoreResult, Tx, asked,
    keep::{Gather as _, keep},
    kennels,
};
use chrono::NaiveDate;
use domain::{
    record::{Heat, HeatFilter, HeatReading, HeatReadingFilter, Kept},
    slips,
};

keep!(Heat in heats { dog_id, began_on, ended_on, note, confirmed }
    filter HeatFilter { dog_id == dog_id };
    read Dogs, write Breeding, of dog_id, {
    /// Asks about a heat that begins days after another one.
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        let same = |kept: &Kept<Self>| kept.record.began_on == self.began_on && kept.record.dog_id == self.dog_id;
        if self.confirmed || before.is_some_and(same) {
            return Ok(());
        }
        let others = Self::gather(tx, &[self.dog_id]).await?;
        let others = others.into_iter().filter(|other| before.is_none_or(|kept| kept.id != other.id));
        let others: Vec<NaiveDate> = others.map(|other| other.record.began_on).collect();
        let rules = kennels::rules(tx).await?;
        asked(slips::heat(self.began_on, &others, &rules))
    }
});

keep!(HeatReading in heat_readings { heat_id, kind, taken_at, value, unit, finding, note, confirmed }
    under heat_id of Heat
    filter HeatReadingFilter { kind == kind };
    read Dogs, write Observations, of heat_id, {
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        let heat = Heat::select(tx, self.heat_id, false).await?.record;
        let taken_on = tx.scope.day_of(self.taken_at);
        if taken_on < heat.began_on {
            return Err(StoreError::refused(
                "/taken_at",
                format!("is before the heat began ({}); correct one of the two", heat.began_on),
            ));
        }
        let same = |kept: &Kept<Self>| {
            let old = &kept.record;
            (old.kind, old.value, old.unit, old.taken_at) == (self.kind, self.value, self.unit, self.taken_at)
        };
        if self.confirmed || before.is_some_and(same) {
            return Ok(());
        }
        let others = Self::gather(tx, &[self.heat_id]).await?;
        let others = others.into_iter().filter(|other| before.is_none_or(|kept| kept.id != other.id));
        let others: Vec<HeatReading> = others.map(|other| other.record).collect();
        let rules = kennels::rules(tx).await?;
        asked(slips::reading(self, taken_on, heat.began_on, &others, &rules))
    }
});
