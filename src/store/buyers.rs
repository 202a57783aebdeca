//! Buyers.

use super::{StoreError, StoreResult, Tx, keep::keep, schema};
use crate::columns::Stored;
use diesel::dsl::{exists, not};
use domain::{
    placement::PlacementStage,
    record::{Buyer, BuyerFilter, Kept, Litter},
};

keep!(Buyer in buyers {
    name, email, phone, address, household, screening, wishes, joined_on, waiting_order, consented_on,
    consent_withdrawn_on, erased_on, note,
}
filter BuyerFilter {}
and |query, filter| {
    use diesel::{BoolExpressionMethods as _, NullableExpressionMethods as _};
    let placed = || {
        exists(
            schema::placements::table
                .filter(schema::placements::kennel_id.eq(dsl::kennel_id))
                .filter(schema::placements::buyer_id.eq(dsl::id.nullable()).and(
                    schema::placements::stage.eq_any([PlacementStage::Reserved, PlacementStage::Confirmed, PlacementStage::HandedOver].map(Stored)),
                ))
                .select(schema::placements::id),
        )
    };
    match filter.waiting {
        Some(true) => query.filter(not(placed())),
        Some(false) => query.filter(placed()),
        None => query,
    }
};
read Dogs, write Placing, hides Placing { email, phone, address, household, screening, note }, {
    /// A wish names a litter inside of an object, where no foreign key reaches.
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        let wished = self.wishes.litter_id;
        let (Some(litter_id), true) = (wished, before.is_none_or(|b| b.record.wishes.litter_id != wished)) else {
            return Ok(());
        };
        match Litter::select(tx, litter_id, false).await {
            Err(StoreError::NotFound) => {
                Err(StoreError::refused("/wishes/litter_id", "names no litter of this kennel"))
            }
            found => found.map(drop),
        }
    }
});
