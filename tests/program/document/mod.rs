//! The published document: kept equal to the code, complete, and of one piece.

mod compatible;
mod compatible_tests;

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use api::openapi;
use serde_json::{Value, json};

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

/// The promise is written by `DENWRIGHT_PROMISE=write`, with a version that may break it.
#[test]
fn the_document_keeps_what_was_promised() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("openapi/promised.json");
    let document = document();
    if std::env::var("DENWRIGHT_PROMISE").as_deref() == Ok("write") {
        fs::write(&file, compatible::promise(&document).to_string() + "\n").unwrap();
    }
    let promised: Value = serde_json::from_str(&fs::read_to_string(&file).unwrap()).unwrap();
    let broken = compatible::breaks(&promised, &document);
    assert!(broken.is_empty(), "front ends rest on this:\n{}", broken.join("\n"));
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
            if !["204", "304"].contains(&status.as_str()) {
                let response = resolved(&document, response);
                assert_typed(&document, &format!("{operation}: {status}"), &response["content"]);
            }
        }
    }
}

/// Where a PATCH sends a piece of a file by tus 1.0, and changes no row.
const PIECES: &str = "/uploads/";

/// Whether an operation takes a body at all: an erasure or the like names all it needs in its path.
fn has_body(operation: &str) -> bool {
    !["/erasure", "/logout-everywhere", "/resend", "/page-session/refresh", "/uploads"]
        .iter()
        .any(|end| operation.ends_with(end))
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
            expected.extend(["409", "412", "413", "415", "422"]);
        }
        if operation.starts_with("PATCH") && !operation.contains(PIECES) {
            expected.push("428");
        }
        for status in expected {
            assert!(responses.contains_key(status), "{operation} does not tell of {status}");
        }
        for (status, response) in responses {
            if status.starts_with(['4', '5']) {
                assert!(response["$ref"].is_string(), "{operation}: {status} stands here again");
                let body = &resolved(&document, response)["content"]["application/problem+json"];
                assert_eq!(
                    body["schema"]["$ref"], "#/components/schemas/Problem",
                    "{operation}: {status}"
                );
                // The example is one of this status.
                assert_eq!(body["example"]["status"].to_string(), *status, "{operation}");
                assert!(!body["example"]["detail"].as_str().unwrap().is_empty(), "{status}");
            }
        }
    }
}

/// One media type a change: generators make a method of each. The service takes plain JSON all the same.
#[test]
fn a_patch_is_a_merge_patch() {
    let document = document();
    let mut count = 0;
    for (operation, content) in operations(&document) {
        if operation.starts_with("PATCH") && !operation.contains(PIECES) {
            let types: Vec<_> =
                content["requestBody"]["content"].as_object().unwrap().keys().collect();
            assert_eq!(types, ["application/merge-patch+json"], "{operation}");
            count += 1;
        }
    }
    assert!(count > 30, "{count}");
}

/// A file is a file, not a list of numbers; nor does an object hide within a choice without a name.
#[test]
fn files_are_files_and_variants_have_names() {
    let document = document();
    let mut files = 0;
    for (operation, content) in operations(&document) {
        let answers = content["responses"].as_object().unwrap().values();
        let answers = answers.map(|answer| &resolved(&document, answer)["content"]);
        for body in answers.chain([&content["requestBody"]["content"]]) {
            for (media_type, body) in body.as_object().into_iter().flatten() {
                if media_type.ends_with("json") {
                    continue;
                }
                assert_eq!(body["schema"]["type"], "string", "{operation}: {media_type}");
                let is_file = body["schema"]["contentMediaType"] == media_type.as_str();
                let is_stream = ["text/event-stream", "text/plain"].contains(&media_type.as_str());
                assert!(is_file || is_stream, "{operation}: {media_type}");
                files += usize::from(is_file);
            }
        }
    }
    assert!(files >= 12, "{files} files");
    for (name, schema) in document["components"]["schemas"].as_object().unwrap() {
        let variants = schema["oneOf"].as_array().into_iter().flatten();
        for variant in variants {
            assert!(variant["properties"].is_null(), "{name}: a variant without a name");
        }
        if let Some(mapping) = schema["discriminator"]["mapping"].as_object() {
            let tag = schema["discriminator"]["propertyName"].as_str().unwrap();
            for (word, variant) in mapping {
                let variant = document.pointer(&variant.as_str().unwrap()[1..]).unwrap();
                assert_eq!(variant["properties"][tag]["enum"][0], word.as_str(), "{name}");
                assert!(variant["required"].as_array().unwrap().contains(&tag.into()), "{name}");
            }
        }
    }
}

