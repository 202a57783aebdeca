//! Matings and pregnancy checks.

use super::{
    StoreError, StoreResult, Tx,
    keep::{Hooks, Keep as _, keep},
    kennels, litter_parents,
};
use catalogue::said;
use chrono::NaiveDate;
use domain::{
    admission::{CheckFacts, MatingFacts},
    record::{Dog, Heat, Kept, Mating, MatingFilter, PregnancyCheck, PregnancyCheckFilter},
};
use uuid::Uuid;

keep!(Mating in matings { dam_id, sire_id, heat_id, status, method, planned_on, ties as json, note }
sorted { planned_on Day, status Word }
filter MatingFilter { dam_id == dam_id, sire_id == sire_id, heat_id == heat_id, status == status }, of dam_id);

impl Hooks for Mating {
    async fn after_write(
        tx: &mut Tx,
        id: Uuid,
        before: Option<&Self>,
        after: &Self,
    ) -> StoreResult<()> {
        match before {
            Some(before) => litter_parents::settle_mating(tx, id, before, after).await,
            None => Ok(()),
        }
    }

    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        if let Some(before) = before {
            litter_parents::admit_mating(tx, before.id, &before.record, self).await?;
        }
        let Some(heat_id) = self.heat_id else { return Ok(()) };
        let heat = match Heat::select(tx, heat_id, false).await {
            Ok(heat) => heat.record,
            Err(StoreError::NotFound) => {
                return Err(StoreError::refused("/heat_id", said!("fault-not-found-heat-of-dam")));
            }
            Err(error) => return Err(error),
        };
        let rules = kennels::rules(tx).await?;
        let tied_on: Vec<NaiveDate> = self.ties.iter().map(|tie| tx.scope.day_of(tie.at)).collect();
        let facts = MatingFacts { heat_began_on: heat.began_on, tied_on: &tied_on, rules: &rules };
        Ok(self.admit(&facts)?)
    }
}

keep!(PregnancyCheck in pregnancy_checks {
    mating_id, checked_at, method, result, count_at_least, count_at_most, heartbeats, resorptions, lost_how, measures as json,
    due_on, note,
}
sorted { checked_at Time, result Word } dated checked_at
filter PregnancyCheckFilter { result == result }, of mating_id, in batches);

impl Hooks for PregnancyCheck {
    async fn validate(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        let mating = Mating::select(tx, self.mating_id, false).await?.record;
        let dam = match Dog::select(tx, mating.dam_id, false).await {
            Ok(dam) => Some(dam.record),
            Err(StoreError::NotFound) => None,
            Err(error) => return Err(error),
        };
        let facts = CheckFacts {
            first_tie_at: mating.first_tie_at(),
            dam_breed: dam.as_ref().and_then(|dam| dam.breed.as_deref()),
            dam_weight_g: dam.as_ref().and_then(|dam| dam.adult_weight_g),
        };
        Ok(self.admit(&facts)?)
    }
}
