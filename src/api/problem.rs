//! Errors as RFC 9457 problems. This table alone knows statuses.

use crate::words;
use actix_web::{
    HttpRequest, HttpResponse, ResponseError,
    http::{StatusCode, header},
};
use catalogue::{Text, said};
use domain::{
    fault::{Fault, MOST_TOLD, unquoted},
    slips::named_twice,
};
use files::BlobsError;
use metrics::METRICS;
use serde::Serialize;
use std::fmt;
use store::StoreError;
use utoipa::ToSchema;
use uuid::Uuid;

/// Media type of a problem (RFC 9457).
pub(crate) const PROBLEM_JSON: &str = "application/problem+json";

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
            pub fn title(self) -> Text { match self { $(Kind::$kind => said!($title),)+ } }
        }
    };
}

kinds! {
    Unreadable = "unreadable", BAD_REQUEST, "problem-title-unreadable";
    NotLoggedIn = "not-logged-in", UNAUTHORIZED, "problem-title-not-logged-in";
    SecondFactor = "second-factor", UNAUTHORIZED, "problem-title-second-factor";
    Forbidden = "forbidden", FORBIDDEN, "problem-title-forbidden";
    NotFound = "not-found", NOT_FOUND, "problem-title-not-found";
    WrongMethod = "wrong-method", METHOD_NOT_ALLOWED, "problem-title-wrong-method";
    Conflict = "conflict", CONFLICT, "problem-title-conflict";
    Stale = "stale", PRECONDITION_FAILED, "problem-title-stale";
    WrongProtocol = "wrong-protocol", PRECONDITION_FAILED, "problem-title-wrong-protocol";
    TooLarge = "too-large", PAYLOAD_TOO_LARGE, "problem-title-too-large";
    WrongMediaType = "wrong-media-type", UNSUPPORTED_MEDIA_TYPE, "problem-title-wrong-media-type";
    NotAcceptable = "not-acceptable-values", UNPROCESSABLE_ENTITY, "problem-title-not-acceptable-values";
    MissingPrecondition = "missing-precondition", PRECONDITION_REQUIRED, "problem-title-missing-precondition";
    TooMany = "too-many-requests", TOO_MANY_REQUESTS, "problem-title-too-many-requests";
    Fault = "fault", INTERNAL_SERVER_ERROR, "problem-title-fault";
    TooSlow = "too-slow", REQUEST_TIMEOUT, "problem-title-too-slow";
    Unavailable = "unavailable", SERVICE_UNAVAILABLE, "problem-title-unavailable";
    Busy = "busy", SERVICE_UNAVAILABLE, "problem-title-busy";
    Full = "full", SERVICE_UNAVAILABLE, "problem-title-full";
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
    #[schema(value_type = String, example = "Readable, but not acceptable")]
    title: Text,
    /// HTTP status.
    #[schema(example = 422)]
    status: u16,
    /// What is wrong this time and what to do.
    #[schema(value_type = String, example = "2 values are not acceptable; see errors.")]
    detail: Text,
    /// Every fault of the input and where it stands.
    errors: Vec<Fault>,
    #[serde(skip)]
    kind: Option<Kind>,
    #[serde(skip)]
    headers: Vec<(header::HeaderName, String)>,
}

