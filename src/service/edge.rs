//! What surrounds every request: its id, its line in the log, its figures, its time limit, and the
//! headers that every answer carries.

use super::known_paths::KnownPaths;
use actix_web::{
    Error, HttpMessage as _,
    body::MessageBody,
    dev::{ServiceRequest, ServiceResponse},
    http::{
        Method,
        header::{self, HeaderMap, HeaderName, HeaderValue},
    },
    middleware::Next,
};
use api::{
    problem::{Kind, Problem},
    words,
};
use catalogue::said;
use metrics::METRICS;
use std::{
    borrow::Cow,
    sync::Arc,
    time::{Duration, Instant},
};
use tracing::Span;
use tracing_actix_web::{RequestId, RootSpanBuilder};

/// The header that tells a request's id, to find it in the log.
pub(crate) const REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");

/// The span of a request: its method, its path without secrets, its id.
///
/// The path of a secret link is the secret, and a query may hold names; neither goes to the log.
/// Nor does what an answer says: that may repeat what was sent.
pub(crate) struct QuietSpan;

impl RootSpanBuilder for QuietSpan {
    fn on_request_start(request: &ServiceRequest) -> Span {
        let id = request.extensions().get::<RequestId>().copied();
        tracing::info_span!(
            "request",
            id = id.map(tracing::field::display),
            method = known_method(request.method().as_str()),
            path = words::path(request.path()),
        )
    }

    fn on_request_end<B: MessageBody>(_: Span, _: &Result<ServiceResponse<B>, Error>) {}
}

/// A method, unless a client made it up.
fn known_method(method: &str) -> &str {
    let known = ["GET", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "HEAD"];
    known.into_iter().find(|known| *known == method).unwrap_or("other")
}

/// Gives a request its log line and figures, and its answer the common headers.
///
/// # Errors
/// Those of the request.
pub(crate) async fn around(
    mut request: ServiceRequest,
    next: Next<impl MessageBody>,
    known: Arc<KnownPaths>,
    https: bool,
) -> Result<ServiceResponse<impl MessageBody>, Error> {
    let began = Instant::now();
    let id = request.extensions().get::<RequestId>().copied();
    let method = request.method().clone();
    let is_page = request.path().starts_with("/docs");
    if method == Method::HEAD {
        ask_as_get(&mut request);
    }
    let result = next.call(request).await;
    let took = began.elapsed();
    let (route, status) = match &result {
        Ok(response) => {
            // The router would go through all of its patterns once more.
            let request = response.request();
            let route = match known.pattern(request.path()) {
                Some(pattern) => Cow::Borrowed(pattern),
                None => request.match_pattern().map_or(Cow::Borrowed("none"), Cow::Owned),
            };
            (route, response.status().as_u16())
        }
        Err(error) => ("none".into(), error.as_response_error().status_code().as_u16()),
    };
    METRICS.answered(known_method(method.as_str()), &route, status, took);
    let milliseconds = u64::try_from(took.as_millis()).unwrap_or(u64::MAX);
    let error = result.as_ref().map_or_else(Some, |response| response.response().error());
    let problem = error.and_then(Error::as_error::<Problem>);
    let kind = problem.map(|problem| problem.kind().name());
    let places = problem.map(Problem::places);
    if route.starts_with("/health/") || route == "/metrics" {
        tracing::debug!(status, milliseconds, %route, "answered");
    } else {
        tracing::info!(status, milliseconds, %route, kind, places, "answered");
    }
    let mut response = result?;
    add_headers(response.headers_mut(), is_page, https);
    if let Some(value) = id.and_then(|id| HeaderValue::from_str(&id.to_string()).ok()) {
        response.headers_mut().insert(REQUEST_ID, value);
    }
    Ok(response)
}

/// A HEAD is answered as a GET would be: what writes the answer down leaves its body away, by the method
/// that came over the line. A stream would have no end to leave away.
fn ask_as_get(request: &mut ServiceRequest) {
    request.head_mut().method = Method::GET;
    request.headers_mut().remove(header::ACCEPT);
}

/// Headers of OWASP's REST Security Cheat Sheet.
fn add_headers(headers: &mut HeaderMap, is_page: bool, https: bool) {
    let mut add = |name: HeaderName, value: &'static str| {
        if !headers.contains_key(&name) {
            headers.insert(name, HeaderValue::from_static(value));
        }
    };
    add(header::X_CONTENT_TYPE_OPTIONS, "nosniff");
    add(header::X_FRAME_OPTIONS, "DENY");
    add(header::REFERRER_POLICY, "no-referrer");
    if is_page {
        // The readable documentation brings its own scripts and styles.
        add(
            header::CONTENT_SECURITY_POLICY,
            "default-src 'self'; style-src 'self' 'unsafe-inline'; script-src 'self' 'unsafe-inline'; \
             img-src 'self' data:; frame-ancestors 'none'",
        );
    } else {
        add(header::CONTENT_SECURITY_POLICY, "default-src 'none'; frame-ancestors 'none'");
        add(header::CACHE_CONTROL, "private, no-cache");
    }
    if https {
        add(header::STRICT_TRANSPORT_SECURITY, "max-age=31536000");
    }
}

/// Ends a request that takes too long, its body included; a stream that has begun goes on.
///
/// # Errors
/// 408 when the time is over, and those of the request.
pub(crate) async fn in_time(
    request: ServiceRequest,
    next: Next<impl MessageBody>,
    limit: Duration,
) -> Result<ServiceResponse<impl MessageBody>, Error> {
    match tokio::time::timeout(limit, next.call(request)).await {
        Ok(result) => result,
        Err(_) => Err(Problem::new(Kind::TooSlow, said!("problem-too-slow")).into()),
    }
}
