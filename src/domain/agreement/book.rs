//! What is on record after some writes, kept as plainly as can be: rows by name, and who is there.
//!
//! It stands beside the domain and asks nothing of it, so that the laws have something to hold answers
//! against.

use super::history::{Verb, Write};
use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use uuid::Uuid;

/// A row.
#[derive(Debug, Clone)]
pub struct Row {
    /// Its name in the history.
    pub name: String,
    /// Its id.
    pub id: Uuid,
    /// Its collection with ids: `/dogs/{id}/weights`.
    pub path: String,
    /// Its fields, with ids.
    pub body: Value,
    /// Whether it was taken away.
    pub removed: bool,
}

impl Row {
    /// What kind of row it is: the last part of its path.
    pub fn kind(&self) -> &str {
        self.path.rsplit('/').next().unwrap_or_default()
    }

    /// The row that its path lies under.
    pub fn under(&self) -> Option<Uuid> {
        self.path.split('/').nth(2).and_then(|id| id.parse().ok())
    }

    fn day(&self, field: &str) -> Option<NaiveDate> {
        self.body[field].as_str()?.parse().ok()
    }
}

/// The record of one history.
#[derive(Debug, Clone)]
pub struct Book {
    /// Rows in the order in which they were written.
    pub rows: Vec<Row>,
    ids: BTreeMap<String, Uuid>,
    zone: Tz,
}

/// A pup, and where it is.
#[derive(Debug, Clone)]
pub struct PupFact {
    /// Its dog.
    pub dog_id: Uuid,
    /// Number in the litter.
    pub ordinal: i64,
    /// When it was born.
    pub born_at: DateTime<Utc>,
    /// Whether it was born alive.
    pub born_alive: bool,
    /// Whether it has died.
    pub dead: bool,
    /// Whether it lives in the kennel.
    pub here: bool,
    /// Its collar.
    pub collar: Option<String>,
}

/// What is true of a litter.
#[derive(Debug, Clone)]
pub struct LitterFacts {
    /// The litter.
    pub litter_id: Uuid,
    /// Its dam.
    pub dam_id: Uuid,
    /// Day of whelping, once born.
    pub whelped_on: Option<NaiveDate>,
    /// The pups by number, those born dead among them.
    pub pups: Vec<PupFact>,
}

impl LitterFacts {
    /// The pups that are in the kennel, by number.
    pub fn here(&self) -> impl Iterator<Item = &PupFact> {
        self.pups.iter().filter(|pup| pup.here)
    }
}

fn time(value: &Value) -> DateTime<Utc> {
    value.as_str().and_then(|text| text.parse().ok()).unwrap_or_default()
}

impl Book {
    /// Nothing on record.
    pub fn new(zone: Tz) -> Self {
        Self { rows: Vec::new(), ids: BTreeMap::new(), zone }
    }

    /// A path or a text with ids in place of names; `None` when a name is of no row.
    pub fn resolve(&self, text: &str) -> Option<String> {
        let part = |part: &str| match part.strip_prefix('@') {
            Some(name) => self.ids.get(name).map(Uuid::to_string),
            None => Some(part.to_owned()),
        };
        let parts: Option<Vec<String>> = text.split('/').map(part).collect();
        Some(parts?.join("/"))
    }

    /// A body with ids in place of names.
    pub fn body(&self, body: &Value) -> Option<Value> {
        let Value::Object(fields) = body else { return Some(body.clone()) };
        let field = |(key, value): (&String, &Value)| {
            let value = match value {
                Value::String(text) if text.starts_with('@') => json!(self.resolve(text)?),
                other => other.clone(),
            };
            Some((key.clone(), value))
        };
        fields.iter().map(field).collect::<Option<_>>().map(Value::Object)
    }

    /// The row of a name.
    pub fn row(&self, name: &str) -> Option<&Row> {
        let id = self.ids.get(name)?;
        self.rows.iter().find(|row| row.id == *id)
    }

    /// The id of a row.
    pub fn id(&self, name: &str) -> Option<Uuid> {
        self.ids.get(name).copied()
    }

    /// The rows of a kind that stand.
    pub fn of<'b>(&'b self, kind: &'b str) -> impl Iterator<Item = &'b Row> {
        self.rows.iter().filter(move |row| !row.removed && row.kind() == kind)
    }

    /// Takes in a write. `ids` are those of a new row and, for a birth, of the pup's dog.
    pub fn take(&mut self, write: &Write, ids: [Uuid; 2], now: DateTime<Utc>) {
        match write.verb {
            Verb::Add => self.add(write, ids),
            // What was written is written once.
            Verb::Again => {}
            Verb::Change => self.change(write, now),
            Verb::Remove | Verb::Restore => self.set_removed(write),
        }
    }

