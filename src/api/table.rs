//! Lists as tables: whether a client asks for one, and which columns it has.

use actix_web::{
    HttpRequest,
    http::header::{Accept, Header as _},
};
use serde_json::{Map, Value};
use std::{
    any::TypeId,
    collections::HashMap,
    sync::{Arc, LazyLock, RwLock},
};
use utoipa::{PartialSchema, ToSchema};

/// The media type of a table, with what a reader has to know of it (RFC 4180).
pub const TABLE: &str = "text/csv; charset=utf-8; header=present";

/// Objects within objects that still have columns of their own; what lies deeper is JSON in one cell.
const DEEPEST: usize = 6;

/// The fields that every row has: a table begins with them, as a row does.
const FIRST: [&str; 4] = ["id", "version", "created_at", "updated_at"];

/// Whether a client would rather have a table than JSON.
///
/// By `Accept` (RFC 9110, section 12.5.1): the type of greater weight, of equal ones that which is named more
/// closely, and JSON when that is the same as well.
pub(crate) fn is_wanted(request: &HttpRequest) -> bool {
    let Ok(accept) = Accept::parse(request) else { return false };
    let weight = |kind: &str, subtype: &str| {
        let fitting = accept.iter().filter_map(|range| {
            let range_is = |kind: &str, subtype: &str| {
                range.item.type_() == kind && range.item.subtype() == subtype
            };
            let closeness = match () {
                () if range_is(kind, subtype) => 2,
                () if range_is(kind, "*") => 1,
                () if range_is("*", "*") => 0,
                () => return None,
            };
            Some((closeness, range.quality))
        });
        // The closest range says the weight.
        fitting.max_by_key(|(closeness, _)| *closeness)
    };
    let Some((table_closeness, table)) = weight("text", "csv") else { return false };
    let Some((json_closeness, json)) = weight("application", "json") else {
        return table > actix_web::http::header::Quality::ZERO;
    };
    table > json || (table == json && table_closeness > json_closeness)
}

type Columns = RwLock<HashMap<TypeId, Arc<[String]>>>;
static COLUMNS: LazyLock<Columns> = LazyLock::new(Columns::default);

/// The columns of a table of such rows: the fields of the published schema, so that a table has the same ones
/// whatever its rows hold.
pub fn columns<Row: ToSchema + 'static>() -> Arc<[String]> {
    let key = TypeId::of::<Row>();
    if let Some(known) = COLUMNS.read().ok().and_then(|known| known.get(&key).cloned()) {
        return known;
    }
    let mut named = Vec::new();
    Row::schemas(&mut named);
    let named: Map<String, Value> = named
        .into_iter()
        .filter_map(|(name, schema)| Some((name, serde_json::to_value(schema).ok()?)))
        .collect();
    let schema = serde_json::to_value(<Row as PartialSchema>::schema()).unwrap_or_default();
    let mut found = Vec::new();
    add_columns(&named, &schema, String::new(), 0, &mut found);
    // The sort is a stable one: all others keep their order.
    found.sort_by_key(|name| FIRST.iter().position(|first| first == name).unwrap_or(FIRST.len()));
    let columns: Arc<[String]> = found.into();
    if let Ok(mut known) = COLUMNS.write() {
        known.insert(key, Arc::clone(&columns));
    }
    columns
}

/// Adds the columns of the fields of a schema, or one of its own when it has none.
fn add_columns(
    named: &Map<String, Value>,
    schema: &Value,
    path: String,
    depth: usize,
    found: &mut Vec<String>,
) {
    let fields =
        if depth > DEEPEST { Vec::new() } else { fields_of(named, schema, 0).unwrap_or_default() };
    if fields.is_empty() {
        if !found.contains(&path) {
            found.push(path);
        }
        return;
    }
    for (name, schema) in fields {
        let path = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
        add_columns(named, schema, path, depth + 1, found);
    }
}

/// The fields of an object, be it of one form or of several; none of what may be something else than an object.
fn fields_of<'s>(
    named: &'s Map<String, Value>,
    schema: &'s Value,
    depth: usize,
) -> Option<Vec<(&'s String, &'s Value)>> {
    if depth > DEEPEST {
        return None;
    }
    if let Some(reference) = schema["$ref"].as_str() {
        let name = reference.rsplit('/').next().unwrap_or_default();
        return fields_of(named, named.get(name)?, depth + 1);
    }
    let mut fields: Vec<(&String, &Value)> =
        schema["properties"].as_object().into_iter().flatten().collect();
    for forms in ["allOf", "oneOf", "anyOf"] {
        let forms = schema[forms].as_array().into_iter().flatten();
        for form in forms.filter(|form| form["type"] != "null") {
            for (name, schema) in fields_of(named, form, depth + 1)? {
                if !fields.iter().any(|(known, _)| *known == name) {
                    fields.push((name, schema));
                }
            }
        }
    }
    Some(fields).filter(|fields| !fields.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::test::TestRequest;
    use domain::record::{Buyer, Kept, WhelpingLine};

    fn wanted(accept: &str) -> bool {
        is_wanted(&TestRequest::get().insert_header(("accept", accept)).to_http_request())
    }

    #[test]
    fn a_table_is_answered_to_whoever_would_rather_have_one() {
        for accept in ["text/csv", "text/csv, */*", "text/csv, application/json;q=0.9", "text/*"] {
            assert!(wanted(accept), "{accept}");
        }
        for accept in [
            "*/*",
            "application/json",
            "application/json, text/csv",
            "text/csv, application/json",
            "text/csv;q=0.5, application/json",
            "text/csv;q=0",
            "text/html, */*",
            "text/event-stream",
            "",
            "nonsense",
        ] {
            assert!(!wanted(accept), "{accept}");
        }
        assert!(!is_wanted(&TestRequest::get().to_http_request()));
    }

    #[test]
    fn columns_are_the_fields_of_the_schema() {
        let columns = columns::<Kept<Buyer>>();
        assert_eq!(columns[..4], FIRST);
        assert!(columns.iter().any(|name| name == "name"));
        assert!(columns.iter().any(|name| name.starts_with("wishes.")), "{columns:?}");
        assert!(!columns.iter().any(|name| name == "wishes"), "{columns:?}");
    }

    #[test]
    fn an_object_of_several_forms_has_the_fields_of_all() {
        let columns = columns::<Kept<WhelpingLine>>();
        let of_event = columns.iter().filter(|name| name.starts_with("event.")).count();
        assert!(of_event >= 2, "{columns:?}");
    }
}
