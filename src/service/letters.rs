//! The end of somebody's daily letters, by the link that stands in each: no login, no operation of the interface.
//!
//! A mail program posts to it by itself (RFC 8058); a person who opens it is asked first, since programs that
//! look at links must end nothing.

use actix_web::{
    HttpRequest, HttpResponse,
    http::{StatusCode, header},
    web,
};
use api::{App, language::wanted};
use catalogue::{Language, Text, said, speaking};
use store::{StoreError, StoreResult, rings::letters};

/// What such a page may load and do: nothing, and post to itself.
const POLICY: &str = "default-src 'none'; form-action 'self'; frame-ancestors 'none'";

/// The paths of the links.
pub fn configure(config: &mut web::ServiceConfig) {
    config.service(
        web::resource("/letters/{token}").route(web::get().to(asked)).route(web::post().to(ended)),
    );
}

async fn asked(
    app: web::Data<App>,
    request: HttpRequest,
    token: web::Path<String>,
) -> HttpResponse {
    let found = letters::is_end(&app.db, &token);
    answered(&request, found, said!("letter-end-asked"), true)
}

async fn ended(
    app: web::Data<App>,
    request: HttpRequest,
    token: web::Path<String>,
) -> HttpResponse {
    let found = letters::end(&app.db, &token).await;
    answered(&request, found, said!("letter-ended"), false)
}

fn answered(
    request: &HttpRequest,
    found: StoreResult<()>,
    words: Text,
    asks: bool,
) -> HttpResponse {
    let (status, words, asks) = match found {
        Ok(()) => (StatusCode::OK, words, asks),
        Err(StoreError::NotFound) => (StatusCode::NOT_FOUND, said!("letter-no-link"), false),
        Err(_) => (StatusCode::SERVICE_UNAVAILABLE, said!("letter-later"), false),
    };
    let language = wanted(request.headers());
    HttpResponse::build(status)
        .insert_header((header::CONTENT_SECURITY_POLICY, POLICY))
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .content_type("text/html; charset=utf-8")
        .body(speaking(language, || page(language, &words, asks)))
}

fn page(language: Language, words: &Text, asks: bool) -> String {
    let button = match asks {
        true => {
            format!("<form method=\"post\"><button>{}</button></form>", said!("letter-end-short"))
        }
        false => String::new(),
    };
    format!(
        "<!DOCTYPE html><html lang=\"{}\"><head><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width\"><title>denwright</title></head>\
         <body><p>{words}</p>{button}</body></html>",
        language.tag()
    )
}
