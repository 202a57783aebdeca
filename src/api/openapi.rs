//! The published document: gathered from the handlers, finished here once for all of them.

use super::{
    operations::Operations,
    problem::{Kind, PROBLEM_JSON, Problem},
};
use actix_web::{HttpResponse, get};
use utoipa::{
    OpenApi as _, PartialSchema as _, ToSchema as _,
    openapi::{
        ContentBuilder, OpenApi, Ref, RefOr, Required, Response, ResponseBuilder,
        header::HeaderBuilder,
        path::{Operation, ParameterBuilder, ParameterIn, PathItem},
        schema::{AnyOfBuilder, ArrayItems, ObjectBuilder, Schema, Type},
        security::{HttpAuthScheme, HttpBuilder, SecurityRequirement, SecurityScheme},
    },
};

#[derive(utoipa::OpenApi)]
#[openapi(info(
    title = "denwright",
    description = "The whole job of a small dog kennel: matings, litters, weights, health, go-home. \
                   Advice comes with its source; a licensed veterinarian and local law decide.",
    license(name = "MIT OR Apache-2.0", identifier = "MIT OR Apache-2.0")
))]
struct Document;

/// The document of the whole service.
pub fn document() -> OpenApi {
    let mut document = Document::openapi();
    Operations::describe(&mut document, super::configure);
    finish(&mut document);
    document
}

/// The published document: the file that a test keeps equal to [`document_text`]. Making it anew at each
/// start would take tens of megabytes that the system does not get back.
pub const PUBLISHED: &str = include_str!("../../openapi/denwright.json");

/// The document that is to be published, as text.
pub fn document_text() -> String {
    let text = document().to_pretty_json().unwrap_or_default();
    format!("{text}\n")
}

/// Read this document.
#[utoipa::path(tag = "machine room", security(()),
    responses((status = 200, description = "The OpenAPI document.", body = serde_json::Value)))]
#[get("/openapi.json")]
pub async fn published() -> HttpResponse {
    HttpResponse::Ok().content_type("application/json").body(PUBLISHED)
}

/// What handlers need not say each for itself: the login, the errors, the shared headers.
fn finish(document: &mut OpenApi) {
    let components = document.components.get_or_insert_default();
    components.add_security_scheme(
        "bearer",
        SecurityScheme::Http(HttpBuilder::new().scheme(HttpAuthScheme::Bearer).build()),
    );
    components.schemas.insert(Problem::name().into_owned(), Problem::schema());
    let mut parts = Vec::new();
    Problem::schemas(&mut parts);
    components.schemas.extend(parts);
    for schema in components.schemas.values_mut() {
        leave_out_defaults(schema);
    }
    for batch in ["WeightBatch", "ObservationBatch"] {
        components.schemas.get_mut(batch).map(take_any_row);
    }
    document.security = Some(vec![SecurityRequirement::new("bearer", [] as [&str; 0])]);
    for (path, item) in &mut document.paths.paths {
        finish_path(path, item);
    }
}

/// Takes the defaults out of an object's fields: client generators read a field with a default as
/// one that is always there, and then ask for it in requests as well.
fn leave_out_defaults(schema: &mut RefOr<Schema>) {
    let RefOr::T(Schema::Object(object)) = schema else { return };
    for property in object.properties.values_mut() {
        match property {
            RefOr::T(Schema::Array(array)) => array.default = None,
            RefOr::T(Schema::Object(object)) => object.default = None,
            RefOr::T(Schema::OneOf(one_of)) => one_of.default = None,
            RefOr::T(_) | RefOr::Ref(_) => {}
        }
    }
}

/// Says that a batch takes rows of any form: one that is not as it should be is refused by itself, and
/// the others are stored.
fn take_any_row(batch: &mut RefOr<Schema>) {
    let RefOr::T(Schema::Object(object)) = batch else { return };
    let Some(RefOr::T(Schema::Array(rows))) = object.properties.get_mut("items") else { return };
    let ArrayItems::RefOrSchema(row) = &mut rows.items else { return };
    let other = ObjectBuilder::new()
        .schema_type(Type::Object)
        .description(Some("Anything else: refused by itself, with what is wrong with it."));
    let any = AnyOfBuilder::new().item(row.as_ref().clone()).item(other);
    **row = RefOr::T(Schema::AnyOf(any.build()));
}

