//! What the log of changes tells is what a direct read tells, to everybody, word by word.

use crate::{
    common::*,
    every_operation::{Ids, furnish},
};
use api::openapi;
use domain::record::{
    Right,
    register::{RECORDS, lines},
};
use reqwest::Method;
use std::{
    collections::{BTreeMap, BTreeSet},
    sync::LazyLock,
};

const EVERY_AREA: [&str; 5] = ["observations", "breeding", "placing", "money", "managing"];

/// An access token of this person that opens these areas; null opens all.
async fn token(of: &Caller, areas: Value) -> Caller {
    let body = json!({ "name": format!("{areas}"), "read_only": false, "areas": areas, "password": PASSWORD });
    let made = of.post("/access-tokens", body).await.created();
    of.with_token(made["token"].as_str().unwrap())
}

/// The whole log, as it is told to somebody.
async fn log(caller: &Caller) -> Vec<Value> {
    let mut all = Vec::new();
    let mut after = json!(0);
    loop {
        let page = caller.get(&format!("/changes?after={after}")).await.ok();
        all.extend(items(&page).to_vec());
        after = page["last_sequence"].clone();
        if page["next_cursor"].is_null() {
            return all;
        }
    }
}

/// The paths of the operations that read, by their names.
static READS: LazyLock<BTreeMap<String, String>> = LazyLock::new(|| {
    let document: Value = serde_json::from_str(openapi::PUBLISHED).unwrap();
    let paths = document["paths"].as_object().unwrap().iter();
    let reads = paths.filter_map(|(path, item)| {
        Some((item["get"]["operationId"].as_str()?.to_owned(), path.clone()))
    });
    reads.collect()
});

/// Where a row of this word is read by itself, or in which list.
fn place(word: &str, row: &Value) -> String {
    match word {
        "kennel" => return String::new(),
        "access_token" => return "/access-tokens".into(),
        "alarm_seen" => return "/alarms".into(),
        "booklet_link" => {
            return format!("/dogs/{}/booklet-links", row["dog_id"].as_str().unwrap());
        }
        "booklet_text" => return "/booklet-texts".into(),
        "calendar_link" => return "/calendar-links".into(),
        "duty_roster" => return "/duty".into(),
        "invitation" => return "/invitations".into(),
        "readiness_rules" => return "/rules/readiness".into(),
        "task_mark" => return format!("/tasks/{}", row["key"].as_str().unwrap()),
        // Its versions are read with the plan, which may be gone.
        "health_plan_version" => return "/health-plans".into(),
        _ => {}
    }
    let operation = match word {
        "follow_up" => "read_placement_follow_up".to_owned(),
        _ => format!("read_{word}"),
    };
    let path = READS.get(&operation).unwrap_or_else(|| panic!("where is a {word} read?"));
    let path = path.strip_prefix("/v1/kennels/{kennel_id}").unwrap();
    let last = path.rsplit('/').next().unwrap();
    let placed = |segment: &str| match segment.strip_prefix('{').and_then(|s| s.strip_suffix('}')) {
        Some(_) if segment == last => id(row).to_string(),
        // What it hangs on, by the field that names it.
        Some(field) => row[field].as_str().unwrap().to_owned(),
        None => segment.to_owned(),
    };
    path.split('/').map(placed).collect::<Vec<_>>().join("/")
}

/// The row as it is read directly; `None` when it is not there for this person.
async fn read(caller: &Caller, word: &str, row: &Value) -> Option<Value> {
    let path = place(word, row);
    let answer = caller.get(&path).await;
    if [403, 404].contains(&answer.status) {
        return None;
    }
    let found = answer.ok();
    match word {
        "access_token" | "booklet_link" | "calendar_link" | "invitation" => {
            items(&found).iter().find(|item| item["id"] == row["id"]).cloned()
        }
        "alarm_seen" => {
            let alarm = items(&found).iter().find(|item| item["id"] == row["alarm_id"]);
            alarm.map(|alarm| alarm["seen"].clone()).filter(Value::is_object)
        }
        _ => Some(found),
    }
}

