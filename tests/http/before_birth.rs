//! Before a birth: its risks, what checks saw, tests before a mating, the watch after a heat.

use crate::common::*;
use chrono::Duration;

fn codes(told: &Value) -> Vec<&str> {
    told["risks"].as_array().unwrap().iter().map(|risk| risk["code"].as_str().unwrap()).collect()
}

async fn check(kennel: &Kennel, mating: Uuid, days_ago: i64, more: Value) -> Answer {
    let mut body = json!({
        "checked_at": time_ago(Duration::days(days_ago)), "method": "ultrasound", "result": "pregnant",
    });
    body.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    kennel.post(&format!("/matings/{mating}/pregnancy-checks"), body).await
}

/// A dam with a mating so many days ago and the litter that is expected of it.
async fn expecting(kennel: &Kennel, dam: Uuid, tied_days_ago: i64) -> (Uuid, Uuid) {
    let sire = kennel.sire("Castor").await;
    let mating = kennel.mating(dam, sire, tied_days_ago).await;
    let litter = json!({ "dam_id": dam, "sire_id": sire, "mating_id": mating });
    (mating, kennel.post("/litters", litter).await.id())
}

#[tokio::test]
async fn the_risks_of_a_birth_are_one_list_with_plan_kit_and_who_is_on_call() {
    let kennel = Kennel::among_others().await;
    let dam = kennel
        .dog(
            "Juno",
            json!({
                "sex": "female", "breed": "French Bulldog", "adult_weight_g": 11000,
                "born_on": days_ago(365 * 7), "for_breeding": true,
            }),
        )
        .await;
    let (mating, litter) = expecting(&kennel, dam, 60).await;
    let risks = async || kennel.get(&format!("/litters/{litter}/birth-risks")).await.ok();
    let told = risks().await;
    assert_eq!(codes(&told), ["breed_shape", "older_dam"]);
    assert_eq!(told["risks"][0]["level"], "act");
    assert!(told["talk_over_on"].is_string());
    assert!(told["lacking"].as_array().unwrap().len() >= 2);
    // What was before she came here, and what was counted.
    let earlier = json!({
        "dog_id": dam, "kind": "illness", "series": "eclampsia",
        "given_at": time_ago(Duration::days(700)),
    });
    kennel.post("/health-events", earlier).await.created();
    check(&kennel, mating, 2, json!({ "method": "xray", "count_at_least": 1, "count_at_most": 1 }))
        .await
        .created();
    let told = risks().await;
    assert_eq!(codes(&told), ["past_eclampsia", "single_pup", "breed_shape", "older_dam"]);
    for key in ["plan", "kit", "on_call"] {
        let lines = told[key].as_array().unwrap();
        let once: std::collections::BTreeSet<String> =
            lines.iter().map(|line| line.to_string()).collect();
        assert!(!lines.is_empty() && once.len() == lines.len(), "{key}: {lines:?}");
    }
    let german = kennel
        .request(reqwest::Method::GET, &format!("/litters/{litter}/birth-risks"))
        .header("Accept-Language", "de")
        .send()
        .await
        .ok();
    assert_ne!(german["plan"], told["plan"]);
    // Born, there is nothing to plan.
    kennel.change(&format!("/litters/{litter}"), json!({ "whelped_on": days_ago(0) })).await.ok();
    assert_eq!(codes(&risks().await), [] as [&str; 0]);
    kennel.stranger().await.get(&format!("/litters/{litter}/birth-risks")).await.problem(404);
}

/// A caesarean in the log of an earlier litter, and pups born dead there, are found by themselves.
#[tokio::test]
async fn how_she_whelped_before_is_read_from_her_earlier_litters() {
    let kennel = Kennel::among_others().await;
    let (earlier, _) = kennel.born_litter(3, 300).await;
    let dam = kennel.get(&format!("/litters/{earlier}")).await.ok()["dam_id"].clone();
    let dam: Uuid = dam.as_str().unwrap().parse().unwrap();
    let line =
        json!({ "happened_at": time_ago(Duration::days(300)), "event": { "kind": "caesarean" } });
    kennel.post(&format!("/litters/{earlier}/whelping"), line).await.created();
    kennel.birth(earlier, 300 * 24 - 3, json!({ "outcome": "stillborn" })).await;
    let (_, litter) = expecting(&kennel, dam, 30).await;
    let told = kennel.get(&format!("/litters/{litter}/birth-risks")).await.ok();
    let found = codes(&told);
    assert!(found.contains(&"earlier_caesarean") && found.contains(&"earlier_stillborn"), "{told}");
    assert!(!found.contains(&"first_litter"));
}