/// Whoever loads the document waits for all of it.
#[test]
fn it_is_no_larger_than_it_must_be() {
    let text = openapi::document_text();
    let document = document();
    let small = serde_json::to_string(&document).unwrap().len();
    // Front ends load it whole: 819 KB for the 337 operations of November 2026, and as much for each since.
    let most = operations(&document).len() * 2_450;
    assert!(small < most, "{small} bytes without spaces, at most {most}");
    assert!(
        text.lines().count() < operations(&document).len() * 38_000 / 274,
        "{} lines",
        text.lines().count()
    );
}

#[test]
fn every_tag_has_a_text() {
    let document = document();
    let told: BTreeMap<_, _> = document["tags"]
        .as_array()
        .unwrap()
        .iter()
        .map(|tag| (tag["name"].as_str().unwrap(), tag["description"].as_str().unwrap().len()))
        .collect();
    let mut used = BTreeSet::new();
    for (operation, content) in operations(&document) {
        let tag = content["tags"][0].as_str().unwrap();
        assert!(told.get(tag).is_some_and(|text| *text > 20), "{operation}: {tag} has no text");
        used.insert(tag);
    }
    assert!(told.keys().all(|tag| used.contains(tag)), "a tag that no operation has");
}

/// Whole answers, as the demo gave them, fit the schema beside them.
#[test]
fn examples_of_answers_fit() {
    let document = document();
    let mut count = 0;
    for (operation, content) in operations(&document) {
        let body = &content["responses"]["200"]["content"]["application/json"];
        let Some(example) = body.get("example") else { continue };
        let root = json!({ "allOf": [body["schema"]], "components": document["components"] });
        let validator = jsonschema::options().should_validate_formats(true).build(&root).unwrap();
        let faults: Vec<String> =
            validator.iter_errors(example).map(|fault| fault.to_string()).collect();
        assert!(faults.is_empty(), "{operation}: {}", faults.join("\n"));
        count += 1;
    }
    assert!(count >= 20, "{count} whole answers");
}

#[test]
fn what_is_sent_to_a_webhook_is_described() {
    let document = document();
    let told = &document["webhooks"]["change"]["post"];
    let body = &told["requestBody"]["content"]["application/json"]["schema"];
    let fields = &resolved(&document, body)["properties"];
    for field in ["type", "timestamp", "kennel_id", "data"] {
        assert!(fields[field].is_object(), "{field}: {fields}");
    }
    let headers: Vec<_> =
        told["parameters"].as_array().unwrap().iter().map(|header| &header["name"]).collect();
    assert_eq!(headers, ["webhook-id", "webhook-timestamp", "webhook-signature"]);
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
                // Nobody reads a packed archive, or a piece of a photograph, off a page.
                let is_packed = media_type == "application/zip"
                    || media_type.contains("spreadsheetml")
                    || media_type == "application/offset+octet-stream";
                let is_shown = [content, &record_of(content)]
                    .iter()
                    .any(|content| has_example(&document, content, 0));
                let schema = resolved(&document, &content["schema"]);
                let is_empty =
                    schema["additionalProperties"] == false && schema["properties"].is_null();
                if !is_packed && !is_empty && !is_shown {
                    without.push(format!("{operation}: request as {media_type}"));
                }
            }
        }
        for (status, response) in content["responses"].as_object().unwrap() {
            let response = resolved(&document, response);
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

/// What a body is an example of: a patch has the fields of its record, where they are shown.
fn record_of(content: &Value) -> Value {
    let name = content["schema"]["$ref"].as_str().and_then(|name| name.strip_suffix("Patch"));
    name.map_or_else(|| content.clone(), |name| json!({ "schema": { "$ref": name } }))
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
fn every_component_is_used() {
    let document = document();
    let mut used = BTreeSet::new();
    references(&document, &mut |reference| {
        used.insert(reference.to_owned());
    });
    for kind in ["schemas", "parameters", "responses", "headers"] {
        for name in document["components"][kind].as_object().unwrap().keys() {
            let own = format!("#/components/{kind}/{name}");
            assert!(used.contains(&own), "nothing refers to {own}");
        }
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
