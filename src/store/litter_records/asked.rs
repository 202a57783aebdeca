//! The rules, plans and readiness rules by which a kennel's records are read.

use crate::{
    domain::{
        readiness::{KennelReadinessRules, ReadinessRuleSet},
        rules::Rules,
        schedule::PlanBook,
    },
    store::{StoreError, StoreResult, Tx, health, kennels, people::Right, schema},
};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
};
use diesel_async::RunQueryDsl as _;

/// What the questions are asked by: the kennel's rules, plans and what it asks before go-home.
#[derive(Debug)]
pub struct Asked {
    /// The rules in force.
    pub rules: Rules,
    /// The kennel's plans.
    pub book: PlanBook,
    /// What must hold before a pup leaves.
    pub set: ReadinessRuleSet,
}

/// The rules, plans and readiness rules of the kennel.
///
/// # Errors
/// When the database is away.
pub async fn asked(tx: &Tx) -> StoreResult<Asked> {
    let (rules, book, set) =
        tokio::try_join!(kennels::rules(tx), health::plan_book(tx), rule_set(tx))?;
    Ok(Asked { rules, book, set })
}

/// What the kennel asks before a pup leaves, on top of its jurisdiction, and its version (0 for none).
///
/// # Errors
/// When the database is away.
pub async fn own_readiness_rules(tx: &Tx) -> StoreResult<(KennelReadinessRules, i64)> {
    use schema::readiness_rules::dsl;
    let own = dsl::readiness_rules
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select((dsl::own, dsl::version))
        .first(&mut tx.together())
        .await
        .optional()?;
    Ok(own.unwrap_or_default())
}

/// Sets what the kennel asks before a pup leaves, from the version the client has seen.
///
/// # Errors
/// [`StoreError::Stale`] when somebody else was faster; [`StoreError::Refused`] when it goes below
/// the law of the kennel's jurisdiction.
pub async fn set_readiness_rules(
    tx: &mut Tx,
    own: &KennelReadinessRules,
    version: i64,
) -> StoreResult<()> {
    use schema::readiness_rules::dsl;
    tx.scope.require(Right::Managing)?;
    let jurisdiction = jurisdiction(tx);
    ReadinessRuleSet::for_kennel(&jurisdiction, own).map_err(StoreError::Refused)?;
    let kennel_id = tx.scope.kennel_id();
    let written = if version == 0 {
        diesel::insert_into(dsl::readiness_rules)
            .values((dsl::kennel_id.eq(kennel_id), dsl::id.eq(kennel_id), dsl::own.eq(own)))
            .on_conflict_do_nothing()
            .execute(&mut tx.conn)
            .await?
    } else {
        let row =
            dsl::readiness_rules.filter(dsl::kennel_id.eq(kennel_id).and(dsl::version.eq(version)));
        diesel::update(row).set(dsl::own.eq(own)).execute(&mut tx.conn).await?
    };
    if written == 0 { Err(StoreError::Stale) } else { Ok(()) }
}

fn jurisdiction(tx: &Tx) -> String {
    tx.scope.kennel().jurisdiction.clone().unwrap_or_default()
}

/// The readiness rules in force; what the kennel set for itself gives way where the law has become
/// stricter since.
///
/// # Errors
/// When the database is away.
pub async fn rule_set(tx: &Tx) -> StoreResult<ReadinessRuleSet> {
    let (own, _) = own_readiness_rules(tx).await?;
    let jurisdiction = jurisdiction(tx);
    let set = ReadinessRuleSet::for_kennel(&jurisdiction, &own)
        .or_else(|_| ReadinessRuleSet::for_kennel(&jurisdiction, &KennelReadinessRules::default()));
    set.map_err(|faults| StoreError::Internal(format!("readiness rules: {faults:?}")))
}
