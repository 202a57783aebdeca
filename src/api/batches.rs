//! Many observations at once, from a phone or scale that was offline.

use super::{
    answer,
    body::{self, BatchBody},
    problem::Kind,
    resource::prelude::*,
};
use chrono::{DateTime, Duration, Utc};
use domain::{
    fault::{Fault, Faults, MOST_TOLD},
    record::{
        BatchAnswer, BatchHead, BatchRowAnswer, Birth, DamCheck, Feed, HealthEvent, MOST_ROWS,
        ObservationBatch, ObservationKind, ObservationRow, PupCheck, Record, RowStatus,
        Temperature, Weight, WeightBatch, WeightRow, WhelpingLine, device_clock,
    },
};
use serde_json::{Value, json};
use store::{
    StoreResult, Tx,
    batches::{Batched, Offered, RowOutcome, store_all},
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
pub async fn create_weights(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    _path: web::Path<Uuid>,
    body: BatchBody,
) -> Result<HttpResponse, Problem> {
    batch(&app, &scope.0, &request, body.0, in_row, |index, row, rows| {
        let (id, weight) = body::parse::<WeightRow>(row)?.into_weight();
        rows.weights.push(checked(index, id, weight)?);
        Ok(())
    })
    .await
}

/// Record many observations of all kinds at once.
///
/// As a batch of weights, for observations of every kind. Births are written first, so
/// that other rows may name the `dog_id` that a birth was given.
#[utoipa::path(tag = "weights", request_body = ObservationBatch,
    responses((status = 200, description = "What became of every row.", body = BatchAnswer)))]
#[post("/v1/kennels/{kennel_id}/observations/batch")]
pub async fn create_observations(
    app: web::Data<App>,
    scope: InKennel,
    request: HttpRequest,
    _path: web::Path<Uuid>,
    body: BatchBody,
) -> Result<HttpResponse, Problem> {
    batch(&app, &scope.0, &request, body.0, in_record, |index, row, rows| {
        // The record is held against the schema of its kind, not against all of them.
        let ObservationRow { id, kind, subject_id, record } = read_row(row)?;
        match kind {
            ObservationKind::Weight => {
                rows.weights.push(offered(index, id, "dog_id", subject_id, record)?);
            }
            ObservationKind::Temperature => {
                rows.temperatures.push(offered(index, id, "dog_id", subject_id, record)?);
            }
            ObservationKind::HealthEvent => {
                rows.health_events.push(offered(index, id, "dog_id", subject_id, record)?);
            }
            ObservationKind::Birth => {
                rows.births.push(offered(index, id, "litter_id", subject_id, record)?);
            }
            ObservationKind::WhelpingLine => {
                rows.whelping_lines.push(offered(index, id, "litter_id", subject_id, record)?);
            }
            ObservationKind::DamCheck => {
                rows.dam_checks.push(offered(index, id, "litter_id", subject_id, record)?);
            }
            ObservationKind::Feed => {
                rows.feeds.push(offered(index, id, "dog_id", subject_id, record)?);
            }
            ObservationKind::PupCheck => {
                rows.pup_checks.push(offered(index, id, "dog_id", subject_id, record)?);
            }
        }
        Ok(())
    })
    .await
}

/// The rows of a batch that can be read, by kind.
#[derive(Default)]
struct Rows {
    births: Vec<Offered<Birth>>,
    weights: Vec<Offered<Weight>>,
    temperatures: Vec<Offered<Temperature>>,
    health_events: Vec<Offered<HealthEvent>>,
    whelping_lines: Vec<Offered<WhelpingLine>>,
    dam_checks: Vec<Offered<DamCheck>>,
    feeds: Vec<Offered<Feed>>,
    pup_checks: Vec<Offered<PupCheck>>,
}

impl Rows {
    fn latest(&self) -> Option<DateTime<Utc>> {
        fn last<R: Batched>(rows: &[Offered<R>]) -> Option<DateTime<Utc>> {
            rows.iter().map(|row| row.record.at()).max()
        }
        [
            last(&self.births),
            last(&self.weights),
            last(&self.temperatures),
            last(&self.health_events),
            last(&self.whelping_lines),
            last(&self.dam_checks),
            last(&self.feeds),
            last(&self.pup_checks),
        ]
        .into_iter()
        .flatten()
        .max()
    }

