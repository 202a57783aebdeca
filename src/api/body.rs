//! Bodies: read within the limit, held against the published schema, all faults at once.

use super::problem::{Kind, Problem};
use crate::domain::{
    fault::{Fault, Faults},
    partial_date::PartialDate,
    record::Record,
    temperature::celsius_from_fahrenheit,
};
use actix_web::{FromRequest, HttpRequest, dev::Payload, http::header, web};
use chrono::{DateTime, Utc};
use jsonschema::{Validator, error::ValidationErrorKind};
use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use std::{
    any::TypeId,
    collections::{HashMap, HashSet},
    pin::Pin,
    sync::{Arc, LazyLock, RwLock},
};
use utoipa::{PartialSchema, ToSchema};
use uuid::Uuid;

/// A JSON body that is readable, but not yet held against a schema.
pub struct JsonBody(pub Value);

const JSON: &str = "application/json";
const MERGE_PATCH: &str = "application/merge-patch+json";

impl FromRequest for JsonBody {
    type Error = actix_web::Error;
    type Future = Pin<Box<dyn Future<Output = Result<Self, Self::Error>>>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let media_type = media_type(request);
        let bytes = web::Bytes::from_request(request, payload);
        Box::pin(async move {
            if media_type != JSON && media_type != MERGE_PATCH {
                return Err(Problem::new(
                    Kind::WrongMediaType,
                    format!("Send JSON with Content-Type: {JSON}."),
                )
                .into());
            }
            let bytes = bytes.await.map_err(unreadable)?;
            let value: Value = serde_json::from_slice(&bytes).map_err(|error| {
                Problem::new(Kind::Unreadable, format!("The body is not JSON: {error}."))
            })?;
            Ok(Self(value))
        })
    }
}

/// Why the bytes of a body could not be had.
pub fn unreadable(error: actix_web::Error) -> Problem {
    if error.as_response_error().status_code() == Kind::TooLarge.status() {
        return Problem::new(
            Kind::TooLarge,
            "Send less at once; the limit is DENWRIGHT_BODY_LIMIT_MB.",
        );
    }
    Problem::new(Kind::Unreadable, format!("The body did not arrive whole: {error}."))
}

/// Media type of a request's body, without parameters, in lower case.
pub fn media_type(request: &HttpRequest) -> String {
    let header = request.headers().get(header::CONTENT_TYPE).and_then(|v| v.to_str().ok());
    header.unwrap_or_default().split(';').next().unwrap_or_default().trim().to_ascii_lowercase()
}

impl JsonBody {
    /// The body as `T`.
    ///
    /// # Errors
    /// 422 with every fault.
    pub fn parse<T: DeserializeOwned + ToSchema + 'static>(self) -> Result<T, Problem> {
        parse(self.0).map_err(|faults| Problem::faults(Kind::NotAcceptable, faults))
    }

    /// The body as a record that is good by itself.
    ///
    /// # Errors
    /// 422 with every fault.
    pub fn record<R: Record>(self, now: DateTime<Utc>) -> Result<R, Problem> {
        checked(self.0, now)
    }

    /// The body as a record that hangs on the row in the path.
    ///
    /// # Errors
    /// 422 with every fault, also when the body names another row than the path.
    pub fn record_under<R: Record>(
        mut self,
        field: &str,
        id: Uuid,
        now: DateTime<Utc>,
    ) -> Result<R, Problem> {
        if let Value::Object(body) = &mut self.0 {
            let named = body.insert(field.to_owned(), json!(id));
            if named.is_some_and(|named| named != json!(id)) {
                return Err(Problem::fault(
                    Kind::NotAcceptable,
                    &format!("/{field}"),
                    "differs from the path; leave it out",
                ));
            }
        }
        checked(self.0, now)
    }

    /// The record after this JSON Merge Patch (RFC 7396) of the present one.
    ///
    /// # Errors
    /// 422 with every fault of the outcome.
    pub fn patched<R: Record>(&self, present: &R, now: DateTime<Utc>) -> Result<R, Problem> {
        if !self.0.is_object() {
            return Err(Problem::fault(
                Kind::NotAcceptable,
                "",
                "is not an object of fields to change",
            ));
        }
        let mut value = serde_json::to_value(present)
            .map_err(|error| Problem::new(Kind::Fault, error.to_string()))?;
        json_patch::merge(&mut value, &self.0);
        // A cleared list or flag goes back to its default: a merge leaves the member out.
        checked(value, now)
    }
}

