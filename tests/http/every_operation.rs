//! Every operation of the published document as a request, and a kennel that has a row for each.
//!
//! Writes are sent so that nothing is destroyed: changes and deletions name a version that was never there.

use crate::{
    attachments::{photograph, upload},
    common::*,
};
use chrono::Duration;
use reqwest::Method;
use std::{
    collections::BTreeMap,
    sync::atomic::{AtomicUsize, Ordering},
};

/// Ids by the name of their collection and parameter, such as `heats/heat_id`.
pub(crate) type Ids = BTreeMap<String, String>;

pub(crate) struct Operation {
    pub(crate) name: String,
    pub(crate) method: Method,
    pub(crate) path: String,
    pub(crate) content: Value,
}

pub(crate) fn operations(document: &Value) -> Vec<Operation> {
    let mut operations = Vec::new();
    for (path, item) in document["paths"].as_object().unwrap() {
        for method in [Method::GET, Method::POST, Method::PATCH, Method::PUT, Method::DELETE] {
            let content = &item[method.as_str().to_lowercase()];
            if content.is_object() {
                let name = format!("{method} {path}");
                let (path, mut content) = (path.clone(), content.clone());
                for parameter in content["parameters"].as_array_mut().into_iter().flatten() {
                    *parameter = resolved(document, parameter).clone();
                }
                operations.push(Operation { name, method: method.clone(), path, content });
            }
        }
    }
    // Reads before writes, ends of sessions last of all.
    let rank = |operation: &Operation| {
        let ends = operation.path.starts_with("/v1/auth/logout");
        (ends, operation.method != Method::GET, operation.path.clone(), operation.name.clone())
    };
    operations.sort_by_key(rank);
    operations
}

/// A body made of the document's examples, with the ids of `ids` for those of rows.
pub(crate) fn example(document: &Value, schema: &Value, ids: &Ids, name: &str) -> Value {
    let schema = match schema["$ref"].as_str() {
        Some(reference) => document.pointer(&reference[1..]).unwrap(),
        None => schema,
    };
    if let Some(id) = ids.get(&format!("body/{name}")) {
        return json!(id);
    }
    for forms in ["oneOf", "anyOf", "allOf"] {
        if let Some(forms) = schema[forms].as_array() {
            let form = forms.iter().find(|form| form["type"] != "null").unwrap();
            return example(document, form, ids, name);
        }
    }
    match schema["format"].as_str() {
        Some("date") => return json!(days_ago(1)),
        Some("date-time") => return json!(time_ago(Duration::hours(1))),
        Some("uuid") => return json!(Uuid::nil()),
        _ => {}
    }
    if !schema["example"].is_null() {
        return schema["example"].clone();
    }
    if let Some(first) = schema["enum"].get(0).or(schema["examples"].get(0)) {
        return first.clone();
    }
    let kind = match &schema["type"] {
        Value::Array(kinds) => kinds[0].as_str().unwrap(),
        kind => kind.as_str().unwrap_or("object"),
    };
    match kind {
        "object" => {
            let required = schema["required"].as_array().cloned().unwrap_or_default();
            let fields = required.iter().map(|field| field.as_str().unwrap());
            let pair = |field: &str| {
                let value = example(document, &schema["properties"][field], ids, field);
                (field.to_owned(), value)
            };
            Value::Object(fields.map(pair).collect())
        }
        "array" => match schema["minItems"].as_i64() {
            Some(1..) => json!([example(document, &schema["items"], ids, name)]),
            _ => json!([]),
        },
        "string" => json!("x"),
        "boolean" => json!(false),
        _ => schema.get("minimum").cloned().unwrap_or(json!(1)),
    }
}

