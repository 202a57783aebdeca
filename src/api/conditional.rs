//! Conditional reads (RFC 9110, section 13): whoever has the answer already is told so, and not told again.
//!
//! Every JSON answer to a GET carries an `ETag`, and every table. Of a row it is the version and what tells two answers of one
//! version apart, since a caution beside the row may change while the row does not. Of what follows from the
//! whole kennel (the wall, its alarms, its plan) it is known before anything is read, so that a screen which
//! asks in vain costs no computation.

use super::{problem::Problem, table};
use actix_web::{
    Error, HttpRequest, HttpResponse,
    body::{self, BoxBody, MessageBody},
    dev::{ServiceRequest, ServiceResponse},
    http::{
        Method, StatusCode,
        header::{self, HeaderMap, HeaderValue},
    },
    middleware::Next,
};
use sha2::{Digest as _, Sha256};
use std::fmt::Write as _;
use store::scope::{KennelState, Right, Scope};

/// Gives a JSON answer or a table its tag; answers 304 where the client names it.
///
/// # Errors
/// Those of the request.
pub async fn tagged(
    request: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let is_read = request.method() == Method::GET && request.path().starts_with("/v1/");
    let response = next.call(request).await?.map_into_boxed_body();
    if !is_read || response.status() != StatusCode::OK || !is_tagged(response.headers()) {
        return Ok(response);
    }
    let (request, response) = response.into_parts();
    let (mut response, whole) = response.into_parts();
    let whole = match whole.try_into_bytes() {
        Ok(whole) => whole,
        // A stream has no end by which to know it.
        Err(stream) => return Ok(ServiceResponse::new(request, response.set_body(stream))),
    };
    let tag = match response.headers().get(header::ETAG) {
        Some(tag) if tag.as_bytes().starts_with(b"W/") => tag.clone(),
        Some(version) => {
            let version = version.to_str().unwrap_or_default().trim_matches('"');
            tag_of(&format!("\"{version}-{}\"", digest(&[&whole])))
        }
        None => tag_of(&format!("\"{}\"", digest(&[&whole]))),
    };
    let is_known = names(request.headers(), &tag);
    response.headers_mut().insert(header::ETAG, tag);
    if is_known {
        *response.status_mut() = StatusCode::NOT_MODIFIED;
        response.headers_mut().remove(header::CONTENT_TYPE);
        return Ok(ServiceResponse::new(
            request,
            response.set_body(BoxBody::new(body::None::new())),
        ));
    }
    Ok(ServiceResponse::new(request, response.set_body(BoxBody::new(whole))))
}

/// Answers 304, without doing the work, where what the whole kennel says cannot have changed since the client
/// asked: the same person with the same rights asks the same, of the same newest change, in the same minute.
///
/// # Errors
/// Those of `work`.
pub(crate) async fn unless_unchanged(
    scope: &Scope,
    request: &HttpRequest,
    work: impl AsyncFnOnce() -> Result<HttpResponse, Problem>,
) -> Result<HttpResponse, Problem> {
    let Some(tag) = state_tag(scope, request) else { return work().await };
    if names(request.headers(), &tag) {
        let mut unchanged = HttpResponse::NotModified();
        return Ok(unchanged.insert_header((header::ETAG, tag)).insert_header(VARIES).finish());
    }
    let mut response = work().await?;
    response.headers_mut().insert(header::ETAG, tag);
    response.headers_mut().insert(header::VARY, HeaderValue::from_static(VARIES.1));
    Ok(response)
}

/// The tag is one of what was asked for, be it JSON or a table.
const VARIES: (header::HeaderName, &str) = (header::VARY, "Accept");

/// The answer to who has a file already, whose tag is this one.
pub(crate) fn unchanged(request: &HttpRequest, tag: &str) -> Option<HttpResponse> {
    let tag = tag_of(tag);
    let is_known = names(request.headers(), &tag);
    is_known.then(|| HttpResponse::NotModified().insert_header((header::ETAG, tag)).finish())
}

/// What an answer follows from, but for the rules built into the program, which its version stands for. A
/// weak tag: two answers of one minute may differ in the second at which they were given.
fn state_tag(scope: &Scope, request: &HttpRequest) -> Option<HeaderValue> {
    let KennelState { newest_change, renamings } = scope.state()?;
    let kennel = scope.kennel();
    let rights: Vec<&str> = Right::ALL
        .iter()
        .filter(|right| scope.allows(**right))
        .map(|right| right.as_str())
        .collect();
    let minute = scope.now().format("%Y-%m-%dT%H:%M").to_string();
    let asked = request.uri().path_and_query().map_or("", |asked| asked.as_str());
    let state = digest(&[
        env!("CARGO_PKG_VERSION").as_bytes(),
        asked.as_bytes(),
        if table::is_wanted(request) { b"table" } else { b"" },
        catalogue::spoken().tag().as_bytes(),
        scope.person_id().as_bytes(),
        scope.role().as_str().as_bytes(),
        rights.join(" ").as_bytes(),
        kennel.time_zone.as_bytes(),
        kennel.jurisdiction.as_deref().unwrap_or_default().as_bytes(),
        &newest_change.to_be_bytes(),
        &renamings.to_be_bytes(),
        minute.as_bytes(),
    ]);
    Some(tag_of(&format!("W/\"{state}\"")))
}

/// Half of a SHA-256 of parts, in hexadecimal digits; where one part ends counts.
pub(crate) fn digest(parts: &[&[u8]]) -> String {
    let mut hash = Sha256::new();
    for part in parts {
        hash.update((part.len() as u64).to_be_bytes());
        hash.update(part);
    }
    hash.finalize().iter().take(16).fold(String::with_capacity(32), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

fn tag_of(text: &str) -> HeaderValue {
    // A tag of ours is made of digits and letters.
    HeaderValue::from_str(text).unwrap_or_else(|_| HeaderValue::from_static("\"\""))
}

/// Whether `If-None-Match` names a tag; weak ones and strong ones are compared alike, as for reads they are.
fn names(headers: &HeaderMap, tag: &HeaderValue) -> bool {
    let opaque = |text: &str| text.trim().trim_start_matches("W/").to_owned();
    let Ok(tag) = tag.to_str().map(opaque) else { return false };
    let named = headers.get_all(header::IF_NONE_MATCH).filter_map(|value| value.to_str().ok());
    named.flat_map(|value| value.split(',')).any(|one| one.trim() == "*" || opaque(one) == tag)
}

/// Whether it is JSON, or a list as a table; a file that people keep is asked for once.
fn is_tagged(headers: &HeaderMap) -> bool {
    let media_type = headers.get(header::CONTENT_TYPE).and_then(|value| value.to_str().ok());
    media_type.is_some_and(|media_type| {
        media_type.starts_with("application/json") || media_type == table::TABLE
    })
}
