//! Knowing when: due windows, heats, the planner, preparation, tasks, the calendar.

use crate::common::*;
use chrono::{Duration, NaiveDate};

/// A dam with a heat read by progesterone, mated 59 days ago, and her litter.
async fn expecting(kennel: &Kennel) -> (uuid::Uuid, uuid::Uuid, uuid::Uuid) {
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let heat = kennel.heat(dam, 72).await;
    for (ago, value) in [(66, 0.6), (64, 1.1), (62, 2.4), (60, 5.9), (58, 14.0)] {
        let reading = json!({
            "kind": "progesterone", "taken_at": time_ago(Duration::days(ago)), "value": value,
            "unit": "ng_per_ml",
        });
        kennel.post(&format!("/heats/{heat}/readings"), reading).await.created();
    }
    let mating = json!({
        "dam_id": dam, "sire_id": sire, "heat_id": heat, "status": "done", "method": "natural",
        "ties": [{ "happened_at": time_ago(Duration::days(59)) }],
    });
    let mating = kennel.post("/matings", mating).await.id();
    let litter = json!({ "dam_id": dam, "sire_id": sire, "mating_id": mating });
    (dam, mating, kennel.post("/litters", litter).await.id())
}

async fn put(kennel: &Kennel, path: &str, etag: &str, body: serde_json::Value) -> Answer {
    kennel.request(reqwest::Method::PUT, path).header("If-Match", etag).json(&body).send().await
}

fn day(value: &serde_json::Value) -> NaiveDate {
    value.as_str().unwrap().parse().unwrap()
}

#[tokio::test]
async fn a_due_window_narrows_with_evidence_and_names_what_does_not_agree() {
    let kennel = Kennel::among_others().await;
    let (_, mating, litter) = expecting(&kennel).await;
    let path = format!("/litters/{litter}/due-window");
    let window = kennel.get(&path).await.ok();
    let kinds: Vec<&str> = window["evidence"]
        .as_array()
        .unwrap()
        .iter()
        .map(|e| e["kind"].as_str().unwrap())
        .collect();
    assert_eq!(kinds, ["progesterone_rise", "ovulation", "matings"]);
    assert_eq!(window["counted_from"], "ovulation");
    let (earliest, likely, latest) =
        (day(&window["earliest_on"]), day(&window["likely_on"]), day(&window["latest_on"]));
    assert!(earliest <= likely && likely <= latest && (latest - earliest).num_days() <= 6);
    // Ovulation was between the samples of 5.9 and 14 ng/mL at the latest: day 58 to 62.
    assert!((58..=62).contains(&window["day_of_pregnancy"].as_i64().unwrap()), "{window}");

    // A vet's forecast of a fortnight later cannot be right beside it.
    let check = json!({
        "checked_at": time_ago(Duration::days(20)), "method": "ultrasound", "result": "pregnant",
        "count_at_least": 5, "due_on": days_ago(-16),
    });
    kennel.post(&format!("/matings/{mating}/pregnancy-checks"), check).await.created();
    let window = kennel.get(&path).await.ok();
    assert!(!window["conflicts"].as_array().unwrap().is_empty(), "{window}");
    let pups = kennel.get(&format!("/litters/{litter}/expected-pups")).await.ok();
    assert!(pups["forecast"]["likely"].as_i64().unwrap() >= 5);
}

#[tokio::test]
async fn a_litter_without_dates_says_what_it_lacks() {
    let kennel = Kennel::among_others().await;
    let litter = kennel.litter(kennel.dam("Juno").await, kennel.sire("Castor").await).await;
    let window = kennel.get(&format!("/litters/{litter}/due-window")).await.ok();
    assert!(window["likely_on"].is_null() && window["day_of_pregnancy"].is_null());
    assert!(window["lacking"][0].as_str().unwrap().contains("record its mating"));
}

#[tokio::test]
async fn a_born_litter_keeps_what_was_foretold() {
    let kennel = Kennel::among_others().await;
    let (_, _, litter) = expecting(&kennel).await;
    kennel.birth(litter, 2, json!({ "weight_g": 400 })).await;
    let window = kennel.get(&format!("/litters/{litter}/due-window")).await.ok();
    assert!(window["whelped_on"].is_string() && window["likely_on"].is_string());
    assert!(window["day_of_pregnancy"].is_null());
    assert!((57..=63).contains(&window["length_days"].as_i64().unwrap()), "{window}");
}

