//! Shapes of which there are several: each has a name, and the field that tells them apart is named.

use super::{components, reference, type_name};
use serde_json::{Map, Value, json};

/// Names the variants of every schema that has some.
pub(super) fn name(document: &mut Value) {
    let Some(schemas) = components(document, "schemas") else { return };
    part_rows_by_kind(schemas);
    let mut named = Vec::new();
    for (name, schema) in schemas.iter_mut() {
        named.extend(named_variants(name, schema).unwrap_or_default());
    }
    schemas.extend(named);
    schemas.sort_keys();
}

/// The variants of a schema under their names; it refers to them from now on.
fn named_variants(name: &str, schema: &mut Value) -> Option<Vec<(String, Value)>> {
    let variants = schema.get_mut("oneOf")?.as_array_mut()?;
    let tag = tag_of(variants)?;
    let (mut named, mut mapping) = (Vec::new(), Map::new());
    for variant in variants.iter_mut() {
        let word = word_of(variant, &tag)?.to_owned();
        let own = format!("{name}{}", type_name(&word));
        mapping.insert(word, format!("#/components/schemas/{own}").into());
        let shape = std::mem::replace(variant, reference("schemas", &own));
        named.push((own, shape));
    }
    schema["discriminator"] = json!({ "propertyName": tag, "mapping": mapping });
    Some(named)
}

/// The field that has one word of its own in each variant.
fn tag_of(variants: &[Value]) -> Option<String> {
    let fields = variants.first()?.get("properties")?.as_object()?;
    let mut names = fields.keys();
    names.find(|field| variants.iter().all(|one| word_of(one, field).is_some())).cloned()
}

fn word_of<'a>(variant: &'a Value, field: &str) -> Option<&'a str> {
    match variant.get("properties")?.get(field)?.get("enum")?.as_array()?.as_slice() {
        [word] => word.as_str(),
        _ => None,
    }
}

/// A row of a general batch is one of several shapes, by its kind: the record that belongs to it is known.
fn part_rows_by_kind(schemas: &mut Map<String, Value>) {
    let kinds: Vec<String> = schemas
        .get("ObservationKind")
        .and_then(|kinds| kinds["enum"].as_array())
        .into_iter()
        .flatten()
        .filter_map(|kind| kind.as_str().map(str::to_owned))
        .collect();
    let (Some(row), Some(_)) =
        (schemas.shift_remove("ObservationRow"), schemas.shift_remove("ObservationRecord"))
    else {
        return;
    };
    schemas.shift_remove("ObservationKind");
    let of_kind = |kind: &String| {
        let mut own = row.clone();
        own["properties"]["kind"] = json!({ "type": "string", "enum": [kind] });
        own["properties"]["record"] = reference("schemas", &type_name(kind));
        own["description"] = format!("A row that is a {}.", kind.replace('_', " ")).into();
        own
    };
    let rows: Vec<Value> = kinds.iter().map(of_kind).collect();
    let parted = json!({ "description": row["description"], "oneOf": rows });
    schemas.insert("ObservationRow".to_owned(), parted);
}
