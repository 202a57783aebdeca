//! Placements and payments.

use super::{StoreError, StoreResult, Tx, keep::keep};
use crate::domain::record::{Kept, Payment, PaymentFilter, Placement, PlacementFilter};

keep!(Placement in placements {
    dog_id, buyer_id, kind, stage, reserved_until, handed_over_on, price_minor, currency, terms, note,
}
filter PlacementFilter { dog_id == dog_id, buyer_id == buyer_id, stage == stage };
read Dogs, write Placing, {
    async fn admit(&self, _tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        let Some(before) = before.map(|kept| &kept.record) else { return Ok(()) };
        if before.dog_id != self.dog_id {
            return Err(StoreError::refused("/dog_id", "cannot change; withdraw this placement and make another"));
        }
        if !before.stage.may_become(self.stage) {
            return Err(StoreError::refused(
                "/stage",
                format!("cannot go from {} to {}", before.stage, self.stage),
            ));
        }
        Ok(())
    }

    fn redacted(self, tx: &Tx) -> Self {
        if tx.scope.sees_money() { self } else { self.without_money() }
    }
});

keep!(Payment in payments { placement_id, kind, amount_minor, currency, paid_on, note }
under placement_id of Placement
filter PaymentFilter { kind == kind };
read Money, write Money, {
    async fn admit(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        let placement = Placement::select(tx, self.placement_id, false).await?.record;
        match placement.currency {
            Some(currency) if currency != self.currency => Err(StoreError::refused(
                "/currency",
                format!("differs from the currency of the price ({currency})"),
            )),
            _ => Ok(()),
        }
    }
});