#[tokio::test]
async fn the_temperature_foretells_labour() {
    let kennel = Kennel::among_others().await;
    let (dam, _, litter) = expecting(&kennel).await;
    for hours in 1..=10_i64 {
        let temperature_c = if hours <= 2 { 37.0 } else { 38.2 };
        let reading = json!({
            "measured_at": time_ago(Duration::hours(hours * 10)), "temperature_c": temperature_c,
        });
        kennel.post(&format!("/dogs/{dam}/temperatures"), reading).await.created();
    }
    let found = kennel.get(&format!("/litters/{litter}/temperature")).await.ok();
    assert_eq!(found["assessment"]["status"], "fall", "{found}");
    let window = kennel.get(&format!("/litters/{litter}/due-window")).await.ok();
    let kinds = window["evidence"].to_string();
    assert!(kinds.contains("temperature_fall"), "{kinds}");
}

/// 99.1 °F are 37.28 °C.
#[tokio::test]
async fn a_temperature_is_taken_in_either_unit() {
    let kennel = Kennel::among_others().await;
    let path = format!("/dogs/{}/temperatures", kennel.dam("Juno").await);
    let at = time_ago(Duration::hours(2));
    let sent = json!({ "measured_at": at, "temperature_f": 99.1 });
    let kept = kennel.post(&path, sent).await.created();
    assert_eq!(kept["temperature_c"], 37.28);
    assert!(kept.get("temperature_f").is_none(), "{kept}");
    let one = format!("{path}/{}", kept["id"].as_str().unwrap());
    let corrected = json!({ "temperature_c": null, "temperature_f": 98.6 });
    assert_eq!(kennel.change(&one, corrected).await.ok()["temperature_c"], 37.0);
    let both = json!({ "measured_at": at, "temperature_c": 37.0, "temperature_f": 98.6 });
    kennel.post(&path, both).await.refused(&["/temperature_f"]);
    kennel.post(&path, json!({ "measured_at": at })).await.refused(&["/temperature_c"]);
    let hot = json!({ "measured_at": at, "temperature_f": 113.1 });
    kennel.post(&path, hot).await.refused(&["/temperature_f"]);
    let tried = json!({ "temperature_f": 100.4 });
    assert_eq!(kennel.change(&one, tried).await.ok()["temperature_c"], 38.0);
    let meant = json!({ "measured_at": at, "temperature_c": 99.1 });
    let refused = kennel.post(&path, meant).await;
    assert!(refused.text().contains("99.1 °F are 37.3 °C"), "{}", refused.text());
}

#[tokio::test]
async fn what_cannot_be_is_refused() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let heat = kennel.heat(dam, 20).await;
    let before = json!({
        "dam_id": dam, "sire_id": sire, "heat_id": heat, "status": "done", "method": "natural",
        "ties": [{ "happened_at": time_ago(Duration::days(25)) }],
    });
    kennel.post("/matings", before).await.refused(&["/ties/0/happened_at"]);
    let reading = json!({
        "kind": "progesterone", "taken_at": time_ago(Duration::days(30)), "value": 2.0,
        "unit": "ng_per_ml",
    });
    kennel.post(&format!("/heats/{heat}/readings"), reading).await.refused(&["/taken_at"]);
    let mating = kennel.mating(dam, sire, 40).await;
    let check = json!({
        "checked_at": time_ago(Duration::days(10)), "method": "ultrasound", "result": "pregnant",
        "measures": [{ "kind": "biparietal", "value_mm": 95.0 }],
    });
    kennel
        .post(&format!("/matings/{mating}/pregnancy-checks"), check)
        .await
        .refused(&["/measures/0/value_mm"]);
}

