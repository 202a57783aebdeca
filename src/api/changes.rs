//! The log of changes: for audit, for a phone that was away, and live.

use super::{
    App, answer,
    body::JsonBody,
    live::live,
    login::InKennel,
    problem::{Kind, Problem},
    query::Query,
};
use actix_web::{HttpRequest, HttpResponse, get, http::header, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use store::{
    changes::{self, Which},
    restore,
    scope::{Right, Scope},
};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

/// Most changes in one answer.
pub(super) const PAGE: i64 = 500;

/// Most characters of a word that rows are asked for by.
const LONGEST_WORD: usize = 100;

/// Where to go on.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub struct After {
    /// Number of the last change already seen; 0 or left out for all.
    #[serde(default)]
    #[param(minimum = 0)]
    after: i64,
    /// Changes in one answer, 1–500; 500 when left out. A stream has no end.
    #[param(minimum = 1, maximum = 500)]
    limit: Option<i64>,
    /// Only this kind of row, as the log calls it (`weight`).
    #[param(max_length = 100)]
    what: Option<String>,
    /// Only this row: its history, from its beginning.
    row_id: Option<Uuid>,
}

/// One write.
#[derive(Serialize, ToSchema)]
pub struct ChangeAnswer {
    /// Its number in the kennel: without gap, in the order in which writes became visible.
    #[schema(example = 4813)]
    sequence: i64,
    /// When.
    at: DateTime<Utc>,
    /// Who; null for the service itself.
    person_id: Option<Uuid>,
    /// What kind of row.
    #[schema(example = "weight")]
    what: String,
    /// Which row; null for an import, which is logged once.
    row_id: Option<Uuid>,
    /// `created`, `changed`, `deleted` or `imported`.
    #[schema(example = "created")]
    action: String,
    /// The row before.
    before: Option<serde_json::Value>,
    /// The row after.
    after: Option<serde_json::Value>,
}

impl From<changes::Change> for ChangeAnswer {
    fn from(change: changes::Change) -> Self {
        let changes::Change { sequence, at, person_id, what, row_id, action, before, after } =
            change;
        Self { sequence, at, person_id, what, row_id, action, before, after }
    }
}

/// Changes after a number.
#[derive(Serialize, ToSchema)]
pub struct Changes {
    /// In order; at most `limit`.
    items: Vec<ChangeAnswer>,
    /// Ask with this `after` next.
    last_sequence: i64,
    /// Whether there are more already.
    more: bool,
    /// The number of the kennel's last change: a stream after it tells only what comes.
    #[schema(example = 4812)]
    newest_sequence: i64,
}

/// Read the log of changes, or follow it live.
///
/// With `Accept: text/event-stream` the answer is a stream of the same changes, one event each, with
/// the sequence as its id; it goes on after `Last-Event-ID`. A person has at most 20 streams open and a kennel
/// 100 (429); an instance serves 4,000 (503).
#[utoipa::path(tag = "changes", params(After), responses(
    (status = 200, description = "Changes, or a live stream of them.", content(
        (Changes = "application/json"), (String = "text/event-stream")))))]
#[get("/v1/kennels/{kennel_id}/changes")]
pub async fn list_changes(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    query: Query<After>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    if query.0.after < 0 {
        return Err(Problem::fault(Kind::Unreadable, "#query/after", "must be 0 or more"));
    }
    if query.0.what.as_ref().is_some_and(|what| what.chars().count() > LONGEST_WORD) {
        let detail = format!("is longer than {LONGEST_WORD} characters; give a word of the log");
        return Err(Problem::fault(Kind::Unreadable, "#query/what", detail));
    }
    let which = Which { what: query.0.what.clone(), row_id: query.0.row_id };
    let header =
        |name: header::HeaderName| request.headers().get(name).and_then(|v| v.to_str().ok());
    if header(header::ACCEPT).is_some_and(|accept| accept.contains("text/event-stream")) {
        let last = request.headers().get("Last-Event-ID").and_then(|v| v.to_str().ok());
        let after = last.and_then(|id| id.parse().ok()).unwrap_or(query.0.after);
        return live(app, scope.0, which, after);
    }
    let limit = query.0.limit.unwrap_or(PAGE);
    if !(1..=PAGE).contains(&limit) {
        let detail = format!("must be from 1 to {PAGE}");
        return Err(Problem::fault(Kind::Unreadable, "#query/limit", detail));
    }
    let (items, more) = read(&app, &scope.0, &which, query.0.after, limit).await?;
    let last_sequence = items.last().map_or(query.0.after, |change| change.sequence);
    let newest_sequence = app.db.within(&scope.0, changes::head).await?;
    let items = items.into_iter().map(ChangeAnswer::from).collect();
    Ok(HttpResponse::Ok().json(Changes { items, last_sequence, more, newest_sequence }))
}

pub(super) async fn read(
    app: &App,
    scope: &Scope,
    which: &Which,
    after: i64,
    limit: i64,
) -> Result<(Vec<changes::Change>, bool), Problem> {
    let mut items =
        app.db.within(scope, async |tx| changes::after(tx, which, after, limit + 1).await).await?;
    let limit = usize::try_from(limit).unwrap_or(usize::MAX);
    let more = items.len() > limit;
    items.truncate(limit);
    Ok((items, more))
}

pub(super) fn event(change: changes::Change) -> String {
    let id = change.sequence;
    let data = serde_json::to_string(&ChangeAnswer::from(change)).unwrap_or_default();
    format!("id: {id}\nevent: change\ndata: {data}\n\n")
}

/// The version of the row that is to be restored.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RowAsSeen {
    /// The row's version now; null or left out when it is deleted.
    #[serde(default)]
    #[schema(example = 3)]
    version: Option<i64>,
}

/// A row as it was restored.
#[derive(Serialize, ToSchema)]
pub struct RestoredRow {
    /// What kind of row.
    #[schema(example = "weight")]
    what: String,
    /// Which.
    row_id: Uuid,
    /// Its version now.
    #[schema(example = 4)]
    version: i64,
    /// Its fields now.
    #[schema(value_type = Object, example = json!({"weight_g": 412}))]
    row: serde_json::Value,
}

/// Restore a row to what it was after a change, or before its deletion.
///
/// An owner finds the change in the row's history (`GET …/changes?row_id=`). The row passes the same
/// checks as any write; what hangs on a deleted row is restored after it, one by one. Memberships,
/// invitations and secrets do not come back.
#[utoipa::path(tag = "changes", request_body = RowAsSeen,
    responses((status = 200, description = "Restored, which is a change again.", body = RestoredRow)))]
#[post("/v1/kennels/{kennel_id}/changes/{sequence}/restore")]
pub async fn restore_change(
    app: web::Data<App>,
    scope: InKennel,
    path: web::Path<(Uuid, i64)>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let raw = body.digest();
    let RowAsSeen { version } = body.parse().await?;
    answer::once_done(&app, &scope.0, &request, &raw, async |tx| {
        let restored = restore::restore(tx, path.1, version).await?;
        let restore::Restored { what, row_id, version, row } = restored;
        Ok(RestoredRow { what, row_id, version, row })
    })
    .await
}
