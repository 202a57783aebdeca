//! Placements: who gets which pup, and what follows from it for the pup.

use super::{
    StoreError, StoreResult, Tx,
    keep::{Keep, keep},
    ledger, litters, readiness_rules, schema,
};
use crate::columns::Stored;
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::{
    alarms::Sights,
    fault::Fault,
    litter::{Core, Health, Homes, Presence, Weights, dog_readiness},
    placement::{PlacementKind, PlacementStage, StageFacts},
    readiness::ReadinessCheck,
    record::{Buyer, Dog, Kept, Placement, PlacementFilter, Residence},
    schedule::{plus, rule_days},
};
use uuid::Uuid;

keep!(Placement in placements {
    dog_id, buyer_id, kind, stage, reserved_until, handed_over_on, price_minor, currency,
    balance_due_on, terms, note,
}
filter PlacementFilter { dog_id == dog_id, buyer_id == buyer_id, stage == stage };
read Dogs, write Placing, hides Money { price_minor, currency, balance_due_on }, hides Placing { terms, note }, {
    async fn completed(self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<Self> {
        complete(self, tx, before.map(|kept| &kept.record)).await
    }

    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        validate(self, tx, before).await
    }

    async fn after_write(tx: &mut Tx, before: Option<&Kept<Self>>, after: &Kept<Self>) -> StoreResult<()> {
        after_write(tx, before.map(|kept| kept.record.stage), after).await
    }

    /// What has happened is not taken away.
    async fn delete_cascading(tx: &mut Tx, kept: &Kept<Self>) -> StoreResult<()> {
        if matches!(kept.record.stage, PlacementStage::HandedOver | PlacementStage::Returned) {
            return Err(StoreError::Conflict(
                "the pup has been handed over; a pup that comes back makes the stage returned".to_owned(),
            ));
        }
        Self::delete(tx, kept.id).await
    }
});

/// The last day of a reservation and the day of a hand-over, where the client left them out.
async fn complete(
    placement: Placement,
    tx: &mut Tx,
    before: Option<&Placement>,
) -> StoreResult<Placement> {
    let today = tx.scope.today();
    let mut placement = placement;
    let held = placement.stage == PlacementStage::Reserved && placement.kind != PlacementKind::Kept;
    if held && placement.reserved_until.is_none() {
        let moment = tx.moment().await?;
        let days = rule_days(&moment.rules, "placement.reservation_days");
        placement.reserved_until = Some(plus(today, days));
    }
    let arrived = placement.stage == PlacementStage::HandedOver
        && before.is_none_or(|before| before.stage != PlacementStage::HandedOver);
    if arrived && placement.handed_over_on.is_none() {
        placement.handed_over_on = Some(today);
    }
    Ok(placement)
}

async fn validate(
    placement: &Placement,
    tx: &mut Tx,
    before: Option<&Kept<Placement>>,
) -> StoreResult<()> {
    if before.is_some_and(|before| before.record.dog_id != placement.dog_id) {
        return Err(StoreError::refused(
            "/dog_id",
            "cannot change; withdraw this placement and make another",
        ));
    }
    let from = before.map(|before| before.record.stage);
    let fixed = from.is_some_and(|from| from != PlacementStage::Offered);
    if fixed && before.is_some_and(|before| before.record.kind != placement.kind) {
        return Err(StoreError::refused(
            "/kind",
            "cannot change after the offer; withdraw this placement and make another",
        ));
    }
    if before.is_none_or(|before| before.record.buyer_id != placement.buyer_id) {
        admit_buyer(placement.buyer_id, tx).await?;
    }
    if let Some(before) = before {
        ledger::admit_price(tx, before.id, placement).await?;
    }
    if from != Some(placement.stage) {
        admit_stage(placement, tx, from).await?;
    }
    Ok(())
}

async fn admit_buyer(buyer_id: Option<Uuid>, tx: &mut Tx) -> StoreResult<()> {
    let Some(buyer_id) = buyer_id else { return Ok(()) };
    match Buyer::select(tx, buyer_id, false).await {
        Ok(buyer) if buyer.record.erased_on.is_some() => {
            Err(StoreError::refused("/buyer_id", "names a buyer whose data were erased"))
        }
        Ok(_) => Ok(()),
        Err(StoreError::NotFound) => {
            Err(StoreError::refused("/buyer_id", "names no buyer of this kennel"))
        }
        Err(error) => Err(error),
    }
}

