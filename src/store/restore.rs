//! Rows that come back as the log of changes remembers them.

mod together;

use catalogue::{Text, said};
pub use together::{Companion, LeftOut};

use super::{
    StoreError, StoreResult, Tx,
    keep::{self, Keep, Seen, write},
    kennels,
    register::{ByRecord, with_record_of},
    schema,
    scope::Right,
};
use chrono::{DateTime, Utc};
use diesel::{
    BoolExpressionMethods as _, ExpressionMethods as _, OptionalExtension as _, QueryDsl as _,
    Queryable, QueryableByName, Selectable, SelectableHelper as _,
    sql_types::{self, BigInt, Bool},
};
use diesel_async::RunQueryDsl as _;
use domain::{
    fault::{Faults, unquoted},
    record::{
        Kennel, Kept, Record, field_of,
        register::{self, ComesBack},
        renew,
    },
};
use serde_json::{Map, Value};
use uuid::Uuid;

/// A row that was restored.
#[derive(Debug, Clone)]
pub struct Restored {
    /// What kind of row.
    pub what: String,
    /// Which.
    pub row_id: Uuid,
    /// Its version now.
    pub version: i64,
    /// The row now.
    pub row: Value,
    /// What had been deleted with it, and came back as well.
    pub brought: Vec<Companion>,
    /// What had been deleted with it, and no longer fits.
    pub left_out: Vec<LeftOut>,
}

/// What the log says of one change.
#[derive(Queryable, Selectable)]
#[diesel(table_name = schema::changes)]
struct LoggedRow {
    what: String,
    row_id: Option<Uuid>,
    before: Option<Value>,
    after: Option<Value>,
}

/// Brings a row back to what it was after a change, or before its deletion.
///
/// `version` is that of the row now; null when it is deleted: then all comes back that was deleted by
/// the same write. Each row passes the checks of any write, and its coming back is a change of its own.
///
/// # Errors
/// [`StoreError::NotFound`] without such a change, [`StoreError::Stale`] when the row is at another
/// version, [`StoreError::Conflict`] when the kind of row is not restored or other rows are in the
/// way, [`StoreError::Refused`] when it no longer fits.
pub async fn restore(tx: &mut Tx, sequence: i64, version: Option<i64>) -> StoreResult<Restored> {
    use schema::changes::dsl;
    tx.scope.require(Right::Managing)?;
    tx.begin_writing().await?;
    let LoggedRow { what, row_id, before, after } = dsl::changes
        .filter(dsl::kennel_id.eq(tx.scope.kennel_id()).and(dsl::sequence.eq(sequence)))
        .select(LoggedRow::as_select())
        .first(&mut tx.conn)
        .await?;
    let (Some(row_id), Some(Value::Object(content))) = (row_id, after.or(before)) else {
        return Err(StoreError::Conflict(said!("problem-conflict-import-logged")));
    };
    let wish = Wish { row_id, content, version, now: tx.scope.now() };
    let (returned, beside) = match wish.version {
        None => together::bring_back(tx, &what, wish).await?,
        Some(_) => (dispatch(tx, &what, wish).await?, together::Beside::default()),
    };
    let (Returned { version, row }, together::Beside { brought, left_out }) = (returned, beside);
    Ok(Restored { what, row_id, version, row, brought, left_out })
}

#[derive(Clone)]
struct Wish {
    row_id: Uuid,
    content: Map<String, Value>,
    version: Option<i64>,
    now: DateTime<Utc>,
}

/// A row as it came back.
struct Returned {
    version: i64,
    row: Value,
}

impl Returned {
    fn of<R: Record>(kept: &Kept<R>) -> StoreResult<Self> {
        let row = serde_json::to_value(&kept.record).map_err(unreadable)?;
        Ok(Self { version: kept.version, row })
    }
}

struct Comeback<'t> {
    tx: &'t mut Tx,
    wish: Wish,
}

impl ByRecord for Comeback<'_> {
    type Done = StoreResult<Returned>;

    async fn with<R: Keep>(self) -> Self::Done {
        bring_back::<R>(self.tx, self.wish).await
    }
}

/// Who belongs to the kennel, and secrets, do not come back from a log.
async fn dispatch(tx: &mut Tx, what: &str, wish: Wish) -> StoreResult<Returned> {
    if what == "kennel" {
        return bring_back_kennel(tx, wish).await;
    }
    let line = register::line(what).filter(|line| line.comes_back == ComesBack::Written);
    if line.is_some()
        && let Some(done) = with_record_of(what, Comeback { tx, wish }).await
    {
        return done;
    }
    Err(StoreError::Conflict(said!("problem-conflict-not-restored", what = row_word(what))))
}

