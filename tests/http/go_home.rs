//! What is due, what is given, and when a pup may go.

use crate::common::*;
use chrono::{Duration, NaiveDate};

/// A litter of this age with the kennel's room noted.
async fn litter_in_a_room(kennel: &Kennel, pups: usize, days_old: i64) -> (Uuid, Vec<Uuid>) {
    let (litter, pups) = kennel.born_litter(pups, days_old).await;
    let place = kennel
        .post("/places", json!({ "name": "whelping room", "kind": "whelping_room" }))
        .await
        .id();
    kennel.change(&format!("/litters/{litter}"), json!({ "place_id": place })).await.ok();
    (litter, pups)
}

fn check<'a>(readiness: &'a Value, rule: &str) -> &'a Value {
    let checks = readiness["checks"].as_array().unwrap();
    checks.iter().find(|check| check["rule"] == rule).unwrap()
}

fn steps_of(due: &Value, dog: Uuid) -> Vec<(String, String)> {
    let stops = due.get("items").unwrap_or(&due["stops"]).as_array().unwrap();
    let dogs = stops.iter().flat_map(|stop| stop["dogs"].as_array().unwrap());
    let own = dogs.filter(|of| of["dog_id"] == json!(dog));
    own.flat_map(|of| of["steps"].as_array().unwrap())
        .map(|step| {
            (step["step"].as_str().unwrap().into(), step["status"].as_str().unwrap().into())
        })
        .collect()
}

/// First worming of pups at 14 days, then every 14 (ESCCAP guideline GL1); the dam with the first.
#[tokio::test]
async fn a_litter_of_two_weeks_is_due_for_worming_with_its_dam() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = litter_in_a_room(&kennel, 2, 14).await;
    let due = kennel.get("/due").await.ok();
    assert_eq!(items(&due).len(), 1);
    let stop = &due["items"][0];
    assert_eq!(stop["place"], "whelping room");
    assert_eq!(stop["dogs"].as_array().unwrap().len(), 3, "{stop}");
    assert_eq!(stop["dogs"][0]["ordinal"], json!(null), "the dam comes first");
    for pup in &pups {
        assert_eq!(steps_of(&due, *pup), [("worming-first".to_owned(), "due".to_owned())]);
    }

    // One request for the whole litter; an hour later the walk passes it by.
    let given = json!({
        "dog_ids": pups, "kind": "worming", "given_at": time_ago(Duration::minutes(1)),
        "product": "wormer paste", "batch": "B2291",
    });
    kennel.post("/health-events", given.clone()).await.created();
    let due = kennel.get(&format!("/due?litter_id={litter}")).await.ok();
    assert_eq!(steps_of(&due, pups[0]), []);
    let schedule = kennel.get(&format!("/dogs/{}/schedule", pups[0])).await.ok();
    let next = schedule["steps"].as_array().unwrap().iter().find(|step| step["status"] != "done");
    assert_eq!(next.unwrap()["ideal_on"], json!(days_ago(-14)));
}

#[tokio::test]
async fn a_dose_given_too_early_is_not_counted_and_says_so() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = litter_in_a_room(&kennel, 1, 14).await;
    let early = json!({ "dog_id": pups[0], "kind": "vaccination", "given_at": time_ago(Duration::days(1)) });
    kennel.post("/health-events", early).await.created();
    let due = kennel.get("/due").await.ok();
    let caution = &due["cautions"][0];
    assert_eq!(caution["dog_id"], json!(pups[0]));
    assert!(caution["cautions"][0]["what"].as_str().unwrap().contains("not counted"), "{due}");
    let before_birth =
        json!({ "dog_id": pups[0], "kind": "worming", "given_at": time_ago(Duration::days(40)) });
    kennel.post("/health-events", before_birth).await.refused(&["/given_at"]);
}

