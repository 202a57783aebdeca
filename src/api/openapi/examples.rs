//! Whole answers of the demo, as a test took them; see `tests/http/examples.rs`.

use super::each_operation;
use serde_json::{Map, Value};

/// Answers by the name of their operation, with the first of each list.
const EXAMPLES: &str = include_str!("../../../openapi/examples.json");

/// Puts each beside the schema of its answer.
pub(super) fn add(document: &mut Value) {
    let mut examples: Map<String, Value> = serde_json::from_str(EXAMPLES).unwrap_or_default();
    each_operation(document, |operation| {
        let name = operation.says.get("operationId").and_then(Value::as_str).unwrap_or_default();
        let Some(example) = examples.shift_remove(name) else { return };
        let answer = operation.says.get_mut("responses");
        if let Some(body) = answer
            .and_then(|all| all.pointer_mut("/200/content/application~1json")?.as_object_mut())
        {
            body.insert("example".to_owned(), example);
        }
    });
}
