//! The log of changes: every write of a kennel, in order and without a gap.
//!
//! Which entries somebody is told, and which fields, the database decides: the policy of `changes` and
//! `told_before`, `told_after` ask the tables `log_words` and `log_fields`, which say of each word what a
//! direct read of its rows needs.

use super::{
    Db, StoreResult, Tx,
    ask::{self, Answer},
    schema,
    scope::Claim,
};
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _,
    PgArrayExpressionMethods as _, QueryDsl as _, QueryResult,
    dsl::sql,
    pg::Pg,
    query_builder::{AstPass, QueryFragment},
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
#[derive(Debug, Clone, Default, PartialEq, Eq)]
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

/// The row before, as it is told to whoever asks.
#[derive(Debug, Clone, Copy)]
struct ToldBefore;

/// The row after.
#[derive(Debug, Clone, Copy)]
struct ToldAfter;

impl QueryFragment<Pg> for ToldBefore {
    fn walk_ast<'b>(&'b self, mut out: AstPass<'_, 'b, Pg>) -> QueryResult<()> {
        out.push_sql("told_before(changes, (SELECT rights()), (SELECT sees_all()))");
        Ok(())
    }
}

impl QueryFragment<Pg> for ToldAfter {
    fn walk_ast<'b>(&'b self, mut out: AstPass<'_, 'b, Pg>) -> QueryResult<()> {
        out.push_sql("told_after(changes, (SELECT rights()), (SELECT sees_all()))");
        Ok(())
    }
}

::postgres::expression!(ToldBefore as Nullable<Jsonb>, ToldAfter as Nullable<Jsonb>);

type Told = (
    schema::changes::sequence,
    schema::changes::at,
    schema::changes::person_id,
    schema::changes::what,
    schema::changes::row_id,
    schema::changes::action,
    ToldBefore,
    ToldAfter,
);

type LogQuery<'a> =
    diesel::dsl::IntoBoxed<'a, diesel::dsl::Select<schema::changes::table, Told>, Pg>;

/// A part of the log, in order. What it tells of a litter is asked further.
fn log_query<'a>(kennel_id: Uuid, which: &'a Which, span: Span, limit: i64) -> LogQuery<'a> {
    use schema::changes::dsl;
    let mut query = dsl::changes
        .select((
            dsl::sequence,
            dsl::at,
            dsl::person_id,
            dsl::what,
            dsl::row_id,
            dsl::action,
            ToldBefore,
            ToldAfter,
        ))
        .into_boxed()
        .filter(dsl::kennel_id.eq(kennel_id))
        .limit(limit);
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
    query
}

/// The part of the log that this person may see, in order.
///
/// # Errors
/// When the database is away.
pub async fn told(tx: &mut Tx, which: &Which, span: Span, limit: i64) -> StoreResult<Vec<Change>> {
    let mut query = log_query(tx.scope.kennel_id(), which, span, limit);
    if let Some(litter_id) = which.litter_id {
        let pups = pups_ever(tx, litter_id).await?;
        query = query.filter(of_litter!(litter_id, pups));
    }
    let found: Vec<Change> = query.load(&mut tx.conn).await?;
    Ok(found.into_iter().map(Change::named_now).collect())
}

/// Whether a part of the log is told by one statement; the pups of a litter are asked for before.
pub(crate) fn is_one_question(which: &Which) -> bool {
    which.litter_id.is_none()
}

/// The same part of the log, asked for by a claim, where it [`is_one_question`].
///
/// # Errors
/// [`StoreError::Login`](super::StoreError::Login), or when the database is away.
pub(crate) async fn ask(
    db: &Db,
    claim: &Claim,
    which: &Which,
    span: Span,
    limit: i64,
) -> StoreResult<Answer<Change>> {
    if !is_one_question(which) {
        return Ok(Answer::Later);
    }
    let answer = ask::ask(db, claim, None, log_query(claim.kennel_id, which, span, limit)).await?;
    Ok(answer.map(Change::named_now))
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