#[tokio::test]
async fn a_change_of_a_plan_makes_a_version_and_rewrites_nothing() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = litter_in_a_room(&kennel, 1, 20).await;
    let standard = kennel.get("/health-plans/standard").await.ok();
    let plans = standard["items"].as_array().unwrap();
    let mut plan = plans.iter().find(|plan| plan["key"] == "pup-worming").unwrap().clone();
    plan["steps"][0]["ideal_days"] = json!(16);
    plan["steps"][0]["source"] = json!("our veterinarian");
    let id = kennel.post("/health-plans", plan.clone()).await.id();
    kennel.post("/health-plans", plan).await.problem(409);
    kennel.change(&format!("/health-plans/{id}"), json!({ "name": "Ours" })).await.ok();
    let versions = kennel.get(&format!("/health-plans/{id}/versions")).await.ok();
    let numbers: Vec<&Value> = items(&versions).iter().map(|version| &version["number"]).collect();
    assert_eq!(numbers, [1, 2]);
    assert_ne!(versions["items"][0]["plan"]["name"], "Ours");

    // Born before the plan was made: the litter keeps the standard one until it is applied.
    let first = async || {
        let schedule = kennel.get(&format!("/dogs/{}/schedule", pups[0])).await.ok();
        let steps = schedule["steps"].as_array().unwrap().clone();
        let step = steps.into_iter().find(|step| step["step"] == "worming-first").unwrap();
        step["ideal_on"].as_str().unwrap().parse::<NaiveDate>().unwrap()
    };
    assert_eq!(first().await, days_ago(6));
    let path = format!("/litters/{litter}/health-plans");
    kennel.post(&path, json!({ "plan_key": "no-plan" })).await.refused(&["/plan_key"]);
    let applied = kennel.post(&path, json!({ "plan_key": "pup-worming" })).await.created();
    assert_eq!(applied["plan_version"], 2);
    assert_eq!(first().await, days_ago(4));
    // What is deleted later was in force all the same.
    kennel.remove(&format!("/health-plans/{id}")).await.no_content();
    assert_eq!(first().await, days_ago(4));
}

#[tokio::test]
async fn a_pup_that_is_not_ready_is_not_handed_over() {
    let kennel = Kennel::among_others().await;
    kennel.change("", json!({ "jurisdiction": "CH" })).await.ok();
    let (litter, pups) = litter_in_a_room(&kennel, 2, 40).await;
    let pup = pups[0];
    let buyer = kennel.buyer("Ottilie").await;
    let reservation = Kennel::reservation(pup, buyer);
    let placement = format!("/placements/{}", kennel.post("/placements", reservation).await.id());
    let readiness = kennel.get(&format!("/dogs/{pup}/readiness")).await.ok();
    assert_eq!(readiness["ready"], false);
    // 56 completed days (TSchV Art. 70(4)), counted from the day of birth on.
    assert_eq!(check(&readiness, "minimum_age")["met_on"], json!(days_ago(-16)));
    assert_eq!(check(&readiness, "balance_paid")["result"], "unmet");
    for check in readiness["checks"].as_array().unwrap() {
        assert!(!check["source"].as_str().unwrap().is_empty(), "{check}");
    }
    let of_litter = kennel.get(&format!("/litters/{litter}/readiness")).await.ok();
    assert_eq!(of_litter["pups"].as_array().unwrap().len(), 2);
    // The day on which all meet a rule; while nobody can say it for one, there is none for all.
    assert_eq!(check(&of_litter, "minimum_age")["met_on"], json!(days_ago(-16)));
    assert_eq!((&of_litter["ready"], &of_litter["ready_on"]), (&json!(false), &json!(null)));

    let hand_over = json!({ "stage": "handed_over" });
    let problem = kennel.change(&placement, hand_over.clone()).await.problem(422);
    let told = problem["errors"].to_string();
    for rule in ["minimum_age", "weaned", "paperwork", "balance_paid"] {
        assert!(told.contains(rule), "{rule} in {told}");
    }
    assert_eq!(kennel.get(&placement).await.ok()["stage"], "reserved");

    // Only an owner sets a rule aside, with a reason, and it stays to be seen.
    let path = format!("/dogs/{pup}/readiness-overrides");
    let set_aside =
        json!({ "rule": "minimum_age", "reason": "The veterinarian's letter of Monday." });
    kennel.helper().await.post(&path, set_aside.clone()).await.problem(403);
    kennel
        .post(&path, json!({ "rule": "minimum_age", "reason": "so" }))
        .await
        .refused(&["/reason"]);
    let kept = kennel.post(&path, set_aside).await.created();
    assert!(kept["decided_by"].is_string() && kept["decided_on"] == json!(days_ago(0)));
    kennel.change(&placement, hand_over.clone()).await.problem(422);
    kennel.set_aside_all(pup).await;
    let gone = kennel.change(&placement, hand_over).await.ok();
    assert_eq!(gone["handed_over_on"], json!(days_ago(0)));
    assert_eq!(kennel.get(&format!("/dogs/{pup}")).await.ok()["residence"], "elsewhere");
    let of_litter = kennel.get(&format!("/litters/{litter}/readiness")).await.ok();
    assert_eq!(of_litter["pups"].as_array().unwrap().len(), 1);

    // It comes back: the placement before is ended, and it lives here again.
    let comes_back = json!({ "dog_id": pup, "kind": "return", "stage": "handed_over" });
    kennel.post("/placements", comes_back).await.created();
    assert_eq!(kennel.get(&placement).await.ok()["stage"], "returned");
    assert_eq!(kennel.get(&format!("/dogs/{pup}")).await.ok()["residence"], "here");
}

