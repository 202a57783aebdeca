//! Rows that are written one after another: each is held against those before it, and what is wrong with one is no
//! matter of the others.

use super::{Batched, Offered, RowOutcome};
use crate::{
    StoreError, StoreResult, Tx, births,
    keep::{Keep as _, write},
    register::seen,
};
use catalogue::said;
use domain::record::{Birth, Kept, Mating, RowStatus, register::Registered as _};
use uuid::Uuid;

/// Writes each row in an attempt of its own.
async fn one_by_one<R: Batched>(
    tx: &mut Tx,
    rows: Vec<Offered<R>>,
    done: &mut Vec<RowOutcome>,
) -> StoreResult<Vec<Offered<R>>> {
    let mut taken = Vec::new();
    for row in rows {
        let entered = tx.attempt(async |tx| write::create_as(tx, row.id, &row.record).await);
        match entered.await {
            Ok(()) => done.push(RowOutcome::new(row.index, RowStatus::Stored, None)),
            Err(StoreError::Refused(faults)) => done.push(RowOutcome::refused(row.index, faults)),
            // The same one, sent a moment ago, is found by its id.
            Err(StoreError::Conflict(_)) if !R::known(tx, &[row.id]).await?.is_empty() => {
                taken.push(row);
            }
            Err(StoreError::Conflict(why)) => {
                let detail = said!("fault-taken-row", why = why);
                done.push(RowOutcome::refused_for(row.index, "", detail));
            }
            Err(error) => return Err(error),
        }
    }
    Ok(taken)
}

impl Batched for Mating {
    async fn known(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<Vec<Kept<Self>>> {
        let mut matings = Vec::new();
        for id in seen(tx, Self::LINE.word, ids).await? {
            matings.push(Self::select(tx, id, false).await?);
        }
        Ok(matings)
    }

    /// A sire or a heat that is not there is the row's own fault.
    async fn enter(
        tx: &mut Tx,
        rows: Vec<Offered<Self>>,
        done: &mut Vec<RowOutcome>,
    ) -> StoreResult<Vec<Offered<Self>>> {
        one_by_one(tx, rows, done).await
    }
}

impl Batched for Birth {
    async fn known(tx: &mut Tx, ids: &[Uuid]) -> StoreResult<Vec<Kept<Self>>> {
        births::select_all(tx, ids).await
    }

    /// Each takes the next number of its litter.
    async fn enter(
        tx: &mut Tx,
        rows: Vec<Offered<Self>>,
        done: &mut Vec<RowOutcome>,
    ) -> StoreResult<Vec<Offered<Self>>> {
        one_by_one(tx, rows, done).await
    }

    /// A number and a dog that were left to the server do not count, nor a weight that was corrected
    /// where it lives.
    fn is_same(&self, stored: &Self, moved: bool) -> bool {
        let mut offered =
            Self { weight_g: stored.weight_g, ..self.clone() }.timed_as(stored, moved);
        offered.ordinal = if offered.ordinal == 0 { stored.ordinal } else { offered.ordinal };
        offered.dog_id = if offered.dog_id.is_nil() { stored.dog_id } else { offered.dog_id };
        offered == *stored
    }
}
