//! Rows: write, read, list, change, delete.

use crate::common::*;
use chrono::Duration;

#[tokio::test]
async fn a_dog_is_written_read_changed_and_deleted() {
    let kennel = Kennel::among_others().await;
    let answer =
        kennel.post("/dogs", json!({ "name": "Juno", "residence": "here" })).await.expect(201);
    let juno = answer.json();
    let path = format!("/dogs/{}", id(&juno));
    assert_eq!(answer.header("location"), kennel.path(&path));
    assert_eq!(juno["version"], 1);
    assert_eq!(kennel.get(&path).await.ok(), juno);

    let changed =
        kennel.patch(&path, &answer.etag(), json!({ "colour": "black" })).await.expect(200);
    assert_eq!(changed.json()["colour"], "black");
    assert_eq!(changed.json()["name"], "Juno");
    assert_eq!(changed.json()["version"], 2);
    assert_eq!(changed.json()["created_at"], juno["created_at"]);

    kennel.delete(&path, &changed.etag()).await.no_content();
    kennel.get(&path).await.problem(404);
    assert!(items(&kennel.get("/dogs").await.ok()).is_empty());
}

#[tokio::test]
async fn answers_carry_every_key() {
    let kennel = Kennel::among_others().await;
    let dog = kennel.post("/dogs", json!({ "residence": "here" })).await.created();
    for key in
        ["name", "sex", "born_on", "sire_id", "dam_id", "chip_number", "registrations", "note"]
    {
        assert!(dog.get(key).is_some(), "{key} is missing in {dog}");
    }
    assert_eq!(dog["registrations"], json!([]));
}

/// One of each kind: what is posted comes back, can be changed by its note, and goes.
#[tokio::test]
async fn every_kind_of_row_can_be_kept() {
    let kennel = Kennel::among_others().await;
    let (juno, castor) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let heat = kennel.heat(juno, 70).await;
    let mating = kennel.mating(juno, castor, 60).await;
    let buyer = kennel.buyer("Ottilie Marsh").await;
    let now = time_ago(Duration::minutes(1));
    let placement = kennel.post("/placements", Kennel::reservation(juno, buyer)).await.id();
    let rows = [
        ("/dogs".to_owned(), json!({ "residence": "elsewhere", "born_on": "2019-07" })),
        (
            "/heats".to_owned(),
            json!({ "dog_id": juno, "began_on": "2024-02-29", "ended_on": null }),
        ),
        (
            format!("/heats/{heat}/readings"),
            json!({ "kind": "progesterone", "taken_at": now, "value": 5.5, "unit": "ng_per_ml" }),
        ),
        (
            "/matings".to_owned(),
            json!({ "dam_id": juno, "sire_id": castor, "status": "planned", "method": "frozen" }),
        ),
        (
            format!("/matings/{mating}/pregnancy-checks"),
            json!({
                "checked_at": now, "method": "ultrasound", "result": "pregnant",
                "count_at_least": 4, "count_at_most": 7,
            }),
        ),
        ("/litters".to_owned(), json!({ "dam_id": juno, "sire_id": castor, "name": "F litter" })),
        (format!("/dogs/{juno}/weights"), json!({ "measured_at": now, "weight_g": 27_900 })),
        (
            format!("/dogs/{juno}/temperatures"),
            json!({ "measured_at": now, "temperature_c": 38.2 }),
        ),
        (
            "/health-events".to_owned(),
            json!({ "dog_id": juno, "kind": "worming", "given_at": now, "batch": "L 7" }),
        ),
        (
            "/buyers".to_owned(),
            json!({ "name": "Jon Reed", "joined_on": days_ago(3), "wishes": { "sex": "female" } }),
        ),
        (
            format!("/placements/{placement}/payments"),
            json!({ "kind": "deposit", "amount_minor": 30_000, "currency": "EUR", "paid_on": days_ago(1) }),
        ),
    ];
    for (path, body) in rows {
        let created = kennel.post(&path, body.clone()).await.created();
        for (key, value) in body.as_object().unwrap() {
            if value.is_object() {
                assert_eq!(created[key]["sex"], value["sex"], "{path}: {key}");
            } else {
                assert_eq!(&created[key], value, "{path}: {key}");
            }
        }
        let item = format!("{path}/{}", id(&created));
        assert_eq!(kennel.get(&item).await.ok(), created);
        assert!(ids(&kennel.get(&path).await.ok()).contains(&id(&created)), "{path} lists it");
        let changed = kennel.change(&item, json!({ "note": "seen twice" })).await.ok();
        assert_eq!(changed["note"], "seen twice");
        kennel.remove(&item).await.no_content();
        kennel.get(&item).await.problem(404);
    }
}

