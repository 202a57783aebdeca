//! Buyers.

use super::{Tx, keep::keep, schema};
use crate::domain::{
    placement::PlacementStage,
    record::{Buyer, BuyerFilter},
};
use diesel::dsl::{exists, not};

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
                    schema::placements::stage.eq_any([PlacementStage::Reserved, PlacementStage::Confirmed, PlacementStage::HandedOver]),
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
read Dogs, write Placing, {
    fn redacted(self, tx: &Tx) -> Self {
        if tx.scope.sees_money() { self } else { self.without_contact() }
    }
});