/// Adds what the examples of the document do not have: contact data, money, texts, and rows of which a
/// kennel has one.
async fn fill(kennel: &Kennel, ids: &Ids) {
    let of = |key: &str| ids[key].clone();
    let contact = json!({
        "email": "b@example.org", "phone": "+49 30 5551", "address": "1 Lane", "household": "a garden",
        "screening": "visited", "note": "calls late",
    });
    kennel.change(&format!("/buyers/{}", of("buyers/buyer_id")), contact).await.ok();
    let placement = format!("/placements/{}", of("placements/placement_id"));
    let deal = json!({
        "buyer_id": of("buyers/buyer_id"), "price_minor": 150_000, "currency": "EUR",
        "balance_due_on": days_ago(0), "terms": "none", "note": "paid in cash",
    });
    kennel.change(&placement, deal).await.ok();
    let seen = format!("/alarms/{}/seen", of("alarms/alarm_id"));
    kennel.post(&seen, json!({ "note": "the vet comes today" })).await.created();
    for (path, body) in [
        ("/booklet-texts", json!({ "welcome": "Hello" })),
        ("/rules/readiness", json!({})),
        ("/planner/settings", json!({ "breeding_rules": "careful" })),
        ("/duty", json!({})),
        ("/preparation-template", json!({})),
    ] {
        let version = kennel.get(path).await.expect(200).etag();
        let put = kennel.request(Method::PUT, path).header("If-Match", &version).json(&body);
        put.send().await.expect(200);
    }
}

/// A pup that has gone to its buyer, and a call to them that was put off.
async fn sell(kennel: &Kennel, dam: Uuid, sire: Uuid) {
    let litter = kennel.litter(dam, sire).await;
    let birth = kennel.birth(litter, 24 * 70, json!({ "weight_g": 400 })).await;
    let pup: Uuid = birth["dog_id"].as_str().unwrap().parse().unwrap();
    let buyer = kennel.buyer("Ottilie Marsh").await;
    let sale = kennel.post("/placements", Kennel::reservation(pup, buyer)).await.id();
    kennel.set_aside_all(pup).await;
    kennel.change(&format!("/placements/{sale}"), json!({ "stage": "handed_over" })).await.ok();
    let tasks = kennel.get("/tasks").await.ok();
    // Calls that are due at about the same time are one line, each with a key of its own.
    let parts =
        items(&tasks).iter().flat_map(|task| task["parts"].as_array().into_iter().flatten());
    let call = items(&tasks).iter().chain(parts).find(|task| {
        task["key"].as_str().is_some_and(|key| key.starts_with(&format!("placement:{sale}")))
    });
    let key = call.unwrap_or_else(|| panic!("no call: {tasks}"))["key"].as_str().unwrap();
    let later = json!({ "snooze_ends_on": days_ago(-1), "snooze_reason": "she is away" });
    kennel.change(&format!("/tasks/{key}"), later).await.ok();
}

/// Words of which somebody reads their own rows directly, and the log tells to those who manage alone.
const TOLD_LESS: [&str; 2] = ["access_token", "calendar_link"];

/// What differs between the log and a direct read of its last entry of each row.
async fn differing(owner_log: &[Value], caller: &Caller, who: &str) -> Vec<String> {
    let told: BTreeMap<i64, Value> = log(caller)
        .await
        .into_iter()
        .map(|change| (change["sequence"].as_i64().unwrap(), change))
        .collect();
    let mut last: BTreeMap<&str, &Value> = BTreeMap::new();
    for change in owner_log.iter().filter(|change| change["row_id"].is_string()) {
        last.insert(change["row_id"].as_str().unwrap(), change);
    }
    let mut wrong = Vec::new();
    for change in last.into_values().filter(|change| change["after"].is_object()) {
        let (word, row) = (change["record"].as_str().unwrap(), &change["after"]);
        let entry = told.get(&change["sequence"].as_i64().unwrap()).map(|change| &change["after"]);
        let direct = read(caller, word, row).await;
        let (entry, direct) = match (entry, direct) {
            (Some(entry), Some(direct)) => (entry, direct),
            (None, None) => continue,
            (None, Some(_)) if TOLD_LESS.contains(&word) => continue,
            (entry, direct) => {
                let (told, read) = (entry.is_some(), direct.is_some());
                wrong.push(format!("{who}: {word} is told: {told}, read: {read}: {row}"));
                continue;
            }
        };
        for (field, direct) in direct.as_object().unwrap() {
            let (Some(was), Some(entry)) = (row.get(field), entry.get(field)) else { continue };
            let hidden = direct.is_null() && !was.is_null();
            if entry.is_null() != direct.is_null() || (hidden && !entry.is_null()) {
                wrong.push(format!("{who}: {word}.{field} is told {entry}, read {direct}"));
            }
        }
    }
    wrong
}