    fn push(&mut self, name: String, id: Uuid, path: String, body: Value) {
        self.ids.insert(name.clone(), id);
        self.rows.push(Row { name, id, path, body, removed: false });
    }

    fn add(&mut self, write: &Write, [id, dog_id]: [Uuid; 2]) {
        let (Some(path), Some(mut body)) = (self.resolve(&write.path), self.body(&write.body))
        else {
            return;
        };
        if path.ends_with("/births") {
            let litter = path.split('/').nth(2).unwrap_or_default().to_owned();
            body["litter_id"] = json!(litter);
            body["dog_id"] = json!(dog_id);
            let born_on = time(&body["born_at"]).with_timezone(&self.zone).date_naive();
            let dam = self.row("dam").map(|dam| dam.body["breed"].clone()).unwrap_or_default();
            let dog = json!({ "sex": body["sex"], "breed": dam, "born_on": born_on.to_string() });
            let pup = write.name.replace("birth", "pup");
            self.push(pup.clone(), dog_id, "/dogs".to_owned(), dog);
            if let Some(weight_g) = body["weight_g"].as_i64() {
                let weight = json!({
                    "dog_id": dog_id, "measured_at": body["born_at"], "weight_g": weight_g,
                    "at_birth": true,
                });
                let path = format!("/dogs/{dog_id}/weights");
                let of = Uuid::from_u128(dog_id.as_u128() ^ (1 << 100));
                self.push(format!("{pup} at birth"), of, path, weight);
            }
            if let Some(litter) = self.rows.iter_mut().find(|row| row.name == "litter")
                && litter.body["whelped_on"].is_null()
            {
                litter.body["whelped_on"] = json!(born_on.to_string());
            }
        }
        self.push(write.name.clone(), id, path, body);
    }

    fn change(&mut self, write: &Write, now: DateTime<Utc>) {
        let Some(id) = self.id(&write.name) else { return };
        let today = now.with_timezone(&self.zone).date_naive().to_string();
        let Some(row) = self.rows.iter_mut().find(|row| row.id == id && !row.removed) else {
            return;
        };
        if let (Value::Object(row), Value::Object(patch)) = (&mut row.body, &write.body) {
            row.extend(patch.clone());
        }
        if row.kind() != "placements" {
            return;
        }
        let leaves = row.body["kind"] != "kept";
        let lives = match write.body["stage"].as_str() {
            Some("handed_over") => {
                row.body["handed_over_on"] = json!(today);
                leaves.then_some("elsewhere")
            }
            Some("returned") => Some("here"),
            _ => None,
        };
        let dog = row.body["dog_id"].clone();
        if let Some(lives) = lives {
            let dog = self.rows.iter_mut().find(|row| json!(row.id) == dog);
            dog.into_iter().for_each(|dog| dog.body["residence"] = json!(lives));
        }
    }

    fn set_removed(&mut self, write: &Write) {
        let Some(id) = self.id(&write.name) else { return };
        let removed = write.verb == Verb::Remove;
        // A pup goes with its birth, and what was written of it with the pup.
        let pup = self.id(&write.name.replace("birth", "pup")).filter(|pup| *pup != id);
        for row in &mut self.rows {
            if row.id == id || (pup.is_some() && (pup == Some(row.id) || pup == row.under())) {
                row.removed = removed;
            }
        }
    }

    /// What is true of the litter at a moment; `None` before it is written.
    pub fn facts(&self, now: DateTime<Utc>) -> Option<LitterFacts> {
        let litter = self.row("litter")?;
        let today = now.with_timezone(&self.zone).date_naive();
        let pup = |birth: &Row| {
            let dog_id: Uuid = birth.body["dog_id"].as_str()?.parse().ok()?;
            let dog = self.rows.iter().find(|row| row.id == dog_id)?;
            let born_alive = birth.body["outcome"] == "alive";
            let dead = dog.day("died_on").is_some_and(|on| on <= today);
            let away = dog.body["residence"] == "elsewhere";
            Some(PupFact {
                dog_id,
                ordinal: birth.body["ordinal"].as_i64()?,
                born_at: time(&birth.body["born_at"]),
                born_alive,
                dead,
                here: born_alive && !dead && !away,
                collar: birth.body["collar"].as_str().map(str::to_owned),
            })
        };
        let mut pups: Vec<PupFact> = self.of("births").filter_map(pup).collect();
        pups.sort_by_key(|pup| pup.ordinal);
        Some(LitterFacts {
            litter_id: litter.id,
            dam_id: self.id("dam")?,
            whelped_on: litter.day("whelped_on"),
            pups,
        })
    }
}