/// Within the European Union: rabies vaccination from 12 weeks, 21 days to wait, so from 15 weeks (105 days)
/// on (Delegated Regulation (EU) 2020/688).
#[tokio::test]
async fn a_pup_that_is_promised_abroad_waits_for_the_border() {
    let kennel = Kennel::among_others().await;
    kennel.change("", json!({ "jurisdiction": "DE" })).await.ok();
    let (litter, pups) = litter_in_a_room(&kennel, 2, 60).await;
    let (pup, buyer) = (pups[0], kennel.buyer("Ottilie").await);
    let mut reservation = Kennel::reservation(pup, buyer);
    reservation["country"] = json!("UK");
    kennel.post("/placements", reservation.clone()).await.refused(&["/country"]);
    reservation["country"] = json!("FR");
    let placement = format!("/placements/{}", kennel.post("/placements", reservation).await.id());
    let path = format!("/dogs/{pup}/readiness");
    let readiness = kennel.get(&path).await.ok();
    let border = check(&readiness, "border");
    assert_eq!(
        (&border["result"], &border["met_on"]),
        (&json!("unmet"), &json!(days_ago(60 - 105)))
    );
    assert_eq!(border["checked_on"], "2026-11-29");
    let codes = |answer: &Value| {
        let told = answer["cautions"].as_array().unwrap().iter();
        told.map(|caution| caution["code"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    assert!(codes(&readiness).contains(&"go_home.border".to_owned()));
    let of_litter = kennel.get(&format!("/litters/{litter}/readiness")).await.ok();
    assert_eq!(check(&of_litter, "border")["met_on"], json!(days_ago(60 - 105)));

    // It stays in the country: no border is left. Then it is to go at once, abroad all the same.
    kennel.change(&placement, json!({ "country": null })).await.ok();
    let at_home = kennel.get(&path).await.ok();
    assert!(at_home["checks"].as_array().unwrap().iter().all(|check| check["rule"] != "border"));
    assert!(!codes(&at_home).contains(&"go_home.border".to_owned()));
    let abroad = json!({ "stage": "handed_over", "country": "AT" });
    let problem = kennel.change(&placement, abroad).await.problem(422);
    assert!(problem["errors"].to_string().contains("border"), "{problem}");
    let at_home = kennel.change(&placement, json!({ "stage": "handed_over" })).await.problem(422);
    assert!(!at_home["errors"].to_string().contains("border"), "{at_home}");
}

/// A kennel is told what of its law was read, and that what was not found may be there all the same.
#[tokio::test]
async fn a_kennel_is_told_of_its_law() {
    let kennel = Kennel::among_others().await;
    kennel.change("", json!({ "jurisdiction": "GB-SCT" })).await.ok();
    let of = |answer: &Value, code: &str| {
        let mut told = answer["cautions"].as_array().unwrap().iter();
        told.find(|caution| caution["code"] == code).cloned()
    };
    let rules = kennel.get("/rules/readiness").await.ok();
    let missing = of(&rules, "law.not_found").unwrap();
    assert!(missing["why"].as_str().unwrap().contains("2026-11-29"), "{missing}");
    let rows = rules["in_force"]["rules"].as_array().unwrap();
    let chip = rows.iter().find(|row| row["rule"] == "microchip").unwrap();
    assert_eq!(
        (&chip["confirmation"], &chip["checked_on"]),
        (&json!("verified"), &json!("2026-11-29"))
    );
    let sets = kennel.get("/rules/breeding-sets").await.ok();
    assert_eq!(of(&sets, "law.not_found"), None);
    let law = items(&sets).iter().find(|set| set["jurisdiction"] == "GB-SCT").unwrap();
    assert_eq!(law["limits"][0]["checked_on"], "2026-11-29");
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let pair = json!({ "dams": [dam], "sires": [sire] });
    let plan = kennel.post("/mating-plans", pair).await.ok();
    assert!(plan["grid"]["law"].as_str().unwrap().contains("scotland_2021"), "{plan}");
    let planner = kennel.get("/planner").await.ok();
    assert!(planner["limits_note"].as_str().unwrap().contains("scotland_2021"), "{planner}");
    kennel.change("", json!({ "jurisdiction": "DE" })).await.ok();
    let sets = kennel.get("/rules/breeding-sets").await.ok();
    let missing = of(&sets, "law.not_found").unwrap();
    assert!(missing["what"].as_str().unwrap().contains("Germany"), "{missing}");
}

#[tokio::test]
async fn a_helper_learns_whether_something_is_owed_but_not_how_much() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(1, 40).await;
    let buyer = kennel.buyer("Ottilie").await;
    kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.created();
    let path = format!("/dogs/{}/readiness", pups[0]);
    let owed = |readiness: &Value| check(readiness, "balance_paid")["detail"].to_string();
    assert!(owed(&kennel.get(&path).await.ok()).contains("1800.00 EUR"));
    let seen = kennel.helper().await.get(&path).await.ok();
    assert_eq!(check(&seen, "balance_paid")["result"], "unmet");
    assert!(!owed(&seen).contains("1800"), "{seen}");
}

#[tokio::test]
async fn a_kennel_asks_more_than_the_law_and_never_less() {
    let kennel = Kennel::among_others().await;
    kennel.change("", json!({ "jurisdiction": "CH" })).await.ok();
    let put = async |etag: &str, body: Value| {
        let request = kennel.owner().request(reqwest::Method::PUT, "/rules/readiness");
        request.header("If-Match", etag).json(&body).send().await
    };
    assert!(kennel.get("/rules/readiness").await.expect(200).etag().starts_with("\"0-"));
    put("\"0\"", json!({ "minimum_age_weeks": 7 })).await.refused(&["/minimum_age_weeks"]);
    let set = put("\"0\"", json!({ "minimum_age_weeks": 9, "minimum_weight_g": 5000 })).await;
    assert_eq!(set.expect(200).etag(), "\"1\"");
    put("\"0\"", json!({})).await.problem(412);
    let (_, pups) = kennel.born_litter(1, 20).await;
    let readiness = kennel.get(&format!("/dogs/{}/readiness", pups[0])).await.ok();
    assert_eq!(check(&readiness, "minimum_age")["met_on"], json!(days_ago(20 - 63)));
    assert_eq!(check(&readiness, "weight_reached")["result"], "unmet");
}

#[tokio::test]
async fn chips_are_read_in_bulk_checked_and_set() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(2, 30).await;
    let read = async |text: &str, set: bool| {
        kennel
            .post("/microchips/read", json!({ "text": text, "litter_id": litter, "set": set }))
            .await
    };
    // 999 is for tests, and the individual part has 38 bits (ISO 11784).
    read("1,999098100123456\n2,276999999999999", false).await.refused(&["#line/1", "#line/2"]);
    let seen = read("1;276098100123456\n\n2\t276098100123457", true).await.ok();
    assert_eq!(seen["items"][0]["matched_dog_id"], json!(pups[0]));
    assert_eq!(seen["items"][1]["chip"]["country"], "Germany");
    let dog = kennel.get(&format!("/dogs/{}", pups[1])).await.ok();
    assert_eq!(dog["chip_number"], "276098100123457");
    let events =
        kennel.get(&format!("/health-events?dog_id={}&kind=microchip", pups[0])).await.ok();
    assert_eq!(items(&events).len(), 1);
    read("2,276098100123456", true).await.refused(&["#line/1"]);
}

#[tokio::test]
async fn a_chip_is_matched_by_collar_names_or_number_and_asked_about_when_it_may_be_several() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(3, 30).await;
    let births = kennel.get(&format!("/litters/{litter}/births")).await.ok();
    let collars = items(&births).iter().zip(["red", "blue", "green"]);
    for (birth, collar) in collars {
        let path = format!("/litters/{litter}/births/{}", id(birth));
        kennel.change(&path, json!({ "collar": collar })).await.ok();
    }
    let named = [
        ("Heron", "Harebell of Thornwick"),
        ("Hazel", "Hawthorn of Thornwick"),
        ("Blue", "Hyssop"),
    ];
    for (pup, (call_name, name)) in pups.iter().zip(named) {
        kennel
            .change(&format!("/dogs/{pup}"), json!({ "call_name": call_name, "name": name }))
            .await
            .ok();
    }
    let read = async |label: &str, set: bool| {
        let text = format!("{label},276098100123456");
        let body = json!({ "text": text, "litter_id": litter, "set": set });
        kennel.post("/microchips/read", body).await
    };
    let by_each = [
        ("red", 0),
        ("RED collar", 0),
        ("heron", 0),
        ("Harebell of Thornwick", 0),
        ("1", 0),
        ("hazel", 1),
        ("blue collar", 1),
        ("Hyssop", 2),
    ];
    for (label, pup) in by_each {
        let item = read(label, false).await.ok()["items"][0].clone();
        assert_eq!(item["matched_dog_id"], json!(pups[pup]), "{label}");
        assert_eq!(item["candidates"], json!([]), "{label}");
    }
    // The collar of one is the call name of another.
    let item = read("blue", false).await.ok()["items"][0].clone();
    assert_eq!(
        (&item["matched_dog_id"], &item["candidates"]),
        (&Value::Null, &json!([pups[1], pups[2]]))
    );
    let asked = read("blue", true).await;
    assert!(
        asked.text().contains("names 2 pups of the litter; give the number"),
        "{}",
        asked.text()
    );
    asked.refused(&["#line/1"]);
    read("purple", true).await.refused(&["#line/1"]);
    read("3", true).await.ok();
    assert_eq!(
        kennel.get(&format!("/dogs/{}", pups[2])).await.ok()["chip_number"],
        "276098100123456"
    );
}

