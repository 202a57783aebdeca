//! What laboratories found in the dogs that are bred from: enough that a pair can be told apart from the next.

use super::book::{Book, read_table};
use domain::record::GenotypeTest;
use serde::Deserialize;
use store::StoreResult;

/// Each dog's genotypes, in keeping with its own colour and that of its pups. All are tested for the same.
const GENOTYPES: &str = include_str!("genotypes.csv");

const LABORATORY: &str = "Laboratory of the demo";

#[derive(Debug, Deserialize)]
struct Genotype {
    dog: String,
    marker: String,
    /// `N/prcd`.
    alleles: String,
    days_ago: i64,
}

/// Writes all genotypes.
pub async fn load(book: &mut Book<'_>) -> StoreResult<()> {
    for row in read_table::<Genotype>(GENOTYPES)? {
        let test = GenotypeTest {
            dog_id: book.dog(&row.dog)?,
            marker: row.marker,
            alleles: row.alleles.split('/').map(str::to_owned).collect(),
            laboratory: Some(LABORATORY.to_owned()),
            tested_on: Some(book.calendar.day(row.days_ago)),
            omia: None,
        };
        book.add(&test).await?;
    }
    Ok(())
}
