//! The published document: kept equal to the code, complete, and of one piece.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test tells of a fault by a panic")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use denwright::api::openapi;
use serde_json::Value;

fn document() -> Value {
    serde_json::from_str(&openapi::document_text()).unwrap()
}

/// Every operation with its name, such as `POST /v1/kennels`.
fn operations(document: &Value) -> Vec<(String, &Value)> {
    let mut operations = Vec::new();
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            if ["get", "post", "put", "patch", "delete"].contains(&method.as_str()) {
                operations.push((format!("{} {path}", method.to_uppercase()), operation));
            }
        }
    }
    assert!(operations.len() > 80, "only {} operations", operations.len());
    operations
}

/// What a `$ref` names, or the value itself.
fn resolved<'a>(document: &'a Value, value: &'a Value) -> &'a Value {
    match value["$ref"].as_str() {
        Some(reference) => document.pointer(&reference[1..]).unwrap_or(&Value::Null),
        None => value,
    }
}

#[test]
fn the_committed_document_is_what_the_code_says() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("openapi/denwright.json");
    let committed = fs::read_to_string(&file).unwrap_or_default();
    assert!(
        committed == openapi::document_text(),
        "openapi/denwright.json is not what the code says; run\n\n    \
         cargo run -- openapi --out openapi/denwright.json\n"
    );
}

#[test]
fn it_is_openapi_3_1() {
    let document = document();
    assert!(document["openapi"].as_str().unwrap().starts_with("3.1"));
    assert!(document["info"]["version"].is_string() && document["info"]["title"].is_string());
}

#[test]
fn every_operation_has_a_name_a_summary_and_a_tag() {
    let document = document();
    let mut names = BTreeMap::new();
    for (operation, content) in operations(&document) {
        let name = content["operationId"].as_str().unwrap_or_default();
        assert!(!name.is_empty(), "{operation} has no operationId");
        if let Some(other) = names.insert(name.to_owned(), operation.clone()) {
            panic!("{operation} and {other} are both {name}");
        }
        let summary = content["summary"].as_str().unwrap_or_default();
        assert!((5..=100).contains(&summary.len()), "{operation}: summary {summary:?}");
        assert_eq!(content["tags"].as_array().map(Vec::len), Some(1), "{operation}: one tag");
    }
}

#[test]
fn every_operation_has_typed_bodies() {
    let document = document();
    for (operation, content) in operations(&document) {
        let writes = operation.starts_with("POST") || operation.starts_with("PATCH");
        if let Some(body) = content.get("requestBody") {
            assert_typed(&document, &format!("{operation}: request"), &body["content"]);
        } else {
            assert!(!writes || !has_body(&operation), "{operation}: no request body");
        }
        let responses = content["responses"].as_object().unwrap();
        assert!(responses.keys().any(|status| status.starts_with('2')), "{operation}: no success");
        for (status, response) in responses {
            if status != "204" {
                assert_typed(&document, &format!("{operation}: {status}"), &response["content"]);
            }
        }
    }
}

/// Whether an operation takes a body at all: an erasure or the like names all it needs in its path.
fn has_body(operation: &str) -> bool {
    !["/erasure", "/logout-everywhere", "/resend"].iter().any(|end| operation.ends_with(end))
}

fn assert_typed(document: &Value, place: &str, content: &Value) {
    let types = content.as_object().unwrap_or_else(|| panic!("{place}: no content"));
    assert!(!types.is_empty(), "{place}: no media type");
    for (media_type, body) in types {
        let schema = resolved(document, &body["schema"]);
        let is_typed = ["type", "oneOf", "allOf", "anyOf"].iter().any(|key| !schema[key].is_null());
        // The document about documents is any JSON.
        let is_free = place.starts_with("GET /openapi.json");
        assert!(is_typed || is_free, "{place}: {media_type} has no schema: {schema}");
    }
}

