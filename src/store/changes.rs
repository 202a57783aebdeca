//! The log of changes: every write of a kennel, in order and without a gap.
//!
//! Which entries somebody is told, and which fields, the database decides: the policy of `changes` and
//! `told_before`, `told_after` ask the tables `log_words` and `log_fields`, which say of each word what a
//! direct read of its rows needs.

use super::{StoreResult, Tx, schema};
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _,
    PgArrayExpressionMethods as _, QueryDsl as _,
    dsl::sql,
    sql_types::{self, Array, Bool, Jsonb, Nullable, Text},
};
use diesel_async::RunQueryDsl as _;
use domain::record::{
    named_now,
    register::{self, Line},
};
use serde_json::Value;
use std::collections::HashSet;
use uuid::Uuid;

/// One write.
#[derive(Debug, Clone, diesel::Queryable)]
pub struct Change {
    /// Its number in the kennel.
    pub sequence: i64,
    /// When.
    pub at: DateTime<Utc>,
    /// Who; null for the service itself.
    pub person_id: Option<Uuid>,
    /// What kind of row.
    pub what: String,
    /// Which row; null for an import, which is logged once.
    pub row_id: Option<Uuid>,
    /// `created`, `changed`, `deleted` or `imported`.
    pub action: String,
    /// The row before.
    pub before: Option<serde_json::Value>,
    /// The row after.
    pub after: Option<serde_json::Value>,
}

impl Change {
    /// The change with the fields of the row by the names that they have now.
    fn named_now(self) -> Self {
        let stored_as = register::line(&self.what).map_or(&[][..], |line| line.stored_as);
        let named = |row: Option<Value>| match row {
            Some(Value::Object(row)) => Some(Value::Object(named_now(stored_as, row))),
            other => other,
        };
        Self { before: named(self.before), after: named(self.after), ..self }
    }
}

/// Which changes to tell of.
#[derive(Debug, Clone, Default)]
pub struct Which {
    /// Only of this kind of row.
    pub what: Option<String>,
    /// Only of this row.
    pub row_id: Option<Uuid>,
    /// Only of this litter: its row, what hangs on it, its pups and what is theirs.
    pub litter_id: Option<Uuid>,
    /// Only about this dog.
    pub dog_id: Option<Uuid>,
}

/// Which part of the log to tell, and from which end on.
#[derive(Debug, Clone, Copy)]
pub enum Span {
    /// What comes after a number, the oldest first.
    After(i64),
    /// What comes before one number (all when there is none) and after another, the newest first.
    Before {
        /// The former.
        newest: Option<i64>,
        /// The latter.
        after: i64,
    },
}

/// What belongs to a litter: its own row and what names it; its pups, and what is theirs alone. What a pup does
/// as a dam or a sire later on belongs to litters of its own.
macro_rules! of_litter {
    ($litter:expr, $pups:expr) => {
        sql::<Bool>("((what = 'litter' AND row_id = ")
            .bind::<sql_types::Uuid, _>($litter)
            .sql(") OR (what <> ALL (")
            .bind::<Array<Text>, _>(of_dogs())
            .sql(") AND coalesce(after, before)->>'litter_id' = ")
            .bind::<Text, _>($litter.to_string())
            .sql(") OR (dog_ids && ")
            .bind::<Array<sql_types::Uuid>, _>($pups)
            .sql(
                " AND (what = 'dog' OR NOT coalesce(after, before) ?| '{litter_id,dam_id,mating_id,heat_id}')))",
            )
    };
}

/// The words of dogs and of what hangs on a dog: such a row names no litter.
fn of_dogs() -> Vec<&'static str> {
    let of_dog = |line: &&Line| line.word == "dog" || line.hangs_by(Some("dog_id"));
    register::RECORDS.iter().filter(of_dog).map(|line| line.word).collect()
}

