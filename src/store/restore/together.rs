//! What one write took away: a deleted row with all that went with it, by a hook or by a foreign key.

use super::{Returned, Wish, dispatch, row_word};
use crate::{StoreError, StoreResult, Tx, schema};
use catalogue::{Text, said};
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _,
    PgExpressionMethods as _, QueryDsl as _, Queryable, Selectable, SelectableHelper as _,
    sql_types::Jsonb,
};
use diesel_async::RunQueryDsl as _;
use domain::{
    fault::Fault,
    record::register::{self, ComesBack},
};
use serde_json::{Value, json};
use uuid::Uuid;

/// A row that came back beside the one that was asked for.
#[derive(Debug, Clone)]
pub struct Companion {
    /// What kind of row.
    pub what: String,
    /// Which.
    pub row_id: Uuid,
}

/// A row that went with the one that was asked for, and no longer fits.
#[derive(Debug, Clone)]
pub struct LeftOut {
    /// What kind of row.
    pub what: String,
    /// Which.
    pub row_id: Uuid,
    /// Why.
    pub why: Text,
}

/// What came back beside a row.
#[derive(Debug, Default)]
pub struct Beside {
    /// What did.
    pub brought: Vec<Companion>,
    /// What did not.
    pub left_out: Vec<LeftOut>,
}

/// A row that a write deleted.
#[derive(Clone)]
struct Taken {
    what: String,
    row_id: Uuid,
    content: Value,
}

/// Most rows that are looked through for those of one write.
const FARTHEST: i64 = 20_000;

/// Brings a deleted row back, with the rows that were deleted by the same write.
///
/// A row may hang on one that the log tells of later, or earlier: a foreign key takes what hangs on a row after
/// it, a hook before it. So each is tried as long as another came back since.
pub(super) async fn bring_back(
    tx: &mut Tx,
    what: &str,
    wish: Wish,
) -> StoreResult<(Returned, Beside)> {
    let mut beside = Beside::default();
    let own = wish.row_id;
    let mut waiting = taken_with(tx, own).await?;
    waiting.retain(|row| row.row_id != own);
    let mut done = None;
    let mut hindered;
    loop {
        let waited = waiting.len() + usize::from(done.is_none());
        hindered = None;
        if done.is_none() {
            let wish = wish.clone();
            match tx.attempt(async |tx| dispatch(tx, what, wish).await).await {
                Ok(restored) => done = Some(restored),
                Err(error) => hindered = Some(error),
            }
        }
        beside.left_out.clear();
        let mut rest = Vec::new();
        for row in waiting {
            let again = row.clone();
            if !companion(tx, row, &mut beside).await? {
                rest.push(again);
            }
        }
        waiting = rest;
        let left = waiting.len() + usize::from(done.is_none());
        if left == 0 || left == waited {
            break;
        }
    }
    match (done, hindered) {
        (Some(returned), _) => Ok((returned, beside)),
        (None, Some(error)) => Err(for_want_of(&beside.left_out, error)),
        (None, None) => Err(StoreError::NotFound),
    }
}

/// The entry of the log that tells of a deletion.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::changes)]
struct DeletionRow {
    sequence: i64,
    at: DateTime<Utc>,
    person_id: Option<Uuid>,
}

/// What such an entry says of its row.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::changes)]
struct DeletedRow {
    what: String,
    row_id: Option<Uuid>,
    before: Option<Value>,
}

