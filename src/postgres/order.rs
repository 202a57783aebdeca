//! In which order a list is read, and where it goes on.
//!
//! A page begins after the last row of the one before: by the values of the fields that the list is sorted by,
//! which the cursor carries, and by its id. So a page is found whatever became of that row meanwhile.

use base64::{Engine as _, engine::general_purpose::URL_SAFE_NO_PAD};
use catalogue::{Text, said};
use chrono::{DateTime, NaiveDate};
use diesel::{
    QueryResult,
    pg::Pg,
    query_builder::{AstPass, QueryFragment},
    sql_types::{self, Bool, Untyped},
};
use serde_json::{Value, json};
use uuid::Uuid;

/// Most fields that a list is sorted by at once.
const MOST_KEYS: usize = 4;

/// Longest value that a cursor carries; the longest field of which a list is sorted is a web address.
const LONGEST_VALUE: usize = 2_000;

/// How the values of a field follow one another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// By the calendar.
    Day,
    /// By the clock.
    Time,
    /// By size.
    Number,
    /// By letters, accents and case aside.
    Name,
    /// Letter by letter, as it is written: words of ours, keys, days of which only the year may be known.
    Word,
}

/// A field by which a list may be sorted.
#[derive(Debug, Clone, Copy)]
pub struct Sortable {
    /// Its name.
    pub name: &'static str,
    /// Its column, with that of its table.
    pub column: &'static str,
    /// How its values follow one another.
    pub by: By,
}

impl Sortable {
    /// What is compared, as SQL.
    fn push_compared(&self, out: &mut AstPass<'_, '_, Pg>) {
        match self.by {
            By::Name => {
                out.push_sql("folded(");
                out.push_sql(self.column);
                out.push_sql(") COLLATE \"C\"");
            }
            By::Word => {
                out.push_sql(self.column);
                out.push_sql(" COLLATE \"C\"");
            }
            By::Day | By::Time | By::Number => out.push_sql(self.column),
        }
    }

    /// A value that it is compared with, as SQL.
    fn push_value<'b>(&self, value: &'b String, out: &mut AstPass<'_, 'b, Pg>) -> QueryResult<()> {
        let (before, after) = match self.by {
            By::Name => ("folded(", ") COLLATE \"C\""),
            By::Word => ("", " COLLATE \"C\""),
            By::Day => ("", "::date"),
            By::Time => ("", "::timestamptz"),
            By::Number => ("", "::double precision"),
        };
        out.push_sql(before);
        out.push_bind_param::<sql_types::Text, _>(value)?;
        out.push_sql(after);
        Ok(())
    }

    /// Whether a value from a cursor can be one of this field.
    fn takes(&self, value: &str) -> bool {
        value.len() <= LONGEST_VALUE
            && match self.by {
                By::Day => value.parse::<NaiveDate>().is_ok() && value.len() == "2026-05-17".len(),
                By::Time => DateTime::parse_from_rfc3339(value).is_ok(),
                By::Number => value.parse::<f64>().is_ok_and(f64::is_finite),
                By::Name | By::Word => !value.contains('\0'),
            }
    }
}

/// A field that a list is sorted by, and in which direction.
#[derive(Debug, Clone, Copy)]
struct Key {
    of: &'static Sortable,
    descending: bool,
}

/// The order of a list: by these fields, rows without a value last, those of one value in the order of entry.
#[derive(Debug, Clone, Default)]
pub struct Order(Vec<Key>);

impl Order {
    /// The order of entry.
    pub const ENTRY: Self = Self(Vec::new());

    /// The order that a text names: `-born_on,name`.
    ///
    /// # Errors
    /// What is wrong with it, to follow the name of the parameter.
    pub fn read(text: &str, sorts: &'static [Sortable]) -> Result<Self, Text> {
        let mut keys: Vec<Key> = Vec::new();
        for part in text.split(',') {
            let (name, descending) = match part.strip_prefix('-') {
                Some(name) => (name, true),
                None => (part, false),
            };
            let Some(of) = sorts.iter().find(|sortable| sortable.name == name) else {
                let known: Vec<&str> = sorts.iter().map(|sortable| sortable.name).collect();
                return Err(said!("fault-unknown-value-sort", known = known.join(", ")));
            };
            if keys.iter().any(|key| key.of.name == name) {
                return Err(said!("fault-twice-sort", field = name));
            }
            keys.push(Key { of, descending });
        }
        if keys.len() > MOST_KEYS {
            return Err(said!("fault-too-many-sort-fields", most = MOST_KEYS));
        }
        Ok(Self(keys))
    }

