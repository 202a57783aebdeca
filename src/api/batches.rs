//! Many observations at once, from a phone or scale that was offline.

use super::{
    answer,
    body::{self, BatchBody},
    problem::Kind,
    resource::prelude::*,
};
use catalogue::said;
use chrono::{DateTime, Duration, Utc};
use domain::{
    fault::{Fault, Faults, MOST_TOLD},
    record::{
        BatchAnswer, BatchHead, BatchRowAnswer, MOST_ROWS, ObservationBatch, ObservationKind,
        ObservationRow, RowStatus, WeightBatch, WeightRow, device_clock,
    },
};
use futures_util::future::LocalBoxFuture;
use serde_json::{Value, json};
use std::{any::Any, collections::BTreeMap};
use store::{
    StoreResult, Tx,
    batches::{Batched, Offered, RowOutcome, move_by, store_all},
    scope::{Right, Scope},
};

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config.service(create_weights).service(create_observations);
}

/// Record many weights at once.
///
/// Up to 10,000, in any order, under UUIDs of the client's: each is answered as stored, already there or
/// refused, and sending them again changes nothing.
#[utoipa::path(tag = "weights", request_body = WeightBatch,
    responses((status = 200, description = "What became of every row.", body = BatchAnswer)))]
#[post("/v1/kennels/{kennel_id}/weights/batch")]
pub(crate) async fn create_weights(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    _path: web::Path<Uuid>,
    body: BatchBody,
) -> Result<HttpResponse, Problem> {
    batch(&app, &scope.0, &request, body.0, Placed::InRow, |index, row, rows| {
        let (id, weight) = body::parse::<WeightRow>(row)?.into_weight();
        rows.add(checked(index, id, weight)?);
        Ok(())
    })
    .await
}

/// Record many observations of all kinds at once.
///
/// As a batch of weights, for observations of every kind. Births are written before rows that name the `dog_id`
/// that a birth was given; matings before the checks of their pregnancies.
#[utoipa::path(tag = "weights", request_body = ObservationBatch,
    responses((status = 200, description = "What became of every row.", body = BatchAnswer)))]
#[post("/v1/kennels/{kennel_id}/observations/batch")]
pub(crate) async fn create_observations(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    _path: web::Path<Uuid>,
    body: BatchBody,
) -> Result<HttpResponse, Problem> {
    batch(&app, &scope.0, &request, body.0, Placed::InRecord, |index, row, rows| {
        add_observation(index, read_row(row)?, rows)
    })
    .await
}

macro_rules! by_kind {
    ($(($record:path, $kind:ident, $word:tt, $at:ident))+) => {
        /// Adds a row, whose record is held against the schema of its kind, not against all of them.
        fn add_observation(
            index: usize,
            row: ObservationRow,
            rows: &mut Rows,
        ) -> Result<(), Vec<Fault>> {
            match row.kind {
                $(ObservationKind::$kind => rows.add(offered::<$record>(index, row)?),)+
            }
            Ok(())
        }
    };
}
domain::each_observation!(by_kind);

/// The rows of a batch that can be read, by kind: in the order in which they are written.
#[derive(Default)]
struct Rows(BTreeMap<ObservationKind, Box<dyn OfKind>>);

/// The rows of one kind.
trait OfKind: Any + Send {
    fn latest(&self) -> Option<DateTime<Utc>>;

    /// Stores what can be stored of them.
    fn store<'t>(
        self: Box<Self>,
        tx: &'t mut Tx,
        moved_by: Option<Duration>,
        placed: Placed,
    ) -> LocalBoxFuture<'t, StoreResult<Vec<RowOutcome>>>;
}

impl<R: Batched> OfKind for Vec<Offered<R>> {
    fn latest(&self) -> Option<DateTime<Utc>> {
        self.iter().filter_map(|row| row.record.at()).max()
    }

    fn store<'t>(
        self: Box<Self>,
        tx: &'t mut Tx,
        moved_by: Option<Duration>,
        placed: Placed,
    ) -> LocalBoxFuture<'t, StoreResult<Vec<RowOutcome>>> {
        Box::pin(async move {
            let mut done = offer(tx, *self, moved_by).await?;
            for fault in done.iter_mut().flat_map(|outcome| &mut outcome.errors) {
                placed.settle(fault, R::ABOUT.field);
            }
            Ok(done)
        })
    }
}

impl Rows {
    fn add<R: Batched>(&mut self, row: Offered<R>) {
        let rows = self.0.entry(R::KIND).or_insert_with(|| Box::new(Vec::<Offered<R>>::new()));
        let rows: &mut dyn Any = &mut **rows;
        if let Some(rows) = rows.downcast_mut::<Vec<Offered<R>>>() {
            rows.push(row);
        }
    }

