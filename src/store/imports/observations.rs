//! Weights, temperatures and health events from a file.

use super::{Lines, ReadRow, change, done_or_tried, lookup};
use crate::{
    StoreResult, Tx,
    batches::{Batched, Offered, RowOutcome, store_all},
    keep::Gather,
};
use catalogue::said;
use chrono::NaiveDate;
use domain::{
    fault::Fault,
    import::{ImportLine, ImportOutcome, ImportReport, StatedRow, known_dogs::DogFinder},
    record::{HealthEvent, Kept, RowStatus, Temperature, Weight},
};
use std::collections::{BTreeSet, HashMap};
use uuid::Uuid;

/// An observation that comes in files.
pub trait FromFile: Batched + Gather {
    /// Says which dog it is of.
    fn set_dog(&mut self, dog_id: Uuid);

    /// Whether the observation that is there is the one that a row means, at the same time. `same_day` says
    /// that the row has no time of day and that they are of one day.
    fn is_meant(&self, there: &Self, same_day: bool) -> bool;
}

impl FromFile for Weight {
    fn set_dog(&mut self, dog_id: Uuid) {
        self.dog_id = dog_id;
    }

    /// A dog may be weighed twice a day: without a time, the same weight of that day is meant.
    fn is_meant(&self, there: &Self, same_day: bool) -> bool {
        self.measured_at == there.measured_at || same_day && self.weight_g == there.weight_g
    }
}

impl FromFile for Temperature {
    fn set_dog(&mut self, dog_id: Uuid) {
        self.dog_id = dog_id;
    }

    fn is_meant(&self, there: &Self, same_day: bool) -> bool {
        let same = (self.temperature_c - there.temperature_c).abs() < 0.005;
        self.measured_at == there.measured_at || same_day && same
    }
}

impl FromFile for HealthEvent {
    fn set_dog(&mut self, dog_id: Uuid) {
        self.dog_id = dog_id;
    }

    /// Of one kind, and of one product and step as far as both say: without a time, that of the same day.
    fn is_meant(&self, there: &Self, same_day: bool) -> bool {
        let agree = |one: &Option<String>, other: &Option<String>| match (one, other) {
            (Some(one), Some(other)) => one.to_lowercase() == other.to_lowercase(),
            _ => true,
        };
        let same = self.kind == there.kind && agree(&self.product, &there.product);
        (same_day || self.given_at == there.given_at) && same && agree(&self.step, &there.step)
    }
}

/// Takes observations in: those that are not there yet, and those that the file has otherwise.
///
/// # Errors
/// [`crate::StoreError::Refused`] with every fault by line, unless it is only tried.
pub async fn import<R: FromFile>(
    tx: &mut Tx,
    rows: Vec<ReadRow<R>>,
    dry_run: bool,
) -> StoreResult<ImportReport> {
    tx.scope().require(R::WRITE)?;
    done_or_tried(tx, dry_run, async |tx| {
        let mut lines = Lines::default();
        let rows = with_dogs(tx, rows, &mut lines).await?;
        let dogs: BTreeSet<Uuid> = rows.iter().map(|row| row.record.subject()).collect();
        let dogs: Vec<Uuid> = dogs.into_iter().collect();
        let there = R::gather(tx, &dogs).await?;
        let mut of_dog: HashMap<Uuid, Vec<Kept<R>>> = HashMap::new();
        for kept in there {
            of_dog.entry(kept.record.subject()).or_default().push(kept);
        }
        let (mut new, mut taken): (Vec<ReadRow<R>>, HashMap<Uuid, u64>) = Default::default();
        for read in rows {
            let known = of_dog.get(&read.record.subject()).map_or(&[][..], Vec::as_slice);
            match meant(tx, &read, known) {
                Some(kept) if taken.contains_key(&kept.id) => {
                    let first = taken[&kept.id];
                    lines.refused(&read.row, vec![again(first)]);
                }
                Some(kept) => {
                    taken.insert(kept.id, read.row.line);
                    as_it_is_there(tx, &read, kept, &mut lines).await?;
                }
                None => match doubled(tx, &read, &new) {
                    Some(first) => lines.refused(&read.row, vec![again(first)]),
                    None => new.push(read),
                },
            }
        }
        store_new(tx, new, &mut lines).await?;
        lines.report(dry_run)
    })
    .await
}

fn again(first: u64) -> Fault {
    Fault::new("", said!("fault-twice-observation-of-line", line = first))
}