#[tokio::test]
async fn who_has_left_the_list_waits_no_more_and_is_found_still() {
    let kennel = Kennel::among_others().await;
    let (litter, _) = kennel.born_litter(1, 30).await;
    let buyer = kennel.buyer("Ottilie").await;
    let path = format!("/buyers/{buyer}");
    let waits = async || {
        let listed = ids(&kennel.get("/buyers?waiting=true").await.ok()) == [buyer];
        let others = ids(&kennel.get("/buyers?waiting=false").await.ok()) == [buyer];
        assert_ne!(listed, others);
        let proposed =
            kennel.post(&format!("/litters/{litter}/placement-proposal"), json!({})).await.ok();
        assert_eq!(proposed.to_string().contains(&buyer.to_string()), listed, "{proposed}");
        let demand = kennel.get("/planner").await.ok()["demand"].to_string();
        assert_eq!(demand.contains(&buyer.to_string()), listed, "{demand}");
        assert_eq!(ids(&kennel.get("/buyers").await.ok()), [buyer]);
        listed
    };
    assert!(waits().await);
    for (left_on, still) in [(days_ago(-1), true), (days_ago(0), false), (days_ago(1), false)] {
        let left = json!({ "left_on": left_on, "note": "took a pup elsewhere" });
        let left = kennel.change(&path, left).await.ok();
        assert_eq!(left["note"], "took a pup elsewhere");
        assert_eq!(waits().await, still, "{left_on}");
    }
    kennel.change(&path, json!({ "left_on": null })).await.ok();
    assert!(waits().await);
    // Nobody leaves before they came.
    let etag = kennel.get(&path).await.etag();
    kennel.patch(&path, &etag, json!({ "left_on": days_ago(31) })).await.refused(&["/left_on"]);
    kennel.patch(&path, &etag, json!({ "left_on": days_ago(30) })).await.expect(200);
    // Whose data were erased waits for nothing either.
    kennel.change(&path, json!({ "left_on": null })).await.ok();
    kennel.post(&format!("{path}/erasure"), json!({})).await.ok();
    assert!(ids(&kennel.get("/buyers?waiting=true").await.ok()).is_empty());
}