    /// The same as text.
    fn named(&self) -> String {
        let named = |key: &Key| format!("{}{}", if key.descending { "-" } else { "" }, key.of.name);
        self.0.iter().map(named).collect::<Vec<_>>().join(",")
    }

    /// The cursor of the rows after one, which has this id and these values in its fields.
    pub fn cursor<'v>(&self, id: Uuid, value: impl Fn(&str) -> &'v Value) -> String {
        if self.0.is_empty() {
            return id.to_string();
        }
        let values: Vec<Value> = self.0.iter().map(|key| carried(value(key.of.name))).collect();
        URL_SAFE_NO_PAD.encode(json!([self.named(), id, values]).to_string())
    }

    /// The place that a cursor names.
    ///
    /// # Errors
    /// What is wrong with it, to follow the name of the parameter.
    pub fn place(&self, cursor: &str) -> Result<Place, Text> {
        let unknown = || said!("fault-malformed-cursor-of-order");
        if self.0.is_empty() {
            let id = cursor.parse().map_err(|_| unknown())?;
            return Ok(Place::of_entry(id));
        }
        let written = URL_SAFE_NO_PAD.decode(cursor).map_err(|_| unknown())?;
        let (named, id, values): (String, Uuid, Vec<Option<String>>) =
            serde_json::from_slice(&written).map_err(|_| unknown())?;
        let fits = |(key, value): (&Key, &Option<String>)| {
            value.as_deref().is_none_or(|value| key.of.takes(value))
        };
        let is_ours = named == self.named() && values.len() == self.0.len();
        if !is_ours || !self.0.iter().zip(&values).all(fits) {
            return Err(unknown());
        }
        Ok(Place { id, values })
    }

    /// What rows are ordered by.
    pub fn by(&self, id: &'static str) -> OrderedBy {
        OrderedBy { keys: self.0.clone(), id }
    }

    /// Whether a row comes after a place.
    pub fn after(&self, id: &'static str, place: Place) -> After {
        After { keys: self.0.clone(), id, place }
    }
}

/// A value as a cursor carries it: its text, or null.
fn carried(value: &Value) -> Value {
    match value {
        Value::Null => Value::Null,
        Value::String(text) => Value::from(text.as_str()),
        other => Value::from(other.to_string()),
    }
}

/// The last row of a page: what it has in the fields that the list is sorted by.
#[derive(Debug, Clone)]
pub struct Place {
    id: Uuid,
    values: Vec<Option<String>>,
}

impl Place {
    /// That of a row in the order of entry.
    pub const fn of_entry(id: Uuid) -> Self {
        Self { id, values: Vec::new() }
    }
}

/// A connection keeps the statements that it has prepared. Of orders there are too many for that.
fn never_kept(keys: &[Key], out: &mut AstPass<'_, '_, Pg>) {
    if !keys.is_empty() {
        out.unsafe_to_cache_prepared();
    }
}

/// The order of rows, as SQL.
#[derive(Debug, Clone)]
pub struct OrderedBy {
    keys: Vec<Key>,
    id: &'static str,
}

impl QueryFragment<Pg> for OrderedBy {
    fn walk_ast<'b>(&'b self, mut out: AstPass<'_, 'b, Pg>) -> QueryResult<()> {
        never_kept(&self.keys, &mut out);
        for key in &self.keys {
            key.of.push_compared(&mut out);
            out.push_sql(if key.descending { " DESC NULLS LAST, " } else { " NULLS LAST, " });
        }
        out.push_sql(self.id);
        Ok(())
    }
}

/// Whether a row comes after a place, as SQL.
#[derive(Debug, Clone)]
pub struct After {
    keys: Vec<Key>,
    id: &'static str,
    place: Place,
}

