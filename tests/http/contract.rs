//! What is answered is what the published document says: bodies, media types and headers; and the
//! document's examples are answers of the demo.
//!
//! `DENWRIGHT_EXAMPLES=write cargo test --test http contract` takes the examples anew.

use crate::{
    common::*,
    every_operation::{self, Ids, Operation, address, furnish, operations},
};
use api::openapi;
use denwright::service::server::Settings;
use reqwest::Method;
use std::{env, fs, path::PathBuf, sync::Arc};

/// Reads whose whole answer stands in the document.
const SHOWN: [&str; 20] = [
    "list_alarms",
    "list_births",
    "list_buyers",
    "list_dogs",
    "list_due",
    "list_heats",
    "list_litters",
    "list_placements",
    "list_tasks",
    "list_weights",
    "read_dog",
    "read_dog_readiness",
    "read_due_window",
    "read_inbreeding",
    "read_litter",
    "read_litter_growth",
    "read_me",
    "read_ration",
    "read_today",
    "read_whelping_status",
];

/// Headers of which the document says where they are sent.
const HEADERS: [&str; 4] = ["ETag", "Location", "Content-Disposition", "Link"];

fn document() -> Value {
    serde_json::from_str(&openapi::document_text()).unwrap()
}

/// What of an answer is not as the document says.
fn differences(
    (document, shapes): (&Value, &Shapes<'_>),
    operation: &Operation,
    answer: &Answer,
) -> Vec<String> {
    let said = &operation.content["responses"][answer.status.to_string()];
    let said = resolved(document, said);
    if said.is_null() {
        return vec![format!("{}: {} is not in the document", operation.name, answer.status)];
    }
    let mut found = Vec::new();
    let is_sent = |name: &str| answer.headers.contains_key(name);
    for name in HEADERS {
        let is_said = said["headers"][name].is_object();
        // The last page has no next one.
        let may_miss = name == "Link" && is_said;
        if is_said != is_sent(name) && !may_miss {
            found.push(format!("{name}: said {is_said}, sent {}", is_sent(name)));
        }
    }
    for name in ["X-Request-Id", "Retry-After", "WWW-Authenticate"] {
        // The head of the document says it of all answers.
        let of_every_answer = name == "X-Request-Id" && answer.status < 300;
        let is_said = said["headers"][name].is_object() || of_every_answer;
        if is_said != is_sent(name) {
            found.push(format!("{name}: said {is_said}, sent {}", is_sent(name)));
        }
    }
    let sent = answer.header("content-type");
    let sent = sent.split(';').next().unwrap_or_default();
    match said["content"].as_object() {
        None if answer.bytes.is_empty() => {}
        None => found.push(format!("a body of {sent}, and none is said")),
        Some(content) => match content.get(sent) {
            None => found.push(format!("{sent} is not said")),
            Some(body) if sent.ends_with("json") && body["schema"] != json!({}) => {
                found.extend(shapes.faults(&body["schema"], &answer.json()));
            }
            Some(_) => {}
        },
    }
    found.into_iter().map(|text| format!("{} {}: {text}", operation.name, answer.status)).collect()
}

/// Asks an operation so that it does what it is for, as far as that takes no story: reads and writes, and
/// changes that change nothing, from the version that is there.
async fn ask(document: &Value, kennel: &Kennel, operation: &Operation, ids: &Ids) -> Answer {
    if ![Method::PATCH, Method::PUT].contains(&operation.method) {
        return every_operation::ask(document, kennel, operation, ids).await;
    }
    let path = address(operation, ids).unwrap();
    let now = kennel.get(&path).await.expect(200);
    let (media, body) = match operation.method {
        Method::PATCH => ("application/merge-patch+json", json!({})),
        _ => ("application/json", every_operation::body(document, operation, ids).unwrap()),
    };
    let request = kennel.request(operation.method.clone(), &path);
    let request = request.header("if-match", &now.etag()).header("content-type", media);
    request.body(body.to_string()).send().await
}

/// Also where one schema refers to another.
#[test]
fn what_does_not_fit_a_schema_is_told() {
    let document = document();
    let schema = json!({ "$ref": "#/components/schemas/TodayBoard" });
    let board = json!({
        "reckoned_at": "2026-11-03T08:00:00Z", "today": "2026-11-03", "litters": [], "wrong": [],
        "due": { "today": "2026-11-03", "stops": [], "cautions": [] }, "standing_line": "Ask the vet.",
    });
    let with = |field: &str, value: Value| {
        let mut board = board.clone();
        board[field] = value;
        Shapes::of(&document).faults(&schema, &board)
    };
    assert_eq!(with("litters", json!([])), [""; 0]);
    for (field, value, place) in [
        ("today", json!("today"), "/today: "),
        ("litters", json!([{ "litter_id": 7 }]), "/litters/0"),
        ("due", json!({ "today": "2026-11-03", "stops": [{}], "cautions": [] }), "/due/stops/0"),
    ] {
        let faults = with(field, value);
        assert!(faults.iter().any(|fault| fault.starts_with(place)), "{place}: {faults:?}");
    }
}

#[tokio::test]
async fn every_operation_answers_as_the_document_says() {
    let document = document();
    let shapes = Shapes::of(&document);
    let kennel = Kennel::with(Settings { sign_up_open: true, ..settings() }).await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let ids = furnish(&document, &kennel, dam, sire).await;
    let (mut wrong, mut good) = (Vec::new(), 0);
    // What is deleted is asked about no more.
    let mut operations = operations(&document);
    operations.sort_by_key(|operation| operation.method == Method::DELETE);
    for operation in operations {
        // It ends the login that all others are asked with.
        if operation.path.starts_with("/v1/auth/logout") {
            continue;
        }
        let answer = ask(&document, &kennel, &operation, &ids).await;
        good += usize::from(answer.status < 300);
        wrong.extend(differences((&document, &shapes), &operation, &answer));
    }
    assert!(wrong.is_empty(), "{} differ:\n{}", wrong.len(), wrong.join("\n"));
    assert!(good > 190, "only {good} operations did what they are for");
}

/// The first of each list, and the rest of an answer whole.
fn shortened(answer: &mut Value) {
    match answer {
        Value::Array(items) => {
            items.truncate(1);
            items.iter_mut().for_each(shortened);
        }
        Value::Object(members) => members.values_mut().for_each(shortened),
        _ => {}
    }
}

#[tokio::test]
async fn the_examples_are_answers_of_the_demo() {
    let document = document();
    let shapes = Shapes::of(&document);
    let service = Arc::new(Service::with_demo().await);
    let nobody = Caller::new(Arc::clone(&service), Uuid::nil(), Uuid::nil(), None);
    let login = json!({ "email": "maren@example.org", "password": demo::PASSWORD });
    let token = nobody.post("/v1/auth/login", login).await.ok()["access_token"].clone();
    let maren = nobody.with_token(token.as_str().unwrap());
    let me = maren.get("/v1/me").await.ok();
    let kennel_id: Uuid = me["kennels"][0]["kennel_id"].as_str().unwrap().parse().unwrap();
    let maren = maren.in_kennel(kennel_id);
    let litters = maren.get("/litters?born=true").await.ok();
    let youngest = items(&litters).iter().max_by_key(|litter| litter["whelped_on"].to_string());
    let litter_id = id(youngest.unwrap());
    let births = maren.get(&format!("/litters/{litter_id}/births")).await.ok();
    let pup = items(&births)[0]["dog_id"].as_str().unwrap().to_owned();
    let ids = Ids::from([
        ("kennels/kennel_id".to_owned(), kennel_id.to_string()),
        ("litters/litter_id".to_owned(), litter_id.to_string()),
        ("dogs/dog_id".to_owned(), pup),
    ]);
    let mut examples = serde_json::Map::new();
    for operation in operations(&document) {
        let name = operation.content["operationId"].as_str().unwrap();
        if !SHOWN.contains(&name) {
            continue;
        }
        let answer = maren.get(&address(&operation, &ids).unwrap()).await.expect(200);
        let wrong = differences((&document, &shapes), &operation, &answer);
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
        let mut example = answer.json();
        shortened(&mut example);
        examples.insert(name.to_owned(), example);
    }
    let mut taken: Vec<_> = examples.keys().map(String::as_str).collect();
    taken.sort_unstable();
    assert_eq!(taken, SHOWN, "each has an answer");
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("openapi/examples.json");
    if env::var("DENWRIGHT_EXAMPLES").is_ok_and(|word| word == "write") {
        fs::write(&file, serde_json::to_string_pretty(&examples).unwrap() + "\n").unwrap();
    }
    let kept: Value = serde_json::from_str(&fs::read_to_string(&file).unwrap()).unwrap();
    let kept = kept.as_object().unwrap();
    assert_eq!(kept.len(), SHOWN.len(), "openapi/examples.json has one a name");
    for (name, example) in kept {
        let (mut now, mut then) = (Vec::new(), Vec::new());
        fields(&examples[name], "", &mut now);
        fields(example, "", &mut then);
        assert_eq!(then, now, "{name} is answered otherwise today: take the examples anew");
    }
}

/// The names of an answer's first two levels, which no story changes.
fn fields(answer: &Value, place: &str, found: &mut Vec<String>) {
    if place.matches('/').count() > 1 {
        return;
    }
    for (name, value) in answer.as_object().into_iter().flatten() {
        let own = format!("{place}/{name}");
        fields(value, &own, found);
        found.push(own);
    }
}
