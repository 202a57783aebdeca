//! One's own account: password, its reset by mail, the second factor, the end of all sessions.

use super::{
    App,
    body::JsonBody,
    end_of,
    limits::{self, Attempt, Sort},
    login::Login,
    now,
    people::{Session, begun, hashed},
    problem::{Kind, Problem},
};
use actix_web::{HttpRequest, HttpResponse, get, post, web};
use catalogue::{Text, said};
use chrono::{DateTime, Duration, Utc};
use security::{credentials, totp};
use serde::{Deserialize, Serialize};
use store::{
    accounts::{self, Account, Reset},
    sessions,
};
use utoipa::ToSchema;
use uuid::Uuid;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(log_out_everywhere)
        .service(change_password)
        .service(ask_for_reset)
        .service(reset_password)
        .service(read_second_factor)
        .service(begin_second_factor)
        .service(confirm_second_factor)
        .service(end_second_factor);
}

/// Minutes for which a reset code is good (OWASP's Forgot Password Cheat Sheet: short, single use).
const RESET_MINUTES: i64 = 30;
/// Codes that may be tried on one reset.
const RESET_TRIES: i16 = 5;
/// Recovery codes given out with a second factor.
const RECOVERY_CODES: usize = 10;

/// End all one's sessions, also those whose access token would still be good.
///
/// Named access tokens stay; withdraw those in their kennels.
#[utoipa::path(tag = "people", responses((status = 204, description = "Ended, this one too.")))]
#[post("/v1/auth/logout-everywhere")]
pub(crate) async fn log_out_everywhere(
    app: web::Data<App>,
    login: Login,
) -> Result<HttpResponse, Problem> {
    sessions::end_all(&app.db, login.0.session_id, now()).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// The old password and the new one.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct PasswordChange {
    /// The password so far.
    #[schema(example = "a long pass phrase", max_length = 1000, format = "password")]
    password: String,
    /// The new one: at least 10 characters.
    #[schema(
        example = "a longer pass phrase",
        min_length = 10,
        max_length = 1000,
        format = "password"
    )]
    new_password: String,
}

/// Change one's password; all other sessions end.
#[utoipa::path(tag = "people", request_body = PasswordChange,
    responses((status = 200, description = "Changed; go on with this session.", body = Session)))]
#[post("/v1/me/password")]
pub(crate) async fn change_password(
    app: web::Data<App>,
    login: Login,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    Ok(password_changed(&app, &request, login, body).await?.answer())
}

/// Changes a password and ends all sessions with it; gives the one with which its person goes on.
///
/// That is a new one with tokens of its own: whoever has stolen those of the old one has nothing.
pub(super) async fn password_changed(
    app: &web::Data<App>,
    request: &HttpRequest,
    login: Login,
    body: JsonBody,
) -> Result<Session, Problem> {
    let PasswordChange { password, new_password } = body.parse().await?;
    let session_id = login.0.session_id;
    let account = confirmed(app, request, session_id, password).await?;
    let person = account.person;
    let hash = hashed(app, "/new_password", new_password, &person.name, &person.email).await?;
    let shown = &account.password_hash;
    let generation = accounts::change_password(&app.db, session_id, shown, &hash, now()).await?;
    tell(app, person.email, said!("mail-password-changed-subject"), said!("mail-password-changed"));
    begun(app, person.id, generation).await
}

/// The account of the person of a session who gives their password once more.
async fn confirmed(
    app: &App,
    request: &HttpRequest,
    session_id: Uuid,
    password: String,
) -> Result<Account, Problem> {
    let (account, attempt) = with_password(app, request, session_id, password).await?;
    attempt.was_good(app).await?;
    Ok(account)
}

/// The same, while the try is still counted.
async fn with_password(
    app: &App,
    request: &HttpRequest,
    session_id: Uuid,
    password: String,
) -> Result<(Account, Attempt), Problem> {
    let account = accounts::of_session(&app.db, session_id).await?;
    let attempt = Attempt::begin(app, request, Sort::Login, &account.person.email).await?;
    let hash = account.password_hash.clone();
    let fits = move || credentials::password_fits(&password, &hash);
    let fits = app.hashing.done(fits).await;
    if !attempt.unless_busy(app, fits).await? {
        return Err(Problem::fault(
            Kind::NotAcceptable,
            "/password",
            said!("fault-wrong-secret-password"),
        ));
    }
    Ok((account, attempt))
}