    fn latest(&self) -> Option<DateTime<Utc>> {
        self.0.values().filter_map(|rows| rows.latest()).max()
    }

    async fn store(
        self,
        tx: &mut Tx,
        moved_by: Option<Duration>,
        placed: Placed,
    ) -> StoreResult<Vec<RowOutcome>> {
        let mut done = Vec::new();
        for rows in self.0.into_values() {
            done.extend(rows.store(tx, moved_by, placed).await?);
        }
        Ok(done)
    }
}

/// Where the fields of a record stand in the row of a batch.
#[derive(Clone, Copy)]
enum Placed {
    /// In the row itself.
    InRow,
    /// In a record of their own, but for what the record is about.
    InRecord,
}

impl Placed {
    /// Puts a fault of a record, which is about the row that `about` names, at its place in the row of the batch.
    fn settle(self, fault: &mut Fault, about: &str) {
        fault.pointer = match (self, fault.pointer.as_str()) {
            (Self::InRow, _) | (_, "/id") => return,
            (_, inner) if inner.strip_prefix('/') == Some(about) => "/subject_id".to_owned(),
            (_, inner) => format!("/record{inner}"),
        };
    }
}

/// Stores the rows whose values, with their times moved, are good by themselves.
async fn offer<R: Batched>(
    tx: &mut Tx,
    rows: Vec<Offered<R>>,
    moved_by: Option<Duration>,
) -> StoreResult<Vec<RowOutcome>> {
    let mut done = Vec::new();
    let mut good = Vec::with_capacity(rows.len());
    for row in rows {
        let mut moved = row.record.clone();
        if let Some(by) = moved_by {
            move_by(&mut moved, by);
        }
        let mut faults = Faults::new();
        moved.check(tx.scope().now(), &mut faults);
        match faults.into_result() {
            Ok(()) => good.push(row),
            Err(faults) => done.push(RowOutcome::refused(row.index, faults)),
        }
    }
    done.extend(store_all(tx, good, moved_by).await?);
    Ok(done)
}

/// Faults that the answer to a batch tells of all rows together.
const MOST_TOLD_OF_ALL: usize = 750;

/// What was read of a batch, and the answers to its rows so far.
struct ReadBatch {
    head: BatchHead,
    rows: Rows,
    answers: Answers,
}

/// One answer a row, which tell so many faults together and no more.
struct Answers {
    rows: Vec<BatchRowAnswer>,
    left: usize,
}

impl Answers {
    /// All refused, until something better is known.
    fn to(items: &[Value]) -> Self {
        let answer = |(index, row): (usize, &Value)| BatchRowAnswer {
            index,
            id: row.get("id").and_then(Value::as_str).and_then(|id| id.parse().ok()),
            status: RowStatus::Refused,
            detail: None,
            errors: Vec::new(),
        };
        Self { rows: items.iter().enumerate().map(answer).collect(), left: MOST_TOLD_OF_ALL }
    }

    /// Tells what is wrong with a row.
    fn tell(&mut self, index: usize, faults: Vec<Fault>) {
        let mut told = under(index, faults);
        told.truncate(MOST_TOLD);
        if told.len() > self.left {
            let detail = said!("fault-limit-faults-of-batch");
            told = vec![Fault::new(format!("/items/{index}"), detail)];
        } else {
            self.left -= told.len();
        }
        self.rows[index].errors = told;
    }
}

/// Reads a batch row by row, stores what can be stored and answers every row.
async fn batch(
    app: &App,
    scope: &Scope,
    request: &HttpRequest,
    body: JsonBody,
    placed: Placed,
    read_into: impl Fn(usize, Value, &mut Rows) -> Result<(), Vec<Fault>> + Send + 'static,
) -> Result<HttpResponse, Problem> {
    scope.require(Right::Observations)?;
    let raw = body.digest();
    let read = body.read_by(move |value| read_rows(value, read_into)).await?;
    let ReadBatch { head, rows, mut answers } = read;
    // Weights are held against what is expected of their litters.
    let _seat = app.room.seat(scope.kennel_id()).await?;
    answer::once_done(app, scope, request, &raw, async |tx| {
        let moment = tx.moment().await?;
        let clock = device_clock(&head, rows.latest(), moment.now, &moment.rules);
        let moved_by =
            clock.as_ref().filter(|c| c.shifted).map(|c| Duration::seconds(c.ahead_seconds));
        for RowOutcome { index, status, detail, errors } in rows.store(tx, moved_by, placed).await?
        {
            let answer = &mut answers.rows[index];
            answer.status = status;
            answer.detail = detail;
            answers.tell(index, errors);
        }
        let items = answers.rows;
        let count = |status| items.iter().filter(|answer| answer.status == status).count();
        Ok(BatchAnswer {
            stored: count(RowStatus::Stored),
            already_there: count(RowStatus::AlreadyThere),
            refused: count(RowStatus::Refused),
            clock,
            items,
        })
    })
    .await
}