#[tokio::test]
async fn the_log_tells_everybody_what_a_direct_read_tells() {
    let document: Value = serde_json::from_str(&openapi::document_text()).unwrap();
    let kennel = Kennel::new().await;
    let (shared, unshared) = (kennel.dam("Juno").await, kennel.dam("Freya").await);
    let sire = kennel.sire("Castor").await;
    let (helper, viewer) = (kennel.helper().await, kennel.viewer().await);
    let co_owner = kennel.co_owner(&[shared]).await;
    for dam in [unshared, shared] {
        let ids = furnish(&document, &kennel, dam, sire).await;
        fill(&kennel, &ids).await;
        sell(&kennel, dam, sire).await;
    }
    let mut callers = vec![
        ("owner".to_owned(), kennel.owner().clone()),
        ("a token with no area".to_owned(), token(&kennel, json!([])).await),
        ("a token with all areas".to_owned(), token(&kennel, json!(EVERY_AREA)).await),
        ("a token".to_owned(), token(&kennel, Value::Null).await),
        ("a helper's token".to_owned(), token(&helper, Value::Null).await),
        ("a co-owner's token to place".to_owned(), token(&co_owner, json!(["placing"])).await),
        ("helper".to_owned(), helper),
        ("viewer".to_owned(), viewer),
        ("co-owner".to_owned(), co_owner),
    ];
    for area in EVERY_AREA {
        callers.push((format!("a token for {area}"), token(&kennel, json!([area])).await));
    }
    let owner_log = log(&kennel).await;
    let words: BTreeSet<&str> = owner_log.iter().map(|c| c["record"].as_str().unwrap()).collect();
    let sql = kennel.sql().await;
    let known = sql.query("SELECT word FROM log_words", &[]).await.unwrap();
    let known: BTreeSet<String> = known.iter().map(|row| row.get(0)).collect();
    let untried: Vec<_> = known.iter().filter(|word| !words.contains(word.as_str())).collect();
    assert!(untried.is_empty(), "no row was made of {untried:?}");
    let mut wrong = Vec::new();
    for (who, caller) in &callers {
        wrong.extend(differing(&owner_log, caller, who).await);
    }
    assert!(wrong.is_empty(), "{} differ:\n{}", wrong.len(), wrong.join("\n"));
}

