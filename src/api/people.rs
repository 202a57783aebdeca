//! Sign-up, login, and who one is.

use super::{
    App, account,
    body::JsonBody,
    end_of,
    limits::{Attempt, Sort},
    login::Login,
    now,
    problem::{Kind, Problem},
};
use actix_web::{HttpRequest, HttpResponse, get, post, web};
use catalogue::{Text, said};
use chrono::Duration;
use domain::record::Role;
use security::{
    credentials::{self, Subject},
    passwords::{self, SHORTEST_PASSWORD, Weakness},
};
use serde::{Deserialize, Serialize};
use store::{
    accounts::{self, Account},
    kennels, people,
    sessions::{self, Successor},
};
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
    #[schema(
        example = "a long pass phrase",
        min_length = 10,
        max_length = 1000,
        format = "password"
    )]
    password: String,
    /// Secret of an invitation to this address: with it sign-up is open to its holder. Join with it then.
    #[serde(default)]
    #[schema(example = "q0cNQ0bV7n2sS3cJ1fN0hQ8Zt4yX5rLw9uE6oPaGdKM", max_length = 200)]
    invitation: Option<String>,
}

/// A person.
#[derive(Serialize, ToSchema)]
pub(crate) struct PersonAnswer {
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
pub(crate) struct Credentials {
    /// Email address.
    #[schema(example = "maren@example.org", max_length = 254)]
    email: String,
    /// Password.
    #[schema(example = "a long pass phrase", max_length = 1000, format = "password")]
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
    pub(super) access_token: String,
    /// Always `Bearer`.
    #[schema(example = "Bearer")]
    pub(super) token_type: String,
    /// Seconds for which the access token is good.
    #[schema(example = 900)]
    pub(super) expires_in: i64,
    /// Gives the next session, once.
    pub(super) refresh_token: String,
}

/// A refresh token.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct RefreshToken {
    /// As the session gave it.
    #[schema(example = "q0cNQ0bV7n2sS3cJ1fN0hQ8Zt4yX5rLw9uE6oPaGdKM", max_length = 200)]
    refresh_token: String,
}

/// Who one is.
#[derive(Serialize, ToSchema)]
pub(crate) struct Me {
    /// The person.
    person: PersonAnswer,
    /// The kennels one belongs to.
    kennels: Vec<MyKennel>,
}

/// A kennel one belongs to.
#[derive(Serialize, ToSchema)]
pub(crate) struct MyKennel {
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
pub(crate) struct InvitationSecret {
    /// As the invitation gave it.
    #[schema(example = "q0cNQ0bV7n2sS3cJ1fN0hQ8Zt4yX5rLw9uE6oPaGdKM", max_length = 200)]
    token: String,
}

/// The kennel that one has joined.
#[derive(Serialize, ToSchema)]
pub(crate) struct JoinedKennel {
    /// The kennel.
    #[schema(example = "0197a2c4-7a10-7c3e-9f5b-2d6f0e8a1b34")]
    kennel_id: Uuid,
}

/// The hash of a new password that stands at `pointer` of the body, for a person of this name and address.
///
/// # Errors
/// 422 when it is too easy to guess.
pub(super) async fn hashed(
    app: &App,
    pointer: &str,
    password: String,
    name: &str,
    email: &str,
) -> Result<String, Problem> {
    let (name, email) = (name.to_owned(), email.to_owned());
    let hash = app.hashing.done(move || match passwords::weakness(&password, &name, &email) {
        Some(weakness) => Err(weakness),
        None => Ok(credentials::hash_password(&password)),
    });
    match hash.await? {
        Ok(hash) => hash.map_err(|error| Problem::of_ours(&error)),
        Err(weakness) => Err(Problem::fault(Kind::NotAcceptable, pointer, in_words(weakness))),
    }
}

/// Why a password is refused.
fn in_words(weakness: Weakness) -> Text {
    match weakness {
        Weakness::TooShort => said!("fault-too-short-password", least = SHORTEST_PASSWORD),
        Weakness::OwnName => said!("fault-weak-password-own"),
        Weakness::SoonGuessed => said!("fault-weak-password"),
    }
}

/// Sign up.
///
/// Only where the service allows it (`DENWRIGHT_SIGNUP=open`), or by an invitation.
#[utoipa::path(tag = "people", request_body = SignUp, security(()),
    responses((status = 201, description = "Signed up; log in now.", body = PersonAnswer)))]
#[post("/v1/people")]
pub(crate) async fn sign_up(
    app: web::Data<App>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let SignUp { name, email, password, invitation } = body.parse().await?;
    if invitation.is_none() && !app.sign_up_open {
        return Err(Problem::new(Kind::Forbidden, said!("problem-forbidden-sign-up-closed")));
    }
    // Here an address can be seen to be taken; only many tries would tell more than one or two.
    let attempt = Attempt::begin(&app, &request, Sort::SignUp, &email).await?;
    let hash = hashed(&app, "/password", password, &name, &email).await;
    let hash = attempt.unless_busy(&app, hash).await?;
    let person = match invitation {
        None => people::add(&app.db, &name, &email, &hash, false).await?,
        Some(secret) => {
            let invitation = credentials::hash_secret(&secret);
            let added = people::add_invited(&app.db, &name, &email, &hash, &invitation).await?;
            let detail = said!("fault-wrong-secret-invitation");
            added.ok_or_else(|| Problem::fault(Kind::NotAcceptable, "/invitation", detail))?
        }
    };
    Ok(HttpResponse::Created().json(PersonAnswer::from(person)))
}

