//! A value held against the published schema of its type: all faults at once, up to a number, in words
//! that quote no more of it than is needed to find it.

use crate::texts::TextKinds;
use domain::{
    fault::{Fault, Faults, LONGEST_QUOTE, MOST_TOLD, cut, in_brief, quoted},
    partial_date::PartialDate,
    temperature::celsius_from_fahrenheit,
};
use jsonschema::{Validator, error::ValidationErrorKind};
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
pub fn parse<T: DeserializeOwned + ToSchema + 'static>(value: Value) -> Result<T, Vec<Fault>> {
    let mut faults = Faults::new();
    let shape = shape::<T>()?;
    shape.texts.check(&value, &mut faults);
    // A text that breaks its pattern breaks its format as well: one fault a place is enough.
    let mut places = HashSet::new();
    faults.retain_from(0, |fault| places.insert(fault.pointer.clone()));
    for error in shape.validator.iter_errors(&value) {
        if places.len() > MOST_TOLD {
            break;
        }
        let before = faults.len();
        describe(&error, &mut faults);
        faults.retain_from(before, |fault| places.insert(fault.pointer.clone()));
    }
    faults.into_result()?;
    serde_path_to_error::deserialize(value).map_err(|error| {
        // The path of the whole value is a dot.
        let path = match error.path().to_string().as_str() {
            "." => String::new(),
            path => format!("/{}", path.replace(['.', '['], "/").replace(']', "")),
        };
        vec![Fault { pointer: path, detail: in_brief(&error.into_inner().to_string()) }]
    })
}

/// Escapes a member's name for a JSON pointer (RFC 6901).
pub fn escape(name: &str) -> String {
    name.replace('~', "~0").replace('/', "~1")
}

/// What a body is held against.
struct Shape {
    validator: Validator,
    texts: TextKinds,
}

type Shapes = RwLock<HashMap<TypeId, Arc<Shape>>>;
static SHAPES: LazyLock<Shapes> = LazyLock::new(Shapes::default);

/// The shape that a type's published schema tells, made at its first use.
fn shape<T: ToSchema + 'static>() -> Result<Arc<Shape>, Vec<Fault>> {
    let ours = |text: String| vec![Fault { pointer: String::new(), detail: text }];
    let key = TypeId::of::<T>();
    if let Some(known) = SHAPES.read().ok().and_then(|known| known.get(&key).cloned()) {
        return Ok(known);
    }
    let mut parts = Vec::new();
    T::schemas(&mut parts);
    let parts: HashMap<_, _> = parts.into_iter().collect();
    let mut schema =
        serde_json::to_value(<T as PartialSchema>::schema()).map_err(|e| ours(e.to_string()))?;
    if let Value::Object(members) = &mut schema {
        members.insert("components".to_owned(), json!({ "schemas": parts }));
    }
    let made = jsonschema::options()
        .should_validate_formats(true)
        .with_format("partial-date", |text: &str| text.parse::<PartialDate>().is_ok())
        .build(&schema)
        .map(|validator| Arc::new(Shape { validator, texts: TextKinds::of(&schema) }))
        .map_err(|error| ours(error.to_string()))?;
    if let Ok(mut known) = SHAPES.write() {
        known.insert(key, Arc::clone(&made));
    }
    Ok(made)
}

/// Says in our words what the schema does not accept.
fn describe(error: &jsonschema::ValidationError<'_>, faults: &mut Faults) {
    let place = error.instance_path().as_str();
    let in_words = || error.masked_with(shown(error.instance())).to_string();
    match error.kind() {
        ValidationErrorKind::AdditionalProperties { unexpected } => {
            for name in unexpected.iter().take(MOST_TOLD + 1) {
                faults.add(
                    format!("{place}/{}", escape(name)),
                    "is not a field of this body; leave it out",
                );
            }
        }
        ValidationErrorKind::Required { property } => {
            let name = property.as_str().unwrap_or_default();
            faults.add(format!("{place}/{}", escape(name)), "is missing; it must be given");
        }
        ValidationErrorKind::Enum { options } => {
            faults.add(place, format!("is none of {options}"));
        }
        // A field that may be null: what its other form does not accept is the fault.
        ValidationErrorKind::OneOfNotValid { context } | ValidationErrorKind::AnyOf { context } => {
            let forms = context.iter().flatten();
            let told =
                forms.filter(|cause| !matches!(cause.kind(), ValidationErrorKind::Type { .. }));
            let mut any = false;
            for cause in told.take(MOST_TOLD + 1) {
                any = true;
                describe(cause, faults);
            }
            if !any {
                let given = shown(error.instance());
                faults.add(place, format!("{given} is none of the forms accepted here"));
            }
        }
        ValidationErrorKind::Format { format } => {
            faults.add(place, format!("is not {}", format_in_words(format)));
        }
        _ if place.ends_with("_g") => {
            faults.add(place, format!("{}; {}", in_words(), grams_meant(error.instance())));
        }
        _ if place.ends_with("/temperature_c") => {
            faults.add(place, format!("{}; {}", in_words(), celsius_meant(error.instance())));
        }
        _ => faults.add(place, in_words()),
    }
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
fn grams_meant(given: &Value) -> String {
    match given.as_f64() {
        Some(number) if (0.001..200.0).contains(&number) => format!(
            "give whole grams: {number} kg are {:.0} g, {number} lb are {:.0} g, {number} oz are {:.0} g",
            number * 1000.0,
            number * 453.592_37,
            number * 28.349_523_125
        ),
        _ => "give whole grams".to_owned(),
    }
}

/// What a temperature in degrees Fahrenheit would be.
fn celsius_meant(given: &Value) -> String {
    match given.as_f64() {
        Some(number) if (0.0..200.0).contains(&number) => {
            format!("give °C: {number} °F are {:.1} °C", celsius_from_fahrenheit(number))
        }
        _ => "give degrees Celsius".to_owned(),
    }
}

fn format_in_words(format: &str) -> String {
    match format {
        "date" => "a day; write it as 2026-05-17".to_owned(),
        "date-time" => "a time with its offset; write it as 2026-05-17T04:10:00+02:00".to_owned(),
        "partial-date" => {
            "a date; write a day (2020-05-17), a month (2020-05) or a year (2020)".to_owned()
        }
        "uuid" => "an id; give the UUID of the row".to_owned(),
        "email" => "an email address".to_owned(),
        other => format!("a {other}"),
    }
}
