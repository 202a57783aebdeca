//! The births that cores are put together from.

use crate::{StoreResult, Tx, births::BirthRow, reads::ListKey, schema};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, JoinOnDsl as _, QueryDsl as _,
    SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::record::{Birth, Kept};
use std::sync::Arc;
use uuid::Uuid;

/// The births of dogs into litters that are not seen, as a co-owner has them who shares a pup and not its dam.
pub(super) async fn births_apart(
    tx: &Tx,
    litters: &[Uuid],
    dogs: &[Uuid],
) -> StoreResult<Vec<Kept<Birth>>> {
    if tx.scope.sees_all_dogs() || dogs.is_empty() {
        return Ok(Vec::new());
    }
    let mut births = Arc::unwrap_or_clone(births(tx, &[], dogs).await?);
    births.retain(|birth| !litters.contains(&birth.record.litter_id));
    Ok(births)
}

/// The births of litters and those of these dogs, without what belongs to the pup itself.
pub(super) async fn births(
    tx: &Tx,
    litters: &[Uuid],
    dogs: &[Uuid],
) -> StoreResult<Arc<Vec<Kept<Birth>>>> {
    let asked = || ListKey::of_both("births", litters, dogs);
    let read = async || read_births(tx, litters, dogs).await;
    tx.remembered(asked, &["birth", "weight"], read).await
}

async fn read_births(tx: &Tx, litters: &[Uuid], dogs: &[Uuid]) -> StoreResult<Vec<Kept<Birth>>> {
    use schema::{births::dsl, weights as w};
    let at_birth = w::kennel_id.eq(dsl::kennel_id).and(w::dog_id.eq(dsl::dog_id)).and(w::at_birth);
    let rows: Vec<BirthRow> = dsl::births
        .left_join(w::table.on(at_birth))
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .filter(dsl::litter_id.eq_any(litters).or(dsl::dog_id.eq_any(dogs)))
        .select(BirthRow::as_select())
        .order((dsl::litter_id, dsl::ordinal))
        .load(&mut tx.pipelined())
        .await?;
    Ok(rows.into_iter().map(Kept::from).collect())
}
