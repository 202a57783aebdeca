//! What somebody does not see they cannot name: not a dog, not a buyer, not a person.

use crate::{
    common::*,
    every_operation::{self, Ids, Operation, furnish, operations},
};
use api::openapi;
use reqwest::Method;

/// A place in a body where a row or a person is named.
#[derive(Debug, Clone)]
struct Naming {
    /// Where, as a JSON pointer.
    pointer: String,
    /// The last name in it, such as `dam_id` or `dams`.
    field: String,
}

/// Every place of a schema that takes an id, and what stands around it.
fn namings(document: &Value, schema: &Value, pointer: &str, field: &str, found: &mut Vec<Naming>) {
    let schema = match schema["$ref"].as_str() {
        Some(reference) => document.pointer(&reference[1..]).unwrap(),
        None => schema,
    };
    for forms in ["oneOf", "anyOf", "allOf"] {
        for form in schema[forms].as_array().into_iter().flatten() {
            namings(document, form, pointer, field, found);
        }
    }
    if schema["format"] == "uuid" {
        if !found.iter().any(|known| known.pointer == pointer) {
            found.push(Naming { pointer: pointer.to_owned(), field: field.to_owned() });
        }
        return;
    }
    for (name, property) in schema["properties"].as_object().into_iter().flatten() {
        namings(document, property, &format!("{pointer}/{name}"), name, found);
    }
    if schema["items"].is_object() {
        namings(document, &schema["items"], &format!("{pointer}/0"), field, found);
    }
}

/// Where a row of this field is found among the ids of what hangs on one dam; none for what the client
/// makes itself, and for what everybody sees.
fn unseen(field: &str, pointer: &str, ids: &Ids, stranger: Uuid) -> Option<String> {
    let key = match field {
        "dog_id" | "dog_ids" | "dam_id" | "dams" | "subject_id" => "dogs/dog_id",
        "sire_id" | "sires" => "sire",
        "heat_id" => "heats/heat_id",
        "mating_id" => "matings/mating_id",
        "litter_id" | "litter_ids" => "litters/litter_id",
        "buyer_id" | "buyer_ids" => "buyers/buyer_id",
        "placement_id" => "placements/placement_id",
        "person_id" | "assignee_id" => return Some(stranger.to_string()),
        // One's own new row, one's own upload, and places, which all members see.
        "id" | "place_id" | "upload_id" => return None,
        other => panic!("{pointer}: say where an unseen {other} comes from"),
    };
    Some(ids[key].clone())
}

/// Puts a value where the pointer leads, and what is missing on the way.
fn put(body: &mut Value, pointer: &str, value: Value) {
    let mut at = body;
    for part in pointer.trim_start_matches('/').split('/') {
        at = if part == "0" {
            if !at.is_array() || at.as_array().is_some_and(Vec::is_empty) {
                *at = json!([null]);
            }
            &mut at[0]
        } else {
            if !at.is_object() {
                *at = json!({});
            }
            &mut at[part]
        };
    }
    *at = value;
}

/// What is answered, without the ids that were sent.
fn plain(answer: &Answer, named: &str) -> String {
    let mut json = answer.json();
    if let Some(members) = json.as_object_mut() {
        members.remove("request_id");
    }
    format!("{} {}", answer.status, json.to_string().replace(named, "ID"))
}

async fn ask(caller: &Caller, operation: &Operation, path: &str, body: &Value) -> Answer {
    if operation.method == Method::POST {
        return caller.post(path, body.clone()).await;
    }
    let seen = caller.get(path).await;
    let version = if seen.status == 200 { seen.etag() } else { "\"1\"".to_owned() };
    let media = if operation.method == Method::PATCH {
        "application/merge-patch+json"
    } else {
        "application/json"
    };
    caller
        .request(operation.method.clone(), path)
        .header("If-Match", &version)
        .header("Content-Type", media)
        .body(body.to_string())
        .send()
        .await
}

