//! Which texts of a body are one line: all, save those whose schema says otherwise.

use catalogue::said;
use domain::{
    fault::Faults,
    text::{self, Lines, SEVERAL_LINES},
};
use serde_json::Value;
use std::collections::HashMap;

/// Formats of texts that are taken as they come: a password is nobody's to prescribe, a drawing or what a
/// reader of chips sends is read by a parser of its own.
const AS_IT_COMES: [&str; 2] = ["password", "file"];

/// How the texts of a body are to be looked at, by the name of their member. Within one body a name means
/// the same wherever it stands.
#[derive(Debug, Default)]
pub(crate) struct TextKinds(HashMap<String, Option<Lines>>);

impl TextKinds {
    /// Those of a schema, and of the parts it refers to.
    pub fn of(schema: &Value) -> Self {
        let mut kinds = Self::default();
        kinds.learn(schema, None);
        kinds
    }

    fn learn(&mut self, schema: &Value, member: Option<&str>) {
        match schema {
            Value::Object(parts) => {
                if let (Some(name), Some(format)) =
                    (member, parts.get("format").and_then(Value::as_str))
                {
                    if format == SEVERAL_LINES {
                        self.0.insert(name.to_owned(), Some(Lines::Several));
                    } else if AS_IT_COMES.contains(&format) {
                        self.0.insert(name.to_owned(), None);
                    }
                }
                for (key, part) in parts {
                    if let ("properties", Value::Object(members)) = (key.as_str(), part) {
                        for (name, inner) in members {
                            self.learn(inner, Some(name));
                        }
                    } else {
                        self.learn(part, member);
                    }
                }
            }
            Value::Array(forms) => {
                for form in forms {
                    self.learn(form, member);
                }
            }
            _ => {}
        }
    }

    /// Reports every text of a body that holds a character which it may not hold.
    pub fn check(&self, body: &Value, faults: &mut Faults) {
        self.look(body, Some(Lines::One), &mut String::new(), faults);
    }

    fn look(&self, value: &Value, lines: Option<Lines>, pointer: &mut String, faults: &mut Faults) {
        match value {
            Value::String(text) => {
                let detail = match lines {
                    Some(lines) => text::refused(text, lines),
                    // Postgres keeps no NUL in text.
                    None => text.contains('\0').then(|| said!("fault-malformed-nul-in-text")),
                };
                if let Some(detail) = detail {
                    faults.add(pointer.clone(), detail);
                }
            }
            Value::Array(items) => {
                for (index, item) in items.iter().enumerate() {
                    let length = pointer.len();
                    pointer.push_str(&format!("/{index}"));
                    self.look(item, lines, pointer, faults);
                    pointer.truncate(length);
                }
            }
            Value::Object(members) => {
                for (name, member) in members {
                    let length = pointer.len();
                    pointer.push_str(&format!("/{}", super::body::escape(name)));
                    if text::refused(name, Lines::One).is_some() {
                        faults.add(pointer.clone(), said!("fault-malformed-field-name"));
                    }
                    let lines = self.0.get(name).copied().unwrap_or(Some(Lines::One));
                    self.look(member, lines, pointer, faults);
                    pointer.truncate(length);
                }
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn each_text_is_held_against_what_its_schema_says() {
        let kinds = TextKinds::of(&json!({
            "type": "object",
            "properties": {
                "name": { "type": "string" },
                "note": { "type": ["string", "null"], "format": "several-lines" },
                "password": { "type": "string", "format": "password" },
                "rows": { "type": "array", "items": { "$ref": "#/components/schemas/Row" } },
            },
            "components": { "schemas": { "Row": { "oneOf": [
                { "type": "null" },
                { "type": "object", "properties": { "text": { "type": "string", "format": "several-lines" } } },
            ] } } },
        }));
        let body = json!({
            "name": "a\nb", "note": "a\nb", "password": "a\r\t\u{202e}b",
            "rows": [{ "text": "a\nb", "label": "c\rd" }, { "text": "a\r\nb" }],
            "free": { "note": ["a\nb"], "name": ["ok", "a\u{85}b"] },
        });
        let mut faults = Faults::new();
        kinds.check(&body, &mut faults);
        let mut places: Vec<String> =
            faults.into_vec().into_iter().map(|fault| fault.pointer).collect();
        places.sort();
        assert_eq!(places, ["/free/name/1", "/name", "/rows/0/label", "/rows/1/text"]);
        let mut faults = Faults::new();
        kinds.check(&json!({ "password": "a\0b", "x\ry": 1 }), &mut faults);
        assert_eq!(faults.into_vec().len(), 2);
    }
}
