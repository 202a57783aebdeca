//! Placements: who gets which pup, and what follows from it for the pup.

use super::{
    StoreError, StoreResult, Tx,
    keep::{Hooks, Keep as _, keep, write},
    ledger, litters, readiness_rules, schema,
};
use crate::columns::Stored;
use catalogue::said;
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::{
    admission::PlacementFacts,
    alarms::Sights,
    litter::{Core, Health, Homes, Placed, Pup, Weights, dog_readiness},
    placement::{PlacementKind, PlacementStage},
    readiness::ReadinessCheck,
    record::{Buyer, Dog, Kept, Placement, PlacementFilter, Residence},
};
use uuid::Uuid;

keep!(Placement in placements {
    dog_id, buyer_id, kind, stage, reserved_until, handed_over_on, price_minor, currency,
    balance_due_on, country, terms, note,
}
sorted { handed_over_on Day, reserved_until Day, stage Word, kind Word } dated handed_over_on
filter PlacementFilter { dog_id == dog_id, buyer_id == buyer_id, stage == stage });

impl Hooks for Placement {
    const LAPSES: bool = true;

    async fn completed(self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<Self> {
        complete(self, tx, before.map(|kept| &kept.record)).await
    }

    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        validate(self, tx, before).await
    }

    /// The stage was reached, step by step, before the row was deleted.
    async fn validate_again(&self, tx: &mut Tx) -> StoreResult<()> {
        admit_buyer(self.buyer_id, tx).await?;
        admit_presence(self, tx).await
    }

    async fn after_write(
        tx: &mut Tx,
        id: Uuid,
        before: Option<&Self>,
        after: &Self,
    ) -> StoreResult<()> {
        after_write(tx, id, before.map(|before| before.stage), after).await
    }

    /// What has happened is not taken away.
    async fn before_removal(_tx: &mut Tx, kept: &Kept<Self>) -> StoreResult<()> {
        Ok(kept.record.admit_removal()?)
    }
}

/// The last day of a reservation and the day of a hand-over, where the client left them out.
async fn complete(
    placement: Placement,
    tx: &mut Tx,
    before: Option<&Placement>,
) -> StoreResult<Placement> {
    let moment = tx.moment().await?;
    Ok(placement.completed_on(before, tx.scope.today(), &moment.rules))
}

async fn validate(
    placement: &Placement,
    tx: &mut Tx,
    before: Option<&Kept<Placement>>,
) -> StoreResult<()> {
    if let Some(before) = before {
        placement.admit_change(&before.record)?;
    }
    let from = before.map(|before| before.record.stage);
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
        Ok(buyer) => Ok(buyer.record.admit_to_placement()?),
        Err(StoreError::NotFound) => {
            Err(StoreError::refused("/buyer_id", said!("fault-not-found-buyer-here")))
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
    let open = if placement.sends_away() { open_checks(tx, placement).await? } else { Vec::new() };
    let facts = PlacementFacts { from, today: tx.scope.today(), open: &open };
    Ok(placement.admit_stage(&facts)?)
}

/// Refuses to offer, promise or hand over a pup that is dead; the placement can still be given up.
async fn admit_presence(placement: &Placement, tx: &mut Tx) -> StoreResult<()> {
    if !placement.needs_live_pup() {
        return Ok(());
    }
    let (core, ()): (Core, ()) = match litters::of_dog(tx, placement.dog_id).await {
        Ok(known) => known,
        Err(StoreError::NotFound) => {
            return Err(StoreError::refused("/dog_id", said!("fault-not-found-dog-here")));
        }
        Err(error) => return Err(error),
    };
    Ok(placement.admit_presence(core.presence(placement.dog_id, &*tx.moment().await?))?)
}

/// The readiness rules that keep a pup home, with its dog locked.
async fn open_checks(tx: &mut Tx, placement: &Placement) -> StoreResult<Vec<ReadinessCheck>> {
    let dog_id = placement.dog_id;
    match Dog::select(tx, dog_id, true).await {
        Ok(_) => {}
        Err(StoreError::NotFound) => {
            return Err(StoreError::refused("/dog_id", said!("fault-not-found-dog-here")));
        }
        Err(error) => return Err(error),
    }
    let (core, (weights, health, homes)) =
        litters::of_dog::<(Weights, Health, Homes)>(tx, dog_id).await?;
    let (moment, set) = (tx.moment().await?, readiness_rules::in_force(tx).await?);
    // It goes where the placement says that is being written, which is not stored yet.
    let going = Placed {
        placement_id: Uuid::nil(),
        dog_id,
        kind: placement.kind,
        stage: placement.stage,
        buyer_id: placement.buyer_id,
        handed_over_on: placement.handed_over_on,
        country: placement.goes_to(),
    };
    let pup = core.pup(dog_id).ok_or(StoreError::NotFound)?;
    let pup = Pup { placements: vec![going], ..pup.clone() };
    // Its checks are asked for, not its cautions.
    let unmarked = Sights::default();
    let parts = (&weights, &health, &homes, &unmarked);
    let readiness = dog_readiness(&core, parts, &pup, &set, &moment);
    Ok(readiness.checks.into_iter().filter(|check| !check.passes()).collect())
}

/// Where the pup lives follows from its placement; a return ends the placement before it.
async fn after_write(
    tx: &mut Tx,
    id: Uuid,
    from: Option<PlacementStage>,
    after: &Placement,
) -> StoreResult<()> {
    let Placement { dog_id, kind, stage, .. } = *after;
    if from == Some(stage) {
        return Ok(());
    }
    match (kind, stage) {
        (PlacementKind::Return, PlacementStage::HandedOver) => {
            end_placements_before(tx, dog_id, id).await?;
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
    let gone: Vec<Uuid> = dsl::placements
        .filter(
            dsl::kennel_id
                .eq(tx.scope.kennel_id())
                .and(dsl::dog_id.eq(dog_id))
                .and(dsl::id.ne(except))
                .and(dsl::kind.ne(Stored(PlacementKind::Return)))
                .and(dsl::stage.eq(Stored(PlacementStage::HandedOver))),
        )
        .select(dsl::id)
        .load(&mut tx.conn)
        .await?;
    for id in gone {
        let before = Placement::select(tx, id, true).await?.record;
        let ended = Placement { stage: PlacementStage::Returned, ..before.clone() };
        // It follows from a placement, as others may follow from it.
        Box::pin(write::change_settled(tx, id, &before, &ended)).await?;
    }
    Ok(())
}

async fn move_to(tx: &mut Tx, dog_id: Uuid, residence: Residence) -> StoreResult<()> {
    let dog = Dog::select(tx, dog_id, true).await?.record;
    if dog.residence == residence {
        return Ok(());
    }
    write::change_settled(tx, dog_id, &dog, &Dog { residence, ..dog.clone() }).await
}
