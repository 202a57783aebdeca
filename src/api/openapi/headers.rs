//! The headers that answers carry beside their body, described once.

use super::{Operation, components, each_operation, part, reference};
use serde_json::{Map, Value, json};
use std::collections::BTreeSet;

/// What is made as a whole and has no version, or no address of its own.
const WITHOUT_LOCATION: [&str; 2] = ["/v1/people", "/v1/me/second-factor"];
/// New, but never changed by a version.
const WITHOUT_TAG: [&str; 6] =
    ["/seen", "/access-tokens", "/booklet-links", "/archive", "/uploads", "/rings/devices"];

/// Says that a header of this name is sent.
pub(super) fn name(sent: &mut Map<String, Value>, name: &str) {
    sent.insert(name.to_owned(), reference("headers", component(name)));
}

/// What the component of a header is called: that of every answer shortly, since it is named hundreds of times.
fn component(header: &str) -> &str {
    if header == "X-Request-Id" { "Request" } else { header }
}

/// Names the headers of each answer, and describes them.
pub(super) fn add(document: &mut Value) {
    let versioned = versioned_paths(document);
    each_operation(document, |mut operation| {
        let headers = headers_of(&operation, &versioned);
        for (status, answer) in operation.answers() {
            let Some(answer) = answer.as_object_mut().filter(|_| status.starts_with('2')) else {
                continue;
            };
            let is_file = answer.get("content").is_some_and(is_file);
            let Some(sent) = part(answer, "headers") else { continue };
            for header in &headers {
                name(sent, header);
            }
            if is_file {
                name(sent, "Content-Disposition");
            }
            // That every answer has its id is said at the head; where one may ask for it, it is said again.
            if sent.is_empty() {
                answer.shift_remove("headers");
            }
        }
    });
    for response in components(document, "responses").into_iter().flat_map(Map::values_mut) {
        if let Some(sent) = response.as_object_mut().and_then(|response| part(response, "headers"))
        {
            name(sent, "X-Request-Id");
        }
    }
    if let Some(headers) = components(document, "headers") {
        headers.extend(described());
    }
}

/// Paths of what is changed from a version that was seen, and so is read with it.
fn versioned_paths(document: &mut Value) -> BTreeSet<String> {
    let mut paths = BTreeSet::new();
    each_operation(document, |operation| {
        if operation.method != "delete" && operation.takes("If-Match") {
            paths.insert(operation.path.to_owned());
        }
    });
    paths
}

fn headers_of(operation: &Operation<'_>, versioned: &BTreeSet<String>) -> Vec<&'static str> {
    let Operation { method, path, .. } = *operation;
    let mut headers = Vec::new();
    let makes = operation.says.get("responses").is_some_and(|answers| answers.get("201").is_some());
    if makes && !WITHOUT_LOCATION.contains(&path) {
        headers.push("Location");
        if !WITHOUT_TAG.iter().any(|end| path.ends_with(end)) {
            headers.push("ETag");
        }
    }
    if method != "post" && method != "delete" && versioned.contains(path) {
        headers.push("ETag");
    }
    if is_conditional(operation) && !headers.contains(&"ETag") {
        headers.push("ETag");
    }
    if operation.takes("cursor") {
        headers.push("Link");
    }
    headers
}

/// Whether it is a read of JSON or of a picture, of which a client can ask whether it changed.
pub(super) fn is_conditional(operation: &Operation<'_>) -> bool {
    let content =
        operation.says.get("responses").and_then(|answers| answers.pointer("/200/content"));
    let is_json = content.is_some_and(|content| content.get("application/json").is_some());
    let is_picture = operation.path.ends_with("/file");
    operation.method == "get" && operation.path.starts_with("/v1/") && (is_json || is_picture)
}

/// Whether an answer is something that a person keeps as a file.
fn is_file(content: &Value) -> bool {
    let files = ["application/pdf", "application/zip", "text/csv", "text/calendar"];
    files.iter().any(|media_type| content.get(media_type).is_some())
}

fn described() -> impl Iterator<Item = (String, Value)> {
    let header = |(name, kind, example, says): (&str, &str, Value, &str)| {
        let header = json!({ "description": says, "schema": { "type": kind }, "example": example });
        (component(name).to_owned(), header)
    };
    [
        (
            "Content-Disposition",
            "string",
            "inline; filename=\"booklet.pdf\"".into(),
            "How to show it, and what to call it when it is kept.",
        ),
        (
            "ETag",
            "string",
            "\"3-9f86d081884c7d659a2feaa0c55ad015\"".into(),
            "Of a row: its version and what stands beside it; send it as `If-Match` with a change. Of any read: send it as `If-None-Match` to learn whether the answer changed.",
        ),
        (
            "Link",
            "string",
            "</v1/kennels/0193e7a2-6b5f-7c11-9d55-0a1c52a0b8f4/dogs?cursor=0193e7a2-7000-7000-8000-0a1c52a0b8f4>; rel=\"next\"".into(),
            "The next page (RFC 8288); not sent with the last one.",
        ),
        (
            "Location",
            "string",
            "/v1/kennels/0193e7a2-6b5f-7c11-9d55-0a1c52a0b8f4/dogs/0193e7a2-7000-7000-8000-0a1c52a0b8f4".into(),
            "Where the new one is.",
        ),
        ("Retry-After", "integer", 5.into(), "Seconds to wait."),
        (
            "WWW-Authenticate",
            "string",
            "Bearer error=\"invalid_token\"".into(),
            "That a bearer token is wanted, and what is wrong with the one that was sent.",
        ),
        (
            "X-Request-Id",
            "string",
            "0193e7a2-6b5f-7c11-9d55-0a1c52a0b8f4".into(),
            "Names the request in the service's log.",
        ),
    ]
    .into_iter()
    .map(header)
}
