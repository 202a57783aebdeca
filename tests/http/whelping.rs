//! The night: its log, where it stands, and the dam after it.

use crate::common::*;
use chrono::Duration;
use std::time::Instant;
use uuid::Uuid;

async fn expected_litter(kennel: &Kennel) -> (Uuid, Uuid) {
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let mating = kennel.mating(dam, sire, 63).await;
    let xray = json!({
        "checked_at": time_ago(Duration::days(5)), "method": "xray", "result": "pregnant",
        "count_at_least": 4, "count_at_most": 5,
    });
    kennel.post(&format!("/matings/{mating}/pregnancy-checks"), xray).await.created();
    let litter = json!({ "dam_id": dam, "sire_id": sire, "mating_id": mating });
    (kennel.post("/litters", litter).await.id(), dam)
}

async fn log(kennel: &Kennel, litter: Uuid, minutes_ago: i64, event: Value) -> Value {
    let line = json!({ "happened_at": time_ago(Duration::minutes(minutes_ago)), "event": event });
    kennel.post(&format!("/litters/{litter}/whelping"), line).await.created()
}

#[tokio::test]
async fn it_says_where_it_stands_and_when_to_call() {
    let kennel = Kennel::among_others().await;
    let (litter, _) = expected_litter(&kennel).await;
    let status = format!("/litters/{litter}/whelping/status");
    let before = kennel.get(&status).await.ok();
    // Waiting: the day from which she is overdue comes by the clock alone.
    assert_eq!((&before["stage"], &before["call"]), (&json!("not_begun"), &json!("waiting")));
    let expected = &before["expected"];
    let range = ["counted_at_least", "least", "most"].map(|key| &expected[key]);
    assert_eq!(range, [4, 4, 5]);
    assert_eq!(before["next_collar"], "red");

    log(&kennel, litter, 200, json!({ "kind": "sign", "sign": "panting" })).await;
    assert_eq!(kennel.get(&status).await.ok()["stage"], "first");
    log(&kennel, litter, 80, json!({ "kind": "contractions", "strength": "strong" })).await;
    kennel.birth(litter, 1, json!({ "collar": "red", "sex": "male" })).await;
    let second = kennel.get(&status).await.ok();
    assert_eq!((&second["stage"], &second["pups_out"]), (&json!("second"), &json!(1)));
    assert_eq!(second["still_to_come_at_least"], 3);
    assert_eq!((&second["next_collar"], &second["call"]), (&json!("blue"), &json!("waiting")));
    let minutes = second["minutes_since_last_pup"].as_i64().unwrap();
    assert!((60..=61).contains(&minutes));
    let gap =
        second["limits"].as_array().unwrap().iter().find(|l| l["rule"] == "whelping.gap_hours");
    assert_ne!(gap.unwrap()["source"], "");

    log(&kennel, litter, 0, json!({ "kind": "alarm", "alarm": "pup_stuck" })).await;
    let alarm = kennel.get(&status).await.ok();
    assert_eq!(alarm["call"], "now");
    assert_eq!(alarm["cautions"][0]["level"], "emergency");
    assert!(alarm["when_to_call"].as_str().unwrap().contains("vet"));
}

