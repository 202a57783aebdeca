//! Whether a document keeps what an earlier one promised: nothing is removed and nothing is narrowed.
//!
//! What a client sends may be taken more widely and what it gets may hold more; the other way round breaks
//! somebody. A word more in an answer's list of words is allowed, as the document says at its head.

use serde_json::{Map, Value};
use std::collections::{BTreeMap, BTreeSet, HashSet};

const METHODS: [&str; 5] = ["get", "post", "put", "patch", "delete"];

/// Which way a value goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Way {
    /// From a client: what was good stays good.
    Sent,
    /// To a client: what was there stays there.
    Answered,
}

/// What the earlier document promises and the later one does not keep, a line each.
pub fn breaks(earlier: &Value, later: &Value) -> Vec<String> {
    let mut check = Check { earlier, later, told: Vec::new(), seen: HashSet::new() };
    check.operations();
    check.webhooks();
    check.told
}

/// What a promise rests on: the document without its words and examples.
pub fn promise(document: &Value) -> Value {
    match document {
        Value::Object(members) => members
            .iter()
            .filter(|(name, value)| !is_told(name, value))
            .map(|(name, value)| (name.clone(), promise(value)))
            .collect::<Map<_, _>>()
            .into(),
        Value::Array(items) => items.iter().map(promise).collect(),
        other => other.clone(),
    }
}

/// Words for people. A property may have such a name: then it is a schema, and no text.
fn is_told(name: &str, value: &Value) -> bool {
    match name {
        "description" | "summary" => value.is_string(),
        "example" => value.get("type").is_none() && value.get("$ref").is_none(),
        "examples" => true,
        "info" | "tags" | "servers" => value.get("type").is_none() && value.get("$ref").is_none(),
        _ => false,
    }
}

struct Check<'a> {
    earlier: &'a Value,
    later: &'a Value,
    told: Vec<String>,
    /// Pairs of schemas that were looked at: they refer to one another in rounds.
    seen: HashSet<(String, String, Way)>,
}

impl<'a> Check<'a> {
    fn tell(&mut self, place: &str, what: &str) {
        self.told.push(format!("{place}: {what}"));
    }

    fn operations(&mut self) {
        for (path, item) in members(&self.earlier["paths"]) {
            for method in METHODS {
                let Some(was) = item.get(method) else { continue };
                let place = format!("{} {path}", method.to_uppercase());
                match self.later["paths"][path].get(method) {
                    Some(is) => {
                        self.operation(&place, (item, was), (&self.later["paths"][path], is))
                    }
                    // Announced, with a day of its end, and the day has come.
                    None if was["deprecated"] == true && has_come(&was["x-sunset"]) => {}
                    None => self.tell(&place, "is gone"),
                }
            }
        }
    }

    fn operation(
        &mut self,
        place: &str,
        (was_item, was): (&'a Value, &'a Value),
        (is_item, is): (&'a Value, &'a Value),
    ) {
        if was["operationId"] != is["operationId"] {
            self.tell(place, "has another operationId");
        }
        if is_open(was) && !is_open(is) {
            self.tell(place, "wants a login");
        }
        let had = parameters(self.earlier, [was_item, was]);
        let has = parameters(self.later, [is_item, is]);
        for (key, parameter) in &had {
            let place = format!("{place} {}", key.1);
            match has.get(key) {
                Some(other) => {
                    if other["required"] == true && parameter["required"] != true {
                        self.tell(&place, "must be given");
                    }
                    self.schema(&place, &parameter["schema"], &other["schema"], Way::Sent);
                }
                None => self.tell(&place, "is not taken"),
            }
        }
        for (key, parameter) in &has {
            if parameter["required"] == true && !had.contains_key(key) {
                self.tell(&format!("{place} {}", key.1), "is new and must be given");
            }
        }
        self.body(place, was, is);
        self.answers(place, was, is);
    }

    fn body(&mut self, place: &str, was: &'a Value, is: &'a Value) {
        let (had, has) =
            (resolved(self.earlier, &was["requestBody"]), resolved(self.later, &is["requestBody"]));
        if has["required"] == true && had["required"] != true {
            self.tell(place, "must have a body");
        }
        self.content(&format!("{place} body"), &had["content"], &has["content"], Way::Sent);
    }