/// Log in.
///
/// Where a second factor is on, a right password without its code is answered with 401 of the type
/// `urn:denwright:problem:second-factor`: send the same again with `code`.
#[utoipa::path(tag = "people", request_body = Credentials, security(()),
    responses((status = 200, description = "A new session.", body = Session)))]
#[post("/v1/auth/login")]
pub(crate) async fn log_in(
    app: web::Data<App>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let account = shown(&app, &request, body.parse().await?).await?;
    let session = begun(&app, account.person.id, account.generation).await?;
    Ok(session.answer())
}

/// The account that somebody shows to be theirs.
///
/// # Errors
/// 401 when password or code do not fit, 429 after too many tries.
pub(super) async fn shown(
    app: &App,
    request: &HttpRequest,
    credentials: Credentials,
) -> Result<Account, Problem> {
    let Credentials { email, password, code } = credentials;
    let attempt = Attempt::begin(app, request, Sort::Login, &email).await?;
    let account = accounts::by_email(&app.db, &email).await?;
    // The same work for an unknown address, so that its absence does not show.
    let hash = account.as_ref().map_or(&app.no_ones_hash, |account| &account.password_hash).clone();
    let fits = move || credentials::password_fits(&password, &hash);
    let fits = attempt.unless_busy(app, app.hashing.done(fits).await).await?;
    let Some(account) = account.filter(|_| fits) else {
        return Err(Problem::new(Kind::NotLoggedIn, said!("problem-login-does-not-fit")));
    };
    if account.totp_on {
        let Some(code) = code else {
            let detail = said!("problem-second-factor-needed");
            return Err(Problem::new(Kind::SecondFactor, detail));
        };
        if !account::second_factor_fits(app, &account, &code, now()).await? {
            return Err(Problem::new(Kind::SecondFactor, said!("problem-second-factor-not-good")));
        }
    }
    attempt.was_good(app).await?;
    Ok(account)
}

/// Begins a session of a person whose sessions were of this generation when they showed who they are.
pub(super) async fn begun(app: &App, person_id: Uuid, generation: i32) -> Result<Session, Problem> {
    let secret = credentials::new_secret("");
    let until = end_of(app.refresh_lifetime);
    let hash = credentials::hash_secret(&secret);
    let subject = sessions::begin(&app.db, person_id, generation, &hash, until).await?;
    Session::of(app, subject, secret)
}

/// Go on with the next access token.
///
/// A refresh token is good once; a second use ends the whole session.
#[utoipa::path(tag = "people", request_body = RefreshToken, security(()),
    responses((status = 200, description = "The session goes on.", body = Session)))]
#[post("/v1/auth/refresh")]
pub(crate) async fn refresh_session(
    app: web::Data<App>,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let RefreshToken { refresh_token } = body.parse().await?;
    Ok(gone_on(&app, &refresh_token, Duration::zero()).await?.answer())
}

/// Spends a refresh token for the next part of its session; one spent less than `good_again` before is good
/// once more when what was made of it was not used.
///
/// # Errors
/// 401 when it is unknown or spent; then its session has ended.
pub(super) async fn gone_on(
    app: &App,
    refresh_token: &str,
    good_again: Duration,
) -> Result<Session, Problem> {
    let secret = credentials::new_secret("");
    let (old, new) = (credentials::hash_secret(refresh_token), credentials::hash_secret(&secret));
    let next = Successor { hash: &new, expires_at: end_of(app.refresh_lifetime) };
    let subject = sessions::rotate(&app.db, &old, next, good_again, now()).await?;
    Session::of(app, subject, secret)
}

/// Log out: end the session of a refresh token, and its access tokens at once.
#[utoipa::path(tag = "people", request_body = RefreshToken, security(()),
    responses((status = 204, description = "Ended.")))]
#[post("/v1/auth/logout")]
pub(crate) async fn log_out(app: web::Data<App>, body: JsonBody) -> Result<HttpResponse, Problem> {
    let RefreshToken { refresh_token } = body.parse().await?;
    sessions::end(&app.db, &credentials::hash_secret(&refresh_token), now()).await?;
    Ok(HttpResponse::NoContent().finish())
}

impl Session {
    fn of(app: &App, subject: Subject, refresh_token: String) -> Result<Self, Problem> {
        Ok(Self {
            access_token: app.keys.sign(subject, now())?,
            token_type: "Bearer".to_owned(),
            expires_in: Duration::num_seconds(&app.keys.lifetime()),
            refresh_token,
        })
    }

    /// All of it, for whoever keeps the refresh token themselves.
    pub(super) fn answer(self) -> HttpResponse {
        HttpResponse::Ok().insert_header(("Cache-Control", "no-store")).json(self)
    }
}

/// Say who one is, and to which kennels one belongs.
#[utoipa::path(tag = "people", responses((status = 200, description = "The person.", body = Me)))]
#[get("/v1/me")]
pub(crate) async fn read_me(app: web::Data<App>, login: Login) -> Result<HttpResponse, Problem> {
    let person = accounts::of_session(&app.db, login.0.session_id).await?.person;
    let kennels = people::kennels_of_session(&app.db, login.0.session_id)
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
pub(crate) async fn accept_invitation(
    app: web::Data<App>,
    login: Login,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let InvitationSecret { token } = body.parse().await?;
    let hash = credentials::hash_secret(&token);
    let kennel_id = kennels::join(&app.db, login.0.session_id, &hash, now()).await?;
    Ok(HttpResponse::Ok().json(JoinedKennel { kennel_id }))
}
