//! Who lives here, and where pups are or are promised to.

use crate::{
    StoreResult, Tx, columns::Stored, dogs::born_alive, reads::ListKey, schema, scope::Right,
};
use chrono::NaiveDate;
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, Queryable, Selectable,
    SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    litter::Placed,
    record::{PlacementKind, PlacementStage, Residence},
};
use std::{collections::BTreeMap, sync::Arc};
use uuid::Uuid;

/// The living dogs in the kennel, by id; none unless asked for.
pub(super) async fn living_here(tx: &Tx, asked: bool) -> StoreResult<Arc<Vec<Uuid>>> {
    use schema::dogs::dsl;
    if !asked {
        return Ok(Arc::default());
    }
    tx.remembered(
        || ListKey::all("dogs here"),
        &["dog", "birth"],
        async || {
            Ok(dsl::dogs
                .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::died_on.is_null()))
                .filter(dsl::residence.eq(Stored(Residence::Here)).and(born_alive!()))
                .select(dsl::id)
                .order(dsl::id)
                .load(&mut tx.pipelined())
                .await?)
        },
    )
    .await
}

/// A placement, as far as it says where a pup is or is promised to.
#[derive(Clone, PartialEq, Queryable, Selectable)]
#[diesel(table_name = schema::placements)]
struct PlacedRow {
    id: Uuid,
    dog_id: Uuid,
    kind: PlacementKind,
    stage: PlacementStage,
    buyer_id: Option<Uuid>,
    handed_over_on: Option<NaiveDate>,
    country: Option<String>,
}

/// The placements of these dogs, by dog.
pub(super) async fn placements(
    tx: &Tx,
    dogs: &[Uuid],
) -> StoreResult<Arc<BTreeMap<Uuid, Vec<Placed>>>> {
    use schema::placements::dsl;
    let read = async || {
        let query = dsl::placements
            .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dog_id.eq_any(dogs)))
            .select(PlacedRow::as_select())
            .order(dsl::id);
        Ok(query.load(&mut tx.pipelined()).await?)
    };
    let rows = tx.remembered(|| ListKey::of("placed", dogs), &["placement"], read).await?;
    // Who places no pups is told where they are, and not to whom they are promised.
    let told = tx.scope.allows(Right::Placing);
    Ok(tx.made("placements", vec![rows.clone()], || placed(&rows, told)))
}

fn placed(rows: &[PlacedRow], told: bool) -> BTreeMap<Uuid, Vec<Placed>> {
    let mut by_dog: BTreeMap<Uuid, Vec<Placed>> = BTreeMap::new();
    for row in rows.iter().cloned() {
        let PlacedRow { id, dog_id, kind, stage, buyer_id, handed_over_on, country } = row;
        if !told && !matches!(stage, PlacementStage::HandedOver | PlacementStage::Returned) {
            continue;
        }
        let buyer_id = buyer_id.filter(|_| told);
        let country = country.and_then(|code| code.parse().ok());
        let placed =
            Placed { placement_id: id, dog_id, kind, stage, buyer_id, handed_over_on, country };
        by_dog.entry(dog_id).or_default().push(placed);
    }
    by_dog
}
