//! The pen that writes the demo: every record is checked as if a client had sent it.

use super::calendar::Calendar;
use chrono::DateTime;
use domain::{
    fault::Faults,
    record::{Kept, Record, RowStatus},
};
use serde::{Deserialize, Deserializer, de::DeserializeOwned};
use std::{collections::HashMap, convert::Infallible};
use store::{
    StoreError, StoreResult, Tx,
    batches::{self, Batched, Offered},
    keep::{self, Keep, Seen, write},
};
use uuid::Uuid;

/// A transaction in the kennel, its calendar, and what has been written so far by its name here.
pub struct Book<'t> {
    tx: &'t mut Tx,
    /// The kennel's calendar.
    pub calendar: Calendar,
    dogs: HashMap<String, Uuid>,
}

impl<'t> Book<'t> {
    /// An empty book.
    pub fn new(tx: &'t mut Tx, now: DateTime<chrono::Utc>) -> Self {
        let calendar = Calendar::new(now, tx.scope().tz());
        Self { tx, calendar, dogs: HashMap::new() }
    }

    /// The transaction.
    pub(crate) fn tx(&mut self) -> &mut Tx {
        self.tx
    }

    /// The kennel's currency.
    pub fn currency(&self) -> String {
        self.tx.scope().kennel().currency.clone()
    }

    /// Writes a record.
    pub async fn write<R: Keep>(&mut self, record: &R) -> StoreResult<Kept<R>> {
        self.check(record)?;
        keep::create(self.tx, record).await
    }

    /// Writes a record; returns its id.
    pub async fn add<R: Keep>(&mut self, record: &R) -> StoreResult<Uuid> {
        Ok(self.write(record).await?.id)
    }

    /// Writes many observations, as one who was offline sends them.
    pub(crate) async fn add_all<R: Batched>(&mut self, records: Vec<R>) -> StoreResult<()> {
        let mut rows = Vec::with_capacity(records.len());
        for (index, record) in records.into_iter().enumerate() {
            self.check(&record)?;
            rows.push(Offered { index, id: Uuid::now_v7(), record });
        }
        let outcomes = batches::store_all(self.tx, rows, None).await?;
        match outcomes.into_iter().find(|row| row.status != RowStatus::Stored) {
            None => Ok(()),
            Some(row) => Err(StoreError::Refused(row.errors)),
        }
    }

    /// Writes what was settled before today: held against itself alone, since the rules that a
    /// hand-over must meet are asked on its own day. Returns its id.
    pub(crate) async fn enter_past<R: Keep>(&mut self, record: &R) -> StoreResult<Uuid> {
        self.check(record)?;
        let id = Uuid::now_v7();
        write::enter_settled(self.tx, id, record.clone()).await?;
        Ok(id)
    }

    /// Reads a record back.
    pub async fn find<R: Keep>(&mut self, id: Uuid) -> StoreResult<R> {
        Ok(keep::find::<R>(self.tx, id).await?.record)
    }

    /// Changes a record that is there.
    pub(crate) async fn amend<R: Keep>(
        &mut self,
        id: Uuid,
        change: impl FnOnce(R) -> R,
    ) -> StoreResult<()> {
        let kept = keep::find::<R>(self.tx, id).await?;
        let record = change(kept.record);
        self.check(&record)?;
        let made = Ok::<_, Infallible>(record);
        let Ok(_) = keep::change(self.tx, id, Seen::Version(kept.version), async |_| made).await?;
        Ok(())
    }

    fn check<R: Record>(&self, record: &R) -> StoreResult<()> {
        let mut faults = Faults::new();
        record.check(self.calendar.now(), &mut faults);
        faults.into_result().map_err(StoreError::Refused)
    }

    /// Remembers a dog by a short name.
    pub(crate) fn remember(&mut self, name: &str, id: Uuid) {
        self.dogs.insert(name.to_lowercase(), id);
    }

    /// How many dogs have a name here.
    pub(crate) fn known_dogs(&self) -> usize {
        self.dogs.len()
    }

    /// The dog of that name.
    pub fn dog(&self, name: &str) -> StoreResult<Uuid> {
        let known = self.dogs.get(&name.to_lowercase()).copied();
        known.ok_or_else(|| StoreError::Internal(format!("the demo has no dog {name:?}")))
    }

    /// The dog of that name, when there is a name.
    pub(crate) fn dog_if_named(&self, name: Option<&str>) -> StoreResult<Option<Uuid>> {
        name.map(|name| self.dog(name)).transpose()
    }
}

/// Reads one of the tables beside this file.
pub(crate) fn read_table<T: DeserializeOwned>(text: &str) -> StoreResult<Vec<T>> {
    csv::Reader::from_reader(text.as_bytes())
        .into_deserialize()
        .collect::<Result<_, _>>()
        .map_err(|error| StoreError::Internal(format!("a table of the demo: {error}")))
}

/// A word of the domain in a table; an empty cell is none.
pub(crate) fn word<'de, D, T>(cell: D) -> Result<Option<T>, D::Error>
where
    D: Deserializer<'de>,
    T: std::str::FromStr<Err: std::fmt::Display>,
{
    let text = String::deserialize(cell)?;
    if text.is_empty() {
        return Ok(None);
    }
    text.parse().map(Some).map_err(serde::de::Error::custom)
}
