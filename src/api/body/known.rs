//! Which fields a published schema knows at a place of a body.

use serde_json::Value;

/// The names of the fields that an object at this place may have, by any form that it may take.
pub fn fields<'s>(schema: &'s Value, place: &str) -> Vec<&'s str> {
    let mut forms = forms_of(schema, vec![schema]);
    for segment in place.split('/').skip(1) {
        let name = segment.replace("~1", "/").replace("~0", "~");
        let parts = forms.into_iter().filter_map(|form| part(form, &name)).collect();
        forms = forms_of(schema, parts);
    }
    let mut names: Vec<&str> = Vec::new();
    let known = forms.into_iter().filter_map(|form| form.get("properties")?.as_object());
    for name in known.flat_map(|properties| properties.keys()) {
        if !names.contains(&name.as_str()) {
            names.push(name);
        }
    }
    names
}

/// What a form says of a field, or of each row.
fn part<'s>(form: &'s Value, name: &str) -> Option<&'s Value> {
    let field = form.get("properties").and_then(|properties| properties.get(name));
    let row = || form.get("items").filter(|_| name.parse::<usize>().is_ok());
    field.or_else(row).or_else(|| form.get("additionalProperties")).filter(|part| part.is_object())
}

/// Schemas with all that they refer to and are put together of.
fn forms_of<'s>(schema: &'s Value, begin: Vec<&'s Value>) -> Vec<&'s Value> {
    /// More forms than any body has, should some refer to each other.
    const MOST: usize = 200;
    let (mut waiting, mut forms) = (begin, Vec::new());
    while let Some(form) = waiting.pop().filter(|_| forms.len() < MOST) {
        let referred = form.get("$ref").and_then(Value::as_str);
        waiting.extend(referred.and_then(|to| schema.pointer(to.strip_prefix('#')?)));
        for of in ["oneOf", "anyOf", "allOf"] {
            waiting.extend(form.get(of).and_then(Value::as_array).into_iter().flatten());
        }
        forms.push(form);
    }
    forms
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn fields_are_known_where_they_stand() {
        let schema = json!({
            "properties": {
                "name": { "type": "string" },
                "rows": { "items": { "$ref": "#/components/schemas/Row" } },
                "wish": { "oneOf": [{ "type": "null" }, { "$ref": "#/components/schemas/Wish" }] },
                "free": { "additionalProperties": { "properties": { "x": {} } } },
            },
            "components": { "schemas": {
                "Row": { "allOf": [{ "properties": { "a": {} } }, { "properties": { "b": {} } }] },
                "Wish": { "properties": { "again": { "$ref": "#/components/schemas/Wish" } } },
            } },
        });
        assert_eq!(fields(&schema, ""), ["name", "rows", "wish", "free"]);
        let mut of_row = fields(&schema, "/rows/3");
        of_row.sort_unstable();
        assert_eq!(of_row, ["a", "b"]);
        assert_eq!(fields(&schema, "/wish/again/again"), ["again"]);
        assert_eq!(fields(&schema, "/free/any"), ["x"]);
        assert!(fields(&schema, "/name/first").is_empty());
    }
}