/// The database's wall and the register of records speak of the same words, rights and fields.
#[tokio::test]
async fn every_word_of_the_log_has_its_right() {
    let kennel = Kennel::new().await;
    let sql = kennel.sql().await;
    let logged = "SELECT DISTINCT convert_from(btrim(tgargs, '\\x00'), 'UTF8'), tgrelid::regclass::text \
                  FROM pg_trigger WHERE tgname = 'log_created'";
    let mut tables: BTreeMap<String, String> = BTreeMap::new();
    for row in sql.query(logged, &[]).await.unwrap() {
        tables.insert(row.get(0), row.get(1));
    }
    let mut needs: BTreeMap<String, String> = BTreeMap::new();
    for row in sql.query("SELECT word, needs FROM log_words", &[]).await.unwrap() {
        needs.insert(row.get(0), row.get(1));
    }
    assert_eq!(
        tables.keys().collect::<Vec<_>>(),
        needs.keys().collect::<Vec<_>>(),
        "a table's word has no line in log_words, or a line no table"
    );
    let words: BTreeSet<&str> = lines().map(|line| line.word).collect();
    assert_eq!(words, needs.keys().map(String::as_str).collect(), "the register and log_words");
    for line in lines() {
        assert_eq!(tables.get(line.word).map(String::as_str), Some(line.table), "{}", line.word);
        assert_eq!(needs[line.word], line.read.as_str(), "{}", line.word);
    }
    let mut hidden = BTreeSet::new();
    for line in RECORDS {
        for (right, fields) in line.hidden {
            let fields = fields.iter().map(|field| (line.word, *field, right.as_str()));
            hidden.extend(fields.map(|(w, f, r)| (w.to_owned(), f.to_owned(), r.to_owned())));
        }
    }
    let rows = sql.query("SELECT word, field, needs FROM log_fields", &[]).await.unwrap();
    let walls: BTreeSet<(String, String, String)> =
        rows.iter().map(|row| (row.get(0), row.get(1), row.get(2))).collect();
    assert_eq!(walls, hidden);
    assert!(hidden.contains(&("buyer".into(), "email".into(), "placing".into())));
    assert_eq!(Right::ALL.map(Right::as_str).len(), 6);
}

#[tokio::test]
async fn a_word_that_nobody_knows_is_told_to_owners_only() {
    let kennel = Kennel::new().await;
    let juno = kennel.dam("Juno").await;
    let co_owner = kennel.co_owner(&[juno]).await;
    let told = [
        kennel.owner().clone(),
        kennel.member(Role::Owner).await,
        token(&kennel, Value::Null).await,
        token(&kennel, json!(EVERY_AREA)).await,
    ];
    let untold = [
        kennel.helper().await,
        kennel.viewer().await,
        token(&co_owner, Value::Null).await,
        co_owner,
        token(&kennel, json!([])).await,
        token(&kennel, json!(["managing"])).await,
        token(&kennel, json!(["observations", "breeding", "placing", "managing"])).await,
    ];
    let sql = kennel.sql().await;
    sql.batch_execute(&format!(
        "INSERT INTO changes (kennel_id, sequence, what, row_id, action, after, dog_ids) \
         SELECT '{id}', next_changes('{id}', 1) + 1, 'novelty', '{juno}', 'created', '{{\"dog_id\": \"{juno}\"}}', '{{{juno}}}'",
        id = kennel.kennel_id
    ))
    .await
    .unwrap();
    for (caller, count) in told.iter().map(|c| (c, 1)).chain(untold.iter().map(|c| (c, 0))) {
        let log = caller.get("/changes?record=novelty&limit=500").await.ok();
        assert_eq!(items(&log).len(), count, "{log}");
    }
}

#[tokio::test]
async fn an_archive_needs_all_rights_or_is_refused_in_words() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(1, 20).await;
    let buyer = kennel.buyer("Ottilie").await;
    let placement = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    let payment =
        json!({ "kind": "deposit", "amount_minor": 5, "currency": "EUR", "paid_on": days_ago(0) });
    kennel.post(&format!("/placements/{placement}/payments"), payment).await.created();
    for missing in EVERY_AREA {
        let areas: Vec<&str> = EVERY_AREA.into_iter().filter(|area| *area != missing).collect();
        let refused = token(&kennel, json!(areas)).await.get("/archive").await.problem(403);
        let detail = refused["detail"].as_str().unwrap();
        assert!(detail.contains("area"), "without {missing}: {detail}");
    }
    let managing = token(&kennel, json!(["managing"])).await;
    let detail = managing.get("/archive").await.problem(403)["detail"].to_string();
    assert!(detail.contains("does not open all areas"), "{detail}");
    for whole in [token(&kennel, Value::Null).await, token(&kennel, json!(EVERY_AREA)).await] {
        whole.get("/archive").await.expect(200);
    }
}

