//! What is booked on the account of a placement: its price, then its payments as they were recorded.
//!
//! Every entry is checked against all others, so that an account adds up whatever is written or taken away.

use super::{Currency, LedgerEntry, LedgerKind, LedgerSums, Money, add_up};
use crate::{
    admission::{Admission, Refusal},
    fault::Fault,
    record::{Payment, Placement},
};
use catalogue::said;
use chrono::NaiveDate;
use uuid::Uuid;

#[cfg(test)]
mod tests;

/// An entry with the payment that it comes from; the price has none.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Booking {
    payment_id: Option<Uuid>,
    entry: LedgerEntry,
}

/// All that is booked on an account, in its order.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Bookings(Vec<Booking>);

fn money(amount_minor: i64, currency: &str) -> Result<Money, Fault> {
    let unknown = |_| Fault::new("/currency", said!("fault-unknown-value-currency-iso"));
    let currency: Currency = currency.parse().map_err(unknown)?;
    Ok(Money { amount_minor, currency })
}

/// The price as an entry; none where nothing is asked for the pup.
fn price(price: Option<(i64, &str)>, on: NaiveDate) -> Result<Option<LedgerEntry>, Fault> {
    let Some((price_minor, currency)) = price else { return Ok(None) };
    let amount = money(price_minor, currency)?;
    let charged = LedgerEntry { kind: LedgerKind::Price, amount, on, note: None };
    Ok((price_minor > 0).then_some(charged))
}

impl Booking {
    fn of(payment_id: Option<Uuid>, payment: &Payment) -> Result<Self, Fault> {
        let amount = money(payment.amount_minor, &payment.currency)?;
        let (kind, on, note) = (payment.kind, payment.paid_on, payment.note.clone());
        Ok(Self { payment_id, entry: LedgerEntry { kind, amount, on, note } })
    }
}

impl Bookings {
    /// The price (minor units and currency) of a placement that was written on a day, and its payments by
    /// id.
    ///
    /// # Errors
    /// The first of a currency that is none.
    pub fn of<'p>(
        asked: Option<(i64, &str)>,
        on: NaiveDate,
        payments: impl IntoIterator<Item = (Uuid, &'p Payment)>,
    ) -> Result<Self, Fault> {
        let mut bookings: Vec<Booking> = price(asked, on)?
            .into_iter()
            .map(|entry| Booking { payment_id: None, entry })
            .collect();
        for (id, payment) in payments {
            bookings.push(Booking::of(Some(id), payment)?);
        }
        Ok(Self(bookings))
    }

    /// Refuses a payment that makes the account wrong; it takes the place of the one with this id.
    ///
    /// # Errors
    /// What does not add up, at the field of the payment.
    pub fn admit(mut self, id: Option<Uuid>, payment: &Payment) -> Admission {
        let new = Booking::of(id, payment).map_err(|fault| vec![fault])?;
        match self.0.iter_mut().find(|known| id.is_some() && known.payment_id == id) {
            Some(known) => *known = new,
            None => self.0.push(new),
        }
        self.sums()?;
        Ok(())
    }

    /// Refuses to take a payment away that others rest on: a refund needs the payment before it.
    ///
    /// # Errors
    /// [`Refusal::Conflict`].
    pub fn admit_removal(mut self, id: Uuid) -> Admission {
        self.0.retain(|known| known.payment_id != Some(id));
        match self.sums() {
            Ok(_) => Ok(()),
            Err(_) => Err(Refusal::Conflict(said!("problem-conflict-entries-rest"))),
        }
    }

    /// Refuses a price, booked already, that what was recorded before does not fit.
    ///
    /// # Errors
    /// What does not add up, at `/price_minor`.
    pub fn admit_price(&self) -> Admission {
        let of_price = |fault: Fault| {
            Fault::new("/price_minor", said!("fault-differs-account", what = fault.detail))
        };
        match self.sums() {
            Ok(_) => Ok(()),
            Err(faults) => Err(Refusal::Faults(faults.into_iter().map(of_price).collect())),
        }
    }

    /// What the entries add up to.
    ///
    /// # Errors
    /// What does not add up, at the field of a payment: an account is kept in one currency, what is in
    /// another cannot be added to it.
    pub fn sums(&self) -> Result<LedgerSums, Vec<Fault>> {
        let entries = self.entries();
        add_up(&entries).map_err(|faults| {
            let currency = |at: usize| entries[at].amount.currency;
            let is_of_one = (1..entries.len()).all(|at| currency(at - 1) == currency(at));
            let pointer = if is_of_one { "/amount_minor" } else { "/currency" };
            let placed = |fault| Fault { pointer: pointer.to_owned(), ..fault };
            faults.into_iter().map(placed).collect()
        })
    }

    /// The entries without where they come from.
    pub fn entries(&self) -> Vec<LedgerEntry> {
        self.0.iter().map(|booking| booking.entry.clone()).collect()
    }
}

impl Payment {
    /// An entry of the account as it is recorded.
    pub fn of_entry(placement_id: Uuid, entry: &LedgerEntry, note: Option<&str>) -> Self {
        Self {
            placement_id,
            kind: entry.kind,
            amount_minor: entry.amount.amount_minor,
            currency: entry.amount.currency.to_string(),
            paid_on: entry.on,
            note: note.map(str::to_owned),
        }
    }
}

impl Placement {
    /// What is asked for the pup: minor units and currency.
    pub fn price(&self) -> Option<(i64, &str)> {
        self.price_minor.zip(self.currency.as_deref())
    }

    /// Whether somebody still waits for the pup.
    pub fn waits(&self) -> bool {
        use super::PlacementStage::HandedOver;
        !self.stage.is_final() && self.stage != HandedOver
    }
}