/// Refuses a stage that cannot follow, and the hand-over of a pup that is not ready.
async fn admit_stage(
    placement: &Placement,
    tx: &mut Tx,
    from: Option<PlacementStage>,
) -> StoreResult<()> {
    admit_presence(placement, tx).await?;
    let leaves = placement.stage == PlacementStage::HandedOver && placement.kind.leaves_kennel();
    let mut open = Vec::new();
    if leaves {
        open = open_checks(tx, placement.dog_id).await?;
    }
    let facts = StageFacts {
        today: tx.scope.today(),
        reserved_until: placement.reserved_until,
        ready: leaves.then_some(open.is_empty()),
    };
    placement.kind.advance(from, placement.stage, facts).map_err(|mut faults| {
        faults.extend(open.iter().map(|check| Fault {
            pointer: "/stage".to_owned(),
            detail: format!("{}: {}", check.rule, check.detail),
        }));
        StoreError::Refused(faults)
    })
}

/// Refuses to offer, promise or hand over a pup that is dead; the placement can still be given up.
async fn admit_presence(placement: &Placement, tx: &mut Tx) -> StoreResult<()> {
    if placement.stage.is_final() || placement.kind == PlacementKind::Return {
        return Ok(());
    }
    let (core, ()): (Core, ()) = match litters::of_dog(tx, placement.dog_id).await {
        Ok(known) => known,
        Err(StoreError::NotFound) => {
            return Err(StoreError::refused("/dog_id", "names no dog of this kennel"));
        }
        Err(error) => return Err(error),
    };
    let dead = match core.presence(placement.dog_id, &*tx.moment().await?) {
        Presence::Died { on } => format!("died on {on}"),
        Presence::Stillborn => "was born dead".to_owned(),
        _ => return Ok(()),
    };
    let detail = format!("the pup {dead}; withdraw this placement and tell its buyer");
    Err(StoreError::refused("/stage", detail))
}

/// The readiness rules that keep a pup home, with its dog locked.
async fn open_checks(tx: &mut Tx, dog_id: Uuid) -> StoreResult<Vec<ReadinessCheck>> {
    match Dog::select(tx, dog_id, true).await {
        Ok(_) => {}
        Err(StoreError::NotFound) => {
            return Err(StoreError::refused("/dog_id", "names no dog of this kennel"));
        }
        Err(error) => return Err(error),
    }
    let (core, (weights, health, homes)) =
        litters::of_dog::<(Weights, Health, Homes)>(tx, dog_id).await?;
    let (moment, set) = (tx.moment().await?, readiness_rules::in_force(tx).await?);
    let pup = core.pup(dog_id).ok_or(StoreError::NotFound)?;
    // Its checks are asked for, not its cautions.
    let unmarked = Sights::default();
    let parts = (&weights, &health, &homes, &unmarked);
    let readiness = dog_readiness(&core, parts, pup, &set, &moment);
    Ok(readiness.checks.into_iter().filter(|check| !check.passes()).collect())
}

/// Where the pup lives follows from its placement; a return ends the placement before it.
async fn after_write(
    tx: &mut Tx,
    from: Option<PlacementStage>,
    after: &Kept<Placement>,
) -> StoreResult<()> {
    let Placement { dog_id, kind, stage, .. } = after.record;
    if from == Some(stage) {
        return Ok(());
    }
    match (kind, stage) {
        (PlacementKind::Return, PlacementStage::HandedOver) => {
            end_placements_before(tx, dog_id, after.id).await?;
            move_to(tx, dog_id, Residence::Here).await
        }
        (_, PlacementStage::Returned) => move_to(tx, dog_id, Residence::Here).await,
        (_, PlacementStage::HandedOver) if kind.leaves_kennel() => {
            move_to(tx, dog_id, Residence::Elsewhere).await
        }
        _ => Ok(()),
    }
}

async fn end_placements_before(tx: &mut Tx, dog_id: Uuid, except: Uuid) -> StoreResult<()> {
    use schema::placements::dsl;
    let gone = dsl::placements.filter(
        dsl::kennel_id
            .eq(tx.scope.kennel_id())
            .and(dsl::dog_id.eq(dog_id))
            .and(dsl::id.ne(except))
            .and(dsl::kind.ne(Stored(PlacementKind::Return)))
            .and(dsl::stage.eq(Stored(PlacementStage::HandedOver))),
    );
    diesel::update(gone)
        .set(dsl::stage.eq(Stored(PlacementStage::Returned)))
        .execute(&mut tx.conn)
        .await?;
    Ok(())
}

async fn move_to(tx: &mut Tx, dog_id: Uuid, residence: Residence) -> StoreResult<()> {
    let dog = Dog::select(tx, dog_id, true).await?.record;
    if dog.residence == residence {
        return Ok(());
    }
    Dog::update(tx, dog_id, &Dog { residence, ..dog }).await
}