/// A token reads what its areas open, and nothing beside; nor does it write what it does not read.
#[tokio::test]
async fn a_token_reads_and_writes_by_its_areas() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(2, 20).await;
    let buyer = kennel.buyer("Ottilie").await;
    let mut sale = Kennel::reservation(pups[0], buyer);
    sale["terms"] = json!("may be bred once");
    let placement = format!("/placements/{}", kennel.post("/placements", sale).await.id());
    let paid =
        json!({ "kind": "deposit", "amount_minor": 5, "currency": "EUR", "paid_on": days_ago(0) });
    kennel.post(&format!("{placement}/payments"), paid).await.created();

    let money = token(&kennel, json!(["money"])).await;
    let placing = token(&kennel, json!(["placing"])).await;
    let seen = money.get(&placement).await.ok();
    assert_eq!((&seen["price_minor"], &seen["terms"]), (&json!(180_000), &Value::Null));
    assert!(money.get(&format!("/buyers/{buyer}")).await.ok()["email"].is_null());
    money.get(&format!("{placement}/account")).await.ok();
    money.get(&format!("/buyers/{buyer}/export")).await.problem(403);
    let seen = placing.get(&placement).await.ok();
    assert_eq!((&seen["price_minor"], &seen["terms"]), (&Value::Null, &json!("may be bred once")));
    assert!(placing.get(&format!("/buyers/{buyer}")).await.ok()["email"].is_string());
    for hidden in ["payments", "account"] {
        placing.get(&format!("{placement}/{hidden}")).await.problem(403);
    }
    let year = days_ago(0).format("/reports/years/%Y").to_string();
    let with = |report: Value| report.to_string().contains("\"income_minor\":5");
    assert!(with(kennel.get(&year).await.ok()) && !with(placing.get(&year).await.ok()));

    // What is not read is not written either, and stays when the rest is written.
    placing.post("/placements", Kennel::reservation(pups[1], buyer)).await.problem(403);
    placing.change(&placement, json!({ "price_minor": 1 })).await.problem(403);
    placing.change(&placement, json!({ "price_minor": null, "currency": null })).await.problem(403);
    placing.change(&placement, json!({ "stage": "confirmed" })).await.ok();
    let kept = kennel.get(&placement).await.ok();
    assert_eq!((&kept["price_minor"], &kept["stage"]), (&json!(180_000), &json!("confirmed")));
}

/// Restoring is reading the log and writing the row.
#[tokio::test]
async fn nobody_restores_what_they_may_not_read_or_write() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let helper = kennel.helper().await;
    let (_, pups) = kennel.born_litter(1, 20).await;
    let buyer = kennel.buyer("Ottilie").await;
    let placement = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.id();
    let payments = format!("/placements/{placement}/payments");
    let paid =
        json!({ "kind": "deposit", "amount_minor": 5, "currency": "EUR", "paid_on": days_ago(0) });
    let payment = kennel.post(&payments, paid).await.id();
    let half = json!({ "person_id": helper.person_id, "numerator": 1, "denominator": 2 });
    let share = kennel.post(&format!("/dogs/{juno}/shares"), half).await.id();
    let weight = kennel.weight(juno, 1, 27_000).await;
    kennel.change(&format!("/placements/{placement}"), json!({ "price_minor": 1_000 })).await.ok();
    for path in [
        format!("{payments}/{payment}"),
        format!("/dogs/{juno}/shares/{share}"),
        format!("/dogs/{juno}/weights/{weight}"),
    ] {
        kennel.remove(&path).await.no_content();
    }
    let managing = token(&kennel, json!(["managing"])).await;
    let managing_and_money = token(&kennel, json!(["managing", "placing"])).await;
    let all = token(&kennel, Value::Null).await;
    let last = |row: Uuid| {
        let owner = kennel.owner().clone();
        async move {
            let log = owner.get(&format!("/changes?row_id={row}")).await.ok();
            items(&log).last().unwrap()["sequence"].clone()
        }
    };
    let restore = |sequence: Value| format!("/changes/{sequence}/restore");
    let gone = json!({ "version": null });
    for row in [payment, share] {
        managing.post(&restore(last(row).await), gone.clone()).await.problem(404);
    }
    managing.post(&restore(last(weight).await), gone.clone()).await.problem(403);
    // A price that is not read comes back by nobody who does not read it.
    let first = kennel.get(&format!("/changes?row_id={placement}")).await.ok();
    let first = restore(items(&first)[0]["sequence"].clone());
    managing_and_money.post(&first, json!({ "version": 2 })).await.problem(403);
    // A share lets somebody see the dog: a person gives it back.
    all.post(&restore(last(share).await), gone.clone()).await.problem(403);
    for row in [payment, share, weight] {
        kennel.post(&restore(last(row).await), gone.clone()).await.ok();
    }
    kennel.post(&first, json!({ "version": 2 })).await.ok();
}

