//! The accounts of placements.

use super::{
    StoreError, StoreResult, Tx,
    keep::{Hooks, Keep as _, keep, write},
    litters, schema,
    scope::Right,
};
use catalogue::Text;
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _, Queryable, Selectable,
    SelectableHelper as _,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    admission::end_of,
    fault::Fault,
    litter::{Core, Presence},
    placement::{Bookings, LedgerEntry, LedgerKind, LedgerSums, close_account},
    record::{Kept, Payment, PaymentFilter, Placement},
};
use std::collections::BTreeMap;
use uuid::Uuid;

keep!(Payment in payments { placement_id, kind, amount_minor, currency, paid_on, note }
sorted { paid_on Day, amount_minor Number, kind Word } dated paid_on
filter PaymentFilter { kind == kind });

impl Hooks for Payment {
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        let placement = Placement::select(tx, self.placement_id, true).await?;
        let booked = bookings(tx, &placement).await?;
        Ok(booked.admit(before.map(|before| before.id), self)?)
    }

    /// An entry that others rest on stays: a refund needs the payment before it.
    async fn before_removal(tx: &mut Tx, kept: &Kept<Self>) -> StoreResult<()> {
        let placement = Placement::select(tx, kept.record.placement_id, true).await?;
        Ok(bookings(tx, &placement).await?.admit_removal(kept.id)?)
    }
}

/// A placement with its account.
#[derive(Debug, Clone)]
pub struct Account {
    /// The placement.
    pub placement: Kept<Placement>,
    /// The entries, the price first, then as they were recorded.
    pub entries: Vec<LedgerEntry>,
    /// What they add up to.
    pub sums: LedgerSums,
    /// The entries that would close it with all given back, when the pup died before the hand-over.
    pub closing: Option<Vec<LedgerEntry>>,
}

/// A payment as its account is read.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::payments)]
struct PaymentRow {
    id: Uuid,
    placement_id: Uuid,
    kind: LedgerKind,
    amount_minor: i64,
    currency: String,
    paid_on: NaiveDate,
    note: Option<String>,
}

impl From<PaymentRow> for (Uuid, Payment) {
    fn from(row: PaymentRow) -> Self {
        let PaymentRow { id, placement_id, kind, amount_minor, currency, paid_on, note } = row;
        (id, Payment { placement_id, kind, amount_minor, currency, paid_on, note })
    }
}

/// What is booked on the account of a placement.
async fn bookings(tx: &mut Tx, placement: &Kept<Placement>) -> StoreResult<Bookings> {
    use schema::payments::dsl;
    let rows: Vec<PaymentRow> = dsl::payments
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::placement_id.eq(placement.id)))
        .select(PaymentRow::as_select())
        .order(dsl::id)
        .load(&mut tx.conn)
        .await?;
    let payments: Vec<(Uuid, Payment)> = rows.into_iter().map(Into::into).collect();
    let payments = payments.iter().map(|(id, payment)| (*id, payment));
    let written_on = tx.scope.day_of(placement.created_at);
    Bookings::of(placement.record.price(), written_on, payments).map_err(refused)
}

fn refused(fault: Fault) -> StoreError {
    StoreError::Refused(vec![fault])
}

/// Refuses a price that what was recorded already does not fit.
///
/// # Errors
/// [`StoreError::Refused`] with what does not add up.
pub(crate) async fn admit_price(tx: &mut Tx, id: Uuid, placement: &Placement) -> StoreResult<()> {
    let kept = Placement::select(tx, id, false).await?;
    let same = kept.record.price_minor == placement.price_minor
        && kept.record.currency == placement.currency;
    if same {
        return Ok(());
    }
    let changed = Kept { record: placement.clone(), ..kept };
    Ok(bookings(tx, &changed).await?.admit_price()?)
}

/// A placement with what is asked for its pup.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::placements)]
struct PricedRow {
    id: Uuid,
    price_minor: Option<i64>,
    currency: Option<String>,
    created_at: DateTime<Utc>,
}