/// What the examples alone do not tell: rows that must fit others.
pub(crate) fn body(document: &Value, operation: &Operation, ids: &Ids) -> Option<Value> {
    let content = &operation.content["requestBody"]["content"]["application/json"];
    let mut body = example(document, &content["schema"], ids, "");
    let own = |key: &str| ids[key].clone();
    let fields = match operation.path.trim_start_matches("/v1/kennels/{kennel_id}") {
        "/dogs" => json!({ "name": "Example", "residence": "here" }),
        // Confirmed, since another heat of that day is asked about before it is refused.
        "/heats" => json!({ "began_on": days_ago(400), "confirmed": true }),
        "/matings" => json!({ "status": "planned", "method": "natural", "sire_id": own("sire") }),
        "/litters" => json!({ "dam_id": own("dog"), "sire_id": own("sire") }),
        "/litters/{litter_id}/births" => {
            // A pup of its own for each that asks: one like the last would be asked about.
            static PUPS: AtomicUsize = AtomicUsize::new(0);
            let collar = format!("collar {}", PUPS.fetch_add(1, Ordering::Relaxed));
            json!({ "outcome": "alive", "collar": collar })
        }
        // What calls for attention, so that there is an alarm to be seen.
        "/litters/{litter_id}/dam-checks" => json!({ "glands": "hot_painful_hard" }),
        "/placements" => json!({ "dog_id": own("dog"), "kind": "kept", "stage": "reserved" }),
        "/dogs/{dog_id}/shares" => json!({ "numerator": 1, "denominator": 20 }),
        "/heats/{heat_id}/readings" => {
            json!({ "kind": "sign", "finding": "flagging", "taken_at": time_ago(Duration::hours(1)) })
        }
        "/matings/{mating_id}/pregnancy-checks" => {
            json!({ "method": "ultrasound", "result": "pregnant" })
        }
        // Stated in one of several units, so that none is required.
        "/dogs/{dog_id}/temperatures" => json!({ "temperature_c": 38.2 }),
        "/dogs/{dog_id}/weights" => json!({ "weight_g": 431 }),
        "/placements/{placement_id}/payments" => json!({ "kind": "deposit" }),
        "/health-events" => json!({ "dog_id": own("dog") }),
        "/attachments" => json!({ "dog_id": own("dog") }),
        "/dogs/{dog_id}/screening-results" => json!({ "result": "A2" }),
        "/webhooks" => json!({ "url": "http://127.0.0.1:9/hook", "events": [] }),
        "/access-tokens" => json!({ "password": PASSWORD, "code": null }),
        "/changes/{sequence}/restore" => json!({ "version": -1 }),
        "/invitations" => json!({ "email": "wren@example.org", "role": "viewer" }),
        _ => json!({}),
    };
    for (field, value) in fields.as_object().unwrap() {
        body[field] = value.clone();
    }
    Some(body).filter(|_| content.is_object())
}

/// The path with its ids, and the query that it needs.
pub(crate) fn address(operation: &Operation, ids: &Ids) -> Result<String, String> {
    let mut before = "";
    let mut path = String::new();
    for part in operation.path.trim_start_matches('/').split('/') {
        path.push('/');
        match part.split_once('{') {
            Some((start, rest)) => {
                let (name, end) = rest.split_once('}').unwrap();
                let key = format!("{before}/{name}");
                let id = ids.get(&key).ok_or(key)?;
                path.push_str(&format!("{start}{id}{end}"));
            }
            None => path.push_str(part),
        }
        before = part;
    }
    let mut query = Vec::new();
    for parameter in operation.content["parameters"].as_array().into_iter().flatten() {
        if parameter["in"] == "query" && parameter["required"] == true {
            let name = parameter["name"].as_str().unwrap();
            let value = match (name, &parameter["schema"]["format"]) {
                (_, format) if format == "date" => days_ago(1).to_string(),
                _ => parameter["example"].as_str().unwrap_or("1").to_owned(),
            };
            query.push(format!("{name}={value}"));
        }
    }
    Ok(if query.is_empty() { path } else { format!("{path}?{}", query.join("&")) })
}

pub(crate) async fn ask(
    document: &Value,
    caller: &Caller,
    operation: &Operation,
    ids: &Ids,
) -> Answer {
    let path = address(operation, ids)
        .unwrap_or_else(|key| panic!("{}: furnish() makes no {key}", operation.name));
    let request = caller.request(operation.method.clone(), &path);
    let request = match operation.method {
        Method::PATCH | Method::PUT | Method::DELETE => request.header("if-match", "\"-7\""),
        _ => request,
    };
    let request = match operation.path.ends_with("/uploads") {
        true => request.header("tus-resumable", "1.0.0").header("upload-length", "10"),
        false => request,
    };
    let request = if operation.content["requestBody"]["content"]["text/csv"].is_object() {
        request.header("content-type", "text/csv").body("id,name,sex\nw1,Ada,female\n")
    } else if operation.method == Method::PATCH {
        request.json(&json!({}))
    } else if let Some(body) = body(document, operation, ids) {
        request.json(&body)
    } else {
        request
    };
    request.send().await
}

