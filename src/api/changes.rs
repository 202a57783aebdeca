//! The log of changes: for audit, for a phone that was away, and live.

use super::{
    App, answer,
    body::JsonBody,
    live::live,
    login::InKennel,
    problem::{Kind, Problem},
    query::{Listing, Paging},
};
use actix_web::{HttpRequest, HttpResponse, get, http::header, post, web};
use catalogue::{Text, said};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use store::{
    Tx,
    changes::{self, Span, Which},
    restore::{self, Companion, LeftOut},
    scope::Right,
};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

/// Most characters of a word that rows are asked for by.
const LONGEST_WORD: usize = 100;

/// Which changes to tell of.
#[derive(Deserialize, IntoParams)]
#[serde(deny_unknown_fields)]
#[into_params(parameter_in = Query)]
pub(crate) struct ChangeFilter {
    /// Only those after this number, the last one already seen.
    #[serde(default)]
    #[param(minimum = 0)]
    after: i64,
    /// Only this kind of row, as the log calls it (`weight`).
    #[param(max_length = 100)]
    #[serde(rename = "record")]
    what: Option<String>,
    /// Only this row: its history.
    row_id: Option<Uuid>,
    /// Only of this litter: its own row, what hangs on it, and its pups with what is theirs.
    litter_id: Option<Uuid>,
    /// Only about this dog.
    dog_id: Option<Uuid>,
}

/// One write.
#[derive(Serialize, ToSchema)]
pub(crate) struct ChangeAnswer {
    /// Its number in the kennel: without gap, in the order in which writes became visible.
    #[schema(example = 4813)]
    sequence: i64,
    /// When.
    #[serde(rename = "changed_at")]
    at: DateTime<Utc>,
    /// Who; null for the service itself.
    person_id: Option<Uuid>,
    /// What kind of row.
    #[schema(example = "weight")]
    #[serde(rename = "record")]
    what: String,
    /// Which row; null for an import, which is logged once.
    row_id: Option<Uuid>,
    /// `created`, `changed`, `deleted` or `imported`; of an alarm `raised`, `worse`, `seen` or `over`.
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

/// A page of the log.
#[derive(Serialize, ToSchema)]
pub(crate) struct Changes {
    /// In order.
    items: Vec<ChangeAnswer>,
    /// The next page's `cursor`; null on the last.
    next_cursor: Option<String>,
    /// The largest number told: ask with this `after` for what comes.
    last_sequence: i64,
    /// The number of the kennel's last change: a stream after it tells only what comes.
    #[schema(example = 4812)]
    newest_sequence: i64,
}

/// Read the log of changes, or follow it live.
///
/// With `Accept: text/event-stream` the answer is a stream of the same changes, one event each, with
/// the sequence as its id; it goes on after `Last-Event-ID`, and knows neither page nor order. A person has at most 20 streams open and a kennel
/// 100 (429); an instance serves 4,000 (503).
#[utoipa::path(tag = "changes", params(Paging, ("sort" = Option<String>, Query, description = "By `sequence`."), ChangeFilter), responses(
    (status = 200, description = "A page, or a live stream of them.", content(
        (Changes = "application/json"), (String = "text/event-stream")))))]
