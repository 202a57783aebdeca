//! The parents of a litter are the parents of its pups: corrected there, corrected here.

use super::{
    StoreResult, Tx,
    keep::{Keep as _, write},
    schema,
};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, Queryable, Selectable,
    SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    admission::PupParents,
    record::{Dog, Litter, Mating},
};
use uuid::Uuid;

/// A pup with the parents that its own row names.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::dogs)]
struct PupRow {
    #[diesel(select_expression = schema::births::ordinal)]
    ordinal: i32,
    id: Uuid,
    dam_id: Option<Uuid>,
    sire_id: Option<Uuid>,
}

async fn pups(tx: &mut Tx, litter_id: Uuid) -> StoreResult<Vec<PupParents>> {
    use diesel::JoinOnDsl as _;
    use schema::{births as b, dogs as d};
    let rows: Vec<PupRow> = b::table
        .inner_join(d::table.on(d::kennel_id.eq(b::kennel_id).and(d::id.eq(b::dog_id))))
        .filter(b::kennel_id.eq(tx.scope.kennel_id()).and(b::litter_id.eq(litter_id)))
        .order(b::ordinal)
        .select(PupRow::as_select())
        .load(&mut tx.conn)
        .await?;
    let ids: Vec<Uuid> = rows.iter().map(|row| row.id).collect();
    let bred = with_offspring(tx, &ids).await?;
    let pup = |PupRow { ordinal, id, dam_id, sire_id }| {
        let has_offspring = bred.contains(&id);
        PupParents { ordinal, dog_id: id, dam_id, sire_id, has_offspring }
    };
    Ok(rows.into_iter().map(pup).collect())
}

/// Of these dogs, those that are parents themselves.
async fn with_offspring(tx: &mut Tx, dogs: &[Uuid]) -> StoreResult<Vec<Uuid>> {
    use schema::dogs::dsl;
    let as_parent = dsl::dogs
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .filter(dsl::sire_id.eq_any(dogs).or(dsl::dam_id.eq_any(dogs)))
        .select((dsl::sire_id, dsl::dam_id));
    let rows: Vec<(Option<Uuid>, Option<Uuid>)> = as_parent.load(&mut tx.conn).await?;
    let parents = rows.into_iter().flat_map(|(sire, dam)| [sire, dam]).flatten();
    Ok(parents.filter(|id| dogs.contains(id)).collect())
}

/// Asks back before a correction of the parents reaches pups with offspring or parents of their own.
pub(super) async fn validate(
    tx: &mut Tx,
    litter_id: Uuid,
    before: &Litter,
    after: &Litter,
) -> StoreResult<()> {
    if after.confirmed || !after.has_other_parents(before) {
        return Ok(());
    }
    Ok(after.admit_parents(before, &pups(tx, litter_id).await?)?)
}

/// Gives every pup the litter's parents, when those were corrected.
pub(super) async fn after_write(
    tx: &mut Tx,
    litter_id: Uuid,
    before: &Litter,
    after: &Litter,
) -> StoreResult<()> {
    if !after.has_other_parents(before) {
        return Ok(());
    }
    for pup in pups(tx, litter_id).await? {
        let dog = Dog::select(tx, pup.dog_id, true).await?.record;
        let own = Dog { dam_id: Some(after.dam_id), sire_id: after.sire_id, ..dog.clone() };
        write::change_settled(tx, pup.dog_id, &dog, &own).await?;
    }
    Ok(())
}

/// The litters that a mating is named by.
async fn litters_of(tx: &mut Tx, mating_id: Uuid) -> StoreResult<Vec<(Uuid, Litter)>> {
    use schema::litters::dsl;
    let ids: Vec<Uuid> = dsl::litters
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::mating_id.eq(mating_id)))
        .select(dsl::id)
        .load(&mut tx.conn)
        .await?;
    let mut litters = Vec::with_capacity(ids.len());
    for id in ids {
        litters.push((id, Litter::select(tx, id, true).await?.record));
    }
    Ok(litters)
}

/// Refuses a correction of a mating's parents that would change pups with offspring or parents of their
/// own: that is asked where the litter is.
pub(super) async fn admit_mating(
    tx: &mut Tx,
    mating_id: Uuid,
    before: &Mating,
    after: &Mating,
) -> StoreResult<()> {
    if !after.has_other_parents(before) {
        return Ok(());
    }
    for (litter_id, litter) in litters_of(tx, mating_id).await? {
        after.admit_parents(before, &litter, &pups(tx, litter_id).await?)?;
    }
    Ok(())
}

/// Gives the litters of a mating, and their pups, its parents when those were corrected.
pub(super) async fn settle_mating(
    tx: &mut Tx,
    mating_id: Uuid,
    before: &Mating,
    after: &Mating,
) -> StoreResult<()> {
    if !after.has_other_parents(before) {
        return Ok(());
    }
    for (litter_id, litter) in litters_of(tx, mating_id).await? {
        let corrected = litter.with_parents_of(after);
        write::change_settled(tx, litter_id, &litter, &corrected).await?;
    }
    Ok(())
}