/// For whom something was given is kept, corrected, and told by the log; calcium of a pup is not its dam's.
#[tokio::test]
async fn what_was_given_says_to_whom() {
    let kennel = Kennel::among_others().await;
    let (litter, _) = expected_litter(&kennel).await;
    log(&kennel, litter, 50, json!({ "kind": "sign", "sign": "panting" })).await;
    let given = json!({ "kind": "given", "remedy": "calcium", "given_to": "pup", "ordinal": 2 });
    let line = log(&kennel, litter, 40, given).await;
    assert_eq!((&line["event"]["given_to"], &line["event"]["ordinal"]), (&json!("pup"), &json!(2)));
    let warned = async || {
        let alarms = kennel.get("/alarms").await.ok();
        items(&alarms).iter().any(|alarm| alarm["code"] == "whelping.calcium_before_birth")
    };
    assert!(!warned().await);
    let path = format!("/litters/{litter}/whelping/{}", id(&line));
    // Before it was asked, and where it is the dam's, it counts as hers.
    for given_to in [Value::Null, json!("dam")] {
        let event = json!({ "event": { "given_to": given_to, "ordinal": null } });
        let changed = kennel.change(&path, event).await.ok();
        assert_eq!(changed["event"]["given_to"], given_to);
        assert!(warned().await, "{given_to}");
    }
    let history = kennel.get(&format!("/changes?row_id={}", id(&line))).await.ok();
    let told: Vec<&Value> =
        items(&history).iter().map(|one| &one["after"]["event"]["given_to"]).collect();
    assert_eq!(told, [&json!("pup"), &Value::Null, &json!("dam")]);
    // The log names fields as the record does.
    let last = &items(&history)[2]["after"];
    assert!(last["happened_at"].is_string() && last["at"].is_null(), "{last}");
    let etag = kennel.get(&path).await.etag();
    let both = json!({ "event": { "ordinal": 2 } });
    kennel.patch(&path, &etag, both).await.refused(&["/event/ordinal"]);
    for (ordinal, good) in [(0, false), (1, true), (30, true), (31, false)] {
        let event =
            json!({ "kind": "given", "remedy": "glucose", "given_to": "pup", "ordinal": ordinal });
        let line = json!({ "happened_at": time_ago(Duration::minutes(5)), "event": event });
        let answer = kennel.post(&format!("/litters/{litter}/whelping"), line).await;
        assert_eq!(answer.status == 201, good, "{ordinal}: {}", answer.text());
    }
}

#[tokio::test]
async fn a_line_reaches_everyone_at_once_and_corrections_keep_history() {
    let kennel = Kennel::among_others().await;
    let (litter, dam) = expected_litter(&kennel).await;
    // Both belong here before the number is asked: nothing but the line comes after it.
    let (helper, co_owner) = (kennel.helper().await, kennel.co_owner(&[dam]).await);
    let start = kennel.get("/changes").await.ok()["newest_sequence"].as_i64().unwrap();
    let (mut helper, mut co_owner) =
        (helper.follow(Some(start)).await, co_owner.follow(Some(start)).await);
    let written = Instant::now();
    let line = log(&kennel, litter, 3, json!({ "kind": "waters" })).await;
    for stream in [&mut helper, &mut co_owner] {
        let (_, change) = stream.next().await;
        assert_eq!((&change["record"], &change["row_id"]), (&json!("whelping_line"), &line["id"]));
    }
    assert!(written.elapsed() < SOON, "not at the next heartbeat: {:?}", written.elapsed());

    let path = format!("/litters/{litter}/whelping/{}", id(&line));
    let green = json!({ "event": { "kind": "discharge", "colour": "green_black" } });
    kennel.change(&path, green).await.ok();
    let (_, change) = helper.next().await;
    assert_eq!(change["before"]["event"], json!({ "kind": "waters" }));
    assert_eq!(change["after"]["event"]["colour"], "green_black");
    // A line of another kind keeps no member of the old one.
    kennel.change(&path, json!({ "event": { "kind": "waters" } })).await.problem(422);
    kennel
        .change(&path, json!({ "event": { "kind": "waters", "colour": null, "amount": null } }))
        .await
        .ok();
}

#[tokio::test]
async fn bad_lines_are_told_apart() {
    let kennel = Kennel::among_others().await;
    let (litter, _) = expected_litter(&kennel).await;
    let path = format!("/litters/{litter}/whelping");
    let refused = async |line: Value, pointer: &str| {
        kennel.post(&path, line).await.refused(&[pointer]);
    };
    let at = time_ago(Duration::minutes(1));
    let fahrenheit = json!({ "kind": "temperature", "temperature_c": 98.2 });
    refused(json!({ "happened_at": at, "event": fahrenheit }), "/event/temperature_c").await;
    let ahead = time_ago(Duration::hours(-2));
    refused(json!({ "happened_at": ahead, "event": { "kind": "finished" } }), "/happened_at").await;
    kennel
        .post(&path, json!({ "happened_at": at, "event": { "kind": "song" } }))
        .await
        .problem(422);
    kennel.viewer().await.post(&path, json!({})).await.problem(403);
    kennel.another().await.get(&format!("{path}/status")).await.problem(404);
}

