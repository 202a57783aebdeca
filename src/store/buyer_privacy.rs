//! A buyer's own data: exported on request, and erased without breaking accounts or pedigrees.

use super::{StoreError, StoreResult, Tx, keep::Keep, people::Right, schema};
use crate::domain::{
    privacy::{BuyerErasure, BuyerPersonalData, BuyerTies, erase},
    record::{
        Buyer, HealthEvent, HealthEventFilter, Kept, Payment, PaymentFilter, Placement,
        PlacementFilter,
    },
};
use chrono::Utc;
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, sql_types::Uuid as SqlUuid,
};
use diesel_async::RunQueryDsl as _;
use uuid::Uuid;

/// Everything that is kept of a buyer.
#[derive(Debug, Clone)]
pub struct BuyerData {
    /// The buyer.
    pub buyer: Kept<Buyer>,
    /// The placements.
    pub placements: Vec<Kept<Placement>>,
    /// The entries of their accounts.
    pub payments: Vec<Kept<Payment>>,
    /// The health news told.
    pub health_news: Vec<Kept<HealthEvent>>,
}

/// More rows than a buyer ever has.
const ALL: super::keep::Page = super::keep::Page { after: None, limit: 100_000 };

/// Everything that is kept of a buyer, for the buyer.
///
/// # Errors
/// When the role does not see contact data and money, or there is no such buyer.
pub async fn export(tx: &mut Tx, buyer_id: Uuid) -> StoreResult<BuyerData> {
    tx.scope.require(Right::Money)?;
    let buyer = Buyer::select(tx, buyer_id, false).await?;
    let filter = PlacementFilter { buyer_id: Some(buyer_id), ..PlacementFilter::default() };
    let placements = Placement::page(tx, None, &filter, ALL).await?;
    let mut payments = Vec::new();
    for placement in &placements {
        let id = Some(placement.id);
        payments.extend(Payment::page(tx, id, &PaymentFilter::default(), ALL).await?);
    }
    let filter = HealthEventFilter { buyer_id: Some(buyer_id), ..HealthEventFilter::default() };
    let health_news = HealthEvent::page(tx, None, &filter, ALL).await?;
    Ok(BuyerData { buyer, placements, payments, health_news })
}

fn personal(kept: &Kept<Buyer>) -> BuyerPersonalData {
    let buyer = kept.record.clone();
    BuyerPersonalData {
        buyer_id: kept.id,
        name: buyer.name,
        email: buyer.email,
        phone: buyer.phone,
        address: buyer.address,
        household: buyer.household,
        screening: buyer.screening,
        note: buyer.note,
        wishes: buyer.wishes,
        joined_on: Some(buyer.joined_on),
        consented_on: buyer.consented_on,
        consent_withdrawn_on: buyer.consent_withdrawn_on,
        erased_on: buyer.erased_on,
    }
}

/// Erases a buyer's personal data, also from the log of changes and from answers kept for repeats.
///
/// # Errors
/// When the role does not manage the kennel, there is no such buyer, or a pup is still promised:
/// the kennel needs the name until it is handed over or the placement is withdrawn.
pub async fn erase_buyer(tx: &mut Tx, buyer_id: Uuid) -> StoreResult<BuyerErasure> {
    tx.scope.require(Right::Managing)?;
    let before = Buyer::select(tx, buyer_id, true).await?;
    let data = export(tx, buyer_id).await?;
    let open = data.placements.iter().any(|kept| {
        use crate::domain::placement::PlacementStage::{Confirmed, Offered, Reserved};
        matches!(kept.record.stage, Offered | Reserved | Confirmed)
    });
    if open {
        return Err(StoreError::Conflict(
            "a pup is offered or promised to this buyer; withdraw the placement first".to_owned(),
        ));
    }
    let count = |rows: usize| u32::try_from(rows).unwrap_or(u32::MAX);
    let ties = BuyerTies {
        placements: count(data.placements.len()),
        ledger_entries: count(data.payments.len()),
        health_news: count(data.health_news.len()),
    };
    let erasure = erase(&personal(&before), ties, tx.scope.day_of(Utc::now()));
    let record = erasure.record.clone();
    let erased = Buyer {
        name: record.name,
        email: record.email,
        phone: record.phone,
        address: record.address,
        household: record.household,
        screening: record.screening,
        wishes: record.wishes,
        note: record.note,
        erased_on: record.erased_on,
        waiting_order: None,
        ..before.record
    };
    Buyer::update(tx, buyer_id, &erased).await?;
    clear_free_texts(tx, buyer_id, &data).await?;
    diesel::sql_query("SELECT forget_buyer($1)")
        .bind::<SqlUuid, _>(buyer_id)
        .execute(&mut tx.conn)
        .await?;
    Ok(erasure)
}

/// Notes may name a person; sums, days and kinds stay.
async fn clear_free_texts(tx: &mut Tx, buyer_id: Uuid, data: &BuyerData) -> StoreResult<()> {
    let kennel_id = tx.scope.kennel_id();
    let ids: Vec<Uuid> = data.placements.iter().map(|kept| kept.id).collect();
    let none: Option<String> = None;
    {
        use schema::placements::dsl;
        let of_buyer =
            dsl::placements.filter(dsl::kennel_id.eq(kennel_id).and(dsl::id.eq_any(&ids)));
        diesel::update(of_buyer)
            .set((dsl::terms.eq(&none), dsl::note.eq(&none)))
            .execute(&mut tx.conn)
            .await?;
    }
    {
        use schema::payments::dsl;
        let of_buyer =
            dsl::payments.filter(dsl::kennel_id.eq(kennel_id).and(dsl::placement_id.eq_any(&ids)));
        diesel::update(of_buyer).set(dsl::note.eq(&none)).execute(&mut tx.conn).await?;
    }
    {
        use schema::follow_ups::dsl;
        let of_buyer = dsl::follow_ups
            .filter(dsl::kennel_id.eq(kennel_id).and(dsl::placement_id.eq_any(&ids)));
        diesel::update(of_buyer).set(dsl::note.eq(&none)).execute(&mut tx.conn).await?;
    }
    use schema::health_events::dsl;
    let news =
        dsl::health_events.filter(dsl::kennel_id.eq(kennel_id).and(dsl::buyer_id.eq(buyer_id)));
    diesel::update(news).set(dsl::buyer_id.eq(None::<Uuid>)).execute(&mut tx.conn).await?;
    Ok(())
}
