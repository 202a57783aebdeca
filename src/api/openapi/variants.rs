//! Shapes of which there are several: each has a name, and the field that tells them apart is named.

use super::{add_schema, components, reference, type_name};
use domain::record::{ObservationKind, register::Observed};
use serde_json::{Map, Value, json};
use utoipa::openapi::OpenApi;

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
    let Some(row) = schemas.shift_remove("ObservationRow") else { return };
    schemas.shift_remove("ObservationKind");
    let of_kind = |(kind, about): (ObservationKind, &str)| {
        let kind = kind.as_str();
        let mut own = row.clone();
        own["properties"]["kind"] = json!({ "type": "string", "enum": [kind] });
        own["properties"]["record"] = reference("schemas", &type_name(kind));
        own["description"] = format!("A row that is a {}.", kind.replace('_', " ")).into();
        let subject = about.trim_end_matches("_id");
        own["properties"]["subject_id"]["description"] = format!("The {subject}.").into();
        own
    };
    let rows: Vec<Value> = subjects().into_iter().map(of_kind).collect();
    let parted = json!({ "description": row["description"], "oneOf": rows });
    schemas.insert("ObservationRow".to_owned(), parted);
}

macro_rules! subjects {
    ($(($record:path, $kind:ident, $word:tt, $at:ident))+) => {
        /// The kinds of rows, each with the field of its record that names what it is about.
        fn subjects() -> Vec<(ObservationKind, &'static str)> {
            vec![$((<$record as Observed>::KIND, <$record as Observed>::ABOUT.field)),+]
        }

        /// Adds the records of these kinds: where no operation takes one as it is, its row alone names it.
        pub(super) fn add_records(gathered: &mut OpenApi) {
            $(add_schema::<$record>(gathered);)+
        }
    };
}
domain::each_observation!(subjects);