#[tokio::test]
async fn lists_go_on_by_cursor_whatever_happens_meanwhile() {
    let kennel = Kennel::among_others().await;
    let mut dogs = Vec::new();
    for number in 0..5 {
        dogs.push(kennel.dog(&format!("Dog {number}"), json!({})).await);
    }
    let first = kennel.get("/dogs?limit=2").await.expect(200);
    assert_eq!(ids(&first.json()), dogs[..2]);
    // What has been read already may go without moving what follows.
    kennel.remove(&format!("/dogs/{}", dogs[0])).await.no_content();

    let link = first.header("link");
    let next = link.strip_prefix('<').and_then(|l| l.split_once(">; rel=\"next\"")).unwrap().0;
    let second = kennel.get(next).await.expect(200);
    assert_eq!(ids(&second.json()), dogs[2..4]);
    let cursor = second.json()["next_cursor"].as_str().unwrap().to_owned();
    let third = kennel.get(&format!("/dogs?limit=2&cursor={cursor}")).await.expect(200);
    assert_eq!(ids(&third.json()), dogs[4..]);
    assert!(third.json()["next_cursor"].is_null());
    assert_eq!(third.header("link"), "");
}

#[tokio::test]
async fn lists_are_filtered_by_field() {
    let kennel = Kennel::among_others().await;
    let (juno, castor) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let fields = json!({
        "dam_id": juno, "sire_id": castor, "chip_number": "276098100123456", "imported_id": "A 7/é",
    });
    let fern = kennel.dog("Fern", fields).await;
    for (query, expected) in [
        ("sex=female", vec![juno]),
        ("residence=elsewhere", vec![castor]),
        ("residence=here&sex=male", vec![]),
        ("for_breeding=false", vec![fern]),
        (&format!("dam_id={juno}"), vec![fern]),
        (&format!("sire_id={castor}&dam_id={castor}"), vec![]),
        ("chip_number=276098100123456", vec![fern]),
        ("imported_id=A%207%2F%C3%A9", vec![fern]),
        ("breed=Labrador+Retriever", vec![juno, castor]),
    ] {
        assert_eq!(ids(&kennel.get(&format!("/dogs?{query}")).await.ok()), expected, "{query}");
    }

    let litter = kennel.litter(juno, castor).await;
    assert_eq!(ids(&kennel.get("/litters?born=false").await.ok()), [litter]);
    kennel.birth(litter, 3, json!({})).await;
    assert!(items(&kennel.get("/litters?born=false").await.ok()).is_empty());
    assert_eq!(ids(&kennel.get("/litters?born=true").await.ok()), [litter]);

    kennel.weight(juno, 48, 27_000).await;
    let late = kennel.weight(juno, 1, 27_100).await;
    let since = time_ago(Duration::hours(2)).replace(':', "%3A");
    let path = format!("/dogs/{juno}/weights?since={since}");
    assert_eq!(ids(&kennel.get(&path).await.ok()), [late]);

    let (waiting, served) = (kennel.buyer("Waiting").await, kennel.buyer("Served").await);
    kennel.post("/placements", Kennel::reservation(fern, served)).await.created();
    assert_eq!(ids(&kennel.get("/buyers?waiting=true").await.ok()), [waiting]);
    assert_eq!(ids(&kennel.get("/buyers?waiting=false").await.ok()), [served]);
}

#[tokio::test]
async fn a_change_names_the_version_that_was_seen() {
    let kennel = Kennel::among_others().await;
    let path = format!("/dogs/{}", kennel.dam("Juno").await);
    let seen = kennel.get(&path).await.expect(200).etag();
    let patch = json!({ "note": "by phone" });
    let request = kennel.request(reqwest::Method::PATCH, &path).json(&patch);
    request.send().await.problem(428);
    kennel.request(reqwest::Method::DELETE, &path).send().await.problem(428);

    kennel.patch(&path, &seen, patch.clone()).await.expect(200);
    kennel.patch(&path, &seen, patch.clone()).await.problem(412);
    kennel.patch(&path, "\"never given\"", patch.clone()).await.problem(412);
    kennel.delete(&path, &seen).await.problem(412);
    // A proxy that compresses makes the ETag weak.
    kennel.patch(&path, "W/\"2\"", patch).await.expect(200);
    kennel.delete(&path, "\"3\"").await.no_content();
}