#[tokio::test]
async fn a_proposal_honours_order_and_wishes_and_writes_nothing() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(2, 40).await;
    let buyer = async |name: &str, joined: i64, wishes: Value| {
        let buyer = json!({ "name": name, "joined_on": days_ago(joined), "wishes": wishes });
        kennel.post("/buyers", buyer).await.id()
    };
    let last = buyer("Last", 10, json!({})).await;
    let first = buyer("First", 100, json!({ "purpose": "sport", "must": ["purpose"] })).await;
    let set_first = buyer("Set first", 5, json!({})).await;
    kennel.change(&format!("/buyers/{set_first}"), json!({ "waiting_order": 1 })).await.ok();
    let path = format!("/litters/{litter}/placement-proposal");
    let question = json!({ "suited_for": [{ "dog_id": pups[1], "purposes": ["Sport"] }] });
    let proposal = kennel.post(&path, question).await.ok();
    let pairs: Vec<(Value, Value)> = proposal["pairs"]
        .as_array()
        .unwrap()
        .iter()
        .map(|pair| (pair["buyer_id"].clone(), pair["dog_id"].clone()))
        .collect();
    assert_eq!(pairs, [(json!(set_first), json!(pups[0])), (json!(first), json!(pups[1]))]);
    assert_eq!(proposal["unplaced"][0]["buyer_id"], json!(last));
    assert!(!proposal["pairs"][0]["reason"].as_str().unwrap().is_empty());
    assert_eq!(items(&kennel.get("/placements").await.ok()).len(), 0);
    kennel.viewer().await.post(&path, json!({})).await.problem(403);
}