/// Of a row that goes from one dog to another, each co-owner is told the half of their own dog.
#[tokio::test]
async fn a_row_that_moves_to_another_dog_tells_each_side_its_own() {
    let kennel = Kennel::among_others().await;
    let (juno, freya) = (kennel.dam("Juno").await, kennel.dam("Freya").await);
    let of_juno = kennel.co_owner(&[juno]).await;
    let of_freya = kennel.co_owner(&[freya]).await;
    let heat = kennel.heat(juno, 5).await;
    let moved = json!({ "dog_id": freya, "note": "was Freya's" });
    kennel.change(&format!("/heats/{heat}"), moved).await.ok();
    let last = |caller: Caller| async move {
        let log = caller.get(&format!("/changes?row_id={heat}")).await.ok();
        items(&log).last().cloned().unwrap()
    };
    let told = last(of_juno).await;
    assert_eq!((&told["before"]["dog_id"], &told["after"]), (&json!(juno), &Value::Null));
    let told = last(of_freya).await;
    assert_eq!((&told["before"], &told["after"]["note"]), (&Value::Null, &json!("was Freya's")));
    let told = last(kennel.owner().clone()).await;
    assert!(told["before"].is_object() && told["after"].is_object());
}

#[tokio::test]
async fn the_stream_tells_by_right_as_the_list_does() {
    let kennel = Kennel::among_others().await;
    let juno = kennel.dam("Juno").await;
    let co_owner = kennel.co_owner(&[juno]).await;
    let helper = kennel.helper().await;
    let readers = [
        helper.clone(),
        kennel.viewer().await,
        token(&kennel, json!([])).await,
        token(&kennel, json!(["observations"])).await,
    ];
    let start = kennel.get("/changes").await.ok()["newest_sequence"].as_i64().unwrap();
    let mut streams = Vec::new();
    for reader in &readers {
        streams.push(reader.follow(Some(start)).await);
    }
    let mut of_co_owner = co_owner.follow(Some(start)).await;
    let cost =
        json!({ "purpose": "X-ray", "amount_minor": 5, "currency": "EUR", "paid_on": days_ago(0) });
    kennel.post("/costs", cost).await.created();
    kennel.post("/calendar-links", json!({ "name": "My phone" })).await.created();
    let half = json!({ "person_id": helper.person_id, "numerator": 1, "denominator": 4 });
    kennel.post(&format!("/dogs/{juno}/shares"), half).await.created();
    kennel.buyer("Ottilie").await;
    let heat = kennel.heat(juno, 3).await;
    let reading = json!({ "kind": "sign", "finding": "flagging", "taken_at": time_ago(chrono::Duration::hours(1)) });
    kennel.post(&format!("/heats/{heat}/readings"), reading).await.created();
    for stream in &mut streams {
        let (_, change) = stream.next().await;
        assert_eq!(change["record"], "buyer");
        assert!(change["after"]["email"].is_null(), "{change}");
        for word in ["heat", "heat_reading"] {
            assert_eq!(stream.next().await.1["record"], word);
        }
    }
    for word in ["share", "heat", "heat_reading"] {
        assert_eq!(of_co_owner.next().await.1["record"], word);
    }
}