/// Asks the person of a session for their password once more, and for a code where a second factor is on:
/// before they let something else in for good, or delete for good.
///
/// # Errors
/// 422 at `/password` or `/code`, 429 after too many tries.
pub(super) async fn show_again(
    app: &App,
    request: &HttpRequest,
    session_id: Uuid,
    password: String,
    code: Option<String>,
) -> Result<Account, Problem> {
    let (account, attempt) = with_password(app, request, session_id, password).await?;
    if account.totp_on {
        let refused = |detail| Err(Problem::fault(Kind::NotAcceptable, "/code", detail));
        let Some(code) = code else {
            return refused(said!("fault-missing-second-factor"));
        };
        if !second_factor_fits(app, &account, &code, now()).await? {
            return refused(said!("fault-wrong-secret-second-factor"));
        }
    }
    attempt.was_good(app).await?;
    Ok(account)
}

/// What a repeat is known by: the body without password and code, of which not even a quick hash is kept.
pub(super) fn without_proof(body: &serde_json::Value) -> String {
    let mut body = body.clone();
    if let Some(members) = body.as_object_mut() {
        members.retain(|name, _| name != "password" && name != "code");
    }
    body.to_string()
}

/// Sends mail after the answer: how long it takes must not tell whether there is an account.
pub(super) fn tell(app: &web::Data<App>, to: String, subject: Text, text: Text) {
    let app = app.clone();
    // In the language that is spoken to whoever asked.
    let (subject, text) = (subject.to_string(), format!("{text}\n"));
    actix_web::rt::spawn(async move {
        if let Err(error) = app.mailer.send(&to, &subject, text).await {
            tracing::error!(%error, "a mail was not sent");
        }
    });
}

/// Whose password is to be reset.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ResetRequest {
    /// Email address of the login.
    #[schema(example = "maren@example.org", max_length = 254)]
    email: String,
}

/// What happens next.
#[derive(Serialize, ToSchema)]
pub(crate) struct ResetSent {
    /// The same for every address.
    #[schema(
        value_type = String,
        example = "If there is a login with this address, a code is on its way to it."
    )]
    detail: Text,
    /// Minutes for which the code will be good.
    #[schema(example = 30)]
    good_for_minutes: i64,
}

/// Ask for a code by mail that resets the password.
///
/// The answer is the same whether the address is known or not.
#[utoipa::path(tag = "people", request_body = ResetRequest, security(()),
    responses((status = 202, description = "A code is sent if there is such a login.", body = ResetSent)))]
#[post("/v1/auth/password-reset")]
pub(crate) async fn ask_for_reset(
    app: web::Data<App>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let ResetRequest { email } = body.parse().await?;
    Attempt::begin(&app, &request, Sort::Reset, &email).await?;
    let later = app.clone();
    let place = limits::place(&app, &request);
    let language = catalogue::spoken();
    actix_web::rt::spawn(catalogue::Speaking::new(language, async move {
        if let Err(problem) = send_reset(&later, &email, &place).await {
            tracing::error!(%problem, "a reset was not sent");
        }
    }));
    Ok(HttpResponse::Accepted()
        .json(ResetSent { detail: said!("reset-sent"), good_for_minutes: RESET_MINUTES }))
}

async fn send_reset(app: &web::Data<App>, email: &str, place: &[u8]) -> Result<(), Problem> {
    let code = credentials::new_code();
    let code_hash = credentials::hash_secret(&credentials::typed_code(&code));
    let until = end_of(Duration::minutes(RESET_MINUTES));
    let reset = Reset { email, place, code_hash: &code_hash };
    let opened = accounts::open_reset(&app.db, &reset, RESET_TRIES, until).await?;
    let Some(address) = opened else { return Ok(()) };
    let text = said!("mail-reset-code", code = code, minutes = RESET_MINUTES);
    tell(app, address, said!("mail-reset-code-subject"), text);
    Ok(())
}