/// Every id in every body: one that a co-owner does not see is answered like one that is not there.
#[tokio::test]
async fn an_id_that_is_not_seen_is_answered_as_one_that_is_not_there() {
    let document: Value = serde_json::from_str(&openapi::document_text()).unwrap();
    let kennel = Kennel::among_others().await;
    let (shared, unshared) = (kennel.dam("Juno").await, kennel.dam("Freya").await);
    let castor = kennel.sire("Castor").await;
    // A sire of their own, since the sire of a litter that is seen may be named.
    let orion = kennel.sire("Orion").await;
    let hidden = furnish(&document, &kennel, unshared, orion).await;
    let own = furnish(&document, &kennel, shared, castor).await;
    // So that the buyer is theirs to see.
    let placement = format!("/placements/{}", own["placements/placement_id"]);
    kennel.change(&placement, json!({ "buyer_id": own["buyers/buyer_id"] })).await.ok();
    let co_owner = kennel.co_owner(&[shared]).await;
    let stranger = kennel.stranger().await.person_id;
    let (mut asked, mut wrong) = (0, Vec::new());
    for operation in operations(&document) {
        if !operation.path.starts_with("/v1/kennels/{kennel_id}/") {
            continue;
        }
        let content = &operation.content["requestBody"]["content"];
        let patch = &content["application/merge-patch+json"]["schema"];
        let schema = if patch.is_object() { patch } else { &content["application/json"]["schema"] };
        let mut found = Vec::new();
        namings(&document, schema, "", "", &mut found);
        for naming in found {
            // The id of one's own new pup.
            if operation.path.ends_with("/births") && naming.field == "dog_id" {
                continue;
            }
            let Some(unseen) = unseen(&naming.field, &naming.pointer, &hidden, stranger) else {
                continue;
            };
            let path = every_operation::address(&operation, &own).unwrap();
            let mut answers = Vec::new();
            for named in [Uuid::now_v7().to_string(), unseen] {
                let mut body = match operation.method {
                    Method::PATCH => json!({}),
                    _ => every_operation::body(&document, &operation, &own).unwrap_or_default(),
                };
                // Of two ways to name the dog, the one that is tried.
                if naming.field == "dog_ids" {
                    body.as_object_mut().unwrap().remove("dog_id");
                }
                put(&mut body, &naming.pointer, json!(named));
                let answer = ask(&co_owner, &operation, &path, &body).await;
                if !(400..500).contains(&answer.status) && answer.status != 200 {
                    let text = answer.text();
                    wrong.push(format!("{} {}: {text}", operation.name, naming.pointer));
                }
                answers.push(plain(&answer, &named));
            }
            asked += 1;
            if answers[0] != answers[1] {
                let [absent, unseen] = [&answers[0], &answers[1]];
                let name = format!("{} {}", operation.name, naming.pointer);
                wrong.push(format!("{name}\n  absent: {absent}\n  unseen: {unseen}"));
            }
        }
    }
    assert!(asked > 40, "only {asked} namings were found");
    assert!(wrong.is_empty(), "{} of {asked}:\n{}", wrong.len(), wrong.join("\n"));
}

/// Each reference within a kennel is guarded, those of later tables too.
#[tokio::test]
async fn every_reference_asks_whether_its_row_is_seen() {
    let kennel = Kennel::new().await;
    let sql = kennel.sql().await;
    let unguarded = sql
        .query(
            "SELECT c.conrelid::regclass || '.' || c.conname FROM pg_constraint c \
             JOIN pg_attribute a ON a.attrelid = c.confrelid AND a.attnum = c.confkey[2] \
             WHERE c.contype = 'f' AND array_length(c.conkey, 1) >= 2 AND a.attname = 'id' \
             AND EXISTS (SELECT FROM pg_trigger t WHERE t.tgrelid = c.conrelid AND t.tgname = 'log_created') \
             AND NOT EXISTS (SELECT FROM pg_trigger t WHERE t.tgrelid = c.conrelid \
                             AND t.tgname = 'absent_unless_seen_' || c.conname) ORDER BY 1",
            &[],
        )
        .await
        .unwrap();
    let unguarded: Vec<String> = unguarded.iter().map(|row| row.get(0)).collect();
    // The birth itself is what makes the pup's dog visible.
    assert_eq!(unguarded, ["births.births_dog"], "call guard_references() in the migration");
}

