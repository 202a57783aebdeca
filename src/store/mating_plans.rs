//! The dogs that a mating plan weighs.

use super::{StoreResult, Tx, litters, schema, scope::Right};
use chrono::NaiveDate;
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, Queryable, Selectable,
    SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    breeding_limits::PastWhelping,
    mating_plan::MatingCandidate,
    partial_date::PartialDate,
    record::{Residence, Sex},
};
use std::collections::HashMap;
use uuid::Uuid;

/// A dog as a plan of matings reads it.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::dogs)]
struct CandidateRow {
    id: Uuid,
    sex: Option<Sex>,
    born_on: Option<PartialDate>,
    sire_id: Option<Uuid>,
    dam_id: Option<Uuid>,
    died_on: Option<NaiveDate>,
    residence: Residence,
}

/// A litter and when its dam whelped it.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::litters)]
struct WhelpedRow {
    id: Uuid,
    dam_id: Uuid,
    whelped_on: Option<NaiveDate>,
}

/// The dogs with these ids as candidates, by id; those of unknown sex are left out.
///
/// # Errors
/// When the database is away.
pub async fn candidates(
    tx: &mut Tx,
    dog_ids: &[Uuid],
) -> StoreResult<HashMap<Uuid, MatingCandidate>> {
    use schema::dogs::dsl;
    tx.scope.require(Right::Dogs)?;
    let rows: Vec<CandidateRow> = dsl::dogs
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq_any(dog_ids)))
        .select(CandidateRow::as_select())
        .load(&mut tx.conn)
        .await?;
    let mut whelpings = whelpings(tx, dog_ids).await?;
    let candidate = |row: CandidateRow| {
        let litters = whelpings.remove(&row.id).unwrap_or_default();
        // The kennel knows its own dams' litters; of another's it may not know all.
        let complete = row.residence == Residence::Here;
        let parents = (row.sire_id, row.dam_id);
        let dog = MatingCandidate::of_dog(row.id, row.sex?, row.born_on, parents, row.died_on);
        Some((row.id, dog.with_litters(litters, complete)))
    };
    Ok(rows.into_iter().filter_map(candidate).collect())
}

/// The litters born to each of some dams.
async fn whelpings(tx: &mut Tx, dam_ids: &[Uuid]) -> StoreResult<HashMap<Uuid, Vec<PastWhelping>>> {
    use schema::litters::dsl;
    let rows: Vec<WhelpedRow> = dsl::litters
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::dam_id.eq_any(dam_ids)))
        .select(WhelpedRow::as_select())
        .load(&mut tx.conn)
        .await?;
    let whelped: Vec<Uuid> = rows.iter().map(|row| row.id).collect();
    let caesareans = litters::caesareans(tx, &whelped).await?;
    let mut of_dam: HashMap<Uuid, Vec<PastWhelping>> = HashMap::new();
    for WhelpedRow { id, dam_id, whelped_on } in rows {
        let caesarean = caesareans.get(&id).copied();
        let whelped =
            whelped_on.map(|day| PastWhelping { whelped_on: PartialDate::Day(day), caesarean });
        of_dam.entry(dam_id).or_default().extend(whelped);
    }
    Ok(of_dam)
}