#[tokio::test]
async fn a_heat_is_timed_and_the_next_ones_foretold() {
    let kennel = Kennel::among_others().await;
    let dam = kennel.dam("Juno").await;
    for ago in [720, 520, 310] {
        kennel.heat(dam, ago).await;
    }
    let heat = kennel.heat(dam, 10).await;
    let reading = json!({
        "kind": "progesterone", "taken_at": time_ago(Duration::days(1)), "value": 6.4,
        "unit": "nmol_per_l",
    });
    kennel.post(&format!("/heats/{heat}/readings"), reading).await.created();
    let odd = json!({ "kind": "sign", "taken_at": time_ago(Duration::days(1)), "finding": "odd" });
    kennel.post(&format!("/heats/{heat}/readings"), odd).await.created();
    let timing = kennel.get(&format!("/heats/{heat}/timing")).await.ok();
    assert_eq!(timing["timing"]["day_of_heat"], 11);
    assert!(timing["timing"]["next_test"]["due_on"].is_string(), "{timing}");
    assert_eq!(timing["left_out"].as_array().unwrap().len(), 1);
    let coming = kennel.get(&format!("/dogs/{dam}/coming-heats?count=3")).await.ok();
    assert_eq!(coming["own_intervals_days"], json!([200, 210, 300]));
    assert_eq!(coming["heats"].as_array().unwrap().len(), 3);
    kennel.get(&format!("/dogs/{dam}/coming-heats?count=9")).await.problem(400);
    let sire = kennel.sire("Castor").await;
    kennel.get(&format!("/dogs/{sire}/coming-heats")).await.problem(422);
}

#[tokio::test]
async fn the_planner_finds_clashes_and_tries_what_is_not_written() {
    let kennel = Kennel::among_others().await;
    let (dam, _, litter) = expecting(&kennel).await;
    let other = kennel.dam("Vesper").await;
    kennel.heat(other, 170).await;
    kennel.post("/places", json!({ "name": "Warm room", "kind": "whelping_room" })).await.created();
    let away = json!({
        "person_id": kennel.owner().person_id, "from_on": days_ago(1), "to_on": days_ago(-10),
    });
    kennel.post("/absences", away).await.created();
    let plan = kennel.get("/planner").await.ok();
    assert_eq!(plan["litters"][0]["key"], format!("litter:{litter}"));
    let clashes = plan["clashes"].as_array().unwrap();
    assert!(clashes.iter().any(|c| c["kind"] == "person_away"), "{plan}");
    let heats = plan["heats"].as_array().unwrap();
    assert!(heats.iter().any(|heat| heat["dam_id"] == json!(other)), "{plan}");

    let what_if = json!({
        "drafts": [{ "dam_id": other, "mated_on": days_ago(-3), "timed": true }],
        "shift": { "key": "draft:1", "days_later": 42, "step_days": 14 },
    });
    let tried = kennel.post("/planner/what-if", what_if).await.ok();
    let keys = tried["plan"]["litters"].to_string();
    assert!(keys.contains("draft:1"), "{keys}");
    assert!(!tried["options"].as_array().unwrap().is_empty());
    assert_eq!(tried["plan"]["limits"][0]["key"], "draft:1");
    // Nothing was written.
    assert!(items(&kennel.get("/matings").await.ok()).len() == 1);
    let wrong = json!({ "drafts": [{ "dam_id": dam, "mated_on": days_ago(3) }] });
    kennel.post("/planner/what-if", wrong).await.refused(&["/drafts/0/mated_on"]);
    kennel.get("/planner?first_on=2026-05-01&last_on=2026-04-01").await.problem(400);
}