#[tokio::test]
async fn two_phones_that_expect_the_same_pup_write_it_once() {
    let kennel = Kennel::among_others().await;
    let (litter, _) = expected_litter(&kennel).await;
    let path = format!("/litters/{litter}/births");
    let pup =
        json!({ "born_at": time_ago(Duration::minutes(4)), "outcome": "alive", "ordinal": 1 });
    let (one, two) = tokio::join!(kennel.post(&path, pup.clone()), kennel.post(&path, pup));
    let mut statuses = [one.status, two.status];
    statuses.sort_unstable();
    assert_eq!(statuses, [201, 409]);
    assert_eq!(items(&kennel.get(&path).await.ok()).len(), 1);

    // Without a number both are pups; that they may be one is said.
    let same = json!({ "born_at": time_ago(Duration::minutes(4)), "outcome": "alive" });
    kennel.post(&path, same).await.created();
    let status = kennel.get(&format!("/litters/{litter}/whelping/status")).await.ok();
    let cautions = status["cautions"].to_string();
    assert!(cautions.contains("Pups 1 and 2 may be one pup"), "{cautions}");
}

/// Two people see one pup come and both write it down, neither with a number: the second is asked.
#[tokio::test]
async fn one_pup_is_not_written_down_by_two_people() {
    let kennel = Kennel::among_others().await;
    let (litter, _) = expected_litter(&kennel).await;
    let births = format!("/litters/{litter}/births");
    let helper = kennel.helper().await;
    let born = |seconds: i64, fields: Value| {
        let mut body =
            json!({ "born_at": time_ago(Duration::seconds(seconds)), "outcome": "alive" });
        body.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
        body
    };
    kennel.post(&births, born(600, json!({ "sex": "male", "weight_g": 410 }))).await.created();
    let asked = helper.post(&births, born(570, json!({ "sex": "male" }))).await.problem(409);
    let detail = asked["detail"].as_str().unwrap();
    assert!(detail.contains("pup 1") && detail.contains("\"ordinal\": 2"), "{detail}");
    // A pup that something tells apart is another one, and so is one that is said to be.
    helper.post(&births, born(570, json!({ "sex": "female" }))).await.created();
    let said = born(560, json!({ "sex": "male", "ordinal": 3 }));
    assert_eq!(helper.post(&births, said).await.created()["ordinal"], 3);
    // Who writes two pups down knows that they are two.
    let again = born(500, json!({ "sex": "female" }));
    assert_eq!(helper.post(&births, again).await.created()["ordinal"], 4);
}

#[tokio::test]
async fn collars_are_the_kennels_own() {
    let kennel = Kennel::among_others().await;
    let (litter, _) = expected_litter(&kennel).await;
    let status = format!("/litters/{litter}/whelping/status");
    assert_eq!(kennel.get(&status).await.ok()["next_collar"], "red");
    kennel.change("", json!({ "collars": ["lime", "Lime"] })).await.refused(&["/collars/1"]);
    let changed = kennel.change("", json!({ "collars": ["lime", "sky"] })).await.ok();
    assert_eq!(changed["collars"], json!(["lime", "sky"]));
    assert_eq!(kennel.get(&status).await.ok()["next_collar"], "lime");
    kennel.birth(litter, 1, json!({ "collar": "Lime" })).await;
    assert_eq!(kennel.get(&status).await.ok()["next_collar"], "sky");
}

