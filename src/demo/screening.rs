//! What screening found of the dogs that are bred from: enough that breeding values are told.

use super::book::{Book, read_table};
use domain::record::ScreeningResult;
use serde::Deserialize;
use store::StoreResult;

/// Hips and elbows, both sides.
const SCREENING: &str = include_str!("screening.csv");

#[derive(Debug, Deserialize)]
struct Screened {
    dog: String,
    scheme: String,
    left: String,
    right: String,
    days_ago: i64,
}

/// Writes all results.
pub async fn load(book: &mut Book<'_>) -> StoreResult<()> {
    for row in read_table::<Screened>(SCREENING)? {
        let result = ScreeningResult {
            dog_id: book.dog(&row.dog)?,
            scheme: row.scheme,
            condition: None,
            result: None,
            left_side: Some(row.left),
            right_side: Some(row.right),
            examined_on: Some(book.calendar.day(row.days_ago)),
            examiner: Some("Panel of the demo".to_owned()),
            certificate: None,
            note: None,
        };
        book.add(&result).await?;
    }
    Ok(())
}