#[tokio::test]
async fn a_heat_is_moved_with_what_follows_from_it() {
    let kennel = Kennel::among_others().await;
    let dam = kennel.dam("Vesper").await;
    for ago in [620, 410, 195] {
        kennel.heat(dam, ago).await;
    }
    let sire = kennel.sire("Castor").await;
    let planned = json!({ "dam_id": dam, "sire_id": sire, "status": "planned" });
    let planned = kennel.post("/matings", planned).await.id();
    let plan = kennel.get("/planner").await.ok();
    let key = |number: usize| plan["heats"][number - 1]["key"].clone();
    assert_eq!(key(1), json!(format!("heat:{dam}:1")));
    let day = |value: &Value| value.as_str().unwrap().parse::<chrono::NaiveDate>().unwrap();
    let ask = async |shift: Value| {
        let drafts = json!([{ "dam_id": dam, "heat_number": 2 }]);
        kennel.post("/planner/what-if", json!({ "drafts": drafts, "shift": shift })).await
    };
    // Ten days each way in weeks: what is planned, and a week each way.
    let shift = json!({ "key": key(1), "days_earlier": 10, "days_later": 10 });
    let options = ask(shift).await.ok()["options"].clone();
    let labelled = |label: &str| {
        let mut all = options.as_array().unwrap().iter();
        all.find(|option| option["label"] == label)
            .unwrap_or_else(|| panic!("{label}: {options}"))
            .clone()
    };
    let (as_planned, later) = (labelled("as planned"), labelled("7 days later"));
    let likely = |option: &Value, key: &str| {
        let moved = option["moves"].as_array().unwrap().iter().find(|moved| moved["key"] == key);
        day(&moved.unwrap_or_else(|| panic!("{key}: {option}"))["likely_on"])
    };
    let follows = [
        key(1).as_str().unwrap().to_owned(),
        key(2).as_str().unwrap().to_owned(),
        format!("mating:{planned}"),
        "draft:1".to_owned(),
    ];
    for key in &follows {
        let moved = likely(&later, key) - likely(&as_planned, key);
        assert_eq!(moved, Duration::days(7), "{key}");
    }
    assert_eq!(day(&as_planned["whelping_likely_on"]), likely(&as_planned, &follows[2]));
    assert_eq!(likely(&as_planned, &follows[0]), day(&plan["heats"][0]["likely_on"]));
    // The second heat leaves the first and its litter where they are.
    let second = ask(json!({ "key": key(2), "days_later": 7 })).await.ok();
    let second = second["options"][0]["moves"].to_string();
    assert!(second.contains("draft:1") && !second.contains(&follows[2]), "{second}");
    assert!(!second.contains(&follows[0]), "{second}");
    // No heat that is still to come began before today.
    let days_to_it = (day(&plan["heats"][0]["likely_on"]) - days_ago(0)).num_days();
    let labels = async |earlier: i64| {
        let shift = json!({ "key": key(1), "days_earlier": earlier, "step_days": earlier });
        ask(shift).await.ok()["options"].as_array().unwrap().len()
    };
    assert_eq!((labels(days_to_it).await, labels(days_to_it + 1).await), (2, 1));
    // What it is not.
    ask(json!({ "key": key(1), "heats": true })).await.refused(&["/shift/heats"]);
    ask(json!({ "key": format!("heat:{dam}:9") })).await.refused(&["/shift/key"]);
    assert_eq!(items(&kennel.get("/matings").await.ok()).len(), 1, "nothing was written");
}

/// The comparison holds the plan as it is, whatever the step.
#[tokio::test]
async fn days_that_are_no_multiple_of_the_step_leave_the_plan_in_it() {
    let kennel = Kennel::among_others().await;
    let dam = kennel.dam("Juno").await;
    let ask = async |earlier: i64, later: i64| {
        let shift = json!({ "key": "draft:1", "days_earlier": earlier, "days_later": later, "step_days": 7 });
        let drafts = json!([{ "dam_id": dam, "mated_on": days_ago(-60) }]);
        let body = json!({ "drafts": drafts, "shift": shift });
        let options = kennel.post("/planner/what-if", body).await.ok()["options"].clone();
        let label = |option: &Value| option["label"].as_str().unwrap().to_owned();
        let mut labels: Vec<String> = options.as_array().unwrap().iter().map(label).collect();
        labels.sort();
        labels
    };
    assert_eq!(ask(6, 0).await, ["as planned"]);
    assert_eq!(ask(7, 0).await, ["7 days earlier", "as planned"]);
    assert_eq!(ask(10, 13).await, ["7 days earlier", "7 days later", "as planned"]);
}

#[tokio::test]
async fn a_heat_that_is_over_proposes_nothing() {
    let kennel = Kennel::among_others().await;
    let dam = kennel.dam("Juno").await;
    let heat = kennel.heat(dam, 12).await;
    for (days, value) in [(4, 1.0), (2, 2.4)] {
        let taken_at = time_ago(Duration::days(days));
        let reading = json!({ "kind": "progesterone", "taken_at": taken_at, "value": value, "unit": "ng_per_ml" });
        kennel.post(&format!("/heats/{heat}/readings"), reading).await.created();
    }
    let timing = async || kennel.get(&format!("/heats/{heat}/timing")).await.ok();
    let proposes = |report: &Value| {
        let timing = &report["timing"];
        !timing["next_test"].is_null() || !timing["mating_days"].as_array().unwrap().is_empty()
    };
    let report = timing().await;
    assert!(report["over_on"].is_null() && proposes(&report), "{report}");
    let path = format!("/heats/{heat}");
    for (ended_on, over) in [(days_ago(-1), false), (days_ago(0), true), (days_ago(1), true)] {
        kennel.change(&path, json!({ "ended_on": ended_on })).await.ok();
        let report = timing().await;
        assert_eq!(!report["over_on"].is_null(), over, "{ended_on}");
        assert_eq!(proposes(&report), !over, "{ended_on}");
        let tasks = kennel.get("/tasks?origin=cycle").await.ok();
        assert_eq!(items(&tasks).is_empty(), over, "{tasks}");
    }
    // What was measured is told still.
    assert!(timing().await["timing"]["lh_surge"]["likely_on"].is_string());
    // Whose end nobody wrote down: none lasts longer than the rule says.
    let other = kennel.dam("Freya").await;
    for (began, over_on) in [(38, Value::Null), (39, json!(days_ago(1)))] {
        let heat = kennel.heat(other, began).await;
        assert_eq!(kennel.get(&format!("/heats/{heat}/timing")).await.ok()["over_on"], over_on);
        kennel.remove(&format!("/heats/{heat}")).await.no_content();
    }
}

