//! Buyers from a file.

use super::{Lines, ReadRow, change, done_or_tried};
use crate::{
    StoreResult, Tx,
    keep::{self, Keep, Page},
};
use catalogue::said;
use domain::{
    fault::{Fault, quoted},
    import::{ImportOutcome, ImportReport, fold::folded},
    record::{Buyer, BuyerFilter, Kept, register::Registered as _},
};
use postgres::order::Place;
use std::collections::HashMap;
use uuid::Uuid;

/// Buyers read at once.
const PAGE: i64 = 1_000;

/// Takes buyers in: one is known by the address of mail, or else by the name where the addresses do not differ.
///
/// # Errors
/// [`crate::StoreError::Refused`] with every fault by line, unless it is only tried.
pub async fn import(
    tx: &mut Tx,
    rows: Vec<ReadRow<Buyer>>,
    dry_run: bool,
) -> StoreResult<ImportReport> {
    tx.scope().require(Buyer::WRITE)?;
    done_or_tried(tx, dry_run, async |tx| {
        let mut there = all(tx).await?;
        let mut lines = Lines::default();
        let mut taken: HashMap<Uuid, u64> = HashMap::new();
        for ReadRow { row, record } in rows {
            let found = match there.meant(&record) {
                Ok(found) => found.cloned(),
                Err(fault) => {
                    lines.refused(&row, vec![fault]);
                    continue;
                }
            };
            match found {
                Some(kept) if taken.contains_key(&kept.id) => {
                    let detail = said!("fault-twice-buyer-of-line", line = taken[&kept.id]);
                    lines.refused(&row, vec![Fault::new("/name", detail)]);
                }
                Some(kept) => {
                    taken.insert(kept.id, row.line);
                    change(tx, &row, &kept, &mut lines).await?;
                }
                None => {
                    let made = tx.attempt(async |tx| keep::create(tx, &record).await).await;
                    if let Some(kept) = lines.take(&row, made)? {
                        lines.told(row.line, ImportOutcome::Created, kept.id, Vec::new());
                        taken.insert(kept.id, row.line);
                        there.add(kept);
                    }
                }
            }
        }
        lines.report(dry_run)
    })
    .await
}

/// All buyers who are not erased.
async fn all(tx: &mut Tx) -> StoreResult<Known> {
    let (mut known, mut after) = (Known::default(), None);
    loop {
        let asked = Page { after, ..Page::first(PAGE) };
        let page = Buyer::page(tx, None, &BuyerFilter::default(), asked).await?;
        after = page.last().map(|kept| Place::of_entry(kept.id));
        let is_last = (page.len() as i64) < PAGE;
        page.into_iter()
            .filter(|kept| kept.record.erased_on.is_none())
            .for_each(|kept| known.add(kept));
        if is_last {
            return Ok(known);
        }
    }
}

/// Buyers by what they are known by.
#[derive(Default)]
struct Known {
    buyers: Vec<Kept<Buyer>>,
    by_mail: HashMap<String, Vec<usize>>,
    by_name: HashMap<String, Vec<usize>>,
}

fn mail(buyer: &Buyer) -> Option<String> {
    buyer.email.as_deref().map(folded)
}

impl Known {
    fn add(&mut self, kept: Kept<Buyer>) {
        let at = self.buyers.len();
        if let Some(mail) = mail(&kept.record) {
            self.by_mail.entry(mail).or_default().push(at);
        }
        self.by_name.entry(folded(&kept.record.name)).or_default().push(at);
        self.buyers.push(kept);
    }

    /// The buyer that a row means.
    fn meant(&self, row: &Buyer) -> Result<Option<&Kept<Buyer>>, Fault> {
        let own = mail(row);
        let by_mail = own.as_ref().and_then(|mail| self.by_mail.get(mail));
        let found: Vec<usize> = match by_mail {
            Some(found) => found.clone(),
            None => {
                let named = self.by_name.get(&folded(&row.name)).into_iter().flatten().copied();
                let is_open = |at: &usize| own.is_none() || self.buyers[*at].record.email.is_none();
                named.filter(is_open).collect()
            }
        };
        match found.as_slice() {
            [] => Ok(None),
            [one] => Ok(self.buyers.get(*one)),
            several => {
                let detail =
                    said!("fault-unclear-buyer", name = quoted(&row.name), count = several.len());
                Err(Fault::new("/name", detail))
            }
        }
    }
}
