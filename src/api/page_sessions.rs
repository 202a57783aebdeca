//! Sessions of the service's own pages: the refresh token lies in a cookie that no script can read.
//!
//! A browser sends a cookie by itself, also when another's page has it do so. Three things stand against
//! that: the cookie is `SameSite=Strict`, the request needs a header that no form can send, and where the
//! browser says whose page asks, it must be one of this service.

use super::{
    App,
    account::{self, PasswordChange},
    body::JsonBody,
    login::Login,
    now,
    people::{self, Credentials, Session},
    problem::{Kind, Problem},
};
use actix_web::{
    FromRequest, HttpRequest, HttpResponse,
    cookie::{Cookie, SameSite, time},
    delete,
    dev::Payload,
    http::header,
    post, web,
};
use catalogue::said;
use security::credentials;
use serde::Serialize;
use std::future::{Ready, ready};
use store::sessions;
use utoipa::ToSchema;

/// The operations of this file.
pub fn configure(config: &mut super::operations::Operations) {
    config
        .service(begin_page_session)
        .service(refresh_page_session)
        .service(change_page_password)
        .service(end_page_session);
}

/// Where the browser sends the cookie: to these operations alone.
const PATH: &str = "/v1/auth/page-session";
/// The header that shows a script's request.
const HEADER: &str = "X-Denwright-Page";

/// A session of a page.
#[derive(Serialize, ToSchema)]
pub(crate) struct PageSession {
    /// Send it as `Authorization: Bearer …`; keep it in memory alone.
    access_token: String,
    /// Always `Bearer`.
    #[schema(example = "Bearer")]
    token_type: String,
    /// Seconds for which the access token is good.
    #[schema(example = 900)]
    expires_in: i64,
}

/// A request of one of the service's own pages.
pub(crate) struct OwnPage {
    /// Whether the page came by https, and the cookie with it.
    secure: bool,
    /// The refresh token of the cookie, where there is one.
    refresh_token: Option<String>,
}

impl FromRequest for OwnPage {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(Self::of(request))
    }
}

impl OwnPage {
    fn of(request: &HttpRequest) -> Result<Self, Problem> {
        let given = |name: &str| request.headers().get(name).map(|value| value.as_bytes());
        if given(HEADER) != Some(b"1") {
            let detail = said!("problem-forbidden-own-pages-header", header = HEADER);
            return Err(Problem::new(Kind::Forbidden, detail));
        }
        let app = request.app_data::<web::Data<App>>();
        let own_origin = app.and_then(|app| app.own_origin.as_deref());
        let origin = given("origin").map(String::from_utf8_lossy);
        let of_host = |origin: &str| {
            let asked = origin.split_once("://").map(|(_, authority)| authority.as_bytes());
            asked.is_some() && asked == given("host")
        };
        let from_elsewhere = given("sec-fetch-site").is_some_and(|site| site != b"same-origin")
            || origin.as_deref().is_some_and(|o| own_origin != Some(o) && !of_host(o));
        if from_elsewhere {
            let detail = said!("problem-forbidden-other-page");
            return Err(Problem::new(Kind::Forbidden, detail));
        }
        let secure = origin.as_deref().or(own_origin).is_some_and(|o| o.starts_with("https://"));
        let refresh_token = request.cookie(name(secure)).map(|cookie| cookie.value().to_owned());
        Ok(Self { secure, refresh_token })
    }

    /// Puts a refresh token in the cookie; an empty one takes the cookie away.
    fn cookie(&self, refresh_token: String, good_for: chrono::Duration) -> Cookie<'static> {
        Cookie::build(name(self.secure), refresh_token)
            .path(PATH)
            .http_only(true)
            .secure(self.secure)
            .same_site(SameSite::Strict)
            .max_age(time::Duration::seconds(good_for.num_seconds()))
            .finish()
    }

    fn cleared(&self) -> Cookie<'static> {
        self.cookie(String::new(), chrono::Duration::zero())
    }

    fn answer(&self, app: &App, session: Session) -> HttpResponse {
        let Session { access_token, token_type, expires_in, refresh_token } = session;
        HttpResponse::Ok()
            .cookie(self.cookie(refresh_token, app.refresh_lifetime))
            .insert_header((header::CACHE_CONTROL, "no-store"))
            .json(PageSession { access_token, token_type, expires_in })
    }
}