#[tokio::test]
async fn a_kennel_chooses_its_limits() {
    let kennel = Kennel::among_others().await;
    let settings = kennel.get("/planner/settings").await;
    assert_eq!(settings.json()["breeding_rules"], "careful");
    let etag = settings.etag();
    let wrong = json!({ "breeding_rules": "nobody's" });
    put(&kennel, "/planner/settings", &etag, wrong).await.refused(&["/breeding_rules"]);
    let sets = kennel.get("/rules/breeding-sets").await.ok();
    let name = sets["items"][1]["name"].clone();
    let chosen = json!({ "breeding_rules": name });
    put(&kennel, "/planner/settings", &etag, chosen.clone()).await.expect(200);
    put(&kennel, "/planner/settings", &etag, chosen).await.problem(412);
    assert_eq!(kennel.get("/planner").await.ok()["breeding_rules"], name);
}

#[tokio::test]
async fn preparation_is_dated_scaled_and_short_of_what_is_not_there() {
    let kennel = Kennel::among_others().await;
    let (_, _, litter) = expecting(&kennel).await;
    let path = format!("/litters/{litter}/preparation");
    let before = kennel.get(&path).await.ok();
    assert!(before["tasks"].as_array().unwrap().len() > 10);
    let short = |answer: &serde_json::Value| {
        let lines = answer["shopping"].as_array().unwrap();
        lines.iter().find(|line| line["key"] == "towels").map(|line| line["short"].clone())
    };
    let needed = short(&before).unwrap().as_f64().unwrap();
    let stock = json!({ "key": "towels", "on_hand": needed - 1.0 });
    kennel.post("/supplies", stock).await.created();
    assert_eq!(short(&kennel.get(&path).await.ok()), Some(json!(1.0)));
    kennel
        .post("/supplies", json!({ "key": "moon_dust", "on_hand": 1.0 }))
        .await
        .refused(&["/key"]);

    let etag = kennel.get("/preparation-template").await.etag();
    let own = json!({ "without": ["towels"] });
    put(&kennel, "/preparation-template", &etag, own).await.expect(200);
    assert_eq!(short(&kennel.get(&path).await.ok()), None);
}

#[tokio::test]
async fn a_task_is_put_off_and_done_under_its_key() {
    let kennel = Kennel::among_others().await;
    let own = json!({ "title": "Fetch the big crate", "due_on": days_ago(2) });
    let own = kennel.post("/own-tasks", own).await.id();
    let list = kennel.get("/tasks").await.ok();
    let line = &items(&list)[0];
    assert_eq!((line["status"].as_str(), line["days_late"].as_i64()), (Some("overdue"), Some(2)));
    let path = format!("/tasks/own:{own}");
    let etag = kennel.get(&path).await.etag();
    let off = json!({ "snooze_ends_on": days_ago(-3) });
    kennel.patch(&path, &etag, off).await.refused(&["/snooze_reason"]);
    let off = json!({ "snooze_ends_on": days_ago(-3), "snooze_reason": "the neighbour is away" });
    let snoozed = kennel.patch(&path, &etag, off).await.expect(200);
    assert_eq!(snoozed.json()["status"], "snoozed");
    kennel.patch(&path, &etag, json!({ "assignee_id": null })).await.problem(412);
    let done = json!({ "done_at": time_ago(Duration::minutes(1)), "snooze_ends_on": null });
    let done = kennel.patch(&path, &snoozed.etag(), done).await.expect(200).json();
    assert_eq!(done["status"], "done");
    assert_eq!(done["done_by"], json!(kennel.owner().person_id));
    kennel.get("/tasks/own:nothing").await.problem(404);
}

