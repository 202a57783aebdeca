//! A value held against the published schema of its type: all faults at once, up to a number, in words
//! that quote no more of it than is needed to find it.

use super::{
    known,
    parsed::{Found, unknown_field, unknown_word},
};
use crate::texts::TextKinds;
use catalogue::{Text, figure, said};
use domain::{
    fault::{Fault, Faults, LONGEST_QUOTE, MOST_TOLD, cut, quoted},
    partial_date::PartialDate,
    units::{
        GRAMS_PER_KILOGRAM, GRAMS_PER_OUNCE, GRAMS_PER_POUND, UNIT_FIELDS, UnitField,
        celsius_from_fahrenheit,
    },
};
use jsonschema::{
    JsonType, ValidationError, Validator,
    error::{TypeKind, ValidationErrorKind},
};
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use std::{
    any::TypeId,
    collections::{HashMap, HashSet},
    fmt::{self, Write as _},
    sync::{Arc, LazyLock, RwLock},
};
use utoipa::{PartialSchema, ToSchema};

/// A value as `T`, held against the schema that is published for it.
///
/// # Errors
/// Its faults with their places; one more than are told when there are more.
pub fn parse<T: DeserializeOwned + ToSchema + 'static>(mut value: Value) -> Result<T, Vec<Fault>> {
    let shape = shape::<T>()?;
    let stated = settle(&shape, &mut value)?;
    held::<T>(&shape, value).map_err(|faults| at_stated(faults, &stated))
}

/// What a body states in another unit than is kept, put into the one that is.
///
/// # Errors
/// A figure in two units.
pub(crate) fn in_kept_units<T: ToSchema + 'static>(value: &mut Value) -> Result<(), Vec<Fault>> {
    let shape = shape::<T>()?;
    settle(&shape, value).map(drop)
}

/// Fields that are kept, each with the one by which the body stated it.
type Stated = Vec<(&'static str, &'static str)>;

fn settle(shape: &Shape, value: &mut Value) -> Result<Stated, Vec<Fault>> {
    let mut stated = Vec::new();
    let Value::Object(body) = value else { return Ok(stated) };
    let mut faults = Faults::new();
    for field in &shape.units {
        match field.settle(body) {
            Ok(from) => stated.extend(from.map(|from| (field.kept, from))),
            Err(fault) => faults.extend(vec![fault]),
        }
    }
    faults.into_result().map(|()| stated)
}

/// The faults of fields that are kept, at those that state them.
fn at_stated(mut faults: Vec<Fault>, stated: &[(&str, &str)]) -> Vec<Fault> {
    for fault in &mut faults {
        let field = fault.pointer.strip_prefix('/').unwrap_or_default();
        if let Some((kept, from)) = stated.iter().find(|(kept, _)| field == *kept) {
            fault.detail = said!("stated-as", what = &fault.detail, field = *kept);
            fault.pointer = format!("/{from}");
        }
    }
    faults
}

fn held<T: DeserializeOwned>(shape: &Shape, value: Value) -> Result<T, Vec<Fault>> {
    let mut faults = Faults::new();
    shape.texts.check(&value, &mut faults);
    // A text that breaks its pattern breaks its format as well: one fault a place is enough.
    let mut places = HashSet::new();
    faults.retain_from(0, |fault| places.insert(fault.pointer.clone()));
    // Mostly nothing is wrong, which costs a fraction to find out.
    let wrong = (!shape.validator.is_valid(&value)).then(|| shape.validator.iter_errors(&value));
    for error in wrong.into_iter().flatten() {
        if places.len() > MOST_TOLD {
            break;
        }
        let before = faults.len();
        describe(&shape.schema, &error, &mut faults);
        faults.retain_from(before, |fault| places.insert(fault.pointer.clone()));
    }
    faults.into_result()?;
    serde_path_to_error::deserialize(value).map_err(|error| {
        // The path of the whole value is a dot.
        let path = match error.path().to_string().as_str() {
            "." => String::new(),
            path => format!("/{}", path.replace(['.', '['], "/").replace(']', "")),
        };
        let (field, detail) = Found::of(&error.into_inner().to_string()).in_body();
        let own = field.map(|field| format!("/{}", escape(&field)));
        let own = own.filter(|own| !path.ends_with(own.as_str())).unwrap_or_default();
        vec![Fault::new(format!("{path}{own}"), detail)]
    })
}

/// Escapes a member's name for a JSON pointer (RFC 6901).
pub fn escape(name: &str) -> String {
    name.replace('~', "~0").replace('/', "~1")
}

/// A schema of ours that is none.
fn ours(cause: &dyn fmt::Display) -> Vec<Fault> {
    tracing::error!(%cause, "a published schema cannot be read");
    vec![Fault::new("", said!("fault-ours-schema"))]
}