/// The code of a mail and a new password.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct PasswordReset {
    /// Email address of the login.
    #[schema(example = "maren@example.org", max_length = 254)]
    email: String,
    /// The code as the mail gave it.
    #[schema(example = "7K2M-QX04-9TBD", max_length = 40)]
    code: String,
    /// The new password: at least 10 characters.
    #[schema(
        example = "a longer pass phrase",
        min_length = 10,
        max_length = 1000,
        format = "password"
    )]
    new_password: String,
}

/// Set a new password by the code of a mail; all sessions end.
///
/// A code is good once and for five tries. A second factor stays on, unless it was set up before anybody had
/// shown that they read the mail of this address: then it goes, and with it what was made to let others in.
#[utoipa::path(tag = "people", request_body = PasswordReset, security(()),
    responses((status = 204, description = "Set; log in with it.")))]
#[post("/v1/auth/password-reset/confirm")]
pub(crate) async fn reset_password(
    app: web::Data<App>,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let PasswordReset { email, code, new_password } = body.parse().await?;
    let attempt = Attempt::begin(&app, &request, Sort::ResetCode, &email).await?;
    let (place, code_hash) =
        (limits::place(&app, &request), credentials::hash_secret(&credentials::typed_code(&code)));
    let reset = Reset { email: &email, place: &place, code_hash: &code_hash };
    // Only who has the code learns that the password is too near to the name.
    let name = accounts::name_of_reset(&app.db, &reset, now()).await?.unwrap_or_default();
    // Before the code is spent, and the same work whatever the code.
    let hash = hashed(&app, "/new_password", new_password, &name, &email).await;
    let hash = attempt.unless_busy(&app, hash).await?;
    if !accounts::reset_password(&app.db, &reset, &hash, now()).await? {
        return Err(Problem::fault(
            Kind::NotAcceptable,
            "/code",
            said!("fault-wrong-secret-reset"),
        ));
    }
    limits::forget(&app, &email).await?;
    tell(&app, email, said!("mail-password-changed-subject"), said!("mail-password-changed"));
    Ok(HttpResponse::NoContent().finish())
}

/// Whether a second factor is asked for.
#[derive(Serialize, ToSchema)]
pub(crate) struct SecondFactorState {
    /// Whether each login needs a code.
    #[serde(rename = "required")]
    on: bool,
    /// Recovery codes that are left.
    #[schema(example = 10)]
    recovery_codes_left: i64,
}

/// Say whether one's logins need a second factor.
#[utoipa::path(tag = "people", responses((status = 200, description = "The state.", body = SecondFactorState)))]
#[get("/v1/me/second-factor")]
pub(crate) async fn read_second_factor(
    app: web::Data<App>,
    login: Login,
) -> Result<HttpResponse, Problem> {
    let session_id = login.0.session_id;
    let on = accounts::of_session(&app.db, session_id).await?.totp_on;
    let recovery_codes_left = accounts::recovery_codes_left(&app.db, session_id).await?;
    Ok(HttpResponse::Ok().json(SecondFactorState { on, recovery_codes_left }))
}

/// One's password, asked for once more.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct PasswordAgain {
    /// One's password.
    #[schema(example = "a long pass phrase", max_length = 1000, format = "password")]
    password: String,
}

/// The secret for an authenticator app, shown once.
#[derive(Serialize, ToSchema)]
pub(crate) struct NewSecondFactor {
    /// To type, in base 32.
    #[schema(example = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ")]
    secret: String,
    /// To show as a QR code.
    #[schema(
        example = "otpauth://totp/denwright:maren%40example.org?secret=GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ&issuer=denwright"
    )]
    address: String,
}

/// Begin a second factor: time-based codes (RFC 6238).
///
/// It is asked for once a first code confirms it.
#[utoipa::path(tag = "people", request_body = PasswordAgain,
    responses((status = 201, description = "Confirm it with a code.", body = NewSecondFactor)))]
#[post("/v1/me/second-factor")]
pub(crate) async fn begin_second_factor(
    app: web::Data<App>,
    login: Login,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let PasswordAgain { password } = body.parse().await?;
    let session_id = login.0.session_id;
    let account = confirmed(&app, &request, session_id, password).await?;
    let secret = &credentials::random_key()[..totp::SECRET_BYTES];
    if !accounts::begin_second_factor(&app.db, session_id, account.person.id, secret).await? {
        let detail = said!("problem-conflict-second-factor-on");
        return Err(Problem::new(Kind::Conflict, detail));
    }
    Ok(HttpResponse::Created().insert_header(("Cache-Control", "no-store")).json(NewSecondFactor {
        secret: totp::base32(secret),
        address: totp::address(secret, &account.person.email),
    }))
}

