//! The accounts of placements: every entry is checked against all others, so that they balance.

use super::{
    StoreError, StoreResult, Tx,
    keep::{Keep, keep},
    litters, schema,
    scope::Right,
};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::{BoolExpressionMethods as _, ExpressionMethods as _, QueryDsl as _};
use diesel_async::RunQueryDsl as _;
use domain::{
    litter::{Core, Presence},
    placement::{
        Currency, LedgerEntry, LedgerKind, LedgerSums, Money, PlacementStage, add_up, close_account,
    },
    record::{Kept, Payment, PaymentFilter, Placement},
};
use std::collections::BTreeMap;
use uuid::Uuid;

keep!(Payment in payments { placement_id, kind, amount_minor, currency, paid_on, note }
under placement_id of Placement
filter PaymentFilter { kind == kind };
read Money, write Money, {
    async fn validate(&self, tx: &mut Tx, before: Option<&Kept<Self>>) -> StoreResult<()> {
        let placement = Placement::select(tx, self.placement_id, true).await?;
        let mut entries = entries(tx, &placement).await?;
        let entry = entry(self)?;
        match before.and_then(|before| entries.iter().position(|(id, _)| *id == Some(before.id))) {
            Some(place) => entries[place].1 = entry,
            None => entries.push((None, entry)),
        }
        sums(&entries).map(drop)
    }

    /// An entry that others rest on stays: a refund needs the payment before it.
    async fn delete_cascading(tx: &mut Tx, kept: &Kept<Self>) -> StoreResult<()> {
        let placement = Placement::select(tx, kept.record.placement_id, true).await?;
        let mut entries = entries(tx, &placement).await?;
        entries.retain(|(id, _)| *id != Some(kept.id));
        sums(&entries).map_err(|_| {
            StoreError::Conflict("other entries of the account rest on this one; change those first".to_owned())
        })?;
        Self::delete(tx, kept.id).await
    }
});

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

/// Entries with the rows they come from; the price has none of its own.
type Entries = Vec<(Option<Uuid>, LedgerEntry)>;

fn entry(payment: &Payment) -> StoreResult<LedgerEntry> {
    let currency: Currency = payment
        .currency
        .parse()
        .map_err(|_| StoreError::refused("/currency", "is not an active ISO 4217 currency"))?;
    let amount = Money { amount_minor: payment.amount_minor, currency };
    Ok(LedgerEntry { kind: payment.kind, amount, on: payment.paid_on, note: payment.note.clone() })
}

/// The price of a placement as the first entry of its account.
fn price(placement: &Placement, on: NaiveDate) -> StoreResult<Option<LedgerEntry>> {
    charged(placement.price_minor, placement.currency.as_deref(), on)
}

fn charged(
    price_minor: Option<i64>,
    currency: Option<&str>,
    on: NaiveDate,
) -> StoreResult<Option<LedgerEntry>> {
    let (Some(amount_minor), Some(currency)) = (price_minor, currency) else {
        return Ok(None);
    };
    let currency: Currency = currency
        .parse()
        .map_err(|_| StoreError::refused("/currency", "is not an active ISO 4217 currency"))?;
    let amount = Money { amount_minor, currency };
    let charged = LedgerEntry { kind: LedgerKind::Price, amount, on, note: None };
    Ok((amount_minor > 0).then_some(charged))
}

async fn entries(tx: &mut Tx, placement: &Kept<Placement>) -> StoreResult<Entries> {
    use schema::payments::dsl;
    let on = tx.scope.day_of(placement.created_at);
    let mut entries: Entries =
        price(&placement.record, on)?.into_iter().map(|entry| (None, entry)).collect();
    let rows: Vec<(Uuid, LedgerKind, i64, String, NaiveDate, Option<String>)> = dsl::payments
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::placement_id.eq(placement.id)))
        .select((dsl::id, dsl::kind, dsl::amount_minor, dsl::currency, dsl::paid_on, dsl::note))
        .order(dsl::id)
        .load(&mut tx.conn)
        .await?;
    for (id, kind, amount_minor, currency, paid_on, note) in rows {
        let placement_id = placement.id;
        let payment = Payment { placement_id, kind, amount_minor, currency, paid_on, note };
        entries.push((Some(id), entry(&payment)?));
    }
    Ok(entries)
}

/// What the entries add up to, or what does not add up, at the field of the body.
fn sums(entries: &Entries) -> StoreResult<LedgerSums> {
    let plain: Vec<LedgerEntry> = entries.iter().map(|(_, entry)| entry.clone()).collect();
    add_up(&plain).map_err(|faults| {
        let detail = faults.into_iter().map(|fault| fault.detail).collect::<Vec<_>>().join("; ");
        let pointer =
            if detail.contains("this account is kept in") { "/currency" } else { "/amount_minor" };
        StoreError::refused(pointer, detail)
    })
}

