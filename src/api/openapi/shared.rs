//! What is said once for many: parameters, answers without a body, the fields that every row has.

use super::{components, each_operation, reference, type_name};
use serde_json::{Map, Value};
use std::collections::HashMap;

/// What stands in the path is said once a path, not once an operation.
pub(super) fn lift_path_parameters(document: &mut Value) {
    let paths = document.get_mut("paths").and_then(Value::as_object_mut);
    for item in paths.into_iter().flat_map(Map::values_mut).filter_map(Value::as_object_mut) {
        let mut lifted: Vec<Value> = Vec::new();
        for operation in item.values_mut().filter_map(Value::as_object_mut) {
            let Some(parameters) = operation.get_mut("parameters").and_then(Value::as_array_mut)
            else {
                continue;
            };
            for parameter in parameters.extract_if(.., |parameter| parameter["in"] == "path") {
                if !lifted.contains(&parameter) {
                    lifted.push(parameter);
                }
            }
            if parameters.is_empty() {
                operation.shift_remove("parameters");
            }
        }
        if !lifted.is_empty() {
            item.shift_insert(0, "parameters".to_owned(), lifted.into());
        }
    }
}

/// Has operations refer to the parameters that they share with others.
///
/// Of several parameters of one name, the one that most operations take goes by that name; the next by its
/// name and a number, in the order of their number of operations and then of the document.
pub(super) fn gather_parameters(document: &mut Value) {
    let mut counted: Vec<(Value, usize)> = Vec::new();
    let mut places: HashMap<String, usize> = HashMap::new();
    each_list(document, |parameters| {
        for parameter in parameters {
            let place = *places.entry(parameter.to_string()).or_insert(counted.len());
            match counted.get_mut(place) {
                Some((_, count)) => *count += 1,
                None => counted.push((parameter.clone(), 1)),
            }
        }
    });
    counted.retain(|(_, count)| *count > 1);
    counted.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    let (mut shared, mut names) = (Map::new(), HashMap::new());
    for (parameter, _) in counted {
        let own = parameter["name"].as_str().unwrap_or_default().to_owned();
        let mut name = own.clone();
        let mut number = 2;
        while shared.contains_key(&name) {
            name = format!("{own}.{number}");
            number += 1;
        }
        names.insert(parameter.to_string(), name.clone());
        shared.insert(name, parameter);
    }
    each_list(document, |parameters| {
        for parameter in parameters {
            if let Some(name) = names.get(&parameter.to_string()) {
                *parameter = reference("parameters", name);
            }
        }
    });
    shared.sort_keys();
    if let Some(parameters) = components(document, "parameters") {
        parameters.extend(shared);
    }
}

/// The fields that every row has; the document says at its head what they are.
const OF_EVERY_ROW: [&str; 4] = ["id", "version", "created_at", "updated_at"];

/// Leaves out of the schemas of rows what is said at the head of the document, and what no row shows.
pub(super) fn tell_of_rows_once(document: &mut Value) {
    for schema in components(document, "schemas").into_iter().flat_map(Map::values_mut) {
        let Some(fields) = schema.get_mut("properties").and_then(Value::as_object_mut) else {
            continue;
        };
        if OF_EVERY_ROW.iter().all(|name| fields.contains_key(*name)) {
            for name in OF_EVERY_ROW {
                if let Some(field) = fields.get_mut(name).and_then(Value::as_object_mut) {
                    field.shift_remove("description");
                }
            }
            let is_told = |field: &Value| field.get("writeOnly") != Some(&Value::from(true));
            fields.retain(|_, field| is_told(field));
            let told: Vec<Value> = fields.keys().map(|name| name.as_str().into()).collect();
            if let Some(required) = schema.get_mut("required").and_then(Value::as_array_mut) {
                required.retain(|name| told.contains(name));
            }
        }
    }
}

/// Fields that many schemas have in the same words; the document says these at its head.
const OF_MANY: [(&str, &str); 8] = [
    ("next_cursor", "The next page's `cursor`; null on the last."),
    ("confirmed", "Set it to keep what looks mistaken."),
    ("note", "Anything else."),
    ("dog_id", "The dog."),
    ("dam_id", "The dam."),
    ("litter_id", "The litter."),
    ("standing_line", "The line that stands beside every piece of advice."),
    ("standing_line", "What stands beside every piece of advice."),
];

