//! What requests have in common: repeats, versions, what an id in the path is, what may be left out.

use super::{Operation, components, each_operation, headers};
use serde_json::{Map, Value, json};

/// Secrets and sessions have no versions: whoever deletes one has seen no more than its name. Nor has the end that a
/// kennel was set to.
const WITHOUT_VERSION: [&str; 6] =
    ["access-tokens", "booklet-links", "calendar-links", "deletion", "page-session", "uploads"];

/// What writes nothing, or the same however often: a key would have nothing to guard.
const WITHOUT_KEY: [&str; 7] = [
    "/mating-plans",
    "/placement-proposal",
    "/planner/what-if",
    "/resend",
    "/trial-matings",
    "/trial-matings/genetics",
    "/uploads",
];

/// Whether an operation names the version that was seen.
pub(super) fn is_versioned(method: &str, path: &str) -> bool {
    match method {
        // A piece of an upload says where it begins instead.
        "patch" | "put" => !path.contains("/uploads"),
        "delete" => !WITHOUT_VERSION.iter().any(|secret| path.contains(secret)),
        _ => false,
    }
}

/// Says it of all operations.
pub(super) fn finish(document: &mut Value) {
    each_operation(document, |mut operation| {
        tidy_parameters(&mut operation);
        leave_open(&mut operation);
        let (method, path) = (operation.method, operation.path);
        let has_key = !WITHOUT_KEY.iter().any(|end| path.ends_with(end));
        if method == "post" && path.starts_with("/v1/kennels") && has_key {
            operation.take(json!({
                "name": "Idempotency-Key",
                "in": "header",
                "description": "A repeat with the same key and body gets the same answer.",
                "schema": { "type": "string", "minLength": 1, "maxLength": 255 },
                "example": "0193e7a2-6b5f-7c11-9d55-0a1c52a0b8f4",
            }));
        }
        if headers::is_conditional(&operation) {
            operation.take(json!({
                "name": "If-None-Match",
                "in": "header",
                "description": "ETag of an answer that you have: 304 when it is still this one.",
                "schema": { "type": "string" },
            }));
        }
        if is_versioned(method, path) {
            operation.take(json!({
                "name": "If-Match",
                "in": "header",
                "description": "ETag of the version that you have seen; `*` for whichever is there.",
                "required": true,
                "schema": { "type": "string" },
                "example": "\"1\"",
            }));
        }
    });
    for schema in components(document, "schemas").into_iter().flat_map(Map::values_mut) {
        leave_out_defaults(schema);
    }
    for batch in ["WeightBatch", "ObservationBatch"] {
        let schemas = components(document, "schemas");
        if let Some(rows) =
            schemas.and_then(|all| all.get_mut(batch)?.pointer_mut("/properties/items/items"))
        {
            take_any_row(rows);
        }
    }
}

/// What needs no login says so in the way that generators read: an empty list, not a list of nothing.
fn leave_open(operation: &mut Operation<'_>) {
    if operation.says.get("security") == Some(&json!([{}])) {
        operation.says.insert("security".to_owned(), json!([]));
    }
}

/// Says what an id in the path is the id of, and nothing that need not be said.
fn tidy_parameters(operation: &mut Operation<'_>) {
    let parameters = operation.says.get_mut("parameters").and_then(Value::as_array_mut);
    for parameter in parameters.into_iter().flatten().filter_map(Value::as_object_mut) {
        // It need not be said.
        if parameter.get("required") == Some(&Value::from(false)) {
            parameter.shift_remove("required");
        }
        let name = parameter.get("name").and_then(Value::as_str).unwrap_or_default();
        if parameter.get("in") == Some(&Value::from("path"))
            && !parameter.contains_key("description")
            && let Some(of) = name.strip_suffix("_id")
        {
            let says = format!("Id of the {}.", of.replace('_', " "));
            parameter.insert("description".to_owned(), says.into());
        }
    }
}

/// Takes the defaults out of an object's fields: client generators read a field with a default as
/// one that is always there, and then ask for it in requests as well.
fn leave_out_defaults(schema: &mut Value) {
    let properties = schema.get_mut("properties").and_then(Value::as_object_mut);
    for property in properties.into_iter().flat_map(Map::values_mut) {
        if let Some(property) = property.as_object_mut() {
            property.shift_remove("default");
        }
    }
}

/// Says that a batch takes rows of any form: one that is not as it should be is refused by itself, and
/// the others are stored.
fn take_any_row(row: &mut Value) {
    let other = json!({
        "type": "object",
        "description": "Anything else: refused by itself, with what is wrong with it.",
    });
    *row = json!({ "anyOf": [row.take(), other] });
}
