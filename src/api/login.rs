//! Who asks: the bearer token of a request, and what it opens.

use super::{
    App,
    body::Gate,
    problem::{Kind, Problem},
};
use actix_web::{
    FromRequest, HttpRequest,
    dev::Payload,
    http::{Method, header},
    web,
};
use catalogue::{Text, said};
use security::credentials::{ACCESS_TOKEN_PREFIX, Subject, hash_secret};
use std::pin::Pin;
use store::{
    StoreError,
    scope::{self, Scope},
    sessions,
};

/// A logged-in person, and the session that shows it.
#[derive(Debug, Clone, Copy)]
pub struct Login(pub Subject);

/// A logged-in person within the kennel of the path.
pub(crate) struct InKennel(pub Scope);

fn not_logged_in(detail: Text) -> Problem {
    Problem::new(Kind::NotLoggedIn, detail).with_header(header::WWW_AUTHENTICATE, "Bearer")
}

fn bearer(request: &HttpRequest) -> Result<&str, Problem> {
    request
        .headers()
        .get(header::AUTHORIZATION)
        .and_then(|value| value.to_str().ok())
        .and_then(|value| value.split_once(' '))
        .filter(|(scheme, _)| scheme.eq_ignore_ascii_case("bearer"))
        .map(|(_, token)| token.trim())
        .ok_or_else(|| not_logged_in(said!("problem-login-needed")))
}

fn app(request: &HttpRequest) -> Result<&web::Data<App>, Problem> {
    request.app_data::<web::Data<App>>().ok_or_else(|| Problem::of_ours(&"no application"))
}

/// Whose a session's token is, when it is good by itself.
async fn subject(request: &HttpRequest) -> Result<Subject, Problem> {
    let token = bearer(request)?;
    app(request)?
        .keys
        .verify(token)
        .await?
        .ok_or_else(|| not_logged_in(said!("problem-login-token-not-good")))
}

impl FromRequest for Login {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let (request, gate) = (request.clone(), Gate::before(request, false));
        Box::pin(async move {
            let subject = subject(&request).await?;
            match sessions::person(&app(&request)?.db, subject.session_id).await? {
                Some(person_id) if person_id == subject.person_id => {
                    gate.open();
                    Ok(Self(subject))
                }
                _ => Err(not_logged_in(said!("problem-login-session-ended"))),
            }
        })
    }
}

impl FromRequest for InKennel {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let (request, gate) = (request.clone(), Gate::before(request, true));
        Box::pin(async move {
            let token = bearer(&request)?;
            let app = app(&request)?;
            let (db, now) = (&app.db, app.clock.now());
            let kennel_id = request.match_info().get("kennel_id").and_then(|id| id.parse().ok());
            let no_id = || Problem::not_an_id("kennel_id");
            let scope = if token.starts_with(ACCESS_TOKEN_PREFIX) {
                let kennel_id = kennel_id.ok_or_else(no_id)?;
                scope::of_token(db, &hash_secret(token), kennel_id, now).await
            } else {
                let subject = subject(&request).await?;
                let kennel_id = kennel_id.ok_or_else(no_id)?;
                scope::of_session(db, subject, kennel_id, now).await
            };
            let scope = scope.map_err(|error| match error {
                StoreError::NotFound => Problem::no_kennel(),
                other => other.into(),
            })?;
            if request.method() != Method::GET {
                scope.require_writable()?;
            }
            gate.open();
            Ok(Self(scope))
        })
    }
}
