//! The language of an answer: the one that its reader asks for by `Accept-Language`.
//!
//! A login of a machine that asks for none gets English. What is spoken holds for all that is said while
//! the request is under way, on whichever thread it is worked at.

use actix_web::{
    Error,
    body::MessageBody,
    dev::{ServiceRequest, ServiceResponse},
    http::header::{self, HeaderMap, HeaderName, HeaderValue},
    middleware::Next,
};
use catalogue::{Language, Speaking};

/// Answers in the language that the request asks for.
///
/// # Errors
/// Those of the request.
pub async fn spoken_to(
    request: ServiceRequest,
    next: Next<impl MessageBody>,
) -> Result<ServiceResponse<impl MessageBody>, Error> {
    let speaks = speaks(request.path());
    let language = wanted(request.headers());
    let of_print = named(request.query_string());
    let mut response = Speaking::new(language, next.call(request)).await?;
    if speaks {
        // What takes no such parameter refuses it, and says so in the language of the request.
        let language = of_print.filter(|_| response.status().is_success()).unwrap_or(language);
        let headers = response.headers_mut();
        if !headers.contains_key(header::CONTENT_LANGUAGE) {
            let tag = HeaderValue::from_static(language.tag());
            headers.insert(header::CONTENT_LANGUAGE, tag);
        }
        varies_by(headers, header::ACCEPT_LANGUAGE);
    }
    Ok(response)
}

/// The language that a request asks for.
pub fn wanted(headers: &HeaderMap) -> Language {
    let wishes: Vec<&str> =
        headers.get_all(header::ACCEPT_LANGUAGE).filter_map(|value| value.to_str().ok()).collect();
    Language::accepted(&wishes.join(","))
}

/// The language that a print, a picture or a calendar is asked for in.
fn named(query: &str) -> Option<Language> {
    let (_, tag) = form_urlencoded::parse(query.as_bytes()).find(|(name, _)| name == "language")?;
    Language::of_tag(&tag)
}

/// Whether an address answers in words of the catalogue; pages and their parts are the same for all.
fn speaks(path: &str) -> bool {
    path.starts_with("/v1/")
}

/// Says that an answer depends on a header of the request, beside those already named.
fn varies_by(headers: &mut HeaderMap, name: HeaderName) {
    let named: Vec<String> = headers
        .get_all(header::VARY)
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','))
        .map(|one| one.trim().to_owned())
        .chain([name.to_string()])
        .collect();
    if let Ok(value) = HeaderValue::from_str(&named.join(", ")) {
        headers.insert(header::VARY, value);
    }
}