impl Problem {
    /// A problem without faults of the input.
    pub fn new(kind: Kind, detail: impl Into<Text>) -> Self {
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
            count if count <= MOST_TOLD => said!("problem-values", count = count),
            _ => said!("problem-more-values", most = MOST_TOLD),
        };
        let errors = errors.into_iter().take(MOST_TOLD).map(Fault::in_brief).collect();
        Self { errors, ..Self::new(kind, detail) }
    }

    /// One fault of the input.
    pub fn fault(kind: Kind, pointer: &str, detail: impl Into<Text>) -> Self {
        Self::faults(kind, vec![Fault::new(pointer, detail)])
    }

    /// Refuses a list that names something twice.
    ///
    /// # Errors
    /// 422 with a fault at each second place.
    pub(crate) fn unless_once_each(pointer: &str, ids: &[Uuid]) -> Result<(), Self> {
        let twice = named_twice(pointer, ids);
        if twice.is_empty() { Ok(()) } else { Err(Self::faults(Kind::NotAcceptable, twice)) }
    }

    /// A problem with a detail of its own and the one fault that it is about.
    pub fn about(kind: Kind, detail: Text, fault: Fault) -> Self {
        Self { errors: vec![fault.in_brief()], ..Self::new(kind, detail) }
    }

    /// Nothing is there.
    pub(crate) fn not_found() -> Self {
        let fault = Fault::new("#path", said!("fault-not-found-row"));
        Self::about(Kind::NotFound, said!("problem-not-found"), fault)
    }

    /// The kennel in the path is not there, or its person is no member of it.
    pub(crate) fn no_kennel() -> Self {
        Self::not_found().moved("#path", "#path/kennel_id")
    }

    /// No operation has this address.
    pub fn no_such_path() -> Self {
        let fault = Fault::new("#path", said!("fault-no-such-path"));
        Self::about(Kind::NotFound, said!("problem-no-such-path"), fault)
    }

    /// A variable of the path cannot be read: an id that is none, or a number.
    pub fn unreadable_path(request: &HttpRequest) -> Self {
        let variables = || request.match_info().iter();
        let is_id = |name: &str| name == "id" || name.ends_with("_id");
        let bad_id =
            variables().find(|(name, value)| is_id(name) && Uuid::try_parse(value).is_err());
        if let Some((name, _)) = bad_id {
            return Self::not_an_id(name);
        }
        let bad_number = variables().find(|(name, value)| {
            ["sequence", "year"].contains(name) && value.parse::<i64>().is_err()
        });
        let Some((name, _)) = bad_number else { return Self::not_found() };
        let fault = Fault::new(format!("#path/{name}"), said!("fault-wrong-type-whole-number"));
        Self::about(Kind::NotFound, said!("problem-not-found"), fault)
    }

    /// What stands where an id does in the path is none.
    pub(crate) fn not_an_id(name: &str) -> Self {
        let fault = Fault::new(format!("#path/{name}"), said!("fault-not-an-id"));
        Self::about(Kind::NotFound, said!("problem-not-found"), fault)
    }

    /// A fault of the service: what it is goes to the log, and the answer says under which id.
    pub(crate) fn of_ours(cause: &dyn fmt::Display) -> Self {
        let id = Uuid::now_v7();
        tracing::error!(cause = unquoted(&cause.to_string()), %id, "internal fault");
        Self::new(Kind::Fault, said!("problem-fault-logged", id = id.to_string()))
    }

    /// Nothing was written, and the same request may be good in so many seconds.
    pub(crate) fn later(kind: Kind, detail: Text, seconds: &str) -> Self {
        let detail = Text::sentences([said!("problem-nothing-written"), detail]);
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
            StoreError::Stale => Self::new(Kind::Stale, said!("problem-stale")),
            StoreError::Forbidden(what) => Self::new(Kind::Forbidden, what),
            StoreError::Conflict(what) => Self::new(Kind::Conflict, what),
            StoreError::Refused(errors) => Self::faults(Kind::NotAcceptable, errors),
            StoreError::Login(what) => Self::new(Kind::NotLoggedIn, what)
                .with_header(header::WWW_AUTHENTICATE, "Bearer error=\"invalid_token\""),
            StoreError::Unavailable(_) => {
                METRICS.database_failed("unavailable");
                tracing::warn!(%cause, "database unavailable");
                Self::later(Kind::Unavailable, said!("problem-later-seconds"), "3")
            }
            StoreError::Busy(_) => {
                METRICS.database_failed("busy");
                tracing::warn!(%cause, "database busy");
                Self::later(Kind::Busy, said!("problem-later-seconds"), "3")
            }
            StoreError::Full(_) => {
                METRICS.database_failed("full");
                tracing::error!(%cause, "the database has no room left");
                Self::later(Kind::Full, said!("problem-later-room"), "60")
            }
            StoreError::Internal(_) => {
                METRICS.database_failed("fault");
                Self::of_ours(&cause)
            }
        }
    }
}

impl From<BlobsError> for Problem {
    fn from(error: BlobsError) -> Self {
        let cause = error.to_string();
        match error {
            BlobsError::Away(_) => {
                tracing::warn!(cause = unquoted(&cause), "the store of files is away");
                Self::later(Kind::Unavailable, said!("problem-later-files"), "5")
            }
            BlobsError::Missing | BlobsError::Damaged => Self::of_ours(&cause),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::test::TestRequest;

    fn told(variables: &[(&'static str, &'static str)]) -> (String, String) {
        let mut request = TestRequest::default();
        for (name, value) in variables {
            request = request.param(*name, *value);
        }
        let problem = Problem::unreadable_path(&request.to_http_request());
        assert_eq!(problem.status_code(), StatusCode::NOT_FOUND);
        (problem.errors[0].pointer.clone(), problem.errors[0].code.to_string())
    }

    #[test]
    fn a_path_tells_which_variable_cannot_be_read() {
        let id = "0193e7a2-6b5f-7c11-9d55-0a1c52a0b8f4";
        for (variables, place, code) in [
            ([("kennel_id", id), ("dog_id", "Juno")], "#path/dog_id", "not_an_id"),
            ([("kennel_id", "x"), ("id", "y")], "#path/kennel_id", "not_an_id"),
            ([("kennel_id", id), ("sequence", "last")], "#path/sequence", "wrong_type"),
            ([("kennel_id", id), ("task_key", "x")], "#path", "not_found"),
        ] {
            assert_eq!(told(&variables), (place.to_owned(), code.to_owned()));
        }
        let nowhere = Problem::no_such_path();
        assert_eq!(nowhere.errors[0].code.as_str(), "no_such_path");
        assert_eq!(Problem::no_kennel().errors[0].pointer, "#path/kennel_id");
    }

    #[test]
    fn many_faults_are_counted() {
        let faults = |count: usize| vec![Fault::new("/a", said!("fault-missing-field")); count];
        for (count, detail) in [
            (1, "One value is not acceptable; see errors."),
            (2, "2 values are not acceptable; see errors."),
            (51, "More than 50 values are not acceptable; 50 are in errors."),
        ] {
            let problem = Problem::faults(Kind::NotAcceptable, faults(count));
            assert_eq!(problem.detail, detail);
        }
    }
}