fn dog_of(birth: &Value) -> Uuid {
    birth["dog_id"].as_str().unwrap().parse().unwrap()
}

#[tokio::test]
async fn a_co_owner_names_no_dog_that_is_not_theirs() {
    let kennel = Kennel::among_others().await;
    let (juno, freya) = (kennel.dam("Juno").await, kennel.dam("Freya").await);
    let castor = kennel.sire("Castor").await;
    let foreign = kennel.mating(freya, castor, 60).await;
    let buyer = kennel.buyer("Ottilie").await;
    let litter = kennel.litter(juno, castor).await;
    let co_owner = kennel.co_owner(&[juno]).await;
    for (path, body, place) in [
        ("/litters", json!({ "dam_id": juno, "sire_id": castor }), "/sire_id"),
        ("/litters", json!({ "dam_id": juno, "mating_id": foreign }), "/mating_id"),
        (
            "/matings",
            json!({ "dam_id": juno, "sire_id": castor, "status": "planned", "method": "natural" }),
            "/sire_id",
        ),
        (
            "/placements",
            json!({ "dog_id": juno, "buyer_id": buyer, "kind": "sale", "stage": "offered" }),
            "/buyer_id",
        ),
        ("/own-tasks", json!({ "title": "x", "due_on": days_ago(0), "dog_id": freya }), "/dog_id"),
    ] {
        co_owner.post(path, body).await.refused(&[place]);
    }
    let path = format!("/dogs/{juno}");
    co_owner.change(&path, json!({ "sire_id": castor })).await.refused(&["/sire_id"]);
    co_owner.change(&path, json!({ "dam_id": freya })).await.refused(&["/dam_id"]);
    // Nor is it told that the unseen dog would be too young, or is no male.
    let late = kennel.dog("Late", json!({ "sex": "male", "born_on": days_ago(1) })).await;
    co_owner.change(&path, json!({ "sire_id": late })).await.refused(&["/sire_id"]);
    let told = |answer: Answer| answer.problem(422)["errors"][0]["detail"].clone();
    let unseen = told(co_owner.change(&path, json!({ "sire_id": late })).await);
    let absent = told(co_owner.change(&path, json!({ "sire_id": Uuid::now_v7() })).await);
    assert_eq!(unseen, absent);

    // What an owner has written stays as it is when the co-owner changes something else, and a pup has the
    // parents of its litter.
    co_owner.change(&format!("/litters/{litter}"), json!({ "note": "ours" })).await.ok();
    let birth = json!({ "born_at": time_ago(chrono::Duration::hours(2)), "outcome": "alive" });
    let birth = co_owner.post(&format!("/litters/{litter}/births"), birth).await.created();
    let pup = co_owner.get(&format!("/dogs/{}", dog_of(&birth))).await.ok();
    assert_eq!((&pup["sire_id"], &pup["dam_id"]), (&json!(castor), &json!(juno)));
    // The sire of a mating that they see is no secret to them.
    let mating = kennel.mating(juno, castor, 200).await;
    let expected = json!({ "dam_id": juno, "sire_id": castor, "mating_id": mating });
    co_owner.post("/litters", expected).await.created();
}

