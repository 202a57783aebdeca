//! Figures that a person may state in another unit than is kept.

use super::{components, part};
use domain::units::UNIT_FIELDS;
use serde_json::{Map, Value, json};

/// Adds to each record that is written the fields by which its figures may be stated instead.
pub(super) fn finish(document: &mut Value) {
    let Some(schemas) = components(document, "schemas") else { return };
    let written: Vec<String> =
        schemas.keys().filter(|name| is_written(schemas, name)).cloned().collect();
    for name in written {
        let Some(schema) = schemas.get_mut(&name).and_then(Value::as_object_mut) else { continue };
        for field in UNIT_FIELDS {
            let Some(fields) =
                part(schema, "properties").filter(|all| all.contains_key(field.kept))
            else {
                continue;
            };
            for (place, stated) in field.stated.iter().enumerate() {
                let mut says = json!({ "type": "number", "writeOnly": true });
                if place == 0 && !name.ends_with("Patch") {
                    let others = field.stated.join("`, `");
                    says["description"] =
                        format!("`{others}`: instead of `{}`.", field.kept).into();
                }
                fields.insert((*stated).to_owned(), says);
            }
            if let Some(required) = schema.get_mut("required").and_then(Value::as_array_mut) {
                required.retain(|name| name != field.kept);
            }
        }
    }
}

/// Whether bodies have this shape: it has a patch, or is one, or is a row of a batch.
fn is_written(schemas: &Map<String, Value>, name: &str) -> bool {
    schemas.contains_key(&format!("{name}Patch"))
        || name.strip_suffix("Patch").is_some_and(|of| schemas.contains_key(of))
        || name == "WeightRow"
}
