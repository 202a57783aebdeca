//! Sign-up, login, and who one is.

use super::{
    App, account,
    body::JsonBody,
    limits::Attempt,
    login::Login,
    now,
    problem::{Kind, Problem},
};
use crate::{
    credentials::{self, SHORTEST_PASSWORD, Subject},
    domain::record::Role,
    store::{accounts, kennels, people, sessions},
};
use actix_web::{HttpRequest, HttpResponse, get, post, web};
use chrono::Duration;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;

/// A new person.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SignUp {
    /// Full name.
    #[schema(example = "Maren Holt", min_length = 1, max_length = 200)]
    name: String,
    /// Email address: the login.
    #[schema(example = "maren@example.org", format = "email", min_length = 3, max_length = 254)]
    email: String,
    /// At least 10 characters.
    #[schema(example = "a long pass phrase", min_length = 10, max_length = 1000)]
    password: String,
}

/// A person.
#[derive(Serialize, ToSchema)]
pub struct PersonAnswer {
    /// Id.
    id: Uuid,
    /// Full name.
    #[schema(example = "Maren Holt")]
    name: String,
    /// Email address.
    #[schema(example = "maren@example.org")]
    email: String,
}

impl From<people::Person> for PersonAnswer {
    fn from(person: people::Person) -> Self {
        Self { id: person.id, name: person.name, email: person.email }
    }
}

/// Email address and password.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Credentials {
    /// Email address.
    #[schema(example = "maren@example.org", max_length = 254)]
    email: String,
    /// Password.
    #[schema(example = "a long pass phrase", max_length = 1000)]
    password: String,
    /// Code of the second factor, or a recovery code, where one is on.
    #[serde(default)]
    #[schema(example = "287082", max_length = 40)]
    code: Option<String>,
}

/// A session.
#[derive(Serialize, ToSchema)]
pub struct Session {
    /// Send it as `Authorization: Bearer …`.
    access_token: String,
    /// Always `Bearer`.
    #[schema(example = "Bearer")]
    token_type: String,
    /// Seconds for which the access token is good.
    #[schema(example = 900)]
    expires_in: i64,
    /// Gives the next session, once.
    refresh_token: String,
}

/// A refresh token.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RefreshToken {
    /// As the session gave it.
    #[schema(example = "q0cNQ0bV7n2sS3cJ1fN0hQ8Zt4yX5rLw9uE6oPaGdKM", max_length = 200)]
    refresh_token: String,
}

/// Who one is.
#[derive(Serialize, ToSchema)]
pub struct Me {
    /// The person.
    person: PersonAnswer,
    /// The kennels one belongs to.
    kennels: Vec<MyKennel>,
}

/// A kennel one belongs to.
#[derive(Serialize, ToSchema)]
pub struct MyKennel {
    /// The kennel.
    kennel_id: Uuid,
    /// Its name.
    #[schema(example = "Larkfell Kennel")]
    name: String,
    /// One's role there.
    role: Role,
}

/// The secret of an invitation.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct InvitationSecret {
    /// As the invitation gave it.
    #[schema(example = "q0cNQ0bV7n2sS3cJ1fN0hQ8Zt4yX5rLw9uE6oPaGdKM", max_length = 200)]
    token: String,
}

/// The kennel that one has joined.
#[derive(Serialize, ToSchema)]
pub struct JoinedKennel {
    /// The kennel.
    #[schema(example = "0197a2c4-7a10-7c3e-9f5b-2d6f0e8a1b34")]
    kennel_id: Uuid,
}

/// Runs slow password work off the workers.
pub(super) async fn slow<T: Send + 'static>(
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, Problem> {
    web::block(work).await.map_err(|error| Problem::new(Kind::Fault, error.to_string()))
}

/// The hash of a new password that stands at `pointer` of the body.
pub(super) async fn hashed(pointer: &str, password: String) -> Result<String, Problem> {
    if password.chars().count() < SHORTEST_PASSWORD {
        return Err(Problem::fault(Kind::NotAcceptable, pointer, "is too short"));
    }
    let hash = slow(move || credentials::hash_password(&password)).await?;
    hash.map_err(|error| Problem::new(Kind::Fault, error.to_string()))
}

/// Sign up.
///
/// Only where the service allows it (`DENWRIGHT_SIGNUP=open`).
#[utoipa::path(tag = "people", request_body = SignUp, security(()),
    responses((status = 201, description = "Signed up; log in now.", body = PersonAnswer)))]
#[post("/v1/people")]
pub async fn sign_up(
    app: web::Data<App>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    if !app.sign_up_open {
        return Err(Problem::new(
            Kind::Forbidden,
            "Sign-up is closed here; ask the person who runs this service, or an owner for an invitation.",
        ));
    }
    let SignUp { name, email, password } = body.parse()?;
    // Here an address can be seen to be taken; only many tries would tell more than one or two.
    Attempt::begin(&app, &request, "sign-up", &email).await?;
    let hash = hashed("/password", password).await?;
    let person = people::add(&app.db, &name, &email, &hash).await?;
    Ok(HttpResponse::Created().json(PersonAnswer::from(person)))
}