    async fn store(self, tx: &mut Tx, moved_by: Option<Duration>) -> StoreResult<Vec<RowOutcome>> {
        let mut done = Vec::new();
        done.extend(offer(tx, self.births, moved_by).await?);
        done.extend(offer(tx, self.weights, moved_by).await?);
        done.extend(offer(tx, self.temperatures, moved_by).await?);
        done.extend(offer(tx, self.health_events, moved_by).await?);
        done.extend(offer(tx, self.whelping_lines, moved_by).await?);
        done.extend(offer(tx, self.dam_checks, moved_by).await?);
        done.extend(offer(tx, self.feeds, moved_by).await?);
        done.extend(offer(tx, self.pup_checks, moved_by).await?);
        Ok(done)
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
        if let Some(at) = moved_by.and_then(|by| moved.at().checked_sub_signed(by)) {
            moved.set_at(at);
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
const MOST_TOLD_OF_ALL: usize = 1_000;

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
            let detail = "is not acceptable; send fewer rows at once to be told why".to_owned();
            told = vec![Fault { pointer: format!("/items/{index}"), detail }];
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
    placed: impl Fn(Fault) -> Fault,
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
        for RowOutcome { index, status, detail, errors } in rows.store(tx, moved_by).await? {
            let answer = &mut answers.rows[index];
            answer.status = status;
            answer.detail = detail.map(str::to_owned);
            answers.tell(index, errors.into_iter().map(&placed).collect());
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
                    "is no object with the fields of a row".to_owned()
                });
            }
            faults.into_result().map_err(|faults| Problem::faults(Kind::NotAcceptable, faults))?;
            Ok(items)
        }
        Some(Value::Array(items)) => Err(Problem::fault(
            Kind::NotAcceptable,
            "/items",
            format!("has {} rows; send 1 to {MOST_ROWS} at once", items.len()),
        )),
        _ => Err(Problem::fault(Kind::NotAcceptable, "/items", "must be a list of rows")),
    }
}

/// The frame of a row of any kind.
fn read_row(mut row: Value) -> Result<ObservationRow, Vec<Fault>> {
    let record = row.as_object_mut().and_then(|members| members.remove("record"));
    let Some(record @ Value::Object(_)) = record else {
        let detail = "must be an object: the body that the resource of this kind takes".to_owned();
        return Err(vec![Fault { pointer: "/record".to_owned(), detail }]);
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
fn offered<R: Record + Batched>(
    index: usize,
    id: Uuid,
    field: &str,
    subject_id: Uuid,
    mut record: Value,
) -> Result<Offered<R>, Vec<Fault>> {
    if let Value::Object(members) = &mut record {
        let named = members.insert(field.to_owned(), json!(subject_id));
        if named.is_some_and(|named| named != json!(subject_id)) {
            let detail = "differs from subject_id; leave it out".to_owned();
            return Err(vec![Fault { pointer: format!("/record/{field}"), detail }]);
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
        let detail = "must be a UUID of your own, not zero".to_owned();
        return Err(vec![Fault { pointer: "/id".to_owned(), detail }]);
    }
    Ok(Offered { index, id, record })
}

/// Faults of a row, at their place in the batch.
///
/// They quote the row, and the answer is kept for repeats: Postgres keeps no U+0000.
fn under(index: usize, faults: Vec<Fault>) -> Vec<Fault> {
    let quoted = |text: &str| text.replace('\0', "\u{fffd}");
    faults
        .into_iter()
        .map(Fault::in_brief)
        .map(|fault| Fault {
            pointer: format!("/items/{index}{}", quoted(&fault.pointer)),
            detail: quoted(&fault.detail),
        })
        .collect()
}

/// A fault of a record whose fields stand in the row itself.
fn in_row(fault: Fault) -> Fault {
    fault
}

/// A fault of a record that stands in a row of its own.
fn in_record(fault: Fault) -> Fault {
    let pointer = match fault.pointer.as_str() {
        "/id" => return fault,
        "/dog_id" | "/litter_id" => "/subject_id".to_owned(),
        inner => format!("/record{inner}"),
    };
    Fault { pointer, ..fault }
}
