//! What is in the cupboards: counted a few days ago, so that the shopping list has little on it.

use super::book::Book;
use domain::record::Supply;
use store::StoreResult;

/// Key of the supply, and what is on hand.
const ON_HAND: &[(&str, f64)] = &[
    ("whelping_box", 2.0),
    ("thermometer", 2.0),
    ("scale", 1.0),
    ("heat_source", 2.0),
    ("room_thermometer", 2.0),
    ("fleece", 8.0),
    ("collars", 24.0),
    ("scissors", 1.0),
    ("cord_thread", 10.0),
    ("gloves", 31.0),
    ("pads", 12.0),
    ("feeding_set", 2.0),
    ("liners", 64.0),
    ("cleaner", 3.0),
    ("pup_bowls", 4.0),
];

/// Days since it was counted.
const COUNTED: i64 = 2;

/// Writes what is on hand.
pub async fn load(book: &mut Book<'_>) -> StoreResult<()> {
    for &(key, on_hand) in ON_HAND {
        let counted_on = Some(book.calendar.day(COUNTED));
        book.add(&Supply { key: key.to_owned(), on_hand, counted_on, note: None }).await?;
    }
    Ok(())
}
