//! Litters: the resource, and the records of litters that all questions are views of.

mod dams;
mod load;
mod parts;

pub use dams::{caesareans, of_dams, planned_dams, readings_of, sires_of};
pub use load::{Which, load, of_dog, one, parts};
pub use parts::Part;

use crate::{StoreError, StoreResult, Tx, asked, keep::keep, litter_parents, schema};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::{
    record::{Kept, Litter, LitterFilter, Mating},
    slips,
};
use uuid::Uuid;

keep!(Litter in litters { dam_id, sire_id, mating_id, name, place_id, whelped_on, weaned_on, note, confirmed }
filter LitterFilter { dam_id == dam_id, sire_id == sire_id, mating_id == mating_id }
and |query, filter| {
    match filter.born {
        Some(true) => query.filter(dsl::whelped_on.is_not_null()),
        Some(false) => query.filter(dsl::whelped_on.is_null()),
        None => query,
    }
};
read Dogs, write Breeding, of dam_id, {
    /// A litter of a mating has the mating's dam and sire.
    async fn completed(self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<Self> {
        let Some(mating_id) = self.mating_id else { return Ok(self) };
        let mating = match Mating::select(tx, mating_id, false).await {
            Ok(mating) => mating.record,
            // Refused with words when it is admitted.
            Err(StoreError::NotFound) => return Ok(self),
            Err(error) => return Err(error),
        };
        let dam_id = if self.dam_id.is_nil() { mating.dam_id } else { self.dam_id };
        Ok(Self { dam_id, sire_id: self.sire_id.or(Some(mating.sire_id)), ..self })
    }

    async fn after_write(tx: &mut Tx, before: Option<&Kept<Self>>, after: &Kept<Self>) -> StoreResult<()> {
        match before {
            Some(before) => litter_parents::after_write(tx, after.id, &before.record, &after.record).await,
            None => Ok(()),
        }
    }

    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        if let Some(before) = before {
            litter_parents::validate(tx, before.id, &before.record, self).await?;
            ask_about_whelping(tx, before, self).await?;
        }
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

/// Asks about a day of whelping that is not the day of the first birth.
async fn ask_about_whelping(tx: &mut Tx, before: &Kept<Litter>, after: &Litter) -> StoreResult<()> {
    let Some(whelped_on) = after.whelped_on.filter(|on| before.record.whelped_on != Some(*on))
    else {
        return Ok(());
    };
    if after.confirmed {
        return Ok(());
    }
    let first = first_birth_on(tx, before.id).await?;
    asked(slips::whelped_on(whelped_on, first))
}

/// The day on which the first pup of a litter that was written down was born.
async fn first_birth_on(tx: &mut Tx, litter_id: Uuid) -> StoreResult<Option<NaiveDate>> {
    use schema::births::dsl;
    let first: Option<DateTime<Utc>> = dsl::births
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::litter_id.eq(litter_id)))
        .select(diesel::dsl::min(dsl::born_at))
        .first(&mut tx.conn)
        .await?;
    Ok(first.map(|at| tx.scope.day_of(at)))
}