/// The placements of the kennel whose accounts do not add up, and why; none, but for rows that
/// came past the checks of single entries.
///
/// # Errors
/// When the database is away.
pub(super) async fn unbalanced(tx: &mut Tx) -> StoreResult<Vec<(Uuid, Text)>> {
    use schema::{payments as e, placements as p};
    let kennel_id = tx.scope.kennel_id();
    let placements: Vec<PricedRow> = p::table
        .filter(p::kennel_id.eq(kennel_id))
        .select(PricedRow::as_select())
        .order(p::id)
        .load(&mut tx.conn)
        .await?;
    let rows: Vec<PaymentRow> = e::table
        .filter(e::kennel_id.eq(kennel_id))
        .select(PaymentRow::as_select())
        .order(e::id)
        .load(&mut tx.conn)
        .await?;
    let mut payments: BTreeMap<Uuid, Vec<(Uuid, Payment)>> = BTreeMap::new();
    for row in rows {
        payments.entry(row.placement_id).or_default().push(row.into());
    }
    let mut found = Vec::new();
    for PricedRow { id, price_minor, currency, created_at } in placements {
        let own = payments.get(&id).into_iter().flatten().map(|(id, payment)| (*id, payment));
        let price = price_minor.zip(currency.as_deref());
        let booked = Bookings::of(price, tx.scope.day_of(created_at), own);
        let sums = booked.map_err(|fault| vec![fault]).and_then(|booked| booked.sums());
        let faults = sums.err().unwrap_or_default();
        found.extend(faults.into_iter().map(|fault| (id, fault.detail)));
    }
    Ok(found)
}

/// The account of a placement.
///
/// # Errors
/// When the role does not see money, or there is no such placement.
pub async fn account(tx: &mut Tx, placement_id: Uuid) -> StoreResult<Account> {
    tx.scope.require(Right::Money)?;
    let placement = Placement::select(tx, placement_id, false).await?;
    let booked = bookings(tx, &placement).await?;
    let sums = booked.sums().map_err(StoreError::Refused)?;
    let closing = match died_waiting(tx, &placement.record).await? {
        true => Some(close_account(&sums, 0, today(tx)).map_err(StoreError::Refused)?),
        false => None,
    };
    Ok(Account { placement, entries: booked.entries(), sums, closing })
}

/// Whether the pup of a placement died while its buyer waited for it.
async fn died_waiting(tx: &mut Tx, placement: &Placement) -> StoreResult<bool> {
    if !placement.waits() {
        return Ok(false);
    }
    let (core, ()): (Core, ()) = litters::of_dog(tx, placement.dog_id).await?;
    let moment = tx.moment().await?;
    Ok(matches!(core.presence(placement.dog_id, &moment), Presence::Died { .. }))
}

/// Ends a placement and closes its account: the kennel keeps `kept_minor` of the price.
///
/// Before the hand-over the placement is withdrawn, after it the pup has come back. The price is
/// cancelled but for what is kept, and what was paid beyond it is paid back.
///
/// # Errors
/// [`StoreError::Refused`] when the placement has ended already, or more than the price is kept.
pub async fn close(
    tx: &mut Tx,
    placement_id: Uuid,
    kept_minor: i64,
    on: NaiveDate,
    note: Option<&str>,
) -> StoreResult<Account> {
    tx.scope.require(Right::Money)?;
    let before = Placement::select(tx, placement_id, true).await?;
    let stage = end_of(before.record.stage)?;
    let ended = Placement { stage, ..before.record.clone() };
    ended.validate(tx, Some(&before)).await?;
    let open = bookings(tx, &before).await?.sums().map_err(StoreError::Refused)?;
    let closing = close_account(&open, kept_minor, on).map_err(StoreError::Refused)?;
    write::change_settled(tx, placement_id, &before.record, &ended).await?;
    for entry in closing {
        let payment = Payment::of_entry(placement_id, &entry, note);
        write::enter_settled(tx, Uuid::now_v7(), payment).await?;
    }
    account(tx, placement_id).await
}

/// Today on the kennel's calendar.
pub fn today(tx: &Tx) -> NaiveDate {
    tx.scope.today()
}
