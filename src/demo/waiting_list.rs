//! Who waits, who gets which pup, and what was paid.

use super::{
    births::{HANDED_OVER_AT_DAYS, Newborn},
    book::{Book, read_table, word},
    calendar::Calendar,
    litters,
};
use chrono::NaiveDate;
use domain::{
    partial_date::PartialDate,
    placement::follow_ups,
    record::{
        Buyer, BuyerWishes, Dog, FollowUpDone, LedgerKind, Payment, Placement, PlacementKind,
        PlacementStage, Sex,
    },
};
use serde::Deserialize;
use std::str::FromStr as _;
use store::{StoreError, StoreResult};
use uuid::Uuid;

/// Everybody who ever asked, in order of their pups, with the pup promised to them if there is one.
const BUYERS: &str = include_str!("buyers.csv");

/// Price of a pup and its deposit, in minor units.
const PRICE_MINOR: i64 = 175_000;
const DEPOSIT_MINOR: i64 = 30_000;

/// A row of the table of buyers.
#[derive(Debug, Deserialize)]
struct BuyerRow {
    name: String,
    #[serde(deserialize_with = "word")]
    wish_sex: Option<Sex>,
    wish_colour: Option<String>,
    purpose: Option<String>,
    /// Days ago.
    joined: i64,
    pup: Option<String>,
    #[serde(deserialize_with = "word")]
    stage: Option<PlacementStage>,
    note: Option<String>,
}

/// Writes the waiting list and all placements.
pub async fn load(book: &mut Book<'_>) -> StoreResult<()> {
    // Pups that came back: whoever has one now is its second home.
    let mut returned = Vec::new();
    for (number, row) in read_table::<BuyerRow>(BUYERS)?.iter().enumerate() {
        let buyer_id = book.add(&buyer(book, number, row)).await?;
        if let (Some(pup), Some(stage)) = (&row.pup, row.stage) {
            sell(book, pup, stage, buyer_id, returned.contains(pup)).await?;
            if stage == PlacementStage::Returned {
                returned.push(pup.clone());
            }
        }
    }
    for pup in litters::births()? {
        place_without_buyer(book, &pup).await?;
    }
    Ok(())
}

fn buyer(book: &Book<'_>, number: usize, row: &BuyerRow) -> Buyer {
    let mailbox = row.name.to_lowercase().replace(' ', ".");
    Buyer {
        name: row.name.clone(),
        email: Some(format!("{mailbox}@example.org")),
        // Numbers kept free for invented people by the German regulator.
        phone: Some(format!("+49 30 23125 {:03}", 100 + number)),
        address: None,
        wishes: BuyerWishes {
            sex: row.wish_sex,
            colour: row.wish_colour.clone(),
            purpose: row.purpose.clone(),
            ..BuyerWishes::default()
        },
        joined_on: book.calendar.day(row.joined),
        household: None,
        screening: None,
        waiting_order: None,
        left_on: None,
        consented_on: Some(book.calendar.day(row.joined)),
        consent_withdrawn_on: None,
        erased_on: None,
        note: row.note.clone(),
    }
}

/// The day on which a pup goes home at the usual age.
async fn go_home_day(book: &mut Book<'_>, dog_id: Uuid) -> StoreResult<NaiveDate> {
    let born_on = book.find::<Dog>(dog_id).await?.born_on.and_then(PartialDate::day);
    let born_on = born_on.ok_or(StoreError::NotFound)?;
    Ok(Calendar::later(born_on, HANDED_OVER_AT_DAYS.unsigned_abs()))
}

fn placement(dog_id: Uuid, kind: PlacementKind, stage: PlacementStage) -> Placement {
    Placement {
        dog_id,
        buyer_id: None,
        kind,
        stage,
        reserved_until: None,
        handed_over_on: None,
        price_minor: None,
        currency: None,
        balance_due_on: None,
        country: None,
        terms: None,
        note: None,
    }
}