/// What a body is held against.
struct Shape {
    schema: Value,
    validator: Validator,
    texts: TextKinds,
    units: Vec<UnitField>,
}

type Shapes = RwLock<HashMap<TypeId, Arc<Shape>>>;
static SHAPES: LazyLock<Shapes> = LazyLock::new(Shapes::default);

/// The shape that a type's published schema tells, made at its first use.
fn shape<T: ToSchema + 'static>() -> Result<Arc<Shape>, Vec<Fault>> {
    let key = TypeId::of::<T>();
    if let Some(known) = SHAPES.read().ok().and_then(|known| known.get(&key).cloned()) {
        return Ok(known);
    }
    let mut parts = Vec::new();
    T::schemas(&mut parts);
    let parts: HashMap<_, _> = parts.into_iter().collect();
    let mut schema =
        serde_json::to_value(<T as PartialSchema>::schema()).map_err(|error| ours(&error))?;
    if let Value::Object(members) = &mut schema {
        members.insert("components".to_owned(), json!({ "schemas": parts }));
    }
    let made = jsonschema::options()
        .should_validate_formats(true)
        .with_format("partial-date", |text: &str| text.parse::<PartialDate>().is_ok())
        .build(&schema)
        .map_err(|error| ours(&error))
        .map(|validator| {
            let texts = TextKinds::of(&schema);
            let has = |field: &UnitField| !schema["properties"][field.kept].is_null();
            let units = UNIT_FIELDS.into_iter().filter(has).collect();
            (validator, texts, units)
        })
        .map(|(validator, texts, units)| Arc::new(Shape { schema, validator, texts, units }))?;
    if let Ok(mut known) = SHAPES.write() {
        known.insert(key, Arc::clone(&made));
    }
    Ok(made)
}

/// Says in our words what the schema does not accept.
fn describe(schema: &Value, error: &ValidationError<'_>, faults: &mut Faults) {
    let place = error.instance_path().as_str();
    match error.kind() {
        ValidationErrorKind::AdditionalProperties { unexpected }
        | ValidationErrorKind::UnevaluatedProperties { unexpected } => {
            let known = known::fields(schema, place);
            for name in unexpected.iter().take(MOST_TOLD + 1) {
                faults.add(format!("{place}/{}", escape(name)), unknown_field(name, &known));
            }
        }
        ValidationErrorKind::Required { property } => {
            let name = property.as_str().unwrap_or_default();
            faults.add(format!("{place}/{}", escape(name)), said!("fault-missing-field"));
        }
        // A field that may be null: what its other form does not accept is the fault.
        ValidationErrorKind::OneOfNotValid { context } | ValidationErrorKind::AnyOf { context } => {
            let forms = || context.iter().flatten();
            let types = forms().filter_map(type_of).flatten().collect::<Vec<_>>();
            let mut told = forms().filter(|cause| type_of(cause).is_none()).peekable();
            if told.peek().is_none() {
                faults.add(place, wrong_type(error.instance(), types));
            }
            for cause in told.take(MOST_TOLD + 1) {
                describe(schema, cause, faults);
            }
        }
        _ => faults
            .extend(vec![with_unit_meant(Fault::new(place, in_words(error)), error.instance())]),
    }
}

/// What is wrong with one value.
fn in_words(error: &ValidationError<'_>) -> Text {
    let given = error.instance();
    let shown = || shown(given);
    match error.kind() {
        ValidationErrorKind::Enum { options } => none_of(given, options),
        ValidationErrorKind::Format { format } => format_in_words(format),
        ValidationErrorKind::Type { .. } => {
            wrong_type(given, type_of(error).into_iter().flatten().collect())
        }
        ValidationErrorKind::Minimum { limit } => {
            said!("fault-out-of-range-least", given = shown(), least = number(limit))
        }
        ValidationErrorKind::Maximum { limit } => {
            said!("fault-out-of-range-most", given = shown(), most = number(limit))
        }
        ValidationErrorKind::ExclusiveMinimum { limit } => {
            said!("fault-out-of-range-above", given = shown(), limit = number(limit))
        }
        ValidationErrorKind::ExclusiveMaximum { limit } => {
            said!("fault-out-of-range-below", given = shown(), limit = number(limit))
        }
        ValidationErrorKind::MinLength { limit } if given.as_str() == Some("") => {
            said!("fault-empty-text", least = *limit)
        }
        ValidationErrorKind::MinLength { limit } => {
            said!("fault-too-short-text", given = shown(), least = *limit)
        }
        ValidationErrorKind::MaxLength { limit } => {
            said!("fault-too-long-text", given = shown(), most = *limit)
        }
        ValidationErrorKind::MinItems { limit } => said!("fault-too-few-items", least = *limit),
        ValidationErrorKind::MaxItems { limit } => said!("fault-too-many-items", most = *limit),
        ValidationErrorKind::UniqueItems => said!("fault-twice-items"),
        ValidationErrorKind::Pattern { pattern } => {
            said!("fault-malformed-pattern", given = shown(), pattern = pattern)
        }
        _ => said!("fault-malformed-value", given = shown()),
    }
}

