//! The check by itself: each way to break a promise is told, and each way to widen one is not.

use super::compatible::{breaks, promise};
use serde_json::{Value, json};

fn small() -> Value {
    json!({
        "paths": { "/v1/dogs/{dog_id}": {
            "parameters": [{ "name": "dog_id", "in": "path", "required": true, "schema": { "type": "string" } }],
            "post": {
                "operationId": "change_dog",
                "security": [{}],
                "parameters": [{ "name": "limit", "in": "query", "schema": { "type": "integer", "minimum": 1, "maximum": 500 } }],
                "requestBody": { "content": { "application/json": { "schema": { "$ref": "#/components/schemas/Dog" } } } },
                "responses": {
                    "200": {
                        "headers": { "ETag": {} },
                        "content": { "application/json": { "schema": { "$ref": "#/components/schemas/Dog" } } }
                    },
                    "422": {}
                }
            }
        } },
        "webhooks": { "change": { "post": { "requestBody": { "content": { "application/json": { "schema": {
            "type": "object", "required": ["kind"], "properties": { "kind": { "type": "string" } } } } } } } } },
        "components": { "schemas": { "Dog": {
            "type": "object",
            "description": "A dog.",
            "required": ["sex"],
            "properties": {
                "sex": { "type": "string", "enum": ["female", "male"] },
                "name": { "type": ["string", "null"], "maxLength": 100, "minLength": 1 },
                "description": { "type": "string", "example": "black" },
                "chips": { "type": "array", "items": { "type": "string", "pattern": "^[0-9]+$" }, "maxItems": 3 },
                "sire": { "$ref": "#/components/schemas/Dog" },
                "born": { "oneOf": [{ "type": "null" }, { "type": "string", "format": "date" }] }
            }
        } } }
    })
}

/// `small()` with something else at a place; `None` takes it away.
fn other(place: &str, value: Option<Value>) -> Value {
    let mut document = small();
    let (outer, name) = place.rsplit_once('/').unwrap();
    let name = &name.replace("~1", "/");
    let outer = document.pointer_mut(outer).unwrap_or_else(|| panic!("{place}"));
    match (outer, value) {
        (Value::Object(members), Some(value)) => drop(members.insert(name.to_owned(), value)),
        (Value::Object(members), None) => drop(members.remove(name).unwrap()),
        (Value::Array(items), Some(value)) => items[name.parse::<usize>().unwrap()] = value,
        _ => panic!("{place}"),
    }
    document
}

const DOG: &str = "/components/schemas/Dog";
const POST: &str = "/paths/~1v1~1dogs~1{dog_id}/post";

