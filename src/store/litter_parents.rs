//! The parents of a litter are the parents of its pups: corrected there, corrected here.

use super::{StoreError, StoreResult, Tx, schema};
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::{
    fault::Faults,
    record::{Litter, Mating},
};
use uuid::Uuid;

/// A pup with the parents that its own row names.
struct PupParents {
    ordinal: i32,
    dog_id: Uuid,
    dam_id: Option<Uuid>,
    sire_id: Option<Uuid>,
}

async fn pups(tx: &mut Tx, litter_id: Uuid) -> StoreResult<Vec<PupParents>> {
    use diesel::JoinOnDsl as _;
    use schema::{births as b, dogs as d};
    let rows: Vec<(i32, Uuid, Option<Uuid>, Option<Uuid>)> = b::table
        .inner_join(d::table.on(d::kennel_id.eq(b::kennel_id).and(d::id.eq(b::dog_id))))
        .filter(b::kennel_id.eq(tx.scope.kennel_id()).and(b::litter_id.eq(litter_id)))
        .order(b::ordinal)
        .select((b::ordinal, d::id, d::dam_id, d::sire_id))
        .load(&mut tx.conn)
        .await?;
    let pup = |(ordinal, dog_id, dam_id, sire_id)| PupParents { ordinal, dog_id, dam_id, sire_id };
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

fn changed(before: &Litter, after: &Litter) -> bool {
    (before.dam_id, before.sire_id) != (after.dam_id, after.sire_id)
}

/// Why a correction of the parents of a litter is asked about: its pups have offspring, whose pedigree
/// changes with it, or other parents than the litter had.
async fn reasons_to_ask(tx: &mut Tx, litter_id: Uuid, before: &Litter) -> StoreResult<Vec<String>> {
    let pups = pups(tx, litter_id).await?;
    let ids: Vec<Uuid> = pups.iter().map(|pup| pup.dog_id).collect();
    let bred = with_offspring(tx, &ids).await?;
    let numbers = |of: &dyn Fn(&PupParents) -> bool| {
        let numbers = pups.iter().filter(|pup| of(pup)).map(|pup| pup.ordinal.to_string());
        numbers.collect::<Vec<_>>().join(", ")
    };
    let own = numbers(&|pup| (pup.dam_id, pup.sire_id) != (Some(before.dam_id), before.sire_id));
    let bred = numbers(&|pup| bred.contains(&pup.dog_id));
    let mut reasons = Vec::new();
    if !bred.is_empty() {
        reasons.push(format!("pups {bred} have offspring, whose pedigree changes with it"));
    }
    if !own.is_empty() {
        reasons.push(format!(
            "pups {own} have other parents recorded than the litter, which it replaces"
        ));
    }
    Ok(reasons)
}

/// Asks back before a correction of the parents reaches pups with offspring or parents of their own.
pub(super) async fn validate(
    tx: &mut Tx,
    litter_id: Uuid,
    before: &Litter,
    after: &Litter,
) -> StoreResult<()> {
    if after.confirmed || !changed(before, after) {
        return Ok(());
    }
    let reasons = reasons_to_ask(tx, litter_id, before).await?;
    if reasons.is_empty() {
        return Ok(());
    }
    let pointer = if before.dam_id == after.dam_id { "/sire_id" } else { "/dam_id" };
    let mut faults = Faults::new();
    for reason in reasons {
        faults.add(
            pointer,
            format!(
                "reaches the pups of the litter: {reason}. To correct them all, send it with \"confirmed\": true."
            ),
        );
    }
    faults.into_result().map_err(StoreError::Refused)
}

/// Gives every pup the litter's parents, when those were corrected.
pub(super) async fn after_write(
    tx: &mut Tx,
    litter_id: Uuid,
    before: &Litter,
    after: &Litter,
) -> StoreResult<()> {
    if !changed(before, after) {
        return Ok(());
    }
    use schema::dogs::dsl;
    let ids: Vec<Uuid> = pups(tx, litter_id).await?.into_iter().map(|pup| pup.dog_id).collect();
    let own = dsl::dogs.filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::id.eq_any(ids)));
    diesel::update(own)
        .set((dsl::dam_id.eq(Some(after.dam_id)), dsl::sire_id.eq(after.sire_id)))
        .execute(&mut tx.conn)
        .await?;
    Ok(())
}

/// The litters that a mating is named by.
async fn litters_of(tx: &mut Tx, mating_id: Uuid) -> StoreResult<Vec<(Uuid, Litter)>> {
    use super::keep::Keep as _;
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
    if (before.dam_id, before.sire_id) == (after.dam_id, after.sire_id) {
        return Ok(());
    }
    for (litter_id, litter) in litters_of(tx, mating_id).await? {
        if let Some(reason) = reasons_to_ask(tx, litter_id, &litter).await?.into_iter().next() {
            let pointer = if before.dam_id == after.dam_id { "/sire_id" } else { "/dam_id" };
            return Err(StoreError::refused(
                pointer,
                format!(
                    "reaches the litter of this mating: {reason}. Correct the litter first (mating_id null, its \
                     parents, \"confirmed\": true), then this mating, and name it in the litter again."
                ),
            ));
        }
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
    use super::keep::Keep as _;
    if (before.dam_id, before.sire_id) == (after.dam_id, after.sire_id) {
        return Ok(());
    }
    for (litter_id, litter) in litters_of(tx, mating_id).await? {
        let corrected =
            Litter { dam_id: after.dam_id, sire_id: Some(after.sire_id), ..litter.clone() };
        Litter::update(tx, litter_id, &corrected).await?;
        after_write(tx, litter_id, &litter, &corrected).await?;
    }
    Ok(())
}