#[test]
fn every_operation_tells_its_errors() {
    let document = document();
    for (operation, content) in operations(&document) {
        if !operation.contains(" /v1/") {
            continue;
        }
        let responses = content["responses"].as_object().unwrap();
        let mut expected = vec!["400", "401", "503"];
        if operation.contains('{') {
            expected.push("404");
        }
        if operation.starts_with("PATCH") {
            expected.extend(["409", "412", "413", "415", "422", "428"]);
        }
        for status in expected {
            assert!(responses.contains_key(status), "{operation} does not tell of {status}");
        }
        for (status, response) in responses {
            if status.starts_with(['4', '5']) {
                let schema = &response["content"]["application/problem+json"]["schema"];
                assert_eq!(schema["$ref"], "#/components/schemas/Problem", "{operation}: {status}");
            }
        }
    }
}

#[test]
fn every_reference_leads_somewhere() {
    let document = document();
    let mut count = 0;
    references(&document, &mut |reference| {
        count += 1;
        assert!(reference.starts_with("#/"), "{reference} leads out of the document");
        assert!(document.pointer(&reference[1..]).is_some(), "{reference} leads nowhere");
    });
    assert!(count > 200, "only {count} references");
}

fn references(value: &Value, visit: &mut impl FnMut(&str)) {
    match value {
        Value::Object(members) => {
            if let Some(reference) = members.get("$ref").and_then(Value::as_str) {
                visit(reference);
            }
            members.values().for_each(|member| references(member, visit));
        }
        Value::Array(items) => items.iter().for_each(|item| references(item, visit)),
        _ => {}
    }
}

/// An example for a front end's author: of the whole body, or of the fields that could be guessed wrong.
#[test]
fn bodies_have_examples() {
    let document = document();
    let mut without = Vec::new();
    for (operation, content) in operations(&document) {
        if let Some(body) = content.get("requestBody") {
            for (media_type, content) in body["content"].as_object().unwrap() {
                // Nobody reads a packed archive off a page.
                let is_packed = media_type == "application/zip";
                if !is_packed && !has_example(&document, content, 0) {
                    without.push(format!("{operation}: request as {media_type}"));
                }
            }
        }
        for (status, response) in content["responses"].as_object().unwrap() {
            for (media_type, content) in response["content"].as_object().into_iter().flatten() {
                let is_json = media_type.ends_with("json") && !operation.ends_with("/openapi.json");
                if is_json && !has_example(&document, content, 0) {
                    without.push(format!("{operation}: {status} as {media_type}"));
                }
            }
        }
    }
    assert!(without.is_empty(), "no example anywhere in:\n{}", without.join("\n"));
}

/// Whether an example stands here or in the schemas that this one is made of.
fn has_example(document: &Value, value: &Value, depth: usize) -> bool {
    if depth > 12 {
        return false;
    }
    match resolved(document, value) {
        Value::Object(members) => {
            members.contains_key("example")
                || members.contains_key("examples")
                || members.contains_key("enum")
                || members.values().any(|member| has_example(document, member, depth + 1))
        }
        Value::Array(items) => items.iter().any(|item| has_example(document, item, depth + 1)),
        _ => false,
    }
}

#[test]
fn every_schema_is_used() {
    let document = document();
    let mut used = std::collections::BTreeSet::new();
    references(&document, &mut |reference| {
        used.insert(reference.rsplit('/').next().unwrap().to_owned());
    });
    for name in document["components"]["schemas"].as_object().unwrap().keys() {
        assert!(used.contains(name), "nothing refers to the schema {name}");
    }
}

/// Client generators read a field with a default as one that every request must carry.
#[test]
fn what_may_be_left_out_has_no_default() {
    let document = document();
    for (name, schema) in document["components"]["schemas"].as_object().unwrap() {
        for (field, property) in schema["properties"].as_object().into_iter().flatten() {
            assert!(property.get("default").is_none(), "{name}.{field} has a default");
        }
    }
}
