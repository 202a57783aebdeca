//! What is on record of dogs' coats.

use super::{StoreResult, Tx, genotypes, schema, scope::Right};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, Queryable, Selectable,
    SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    advice::Caution,
    rules::Rules,
    seen_traits::{CoatOnRecord, TraitSigns, pair_cautions},
};
use std::collections::HashMap;
use uuid::Uuid;

/// What is written down of a dog's coat.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::dogs)]
struct CoatRow {
    id: Uuid,
    colour: Option<String>,
    markings: Option<String>,
}

/// Colour, markings and genetic tests of some dogs, as traits; what this person may not see is not
/// among them.
///
/// # Errors
/// When the database is away.
pub async fn signs_of(tx: &Tx, dog_ids: &[Uuid]) -> StoreResult<HashMap<Uuid, TraitSigns>> {
    use schema::dogs::dsl;
    tx.scope.require(Right::Dogs)?;
    let coats = async {
        let rows: Vec<CoatRow> = dsl::dogs
            .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq_any(dog_ids)))
            .select(CoatRow::as_select())
            .load(&mut tx.pipelined())
            .await?;
        StoreResult::Ok(rows)
    };
    let (rows, results) = tokio::try_join!(coats, genotypes::results_of(tx, dog_ids))?;
    let mut coats: HashMap<Uuid, CoatOnRecord> = rows
        .into_iter()
        .map(|CoatRow { id, colour, markings }| {
            (id, CoatOnRecord { colour, markings, tests: Vec::new() })
        })
        .collect();
    for (dog_id, result) in results {
        if let Some(coat) = coats.get_mut(&dog_id) {
            coat.tests.push(result);
        }
    }
    Ok(coats.into_iter().map(|(id, coat)| (id, TraitSigns::of(&coat))).collect())
}

/// What to mind about a dam and a sire by what is seen of them; nothing about one that this person
/// may not see.
///
/// # Errors
/// When the database is away.
pub async fn cautions_of_pair(
    tx: &mut Tx,
    dam_id: Uuid,
    sire_id: Uuid,
    rules: &Rules,
) -> StoreResult<Vec<Caution>> {
    let signs = signs_of(tx, &[dam_id, sire_id]).await?;
    Ok(match (signs.get(&dam_id), signs.get(&sire_id)) {
        (Some(dam), Some(sire)) => {
            pair_cautions(dam, sire, rules).into_iter().map(|found| found.caution).collect()
        }
        _ => Vec::new(),
    })
}