impl QueryFragment<Pg> for After {
    fn walk_ast<'b>(&'b self, mut out: AstPass<'_, 'b, Pg>) -> QueryResult<()> {
        never_kept(&self.keys, &mut out);
        for (key, value) in self.keys.iter().zip(&self.place.values) {
            // Rows without a value come last in either direction.
            match value {
                Some(value) => {
                    out.push_sql("(");
                    out.push_sql(key.of.column);
                    out.push_sql(" IS NULL OR ");
                    key.of.push_compared(&mut out);
                    out.push_sql(if key.descending { " < " } else { " > " });
                    key.of.push_value(value, &mut out)?;
                    out.push_sql(" OR (");
                    key.of.push_compared(&mut out);
                    out.push_sql(" = ");
                    key.of.push_value(value, &mut out)?;
                }
                None => {
                    out.push_sql("((");
                    out.push_sql(key.of.column);
                    out.push_sql(" IS NULL");
                }
            }
            out.push_sql(" AND ");
        }
        out.push_sql(self.id);
        out.push_sql(" > ");
        out.push_bind_param::<diesel::sql_types::Uuid, _>(&self.place.id)?;
        for _ in &self.keys {
            out.push_sql("))");
        }
        Ok(())
    }
}

crate::expression!(OrderedBy as Untyped, After as Bool);

#[cfg(test)]
mod tests {
    use super::*;

    const SORTS: &[Sortable] = &[
        Sortable { name: "born_on", column: "born_on", by: By::Word },
        Sortable { name: "weight_g", column: "weight_g", by: By::Number },
        Sortable { name: "paid_on", column: "paid_on", by: By::Day },
        Sortable { name: "at", column: "at", by: By::Time },
        Sortable { name: "name", column: "name", by: By::Name },
    ];

    #[test]
    fn an_order_is_named_by_known_fields_once_each() {
        assert_eq!(Order::read("-born_on,name", SORTS).unwrap().named(), "-born_on,name");
        let unknown = Order::read("colour", SORTS).unwrap_err();
        assert!(unknown.contains("born_on, weight_g, paid_on, at, name"), "{unknown}");
        assert!(Order::read("", SORTS).is_err(), "nothing is no field");
        assert!(Order::read("name,", SORTS).is_err());
        assert!(Order::read("--name", SORTS).is_err());
        assert!(Order::read("name,-name", SORTS).unwrap_err().contains("twice"));
    }

    #[test]
    fn four_fields_and_not_five() {
        assert!(Order::read("name,at,paid_on", SORTS).is_ok());
        assert!(Order::read("name,at,paid_on,weight_g", SORTS).is_ok());
        assert!(Order::read("name,at,paid_on,weight_g,born_on", SORTS).is_err());
    }

    #[test]
    fn a_cursor_is_good_for_its_own_order_alone() {
        let order = Order::read("-weight_g,name", SORTS).unwrap();
        let id = Uuid::from_u128(7);
        let row = json!({ "weight_g": 412, "name": null, "note": "x" });
        let cursor = order.cursor(id, |name| &row[name]);
        let place = order.place(&cursor).unwrap();
        assert_eq!((place.id, place.values), (id, vec![Some("412".to_owned()), None]));
        for other in ["weight_g,name", "-weight_g", "name"] {
            assert!(Order::read(other, SORTS).unwrap().place(&cursor).is_err(), "{other}");
        }
        assert!(Order::ENTRY.place(&cursor).is_err());
        assert!(order.place(&id.to_string()).is_err());
        assert!(Order::ENTRY.place(&id.to_string()).is_ok());
        assert!(order.place("").is_err());
    }

    #[test]
    fn a_cursor_that_somebody_made_up_reaches_no_sql() {
        let made = |order: &str, value: &str| {
            let text = json!([order, Uuid::nil(), [value]]).to_string();
            let order = Order::read(order, SORTS).unwrap();
            order.place(&URL_SAFE_NO_PAD.encode(text)).is_ok()
        };
        assert!(made("weight_g", "412.5") && !made("weight_g", "NaN") && !made("weight_g", "x"));
        assert!(made("paid_on", "2026-05-17") && !made("paid_on", "+262142-01-01"));
        assert!(!made("paid_on", "today"));
        assert!(made("at", "2026-05-17T04:10:00Z") && !made("at", "now"));
        assert!(made("name", "Juno") && !made("name", "Ju\0no"));
        assert!(made("born_on", &"9".repeat(2_000)) && !made("born_on", &"9".repeat(2_001)));
    }
}
