//! What a kennel asks before a pup leaves, on top of its jurisdiction.

use crate::{StoreError, StoreResult, Tx, columns::Stored, keep::Seen, schema, scope::Right};
use diesel::{ExpressionMethods as _, OptionalExtension as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::readiness::{KennelReadinessRules, ReadinessRuleSet};

/// What the kennel asks before a pup leaves, on top of its jurisdiction, and its version (0 for none).
///
/// # Errors
/// When the database is away.
pub async fn own(tx: &Tx) -> StoreResult<(KennelReadinessRules, i64)> {
    use schema::readiness_rules::dsl;
    let found = dsl::readiness_rules
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select((dsl::own, dsl::version))
        .first(&mut tx.pipelined())
        .await
        .optional()?;
    Ok(found.unwrap_or_default())
}

/// Sets what the kennel asks before a pup leaves, from the version the client has seen.
///
/// # Errors
/// [`StoreError::Stale`] when somebody else was faster; [`StoreError::Refused`] when it goes below
/// the law of the kennel's jurisdiction.
pub async fn set(tx: &mut Tx, own: &KennelReadinessRules, seen: Seen) -> StoreResult<()> {
    use schema::readiness_rules::dsl;
    tx.scope.require(Right::Managing)?;
    ReadinessRuleSet::for_kennel(tx.scope.jurisdiction(), own).map_err(StoreError::Refused)?;
    let kennel_id = tx.scope.kennel_id();
    let row = dsl::readiness_rules.filter(dsl::kennel_id.eq(kennel_id));
    let present = row.select(dsl::version).for_update().first(&mut tx.conn).await.optional()?;
    seen.must_be(present.unwrap_or(0))?;
    let written = if present.is_none() {
        diesel::insert_into(dsl::readiness_rules)
            .values((dsl::kennel_id.eq(kennel_id), dsl::id.eq(kennel_id), dsl::own.eq(Stored(own))))
            .on_conflict_do_nothing()
            .execute(&mut tx.conn)
            .await?
    } else {
        diesel::update(row).set(dsl::own.eq(Stored(own))).execute(&mut tx.conn).await?
    };
    if written == 0 { Err(StoreError::Stale) } else { Ok(()) }
}

/// The readiness rules in force; what the kennel set for itself gives way where the law has become
/// stricter since.
///
/// # Errors
/// When the database is away.
pub async fn in_force(tx: &Tx) -> StoreResult<ReadinessRuleSet> {
    let (own, _) = own(tx).await?;
    let jurisdiction = tx.scope.jurisdiction();
    let set = ReadinessRuleSet::for_kennel(jurisdiction, &own)
        .or_else(|_| ReadinessRuleSet::for_kennel(jurisdiction, &KennelReadinessRules::default()));
    set.map_err(|faults| {
        StoreError::Internal(format!("readiness rules with {} faults", faults.len()))
    })
}