#[get("/v1/kennels/{kennel_id}/changes")]
pub(crate) async fn list_changes(
    app: web::Data<App>,
    scope: InKennel,
    _path: web::Path<Uuid>,
    request: HttpRequest,
    listing: Listing<ChangeFilter>,
) -> Result<HttpResponse, Problem> {
    scope.0.require(Right::Dogs)?;
    let Listing { filter: ChangeFilter { after, what, row_id, litter_id, dog_id }, asked } =
        listing;
    if after < 0 {
        return Err(Problem::fault(
            Kind::Unreadable,
            "#query/after",
            said!("fault-out-of-range-after", least = 0),
        ));
    }
    if what.as_ref().is_some_and(|what| what.chars().count() > LONGEST_WORD) {
        let detail = said!("fault-too-long-log-word", most = LONGEST_WORD);
        return Err(Problem::fault(Kind::Unreadable, "#query/record", detail));
    }
    let which = Which { what, row_id, litter_id, dog_id };
    let header =
        |name: header::HeaderName| request.headers().get(name).and_then(|v| v.to_str().ok());
    if header(header::ACCEPT).is_some_and(|accept| accept.contains("text/event-stream")) {
        let last = request.headers().get("Last-Event-ID").and_then(|v| v.to_str().ok());
        let after = last.and_then(|id| id.parse().ok()).unwrap_or(after);
        return live(app, scope.0, which, after);
    }
    let (cursor, newest_first) = asked.of_numbered()?;
    let span = match newest_first {
        true => Span::Before { newest: cursor, after },
        false => Span::After(cursor.map_or(after, |cursor| cursor.max(after))),
    };
    let read = async |tx: &mut Tx| {
        let found = changes::told(tx, &which, span, asked.limit + 1).await?;
        Ok((found, changes::head(tx).await?))
    };
    let (found, newest_sequence) = app.db.within(&scope.0, read).await?;
    let (items, next_cursor) = asked.numbered(found, |change| change.sequence);
    let last_sequence = items.iter().map(|change| change.sequence).fold(after, i64::max);
    let items = items.into_iter().map(ChangeAnswer::from).collect();
    let list = Changes { items, next_cursor, last_sequence, newest_sequence };
    answer::list::<ChangeAnswer>(&request, list.next_cursor.as_deref(), &list)
}

pub(super) fn event(change: changes::Change) -> String {
    let id = change.sequence;
    let data = serde_json::to_string(&ChangeAnswer::from(change)).unwrap_or_default();
    format!("id: {id}\nevent: change\ndata: {data}\n\n")
}

/// The version of the row that is to be restored.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct RowAsSeen {
    /// The row's version now; null or left out when it is deleted.
    #[serde(default)]
    #[schema(example = 3)]
    version: Option<i64>,
}

/// A row as it was restored.
#[derive(Serialize, ToSchema)]
pub(crate) struct RestoredRow {
    /// What kind of row.
    #[schema(example = "weight")]
    #[serde(rename = "record")]
    what: String,
    /// Which.
    row_id: Uuid,
    /// Its version now.
    #[schema(example = 4)]
    version: i64,
    /// Its fields now.
    #[schema(value_type = Object, example = json!({"weight_g": 412}))]
    row: serde_json::Value,
    /// Deleted by the same write, and back as well.
    brought: Vec<RowBeside>,
    /// Deleted by the same write, and not back.
    left_out: Vec<RowLeftOut>,
}

/// Another row.
#[derive(Serialize, ToSchema)]
pub(crate) struct RowBeside {
    /// What kind of row.
    #[schema(example = "dog")]
    #[serde(rename = "record")]
    what: String,
    /// Which.
    row_id: Uuid,
}

/// Another row that no longer fits.
#[derive(Serialize, ToSchema)]
pub(crate) struct RowLeftOut {
    /// What kind of row.
    #[schema(example = "litter_plan")]
    #[serde(rename = "record")]
    what: String,
    /// Which.
    row_id: Uuid,
    /// Why.
    #[schema(value_type = String)]
    why: Text,
}

/// Restore a row to what it was after a change, or before its deletion.
///
/// An owner finds the change in the row's history (`GET …/changes?row_id=`). The row passes the same
/// checks as any write. With a deleted row comes back all that the same write deleted. Memberships,
/// invitations and secrets do not come back.
#[utoipa::path(tag = "changes", request_body = RowAsSeen,
    responses((status = 200, description = "Restored, which is a change again.", body = RestoredRow)))]
#[post("/v1/kennels/{kennel_id}/changes/{sequence}/restore")]
pub(crate) async fn restore_change(
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
        let restore::Restored { what, row_id, version, row, brought, left_out } = restored;
        let beside = |Companion { what, row_id }| RowBeside { what, row_id };
        let kept_out = |LeftOut { what, row_id, why }| RowLeftOut { what, row_id, why };
        let brought = brought.into_iter().map(beside).collect();
        let left_out = left_out.into_iter().map(kept_out).collect();
        Ok(RestoredRow { what, row_id, version, row, brought, left_out })
    })
    .await
}
