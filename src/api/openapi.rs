//! The published document: gathered from the handlers, finished here once for all of them.
//!
//! Handlers say what is theirs alone. What many have in common is said by a part of this module each, over
//! the document as it was gathered, and stands once, in its components.

mod about;
mod bodies;
mod errors;
mod events;
mod examples;
mod headers;
mod requests;
mod shared;
mod units;
mod variants;

use super::{
    endings::{self, ENDINGS},
    operations::Operations,
    problem::Problem,
};
use actix_web::{HttpResponse, get};
use serde_json::{Map, Value};
use utoipa::{
    OpenApi as _, ToSchema,
    openapi::{
        OpenApi,
        security::{HttpAuthScheme, HttpBuilder, SecurityRequirement, SecurityScheme},
    },
};

#[derive(utoipa::OpenApi)]
#[openapi(info(
    title = "denwright",
    description = "The whole job of a small dog kennel: matings, litters, weights, health, go-home. \
                   Advice comes with its source; a licensed veterinarian and local law decide.\n\n\
                   Every row has `id` (a UUIDv7, so that rows sort by their entry), `version` (counts its changes; \
                   its `ETag`), `created_at` and `updated_at`; `note` holds anything else, `confirmed` keeps what \
                   looks mistaken, and `standing_line` stands beside every piece of advice. Errors are problems (RFC 9457) with every fault of \
                   the input, its place, its `code`, which stays, and the `params` in its words: `Problem` and `FaultCode` list \
                   the types and codes. What is said to a person is in the language that `Accept-Language` asks for, \
                   `en` or `de`, and `Content-Language` says which; sources are cited as they are called. Every answer names itself in `X-Request-Id`, by which it is found in \
                   the service's log.\n\n\
                   What takes `cursor` is a list: `next_cursor`, also sent as `Link`, is the `cursor` of the next \
                   page and null on the last. Where it takes `sort`, name up to four of its fields, with `-` for the \
                   reverse: `sort=-born_on,name`; `created_at` and `updated_at` are always among them. Rows without \
                   a value come last, equal ones in the order of entry, as all do without `sort`. `since` and \
                   `until` look at the first of these fields: on it or later, and before it. With `Accept: text/csv` \
                   a list is a table: the first line names the fields, those of an object as `outer.inner`; lists \
                   are JSON, the unknown is empty, and a text that a spreadsheet would run has `'` before it.\n\n\
                   Whole answers among the examples are of an invented kennel, with the \
                   first of each list.",
    contact(name = "The contributors of denwright"),
    license(name = "MIT OR Apache-2.0", identifier = "MIT OR Apache-2.0")
))]
struct Document;

/// The document of the whole service.
fn document() -> Value {
    let mut gathered = Document::openapi();
    Operations::describe(&mut gathered, super::configure);
    add_what_no_handler_names(&mut gathered);
    let mut document = serde_json::to_value(&gathered).unwrap_or_default();
    requests::finish(&mut document);
    units::finish(&mut document);
    errors::add(&mut document);
    bodies::finish(&mut document);
    variants::name(&mut document);
    events::describe(&mut document);
    examples::add(&mut document);
    headers::add(&mut document);
    endings::mark(&mut document, ENDINGS);
    shared::tell_of_rows_once(&mut document);
    shared::tell_of_fields_once(&mut document);
    shared::tell_of_common_fields_once(&mut document);
    shared::lift_path_parameters(&mut document);
    shared::gather_parameters(&mut document);
    shared::gather_answers(&mut document);
    about::complete(document)
}

/// The published document: the file that a test keeps equal to [`document_text`]. Making it anew at each
/// start would take tens of megabytes that the system does not get back.
pub const PUBLISHED: &str = include_str!("../../openapi/denwright.json");

/// The document that is to be published, as text.
pub fn document_text() -> String {
    let text = serde_json::to_string_pretty(&document()).unwrap_or_default();
    let mut written = String::with_capacity(text.len());
    let mut lines = text.lines().peekable();
    while let Some(line) = lines.next() {
        written.push_str(line);
        // A reference by itself is one line, not three.
        if line.ends_with('{')
            && let Some(reference) = lines
                .next_if(|next| next.trim_start().starts_with("\"$ref\"") && !next.ends_with(','))
        {
            written.push(' ');
            written.push_str(reference.trim_start());
            if let Some(end) = lines.next_if(|next| next.trim_start().starts_with('}')) {
                written.push(' ');
                written.push_str(end.trim_start());
            }
        }
        written.push('\n');
    }
    written
}

