//! Sign-up, login, and who one is.

use super::{
    App,
    body::JsonBody,
    login::Login,
    now,
    problem::{Kind, Problem},
};
use crate::{
    credentials::{self, SHORTEST_PASSWORD},
    domain::record::Role,
    store::{kennels, people},
};
use actix_web::{HttpResponse, get, post, web};
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
async fn slow<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, Problem> {
    web::block(work).await.map_err(|error| Problem::new(Kind::Fault, error.to_string()))
}

/// Sign up.
///
/// Only where the service allows it (`DENWRIGHT_SIGNUP=open`).
#[utoipa::path(tag = "people", request_body = SignUp, security(()),
    responses((status = 201, description = "Signed up; log in now.", body = PersonAnswer)))]
#[post("/v1/people")]
pub async fn sign_up(app: web::Data<App>, body: JsonBody) -> Result<HttpResponse, Problem> {
    if !app.sign_up_open {
        return Err(Problem::new(
            Kind::Forbidden,
            "Sign-up is closed here; ask the person who runs this service, or an owner for an invitation.",
        ));
    }
    let SignUp { name, email, password } = body.parse()?;
    if password.chars().count() < SHORTEST_PASSWORD {
        return Err(Problem::fault(Kind::NotAcceptable, "/password", "is too short"));
    }
    let hash = slow(move || credentials::hash_password(&password)).await?;
    let hash = hash.map_err(|error| Problem::new(Kind::Fault, error.to_string()))?;
    let person = people::add(&app.db, &name, &email, &hash).await?;
    Ok(HttpResponse::Created().json(PersonAnswer::from(person)))
}

/// Log in.
#[utoipa::path(tag = "people", request_body = Credentials, security(()),
    responses((status = 200, description = "A new session.", body = Session)))]
#[post("/v1/auth/login")]
pub async fn log_in(app: web::Data<App>, body: JsonBody) -> Result<HttpResponse, Problem> {
    let Credentials { email, password } = body.parse()?;
    let found = people::by_email(&app.db, &email).await?;
    let (person, hash) = match found {
        Some((person, hash)) => (Some(person), hash),
        // The same work for an unknown address, so that its absence does not show.
        None => (None, app.no_ones_hash.clone()),
    };
    let fits = slow(move || credentials::password_fits(&password, &hash)).await?;
    match person {
        Some(person) if fits => {
            let secret = credentials::new_secret("");
            let until = now() + app.refresh_lifetime;
            people::begin_session(&app.db, person.id, &credentials::hash_secret(&secret), until)
                .await?;
            session(&app, person.id, secret)
        }
        _ => Err(Problem::new(Kind::NotLoggedIn, "The email address and the password do not fit.")),
    }
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
    let person_id = people::rotate_session(&app.db, &old, &new, until, now()).await?;
    session(&app, person_id, secret)
}

/// Log out: end the session of a refresh token.
#[utoipa::path(tag = "people", request_body = RefreshToken, security(()),
    responses((status = 204, description = "Ended.")))]
#[post("/v1/auth/logout")]
pub async fn log_out(app: web::Data<App>, body: JsonBody) -> Result<HttpResponse, Problem> {
    let RefreshToken { refresh_token } = body.parse()?;
    people::end_session(&app.db, &credentials::hash_secret(&refresh_token), now()).await?;
    Ok(HttpResponse::NoContent().finish())
}

fn session(app: &App, person_id: Uuid, refresh_token: String) -> Result<HttpResponse, Problem> {
    let access_token = app
        .signer
        .sign(person_id, now())
        .map_err(|error| Problem::new(Kind::Fault, error.to_string()))?;
    let expires_in = Duration::num_seconds(&app.signer.lifetime());
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