    fn answers(&mut self, place: &str, was: &'a Value, is: &'a Value) {
        for (status, had) in members(&was["responses"]) {
            let place = format!("{place} {status}");
            let Some(has) = is["responses"].get(status) else {
                self.tell(&place, "is not answered");
                continue;
            };
            let (had, has) = (resolved(self.earlier, had), resolved(self.later, has));
            for (header, _) in members(&had["headers"]) {
                if has["headers"].get(header).is_none() {
                    self.tell(&place, &format!("does not send {header}"));
                }
            }
            self.content(&place, &had["content"], &has["content"], Way::Answered);
        }
    }

    fn webhooks(&mut self) {
        for (name, item) in members(&self.earlier["webhooks"]) {
            for (method, was) in members(item) {
                let place = format!("webhook {name}");
                let Some(is) = self.later["webhooks"][name].get(method) else {
                    self.tell(&place, "is gone");
                    continue;
                };
                let (had, has) = (&was["requestBody"]["content"], &is["requestBody"]["content"]);
                self.content(&place, had, has, Way::Answered);
            }
        }
    }

    fn content(&mut self, place: &str, had: &'a Value, has: &'a Value, way: Way) {
        for (media_type, was) in members(had) {
            match has.get(media_type) {
                Some(is) => self.schema(place, &was["schema"], &is["schema"], way),
                None => self.tell(place, &format!("{media_type} is gone")),
            }
        }
    }

    fn schema(&mut self, place: &str, was: &'a Value, is: &'a Value, way: Way) {
        if was.is_null() || (was == is && self.earlier == self.later) {
            return;
        }
        let pair = |value: &Value| value["$ref"].as_str().map(str::to_owned);
        if let (Some(one), Some(other)) = (pair(was), pair(is))
            && !self.seen.insert((one, other, way))
        {
            return;
        }
        let (was, is) = (Shape::of(self.earlier, was), Shape::of(self.later, is));
        self.types(place, &was, &is, way);
        self.fields(place, &was, &is, way);
        if let Some(had) = was.items {
            match is.items {
                Some(has) => self.schema(&format!("{place}/0"), had, has, way),
                None => self.tell(place, "is no list"),
            }
        }
        for (number, variant) in was.variants.iter().enumerate() {
            self.variant(&format!("{place}|{number}"), variant, &is, way);
        }
    }

    fn types(&mut self, place: &str, was: &Shape<'a>, is: &Shape<'a>, way: Way) {
        let (wide, narrow) = match way {
            Way::Sent => (&is.types, &was.types),
            Way::Answered => (&was.types, &is.types),
        };
        if !wide.is_empty() && (narrow.is_empty() || !narrow.is_subset(wide)) {
            self.tell(place, &format!("was {:?} and is {:?}", was.types, is.types));
        }
        match (&was.words, &is.words) {
            (Some(had), Some(has)) => {
                for word in had.difference(has) {
                    self.tell(place, &format!("{word} is no word of it"));
                }
            }
            (None, Some(_)) if way == Way::Sent && !was.types.is_empty() => {
                self.tell(place, "takes a few words alone");
            }
            (Some(_), None) if way == Way::Answered => self.tell(place, "may be any word"),
            _ => {}
        }
        if way == Way::Sent {
            for (name, is_wider) in BOUNDS {
                let (had, has) = (was.bound(name), is.bound(name));
                let narrower = match (had, has) {
                    (_, None) => false,
                    (None, Some(_)) => true,
                    (Some(had), Some(has)) => has != had && !is_wider(has, had),
                };
                if narrower {
                    self.tell(place, &format!("{name} is narrower"));
                }
            }
            for name in ["pattern", "format"] {
                if is.own(name).is_some_and(|has| was.own(name) != Some(has)) {
                    self.tell(place, &format!("{name} is another"));
                }
            }
        } else if was.own("format").is_some() && was.own("format") != is.own("format") {
            self.tell(place, "format is another");
        }
    }

    fn fields(&mut self, place: &str, was: &Shape<'a>, is: &Shape<'a>, way: Way) {
        for (name, had) in &was.fields {
            let place = format!("{place}/{name}");
            match is.fields.get(name) {
                Some(has) => self.schema(&place, had, has, way),
                None => self.tell(&place, "is gone"),
            }
        }
        let (must, may) = match way {
            Way::Sent => (&is.required, &was.required),
            Way::Answered => (&was.required, &is.required),
        };
        for name in must.difference(may) {
            let what = if way == Way::Sent { "must be given" } else { "may be missing" };
            self.tell(&format!("{place}/{name}"), what);
        }
    }