/// The rows of the write that deleted this one last; its own among them.
async fn taken_with(tx: &mut Tx, row_id: Uuid) -> StoreResult<Vec<Taken>> {
    use schema::changes::dsl;
    let deleted = dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::action.eq("deleted"));
    let last: Option<DeletionRow> = dsl::changes
        .filter(deleted.and(dsl::row_id.eq(row_id)))
        .order(dsl::sequence.desc())
        .select(DeletionRow::as_select())
        .first(&mut tx.conn)
        .await
        .optional()?;
    let Some(DeletionRow { sequence, at, person_id }) = last else { return Ok(Vec::new()) };
    // A transaction has one `at`, and no other's entries lie between its own.
    let rows: Vec<DeletedRow> = dsl::changes
        .filter(deleted.and(dsl::at.eq(at)).and(dsl::person_id.is_not_distinct_from(person_id)))
        .filter(dsl::sequence.between(sequence - FARTHEST, sequence + FARTHEST))
        .order(dsl::sequence.desc())
        .select(DeletedRow::as_select())
        .load(&mut tx.conn)
        .await?;
    let taken = |DeletedRow { what, row_id, before }: DeletedRow| {
        Some(Taken { what, row_id: row_id?, content: before? })
    };
    Ok(rows.into_iter().filter_map(taken).collect())
}

/// Brings one back, or tells why not; one that is there already stays as it is. Whether it is there now.
async fn companion(tx: &mut Tx, row: Taken, beside: &mut Beside) -> StoreResult<bool> {
    let Taken { what, row_id, content } = row;
    let done = tx.attempt(async |tx| restored(tx, &what, row_id, content).await).await;
    match done {
        Ok(true) => beside.brought.push(Companion { what, row_id }),
        Ok(false) => {}
        Err(error) => {
            beside.left_out.push(LeftOut { what, row_id, why: why(error)? });
            return Ok(false);
        }
    }
    Ok(true)
}

/// Whether the row came back; false when it is there.
async fn restored(tx: &mut Tx, what: &str, row_id: Uuid, content: Value) -> StoreResult<bool> {
    let line = register::line(what).filter(|line| line.comes_back == ComesBack::Copied);
    if let Some(line) = line {
        return mark(tx, line.table, content).await;
    }
    let Value::Object(content) = content else { return Ok(false) };
    let wish = Wish { row_id, content, version: None, now: tx.scope.now() };
    match dispatch(tx, what, wish).await {
        Ok(_) => Ok(true),
        Err(StoreError::Stale) => Ok(false),
        Err(error) => Err(error),
    }
}

/// Writes a mark again as it was, unless it was made anew.
async fn mark(tx: &mut Tx, table: &str, mut content: Value) -> StoreResult<bool> {
    let version = content["version"].as_i64().unwrap_or(0);
    content["version"] = json!(version + 1);
    content["kennel_id"] = json!(tx.scope.kennel_id());
    let again = format!(
        "INSERT INTO {table} SELECT r.* FROM jsonb_populate_record(NULL::{table}, $1) r \
         ON CONFLICT DO NOTHING"
    );
    let query = diesel::sql_query(again).bind::<Jsonb, _>(&content);
    Ok(query.execute(&mut tx.conn).await? > 0)
}

/// What is to be told of a row that does not fit; what is no matter of the row is an error of all.
fn why(error: StoreError) -> StoreResult<Text> {
    match error {
        StoreError::Conflict(why) => Ok(why),
        StoreError::Refused(faults) => {
            let at = |fault: Fault| {
                let Fault { pointer, detail, .. } = fault.in_brief();
                said!("restore-fault-at", place = pointer, what = detail)
            };
            Ok(Text::sentences(faults.into_iter().map(at)))
        }
        StoreError::Forbidden(why) => Ok(why),
        StoreError::NotFound => Ok(said!("restore-owner-gone")),
        other => Err(other),
    }
}

/// Why a row cannot come back when it is for want of one that went with it.
fn for_want_of(left_out: &[LeftOut], error: StoreError) -> StoreError {
    match (&error, left_out.first()) {
        (StoreError::Conflict(_) | StoreError::Refused(_), Some(LeftOut { what, why, .. })) => {
            let what = row_word(what);
            StoreError::Conflict(said!("problem-conflict-companion", what = what, why = why))
        }
        _ => error,
    }
}
