//! The weight at birth of a pup: a row of its weights, marked, at the time of its birth.

use super::{
    StoreResult, Tx,
    keep::{Keep as _, write},
    schema,
};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
};
use diesel_async::RunQueryDsl as _;
use domain::record::{Birth, Weight};
use uuid::Uuid;

/// The row that holds the weight at birth of a pup.
pub(super) async fn row_of(tx: &mut Tx, dog_id: Uuid) -> StoreResult<Option<Uuid>> {
    use schema::weights::dsl;
    let row = dsl::weights
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq(dog_id)))
        .filter(dsl::at_birth)
        .select(dsl::id);
    Ok(row.first(&mut tx.conn).await.optional()?)
}

/// Writes the weight at birth where it lives, at the time of birth.
pub(super) async fn write(tx: &mut Tx, birth: &Birth) -> StoreResult<()> {
    let known = row_of(tx, birth.dog_id).await?;
    match (birth.weight_g, known) {
        (Some(weight_g), Some(id)) => {
            let kept = Weight::select(tx, id, true).await?.record;
            if (kept.weight_g, kept.measured_at) == (weight_g, birth.born_at) {
                return Ok(());
            }
            let same = Weight { measured_at: birth.born_at, weight_g, ..kept.clone() };
            write::change_settled(tx, id, &kept, &same).await
        }
        (Some(weight_g), None) => {
            let weight = Weight {
                dog_id: birth.dog_id,
                measured_at: birth.born_at,
                weight_g,
                confirmed: false,
                at_birth: true,
                note: None,
            };
            write::enter_settled(tx, Uuid::now_v7(), weight).await
        }
        (None, Some(id)) => write::remove_settled::<Weight>(tx, id).await,
        (None, None) => Ok(()),
    }
}