/// Heartbeats count pups, resorptions are shown, and a lost pregnancy is no longer prepared for nor overdue.
#[tokio::test]
async fn heartbeats_resorptions_and_a_loss_are_recorded_and_shown() {
    let kennel = Kennel::among_others().await;
    let dam = kennel.dam("Juno").await;
    let (mating, litter) = expecting(&kennel, dam, 80).await;
    let pups = async || kennel.get(&format!("/litters/{litter}/expected-pups")).await.ok();
    check(&kennel, mating, 50, json!({ "heartbeats": 5, "resorptions": 1 })).await.created();
    let told = pups().await;
    assert_eq!(
        (&told["seen"][0]["heartbeats"], &told["seen"][0]["resorptions"]),
        (&json!(5), &json!(1))
    );
    assert_eq!(told["seen"][0]["day_of_pregnancy"], 30);
    assert!(told["forecast"]["counted_at_least"].as_u64().unwrap() >= 1, "{told}");
    let overdue = async || {
        let alarms = kennel.get("/alarms?limit=200").await.ok();
        let codes: Vec<String> =
            items(&alarms).iter().map(|a| a["code"].as_str().unwrap().into()).collect();
        codes
    };
    assert!(overdue().await.iter().any(|code| code.starts_with("overdue.")));
    check(&kennel, mating, 20, json!({ "result": "lost", "lost_how": "aborted" })).await.created();
    let told = pups().await;
    assert_eq!(
        (&told["forecast"], &told["seen"][1]["lost_how"]),
        (&Value::Null, &json!("aborted"))
    );
    let after = overdue().await;
    assert!(after.iter().all(|code| !code.starts_with("overdue.")), "{after:?}");
    assert!(after.iter().any(|code| code == "pregnancy.lost"));
    // What cannot be.
    let refused = async |body: Value| check(&kennel, mating, 1, body).await.pointers(422);
    assert_eq!(refused(json!({ "method": "xray", "heartbeats": 3 })).await, ["/heartbeats"]);
    assert_eq!(refused(json!({ "lost_how": "resorbed" })).await, ["/lost_how"]);
    assert_eq!(refused(json!({ "result": "lost", "heartbeats": 2 })).await, ["/result"]);
}