#[tokio::test]
async fn of_two_changes_at_once_one_is_told() {
    let kennel = Kennel::among_others().await;
    let path = format!("/dogs/{}", kennel.dam("Juno").await);
    let seen = kennel.get(&path).await.expect(200).etag();
    let changes = (0..6).map(|number| {
        let (caller, path, seen) = (kennel.owner().clone(), path.clone(), seen.clone());
        tokio::spawn(async move {
            caller.patch(&path, &seen, json!({ "note": format!("phone {number}") })).await.status
        })
    });
    let mut statuses = Vec::new();
    for change in changes.collect::<Vec<_>>() {
        statuses.push(change.await.unwrap());
    }
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 412, 412, 412, 412, 412]);
    assert_eq!(kennel.get(&path).await.ok()["version"], 2);
}

/// RFC 7396: null clears, absent leaves, objects merge, lists are replaced.
#[tokio::test]
async fn a_merge_patch_clears_leaves_and_merges() {
    let kennel = Kennel::among_others().await;
    let juno = format!("/dogs/{}", kennel.dam("Juno").await);
    let registrations = json!([{ "registry": "Stud book", "number": "SB 1" }]);
    kennel.change(&juno, json!({ "colour": "black", "registrations": registrations })).await.ok();
    let dog = kennel.change(&juno, json!({ "colour": null })).await.ok();
    assert_eq!((&dog["colour"], &dog["name"]), (&Value::Null, &json!("Juno")));
    assert_eq!(dog["registrations"], registrations);
    let dog = kennel.change(&juno, json!({ "registrations": [] })).await.ok();
    assert_eq!(dog["registrations"], json!([]));

    let buyer = format!("/buyers/{}", kennel.buyer("Ottilie").await);
    kennel.change(&buyer, json!({ "wishes": { "sex": "male", "colour": "fox" } })).await.ok();
    let wishes = kennel.change(&buyer, json!({ "wishes": { "colour": null } })).await.ok();
    assert_eq!(wishes["wishes"]["sex"], "male");
    assert!(wishes["wishes"]["colour"].is_null());

    let weight = kennel.weight(id(&dog), 1, 27_000).await;
    let weight = format!("{juno}/weights/{weight}");
    kennel.change(&weight, json!({ "weight_g": null })).await.refused(&["/weight_g"]);
    kennel.change(&juno, json!({ "tail": "long" })).await.refused(&["/tail"]);
    kennel.change(&juno, json!({ "id": Uuid::nil() })).await.refused(&["/id"]);
    kennel.change(&juno, json!(["name"])).await.refused(&[""]);
}

#[tokio::test]
async fn what_is_referred_to_stays() {
    let kennel = Kennel::among_others().await;
    let (juno, castor) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let mating = kennel.mating(juno, castor, 20).await;
    let litter = json!({ "dam_id": juno, "sire_id": castor, "mating_id": mating });
    kennel.post("/litters", litter).await.created();
    let problem = kennel.remove(&format!("/matings/{mating}")).await.problem(409);
    assert!(problem["detail"].as_str().unwrap().contains("litters"), "{problem}");
    kennel.remove(&format!("/dogs/{juno}")).await.problem(409);
}

#[tokio::test]
async fn a_row_is_found_under_its_own_parent_only() {
    let kennel = Kennel::among_others().await;
    let (juno, castor) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let weight = kennel.weight(juno, 1, 27_000).await;
    kennel.get(&format!("/dogs/{juno}/weights/{weight}")).await.ok();
    let elsewhere = format!("/dogs/{castor}/weights/{weight}");
    kennel.get(&elsewhere).await.problem(404);
    kennel.patch(&elsewhere, "\"1\"", json!({ "weight_g": 1000 })).await.problem(404);
    kennel.delete(&elsewhere, "\"1\"").await.problem(404);
    kennel.get(&format!("/dogs/{}/weights", Uuid::nil())).await.problem(404);

    let body = json!({ "dog_id": castor, "measured_at": time_ago(Duration::hours(1)), "weight_g": 30_000 });
    kennel.post(&format!("/dogs/{juno}/weights"), body).await.refused(&["/dog_id"]);
}

#[tokio::test]
async fn a_health_event_is_recorded_for_a_whole_litter_or_not_at_all() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(3, 20).await;
    let given_at = time_ago(Duration::hours(1));
    let event = |dogs: Value| json!({ "dog_ids": dogs, "kind": "worming", "given_at": given_at });
    kennel.post("/health-events", event(json!([pups[0], Uuid::nil()]))).await.pointers(422);
    assert!(items(&kennel.get("/health-events").await.ok()).is_empty());
    kennel.post("/health-events", event(json!(pups))).await.expect(201);
    assert_eq!(items(&kennel.get("/health-events").await.ok()).len(), 3);
}
