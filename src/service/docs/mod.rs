//! The published document as a page to read and to try, and the way from nothing to a first litter; with
//! nothing from elsewhere.

use actix_web::{HttpResponse, get, http::header::ContentType};

const REFERENCE: &str = include_str!("reference.html");
/// A test sends each request of it and holds the answers against those shown.
const FIRST_LITTER: &str = include_str!("first-litter.html");

/// All operations; the script and the styles of the page are files beside it.
#[get("/docs/")]
pub async fn reference() -> HttpResponse {
    page(REFERENCE)
}

/// The way to a first litter, request by request.
#[get("/docs/first-litter")]
pub(crate) async fn first_litter() -> HttpResponse {
    page(FIRST_LITTER)
}

fn page(text: &'static str) -> HttpResponse {
    HttpResponse::Ok().content_type(ContentType::html()).body(text)
}