/// The part of the log that this person may see, in order.
///
/// # Errors
/// When the database is away.
pub async fn told(tx: &mut Tx, which: &Which, span: Span, limit: i64) -> StoreResult<Vec<Change>> {
    use schema::changes::dsl;
    let mut query = dsl::changes
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select((
            dsl::sequence,
            dsl::at,
            dsl::person_id,
            dsl::what,
            dsl::row_id,
            dsl::action,
            sql::<Nullable<Jsonb>>("told_before(changes, (SELECT rights()), (SELECT sees_all()))"),
            sql::<Nullable<Jsonb>>("told_after(changes, (SELECT rights()), (SELECT sees_all()))"),
        ))
        .limit(limit)
        .into_boxed();
    query = match span {
        Span::After(after) => query.filter(dsl::sequence.gt(after)).order(dsl::sequence.asc()),
        Span::Before { newest, after } => {
            let query = query.filter(dsl::sequence.gt(after)).order(dsl::sequence.desc());
            match newest {
                Some(newest) => query.filter(dsl::sequence.lt(newest)),
                None => query,
            }
        }
    };
    if let Some(what) = &which.what {
        query = query.filter(dsl::what.eq(what));
    }
    if let Some(row_id) = which.row_id {
        query = query.filter(dsl::row_id.eq(row_id));
    }
    if let Some(dog_id) = which.dog_id {
        query = query.filter(dsl::dog_ids.contains(vec![dog_id]));
    }
    if let Some(litter_id) = which.litter_id {
        let pups = pups_ever(tx, litter_id).await?;
        query = query.filter(of_litter!(litter_id, pups));
    }
    let found: Vec<Change> = query.load(&mut tx.conn).await?;
    Ok(found.into_iter().map(Change::named_now).collect())
}

/// The dogs that were ever written down as born in a litter.
async fn pups_ever(tx: &mut Tx, litter_id: Uuid) -> StoreResult<Vec<Uuid>> {
    use schema::changes::dsl;
    let found: Vec<Vec<Uuid>> = dsl::changes
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::what.eq("birth")))
        .filter(
            sql::<Nullable<Bool>>("coalesce(after, before)->>'litter_id' = ")
                .bind::<Text, _>(litter_id.to_string()),
        )
        .select(dsl::dog_ids)
        .load(&mut tx.conn)
        .await?;
    let pups: HashSet<Uuid> = found.into_iter().flatten().collect();
    Ok(pups.into_iter().collect())
}

/// The number of the last change in the kennel; 0 when there is none.
///
/// # Errors
/// When the database is away.
pub async fn head(tx: &mut Tx) -> StoreResult<i64> {
    use schema::change_heads::dsl;
    let head = dsl::change_heads
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()))
        .select(dsl::sequence)
        .first(&mut tx.conn)
        .await
        .optional()?;
    Ok(head.unwrap_or(0))
}

/// Of these rows, those that were deleted.
///
/// # Errors
/// When the database is away.
pub(crate) async fn deleted(tx: &mut Tx, rows: &[Uuid]) -> StoreResult<HashSet<Uuid>> {
    use schema::changes::dsl;
    let found: Vec<Option<Uuid>> = dsl::changes
        .filter(
            dsl::kennel_id
                .eq(tx.scope.kennel_id())
                .and(dsl::row_id.eq_any(rows))
                .and(dsl::action.eq("deleted")),
        )
        .select(dsl::row_id)
        .load(&mut tx.conn)
        .await?;
    Ok(found.into_iter().flatten().collect())
}

/// Who wrote a row first; `None` for the service itself.
///
/// # Errors
/// When the database is away.
pub(crate) async fn created_by(tx: &mut Tx, row: Uuid) -> StoreResult<Option<Uuid>> {
    use schema::changes::dsl;
    let found: Option<Option<Uuid>> = dsl::changes
        .filter(
            dsl::kennel_id
                .eq(tx.scope.kennel_id())
                .and(dsl::row_id.eq(row))
                .and(dsl::action.eq("created")),
        )
        .select(dsl::person_id)
        .first(&mut tx.conn)
        .await
        .optional()?;
    Ok(found.flatten())
}
