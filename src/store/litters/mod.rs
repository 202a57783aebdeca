//! Litters: the resource, and the records of litters that all questions are views of.

mod births;
mod dams;
mod load;
mod parts;
mod presence;

use catalogue::said;
pub(crate) use dams::caesareans;
pub use dams::{dam_checks, of_dams, planned_dams, readings_of, sires_of};
pub(crate) use load::load_shared;
pub use load::{Which, load, of_dog, one, parts};
pub use parts::Part;

use crate::{
    StoreError, StoreResult, Tx, asked,
    keep::{Conditions, Hooks, Keep as _, keep},
    litter_parents, schema,
};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, NullableExpressionMethods as _,
    QueryDsl as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    admission::LitterFacts,
    record::{Kept, Litter, LitterFilter, Mating},
    slips,
};
use uuid::Uuid;

keep!(Litter in litters { dam_id, sire_id, mating_id, name, place_id, whelped_on, weaned_on, note, confirmed }
sorted { whelped_on Day, name Name, weaned_on Day } dated whelped_on
filter LitterFilter { dam_id == dam_id, sire_id == sire_id, mating_id == mating_id }
and asked_of_litters, of dam_id);

/// What a list of litters asks beside the values of columns.
fn asked_of_litters(
    filter: &LitterFilter,
    _today: Option<NaiveDate>,
) -> Option<Conditions<schema::litters::table>> {
    use schema::litters::dsl;
    Some(match filter.born {
        Some(true) => vec![Box::new(dsl::whelped_on.is_not_null().nullable())],
        Some(false) => vec![Box::new(dsl::whelped_on.is_null().nullable())],
        None => Vec::new(),
    })
}

impl Hooks for Litter {
    /// A litter of a mating has the mating's dam and sire.
    async fn completed(self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<Self> {
        let Some(mating_id) = self.mating_id else { return Ok(self) };
        let mating = match Mating::select(tx, mating_id, false).await {
            Ok(mating) => mating.record,
            // Refused with words when it is admitted.
            Err(StoreError::NotFound) => return Ok(self),
            Err(error) => return Err(error),
        };
        Ok(self.completed_by(&mating))
    }

    async fn after_write(
        tx: &mut Tx,
        id: Uuid,
        before: Option<&Self>,
        after: &Self,
    ) -> StoreResult<()> {
        match before {
            Some(before) => litter_parents::after_write(tx, id, before, after).await,
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
                return Err(StoreError::refused(
                    "/mating_id",
                    said!("fault-not-found-mating-of-dam"),
                ));
            }
            Err(error) => return Err(error),
        };
        let first_tie_on = mating.first_tie_at().map(|at| tx.scope.day_of(at));
        Ok(self.admit(&LitterFacts { mating: &mating, first_tie_on })?)
    }
}

/// Asks about a day of whelping that is not the day of the first birth.
async fn ask_about_whelping(tx: &mut Tx, before: &Kept<Litter>, after: &Litter) -> StoreResult<()> {
    let asked_about = after.is_asked_about_whelping(&before.record);
    let Some(whelped_on) = after.whelped_on.filter(|_| asked_about) else { return Ok(()) };
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
