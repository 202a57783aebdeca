//! The service's own pages: files below `src/pages/`, built into the program.
//!
//! They use the published API and nothing else. `/` is one page for all; what it shows stands behind the
//! `#` of its address, so that one file, once kept by the browser, opens everything without a network.

use actix_web::{
    HttpRequest, HttpResponse,
    http::header::{self, EntityTag, Header as _, IfNoneMatch},
    web,
};
use rust_embed::{EmbeddedFile, RustEmbed};
use std::{borrow::Cow, fmt::Write as _};

/// All that a browser is handed. Declarations of types are for the check alone.
#[derive(RustEmbed)]
#[folder = "src/pages/"]
#[exclude = "*.ts"]
#[exclude = "*.mts"]
#[exclude = "*.md"]
#[exclude = "*.sh"]
struct Files;

/// What the pages may load, run and call: this service, and no script or style within a page.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; \
    connect-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; \
    frame-ancestors 'none'";

/// The paths of the pages.
pub fn configure(config: &mut web::ServiceConfig) {
    config
        .route("/", web::get().to(|request: HttpRequest| named(request, "index.html")))
        .route(
            "/manifest.webmanifest",
            web::get().to(|request: HttpRequest| named(request, "manifest.webmanifest")),
        )
        .route("/service-worker.js", web::get().to(worker))
        .route("/pages/{file:.*}", web::get().to(file));
}

async fn named(request: HttpRequest, name: &'static str) -> HttpResponse {
    answer(&request, name)
}

async fn file(request: HttpRequest, name: web::Path<String>) -> HttpResponse {
    answer(&request, &name)
}

fn answer(request: &HttpRequest, name: &str) -> HttpResponse {
    match Files::get(name) {
        Some(EmbeddedFile { data, metadata }) => {
            kept(request, &hex(&metadata.sha256_hash()), media_type(name), data)
        }
        None => HttpResponse::NotFound()
            .insert_header((header::CONTENT_SECURITY_POLICY, POLICY))
            .content_type("text/plain; charset=utf-8")
            .body("There is no such file of the pages.\n"),
    }
}

/// The worker that keeps the pages for when there is no network. It is told all files and a name for this
/// state of them, so that a browser keeps files of one state together and sees when there is a next.
async fn worker(request: HttpRequest) -> HttpResponse {
    let Some(own) = Files::get("service-worker.js") else {
        return HttpResponse::NotFound().finish();
    };
    let mut names: Vec<Cow<'static, str>> =
        Files::iter().filter(|name| !matches!(&**name, "service-worker.js")).collect();
    names.sort();
    let hashes: String = std::iter::once(&own)
        .map(|file| hex(&file.metadata.sha256_hash()))
        .chain(names.iter().filter_map(|name| Some(hex(&Files::get(name)?.metadata.sha256_hash()))))
        .collect();
    let state = format!("{:016x}", short_hash(&hashes));
    let addresses: Vec<String> = names
        .iter()
        .map(|name| match &**name {
            "index.html" => "/".to_owned(),
            "manifest.webmanifest" => "/manifest.webmanifest".to_owned(),
            other => format!("/pages/{other}"),
        })
        .collect();
    let told = serde_json::json!({ "state": state, "files": addresses });
    let mut text = format!("self.PAGES = {told};\n").into_bytes();
    text.extend_from_slice(&own.data);
    kept(&request, &state, "text/javascript; charset=utf-8", Cow::Owned(text))
}

/// FNV-1a: a name for a state, no secret.
fn short_hash(text: &str) -> u64 {
    text.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

/// Answers a file, or that the browser has it already.
fn kept(
    request: &HttpRequest,
    hash: &str,
    media_type: &'static str,
    data: Cow<'static, [u8]>,
) -> HttpResponse {
    let tag = EntityTag::new_strong(hash.to_owned());
    let has_it = match IfNoneMatch::parse(request) {
        Ok(IfNoneMatch::Any) => true,
        Ok(IfNoneMatch::Items(tags)) => tags.iter().any(|known| known.weak_eq(&tag)),
        Err(_) => false,
    };
    let mut answer = if has_it { HttpResponse::NotModified() } else { HttpResponse::Ok() };
    answer
        .insert_header(header::ETag(tag))
        .insert_header((header::CACHE_CONTROL, "no-cache"))
        .insert_header((header::CONTENT_SECURITY_POLICY, POLICY));
    if has_it { answer.finish() } else { answer.content_type(media_type).body(data.into_owned()) }
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        // Writing to a text cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

fn media_type(name: &str) -> &'static str {
    match name.rsplit('.').next().unwrap_or_default() {
        "html" => "text/html; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        _ => "application/octet-stream",
    }
}
