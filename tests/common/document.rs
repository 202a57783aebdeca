//! The published document, as tests read it.

use jsonschema::Validator;
use serde_json::{Value, json};

/// What a `$ref` names, or the value itself.
pub fn resolved<'a>(document: &'a Value, value: &'a Value) -> &'a Value {
    match value["$ref"].as_str() {
        Some(reference) => document.pointer(&reference[1..]).unwrap_or(&Value::Null),
        None => value,
    }
}

/// The schemas of a document, to hold values against.
pub struct Shapes<'a>(pub &'a Value);

impl Shapes<'_> {
    /// What of this value does not fit the schema, with its places; formats are held as well.
    pub fn faults(&self, schema: &Value, value: &Value) -> Vec<String> {
        let root = json!({ "allOf": [schema], "components": self.0["components"] });
        let validator: Validator = jsonschema::options()
            .should_validate_formats(true)
            .build(&root)
            .unwrap_or_else(|fault| panic!("{schema} is no schema: {fault}"));
        let errors = validator.iter_errors(value);
        errors.map(|error| format!("{}: {error}", error.instance_path())).collect()
    }
}
