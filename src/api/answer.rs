//! Answers: versions as ETags, preconditions, and repeats that get the same answer.

use super::{
    App,
    problem::{Kind, Problem},
    table,
};
use actix_web::{
    FromRequest, HttpRequest, HttpResponse,
    dev::Payload,
    http::{StatusCode, header},
};
use catalogue::said;
use domain::record::Kept;
use serde::Serialize;
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};
use std::future::{Ready, ready};
use store::{
    StoreResult, Tx,
    idempotency::{self, KeptAnswer},
    keep::Seen,
    scope::Scope,
};
use utoipa::ToSchema;

/// The version that the client has seen, from `If-Match`; `*` is whichever is there.
pub(crate) struct IfMatch(pub Seen);

impl FromRequest for IfMatch {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let Some(value) = request.headers().get(header::IF_MATCH) else {
            return ready(Err(Problem::new(
                Kind::MissingPrecondition,
                said!("problem-missing-precondition"),
            )));
        };
        let tag = value.to_str().unwrap_or_default().trim();
        if tag == "*" {
            return ready(Ok(Self(Seen::Whichever)));
        }
        // A proxy that compresses may have made the tag a weak one. What stands behind the version tells
        // one answer from another, not one version.
        let version = tag.trim_start_matches("W/").trim_matches('"').split('-').next();
        // An ETag that we never gave matches no version.
        let version = version.and_then(|version| version.parse().ok()).unwrap_or(-1);
        ready(Ok(Self(Seen::Version(version))))
    }
}

/// A new row: where it is, and which version.
pub struct Created<T> {
    /// Path of the new resource.
    pub location: String,
    /// Its version, when it can be changed.
    pub version: Option<i64>,
    /// What is answered.
    pub body: T,
}

/// An answer that carries a version.
pub(crate) fn versioned<R: Serialize>(kept: &Kept<R>) -> HttpResponse {
    HttpResponse::Ok().insert_header((header::ETAG, etag(kept.version))).json(kept)
}

/// An answer that carries a version beside what is kept.
pub fn tagged<T: Serialize>(version: i64, body: &T) -> HttpResponse {
    HttpResponse::Ok().insert_header((header::ETAG, etag(version))).json(body)
}

/// A page of a list, with the link to the next one: as JSON, or as a table of its rows.
///
/// # Errors
/// When it cannot be written.
pub fn list<Row: ToSchema + 'static>(
    request: &HttpRequest,
    next_cursor: Option<&str>,
    list: &impl Serialize,
) -> Result<HttpResponse, Problem> {
    let mut response = HttpResponse::Ok();
    response.insert_header((header::VARY, "Accept"));
    if let Some(cursor) = next_cursor {
        let mut query: Vec<(String, String)> =
            form_urlencoded::parse(request.query_string().as_bytes())
                .filter(|(name, _)| name != "cursor")
                .map(|(name, value)| (name.into_owned(), value.into_owned()))
                .collect();
        query.push(("cursor".to_owned(), cursor.to_owned()));
        let query = serde_urlencoded::to_string(query).unwrap_or_default();
        let link = format!("<{}?{query}>; rel=\"next\"", request.path());
        response.insert_header((header::LINK, link));
    }
    if !table::is_wanted(request) {
        return Ok(response.json(list));
    }
    let not_written = || Problem::new(Kind::Fault, said!("problem-fault-table"));
    let mut list = serde_json::to_value(list).map_err(|_| not_written())?;
    let Some(Value::Array(rows)) = list.get_mut("items").map(Value::take) else {
        return Err(not_written());
    };
    let table =
        domain::table::written(&table::columns::<Row>(), &rows).map_err(|_| not_written())?;
    Ok(response.content_type(table::TABLE).body(table))
}

/// A page of records.
///
/// # Errors
/// As [`list`].
pub fn page<R: Serialize + ToSchema + 'static>(
    request: &HttpRequest,
    page: &domain::record::List<R>,
) -> Result<HttpResponse, Problem> {
    list::<Kept<R>>(request, page.next_cursor.as_deref(), page)
}

fn etag(version: i64) -> String {
    format!("\"{version}\"")
}

/// Does a POST once: a repeat with the same `Idempotency-Key` and body gets the first answer.
///
/// # Errors
/// Those of `work`, and 422 when the key was used with another request.
pub async fn once<T: Serialize>(
    app: &App,
    scope: &Scope,
    request: &HttpRequest,
    body: &[u8],
    work: impl AsyncFnOnce(&mut Tx) -> StoreResult<Created<T>>,
) -> Result<HttpResponse, Problem> {
    let work = async |tx: &mut Tx| kept_answer(work(tx).await?);
    once_as(app, scope, request, body, Keeping::Whole, work).await
}