/// In an object of its own, where no foreign key reaches.
#[tokio::test]
async fn a_wish_names_a_litter_that_is_seen() {
    let kennel = Kennel::among_others().await;
    let (juno, freya) = (kennel.dam("Juno").await, kennel.dam("Freya").await);
    let castor = kennel.sire("Castor").await;
    let (own, foreign) = (kennel.litter(juno, castor).await, kennel.litter(freya, castor).await);
    let co_owner = kennel.co_owner(&[juno]).await;
    let buyer = |litter: Uuid| json!({ "name": "Jon", "joined_on": days_ago(1), "wishes": { "litter_id": litter } });
    let made = co_owner.post("/buyers", buyer(own)).await.id();
    for litter in [foreign, Uuid::now_v7()] {
        co_owner.post("/buyers", buyer(litter)).await.refused(&["/wishes/litter_id"]);
        let wish = json!({ "wishes": { "litter_id": litter } });
        co_owner.change(&format!("/buyers/{made}"), wish).await.refused(&["/wishes/litter_id"]);
    }
    kennel.post("/buyers", buyer(Uuid::now_v7())).await.refused(&["/wishes/litter_id"]);
    kennel.post("/buyers", buyer(foreign)).await.created();
}

#[tokio::test]
async fn what_is_the_whole_kennels_is_not_changed_by_co_owners() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let room = json!({ "name": "Warm room", "kind": "whelping_room" });
    let place = kennel.post("/places", room).await.id();
    let supply = kennel.post("/supplies", json!({ "key": "towels", "on_hand": 3.0 })).await.id();
    let task = json!({ "title": "Mend the fence", "due_on": days_ago(-3) });
    let whole = kennel.post("/own-tasks", task.clone()).await.id();
    let key = {
        let tasks = kennel.get("/tasks").await.ok();
        let own = items(&tasks).iter().find(|line| line["title"] == "Mend the fence").unwrap();
        own["key"].as_str().unwrap().to_owned()
    };
    let co_owner = kennel.co_owner(&[juno]).await;
    let helper = kennel.helper().await;
    for other in [&co_owner, &helper] {
        other.post("/places", json!({ "name": "x", "kind": "pen" })).await.problem(403);
        other.change(&format!("/places/{place}"), json!({ "capacity": 9 })).await.problem(403);
        other.remove(&format!("/places/{place}")).await.problem(403);
        other.post("/own-tasks", task.clone()).await.problem(403);
        other.change(&format!("/own-tasks/{whole}"), json!({ "title": "x" })).await.problem(403);
        other.remove(&format!("/own-tasks/{whole}")).await.problem(403);
        // About a dog that they see it is theirs to write, but not to make it the kennel's.
        let mut about = task.clone();
        about["dog_id"] = json!(juno);
        let own = format!("/own-tasks/{}", other.post("/own-tasks", about).await.id());
        other.change(&own, json!({ "dog_id": null })).await.problem(403);
        other.change(&own, json!({ "note": "with pliers" })).await.ok();
    }
    co_owner.change(&format!("/supplies/{supply}"), json!({ "on_hand": 0.0 })).await.problem(403);
    co_owner.post("/supplies", json!({ "key": "towels", "on_hand": 0.0 })).await.problem(403);
    let done = json!({ "done_at": time_ago(chrono::Duration::minutes(1)) });
    co_owner.change(&format!("/tasks/{key}"), done.clone()).await.problem(403);
    let cost =
        json!({ "purpose": "Fence", "amount_minor": 5, "currency": "EUR", "paid_on": days_ago(0) });
    co_owner.post("/costs", cost).await.problem(403);
    // Who helps counts the stock and ticks off what was done.
    helper.change(&format!("/supplies/{supply}"), json!({ "on_hand": 2.0 })).await.ok();
    helper.change(&format!("/tasks/{key}"), done).await.ok();
    kennel.change(&format!("/own-tasks/{whole}"), json!({ "title": "Mend the gate" })).await.ok();
    kennel.change(&format!("/places/{place}"), json!({ "capacity": 2 })).await.ok();
}