#[test]
fn each_way_to_break_a_promise_is_told() {
    let at = |base: &str, place: &str| format!("{base}{place}");
    for (place, value, told) in [
        (at("", "/paths/~1v1~1dogs~1{dog_id}"), None, "is gone"),
        (at(POST, ""), None, "is gone"),
        (at(POST, "/operationId"), Some(json!("set_dog")), "another operationId"),
        (at(POST, "/security"), Some(json!([{ "bearer": [] }])), "wants a login"),
        (at(POST, "/parameters"), Some(json!([])), "is not taken"),
        (at(POST, "/parameters/0/required"), Some(json!(true)), "must be given"),
        (at(POST, "/parameters/0/schema/maximum"), Some(json!(499)), "maximum is narrower"),
        (at(POST, "/parameters/0/schema/minimum"), Some(json!(2)), "minimum is narrower"),
        (at(POST, "/requestBody/required"), Some(json!(true)), "must have a body"),
        (at(POST, "/requestBody/content/application~1json"), None, "application/json is gone"),
        (at(POST, "/responses/422"), None, "is not answered"),
        (at(POST, "/responses/200/headers/ETag"), None, "does not send ETag"),
        (at(POST, "/responses/200/content/application~1json"), None, "application/json is gone"),
        (at(DOG, "/required"), Some(json!([])), "may be missing"),
        (at(DOG, "/required"), Some(json!(["sex", "name"])), "must be given"),
        (at(DOG, "/properties/name"), None, "is gone"),
        (at(DOG, "/properties/name/type"), Some(json!("string")), "was"),
        (at(DOG, "/properties/sex/type"), Some(json!(["string", "null"])), "was"),
        (at(DOG, "/properties/sex/enum"), Some(json!(["female"])), "is no word"),
        (at(DOG, "/properties/sex/enum"), None, "may be any word"),
        (at(DOG, "/properties/name/maxLength"), Some(json!(99)), "maxLength is narrower"),
        (at(DOG, "/properties/name/minLength"), Some(json!(2)), "minLength is narrower"),
        (at(DOG, "/properties/name/pattern"), Some(json!("^a")), "pattern is another"),
        (at(DOG, "/properties/chips/maxItems"), Some(json!(2)), "maxItems is narrower"),
        (at(DOG, "/properties/chips/minItems"), Some(json!(1)), "minItems is narrower"),
        (at(DOG, "/properties/chips/items/pattern"), Some(json!("^[a-z]+$")), "pattern is another"),
        (at(DOG, "/properties/chips/items/type"), Some(json!("integer")), "was"),
        (at(DOG, "/properties/born/oneOf/1/format"), Some(json!("date-time")), "is no shape"),
        (at("", "/webhooks/change"), None, "is gone"),
        (
            at(
                "",
                "/webhooks/change/post/requestBody/content/application~1json/schema/properties/kind",
            ),
            None,
            "is gone",
        ),
    ] {
        let found = breaks(&small(), &other(&place, value));
        assert!(found.iter().any(|line| line.contains(told)), "{place}: {found:?}");
    }
    let mut more = small();
    more.pointer_mut(&at(POST, "/parameters")).unwrap().as_array_mut().unwrap().push(
        json!({ "name": "kennel", "in": "query", "required": true, "schema": { "type": "string" } }),
    );
    assert_eq!(breaks(&small(), &more).len(), 1);
}

#[test]
fn what_is_wider_breaks_nothing() {
    let at = |base: &str, place: &str| format!("{base}{place}");
    assert_eq!(breaks(&small(), &small()), Vec::<String>::new());
    for (place, value) in [
        (at("", "/paths/~1v1~1cats"), Some(json!({ "get": {} }))),
        (at(POST, "/parameters/0/schema/maximum"), Some(json!(501))),
        (at(POST, "/parameters/0/schema/minimum"), Some(json!(0))),
        (at(POST, "/parameters/0/schema/maximum"), None),
        (at(POST, "/responses/409"), Some(json!({}))),
        (at(DOG, "/properties/coat"), Some(json!({ "type": "string" }))),
        (at(DOG, "/properties/sex/enum"), Some(json!(["female", "male", "unknown"]))),
        (at(DOG, "/properties/name/maxLength"), Some(json!(101))),
        (at(DOG, "/properties/name/minLength"), Some(json!(0))),
        (at(DOG, "/properties/chips/maxItems"), None),
        (at(DOG, "/description"), Some(json!("Any dog."))),
    ] {
        assert_eq!(breaks(&small(), &other(&place, value)), Vec::<String>::new(), "{place}");
    }
}

#[test]
fn what_was_announced_may_go_once_its_day_has_come() {
    let gone = other(POST, None);
    for (sunset, lines) in [("2000-01-01", 0), ("2999-01-01", 1)] {
        let mut earlier = small();
        let operation = earlier.pointer_mut(POST).unwrap();
        operation["deprecated"] = json!(true);
        operation["x-sunset"] = json!(sunset);
        assert_eq!(breaks(&earlier, &gone).len(), lines, "{sunset}");
    }
}

#[test]
fn a_promise_is_the_document_without_its_words() {
    let kept = promise(&small());
    let dog = &kept["components"]["schemas"]["Dog"];
    assert!(dog.get("description").is_none(), "{dog}");
    assert_eq!(
        dog["properties"]["description"],
        json!({ "type": "string" }),
        "a field of that name stays"
    );
    assert_eq!(breaks(&kept, &small()), Vec::<String>::new());
    assert_eq!(breaks(&small(), &kept), Vec::<String>::new());
}