/// Does a POST once whose answer shows a secret. The answer is kept without its body: a repeat makes no
/// second secret, and is told that the first was shown.
///
/// # Errors
/// As [`once`], and 409 for a repeat.
pub(crate) async fn once_shown<T: Serialize>(
    app: &App,
    scope: &Scope,
    request: &HttpRequest,
    body: &[u8],
    work: impl AsyncFnOnce(&mut Tx) -> StoreResult<Created<T>>,
) -> Result<HttpResponse, Problem> {
    let work = async |tx: &mut Tx| kept_answer(work(tx).await?);
    let mut response = once_as(app, scope, request, body, Keeping::HeadAlone, work).await?;
    let no_store = header::HeaderValue::from_static("no-store");
    response.headers_mut().insert(header::CACHE_CONTROL, no_store);
    Ok(response)
}

/// What is kept of an answer.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Keeping {
    /// All of it.
    Whole,
    /// Status and headers; the body holds a secret.
    HeadAlone,
}

/// Does a POST once that makes no resource of its own; it is answered with 200.
///
/// # Errors
/// As [`once`].
pub(crate) async fn once_done<T: Serialize>(
    app: &App,
    scope: &Scope,
    request: &HttpRequest,
    body: &[u8],
    work: impl AsyncFnOnce(&mut Tx) -> StoreResult<T>,
) -> Result<HttpResponse, Problem> {
    once_as(app, scope, request, body, Keeping::Whole, async |tx| {
        let body = serde_json::to_value(work(tx).await?)
            .map_err(|error| store::StoreError::Internal(error.to_string()))?;
        Ok(KeptAnswer { status: StatusCode::OK.as_u16(), headers: json!({}), body: Some(body) })
    })
    .await
}

async fn once_as(
    app: &App,
    scope: &Scope,
    request: &HttpRequest,
    body: &[u8],
    keeping: Keeping,
    work: impl AsyncFnOnce(&mut Tx) -> StoreResult<KeptAnswer>,
) -> Result<HttpResponse, Problem> {
    let key = idempotency_key(request)?;
    let fingerprint = fingerprint(request, body);
    let answer = app
        .db
        .writing(scope, async |tx| {
            if let Some(key) = &key
                && let Some(answer) = idempotency::claim(tx, key, &fingerprint).await?
            {
                return Ok(answer);
            }
            let answer = work(tx).await?;
            if let Some(key) = &key {
                let body = answer.body.clone().filter(|_| keeping == Keeping::Whole);
                let kept = KeptAnswer { body, ..answer.clone() };
                idempotency::keep_answer(tx, key, &kept).await?;
            }
            Ok(answer)
        })
        .await?;
    respond(&answer)
}

fn idempotency_key(request: &HttpRequest) -> Result<Option<String>, Problem> {
    let Some(value) = request.headers().get("Idempotency-Key") else { return Ok(None) };
    let key = value.to_str().unwrap_or_default();
    let visible = key.bytes().all(|byte| byte == b' ' || byte.is_ascii_graphic());
    if key.is_empty() || key.len() > 255 || !visible {
        return Err(Problem::fault(
            Kind::Unreadable,
            "#header/Idempotency-Key",
            said!("fault-malformed-idempotency-key", most = 255),
        ));
    }
    Ok(Some(key.to_owned()))
}

fn fingerprint(request: &HttpRequest, body: &[u8]) -> Vec<u8> {
    let mut hash = Sha256::new();
    hash.update(request.method().as_str());
    hash.update([0]);
    hash.update(request.uri().path_and_query().map_or("", |path| path.as_str()));
    hash.update([0]);
    hash.update(body);
    hash.finalize().to_vec()
}

fn kept_answer<T: Serialize>(created: Created<T>) -> StoreResult<KeptAnswer> {
    let internal = |error: serde_json::Error| store::StoreError::Internal(error.to_string());
    let version = created.version.map(etag);
    Ok(KeptAnswer {
        status: StatusCode::CREATED.as_u16(),
        headers: json!({ "location": created.location, "etag": version }),
        body: Some(serde_json::to_value(created.body).map_err(internal)?),
    })
}

fn respond(answer: &KeptAnswer) -> Result<HttpResponse, Problem> {
    let Some(body) = &answer.body else {
        return Err(Problem::new(Kind::Conflict, said!("problem-conflict-shown-once")));
    };
    let status = StatusCode::from_u16(answer.status).unwrap_or(StatusCode::OK);
    let mut response = HttpResponse::build(status);
    for name in ["location", "etag"] {
        if let Some(value) = answer.headers.get(name).and_then(Value::as_str) {
            response.insert_header((name, value));
        }
    }
    Ok(response.json(body))
}