#[tokio::test]
async fn tokens_make_no_links_and_give_no_shares() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let helper = kennel.helper().await;
    let all = json!({ "name": "All", "read_only": false, "password": PASSWORD });
    let made = kennel.post("/access-tokens", all).await;
    let token = kennel.with_token(made.created()["token"].as_str().unwrap());
    let shares = format!("/dogs/{juno}/shares");
    let half = json!({ "person_id": helper.person_id, "numerator": 1, "denominator": 2 });
    let links = format!("/dogs/{juno}/booklet-links");
    token.post(&shares, half.clone()).await.problem(403);
    token.post(&links, json!({ "label": "x" })).await.problem(403);
    token.post("/calendar-links", json!({ "name": "x" })).await.problem(403);
    let share = format!("{shares}/{}", kennel.post(&shares, half).await.id());
    token.change(&share, json!({ "denominator": 4 })).await.problem(403);
    token.remove(&share).await.problem(403);
    kennel.post(&links, json!({ "label": "x" })).await.created();
    assert_eq!(items(&token.get(&shares).await.ok()).len(), 1);
}

/// A row names members, and keeps the name of one who has left; strangers cannot be named, nor found out.
#[tokio::test]
async fn a_share_names_members_and_never_strangers() {
    let kennel = Kennel::new().await;
    let juno = kennel.dam("Juno").await;
    let path = format!("/dogs/{juno}/shares");
    let stranger = kennel.stranger().await;
    let other = kennel.another().await;
    let share = |person: Uuid| json!({ "person_id": person, "numerator": 1, "denominator": 4 });
    let told = |answer: Answer| {
        let problem = answer.problem(422);
        (problem["errors"].clone(), problem["detail"].clone(), problem["title"].clone())
    };
    let nobody = told(kennel.post(&path, share(Uuid::now_v7())).await);
    assert_eq!(nobody.0[0]["pointer"], "/person_id");
    for person in [stranger.person_id, other.person_id] {
        assert_eq!(told(kennel.post(&path, share(person)).await), nobody);
    }
    let member = kennel.helper().await;
    let given = format!("{path}/{}", kennel.post(&path, share(member.person_id)).await.id());
    for person in [stranger.person_id, Uuid::now_v7()] {
        let moved = kennel.change(&given, json!({ "person_id": person })).await;
        assert_eq!(told(moved).0[0]["pointer"], "/person_id");
    }
    // Neither is a task a stranger's.
    let task = json!({ "title": "Trim", "due_on": days_ago(-3), "dog_id": juno });
    kennel.post("/own-tasks", task).await.created();
    let tasks = kennel.get("/tasks").await.ok();
    let task = items(&tasks).iter().find(|line| line["title"] == "Trim").unwrap();
    let task = format!("/tasks/{}", task["key"].as_str().unwrap());
    for person in [stranger.person_id, Uuid::now_v7()] {
        let assigned = kennel.change(&task, json!({ "assignee_id": person })).await;
        assert_eq!(told(assigned).0[0]["pointer"], "/assignee_id");
    }
    kennel.change(&task, json!({ "assignee_id": member.person_id })).await.ok();

    // Who leaves keeps the share and the task, and gets no more; the rest of the row may change.
    let members = kennel.get("/members").await.ok();
    let membership = items(&members).iter().find(|m| m["person_id"] == json!(member.person_id));
    kennel.remove(&format!("/members/{}", id(membership.unwrap()))).await.no_content();
    kennel.change(&given, json!({ "numerator": 2 })).await.ok();
    let tick = json!({ "done_at": time_ago(chrono::Duration::minutes(1)) });
    kennel.change(&task, tick).await.ok();
    let freya = kennel.dam("Freya").await;
    let again = kennel.post(&format!("/dogs/{freya}/shares"), share(member.person_id)).await;
    assert_eq!(told(again), nobody);
    // Raw SQL meets the same wall.
    let sql = kennel.sql().await;
    let raw = format!(
        "INSERT INTO shares (kennel_id, id, dog_id, person_id, numerator, denominator) \
         VALUES ('{}', gen_random_uuid(), '{freya}', '{}', 1, 2)",
        kennel.kennel_id, stranger.person_id
    );
    let refused = sql.batch_execute(&raw).await.unwrap_err();
    assert_eq!(refused.code(), Some(&tokio_postgres::error::SqlState::FOREIGN_KEY_VIOLATION));
}
