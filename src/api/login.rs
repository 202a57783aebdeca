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
    scope::{Claim, Scope},
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

/// Whoever asks within the kennel of the path by a login that is good by itself; the question proves it.
pub(crate) struct Asks(pub Claim);

/// What is shown by a request within the kennel of its path.
async fn claim(request: &HttpRequest) -> Result<Claim, Problem> {
    let token = bearer(request)?;
    let now = app(request)?.clock.now();
    let kennel_id = || {
        let id = request.match_info().get("kennel_id").and_then(|id| id.parse().ok());
        id.ok_or_else(|| Problem::not_an_id("kennel_id"))
    };
    if token.starts_with(ACCESS_TOKEN_PREFIX) {
        return Ok(Claim::of_token(hash_secret(token), kennel_id()?, now));
    }
    let subject = subject(request).await?;
    Ok(Claim::of_session(subject, kennel_id()?, now))
}

impl FromRequest for Asks {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let request = request.clone();
        Box::pin(async move { claim(&request).await.map(Self) })
    }
}

impl FromRequest for InKennel {
    type Error = Problem;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Problem>>>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let (request, gate) = (request.clone(), Gate::before(request, true));
        Box::pin(async move {
            let scope = claim(&request).await?.proven(&app(&request)?.db).await?;
            let scope = scope.ok_or_else(Problem::no_kennel)?;
            if request.method() != Method::GET {
                scope.require_writable()?;
            }
            gate.open();
            Ok(Self(scope))
        })
    }
}