/// The name shows a browser that the cookie must have come by https (RFC 6265bis, cookie name prefixes).
fn name(secure: bool) -> &'static str {
    if secure { "__Secure-denwright-page" } else { "denwright-page" }
}

/// A phone at the edge of its network has asked again by then, or not at all. Common practice, no source.
const GOOD_AGAIN: chrono::Duration = chrono::Duration::seconds(60);

/// Log in from one of the service's own pages.
///
/// The refresh token goes into a cookie that no script can read.
#[utoipa::path(tag = "people", request_body = Credentials, security(()),
    params(("X-Denwright-Page" = String, Header, description = "Always `1`.", example = "1")),
    responses((status = 200, description = "A new session.", body = PageSession)))]
#[post("/v1/auth/page-session")]
pub(crate) async fn begin_page_session(
    app: web::Data<App>,
    request: HttpRequest,
    page: OwnPage,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let account = people::shown(&app, &request, body.parse().await?).await?;
    let session = people::begun(&app, account.person.id, account.generation).await?;
    Ok(page.answer(&app, session))
}

/// Go on with the next access token, by the cookie.
///
/// The cookie is good once and replaced. For a minute it is good again when the answer was lost, that is, as long
/// as what replaced it was not used; any other second use ends the session, so tabs take turns.
#[utoipa::path(tag = "people", security(()),
    params(("X-Denwright-Page" = String, Header, description = "Always `1`.", example = "1")),
    responses((status = 200, description = "The session goes on.", body = PageSession)))]
#[post("/v1/auth/page-session/refresh")]
pub(crate) async fn refresh_page_session(
    app: web::Data<App>,
    page: OwnPage,
) -> Result<HttpResponse, Problem> {
    let Some(refresh_token) = &page.refresh_token else {
        return Err(Problem::new(Kind::NotLoggedIn, said!("problem-login-no-session")));
    };
    let session = people::gone_on(&app, refresh_token, GOOD_AGAIN).await?;
    Ok(page.answer(&app, session))
}

/// Change one's password from one of the service's own pages; all other sessions end.
///
/// The page stays logged in, with a cookie and an access token that are new.
#[utoipa::path(tag = "people", request_body = PasswordChange,
    params(("X-Denwright-Page" = String, Header, description = "Always `1`.", example = "1")),
    responses((status = 200, description = "Changed.", body = PageSession)))]
#[post("/v1/auth/page-session/password")]
pub(crate) async fn change_page_password(
    app: web::Data<App>,
    login: Login,
    page: OwnPage,
    request: HttpRequest,
    body: JsonBody,
) -> Result<HttpResponse, Problem> {
    let session = account::password_changed(&app, &request, login, body).await?;
    Ok(page.answer(&app, session))
}

/// Log out: end the session of the cookie, and its access tokens at once.
#[utoipa::path(tag = "people", security(()),
    params(("X-Denwright-Page" = String, Header, description = "Always `1`.", example = "1")),
    responses((status = 204, description = "Ended; the cookie is gone.")))]
#[delete("/v1/auth/page-session")]
pub(crate) async fn end_page_session(
    app: web::Data<App>,
    page: OwnPage,
) -> Result<HttpResponse, Problem> {
    if let Some(refresh_token) = &page.refresh_token {
        sessions::end(&app.db, &credentials::hash_secret(refresh_token), now()).await?;
    }
    Ok(HttpResponse::NoContent().cookie(page.cleared()).finish())
}
