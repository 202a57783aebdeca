//! The published document, as tests read it.

use jsonschema::{Registry, RegistryBuilder, Validator};
use serde_json::Value;

/// What a `$ref` names, or the value itself.
pub fn resolved<'a>(document: &'a Value, value: &'a Value) -> &'a Value {
    match value["$ref"].as_str() {
        Some(reference) => document.pointer(&reference[1..]).unwrap_or(&Value::Null),
        None => value,
    }
}

/// Where references into the document lead.
const DOCUMENT: &str = "urn:published-document";

/// The schemas of a document, to hold values against.
pub struct Shapes<'a>(Registry<'a>);

impl<'a> Shapes<'a> {
    /// Those of a document, of which each is read where it is asked for first.
    pub fn of(document: &'a Value) -> Self {
        let known = Registry::new().add(DOCUMENT, document).and_then(RegistryBuilder::prepare);
        Self(known.expect("the document can be referred to"))
    }

    /// What of this value does not fit the schema, with its places; formats are held as well.
    pub fn faults(&self, schema: &Value, value: &Value) -> Vec<String> {
        let mut schema = schema.clone();
        into_document(&mut schema);
        let validator: Validator = jsonschema::options()
            .should_validate_formats(true)
            .with_registry(&self.0)
            .build(&schema)
            .unwrap_or_else(|fault| panic!("{schema} is no schema: {fault}"));
        let errors = validator.iter_errors(value);
        errors.map(|error| format!("{}: {error}", error.instance_path())).collect()
    }
}

/// Leads the references of a schema, which stand in the document, into it.
fn into_document(schema: &mut Value) {
    match schema {
        Value::Object(members) => {
            if let Some(Value::String(reference)) = members.get_mut("$ref") {
                reference.insert_str(0, DOCUMENT);
            }
            members.values_mut().for_each(into_document);
        }
        Value::Array(items) => items.iter_mut().for_each(into_document),
        _ => {}
    }
}
