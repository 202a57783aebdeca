//! Buyers who wait and pups that are free, for a proposal; and chips read in bulk.

use super::{
    StoreError, StoreResult, Tx,
    keep::{Keep as _, write},
    litters, readiness_rules, schema,
    scope::Right,
};
use crate::columns::Stored;
use catalogue::said;
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, NullableExpressionMethods as _,
    QueryDsl as _,
    dsl::{exists, not},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    alarms::Sights,
    fault::{Fault, Faults, quoted},
    litter::{Core, Health, Homes, Pup, Weights, dog_readiness},
    microchip::{ChipReading, ChipSubject, pups_named},
    placement::{BuyerWishes, FreePup, PlacementStage, WaitingBuyer},
    record::{Dog, HealthEvent, HealthKind},
};
use std::collections::BTreeMap;
use uuid::Uuid;

const HOLDING: [PlacementStage; 3] =
    [PlacementStage::Reserved, PlacementStage::Confirmed, PlacementStage::HandedOver];

/// The buyers who wait, in their order: set first, then by the day they joined.
///
/// # Errors
/// When the role does not place pups.
pub async fn waiting(tx: &mut Tx) -> StoreResult<Vec<WaitingBuyer>> {
    use schema::{buyers::dsl, placements as p};
    tx.scope.require(Right::Placing)?;
    let placed = exists(
        p::table
            .filter(p::kennel_id.eq(dsl::kennel_id))
            .filter(p::buyer_id.eq(dsl::id.nullable()).and(p::stage.eq_any(HOLDING.map(Stored))))
            .select(p::id),
    );
    let rows: Vec<(Uuid, BuyerWishes)> = dsl::buyers
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::erased_on.is_null()))
        .filter(not(placed))
        .filter(dsl::left_on.is_null().or(dsl::left_on.gt(tx.scope.today())))
        .select((dsl::id, dsl::wishes))
        // Nulls come last.
        .order((dsl::waiting_order, dsl::joined_on, dsl::id))
        .load(&mut tx.conn)
        .await?;
    Ok(rows.into_iter().map(|(buyer_id, wishes)| WaitingBuyer { buyer_id, wishes }).collect())
}

/// The pups of a litter that are here and promised to nobody, with the day on which each can go.
///
/// # Errors
/// [`StoreError::NotFound`] when there is no such litter that this person may see.
pub async fn free_pups(
    tx: &mut Tx,
    litter_id: Uuid,
    suited_for: &BTreeMap<Uuid, Vec<String>>,
) -> StoreResult<Vec<FreePup>> {
    let (core, (weights, health, homes)) =
        litters::one::<(Weights, Health, Homes)>(tx, litter_id).await?;
    let (moment, set) = (tx.moment().await?, readiness_rules::in_force(tx).await?);
    // Its day is asked for, not its cautions.
    let unmarked = Sights::default();
    let free = |pup: &Pup| {
        let dog = pup.dog.as_ref()?;
        let parts = (&weights, &health, &homes, &unmarked);
        let readiness = dog_readiness(&core, parts, pup, &set, &moment);
        Some(FreePup {
            dog_id: pup.dog_id,
            name: pup.label().to_string(),
            litter_id: Some(litter_id),
            sex: dog.sex,
            colour: dog.colour.clone(),
            suited_for: suited_for.get(&pup.dog_id).cloned().unwrap_or_default(),
            ready_on: readiness.ready_on,
        })
    };
    Ok(core.here(&moment).filter(|pup| pup.promised().is_none()).filter_map(free).collect())
}

/// A chip read, and the dogs it has to do with.
#[derive(Debug, Clone)]
pub struct ReadChip {
    /// What was read.
    pub reading: ChipReading,
    /// The dog that has this number already.
    pub known_dog_id: Option<Uuid>,
    /// The pup of the litter that the label names.
    pub matched_dog_id: Option<Uuid>,
    /// The pups that it may mean, when there are several.
    pub candidates: Vec<Uuid>,
}

