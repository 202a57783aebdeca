//! What screening found of dogs, tests that no catalogue knows, and inbreeding that laboratories measured.

use super::{
    StoreResult, Tx,
    keep::{Hooks, keep},
    schema,
    scope::Right,
};
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::{
    partial_date::PartialDate,
    record::{
        Dog, FreeTest, FreeTestFilter, GenomicInbreeding, GenomicInbreedingFilter, Kept,
        ScreeningResult, ScreeningResultFilter,
    },
};
use std::collections::HashMap;
use uuid::Uuid;

keep!(ScreeningResult in screening_results {
    dog_id, scheme, condition, result, left_side, right_side, examined_on, examiner, certificate, note,
}
sorted { examined_on Day, scheme Word } dated examined_on
filter ScreeningResultFilter { scheme == scheme }, of dog_id);

impl Hooks for ScreeningResult {}

keep!(FreeTest in free_tests {
    dog_id, name, result, kind, gene, variant, inheritance, copies, laboratory, tested_on, note,
}
sorted { tested_on Day, name Name } dated tested_on
filter FreeTestFilter { name == name }, of dog_id);

impl Hooks for FreeTest {
    async fn validate(&self, tx: &mut Tx, _before: Option<&Kept<Self>>) -> StoreResult<()> {
        use super::keep::Keep as _;
        let dog = Dog::select(tx, self.dog_id, false).await?.record;
        Ok(self.admit(dog.sex)?)
    }
}

keep!(GenomicInbreeding in genomic_inbreedings {
    dog_id, inbreeding, method, shortest_run_mb, laboratory, tested_on, note,
}
sorted { tested_on Day, inbreeding Number } dated tested_on
filter GenomicInbreedingFilter { method == method }, of dog_id);

impl Hooks for GenomicInbreeding {}

/// The results of screening of some dogs, as far as this person may see them.
///
/// # Errors
/// When the database is away.
pub async fn results_of(
    tx: &mut Tx,
    dog_ids: &[Uuid],
) -> StoreResult<Vec<(Uuid, ScreeningResult)>> {
    use super::keep::Gather as _;
    tx.scope.require(Right::Dogs)?;
    let kept = ScreeningResult::gather(tx, dog_ids).await?;
    Ok(kept.into_iter().map(|kept| (kept.record.dog_id, kept.record)).collect())
}

/// Dogs with a result of any of these schemes, of those that this person may see, and when each was born.
///
/// # Errors
/// When the database is away.
pub async fn screened_by(
    tx: &mut Tx,
    schemes: &[&str],
) -> StoreResult<HashMap<Uuid, Option<PartialDate>>> {
    use schema::{dogs, screening_results as s};
    tx.scope.require(Right::Dogs)?;
    let with_result: Vec<Uuid> = s::table
        .filter(s::kennel_id.eq(tx.scope.kennel_id()).and(s::scheme.eq_any(schemes)))
        .select(s::dog_id)
        .distinct()
        .load(&mut tx.conn)
        .await?;
    let rows: Vec<(Uuid, Option<PartialDate>)> = dogs::table
        .filter(dogs::kennel_id.eq(tx.scope.kennel_id()).and(dogs::id.eq_any(with_result)))
        .select((dogs::id, dogs::born_on))
        .load(&mut tx.conn)
        .await?;
    Ok(rows.into_iter().collect())
}

/// The free tests of some dogs, as far as this person may see them.
///
/// # Errors
/// When the database is away.
pub async fn free_tests_of(tx: &mut Tx, dog_ids: &[Uuid]) -> StoreResult<Vec<FreeTest>> {
    use super::keep::Gather as _;
    tx.scope.require(Right::Dogs)?;
    let kept = FreeTest::gather(tx, dog_ids).await?;
    Ok(kept.into_iter().map(|kept| kept.record).collect())
}

/// What laboratories measured of a dog's inbreeding, oldest entry first.
///
/// # Errors
/// When the database is away.
pub async fn genomic_of(tx: &mut Tx, dog_id: Uuid) -> StoreResult<Vec<Kept<GenomicInbreeding>>> {
    use super::keep::Gather as _;
    tx.scope.require(Right::Dogs)?;
    GenomicInbreeding::gather(tx, &[dog_id]).await
}