/// The rows with the dogs that they name.
async fn with_dogs<R: FromFile>(
    tx: &mut Tx,
    rows: Vec<ReadRow<R>>,
    lines: &mut Lines,
) -> StoreResult<Vec<ReadRow<R>>> {
    let named: BTreeSet<&str> = rows.iter().filter_map(|read| read.row.dog.as_deref()).collect();
    let named: Vec<String> = named.into_iter().map(str::to_owned).collect();
    let dogs = lookup::named(tx, &named).await?;
    let finder = DogFinder::among(&dogs);
    let mut found = Vec::with_capacity(rows.len());
    for mut read in rows {
        match dog(&read.row, &finder) {
            Ok(dog_id) => {
                read.record.set_dog(dog_id);
                found.push(read);
            }
            Err(fault) => lines.refused(&read.row, vec![fault]),
        }
    }
    Ok(found)
}

/// The dog that a row names.
pub(super) fn dog(row: &StatedRow, finder: &DogFinder<'_>) -> Result<Uuid, Fault> {
    let fault = |detail| Fault::new("/dog", detail);
    let Some(text) = &row.dog else {
        return Err(fault(said!("fault-missing-dog-of-row")));
    };
    let named = domain::fault::quoted(text);
    let found = finder.one(text);
    let found =
        found.map_err(|what| fault(said!("fault-not-found-named", named = named, what = what)))?;
    Ok(found.id)
}

fn day_of<R: Batched>(tx: &Tx, record: &R) -> Option<NaiveDate> {
    record.at().map(|at| tx.scope().day_of(at))
}

/// The observation that is there and that a row means: at that very time, or else on that day.
fn meant<'a, R: FromFile>(tx: &Tx, read: &ReadRow<R>, there: &'a [Kept<R>]) -> Option<&'a Kept<R>> {
    let exact = there.iter().find(|kept| read.record.is_meant(&kept.record, false));
    exact.or_else(|| {
        let day = read.row.day_only?;
        let mut of_day = there.iter().filter(|kept| day_of(tx, &kept.record) == Some(day));
        of_day.find(|kept| read.record.is_meant(&kept.record, true))
    })
}

/// The line of an earlier row that means the same.
fn doubled<R: FromFile>(tx: &Tx, read: &ReadRow<R>, new: &[ReadRow<R>]) -> Option<u64> {
    let same_day = |other: &ReadRow<R>| {
        let (one, two) = (read.row.day_only, other.row.day_only);
        one.is_some() && one == two && day_of(tx, &other.record) == day_of(tx, &read.record)
    };
    let mut of_dog = new.iter().filter(|other| other.record.subject() == read.record.subject());
    of_dog
        .find(|other| read.record.is_meant(&other.record, same_day(other)))
        .map(|other| other.row.line)
}

/// What is there stays at its time, where the row names a day alone.
async fn as_it_is_there<R: FromFile>(
    tx: &mut Tx,
    read: &ReadRow<R>,
    kept: &Kept<R>,
    lines: &mut Lines,
) -> StoreResult<()> {
    let mut row = read.row.clone();
    if row.day_only.is_some() {
        row.stated.remove("measured_at");
        row.stated.remove("given_at");
    }
    change(tx, &row, kept, lines).await
}

/// Stores what is new as a batch is stored, with the same questions.
async fn store_new<R: FromFile>(
    tx: &mut Tx,
    new: Vec<ReadRow<R>>,
    lines: &mut Lines,
) -> StoreResult<()> {
    let offered = new.iter().enumerate().map(|(index, read)| Offered {
        index,
        id: Uuid::now_v7(),
        record: read.record.clone(),
    });
    let offered: Vec<Offered<R>> = offered.collect();
    let ids: Vec<Uuid> = offered.iter().map(|row| row.id).collect();
    for RowOutcome { index, status, errors, .. } in store_all(tx, offered, None).await? {
        let row = &new[index].row;
        match status {
            RowStatus::Stored => {
                lines.told(row.line, ImportOutcome::Created, ids[index], Vec::new())
            }
            // The very same was there by the time it was written.
            RowStatus::AlreadyThere => lines.lines.push(ImportLine {
                line: row.line,
                outcome: ImportOutcome::Unchanged,
                id: None,
                changes: Vec::new(),
            }),
            RowStatus::Refused => lines.refused(row, errors),
        }
    }
    Ok(())
}
