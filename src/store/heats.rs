//! Heats and their readings.

use super::{
    StoreResult, Tx, asked,
    keep::{Gather as _, Hooks, Keep as _, keep},
    kennels,
};
use chrono::NaiveDate;
use domain::{
    record::{Heat, HeatFilter, HeatReading, HeatReadingFilter, Kept},
    slips,
};

keep!(Heat in heats { dog_id, began_on, ended_on, note, confirmed }
    sorted { began_on Day, ended_on Day } dated began_on
    filter HeatFilter { dog_id == dog_id }, of dog_id);

impl Hooks for Heat {
    /// Asks about a heat that begins days after another one.
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        if !self.is_asked_about(before.map(|kept| &kept.record)) {
            return Ok(());
        }
        let others = Self::gather(tx, &[self.dog_id]).await?;
        let others =
            others.into_iter().filter(|other| before.is_none_or(|kept| kept.id != other.id));
        let others: Vec<NaiveDate> = others.map(|other| other.record.began_on).collect();
        let rules = kennels::rules(tx).await?;
        asked(slips::heat(self.began_on, &others, &rules))
    }
}

keep!(HeatReading in heat_readings { heat_id, kind, taken_at, value, unit, finding, note, confirmed }
    sorted { taken_at Time, kind Word } dated taken_at
    filter HeatReadingFilter { kind == kind }, of heat_id, in batches);

impl Hooks for HeatReading {
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        let heat = Heat::select(tx, self.heat_id, false).await?.record;
        let taken_on = tx.scope.day_of(self.taken_at);
        self.admit(taken_on, &heat)?;
        if !self.is_asked_about(before.map(|kept| &kept.record)) {
            return Ok(());
        }
        let others = Self::gather(tx, &[self.heat_id]).await?;
        let others =
            others.into_iter().filter(|other| before.is_none_or(|kept| kept.id != other.id));
        let others: Vec<HeatReading> = others.map(|other| other.record).collect();
        let rules = kennels::rules(tx).await?;
        asked(slips::reading(self, taken_on, heat.began_on, &others, &rules))
    }
}