    /// One of several shapes: it is there still, by its name or as it was.
    fn variant(&mut self, place: &str, was: &'a Value, is: &Shape<'a>, way: Way) {
        let before = self.told.len();
        let others: Vec<&Value> = is.variants.clone();
        let named = others.iter().find(|one| was["$ref"].is_string() && one["$ref"] == was["$ref"]);
        if let Some(same) = named {
            return self.schema(place, was, same, way);
        }
        for other in others {
            self.schema(place, was, other, way);
            if self.told.len() == before {
                return;
            }
            self.told.truncate(before);
        }
        self.tell(place, "is no shape of it");
    }
}

/// Whether a bound is wider than another: it takes more.
type IsWider = fn(f64, f64) -> bool;
const BOUNDS: [(&str, IsWider); 8] = [
    ("minimum", |has, had| has < had),
    ("maximum", |has, had| has > had),
    ("exclusiveMinimum", |has, had| has < had),
    ("exclusiveMaximum", |has, had| has > had),
    ("minLength", |has, had| has < had),
    ("maxLength", |has, had| has > had),
    ("minItems", |has, had| has < had),
    ("maxItems", |has, had| has > had),
];

/// A schema with what it refers to and what it is made of.
#[derive(Default)]
struct Shape<'a> {
    types: BTreeSet<String>,
    words: Option<BTreeSet<String>>,
    fields: BTreeMap<String, &'a Value>,
    required: BTreeSet<String>,
    items: Option<&'a Value>,
    variants: Vec<&'a Value>,
    parts: Vec<&'a Value>,
}

impl<'a> Shape<'a> {
    fn of(document: &'a Value, schema: &'a Value) -> Self {
        let mut shape = Self::default();
        shape.take(document, schema);
        shape
    }

    fn take(&mut self, document: &'a Value, schema: &'a Value) {
        let schema = resolved(document, schema);
        self.parts.push(schema);
        match &schema["type"] {
            Value::String(one) => drop(self.types.insert(one.clone())),
            Value::Array(several) => {
                self.types.extend(several.iter().filter_map(Value::as_str).map(str::to_owned));
            }
            _ => {}
        }
        let words =
            schema["enum"].as_array().map(|words| words.iter().map(Value::to_string).collect());
        let words = words.or_else(|| schema.get("const").map(|word| [word.to_string()].into()));
        self.words = words.or(self.words.take());
        for (name, field) in members(&schema["properties"]) {
            self.fields.insert(name.clone(), field);
        }
        let required =
            schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str);
        self.required.extend(required.map(str::to_owned));
        if let Some(items) = schema.get("items") {
            self.items = Some(items);
        }
        for name in ["oneOf", "anyOf"] {
            self.variants.extend(schema[name].as_array().into_iter().flatten());
        }
        for part in schema["allOf"].as_array().into_iter().flatten() {
            self.take(document, part);
        }
    }

    fn own(&self, name: &str) -> Option<&'a Value> {
        self.parts.iter().find_map(|part| part.get(name))
    }

    fn bound(&self, name: &str) -> Option<f64> {
        self.own(name)?.as_f64()
    }
}

fn members(value: &Value) -> impl Iterator<Item = (&String, &Value)> {
    value.as_object().into_iter().flatten()
}

fn resolved<'a>(document: &'a Value, value: &'a Value) -> &'a Value {
    match value["$ref"].as_str() {
        Some(reference) => document.pointer(&reference[1..]).unwrap_or(&Value::Null),
        None => value,
    }
}

fn parameters<'a>(
    document: &'a Value,
    places: [&'a Value; 2],
) -> BTreeMap<(String, String), &'a Value> {
    let all =
        places.into_iter().flat_map(|place| place["parameters"].as_array().into_iter().flatten());
    all.map(|parameter| resolved(document, parameter))
        .map(|one| ((one["in"].to_string(), one["name"].to_string()), one))
        .collect()
}

/// Whether an operation asks for no login.
fn is_open(operation: &Value) -> bool {
    operation["security"].as_array().is_some_and(|ways| {
        ways.is_empty() || ways.iter().any(|way| way.as_object().is_some_and(Map::is_empty))
    })
}

fn has_come(day: &Value) -> bool {
    day.as_str()
        .and_then(|day| day.parse::<chrono::NaiveDate>().ok())
        .is_some_and(|day| day <= chrono::Utc::now().date_naive())
}