/// A code of the authenticator app.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SecondFactorCode {
    /// As the app shows it now.
    #[schema(example = "287082", max_length = 20)]
    code: String,
}

/// Recovery codes, shown once.
#[derive(Serialize, ToSchema)]
pub(crate) struct RecoveryCodes {
    /// Each takes the place of an app's code, once.
    #[schema(example = json!(["7K2M-QX04-9TBD"]))]
    recovery_codes: Vec<String>,
}

/// Confirm the second factor with a first code; from now on each login needs one.
///
/// All other sessions end: they were begun without it.
#[utoipa::path(tag = "people", request_body = SecondFactorCode,
    responses((status = 200, description = "On. Keep the recovery codes well.", body = RecoveryCodes)))]
#[post("/v1/me/second-factor/confirm")]
pub(crate) async fn confirm_second_factor(
    app: web::Data<App>,
    login: Login,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let SecondFactorCode { code } = body.parse().await?;
    let session_id = login.0.session_id;
    let account = accounts::of_session(&app.db, session_id).await?;
    let none = || Problem::new(Kind::Conflict, said!("problem-conflict-no-second-factor"));
    let secret = accounts::totp_secret(&app.db, &account)?.filter(|_| !account.totp_on);
    let secret = secret.ok_or_else(none)?;
    let attempt = Attempt::begin(&app, &request, Sort::Login, &account.person.email).await?;
    let step = totp::step_of(&secret, &code, now().timestamp(), account.totp_step);
    let step = step.ok_or_else(wrong_code)?;
    let recovery_codes: Vec<String> =
        (0..RECOVERY_CODES).map(|_| credentials::new_code()).collect();
    let hashes: Vec<Vec<u8>> =
        recovery_codes.iter().map(|code| recovery_hash(account.person.id, code)).collect();
    let on = accounts::confirm_second_factor(&app.db, session_id, &account, step, &hashes, now());
    if !on.await? {
        return Err(none());
    }
    attempt.was_good(&app).await?;
    let answer = RecoveryCodes { recovery_codes };
    Ok(HttpResponse::Ok().insert_header(("Cache-Control", "no-store")).json(answer))
}

fn wrong_code() -> Problem {
    Problem::fault(Kind::NotAcceptable, "/code", said!("fault-wrong-secret-code-of-moment"))
}

/// What is kept of a recovery code.
fn recovery_hash(person_id: Uuid, code: &str) -> Vec<u8> {
    credentials::hash_secret(&format!("{person_id}{}", credentials::typed_code(code)))
}

/// Take the second factor off; needs the password. All other sessions end.
#[utoipa::path(tag = "people", request_body = PasswordAgain,
    responses((status = 204, description = "Off.")))]
#[post("/v1/me/second-factor/end")]
pub(crate) async fn end_second_factor(
    app: web::Data<App>,
    login: Login,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let PasswordAgain { password } = body.parse().await?;
    let session_id = login.0.session_id;
    let account = confirmed(&app, &request, session_id, password).await?;
    accounts::end_second_factor(&app.db, session_id, now()).await?;
    let text = said!("mail-second-factor-off");
    tell(&app, account.person.email, said!("mail-second-factor-off-subject"), text);
    Ok(HttpResponse::NoContent().finish())
}

/// Whether a code, of the app or one to recover with, opens an account; it is spent by that.
pub(super) async fn second_factor_fits(
    app: &App,
    account: &Account,
    code: &str,
    now: DateTime<Utc>,
) -> Result<bool, Problem> {
    let Some(secret) = accounts::totp_secret(&app.db, account)? else { return Ok(false) };
    let person_id = account.person.id;
    if let Some(step) = totp::step_of(&secret, code, now.timestamp(), account.totp_step) {
        return Ok(accounts::spend_step(&app.db, person_id, step).await?);
    }
    let hash = recovery_hash(person_id, code);
    Ok(accounts::spend_recovery_code(&app.db, person_id, &hash).await?)
}
