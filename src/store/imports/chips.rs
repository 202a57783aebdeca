//! Transponder numbers from a file.

use super::{Lines, ReadRow, done_or_tried, lookup, observations::dog};
use crate::{StoreResult, Tx, proposals::set_chip, scope::Right};
use catalogue::{Text, said};
use domain::{
    fault::Fault,
    import::{
        ImportOutcome, ImportReport,
        known_dogs::{DogFinder, KnownDog},
    },
};
use std::collections::{BTreeSet, HashMap};
use uuid::Uuid;

/// Sets the numbers of dogs that have none, each with a health event.
///
/// # Errors
/// [`crate::StoreError::Refused`] with every fault by line, unless it is only tried: a dog that nobody knows, one
/// that has another number, a number that another dog has.
pub async fn import(
    tx: &mut Tx,
    rows: Vec<ReadRow<String>>,
    dry_run: bool,
) -> StoreResult<ImportReport> {
    tx.scope().require(Right::Observations)?;
    done_or_tried(tx, dry_run, async |tx| {
        let named = rows.iter().filter_map(|read| read.row.dog.clone());
        let texts: BTreeSet<String> =
            named.chain(rows.iter().map(|read| read.record.clone())).collect();
        let texts: Vec<String> = texts.into_iter().collect();
        let dogs = lookup::named(tx, &texts).await?;
        let finder = DogFinder::among(&dogs);
        let mut lines = Lines::default();
        // Who has which number, here and in the file so far.
        let mut numbers: HashMap<String, Uuid> = HashMap::new();
        let number_of = |dog: &KnownDog| Some((dog.chip_number.as_deref()?.to_owned(), dog.id));
        numbers.extend(dogs.iter().filter_map(number_of));
        let mut of_dog: HashMap<Uuid, String> =
            numbers.iter().map(|(number, dog_id)| (*dog_id, number.clone())).collect();
        for ReadRow { row, record: number } in &rows {
            let dog_id = match dog(row, &finder) {
                Ok(dog_id) => dog_id,
                Err(fault) => {
                    lines.refused(row, vec![fault]);
                    continue;
                }
            };
            match numbers.get(number) {
                Some(holder) if *holder == dog_id => {
                    lines.told(row.line, ImportOutcome::Unchanged, dog_id, Vec::new());
                    continue;
                }
                Some(_) => {
                    lines.refused(row, vec![at_chip(said!("fault-taken-chip-of-another"))]);
                    continue;
                }
                None => {}
            }
            if let Some(other) = of_dog.get(&dog_id) {
                lines.refused(
                    row,
                    vec![at_chip(said!("fault-already-done-chip", chip_number = other))],
                );
                continue;
            }
            let set = tx.attempt(async |tx| set_chip(tx, dog_id, number).await).await;
            if lines.take(row, set)?.is_some() {
                numbers.insert(number.clone(), dog_id);
                of_dog.insert(dog_id, number.clone());
                let changes = vec!["chip_number".to_owned()];
                lines.told(row.line, ImportOutcome::Updated, dog_id, changes);
            }
        }
        lines.report(dry_run)
    })
    .await
}

fn at_chip(detail: Text) -> Fault {
    Fault::new("/chip_number", detail)
}