#[tokio::test]
async fn health_growth_and_follow_up_are_tasks_as_well() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(3, 15).await;
    let titles = async |origin: &str| {
        let list = kennel.get(&format!("/tasks?origin={origin}")).await.ok();
        let lines = items(&list)
            .iter()
            .map(|line| (line["title"].as_str().unwrap().to_owned(), line["litter_id"].clone()));
        lines.collect::<Vec<_>>()
    };
    let health = titles("health").await;
    let worming = health.iter().find(|(title, _)| title.contains("orming")).unwrap();
    assert_eq!(worming.1, json!(litter));
    let path = format!("/tasks?origin=preparation&due_by={}", days_ago(0));
    let due = kennel.get(&path).await.ok();
    let rounds: Vec<&str> =
        items(&due).iter().map(|line| line["title"].as_str().unwrap()).collect();
    let once: std::collections::BTreeSet<_> = rounds.iter().collect();
    assert!(
        !rounds.is_empty() && once.len() == rounds.len(),
        "a missed round is made good by the next: {rounds:?}"
    );
    let growth = titles("growth").await;
    assert!(growth.iter().any(|(title, _)| title.contains("3 not weighed today")), "{growth:?}");
    for (pup, weights) in pups.iter().zip([[900, 960], [910, 965], [905, 850]]) {
        for (hours_ago, weight_g) in [25, 0].into_iter().zip(weights) {
            let at = time_ago(chrono::Duration::hours(hours_ago));
            let body = json!({ "measured_at": at, "weight_g": weight_g, "confirmed": true });
            kennel.post(&format!("/dogs/{pup}/weights"), body).await.created();
        }
    }
    let growth = titles("growth").await;
    assert!(!growth.iter().any(|(title, _)| title.contains("not weighed today")), "{growth:?}");
    let failing = kennel.get(&format!("/tasks?dog_id={}", pups[2])).await.ok();
    assert!(items(&failing).iter().any(|line| line["origin"] == "growth"), "{failing}");
}

#[tokio::test]
async fn a_co_owner_sees_the_shared_litter_and_nothing_of_the_rest() {
    let kennel = Kennel::among_others().await;
    let (dam, _, litter) = expecting(&kennel).await;
    let other = kennel.dam("Vesper").await;
    kennel.heat(other, 170).await;
    let co_owner = kennel.co_owner(&[dam]).await;
    let outsider = kennel.co_owner(&[other]).await;
    assert!(
        co_owner.get(&format!("/litters/{litter}/due-window")).await.ok()["likely_on"].is_string()
    );
    outsider.get(&format!("/litters/{litter}/due-window")).await.problem(404);
    outsider.get(&format!("/litters/{litter}/preparation")).await.problem(404);
    let text = outsider.get("/planner").await.ok().to_string();
    assert!(!text.contains(&litter.to_string()) && !text.contains(&dam.to_string()), "{text}");
    assert!(!outsider.get("/tasks").await.ok().to_string().contains(&litter.to_string()));
    assert!(co_owner.get("/tasks").await.ok().to_string().contains(&litter.to_string()));
}

#[tokio::test]
async fn a_calendar_is_subscribed_to_by_a_link_that_can_be_withdrawn() {
    let kennel = Kennel::new().await;
    let (_, _, litter) = expecting(&kennel).await;
    let link = kennel.post("/calendar-links", json!({ "name": "Phone" })).await.created();
    let path = link["path"].as_str().unwrap().to_owned();
    let url = format!("{}{path}", kennel.owner().service.url);
    let response = reqwest::get(&url).await.unwrap();
    assert_eq!(response.status(), 200);
    assert_eq!(response.headers()["content-type"], "text/calendar; charset=utf-8");
    let text = response.text().await.unwrap();
    let calendar = ical::IcalParser::new(text.as_bytes()).next().unwrap().unwrap();
    let uids: Vec<String> = calendar
        .events
        .iter()
        .flat_map(|event| &event.properties)
        .filter(|property| property.name == "UID")
        .filter_map(|property| property.value.clone())
        .collect();
    assert!(uids.contains(&format!("litter:{litter}:birth:{}@denwright", kennel.kennel_id)));
    let listed = kennel.get("/calendar-links").await.ok();
    assert!(items(&listed)[0]["path"].is_null());
    let gone = format!("/calendar-links/{}", id(&link));
    kennel.delete(&gone, "\"1\"").await.no_content();
    assert_eq!(reqwest::get(&url).await.unwrap().status(), 404);
}
