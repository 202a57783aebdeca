//! Bodies that are no JSON: files and pictures as such, not as lists of numbers.

use super::each_operation;
use crate::{file_body::WORKBOOK, uploads::PIECE};
use serde_json::{Map, Value, json};

/// Says of each body what it is.
pub(super) fn finish(document: &mut Value) {
    each_operation(document, |mut operation| {
        let body = operation.says.get_mut("requestBody");
        if let Some(content) = body.and_then(|body| body.get_mut("content")?.as_object_mut()) {
            name_files(content);
        }
        for (_, answer) in operation.answers() {
            if let Some(content) = answer.get_mut("content").and_then(Value::as_object_mut) {
                name_files(content);
            }
        }
    });
}

fn name_files(content: &mut Map<String, Value>) {
    for (media_type, body) in content {
        // Generators that know no `contentMediaType` take the format of old for bytes.
        let file = json!({ "type": "string", "format": "binary", "contentMediaType": media_type });
        let text = json!({ "type": "string", "contentMediaType": media_type });
        let schema = match media_type.as_str() {
            "application/pdf" | "application/zip" | "image/jpeg" | "image/png" | "text/csv"
            | PIECE | WORKBOOK => file,
            "image/svg+xml" | "text/calendar" => text,
            _ => continue,
        };
        if let Some(body) = body.as_object_mut() {
            body.insert("schema".to_owned(), schema);
        }
    }
}
