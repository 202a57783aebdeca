//! What was given out of a batch, to whom, and where those dogs are now.

use super::{StoreResult, Tx, schema, scope::Right};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, JoinOnDsl as _, QueryDsl as _, Queryable,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    litter::Presence,
    placement::PlacementStage,
    record::Residence,
    schedule::{BatchRecall, HealthKind, RecalledDog, Whereabouts, recall},
};
use std::collections::BTreeMap;
use uuid::Uuid;

/// A dose with its batch, and the dog that got it.
#[derive(Queryable)]
struct DoseRow {
    event_id: Uuid,
    dog_id: Uuid,
    kind: HealthKind,
    given_at: DateTime<Utc>,
    product: Option<String>,
    batch: Option<String>,
    expires_on: Option<NaiveDate>,
    given_by: Option<String>,
    called: Option<String>,
    named: Option<String>,
    chip_number: Option<String>,
    residence: Residence,
    died_on: Option<NaiveDate>,
}

/// Every dog that got a batch, as far as the asker sees them.
///
/// # Errors
/// When the database is away.
pub async fn of_batch(tx: &mut Tx, batch: &str, product: Option<&str>) -> StoreResult<BatchRecall> {
    use schema::{dogs, health_events as events};
    let rows: Vec<DoseRow> = events::table
        .inner_join(
            dogs::table.on(dogs::kennel_id.eq(events::kennel_id).and(dogs::id.eq(events::dog_id))),
        )
        .filter(events::kennel_id.eq(tx.scope.kennel_id()).and(events::batch.is_not_null()))
        .select((
            events::id,
            events::dog_id,
            events::kind,
            events::given_at,
            events::product,
            events::batch,
            events::expires_on,
            events::given_by,
            dogs::call_name,
            dogs::name,
            dogs::chip_number,
            dogs::residence,
            dogs::died_on,
        ))
        .load(&mut tx.conn)
        .await?;
    let unknown: Vec<Option<String>> = events::table
        .filter(events::kennel_id.eq(tx.scope.kennel_id()).and(events::batch.is_null()))
        .filter(events::product.is_not_null())
        .select(events::product)
        .load(&mut tx.conn)
        .await?;
    let owners = new_owners(tx).await?;
    let today = tx.scope.today();
    let told = |row: DoseRow| {
        let owner = owners.get(&row.dog_id);
        let whereabouts = match Presence::by_record(row.died_on, row.residence, today) {
            Presence::Died { .. } => Whereabouts::Dead,
            Presence::Left { .. } if owner.is_some() => Whereabouts::Gone,
            Presence::Left { .. } => Whereabouts::Elsewhere,
            _ => Whereabouts::Here,
        };
        RecalledDog {
            dog_id: row.dog_id,
            dog_name: row.called.or(row.named),
            chip_number: row.chip_number,
            whereabouts,
            buyer_id: owner.copied().flatten().filter(|_| whereabouts != Whereabouts::Here),
            event_id: row.event_id,
            kind: row.kind,
            given_on: tx.scope.day_of(row.given_at),
            product: row.product,
            batch: row.batch.unwrap_or_default(),
            expires_on: row.expires_on,
            given_by: row.given_by,
        }
    };
    let given = rows.into_iter().map(told).collect();
    Ok(recall(batch, product, given, &unknown))
}

/// To whom each dog was handed over last; who places no pups is told that it was, and not to whom.
async fn new_owners(tx: &mut Tx) -> StoreResult<BTreeMap<Uuid, Option<Uuid>>> {
    use schema::placements::dsl;
    let gone: Vec<(Uuid, Option<Uuid>)> = dsl::placements
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .filter(dsl::stage.eq(crate::columns::Stored(PlacementStage::HandedOver)))
        .select((dsl::dog_id, dsl::buyer_id))
        .order((dsl::handed_over_on, dsl::id))
        .load(&mut tx.conn)
        .await?;
    let told = tx.scope.allows(Right::Placing);
    Ok(gone.into_iter().map(|(dog, buyer)| (dog, buyer.filter(|_| told))).collect())
}