#[tokio::test]
async fn a_reservation_runs_out_and_the_pup_is_free_again() {
    let kennel = Kennel::new().await;
    let (_, pups) = kennel.born_litter(1, 40).await;
    let buyer = kennel.buyer("Ottilie").await;
    let held = kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.created();
    assert_eq!(held["reservation_ends_on"], json!(days_ago(-14)));
    let mut over = Kennel::reservation(pups[0], buyer);
    over["reservation_ends_on"] = json!(days_ago(1));
    kennel.post("/placements", over).await.refused(&["/reservation_ends_on"]);
    let sql = kennel.sql().await;
    sql.batch_execute("UPDATE placements SET reserved_until = current_date - 2").await.unwrap();
    kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.created();
    let path = format!("/placements/{}", held["id"].as_str().unwrap());
    assert_eq!(kennel.get(&path).await.ok()["stage"], "lapsed");
}

/// Nobody needs to write anything: whoever reads finds the promise ended, and nobody has done it.
#[tokio::test]
async fn a_reservation_that_is_over_is_read_as_lapsed_at_once() {
    let kennel = Kennel::new().await;
    let (_, pups) = kennel.born_litter(3, 40).await;
    let buyer = kennel.buyer("Ottilie").await;
    let mut paths = Vec::new();
    for pup in &pups {
        let id = kennel.post("/placements", Kennel::reservation(*pup, buyer)).await.id();
        paths.push(format!("/placements/{id}"));
    }
    kennel.change(&paths[2], json!({ "stage": "confirmed" })).await.ok();
    let balance = format!("/dogs/{}/readiness", pups[0]);
    assert_eq!(check(&kennel.get(&balance).await.ok(), "balance_paid")["result"], "unmet");
    let sql = kennel.sql().await;
    let last = paths[1].rsplit('/').next().unwrap();
    let over = "UPDATE placements SET reserved_until = current_date - 2 WHERE id <>";
    sql.batch_execute(&format!("{over} '{last}'")).await.unwrap();

    let viewer = kennel.viewer().await;
    let seen = viewer.get("/placements").await.ok();
    let stages: Vec<&Value> = items(&seen).iter().map(|placement| &placement["stage"]).collect();
    assert_eq!(stages, ["lapsed", "reserved", "confirmed"]);
    assert_ne!(check(&kennel.get(&balance).await.ok(), "balance_paid")["result"], "unmet");
    let changes = kennel.get("/changes?limit=500").await.ok();
    let lapsed = items(&changes).iter().rfind(|change| change["after"]["stage"] == "lapsed");
    assert_eq!(lapsed.unwrap()["person_id"], json!(null), "it was nobody's doing");
    // Who reads next does not write again.
    let count = items(&changes).len();
    assert_eq!(items(&kennel.get("/changes?limit=500").await.ok()).len(), count);
}