#[tokio::test]
async fn the_vitality_of_a_newborn_is_scored() {
    let kennel = Kennel::among_others().await;
    let (litter, _) = expected_litter(&kennel).await;
    let signs = json!({
        "heart_per_min": 180, "breath_per_min": 15, "cry": "weak", "reflex": "grimace",
        "motility": "some_flexion", "gums": "pale",
    });
    let fields = json!({ "vitality": signs, "vitality_minutes": 5, "resuscitation_minutes": 3 });
    let birth = kennel.birth(litter, 1, fields).await;
    assert_eq!(
        (&birth["vitality"]["gums"], &birth["resuscitation_minutes"]),
        (&json!("pale"), &json!(3))
    );
    kennel.birth(litter, 0, json!({})).await;
    let status = kennel.get(&format!("/litters/{litter}/whelping/status")).await.ok();
    let [first, second] = status["pups"].as_array().unwrap().as_slice() else { panic!("{status}") };
    // Veronesi et al. 2009: one point for each of five signs in the middle; 4 to 6 is moderate distress.
    assert_eq!(first["vitality"]["points"], 5);
    assert_eq!(first["vitality"]["class"], "moderate_distress");
    assert!(second["vitality"].is_null());
}

#[tokio::test]
async fn the_dam_is_watched_after_birth() {
    let kennel = Kennel::among_others().await;
    let (litter, dam) = expected_litter(&kennel).await;
    let health = format!("/litters/{litter}/dam-health");
    kennel.get(&health).await.refused(&["#path/litter_id"]);
    kennel.birth(litter, 30, json!({})).await;
    let checks = format!("/litters/{litter}/dam-checks");
    let check =
        json!({ "checked_at": time_ago(Duration::hours(2)), "eats": true, "signs": ["tremor"] });
    kennel.post(&checks, check).await.created();
    let taken = json!({ "measured_at": time_ago(Duration::hours(1)), "temperature_c": 40.2 });
    kennel.post(&format!("/dogs/{dam}/temperatures"), taken).await.created();
    let told = kennel.get(&health).await.ok();
    assert_eq!((&told["days_after_birth"], &told["last_temperature_c"]), (&json!(1), &json!(40.2)));
    let grave: Vec<_> =
        told["cautions"].as_array().unwrap().iter().filter(|c| c["level"] == "emergency").collect();
    assert!(grave.iter().any(|c| c["what"].as_str().unwrap().contains("low calcium")), "{told}");
    kennel
        .post(&checks, json!({ "checked_at": time_ago(Duration::hours(-1)) }))
        .await
        .refused(&["/checked_at"]);
}

#[tokio::test]
async fn the_sheet_is_blank_before_and_filled_after() {
    let kennel = Kennel::among_others().await;
    let (litter, _) = expected_litter(&kennel).await;
    let path = format!("/litters/{litter}/whelping-sheet.pdf");
    let text = async || {
        let pdf = kennel.get(&path).await.expect(200);
        assert_eq!(pdf.header("content-type"), "application/pdf");
        pdf_extract::extract_text_from_mem(&pdf.bytes).unwrap()
    };
    let blank = text().await;
    assert!(blank.contains("Juno") && blank.contains("4 to 5") && blank.contains("When to call"));
    log(&kennel, litter, 90, json!({ "kind": "given", "remedy": "honey water" })).await;
    let of_a_pup = json!({ "kind": "given", "remedy": "glucose", "given_to": "pup", "ordinal": 2 });
    log(&kennel, litter, 80, of_a_pup).await;
    log(&kennel, litter, 70, json!({ "kind": "given", "remedy": "water", "given_to": "dam" }))
        .await;
    for number in 0..5 {
        let fields = json!({ "collar": format!("band{number}"), "weight_g": 401 + number });
        kennel.birth(litter, 1, fields).await;
    }
    log(&kennel, litter, 0, json!({ "kind": "finished" })).await;
    let filled = text().await;
    for number in 0..5 {
        assert!(filled.contains(&format!("band{number}")), "{filled}");
        assert!(filled.contains(&(401 + number).to_string()));
    }
    assert!(filled.contains("given to pup 2 glucose") && filled.contains("given to the dam water"));
    assert!(filled.contains("given honey water") && !filled.contains("When to call"));
    kennel.get(&format!("{path}?format=letter")).await.expect(200);
    kennel.another().await.get(&path).await.problem(404);
}
