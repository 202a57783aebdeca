//! The births that cores are put together from.

use crate::{StoreResult, Tx, keep, reads::ListKey, schema};
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, JoinOnDsl as _,
    NullableExpressionMethods as _, QueryDsl as _, Queryable, Selectable, SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    record::{Birth, BirthOutcome, Kept, Placenta, Presentation},
    whelping::NewbornSigns,
};
use std::sync::Arc;
use uuid::Uuid;

/// A birth without what belongs to the pup itself, with its weight at birth.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::births)]
struct BirthRow {
    id: Uuid,
    version: i64,
    created_at: DateTime<Utc>,
    updated_at: DateTime<Utc>,
    litter_id: Uuid,
    dog_id: Uuid,
    ordinal: i32,
    born_at: DateTime<Utc>,
    collar: Option<String>,
    #[diesel(
        select_expression = schema::weights::weight_g.nullable(),
        select_expression_type = diesel::dsl::Nullable<schema::weights::weight_g>
    )]
    weight_g: Option<i32>,
    presentation: Presentation,
    outcome: BirthOutcome,
    placenta: Placenta,
    note: Option<String>,
    vitality: Option<NewbornSigns>,
    vitality_minutes: Option<i32>,
    resuscitation_minutes: Option<i32>,
    confirmed: bool,
}

impl From<BirthRow> for Kept<Birth> {
    fn from(row: BirthRow) -> Self {
        let stamp = (row.id, row.version, row.created_at, row.updated_at);
        let birth = Birth {
            litter_id: row.litter_id,
            dog_id: row.dog_id,
            ordinal: row.ordinal,
            born_at: row.born_at,
            sex: None,
            colour: None,
            markings: None,
            collar: row.collar,
            weight_g: row.weight_g,
            presentation: row.presentation,
            outcome: row.outcome,
            vitality: row.vitality,
            vitality_minutes: row.vitality_minutes,
            resuscitation_minutes: row.resuscitation_minutes,
            placenta: row.placenta,
            name: None,
            note: row.note,
            confirmed: row.confirmed,
        };
        keep::kept(stamp, birth)
    }
}

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
