//! Litters.

use super::{StoreError, StoreResult, Tx, keep::keep};
use crate::domain::record::{Kept, Litter, LitterFilter, Mating};

keep!(Litter in litters { dam_id, sire_id, mating_id, name, place_id, whelped_on, weaned_on, note }
filter LitterFilter { dam_id == dam_id, sire_id == sire_id, mating_id == mating_id }
and |query, filter| {
    match filter.born {
        Some(true) => query.filter(dsl::whelped_on.is_not_null()),
        Some(false) => query.filter(dsl::whelped_on.is_null()),
        None => query,
    }
};
read Dogs, write Breeding, of dam_id, {
    async fn admit(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        let Some(mating_id) = self.mating_id else { return Ok(()) };
        let mating = match Mating::select(tx, mating_id, false).await {
            Ok(mating) => mating.record,
            Err(StoreError::NotFound) => {
                return Err(StoreError::refused("/mating_id", "names no mating of this dam"));
            }
            Err(error) => return Err(error),
        };
        if mating.dam_id != self.dam_id {
            return Err(StoreError::refused("/mating_id", "names a mating of another dam"));
        }
        if self.sire_id.is_some_and(|sire| sire != mating.sire_id) {
            return Err(StoreError::refused("/sire_id", "is not the sire of the mating; correct one of the two"));
        }
        let first_tie = mating.ties.iter().map(|tie| tx.scope.day_of(tie.at)).min();
        match (self.whelped_on, first_tie) {
            (Some(whelped), Some(mated)) if whelped <= mated => Err(StoreError::refused(
                "/whelped_on",
                format!("is not after the mating ({mated}); correct one of the two"),
            )),
            _ => Ok(()),
        }
    }
});
