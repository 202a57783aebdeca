//! The account of a placement: what is charged, paid and paid back always adds up.

use super::{currency::Currency, money::Money};
use crate::{
    fault::{Fault, Faults},
    record::words::words,
};
use catalogue::{Text, said};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Largest sum of one entry, in minor units: ten thousand million units of a two-digit currency.
const MAX_ENTRY_MINOR: i64 = 1_000_000_000_000;

words! {
    /// What an entry of an account is.
    LedgerKind {
        /// The price of the pup: charged.
        Price = "price",
        /// Something besides, such as transport: charged.
        Extra = "extra",
        /// Taken off what was charged.
        Discount = "discount",
        /// Taken off what was charged since the placement ended.
        Cancellation = "cancellation",
        /// Received to hold a pup; counts toward the price.
        Deposit = "deposit",
        /// Received.
        Payment = "payment",
        /// Paid back to the buyer.
        Refund = "refund",
    }
}

impl LedgerKind {
    /// What the kennel received by an entry of this kind: less than nothing where it paid back, `None` where
    /// it is owed, not paid.
    pub fn received(self, amount_minor: i64) -> Option<i64> {
        match self {
            Self::Deposit | Self::Payment => Some(amount_minor),
            Self::Refund => Some(-amount_minor),
            Self::Price | Self::Extra | Self::Discount | Self::Cancellation => None,
        }
    }
}

/// One entry of an account.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct LedgerEntry {
    /// What it is.
    pub kind: LedgerKind,
    /// The sum, above 0 for every kind.
    pub amount: Money,
    /// The day of it.
    #[serde(rename = "booked_on")]
    pub on: NaiveDate,
    /// What for, how, by whom.
    #[serde(default)]
    pub note: Option<String>,
}

/// The sums of an account, in minor units.
///
/// `charged − reduced = received − refunded + balance_due`, always.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
pub struct LedgerSums {
    /// The currency; `null` while there is no entry.
    pub currency: Option<Currency>,
    /// Prices and extras.
    #[schema(example = 150_000)]
    pub charged_minor: i64,
    /// Discounts and cancellations.
    #[schema(example = 0)]
    pub reduced_minor: i64,
    /// Deposits and payments.
    #[schema(example = 30_000)]
    pub received_minor: i64,
    /// Paid back.
    #[schema(example = 0)]
    pub refunded_minor: i64,
    /// What the buyer still owes; below 0 the kennel owes it to the buyer.
    #[schema(example = 120_000)]
    pub balance_due_minor: i64,
}

impl LedgerSums {
    /// What the pup costs in the end: charged less reduced.
    pub(crate) fn net_price_minor(&self) -> i64 {
        self.charged_minor - self.reduced_minor
    }

    /// What the kennel has got in the end: received less refunded.
    pub(crate) fn net_paid_minor(&self) -> i64 {
        self.received_minor - self.refunded_minor
    }
}

/// Adds up an account, entry by entry in the order in which they were recorded.
///
/// # Errors
/// Every fault, at `/N/amount`: a sum that is not above 0 or too large, another currency than the
/// first entry's, more taken off than was charged, more paid back than was received.
pub(crate) fn add_up(entries: &[LedgerEntry]) -> Result<LedgerSums, Vec<Fault>> {
    let mut faults = Faults::new();
    let mut sums = LedgerSums::default();
    for (index, entry) in entries.iter().enumerate() {
        let at = format!("/{index}/amount");
        match sums.with(entry) {
            Ok(added) => sums = added,
            Err(detail) => faults.add(at, detail),
        }
    }
    faults.into_result().map(|()| sums)
}

impl LedgerSums {
    /// These sums with one more entry, or why it cannot be entered.
    ///
    /// # Errors
    /// What is wrong with the entry; see [`add_up`].
    pub fn with(mut self, entry: &LedgerEntry) -> Result<Self, Text> {
        let Money { amount_minor, currency } = entry.amount;
        if !(1..=MAX_ENTRY_MINOR).contains(&amount_minor) {
            return Err(said!(
                "fault-out-of-range-entry",
                least_minor = 1,
                most_minor = MAX_ENTRY_MINOR
            ));
        }
        if let Some(first) = self.currency.filter(|first| *first != currency) {
            return Err(said!(
                "fault-differs-currency",
                currency = currency.code(),
                kept_in = first.code()
            ));
        }
        self.currency = Some(currency);
        let side = match entry.kind {
            LedgerKind::Price | LedgerKind::Extra => &mut self.charged_minor,
            LedgerKind::Discount | LedgerKind::Cancellation => &mut self.reduced_minor,
            LedgerKind::Deposit | LedgerKind::Payment => &mut self.received_minor,
            LedgerKind::Refund => &mut self.refunded_minor,
        };
        *side = side.checked_add(amount_minor).ok_or_else(|| said!("fault-limit-account"))?;
        if self.reduced_minor > self.charged_minor {
            let most = Money { amount_minor: self.net_price_minor() + amount_minor, currency };
            return Err(said!("fault-out-of-range-taken-off", most = most.text()));
        }
        if self.refunded_minor > self.received_minor {
            let most = Money { amount_minor: self.net_paid_minor() + amount_minor, currency };
            return Err(said!("fault-out-of-range-paid-back", most = most.text()));
        }
        // Both differences are within 0..=i64::MAX by the checks above.
        self.balance_due_minor = self.net_price_minor() - self.net_paid_minor();
        Ok(self)
    }
}