/// Core vaccination of the adult: not more often than every three years (WSAVA congress 2017).
#[tokio::test]
async fn grown_dogs_are_on_the_walk_for_what_is_repeated_for_life() {
    let kennel = Kennel::new().await;
    let (juno, alma) = (kennel.dam("Juno").await, kennel.dam("Alma").await);
    let elsewhere = kennel.sire("Castor").await;
    let booster = |dog: Uuid, days: i64| json!({ "dog_id": dog, "kind": "vaccination", "given_at": time_ago(Duration::days(days)) });
    for (dog, days) in [(juno, 1_100), (juno, 1_400), (alma, 400), (elsewhere, 1_300)] {
        kennel.post("/health-events", booster(dog, days)).await.created();
    }
    let due = kennel.get("/due").await.ok();
    assert_eq!(steps_of(&due, juno), [("core-adult".to_owned(), "due".to_owned())]);
    assert_eq!(steps_of(&due, alma), []);
    assert_eq!(steps_of(&due, elsewhere), []);
    assert_eq!((&due["items"][0]["litter_id"], &due["cautions"]), (&json!(null), &json!([])));
    let on_the_wall = kennel.get("/today").await.ok();
    assert_eq!(steps_of(&on_the_wall["due"], juno).len(), 1);
    let schedule = kennel.get(&format!("/dogs/{alma}/schedule")).await.ok();
    let open = schedule["steps"].as_array().unwrap().iter().find(|step| step["status"] != "done");
    assert_eq!(open.unwrap()["ideal_on"], json!(days_ago(400 - 1_095)));
    kennel.post("/health-events", booster(juno, 0)).await.created();
    assert_eq!(steps_of(&kennel.get("/due").await.ok(), juno), []);
    // A dam of a litter is due for her own besides what she is due for with it.
    let litter = kennel.litter(alma, elsewhere).await;
    kennel.birth(litter, 24 * 14, json!({})).await;
    let sql = kennel.sql().await;
    let older = "UPDATE health_events SET given_at = given_at - interval '800 days' WHERE dog_id =";
    sql.batch_execute(&format!("{older} '{alma}'")).await.unwrap();
    let steps = steps_of(&kennel.get("/due").await.ok(), alma);
    let expected = [("core-adult", "late"), ("dam-with-first-worming", "due")];
    assert_eq!(steps, expected.map(|(step, state)| (step.to_owned(), state.to_owned())));
}