/// Restoring is reading the log and writing the row, and needs the right to both.
async fn bring_back<R: Keep>(tx: &mut Tx, wish: Wish) -> StoreResult<Returned> {
    tx.scope.require(R::READ)?;
    tx.scope.require(R::WRITE)?;
    let present = match R::select(tx, wish.row_id, true).await {
        Ok(kept) => Some(kept),
        Err(StoreError::NotFound) => None,
        Err(error) => return Err(error),
    };
    if present.as_ref().map(|kept| kept.version) != wish.version {
        return Err(StoreError::Stale);
    }
    let base = present.as_ref().map(|kept| serde_json::to_value(&kept.record)).transpose();
    let record: R = overlaid(base.map_err(unreadable)?, &wish, R::FIELDS)?;
    let kept = match present {
        Some(present) => {
            let result =
                keep::change(tx, wish.row_id, Seen::Version(present.version), async |_| {
                    Ok::<R, std::convert::Infallible>(record)
                });
            match result.await? {
                Ok(kept) => kept,
                Err(never) => match never {},
            }
        }
        None => {
            go_on_counting(tx, wish.row_id).await?;
            let kept = write::bring_back(tx, wish.row_id, &record).await?;
            set_first_version(tx, "").await?;
            kept
        }
    };
    Returned::of(&kept)
}

async fn bring_back_kennel(tx: &mut Tx, wish: Wish) -> StoreResult<Returned> {
    // A field that an earlier edition did not know stays as it is.
    let present = serde_json::to_value(&kennels::find(tx).await?.record).map_err(unreadable)?;
    let fields: Vec<String> =
        present.as_object().into_iter().flat_map(Map::keys).cloned().collect();
    let kennel: Kennel = overlaid(Some(present), &wish, &fields)?;
    let seen = Seen::Version(wish.version.unwrap_or(-1));
    let changed =
        kennels::change(tx, seen, async |_| Ok::<_, std::convert::Infallible>(kennel)).await?;
    match changed {
        Ok(kept) => Returned::of(&kept),
        Err(never) => match never {},
    }
}

/// The record with the logged values of its own fields, good by itself.
fn overlaid<R: Record>(
    base: Option<Value>,
    wish: &Wish,
    fields: &[impl AsRef<str>],
) -> StoreResult<R> {
    let mut members = match base {
        Some(Value::Object(members)) => members,
        _ => Map::new(),
    };
    for field in fields.iter().map(AsRef::as_ref) {
        if let Some(value) = wish.content.get(field) {
            let mut value = value.clone();
            renew(field, &mut value);
            members.insert(field_of(R::STORED_AS, field).to_owned(), value);
        }
    }
    let record: R = serde_json::from_value(Value::Object(members)).map_err(unreadable)?;
    let mut faults = Faults::new();
    record.check(wish.now, &mut faults);
    faults.into_result().map_err(StoreError::Refused)?;
    Ok(record)
}

/// A row of an earlier edition, or one whose personal data was erased.
fn unreadable(error: serde_json::Error) -> StoreError {
    tracing::info!(
        cause = unquoted(&error.to_string()),
        "a row of the log is no longer a whole one"
    );
    StoreError::Conflict(said!("problem-conflict-row-in-parts"))
}

/// What a person calls rows of this kind.
fn row_word(what: &str) -> Text {
    Text::keyed("row", &what.replace('_', "-"), what.replace('_', " "))
}

#[derive(QueryableByName)]
struct Done {
    #[diesel(sql_type = Bool)]
    #[expect(dead_code, reason = "the query is run for its effect")]
    done: bool,
}

/// The next row written begins with the version after the last that this one had.
async fn go_on_counting(tx: &mut Tx, row_id: Uuid) -> StoreResult<()> {
    #[derive(QueryableByName)]
    struct Last {
        #[diesel(sql_type = BigInt)]
        version: i64,
    }
    let last = diesel::sql_query(
        "SELECT coalesce(max((before->>'version')::bigint), 0) AS version FROM changes \
         WHERE kennel_id = $1 AND row_id = $2 AND action = 'deleted'",
    )
    .bind::<diesel::sql_types::Uuid, _>(tx.scope.kennel_id())
    .bind::<diesel::sql_types::Uuid, _>(row_id)
    .get_result::<Last>(&mut tx.conn)
    .await
    .optional()?;
    let next = last.map_or(1, |last| last.version + 1);
    set_first_version(tx, &next.to_string()).await
}

async fn set_first_version(tx: &mut Tx, version: &str) -> StoreResult<()> {
    diesel::sql_query("SELECT set_config('denwright.first_version', $1, true) IS NOT NULL AS done")
        .bind::<sql_types::Text, _>(version)
        .get_result::<Done>(&mut tx.conn)
        .await?;
    Ok(())
}