#[tokio::test]
async fn tests_before_a_mating_are_as_old_as_on_its_day() {
    let kennel = Kennel::among_others().await;
    let dam = kennel.dog("Juno", json!({ "sex": "female", "breed": "Labrador Retriever" })).await;
    let sire = kennel.dog("Castor", json!({ "sex": "male", "breed": "Labrador Retriever" })).await;
    let test = |dog: Uuid, days: i64, series: &str, result: &str| {
        json!({
            "dog_id": dog, "kind": "test", "series": series, "result": result,
            "given_at": time_ago(Duration::days(days)),
        })
    };
    kennel.post("/health-events", test(dam, 10, "brucellosis", "negative")).await.created();
    kennel.post("/health-events", test(sire, 10, "brucellosis", "positive")).await.created();
    let path = format!("/mating-tests?dam_id={dam}&sire_id={sire}");
    let told = kennel.get(&format!("{path}&mated_on={}", days_ago(0))).await.ok();
    let of = |told: &Value, whose: &str, series: &str| {
        let tests = told[whose]["tests"].as_array().unwrap().clone();
        tests.iter().find(|test| test["series"] == series).unwrap()["standing"].clone()
    };
    assert_eq!(of(&told, "dam", "brucellosis"), "met");
    assert_eq!(of(&told, "sire", "brucellosis"), "positive");
    assert_eq!(of(&told, "dam", "hips"), "missing");
    assert_eq!(told["cautions"][0]["code"], "mating.test_positive");
    let later = kennel.get(&format!("{path}&mated_on={}", days_ago(-30))).await.ok();
    assert_eq!(of(&later, "dam", "brucellosis"), "outdated");
    // What the kennel asks for itself stands for what the breed's clubs ask for.
    let own = json!({
        "breed": "labrador retriever", "series": "hips", "valid_days": 30, "source": "our vet",
    });
    let rules = "/rules/mating-tests";
    let row = kennel.post(rules, own.clone()).await.id();
    kennel.post(rules, own.clone()).await.problem(409);
    kennel.helper().await.post(rules, own).await.problem(403);
    let told = kennel.get(&path).await.ok();
    let hips = |told: &Value| {
        let tests = told["dam"]["tests"].as_array().unwrap().clone();
        let hips = tests.iter().find(|test| test["series"] == "hips").unwrap();
        json!([hips["of_kennel"], hips["of_breed"], hips["valid_days"], hips["source"]])
    };
    assert_eq!(hips(&told), json!([true, false, 30, "our vet"]));
    kennel.delete(&format!("{rules}/{row}"), "*").await.no_content();
    assert_eq!(hips(&kennel.get(&path).await.ok())[0], false);
    kennel.get("/mating-tests").await.problem(400);
    kennel.get(&format!("/mating-tests?dam_id={sire}")).await.problem(422);
    kennel.get(&format!("/mating-tests?dam_id={}", Uuid::now_v7())).await.problem(404);
    kennel.stranger().await.get(&path).await.problem(404);
    let wrong = json!({ "dog_id": dam, "kind": "worming", "result": "negative", "given_at": time_ago(Duration::days(1)) });
    kennel.post("/health-events", wrong).await.refused(&["/result"]);
}

/// Weeks after a heat a sign calls for the veterinarian; a dam with a litter on the way is not watched for it.
#[tokio::test]
async fn after_each_heat_a_dam_is_watched_for_an_infected_womb() {
    let kennel = Kennel::among_others().await;
    let dam = kennel.dam("Juno").await;
    let heat = kennel.heat(dam, 60).await;
    let watch =
        async || kennel.get(&format!("/heats/{heat}/timing")).await.ok()["womb_watch"].clone();
    let told = watch().await;
    assert_eq!((&told["is_open"], &told["first_on"]), (&json!(true), &json!(days_ago(39))));
    let alarms = async || {
        let alarms = kennel.get(&format!("/alarms?dog_id={dam}")).await.ok();
        let told = |alarm: &Value| (alarm["code"].clone(), alarm["level"].clone());
        items(&alarms).iter().map(told).collect::<Vec<_>>()
    };
    assert_eq!(alarms().await, []);
    let tasks = async || {
        let tasks = kennel.get("/tasks?limit=200").await.ok();
        let keys: Vec<String> =
            items(&tasks).iter().map(|t| t["key"].as_str().unwrap().into()).collect();
        keys.iter().any(|key| key.contains(&format!("{heat}:cycle:womb")))
    };
    assert!(tasks().await);
    let sign = json!({ "kind": "sign", "finding": "drinks more", "taken_at": time_ago(Duration::hours(3)) });
    kennel.post(&format!("/heats/{heat}/readings"), sign).await.created();
    let told = watch().await;
    assert_eq!(told["seen"][0]["sign"], "drinks_more");
    let code = json!("heat.womb_infection");
    assert_eq!(alarms().await, [(code.clone(), json!("act"))]);
    let grave =
        json!({ "kind": "sign", "finding": "dull", "taken_at": time_ago(Duration::hours(1)) });
    kennel.post(&format!("/heats/{heat}/readings"), grave).await.created();
    assert_eq!(alarms().await, [(code.clone(), json!("emergency"))]);
    let first = kennel.get("/today").await.ok()["wrong"][0].clone();
    assert_eq!(first["code"], code);
    let again = kennel.get(&format!("/dogs/{dam}/breeding-again")).await.ok();
    assert_eq!(again["cautions"][0]["code"], code, "{again}");
    assert_ne!(again["answer"], "yes");
    let timing = kennel.get(&format!("/heats/{heat}/timing")).await.ok();
    assert_eq!(timing["left_out"], json!([]));
    expecting(&kennel, dam, 50).await;
    assert!(!tasks().await);
}