/// Writes the placement of a pup that is sold, and what was paid for it.
async fn sell(
    book: &mut Book<'_>,
    pup: &str,
    stage: PlacementStage,
    buyer_id: Uuid,
    second_home: bool,
) -> StoreResult<()> {
    let dog_id = book.dog(pup)?;
    let home_on = go_home_day(book, dog_id).await?;
    let today = book.calendar.day(0);
    // A good year later.
    let home_on = if second_home { Calendar::later(home_on, 435) } else { home_on };
    let gone = home_on <= today;
    let sale = Placement {
        buyer_id: Some(buyer_id),
        reserved_until: (stage == PlacementStage::Reserved).then(|| Calendar::later(home_on, 7)),
        handed_over_on: gone.then_some(home_on),
        price_minor: Some(if second_home { DEPOSIT_MINOR } else { PRICE_MINOR }),
        currency: Some(book.currency()),
        terms: (stage == PlacementStage::Reserved)
            .then(|| "comes back to us if it ever has to leave its home".to_owned()),
        ..placement(dog_id, PlacementKind::Sale, stage)
    };
    let placement_id = if gone || stage == PlacementStage::Withdrawn {
        book.enter_past(&sale).await?
    } else {
        book.add(&sale).await?
    };
    let mut payments = Vec::new();
    match stage {
        PlacementStage::Reserved => {
            payments.push((LedgerKind::Deposit, DEPOSIT_MINOR, book.calendar.day(21)));
        }
        _ if second_home => payments.push((LedgerKind::Payment, DEPOSIT_MINOR, home_on)),
        PlacementStage::HandedOver | PlacementStage::Returned => {
            let reserved_on = home_on - chrono::Duration::days(30);
            payments.push((LedgerKind::Deposit, DEPOSIT_MINOR, reserved_on));
            payments.push((LedgerKind::Payment, PRICE_MINOR - DEPOSIT_MINOR, home_on));
        }
        PlacementStage::Offered
        | PlacementStage::Confirmed
        | PlacementStage::Withdrawn
        | PlacementStage::Lapsed => {}
    }
    for (kind, amount_minor, paid_on) in payments {
        let currency = book.currency();
        let payment = Payment { placement_id, kind, amount_minor, currency, paid_on, note: None };
        book.add(&payment).await?;
    }
    if stage == PlacementStage::HandedOver {
        ask_after(book, pup, placement_id, home_on).await?;
    }
    Ok(())
}

/// Pups whose people have not been asked lately, and since how many days ago.
const NOT_ASKED: &[(&str, i64)] = &[("Glen", 60), ("Grebe", 60), ("Flint", 240)];

/// Writes the follow-ups that were done, each a day or two after it was due.
async fn ask_after(
    book: &mut Book<'_>,
    pup: &str,
    placement_id: Uuid,
    home_on: NaiveDate,
) -> StoreResult<()> {
    let born_on = book.find::<Dog>(book.dog(pup)?).await?.born_on.and_then(PartialDate::day);
    let today = book.calendar.day(0);
    let not_asked = NOT_ASKED.iter().find(|(name, _)| *name == pup);
    let asked_till = not_asked.map_or(today, |(_, days)| book.calendar.day(*days));
    for reminder in follow_ups(home_on, born_on, &[], today) {
        let done_on = Calendar::later(reminder.due_on, 1);
        if reminder.due && done_on <= asked_till {
            let (key, note) = (reminder.key, None);
            book.add(&FollowUpDone { placement_id, key, done_on, note }).await?;
        }
    }
    Ok(())
}

/// Writes the placement of a pup that stays, or goes to family or a co-owner.
async fn place_without_buyer(book: &mut Book<'_>, pup: &Newborn) -> StoreResult<()> {
    let home = pup.home.as_deref().unwrap_or_default();
    let Ok(kind) = PlacementKind::from_str(home) else { return Ok(()) };
    let Some(name) = &pup.call_name else { return Ok(()) };
    let dog_id = book.dog(name)?;
    let home_on = go_home_day(book, dog_id).await?;
    let gone = home_on <= book.calendar.day(0);
    let stage = if gone { PlacementStage::HandedOver } else { PlacementStage::Reserved };
    let stays =
        Placement { handed_over_on: gone.then_some(home_on), ..placement(dog_id, kind, stage) };
    if !gone {
        book.add(&stays).await?;
        return Ok(());
    }
    let placement_id = book.enter_past(&stays).await?;
    if kind.leaves_kennel() {
        ask_after(book, name, placement_id, home_on).await?;
    }
    Ok(())
}