/// The types that a value must be of, where it is of none of them.
fn type_of(error: &ValidationError<'_>) -> Option<Vec<JsonType>> {
    match error.kind() {
        ValidationErrorKind::Type { kind: TypeKind::Single(one) } => Some(vec![*one]),
        ValidationErrorKind::Type { kind: TypeKind::Multiple(several) } => {
            Some(several.iter().collect())
        }
        _ => None,
    }
}

fn wrong_type(given: &Value, mut types: Vec<JsonType>) -> Text {
    // That it may be left out is said last.
    types.sort_by_key(|json| matches!(json, JsonType::Null));
    let mut words: Vec<Text> = Vec::new();
    for word in types.into_iter().map(type_in_words) {
        if !words.contains(&word) {
            words.push(word);
        }
    }
    if words.is_empty() {
        return said!("fault-malformed-form", given = shown(given));
    }
    let expected = catalogue::Value::any(words);
    said!("fault-wrong-type", given = shown(given), expected = expected)
}

fn type_in_words(json: JsonType) -> Text {
    match json {
        JsonType::Array => said!("type-array"),
        JsonType::Boolean => said!("type-boolean"),
        JsonType::Integer => said!("type-integer"),
        JsonType::Null => said!("type-null"),
        JsonType::Number => said!("type-number"),
        JsonType::Object => said!("type-object"),
        JsonType::String => said!("type-string"),
    }
}

fn none_of(given: &Value, options: &Value) -> Text {
    let options = options.as_array().map(Vec::as_slice).unwrap_or_default();
    let words: Vec<&str> = options.iter().filter_map(Value::as_str).collect();
    match given.as_str() {
        Some(word) if !words.is_empty() => unknown_word(word, &words),
        _ => {
            let options = options.iter().map(shown);
            said!("fault-unknown-value", known = catalogue::Value::all(options))
        }
    }
}

/// A limit of the schema.
fn number(limit: &Value) -> catalogue::Value {
    match limit.as_i64() {
        Some(whole) => whole.into(),
        None => limit.as_f64().unwrap_or_default().into(),
    }
}

/// A fault of a weight or a temperature says as well what another unit would make of the figure.
fn with_unit_meant(mut fault: Fault, given: &Value) -> Fault {
    let hint = match fault.pointer.as_str() {
        place if place.ends_with("_g") => grams_meant(given),
        place if place.ends_with("/temperature_c") => celsius_meant(given),
        _ => return fault,
    };
    fault.detail = said!("with-unit", what = &fault.detail, hint = hint);
    fault
}

/// The beginning of a value, enough to find it by.
fn shown(value: &Value) -> String {
    struct Beginning(String);
    impl fmt::Write for Beginning {
        fn write_str(&mut self, part: &str) -> fmt::Result {
            self.0.push_str(part);
            // Nothing more is needed of a long list.
            if self.0.len() > 4 * LONGEST_QUOTE { Err(fmt::Error) } else { Ok(()) }
        }
    }
    match value {
        Value::String(text) => quoted(text),
        other => {
            let mut beginning = Beginning(String::new());
            // It ends early on purpose.
            let _ = write!(beginning, "{other}");
            cut(&beginning.0)
        }
    }
}

/// What a weight in another unit than grams would be.
fn grams_meant(given: &Value) -> Text {
    match given.as_f64() {
        Some(number) if (0.001..200.0).contains(&number) => said!(
            "unit-grams-meant",
            number = number,
            of_kg = figure(number * GRAMS_PER_KILOGRAM, 0),
            of_lb = figure(number * GRAMS_PER_POUND, 0),
            of_oz = figure(number * GRAMS_PER_OUNCE, 0)
        ),
        _ => said!("unit-grams"),
    }
}

/// What a temperature in degrees Fahrenheit would be.
fn celsius_meant(given: &Value) -> Text {
    match given.as_f64() {
        Some(number) if (0.0..200.0).contains(&number) => said!(
            "unit-celsius-meant",
            number = number,
            of_fahrenheit = figure(celsius_from_fahrenheit(number), 1)
        ),
        _ => said!("unit-celsius"),
    }
}

fn format_in_words(format: &str) -> Text {
    match format {
        "date" => said!("fault-malformed-date"),
        "date-time" => said!("fault-malformed-date-time"),
        "partial-date" => said!("fault-malformed-part-of-date"),
        "uuid" => said!("fault-malformed-uuid"),
        "email" => said!("fault-malformed-email"),
        other => said!("fault-malformed-format", format = other),
    }
}

#[cfg(test)]
mod tests;