/// A kennel with a row in every collection that hangs on this dam.
pub(crate) async fn furnish(document: &Value, kennel: &Kennel, dam: Uuid, sire: Uuid) -> Ids {
    let mut ids = Ids::new();
    let mut set = |key: &str, id: String| ids.insert(key.to_owned(), id);
    set("kennels/kennel_id", kennel.kennel_id.to_string());
    set("dogs/dog_id", dam.to_string());
    set("years/year", "2026".to_owned());
    set("statements/holder_id", kennel.kennel_id.to_string());
    // Nobody takes back what the others read.
    set("reports/report_id", Uuid::now_v7().to_string());
    set("imports/kind", "dogs".to_owned());
    set("body/dog_id", dam.to_string());
    set("body/dam_id", dam.to_string());
    set("body/person_id", kennel.person_id.to_string());
    set("sire", sire.to_string());
    set("dog", dam.to_string());
    let file = upload(kennel, &photograph(8, 8)).await;
    set("body/upload_id", file.to_string());
    let log = kennel.get(&format!("/changes?row_id={dam}")).await.ok();
    set("changes/sequence", items(&log)[0]["sequence"].to_string());
    let members = kennel.get("/members").await.ok();
    set("members/member_id", id(&items(&members)[0]).to_string());

    let mut collections: Vec<Operation> = operations(document)
        .into_iter()
        .filter(|operation| {
            operation.method == Method::POST
                && operation.path.starts_with("/v1/kennels/{kennel_id}/")
        })
        .collect();
    // What others hang on first.
    const FIRST: [&str; 6] =
        ["heats", "matings", "litters", "buyers", "health-plans", "placements"];
    collections.sort_by_key(|operation| {
        let name = operation.path.split('/').next_back().unwrap();
        (
            operation.path.matches('{').count(),
            FIRST.iter().position(|first| *first == name).unwrap_or(FIRST.len()),
        )
    });
    let paths = document["paths"].as_object().unwrap();
    let mut failed = Vec::new();
    for operation in collections {
        let name = operation.path.split('/').next_back().unwrap().to_owned();
        let item = paths.keys().find_map(|path| {
            let rest = path.strip_prefix(&operation.path)?.strip_prefix("/{")?;
            rest.strip_suffix('}').filter(|parameter| !parameter.contains('/'))
        });
        let Some(parameter) = item else { continue };
        let key = format!("{name}/{parameter}");
        if ids.contains_key(&key) {
            continue;
        }
        if let Err(key) = address(&operation, &ids) {
            failed.push(format!("{}: no {key}", operation.name));
            continue;
        }
        let answer = ask(document, kennel, &operation, &ids).await;
        if ![200, 201, 409].contains(&answer.status) {
            failed.push(format!("{}: {} {}", operation.name, answer.status, answer.text()));
            continue;
        }
        let made = answer.json();
        // One of the kennel's only row of its kind was made with the other dam.
        let row = if answer.status == 409 {
            let list = kennel.get(&address(&operation, &ids).unwrap()).await.ok();
            items(&list).last().unwrap().clone()
        } else {
            let inner = ["invitation", "webhook"].iter().find(|inner| made[**inner].is_object());
            inner.map_or(made.clone(), |inner| made[*inner].clone())
        };
        ids.insert(key, id(&row).to_string());
        if let Some(path) = made["path"].as_str() {
            let secret = path.split('/').nth(3).unwrap().trim_end_matches(".ics");
            let of = if path.contains("calendars") { "calendars" } else { "booklets" };
            ids.insert(format!("{of}/secret"), secret.to_owned());
        }
        if name == "placements" {
            // As if handed over, with the dog still here: what is done after a hand-over needs it.
            let sql = kennel.sql().await;
            sql.batch_execute("UPDATE placements SET handed_over_on = current_date").await.unwrap();
        }
        for named in ["heat", "mating", "litter", "buyer", "placement"] {
            if name == format!("{named}s") {
                ids.insert(format!("body/{named}_id"), id(&row).to_string());
            }
        }
    }
    assert!(failed.is_empty(), "body() must say more:\n{}", failed.join("\n"));
    let told = format!("/v1/booklets/{}/reports", ids["booklets/secret"]);
    let told = kennel.nobody().post(&told, json!({ "message": "She settled in." })).await.created();
    ids.insert("buyer-reports/buyer_report_id".to_owned(), id(&told).to_string());
    let alarms = format!("/alarms?litter_id={}", ids["litters/litter_id"]);
    let alarms = kennel.get(&alarms).await.ok();
    let alarm = items(&alarms).iter().find(|alarm| alarm["code"] == "dam.glands");
    let alarm = alarm.unwrap_or_else(|| panic!("no alarm of her glands: {alarms}"));
    ids.insert("alarms/alarm_id".to_owned(), id(alarm).to_string());
    let tasks = kennel.get("/tasks").await.ok();
    // One of a report goes as soon as somebody decides.
    let stays = |task: &&Value| !task["key"].as_str().unwrap().starts_with("report:");
    let task = items(&tasks).iter().find(stays).unwrap_or_else(|| panic!("no task: {tasks}"));
    ids.insert("tasks/task_key".to_owned(), task["key"].as_str().unwrap().to_owned());
    let hook = format!("/webhooks/{}/deliveries", ids["webhooks/webhook_id"]);
    kennel.change(&format!("/dogs/{dam}"), json!({ "note": "seen" })).await.ok();
    let told = kennel.get(&hook).await.ok();
    ids.insert("deliveries/delivery_id".to_owned(), id(&items(&told)[0]).to_string());
    ids
}