/// Read this document.
#[utoipa::path(tag = "machine room", security(()),
    responses((status = 200, description = "The OpenAPI document.", body = serde_json::Value)))]
#[get("/openapi.json")]
pub async fn published() -> HttpResponse {
    HttpResponse::Ok().content_type("application/json").body(PUBLISHED)
}

/// The login, and the shapes that stand in no handler's own words.
fn add_what_no_handler_names(gathered: &mut OpenApi) {
    let components = gathered.components.get_or_insert_default();
    components.add_security_scheme(
        "bearer",
        SecurityScheme::Http(HttpBuilder::new().scheme(HttpAuthScheme::Bearer).build()),
    );
    gathered.security = Some(vec![SecurityRequirement::new("bearer", [] as [&str; 0])]);
    add_schema::<Problem>(gathered);
    add_schema::<events::ChangeEvent>(gathered);
    variants::add_records(gathered);
}

fn add_schema<T: ToSchema>(gathered: &mut OpenApi) {
    let schemas = &mut gathered.components.get_or_insert_default().schemas;
    schemas.insert(T::name().into_owned(), T::schema());
    let mut parts = Vec::new();
    T::schemas(&mut parts);
    schemas.extend(parts);
}

/// An operation of the document, with what its address says.
struct Operation<'a> {
    method: &'a str,
    path: &'a str,
    says: &'a mut Map<String, Value>,
}

/// Visits every operation.
fn each_operation(document: &mut Value, mut visit: impl FnMut(Operation<'_>)) {
    let paths = document.get_mut("paths").and_then(Value::as_object_mut);
    for (path, item) in paths.into_iter().flatten() {
        for (method, says) in item.as_object_mut().into_iter().flatten() {
            if let Some(says) = says.as_object_mut() {
                visit(Operation { method, path, says });
            }
        }
    }
}

impl Operation<'_> {
    /// The object of this name, made when it is not there.
    fn part(&mut self, name: &str) -> Option<&mut Map<String, Value>> {
        part(self.says, name)
    }

    /// The answers, by their status.
    fn answers(&mut self) -> impl Iterator<Item = (&String, &mut Value)> {
        self.part("responses").into_iter().flatten()
    }

    /// Whether it has a parameter of this name.
    fn takes(&self, name: &str) -> bool {
        let mut parameters =
            self.says.get("parameters").and_then(Value::as_array).into_iter().flatten();
        parameters.any(|parameter| parameter["name"] == name)
    }

    /// Adds a parameter.
    fn take(&mut self, parameter: Value) {
        let parameters = self.says.entry("parameters").or_insert_with(|| Value::Array(Vec::new()));
        if let Some(parameters) = parameters.as_array_mut() {
            parameters.push(parameter);
        }
    }
}

/// The object of this name within another, made when it is not there.
fn part<'a>(within: &'a mut Map<String, Value>, name: &str) -> Option<&'a mut Map<String, Value>> {
    within.entry(name).or_insert_with(|| Value::Object(Map::new())).as_object_mut()
}

/// The components of this kind.
fn components<'a>(document: &'a mut Value, kind: &str) -> Option<&'a mut Map<String, Value>> {
    part(part(document.as_object_mut()?, "components")?, kind)
}

/// A reference to a component.
fn reference(kind: &str, name: &str) -> Value {
    serde_json::json!({ "$ref": format!("#/components/{kind}/{name}") })
}

/// A name in the manner of types: `several_lines` is `SeveralLines`.
fn type_name(words: &str) -> String {
    let parts = words.split(['_', '-', ' ', '.']).filter(|part| !part.is_empty());
    parts.fold(String::new(), |mut name, part| {
        let mut letters = part.chars();
        name.extend(letters.next().map(|first| first.to_ascii_uppercase()));
        name.push_str(letters.as_str());
        name
    })
}
