//! A buyer's own data: exported on request, and erased without breaking accounts or pedigrees.

use super::{
    StoreError, StoreResult, Tx,
    keep::{Keep as _, write},
    schema,
    scope::Right,
};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
    QueryableByName,
    sql_types::{Text, Uuid as SqlUuid},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    privacy::{BuyerErasure, BuyerPersonalData, BuyerTies, ERASED_NAME, erase},
    record::{
        Attachment, AttachmentFilter, Buyer, BuyerReport, BuyerReportFilter, HealthEvent,
        HealthEventFilter, Kept, Payment, PaymentFilter, Placement, PlacementFilter,
    },
};
use serde_json::{Map, Value};
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
    /// The contracts.
    pub contracts: Vec<Kept<Attachment>>,
    /// What was told by booklets' links.
    pub reports: Vec<Kept<BuyerReport>>,
}

/// More rows than a buyer ever has.
const ALL: super::keep::Page = super::keep::Page::first(100_000);

/// Everything that is kept of a buyer, for the buyer.
///
/// # Errors
/// When the role does not see contact data and money, or there is no such buyer.
pub async fn export(tx: &mut Tx, buyer_id: Uuid) -> StoreResult<BuyerData> {
    tx.scope.require(Right::Placing)?;
    tx.scope.require(Right::Money)?;
    let buyer = Buyer::select(tx, buyer_id, false).await?;
    tied_to(tx, buyer).await
}

async fn tied_to(tx: &mut Tx, buyer: Kept<Buyer>) -> StoreResult<BuyerData> {
    let buyer_id = Some(buyer.id);
    let filter = PlacementFilter { buyer_id, ..PlacementFilter::default() };
    let placements = Placement::page(tx, None, &filter, ALL).await?;
    let (mut payments, mut contracts) = (Vec::new(), Vec::new());
    for placement in &placements {
        let id = Some(placement.id);
        let filter = AttachmentFilter { placement_id: id, ..AttachmentFilter::default() };
        contracts.extend(Attachment::page(tx, None, &filter, ALL).await?);
        payments.extend(Payment::page(tx, id, &PaymentFilter::default(), ALL).await?);
    }
    let filter = HealthEventFilter { buyer_id, ..HealthEventFilter::default() };
    let health_news = HealthEvent::page(tx, None, &filter, ALL).await?;
    let filter = BuyerReportFilter { buyer_id, ..BuyerReportFilter::default() };
    let reports = BuyerReport::page(tx, None, &filter, ALL).await?;
    Ok(BuyerData { buyer, placements, payments, health_news, contracts, reports })
}

fn personal(buyer_id: Uuid, buyer: &Buyer) -> BuyerPersonalData {
    let buyer = buyer.clone();
    BuyerPersonalData {
        buyer_id,
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

/// A buyer whose data are erased in the database.
#[derive(Debug, Clone)]
pub struct ErasedBuyer {
    /// What was erased, and what is kept.
    pub erasure: BuyerErasure,
    /// The name and the addresses that the buyer had: for what lies outside of the database.
    pub traces: Vec<String>,
}

/// Erases a buyer's personal data: from the buyer, from what is tied to them (placements, accounts,
/// follow-ups, news, links, tasks), from every other text that names them, from the log of changes and
/// from answers kept for repeats. One who was deleted before is erased from what remembers them.
///
/// # Errors
/// When the role does not manage the kennel, there never was such a buyer, or a pup is still promised:
/// the kennel needs the name until it is handed over or the placement is withdrawn.
pub async fn erase_buyer(tx: &mut Tx, buyer_id: Uuid) -> StoreResult<ErasedBuyer> {
    tx.scope.require(Right::Managing)?;
    tx.begin_writing().await?;
    let today = tx.scope.today();
    let before = match Buyer::select(tx, buyer_id, true).await {
        Ok(before) => before,
        Err(StoreError::NotFound) => {
            let gone = deleted(tx, buyer_id).await?;
            let erasure = erase(&personal(buyer_id, &gone), BuyerTies::default(), today);
            return Ok(ErasedBuyer { erasure, traces: forget(tx, buyer_id).await? });
        }
        Err(error) => return Err(error),
    };
    let data = tied_to(tx, before.clone()).await?;
    Buyer::admit_erasure(data.placements.iter().map(|kept| &kept.record))?;
    let count = |rows: usize| u32::try_from(rows).unwrap_or(u32::MAX);
    let ties = BuyerTies {
        placements: count(data.placements.len()),
        ledger_entries: count(data.payments.len()),
        health_news: count(data.health_news.len()),
    };
    let erasure = erase(&personal(buyer_id, &before.record), ties, today);
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
        ..before.record.clone()
    };
    write::change_settled(tx, buyer_id, &before.record, &erased).await?;
    Ok(ErasedBuyer { erasure, traces: forget(tx, buyer_id).await? })
}

/// What the log remembers of a buyer whose row is deleted.
async fn deleted(tx: &mut Tx, buyer_id: Uuid) -> StoreResult<Buyer> {
    use schema::changes::dsl;
    let last: Option<Option<Value>> = dsl::changes
        .filter(
            dsl::kennel_id
                .eq(tx.scope.kennel_id())
                .and(dsl::row_id.eq(buyer_id))
                .and(dsl::what.eq("buyer"))
                .and(dsl::action.eq("deleted")),
        )
        .order(dsl::sequence.desc())
        .select(dsl::before)
        .first(&mut tx.conn)
        .await
        .optional()?;
    let Some(Some(Value::Object(content))) = last else { return Err(StoreError::NotFound) };
    let own = |(field, _): &(String, Value)| Buyer::FIELDS.contains(&field.as_str());
    let mut members: Map<String, Value> = content.into_iter().filter(own).collect();
    // Erased before.
    members.entry("name").or_insert_with(|| Value::from(ERASED_NAME));
    serde_json::from_value(Value::Object(members))
        .map_err(|error| StoreError::Internal(format!("a deleted buyer in the log: {error}")))
}

#[derive(QueryableByName)]
struct TraceRow {
    #[diesel(sql_type = Text)]
    trace: String,
}

async fn forget(tx: &mut Tx, buyer_id: Uuid) -> StoreResult<Vec<String>> {
    diesel::sql_query("SELECT forget_contracts($1)")
        .bind::<SqlUuid, _>(buyer_id)
        .execute(&mut tx.conn)
        .await?;
    let rows: Vec<TraceRow> = diesel::sql_query("SELECT forget_buyer($1) AS trace")
        .bind::<SqlUuid, _>(buyer_id)
        .load(&mut tx.conn)
        .await?;
    Ok(rows.into_iter().map(|row| row.trace).collect())
}