fn read_rows(
    mut value: Value,
    read_into: impl Fn(usize, Value, &mut Rows) -> Result<(), Vec<Fault>>,
) -> Result<ReadBatch, Problem> {
    let items = items_of(&mut value)?;
    let head = body::parse(value).map_err(|faults| Problem::faults(Kind::NotAcceptable, faults))?;
    let mut answers = Answers::to(&items);
    let mut rows = Rows::default();
    for (index, row) in items.into_iter().enumerate() {
        domain::stop::look();
        if let Err(faults) = read_into(index, row, &mut rows) {
            answers.tell(index, faults);
        }
    }
    Ok(ReadBatch { head, rows, answers })
}

/// Takes the rows out of the body.
fn items_of(body: &mut Value) -> Result<Vec<Value>, Problem> {
    let items = body.as_object_mut().and_then(|members| members.remove("items"));
    match items {
        Some(Value::Array(items)) if (1..=MOST_ROWS).contains(&items.len()) => {
            let mut faults = Faults::new();
            for (index, row) in items.iter().enumerate() {
                faults.unless(row.is_object(), &format!("/items/{index}"), || {
                    said!("fault-wrong-type-row")
                });
            }
            faults.into_result().map_err(|faults| Problem::faults(Kind::NotAcceptable, faults))?;
            Ok(items)
        }
        Some(Value::Array(items)) => Err(Problem::fault(
            Kind::NotAcceptable,
            "/items",
            match items.len() {
                0 => said!("fault-too-few-rows-of-batch", count = 0, least = 1, most = MOST_ROWS),
                count => said!(
                    "fault-too-many-rows-of-batch",
                    count = count,
                    least = 1,
                    most = MOST_ROWS
                ),
            },
        )),
        _ => Err(Problem::fault(Kind::NotAcceptable, "/items", said!("fault-wrong-type-items"))),
    }
}

/// The frame of a row of any kind.
fn read_row(mut row: Value) -> Result<ObservationRow, Vec<Fault>> {
    let record = row.as_object_mut().and_then(|members| members.remove("record"));
    let Some(record @ Value::Object(_)) = record else {
        let detail = said!("fault-wrong-type-record");
        return Err(vec![Fault::new("/record", detail)]);
    };
    let frame: ObservationFrame = body::parse(row)?;
    let ObservationFrame { id, kind, subject_id } = frame;
    Ok(ObservationRow { id, kind, subject_id, record })
}

/// A row without its record.
#[derive(serde::Deserialize, utoipa::ToSchema)]
#[serde(deny_unknown_fields)]
struct ObservationFrame {
    id: Uuid,
    kind: ObservationKind,
    subject_id: Uuid,
}

/// A record of a general batch, about the subject of its row.
fn offered<R: Batched>(index: usize, row: ObservationRow) -> Result<Offered<R>, Vec<Fault>> {
    let ObservationRow { id, subject_id, mut record, .. } = row;
    let field = R::ABOUT.field;
    if let Value::Object(members) = &mut record {
        let named = members.insert(field.to_owned(), json!(subject_id));
        if named.is_some_and(|named| named != json!(subject_id)) {
            let detail = said!("fault-differs-subject");
            return Err(vec![Fault::new(format!("/record/{field}"), detail)]);
        }
    }
    let record: R = body::parse(record).map_err(|faults| {
        faults
            .into_iter()
            .map(|fault| Fault { pointer: format!("/record{}", fault.pointer), ..fault })
            .collect::<Vec<_>>()
    })?;
    checked(index, id, record)
}

fn checked<R: Batched>(index: usize, id: Uuid, record: R) -> Result<Offered<R>, Vec<Fault>> {
    if id.is_nil() {
        let detail = said!("fault-malformed-nil-id");
        return Err(vec![Fault::new("/id", detail)]);
    }
    Ok(Offered { index, id, record })
}

/// Faults of a row, at their place in the batch.
///
/// Their places quote the row, and the answer is kept for repeats: Postgres keeps no U+0000.
fn under(index: usize, faults: Vec<Fault>) -> Vec<Fault> {
    faults
        .into_iter()
        .map(Fault::in_brief)
        .map(|fault| {
            let place = fault.pointer.replace('\0', "\u{fffd}");
            Fault { pointer: format!("/items/{index}{place}"), ..fault }
        })
        .collect()
}