fn checked<R: Record>(value: Value, now: DateTime<Utc>) -> Result<R, Problem> {
    let record: R = parse(value).map_err(|faults| Problem::faults(Kind::NotAcceptable, faults))?;
    let mut faults = Faults::new();
    record.check(now, &mut faults);
    faults.into_result().map_err(|faults| Problem::faults(Kind::NotAcceptable, faults))?;
    Ok(record)
}

/// A value as `T`, held against the schema that is published for it.
///
/// # Errors
/// Every fault, with its place.
pub fn parse<T: DeserializeOwned + ToSchema + 'static>(value: Value) -> Result<T, Vec<Fault>> {
    let mut faults = Faults::new();
    refuse_nul(&value, &mut String::new(), &mut faults);
    for error in validator::<T>()?.iter_errors(&value) {
        describe(&error, &mut faults);
    }
    let mut faults = faults.into_vec();
    // A text that breaks its pattern breaks its format as well: one fault a place is enough.
    let mut told = HashSet::new();
    faults.retain(|fault| told.insert(fault.pointer.clone()));
    if !faults.is_empty() {
        return Err(faults);
    }
    serde_path_to_error::deserialize(value).map_err(|error| {
        // The path of the whole value is a dot.
        let path = match error.path().to_string().as_str() {
            "." => String::new(),
            path => format!("/{}", path.replace(['.', '['], "/").replace(']', "")),
        };
        vec![Fault { pointer: path, detail: error.into_inner().to_string() }]
    })
}

/// Postgres keeps no NUL in text.
fn refuse_nul(value: &Value, pointer: &mut String, faults: &mut Faults) {
    match value {
        Value::String(text) if text.contains('\0') => {
            faults.add(pointer.clone(), "contains the character U+0000; leave it out");
        }
        Value::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                let length = pointer.len();
                pointer.push_str(&format!("/{index}"));
                refuse_nul(item, pointer, faults);
                pointer.truncate(length);
            }
        }
        Value::Object(members) => {
            for (name, member) in members {
                let length = pointer.len();
                pointer.push_str(&format!("/{}", escape(name)));
                if name.contains('\0') {
                    faults.add(pointer.clone(), "has U+0000 in its name; leave it out");
                }
                refuse_nul(member, pointer, faults);
                pointer.truncate(length);
            }
        }
        _ => {}
    }
}

/// Escapes a member's name for a JSON pointer (RFC 6901).
fn escape(name: &str) -> String {
    name.replace('~', "~0").replace('/', "~1")
}

type Validators = RwLock<HashMap<TypeId, Arc<Validator>>>;
static VALIDATORS: LazyLock<Validators> = LazyLock::new(Validators::default);

/// The validator of a type's published schema, made at its first use.
fn validator<T: ToSchema + 'static>() -> Result<Arc<Validator>, Vec<Fault>> {
    let ours = |text: String| vec![Fault { pointer: String::new(), detail: text }];
    let key = TypeId::of::<T>();
    if let Some(known) = VALIDATORS.read().ok().and_then(|known| known.get(&key).cloned()) {
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
        .map(Arc::new)
        .map_err(|error| ours(error.to_string()))?;
    if let Ok(mut known) = VALIDATORS.write() {
        known.insert(key, Arc::clone(&made));
    }
    Ok(made)
}

/// Says in our words what the schema does not accept.
fn describe(error: &jsonschema::ValidationError<'_>, faults: &mut Faults) {
    let place = error.instance_path().as_str();
    match error.kind() {
        ValidationErrorKind::AdditionalProperties { unexpected } => {
            for name in unexpected {
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
            for cause in told {
                any = true;
                describe(cause, faults);
            }
            if !any {
                faults
                    .add(place, format!("{} is none of the forms accepted here", error.instance()));
            }
        }
        ValidationErrorKind::Format { format } => {
            faults.add(place, format!("is not {}", format_in_words(format)));
        }
        _ if place.ends_with("_g") => {
            faults.add(place, format!("{error}; {}", grams_meant(error.instance())));
        }
        _ if place.ends_with("/temperature_c") => {
            faults.add(place, format!("{error}; {}", celsius_meant(error.instance())));
        }
        _ => faults.add(place, error.to_string()),
    }
}

/// What a weight in another unit than grams would be.
fn grams_meant(given: &Value) -> String {
    match given.as_f64() {
        Some(number) if number > 0.0 && number < 200.0 => format!(
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
        Some(number) => {
            format!("give °C: {number} °F are {:.1} °C", celsius_from_fahrenheit(number))
        }
        None => "give degrees Celsius".to_owned(),
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
