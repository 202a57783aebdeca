//! What may go wrong, by the kind of operation. Each status is described once, with an example of its own.

use super::{
    Operation, components, each_operation, headers, part, reference, requests::is_versioned,
};
use crate::problem::{Kind, PROBLEM_JSON, Problem};
use domain::fault::{Fault, FaultCode};
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// Adds the errors of each operation, and describes them.
pub(super) fn add(document: &mut Value) {
    let mut told = BTreeMap::new();
    each_operation(document, |mut operation| {
        let (kinds, is_conditional) = (kinds_of(&operation), headers::is_conditional(&operation));
        let Some(answers) = operation.part("responses") else { return };
        for kind in kinds {
            let status = kind.status().as_u16();
            answers.entry(status.to_string()).or_insert_with(|| {
                told.entry(status).or_insert(kind);
                reference("responses", &status.to_string())
            });
        }
        if is_conditional {
            answers.insert("304".to_owned(), reference("responses", "304"));
        }
        answers.sort_keys();
    });
    if let Some(responses) = components(document, "responses") {
        responses.insert(
            "304".to_owned(),
            json!({
                "description": "Not changed since.",
                "headers": { "ETag": reference("headers", "ETag") },
            }),
        );
        responses
            .extend(told.into_iter().map(|(status, kind)| (status.to_string(), described(kind))));
    }
    list_kinds_and_codes(document);
}

/// Lists every type of problem and every code of a fault, with what it means.
fn list_kinds_and_codes(document: &mut Value) {
    let kinds = Kind::ALL.iter().map(|kind| {
        format!(
            "- `urn:denwright:problem:{}`: {} ({})",
            kind.name(),
            kind.title(),
            kind.status().as_u16()
        )
    });
    let kinds = kinds.collect::<Vec<_>>().join("\n");
    let codes = FaultCode::ALL.iter().map(|code| format!("- `{code}`: {}", code.meaning()));
    let codes = codes.collect::<Vec<_>>().join("\n");
    let Some(schemas) = components(document, "schemas") else { return };
    for (place, list) in
        [("/Problem/properties/type/description", kinds), ("/FaultCode/description", codes)]
    {
        let (schema, rest) = place[1..].split_once('/').unwrap_or_default();
        let described = schemas.get_mut(schema).and_then(|of| of.pointer_mut(&format!("/{rest}")));
        if let Some(Value::String(description)) = described {
            *description = format!("{description}\n\n{list}");
        }
    }
}

fn kinds_of(operation: &Operation<'_>) -> Vec<Kind> {
    let Operation { method, path, .. } = *operation;
    let mut kinds = vec![Kind::Unavailable];
    if path.contains('{') {
        kinds.push(Kind::NotFound);
    }
    if !path.starts_with("/v1/") {
        kinds.push(Kind::TooSlow);
        return kinds;
    }
    kinds.extend([Kind::Unreadable, Kind::NotLoggedIn, Kind::Forbidden]);
    if counts_tries(method, path) || path.ends_with("/changes") {
        kinds.push(Kind::TooMany);
    }
    match method {
        "get" => kinds.push(Kind::NotAcceptable),
        "options" => return vec![Kind::NotFound, Kind::Unavailable],
        "delete" => kinds.push(Kind::Conflict),
        _ => kinds.extend([
            Kind::TooSlow,
            Kind::Conflict,
            Kind::TooLarge,
            Kind::WrongMediaType,
            Kind::NotAcceptable,
        ]),
    }
    if is_versioned(method, path) {
        kinds.extend([Kind::Stale, Kind::MissingPrecondition]);
    }
    if path.contains("/uploads") && method != "get" {
        kinds.push(Kind::WrongProtocol);
    }
    if path.ends_with("/restore") {
        // It names the version that was seen in its body.
        kinds.push(Kind::Stale);
    }
    kinds
}

/// Whether tries are counted, so that nobody guesses secrets.
fn counts_tries(method: &str, path: &str) -> bool {
    // The last two ask for the password once more.
    method == "post"
        && (["/v1/auth/", "/v1/me/", "/v1/people"].iter().any(|of| path.starts_with(of))
            || ["/access-tokens", "/deletion"].iter().any(|end| path.ends_with(end)))
}

fn described(kind: Kind) -> Value {
    let mut content = Map::new();
    let body = json!({ "schema": reference("schemas", "Problem"), "example": example(kind) });
    content.insert(PROBLEM_JSON.to_owned(), body);
    let mut response = Map::new();
    response.insert("description".to_owned(), description(kind).into());
    if let Some(sent) = part(&mut response, "headers") {
        match kind {
            Kind::NotLoggedIn => headers::name(sent, "WWW-Authenticate"),
            Kind::TooMany | Kind::Unavailable => headers::name(sent, "Retry-After"),
            _ => {}
        }
    }
    response.insert("content".to_owned(), content.into());
    response.into()
}

fn description(kind: Kind) -> String {
    match kind {
        Kind::NotLoggedIn => "No good login, or a second factor is needed.".to_owned(),
        Kind::Unavailable => {
            "The database is away or has no room left, or others are being served; nothing was written."
                .to_owned()
        }
        kind => format!("{}.", kind.title()),
    }
}

/// A problem of this kind as the service words it.
fn example(kind: Kind) -> Value {
    let of = |pointer: &str, detail: &str| Fault::new(pointer, detail);
    let problem = match kind {
        Kind::Unreadable => {
            Problem::faults(kind, vec![of("#query/limit", "must be from 1 to 500")])
        }
        Kind::NotAcceptable => {
            let late = "is after today (2026-03-01); give the day the dog was born";
            Problem::faults(kind, vec![of("/born_on", late)])
        }
        Kind::NotFound => Problem::not_found(),
        kind => Problem::new(kind, detail(kind)),
    };
    serde_json::to_value(problem).unwrap_or_default()
}

fn detail(kind: Kind) -> &'static str {
    match kind {
        Kind::NotLoggedIn => "The access token is over; refresh the session or log in again.",
        Kind::Forbidden => "A helper may not see what a pup costs.",
        Kind::Conflict => "This pup is reserved already.",
        Kind::Stale => "Read it again, look at what changed, and repeat with the new ETag.",
        Kind::TooLarge => "Send less at once; here a body may have 1 MB.",
        Kind::WrongMediaType => "Send application/json.",
        Kind::MissingPrecondition => {
            "Send If-Match with the ETag of the version that you have seen."
        }
        Kind::TooMany => "Too many tries; wait 30 seconds.",
        Kind::TooSlow => {
            "It did not arrive, or was not done, in time; nothing was written. Send less at once."
        }
        Kind::Unavailable => "Nothing was written. Try again in a few seconds.",
        _ => "",
    }
}