/// Refuses a price that what was recorded already does not fit.
///
/// # Errors
/// [`StoreError::Refused`] with what does not add up.
pub async fn admit_price(tx: &mut Tx, id: Uuid, placement: &Placement) -> StoreResult<()> {
    let kept = Placement::select(tx, id, false).await?;
    let same = kept.record.price_minor == placement.price_minor
        && kept.record.currency == placement.currency;
    if same {
        return Ok(());
    }
    let changed = Kept { record: placement.clone(), ..kept };
    match sums(&entries(tx, &changed).await?) {
        Ok(_) => Ok(()),
        Err(StoreError::Refused(faults)) => {
            let detail =
                faults.into_iter().map(|fault| fault.detail).collect::<Vec<_>>().join("; ");
            Err(StoreError::refused("/price_minor", format!("does not fit the account: {detail}")))
        }
        Err(error) => Err(error),
    }
}

/// The placements of the kennel whose accounts do not add up, and why; none, but for rows that
/// came past the checks of single entries.
///
/// # Errors
/// When the database is away.
pub(super) async fn unbalanced(tx: &mut Tx) -> StoreResult<Vec<(Uuid, String)>> {
    use schema::{payments as e, placements as p};
    let kennel_id = tx.scope.kennel_id();
    type Priced = (Uuid, Option<i64>, Option<String>, DateTime<Utc>);
    let placements: Vec<Priced> = p::table
        .filter(p::kennel_id.eq(kennel_id))
        .select((p::id, p::price_minor, p::currency, p::created_at))
        .load(&mut tx.conn)
        .await?;
    let payments: Vec<(Uuid, LedgerKind, i64, String, NaiveDate)> = e::table
        .filter(e::kennel_id.eq(kennel_id))
        .select((e::placement_id, e::kind, e::amount_minor, e::currency, e::paid_on))
        .order(e::id)
        .load(&mut tx.conn)
        .await?;
    let mut accounts: BTreeMap<Uuid, Result<Entries, StoreError>> = BTreeMap::new();
    for (id, price_minor, currency, created_at) in placements {
        let on = tx.scope.day_of(created_at);
        let charged = charged(price_minor, currency.as_deref(), on);
        accounts.insert(id, charged.map(|entry| entry.into_iter().map(|e| (None, e)).collect()));
    }
    for (placement_id, kind, amount_minor, currency, paid_on) in payments {
        let payment = Payment { placement_id, kind, amount_minor, currency, paid_on, note: None };
        if let Some(Ok(account)) = accounts.get_mut(&placement_id) {
            match entry(&payment) {
                Ok(entry) => account.push((None, entry)),
                Err(error) => drop(accounts.insert(placement_id, Err(error))),
            }
        }
    }
    let why = |error: StoreError| match error {
        StoreError::Refused(faults) => {
            Ok(faults.into_iter().map(|fault| fault.detail).collect::<Vec<_>>().join("; "))
        }
        error => Err(error),
    };
    let mut found = Vec::new();
    for (id, account) in accounts {
        if let Err(error) = account.and_then(|entries| sums(&entries)) {
            found.push((id, why(error)?));
        }
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
    let entries = entries(tx, &placement).await?;
    let sums = sums(&entries)?;
    let closing = match died_waiting(tx, &placement.record).await? {
        true => Some(close_account(&sums, 0, today(tx)).map_err(StoreError::Refused)?),
        false => None,
    };
    let entries = entries.into_iter().map(|(_, entry)| entry).collect();
    Ok(Account { placement, entries, sums, closing })
}

/// Whether the pup of a placement died while its buyer waited for it.
async fn died_waiting(tx: &mut Tx, placement: &Placement) -> StoreResult<bool> {
    if placement.stage.is_final() || placement.stage == PlacementStage::HandedOver {
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
    let stage = match before.record.stage {
        PlacementStage::HandedOver => PlacementStage::Returned,
        PlacementStage::Withdrawn | PlacementStage::Lapsed | PlacementStage::Returned => {
            return Err(StoreError::refused("/stage", "has ended already; its account is closed"));
        }
        _ => PlacementStage::Withdrawn,
    };
    let ended = Placement { stage, ..before.record.clone() };
    ended.validate(tx, Some(&before)).await?;
    let open = sums(&entries(tx, &before).await?)?;
    let closing = close_account(&open, kept_minor, on).map_err(StoreError::Refused)?;
    Placement::update(tx, placement_id, &ended).await?;
    let after = Placement::select(tx, placement_id, false).await?;
    Placement::after_write(tx, Some(&before), &after).await?;
    for entry in closing {
        let payment = Payment {
            placement_id,
            kind: entry.kind,
            amount_minor: entry.amount.amount_minor,
            currency: entry.amount.currency.to_string(),
            paid_on: entry.on,
            note: note.map(str::to_owned),
        };
        Payment::insert(tx, Uuid::now_v7(), &payment).await?;
    }
    account(tx, placement_id).await
}

/// Today on the kennel's calendar.
pub fn today(tx: &Tx) -> NaiveDate {
    tx.scope.today()
}