/// The entries that close an account when a placement ends and the kennel keeps `kept_minor`.
///
/// The price is cancelled but for what is kept, and what was paid beyond it is paid back. What was
/// kept but not yet paid stays due.
///
/// # Errors
/// A fault at `/kept_minor` when it is below 0 or above the price.
pub fn close_account(
    sums: &LedgerSums,
    kept_minor: i64,
    on: NaiveDate,
) -> Result<Vec<LedgerEntry>, Vec<Fault>> {
    let mut faults = Faults::new();
    let price = sums.net_price_minor();
    faults.unless((0..=price).contains(&kept_minor), "/kept_minor", || {
        said!("fault-out-of-range-kept", least_minor = 0, most_minor = price)
    });
    faults.into_result()?;
    let Some(currency) = sums.currency else {
        return Ok(Vec::new());
    };
    let entry = |kind, amount_minor| LedgerEntry {
        kind,
        amount: Money { amount_minor, currency },
        on,
        note: None,
    };
    let closing = [
        entry(LedgerKind::Cancellation, price - kept_minor),
        entry(LedgerKind::Refund, sums.net_paid_minor() - kept_minor),
    ];
    Ok(closing.into_iter().filter(|entry| entry.amount.amount_minor > 0).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn entry(kind: LedgerKind, amount_minor: i64, currency: &str) -> LedgerEntry {
        LedgerEntry {
            kind,
            amount: Money { amount_minor, currency: currency.parse().unwrap() },
            on: "2026-03-01".parse().unwrap(),
            note: None,
        }
    }

    #[test]
    fn a_sale_with_deposit_and_refund_adds_up() {
        let account = [
            entry(LedgerKind::Price, 150_000, "EUR"),
            entry(LedgerKind::Deposit, 30_000, "EUR"),
            entry(LedgerKind::Discount, 10_000, "EUR"),
            entry(LedgerKind::Payment, 120_000, "EUR"),
            entry(LedgerKind::Refund, 10_000, "EUR"),
        ];
        let due: Vec<i64> =
            (1..=5).map(|n| add_up(&account[..n]).unwrap().balance_due_minor).collect();
        assert_eq!(due, [150_000, 120_000, 110_000, -10_000, 0]);
    }

    #[test]
    fn every_wrong_entry_is_named() {
        let account = [
            entry(LedgerKind::Price, 100, "EUR"),
            entry(LedgerKind::Payment, 0, "EUR"),
            entry(LedgerKind::Payment, 50, "CHF"),
            entry(LedgerKind::Discount, 101, "EUR"),
            entry(LedgerKind::Refund, 1, "EUR"),
            entry(LedgerKind::Payment, i64::MAX, "EUR"),
        ];
        let faults = add_up(&account).unwrap_err();
        let at: Vec<&str> = faults.iter().map(|fault| fault.pointer.as_str()).collect();
        assert_eq!(at, ["/1/amount", "/2/amount", "/3/amount", "/4/amount", "/5/amount"]);
        assert!(faults[2].detail.contains("1.00 EUR"), "{}", faults[2].detail);
    }

    fn kinds() -> impl Strategy<Value = LedgerKind> {
        prop::sample::select(vec![
            LedgerKind::Price,
            LedgerKind::Extra,
            LedgerKind::Discount,
            LedgerKind::Cancellation,
            LedgerKind::Deposit,
            LedgerKind::Payment,
            LedgerKind::Refund,
        ])
    }

    proptest! {
        /// Whatever is entered or refused, the account balances and nobody gets more than was there.
        #[test]
        fn an_account_always_balances(
            entries in prop::collection::vec((kinds(), 1..=MAX_ENTRY_MINOR), 0..40),
        ) {
            let mut sums = LedgerSums::default();
            let mut kept = Vec::new();
            for (kind, amount) in entries {
                let entry = entry(kind, amount, "EUR");
                if let Ok(added) = sums.with(&entry) {
                    sums = added;
                    kept.push(entry);
                }
            }
            prop_assert_eq!(add_up(&kept).unwrap(), sums);
            prop_assert_eq!(
                sums.charged_minor - sums.reduced_minor,
                sums.received_minor - sums.refunded_minor + sums.balance_due_minor
            );
            prop_assert!(sums.net_price_minor() >= 0 && sums.net_paid_minor() >= 0);
            // Sums by hand, in another order and a wider type.
            let total: i128 = kept.iter().rev().map(|entry| {
                let amount = i128::from(entry.amount.amount_minor);
                match entry.kind {
                    LedgerKind::Price | LedgerKind::Extra | LedgerKind::Refund => amount,
                    _ => -amount,
                }
            }).sum();
            prop_assert_eq!(total, i128::from(sums.balance_due_minor));
        }

        #[test]
        fn a_closed_account_owes_at_most_what_is_kept(
            price in 1i64..1_000_000, paid in 0i64..2_000_000, kept_part in 0.0f64..=1.0,
        ) {
            let mut account = vec![entry(LedgerKind::Price, price, "EUR")];
            if paid > 0 {
                account.push(entry(LedgerKind::Payment, paid, "EUR"));
            }
            let kept = (price as f64 * kept_part) as i64;
            let sums = add_up(&account).unwrap();
            account.extend(close_account(&sums, kept, "2026-04-01".parse().unwrap()).unwrap());
            let closed = add_up(&account).unwrap();
            prop_assert_eq!(closed.net_price_minor(), kept);
            prop_assert_eq!(closed.balance_due_minor, (kept - paid).max(0));
            prop_assert!(close_account(&sums, price + 1, "2026-04-01".parse().unwrap()).is_err());
        }
    }
}