/// Log in.
///
/// Where a second factor is on, a right password without its code is answered with 401 of the type
/// `urn:denwright:problem:second-factor`: send the same again with `code`.
#[utoipa::path(tag = "people", request_body = Credentials, security(()),
    responses((status = 200, description = "A new session.", body = Session)))]
#[post("/v1/auth/login")]
pub async fn log_in(
    app: web::Data<App>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let Credentials { email, password, code } = body.parse()?;
    let attempt = Attempt::begin(&app, &request, "login", &email).await?;
    let account = accounts::by_email(&app.db, &email).await?;
    // The same work for an unknown address, so that its absence does not show.
    let hash = account.as_ref().map_or(&app.no_ones_hash, |account| &account.password_hash).clone();
    let fits = slow(move || credentials::password_fits(&password, &hash)).await?;
    let Some(account) = account.filter(|_| fits) else {
        return Err(Problem::new(
            Kind::NotLoggedIn,
            "The email address and the password do not fit.",
        ));
    };
    if account.totp_on {
        let Some(code) = code else {
            let detail = "The password fits; send it again with the code of your second factor.";
            return Err(Problem::new(Kind::SecondFactor, detail));
        };
        if !account::second_factor_fits(&app, &account, &code, now()).await? {
            return Err(Problem::new(Kind::SecondFactor, "The code is not, or no longer, good."));
        }
    }
    attempt.was_good(&app).await?;
    let subject = Subject { person_id: account.person.id, generation: account.generation };
    new_session(&app, subject).await
}

/// Begins a session.
pub(super) async fn new_session(app: &App, subject: Subject) -> Result<HttpResponse, Problem> {
    let secret = credentials::new_secret("");
    let until = now() + app.refresh_lifetime;
    let hash = credentials::hash_secret(&secret);
    sessions::begin_session(&app.db, subject.person_id, &hash, until).await?;
    session(app, subject, secret)
}

/// Go on with the next access token.
///
/// A refresh token is good once; a second use ends the whole session.
#[utoipa::path(tag = "people", request_body = RefreshToken, security(()),
    responses((status = 200, description = "The session goes on.", body = Session)))]
#[post("/v1/auth/refresh")]
pub async fn refresh_session(app: web::Data<App>, body: JsonBody) -> Result<HttpResponse, Problem> {
    let RefreshToken { refresh_token } = body.parse()?;
    let secret = credentials::new_secret("");
    let (old, new) = (credentials::hash_secret(&refresh_token), credentials::hash_secret(&secret));
    let until = now() + app.refresh_lifetime;
    let subject = sessions::rotate_session(&app.db, &old, &new, until, now()).await?;
    session(&app, subject, secret)
}

/// Log out: end the session of a refresh token.
#[utoipa::path(tag = "people", request_body = RefreshToken, security(()),
    responses((status = 204, description = "Ended.")))]
#[post("/v1/auth/logout")]
pub async fn log_out(app: web::Data<App>, body: JsonBody) -> Result<HttpResponse, Problem> {
    let RefreshToken { refresh_token } = body.parse()?;
    sessions::end_session(&app.db, &credentials::hash_secret(&refresh_token), now()).await?;
    Ok(HttpResponse::NoContent().finish())
}

fn session(app: &App, subject: Subject, refresh_token: String) -> Result<HttpResponse, Problem> {
    let access_token = app.keys.sign(subject, now())?;
    let expires_in = Duration::num_seconds(&app.keys.lifetime());
    let token_type = "Bearer".to_owned();
    Ok(HttpResponse::Ok().insert_header(("Cache-Control", "no-store")).json(Session {
        access_token,
        token_type,
        expires_in,
        refresh_token,
    }))
}

/// Say who one is, and to which kennels one belongs.
#[utoipa::path(tag = "people", responses((status = 200, description = "The person.", body = Me)))]
#[get("/v1/me")]
pub async fn read_me(app: web::Data<App>, login: Login) -> Result<HttpResponse, Problem> {
    let person = people::by_id(&app.db, login.0).await.map_err(|_| {
        Problem::new(Kind::NotLoggedIn, "The person of this login is no longer there.")
    })?;
    let kennels = people::kennels_of(&app.db, login.0)
        .await?
        .into_iter()
        .map(|b| MyKennel { kennel_id: b.kennel_id, name: b.kennel.name, role: b.role })
        .collect();
    Ok(HttpResponse::Ok().json(Me { person: person.into(), kennels }))
}

/// Join the kennel that an invitation opens.
///
/// The login must have the address that was invited.
#[utoipa::path(tag = "people", request_body = InvitationSecret,
    responses((status = 200, description = "Joined.", body = JoinedKennel)))]
#[post("/v1/invitations/accept")]
pub async fn accept_invitation(
    app: web::Data<App>,
    login: Login,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let InvitationSecret { token } = body.parse()?;
    let kennel_id =
        kennels::join(&app.db, login.0, &credentials::hash_secret(&token), now()).await?;
    Ok(HttpResponse::Ok().json(JoinedKennel { kennel_id }))
}