/// Leaves out of the schemas what is said of a field at the head of the document.
pub(super) fn tell_of_common_fields_once(document: &mut Value) {
    for schema in components(document, "schemas").into_iter().flat_map(Map::values_mut) {
        let Some(fields) = schema.get_mut("properties").and_then(Value::as_object_mut) else {
            continue;
        };
        for (name, says) in OF_MANY {
            let field = fields.get_mut(name).and_then(Value::as_object_mut);
            if let Some(field) =
                field.filter(|field| field.get("description") == Some(&says.into()))
            {
                field.shift_remove("description");
            }
        }
    }
}

/// Leaves out of the patch of a record, and of its row, what is said of the same field of the record itself.
/// A row keeps its examples, of which people make an answer.
pub(super) fn tell_of_fields_once(document: &mut Value) {
    let Some(schemas) = components(document, "schemas") else { return };
    let fields_of = |schema: &Value| schema.get("properties").and_then(Value::as_object).cloned();
    let records: HashMap<String, Map<String, Value>> = schemas
        .iter()
        .filter_map(|(name, schema)| Some((name.clone(), fields_of(schema)?)))
        .collect();
    for (name, schema) in schemas.iter_mut() {
        let (of, words): (_, &[&str]) = match name.strip_suffix("Patch") {
            Some(of) => (Some(of), &["description", "example"]),
            None => (name.strip_prefix("Kept"), &["description"]),
        };
        let Some(record) = of.and_then(|of| records.get(of)) else { continue };
        let fields = schema.get_mut("properties").and_then(Value::as_object_mut);
        for (field, says) in fields.into_iter().flatten() {
            if let Some(own) = record.get(field) {
                forget_what_is_said(own, says, words);
            }
        }
    }
}

fn forget_what_is_said(own: &Value, says: &mut Value, words: &[&str]) {
    if let Some(says) = says.as_object_mut() {
        says.retain(|word, said| !words.contains(&word.as_str()) || own.get(word) != Some(said));
    }
    // A patch may also clear the field: what it is otherwise stands first among its kinds.
    let kinds = says.get_mut("oneOf").and_then(Value::as_array_mut);
    if let Some(says) = kinds.and_then(|kinds| kinds.first_mut()) {
        forget_what_is_said(own.pointer("/oneOf/0").unwrap_or(own), says, words);
    }
}

/// Visits the parameters of every path and of every operation.
fn each_list(document: &mut Value, mut visit: impl FnMut(&mut Vec<Value>)) {
    let paths = document.get_mut("paths").and_then(Value::as_object_mut);
    for item in paths.into_iter().flat_map(Map::values_mut).filter_map(Value::as_object_mut) {
        if let Some(parameters) = item.get_mut("parameters").and_then(Value::as_array_mut) {
            visit(parameters);
        }
        for operation in item.values_mut() {
            if let Some(parameters) = operation.get_mut("parameters").and_then(Value::as_array_mut)
            {
                visit(parameters);
            }
        }
    }
}

/// Has operations refer to the answers without a body that they share with others.
pub(super) fn gather_answers(document: &mut Value) {
    let mut counted: HashMap<String, usize> = HashMap::new();
    let is_bare = |answer: &Value| answer.get("content").is_none() && answer.get("$ref").is_none();
    each_operation(document, |mut operation| {
        for (_, answer) in operation.answers().filter(|(_, answer)| is_bare(answer)) {
            *counted.entry(answer.to_string()).or_default() += 1;
        }
    });
    let mut shared = Map::new();
    each_operation(document, |mut operation| {
        for (_, answer) in operation.answers().filter(|(_, answer)| is_bare(answer)) {
            if counted.get(&answer.to_string()).is_some_and(|count| *count > 1) {
                let says = answer["description"].as_str().unwrap_or_default().trim_end_matches('.');
                let name = type_name(says);
                let own = std::mem::replace(answer, reference("responses", &name));
                shared.insert(name, own);
            }
        }
    });
    if let Some(responses) = components(document, "responses") {
        responses.extend(shared);
        responses.sort_keys();
    }
}