/// Looks up chips that were read, matches labels with the pups of a litter, and sets the numbers
/// when `set`: each with a health event of the kind microchip, all or none.
///
/// # Errors
/// When a label that is to be set names no pup, or one that has another number.
pub async fn read_chips(
    tx: &mut Tx,
    readings: Vec<ChipReading>,
    litter_id: Option<Uuid>,
    set: bool,
) -> StoreResult<Vec<ReadChip>> {
    use schema::dogs::dsl;
    tx.scope.require(if set { Right::Observations } else { Right::Dogs })?;
    let litter: Option<(Core, ())> = match litter_id {
        Some(id) => Some(litters::one(tx, id).await?),
        None => None,
    };
    // One that died or left may be read once more; one born dead never was.
    let alive = litter.iter().flat_map(|(core, ())| &core.pups).filter(|pup| pup.born_alive());
    let pups: Vec<ChipSubject> = alive.map(subject).collect();
    let numbers: Vec<&str> = readings.iter().map(|r| r.chip.number.as_str()).collect();
    let known: Vec<(Option<String>, Uuid)> = dsl::dogs
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::chip_number.eq_any(numbers)))
        .select((dsl::chip_number, dsl::id))
        .load(&mut tx.conn)
        .await?;
    let known: BTreeMap<String, Uuid> =
        known.into_iter().filter_map(|(number, id)| Some((number?, id))).collect();
    let read: Vec<ReadChip> = readings
        .into_iter()
        .map(|reading| {
            let named = pups_named(&pups, &reading.label);
            let (matched_dog_id, candidates) = match named.as_slice() {
                [one] => (Some(*one), Vec::new()),
                _ => (None, named),
            };
            let known_dog_id = known.get(&reading.chip.number).copied();
            ReadChip { reading, known_dog_id, matched_dog_id, candidates }
        })
        .collect();
    if set {
        set_chips(tx, &read).await?;
    }
    Ok(read)
}

/// What a label may name a pup by.
fn subject(pup: &Pup) -> ChipSubject {
    let dog = pup.dog.as_ref();
    ChipSubject {
        dog_id: pup.dog_id,
        ordinal: pup.ordinal(),
        names: [
            pup.birth.as_ref().and_then(|birth| birth.record.collar.clone()),
            dog.and_then(|dog| dog.call_name.clone()),
            dog.and_then(|dog| dog.name.clone()),
        ],
    }
}

async fn set_chips(tx: &mut Tx, read: &[ReadChip]) -> StoreResult<()> {
    let mut faults = Faults::new();
    for chip in read {
        let at = format!("#line/{}", chip.reading.line);
        let label = &chip.reading.label;
        faults.unless(chip.matched_dog_id.is_some(), &at, || match chip.candidates.len() {
            0 => said!("fault-not-found-pup-by-label", label = quoted(label)),
            count => said!("fault-unclear-pup-by-label", label = quoted(label), count = count),
        });
        let others = chip.known_dog_id.is_some() && chip.known_dog_id != chip.matched_dog_id;
        faults.unless(!others, &at, || said!("fault-taken-chip-of-another"));
    }
    faults.into_result().map_err(StoreError::Refused)?;
    for chip in read.iter().filter(|chip| chip.known_dog_id.is_none()) {
        let Some(dog_id) = chip.matched_dog_id else { continue };
        let at = format!("#line/{}", chip.reading.line);
        set_chip(tx, dog_id, &chip.reading.chip.number).await.map_err(|error| match error {
            StoreError::Refused(faults) => {
                let place = |fault: Fault| Fault { pointer: at.clone(), ..fault };
                StoreError::Refused(faults.into_iter().map(place).collect())
            }
            other => other,
        })?;
    }
    Ok(())
}

/// Sets the number of a dog that has none, with a health event of the kind microchip.
///
/// # Errors
/// [`StoreError::Refused`] at `/chip_number` when it has another.
pub(super) async fn set_chip(tx: &mut Tx, dog_id: Uuid, number: &str) -> StoreResult<()> {
    let dog = Dog::select(tx, dog_id, true).await?.record;
    if let Some(other) = &dog.chip_number {
        let detail = said!("fault-already-done-chip", chip_number = other);
        return Err(StoreError::refused("/chip_number", detail));
    }
    let chipped = Dog { chip_number: Some(number.to_owned()), ..dog.clone() };
    write::change_settled(tx, dog_id, &dog, &chipped).await?;
    let event = HealthEvent {
        dog_id,
        kind: HealthKind::Microchip,
        given_at: tx.scope.now(),
        series: None,
        step: None,
        also_series: Vec::new(),
        result: None,
        protective: None,
        product: Some(number.to_owned()),
        batch: None,
        expires_on: None,
        given_by: None,
        site: None,
        reaction: None,
        buyer_id: None,
        note: None,
        confirmed: false,
    };
    write::enter_settled(tx, Uuid::now_v7(), event).await
}
