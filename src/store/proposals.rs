//! Buyers who wait and pups that are free, for a proposal; and chips read in bulk.

use super::{StoreError, StoreResult, Tx, keep::Keep, litter_records, people::Right, schema};
use crate::domain::{
    fault::Faults,
    litter_record::{AskedOn, DogRecord},
    microchip::ChipReading,
    placement::{BuyerWishes, FreePup, PlacementStage, WaitingBuyer},
    record::{Dog, HealthEvent, HealthKind},
};
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, NullableExpressionMethods as _,
    QueryDsl as _,
    dsl::{exists, not},
};
use diesel_async::RunQueryDsl as _;
use std::collections::{BTreeMap, BTreeSet};
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
            .filter(p::buyer_id.eq(dsl::id.nullable()).and(p::stage.eq_any(HOLDING)))
            .select(p::id),
    );
    let rows: Vec<(Uuid, BuyerWishes)> = dsl::buyers
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::erased_on.is_null()))
        .filter(not(placed))
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
    now: DateTime<Utc>,
) -> StoreResult<Vec<FreePup>> {
    use schema::placements::dsl;
    let litter = litter_records::litters(tx, litter_records::Wanted::Litter(litter_id), now)
        .await?
        .pop()
        .ok_or(StoreError::NotFound)?;
    let asked = litter_records::asked(tx).await?;
    let ask = AskedOn { book: &asked.book, rules: &asked.rules, now, zone: tx.scope.tz() };
    let ids: Vec<Uuid> = litter.pups.iter().map(|pup| pup.dog_id).collect();
    let taken: Vec<Uuid> = dsl::placements
        .filter(
            dsl::kennel_id
                .eq(tx.scope.kennel_id())
                .and(dsl::dog_id.eq_any(ids))
                .and(dsl::stage.eq_any(HOLDING))
                .and(dsl::kind.ne(crate::domain::placement::PlacementKind::Return)),
        )
        .select(dsl::dog_id)
        .load(&mut tx.conn)
        .await?;
    let taken: BTreeSet<Uuid> = taken.into_iter().collect();
    let mut pups = Vec::new();
    for pup in litter.pups.iter().filter(|pup| pup.here && !taken.contains(&pup.dog_id)) {
        let dog = Dog::select(tx, pup.dog_id, false).await?.record;
        pups.push(FreePup {
            dog_id: pup.dog_id,
            name: pup.label.clone(),
            litter_id: Some(litter_id),
            sex: dog.sex,
            colour: dog.colour,
            suited_for: suited_for.get(&pup.dog_id).cloned().unwrap_or_default(),
            ready_on: litter.pup_readiness(pup, &asked.set, ask).ready_on,
        });
    }
    Ok(pups)
}

/// A chip read, and the dogs it has to do with.
#[derive(Debug, Clone)]
pub struct ReadChip {
    /// What was read.
    pub reading: ChipReading,
    /// The dog that has this number already.
    pub known_dog_id: Option<Uuid>,
    /// The pup of the litter that the label names: its name, collar or ordinal.
    pub matched_dog_id: Option<Uuid>,
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
    now: DateTime<Utc>,
) -> StoreResult<Vec<ReadChip>> {
    use schema::dogs::dsl;
    tx.scope.require(if set { Right::Observations } else { Right::Dogs })?;
    let pups = match litter_id {
        Some(id) => litter_records::litters(tx, litter_records::Wanted::Litter(id), now).await?,
        None => Vec::new(),
    };
    let pups: Vec<DogRecord> = pups.into_iter().flat_map(|litter| litter.pups).collect();
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
        .map(|reading| ReadChip {
            known_dog_id: known.get(&reading.chip.number).copied(),
            matched_dog_id: named(&pups, &reading.label),
            reading,
        })
        .collect();
    if set {
        set_chips(tx, &read, now).await?;
    }
    Ok(read)
}

/// The one pup that a label names.
fn named(pups: &[DogRecord], label: &str) -> Option<Uuid> {
    let wanted = label.trim().to_lowercase();
    let fits = |pup: &&DogRecord| {
        let own = pup.label.to_lowercase();
        own == wanted
            || own.strip_suffix(" collar") == Some(wanted.as_str())
            || pup.ordinal.is_some_and(|ordinal| ordinal.to_string() == wanted)
    };
    let mut fitting = pups.iter().filter(fits);
    let first = fitting.next().filter(|_| !wanted.is_empty())?;
    fitting.next().is_none().then_some(first.dog_id)
}

async fn set_chips(tx: &mut Tx, read: &[ReadChip], now: DateTime<Utc>) -> StoreResult<()> {
    let mut faults = Faults::new();
    for chip in read {
        let at = format!("#line/{}", chip.reading.line);
        let label = &chip.reading.label;
        faults.unless(chip.matched_dog_id.is_some(), &at, || {
            format!("{label:?} names no pup of the litter; give its name, collar or number")
        });
        let others = chip.known_dog_id.is_some() && chip.known_dog_id != chip.matched_dog_id;
        faults.unless(!others, &at, || "this number is another dog's already".to_owned());
    }
    faults.into_result().map_err(StoreError::Refused)?;
    for chip in read.iter().filter(|chip| chip.known_dog_id.is_none()) {
        let Some(dog_id) = chip.matched_dog_id else { continue };
        let dog = Dog::select(tx, dog_id, true).await?.record;
        if let Some(other) = &dog.chip_number {
            let at = format!("#line/{}", chip.reading.line);
            return Err(StoreError::refused(&at, format!("the pup has the number {other}")));
        }
        let number = chip.reading.chip.number.clone();
        Dog::update(tx, dog_id, &Dog { chip_number: Some(number.clone()), ..dog }).await?;
        let event = HealthEvent {
            dog_id,
            kind: HealthKind::Microchip,
            given_at: now,
            series: None,
            step: None,
            product: Some(number),
            batch: None,
            expires_on: None,
            given_by: None,
            site: None,
            reaction: None,
            buyer_id: None,
            note: None,
        };
        HealthEvent::insert(tx, Uuid::now_v7(), &event).await?;
    }
    Ok(())
}
