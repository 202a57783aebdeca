//! Errors as RFC 9457 problems. This table alone knows statuses.

use crate::words;
use actix_web::{
    HttpResponse, ResponseError,
    http::{StatusCode, header},
};
use domain::{
    fault::{Fault, MOST_TOLD},
    slips::named_twice,
};
use metrics::METRICS;
use serde::Serialize;
use std::fmt;
use store::StoreError;
use utoipa::ToSchema;
use uuid::Uuid;

/// Media type of a problem (RFC 9457).
pub const PROBLEM_JSON: &str = "application/problem+json";

/// Every kind of problem: its name in `type`, its status, its title.
macro_rules! kinds {
    ($($(#[$meta:meta])* $kind:ident = $name:literal, $status:ident, $title:literal;)+) => {
        /// A kind of problem.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum Kind { $($(#[$meta])* $kind,)+ }

        impl Kind {
            /// All kinds.
            pub const ALL: &'static [Kind] = &[$(Kind::$kind),+];
            /// What stands in `type`, after its beginning.
            pub fn name(self) -> &'static str { match self { $(Kind::$kind => $name,)+ } }
            /// HTTP status.
            pub fn status(self) -> StatusCode { match self { $(Kind::$kind => StatusCode::$status,)+ } }
            /// What stands in `title`.
            pub fn title(self) -> &'static str { match self { $(Kind::$kind => $title,)+ } }
        }
    };
}

kinds! {
    Unreadable = "unreadable", BAD_REQUEST, "The request cannot be read";
    NotLoggedIn = "not-logged-in", UNAUTHORIZED, "No good login";
    SecondFactor = "second-factor", UNAUTHORIZED, "A second factor is needed";
    Forbidden = "forbidden", FORBIDDEN, "Your role does not allow this";
    NotFound = "not-found", NOT_FOUND, "Not there, or not yours";
    WrongMethod = "wrong-method", METHOD_NOT_ALLOWED, "This path does not take this method";
    Conflict = "conflict", CONFLICT, "Taken already, or in use";
    Stale = "stale", PRECONDITION_FAILED, "Changed by somebody else in the meantime";
    TooLarge = "too-large", PAYLOAD_TOO_LARGE, "The body is too large";
    WrongMediaType = "wrong-media-type", UNSUPPORTED_MEDIA_TYPE, "The body is of another media type";
    NotAcceptable = "not-acceptable-values", UNPROCESSABLE_ENTITY, "Readable, but not acceptable";
    MissingPrecondition = "missing-precondition", PRECONDITION_REQUIRED, "Say which version you have seen";
    TooMany = "too-many-requests", TOO_MANY_REQUESTS, "Too many requests";
    Fault = "fault", INTERNAL_SERVER_ERROR, "A fault of the service";
    TooSlow = "too-slow", REQUEST_TIMEOUT, "The request took too long";
    Unavailable = "unavailable", SERVICE_UNAVAILABLE, "The database is away";
    Busy = "busy", SERVICE_UNAVAILABLE, "Others are being served";
    Full = "full", SERVICE_UNAVAILABLE, "There is no room left to write";
}

/// What went wrong and what to do, as RFC 9457 has it.
///
/// Details are for the client alone: they may repeat what it sent. What the log gets of a problem is its
/// kind, and the places of faults as far as their names are the published document's.
#[derive(Serialize, ToSchema)]
pub struct Problem {
    /// Stable name of the kind.
    #[serde(rename = "type")]
    #[schema(example = "urn:denwright:problem:not-acceptable-values")]
    kind_name: String,
    /// The kind in words.
    #[schema(example = "Readable, but not acceptable")]
    title: &'static str,
    /// HTTP status.
    #[schema(example = 422)]
    status: u16,
    /// What is wrong this time and what to do.
    #[schema(example = "2 values are not acceptable; see errors.")]
    detail: String,
    /// Every fault of the input and where it stands.
    errors: Vec<Fault>,
    #[serde(skip)]
    kind: Option<Kind>,
    #[serde(skip)]
    headers: Vec<(header::HeaderName, String)>,
}

impl Problem {
    /// A problem without faults of the input.
    pub fn new(kind: Kind, detail: impl Into<String>) -> Self {
        Self {
            kind_name: format!("urn:denwright:problem:{}", kind.name()),
            title: kind.title(),
            status: kind.status().as_u16(),
            detail: detail.into(),
            errors: Vec::new(),
            kind: Some(kind),
            headers: Vec::new(),
        }
    }

    /// A problem with faults of the input; of many the first are told.
    pub fn faults(kind: Kind, errors: Vec<Fault>) -> Self {
        let detail = match errors.len() {
            1 => "One value is not acceptable; see errors.".to_owned(),
            count if count <= MOST_TOLD => {
                format!("{count} values are not acceptable; see errors.")
            }
            _ => format!(
                "More than {MOST_TOLD} values are not acceptable; {MOST_TOLD} are in errors."
            ),
        };
        let errors = errors.into_iter().take(MOST_TOLD).map(Fault::in_brief).collect();
        Self { errors, ..Self::new(kind, detail) }
    }

    /// One fault of the input.
    pub fn fault(kind: Kind, pointer: &str, detail: impl Into<String>) -> Self {
        Self::faults(kind, vec![Fault { pointer: pointer.to_owned(), detail: detail.into() }])
    }

    /// Refuses a list that names something twice.
    ///
    /// # Errors
    /// 422 with a fault at each second place.
    pub fn unless_once_each(pointer: &str, ids: &[Uuid]) -> Result<(), Self> {
        let twice = named_twice(pointer, ids);
        if twice.is_empty() { Ok(()) } else { Err(Self::faults(Kind::NotAcceptable, twice)) }
    }

    /// Nothing is there.
    pub fn not_found() -> Self {
        Self::new(Kind::NotFound, "There is nothing at this address, or you may not see it.")
    }

    /// Nothing was written, and the same request may be good in so many seconds.
    pub(crate) fn later(kind: Kind, detail: &str, seconds: &str) -> Self {
        let detail = format!("Nothing was written. {detail}");
        Self::new(kind, detail).with_header(header::RETRY_AFTER, seconds)
    }

    /// Its kind.
    pub fn kind(&self) -> Kind {
        self.kind.unwrap_or(Kind::Fault)
    }

    /// Where its first faults are, for the log: without names that a client chose.
    pub fn places(&self) -> String {
        let places: Vec<String> =
            self.errors.iter().take(3).map(|fault| words::place(&fault.pointer)).collect();
        places.join(" ")
    }

    /// The same problem, with the faults of one place told at another.
    #[must_use]
    pub(crate) fn moved(mut self, from: &str, to: &str) -> Self {
        for fault in self.errors.iter_mut().filter(|fault| fault.pointer == from) {
            to.clone_into(&mut fault.pointer);
        }
        self
    }

    /// The same problem with one more header.
    pub fn with_header(mut self, name: header::HeaderName, value: impl Into<String>) -> Self {
        self.headers.push((name, value.into()));
        self
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {} {}", self.status, self.kind().name(), self.places())
    }
}

impl fmt::Debug for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        self.kind.map_or(StatusCode::INTERNAL_SERVER_ERROR, Kind::status)
    }

    fn error_response(&self) -> HttpResponse {
        let mut response = HttpResponse::build(self.status_code());
        if self.status_code() == StatusCode::UNAUTHORIZED {
            // A 401 says what is wanted (RFC 9110); what is wrong with it may stand below.
            response.insert_header((header::WWW_AUTHENTICATE, "Bearer"));
        }
        for (name, value) in &self.headers {
            response.insert_header((name.clone(), value.as_str()));
        }
        response.content_type(PROBLEM_JSON).body(serde_json::to_string(self).unwrap_or_default())
    }
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        // As it may be logged.
        let cause = error.to_string();
        match error {
            StoreError::NotFound => Self::not_found(),
            StoreError::Stale => Self::new(
                Kind::Stale,
                "Read it again, look at what changed, and repeat with the new ETag.",
            ),
            StoreError::Forbidden(what) => Self::new(Kind::Forbidden, sentence(what)),
            StoreError::Conflict(what) => Self::new(Kind::Conflict, sentence(&what)),
            StoreError::Refused(errors) => Self::faults(Kind::NotAcceptable, errors),
            StoreError::Login(what) => Self::new(Kind::NotLoggedIn, sentence(what))
                .with_header(header::WWW_AUTHENTICATE, "Bearer error=\"invalid_token\""),
            StoreError::Unavailable(_) => {
                METRICS.database_failed("unavailable");
                tracing::warn!(%cause, "database unavailable");
                Self::later(Kind::Unavailable, "Try again in a few seconds.", "3")
            }
            StoreError::Busy(_) => {
                METRICS.database_failed("busy");
                tracing::warn!(%cause, "database busy");
                Self::later(Kind::Busy, "Try again in a few seconds.", "3")
            }
            StoreError::Full(_) => {
                METRICS.database_failed("full");
                tracing::error!(%cause, "the database has no room left");
                let detail = "Keep it and try again in some minutes; whoever runs the service must make room.";
                Self::later(Kind::Full, detail, "60")
            }
            StoreError::Internal(_) => {
                METRICS.database_failed("fault");
                let id = uuid::Uuid::now_v7();
                tracing::error!(%cause, %id, "internal fault");
                Self::new(Kind::Fault, format!("Nothing was written. It is in the log as {id}."))
            }
        }
    }
}

/// A cause as a sentence: capital first, full stop last.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}.", letters.as_str())
}
