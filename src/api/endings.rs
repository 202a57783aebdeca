//! Operations that will end: their answers say so from the day it is decided (`Deprecation`, RFC 9745), until
//! when they go on (`Sunset`, RFC 8594), and what to use instead (`Link`, RFC 5829); the document does too.
//!
//! An operation ends by a line in [`ENDINGS`]. It stays for as long as its line says; a test holds the
//! document to that.

use actix_web::{
    Error,
    body::MessageBody,
    dev::{ServiceRequest, ServiceResponse},
    http::header::{self, HeaderName, HeaderValue},
    middleware::Next,
};
use chrono::{NaiveDate, NaiveTime};
use serde_json::{Value, json};

/// An operation that will end.
#[derive(Debug, Clone, Copy)]
pub struct Ending {
    /// Its method.
    pub method: &'static str,
    /// Its path, as the document has it.
    pub path: &'static str,
    /// The day since which nothing new should use it.
    pub deprecated_on: NaiveDate,
    /// The day from which on it may be gone.
    pub sunset_on: NaiveDate,
    /// The path of what takes its place.
    pub instead: &'static str,
}

/// All that will end. Nothing does yet.
pub const ENDINGS: &[Ending] = &[];

/// Has the answers of what will end say so.
///
/// # Errors
/// Those of the request.
pub async fn told(
    request: ServiceRequest,
    next: Next<impl MessageBody>,
    endings: &'static [Ending],
) -> Result<ServiceResponse<impl MessageBody>, Error> {
    let mut response = next.call(request).await?;
    if endings.is_empty() {
        return Ok(response);
    }
    let asked = response.request();
    let pattern = asked.match_pattern().unwrap_or_default();
    let ends = |ending: &&Ending| ending.path == pattern && asked.method() == ending.method;
    if let Some(ending) = endings.iter().find(ends) {
        for (name, value) in headers(ending) {
            if let Ok(value) = HeaderValue::from_str(&value) {
                response.headers_mut().append(name, value);
            }
        }
    }
    Ok(response)
}

/// When `Deprecation` is said as seconds since 1970, `Sunset` is an HTTP date: so the two standards have it.
fn headers(ending: &Ending) -> [(HeaderName, String); 3] {
    let since = ending.deprecated_on.and_time(NaiveTime::MIN).and_utc();
    let until = ending.sunset_on.and_time(NaiveTime::MIN).and_utc();
    [
        (HeaderName::from_static("deprecation"), format!("@{}", since.timestamp())),
        (HeaderName::from_static("sunset"), until.format("%a, %d %b %Y %H:%M:%S GMT").to_string()),
        (header::LINK, format!("<{}>; rel=\"successor-version\"", ending.instead)),
    ]
}

/// Marks what will end in the document.
pub(crate) fn mark(document: &mut Value, endings: &[Ending]) {
    for ending in endings {
        let path = crate::body::escape(ending.path);
        let place = format!("/paths/{path}/{}", ending.method.to_lowercase());
        let Some(operation) = document.pointer_mut(&place) else { continue };
        operation["deprecated"] = json!(true);
        operation["x-sunset"] = json!(ending.sunset_on);
        let says = operation["description"].as_str().unwrap_or_default();
        let ends = format!(
            "Deprecated since {}; answers until {} at least (`Deprecation`, `Sunset`). Use `{}`.",
            ending.deprecated_on, ending.sunset_on, ending.instead
        );
        operation["description"] = json!(format!("{says}\n\n{ends}").trim());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::{App, HttpResponse, middleware::from_fn, test as served, web};

    const ENDS: &[Ending] = &[Ending {
        method: "GET",
        path: "/v1/old/{id}",
        deprecated_on: NaiveDate::from_ymd_opt(2026, 11, 29).unwrap(),
        sunset_on: NaiveDate::from_ymd_opt(2027, 11, 30).unwrap(),
        instead: "/v1/new/{id}",
    }];

    #[actix_web::test]
    async fn what_will_end_says_so_and_nothing_else_does() {
        let good =
            || web::to(|| async { HttpResponse::Ok().append_header(("Link", "<a>")).finish() });
        let old = web::resource("/v1/old/{id}")
            .route(
                web::get()
                    .to(|| async { HttpResponse::Ok().append_header(("Link", "<a>")).finish() }),
            )
            .route(web::delete().to(HttpResponse::Ok));
        let app = App::new()
            .wrap(from_fn(|request, next| told(request, next, ENDS)))
            .service(old)
            .route("/v1/new/{id}", good());
        let app = served::init_service(app).await;
        let sent = async |method: &str, path: &str| {
            let request = served::TestRequest::with_uri(path).method(method.parse().unwrap());
            let response = served::call_service(&app, request.to_request()).await;
            let headers = response.headers();
            ["deprecation", "sunset", "link"].map(|name| {
                headers
                    .get_all(name)
                    .map(|one| one.to_str().unwrap().to_owned())
                    .collect::<Vec<_>>()
            })
        };
        // 2026-11-29 is 1,795,910,400 seconds after 1970 (`date -u -d 2026-11-29 +%s`), and 2027-11-30 a Tuesday.
        assert_eq!(
            sent("GET", "/v1/old/7").await,
            [
                vec!["@1795910400"],
                vec!["Tue, 30 Nov 2027 00:00:00 GMT"],
                vec!["<a>", "</v1/new/{id}>; rel=\"successor-version\""],
            ]
        );
        assert_eq!(sent("DELETE", "/v1/old/7").await, [vec![], vec![], Vec::<&str>::new()]);
        assert_eq!(sent("GET", "/v1/new/7").await, [vec![], vec![], vec!["<a>"]]);
    }

    #[test]
    fn the_document_marks_what_will_end() {
        let mut document = json!({ "paths": { "/v1/old/{id}": { "get": { "description": "Reads." }, "put": {} } } });
        mark(&mut document, ENDS);
        let get = &document["paths"]["/v1/old/{id}"]["get"];
        assert_eq!((&get["deprecated"], &get["x-sunset"]), (&json!(true), &json!("2027-11-30")));
        assert_eq!(
            get["description"],
            "Reads.\n\nDeprecated since 2026-11-29; answers until 2027-11-30 at least (`Deprecation`, `Sunset`). \
             Use `/v1/new/{id}`."
        );
        assert_eq!(document["paths"]["/v1/old/{id}"]["put"], json!({}));
    }
}