fn finish_path(path: &str, item: &mut PathItem) {
    let PathItem { get, post, patch, put, delete, .. } = item;
    let machine_room = !path.starts_with("/v1/");
    let named = path.contains('{');
    let errors = |more: &[Kind]| {
        let mut kinds = vec![Kind::Unavailable];
        if !machine_room {
            kinds.extend([Kind::Unreadable, Kind::NotLoggedIn, Kind::Forbidden, Kind::TooMany]);
            kinds.extend(more);
        }
        if named {
            kinds.push(Kind::NotFound);
        }
        kinds
    };
    const BODY: [Kind; 4] =
        [Kind::Conflict, Kind::TooLarge, Kind::WrongMediaType, Kind::NotAcceptable];
    const VERSION: [Kind; 3] = [Kind::Conflict, Kind::Stale, Kind::MissingPrecondition];
    if let Some(operation) = get {
        add_errors(operation, &errors(&[Kind::NotAcceptable]));
    }
    if let Some(operation) = post {
        add_errors(operation, &errors(&BODY));
        if path.ends_with("/restore") {
            // It names the version that was seen in its body.
            add_errors(operation, &[Kind::Stale]);
        }
        if path.starts_with("/v1/kennels") {
            add_header(
                operation,
                "Idempotency-Key",
                false,
                "A repeat with the same key and body gets the same answer.",
                "0193e7a2-6b5f-7c11-9d55-0a1c52a0b8f4",
            );
        }
    }
    for operation in [patch, put].into_iter().flatten() {
        accept_plain_json(operation);
        add_errors(operation, &errors(&[BODY.as_slice(), VERSION.as_slice()].concat()));
        add_header(operation, "If-Match", true, "ETag of the version that you have seen.", "\"1\"");
    }
    if let Some(operation) = delete {
        let secret = ["access-tokens", "booklet-links", "calendar-links"];
        let versioned = !secret.iter().any(|links| path.contains(links));
        add_errors(operation, &errors(if versioned { &VERSION } else { &[Kind::Conflict] }));
        if versioned {
            add_header(
                operation,
                "If-Match",
                true,
                "ETag of the version that you have seen.",
                "\"1\"",
            );
        }
    }
}

fn add_header(
    operation: &mut Operation,
    name: &str,
    required: bool,
    description: &str,
    example: &str,
) {
    let parameter = ParameterBuilder::new()
        .name(name)
        .parameter_in(ParameterIn::Header)
        .required(if required { Required::True } else { Required::False })
        .description(Some(description))
        .schema(Some(ObjectBuilder::new().schema_type(Type::String).examples([example])))
        .build();
    operation.parameters.get_or_insert_default().push(parameter.into());
}

/// Many clients send a merge patch as plain JSON; both are taken.
fn accept_plain_json(operation: &mut Operation) {
    if let Some(RefOr::T(body)) = &mut operation.request_body
        && let Some(patch) = body.content.get("application/merge-patch+json").cloned()
    {
        body.content.insert("application/json".to_owned(), patch);
    }
}

fn add_errors(operation: &mut Operation, kinds: &[Kind]) {
    for kind in kinds {
        let status = kind.status().as_u16().to_string();
        operation.responses.responses.entry(status).or_insert_with(|| problem_response(*kind));
    }
}

fn problem_response(kind: Kind) -> RefOr<Response> {
    let content =
        ContentBuilder::new().schema(Some(Ref::from_schema_name(Problem::name()))).build();
    let mut response =
        ResponseBuilder::new().description(kind.title()).content(PROBLEM_JSON, content);
    if matches!(kind, Kind::Unavailable | Kind::TooMany) {
        let seconds = HeaderBuilder::new()
            .description(Some("Seconds to wait."))
            .schema(Some(ObjectBuilder::new().schema_type(Type::Integer)))
            .build();
        response = response.header("Retry-After", seconds);
    }
    response.build().into()
}
