//! Buyers.

use super::{
    StoreError, StoreResult, Tx,
    keep::{Conditions, Hooks, Keep as _, keep},
    schema,
    search::Finds,
};
use crate::columns::Stored;
use catalogue::said;
use chrono::NaiveDate;
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, NullableExpressionMethods as _,
    QueryDsl as _,
    dsl::{exists, not},
};
use domain::{
    placement::PlacementStage,
    record::{Buyer, BuyerFilter, Kept, Litter, Search},
};

keep!(Buyer in buyers {
    name, email, phone, address, household, screening, wishes, joined_on, waiting_order, left_on, consented_on,
    consent_withdrawn_on, erased_on, note,
}
sorted { joined_on Day, name Name, waiting_order Number } dated joined_on
filter BuyerFilter {}
and asked_of_buyers);

/// What a list of buyers asks beside the values of columns.
fn asked_of_buyers(
    filter: &BuyerFilter,
    today: Option<NaiveDate>,
) -> Option<Conditions<schema::buyers::table>> {
    use schema::{buyers::dsl, placements as p};
    let mut asked: Conditions<schema::buyers::table> = Vec::new();
    for word in filter.search.iter().flat_map(Search::words) {
        asked.push(Box::new(Finds::in_buyer(word).nullable()));
    }
    let Some(waiting) = filter.waiting else { return Some(asked) };
    let holding = [PlacementStage::Reserved, PlacementStage::Confirmed, PlacementStage::HandedOver];
    let placed = exists(
        p::table
            .filter(p::kennel_id.eq(dsl::kennel_id))
            .filter(p::buyer_id.eq(dsl::id.nullable()).and(p::stage.eq_any(holding.map(Stored))))
            .select(p::id),
    );
    let left =
        dsl::erased_on.is_not_null().or(dsl::left_on.is_not_null().and(dsl::left_on.le(today?)));
    asked.push(match waiting {
        true => Box::new(not(placed.or(left)).nullable()),
        false => Box::new(placed.or(left).nullable()),
    });
    Some(asked)
}

impl Hooks for Buyer {
    /// A wish names a litter inside of an object, where no foreign key reaches.
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        let wished = self.wishes.litter_id;
        let (Some(litter_id), true) =
            (wished, before.is_none_or(|b| b.record.wishes.litter_id != wished))
        else {
            return Ok(());
        };
        match Litter::select(tx, litter_id, false).await {
            Err(StoreError::NotFound) => {
                Err(StoreError::refused("/wishes/litter_id", said!("fault-not-found-litter-here")))
            }
            found => found.map(drop),
        }
    }
}
