//! The published document as a page to read and to try, with nothing from elsewhere.

use actix_web::{HttpResponse, get, http::header::ContentType};

const PAGE: &str = include_str!("docs.html");

/// The page itself; its script and its styles are files beside it.
#[get("/docs/")]
pub async fn page() -> HttpResponse {
    HttpResponse::Ok().content_type(ContentType::html()).body(PAGE)
}
