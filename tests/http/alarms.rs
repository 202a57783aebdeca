//! One list of all that calls for attention; other answers say the same, word for word.

use crate::common::*;
use chrono::Duration;
use uuid::Uuid;

async fn alarms(caller: &Caller, query: &str) -> Vec<Value> {
    caller.get(&format!("/alarms{query}")).await.ok()["items"].as_array().unwrap().clone()
}

async fn log(kennel: &Kennel, litter: Uuid, minutes_ago: i64, event: Value) {
    let line = json!({ "happened_at": time_ago(Duration::minutes(minutes_ago)), "event": event });
    kennel.post(&format!("/litters/{litter}/whelping"), line).await.created();
}

fn of_code<'a>(alarms: &'a [Value], code: &str) -> &'a Value {
    let found = alarms.iter().find(|alarm| alarm["code"] == code);
    found.unwrap_or_else(|| panic!("no {code} in {alarms:#?}"))
}

/// The words of alarms of some families, as other answers show them.
fn words(alarms: &[Value], families: &[&str]) -> Vec<String> {
    let of_family = |alarm: &&Value| {
        let code = alarm["code"].as_str().unwrap();
        families.iter().any(|family| code.starts_with(family))
    };
    alarms.iter().filter(of_family).map(said).collect()
}

fn said(caution: &Value) -> String {
    let text = |key: &str| caution[key].as_str().unwrap().to_owned();
    ["code", "level", "what", "why", "source"].map(text).join("|")
}

fn cautions(answer: &Value) -> Vec<String> {
    answer["cautions"].as_array().unwrap().iter().map(said).collect()
}

#[tokio::test]
async fn straining_after_the_count_and_after_finished_calls_now() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let mating = kennel.mating(dam, sire, 63).await;
    let xray = json!({
        "checked_at": time_ago(Duration::days(5)), "method": "xray", "result": "pregnant",
        "count_at_least": 1, "count_at_most": 1,
    });
    kennel.post(&format!("/matings/{mating}/pregnancy-checks"), xray).await.created();
    let body = json!({ "dam_id": dam, "sire_id": sire, "mating_id": mating, "name": "K litter" });
    let litter = kennel.post("/litters", body).await.id();
    kennel.birth(litter, 1, json!({ "collar": "red", "weight_g": 420 })).await;
    log(&kennel, litter, 40, json!({ "kind": "finished" })).await;
    log(&kennel, litter, 30, json!({ "kind": "contractions", "strength": "strong" })).await;

    let all = alarms(&kennel, "").await;
    let straining = of_code(&all, "whelping.straining");
    assert_eq!(straining["level"], "emergency");
    assert_eq!(straining["about"]["litter_id"], json!(litter));
    assert_eq!(straining["about"]["dog_id"], json!(dam));
    assert_eq!(straining["params"]["limit"], 20.0);
    assert_eq!(all[0], *straining, "the gravest first");

    let status = kennel.get(&format!("/litters/{litter}/whelping/status")).await.ok();
    assert_eq!((&status["call"], &status["stage"]), (&json!("now"), &json!("second")));
    assert_eq!(status["when_to_call"], straining["what"]);
    let of_litter = alarms(&kennel, &format!("?litter_id={litter}")).await;
    let night = ["whelping", "overdue", "dating", "pregnancy"];
    assert_eq!(cautions(&status), words(&of_litter, &night));
    let board = kennel.get("/today").await.ok();
    assert_eq!(board["wrong"][0]["id"], straining["id"]);
    assert!(alarms(&kennel, &format!("?dog_id={sire}")).await.is_empty());
}

#[tokio::test]
async fn signs_of_pups_and_dams_are_written_down_and_speak() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(3, 4).await;
    let checks = format!("/dogs/{}/pup-checks", pups[0]);
    let check = json!({
        "checked_at": time_ago(Duration::minutes(20)), "signs": ["limp", "crying"], "nurses": false,
    });
    let written = kennel.helper().await.post(&checks, check).await.created();
    assert_eq!(written["signs"], json!(["limp", "crying"]));
    let twice = json!({ "checked_at": time_ago(Duration::minutes(1)), "signs": ["weak", "weak"] });
    kennel.post(&checks, twice).await.refused(&["/signs/1"]);
    let taken = json!({ "measured_at": time_ago(Duration::minutes(15)), "temperature_c": 34.0 });
    kennel.post(&format!("/dogs/{}/temperatures", pups[1]), taken).await.created();
    let dam_check = json!({
        "checked_at": time_ago(Duration::minutes(10)), "signs": ["panting", "face_rubbing"],
        "discharge": "bright_red", "discharge_amount": "spotting",
    });
    kennel.post(&format!("/litters/{litter}/dam-checks"), dam_check).await.created();

    let of_litter = alarms(&kennel, &format!("?litter_id={litter}")).await;
    let limp = of_code(&of_litter, "newborn.unwell");
    assert_eq!((&limp["level"], &limp["about"]["dog_id"]), (&json!("emergency"), &json!(pups[0])));
    assert!(limp["grounds"].as_array().unwrap().len() >= 2, "{limp}");
    let cold = of_code(&of_litter, "newborn.cold");
    assert_eq!(
        (&cold["level"], &cold["params"]["temperature_c"]),
        (&json!("emergency"), &json!(34.0))
    );
    assert_eq!(of_code(&of_litter, "dam.eclampsia_signs")["level"], "act");
    assert!(of_litter.iter().all(|alarm| alarm["code"] != "dam.bleeding"), "spotting is usual");
    let each: Vec<&Value> =
        of_litter.iter().filter(|a| a["about"]["dog_id"] == json!(pups[0])).collect();
    assert_eq!(each.len(), 1, "one cause is one alarm");

    let health = kennel.get(&format!("/litters/{litter}/dam-health")).await.ok();
    assert_eq!(cautions(&health), words(&of_litter, &["dam"]));
    let growth = kennel.get(&format!("/litters/{litter}/growth")).await.ok();
    for pup in growth["pups"].as_array().unwrap() {
        let own: Vec<Value> =
            of_litter.iter().filter(|a| a["about"]["dog_id"] == pup["dog_id"]).cloned().collect();
        assert_eq!(cautions(pup), words(&own, &["growth", "newborn"]));
    }
}

#[tokio::test]
async fn an_alarm_is_seen_and_shown_as_seen_until_it_turns_graver() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(3, 4).await;
    let checks = format!("/dogs/{}/pup-checks", pups[0]);
    let check = |sign: &str, minutes| json!({ "checked_at": time_ago(Duration::minutes(minutes)), "signs": [sign] });
    kennel.post(&checks, check("crying", 30)).await.created();
    let about = format!("?dog_id={}", pups[0]);
    let before = alarms(&kennel, &about).await;
    let crying = of_code(&before, "newborn.unwell");
    assert_eq!((&crying["level"], &crying["seen"]), (&json!("act"), &Value::Null));
    let seen = format!("/alarms/{}/seen", crying["id"].as_str().unwrap());
    kennel.viewer().await.post(&seen, json!({})).await.problem(403);
    kennel.another().await.post(&seen, json!({})).await.problem(404);
    kennel.post(&format!("/alarms/{}/seen", Uuid::now_v7()), json!({})).await.problem(404);
    let helper = kennel.helper().await;
    let marked = helper.post(&seen, json!({ "note": "warmed" })).await.created();
    assert_eq!(marked["seen"]["note"], "warmed");
    assert_eq!(marked["seen"]["person_id"], json!(helper.person_id));
    let after = alarms(&kennel, &about).await;
    assert_eq!(of_code(&after, "newborn.unwell")["seen"]["note"], "warmed", "shown, not hidden");
    let changes = kennel.get("/changes?limit=500").await.ok();
    let logged = changes["items"].as_array().unwrap().iter().any(|c| c["record"] == "alarm_seen");
    assert!(logged, "who has seen it stands in the log");

    kennel.post(&checks, check("limp", 0)).await.created();
    let worse = alarms(&kennel, &about).await;
    let limp = of_code(&worse, "newborn.unwell");
    assert_eq!((&limp["id"], &limp["level"]), (&crying["id"], &json!("emergency")));
    assert_eq!(limp["seen"], Value::Null, "a graver turn un-marks it");
}

#[tokio::test]
async fn the_walls_hold_for_alarms() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(2, 4).await;
    let taken = json!({ "measured_at": time_ago(Duration::minutes(15)), "temperature_c": 33.0 });
    kennel.post(&format!("/dogs/{}/temperatures", pups[1]), taken).await.created();
    let other_dog = kennel.dam("Shared").await;
    let stranger_to_it = kennel.co_owner(&[other_dog]).await;
    assert!(alarms(&stranger_to_it, "").await.is_empty());
    stranger_to_it.get(&format!("/alarms?litter_id={litter}")).await.problem(404);
    let of_the_pup = kennel.co_owner(&[pups[1]]).await;
    let seen = alarms(&of_the_pup, "").await;
    assert!(seen.iter().all(|alarm| alarm["about"]["dog_id"] != json!(pups[0])), "{seen:?}");
    for caller in [kennel.helper().await, kennel.viewer().await] {
        assert_eq!(
            of_code(&alarms(&caller, "?level=act").await, "newborn.cold")["level"],
            "emergency"
        );
    }
    kennel.stranger().await.get("/alarms").await.problem(404);
    kennel.get("/alarms?level=loud").await.problem(400);
}

/// Births, weights and usual temperatures, no placentas: nothing rings.
#[tokio::test]
async fn a_healthy_litter_is_quiet() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let litter = kennel.litter(dam, sire).await;
    for number in 0..4 {
        let fields = json!({ "weight_g": 420 + 10 * number, "placenta": "not_seen" });
        let birth = kennel.birth(litter, 24 * 5 - number, fields).await;
        let pup: Uuid = birth["dog_id"].as_str().unwrap().parse().unwrap();
        for day in 1..=4_i32 {
            let grown = f64::from(420 + 10 * number as i32) * 1.07_f64.powi(day);
            kennel.weight(pup, 24 * (5 - i64::from(day)) - 6, grown.round() as i64).await;
        }
        let taken = json!({ "measured_at": time_ago(Duration::hours(3)), "temperature_c": 36.2 });
        kennel.post(&format!("/dogs/{pup}/temperatures"), taken).await.created();
    }
    let taken = json!({ "measured_at": time_ago(Duration::hours(3)), "temperature_c": 39.2 });
    kennel.post(&format!("/dogs/{dam}/temperatures"), taken).await.created();
    let loud = alarms(&kennel, "?level=act").await;
    assert!(loud.is_empty(), "{loud:#?}");
}

/// A daughter that was born here and has a litter of her own stands in two records: what is found of her is one
/// alarm, about the litter for which she is followed, under one id in every answer, with who has seen it.
#[tokio::test]
async fn a_dam_who_was_born_here_has_one_alarm_of_a_kind() {
    let kennel = Kennel::among_others().await;
    let (birth_litter, pups) = kennel.born_litter(2, 800).await;
    let daughter = pups[0];
    let dose = async |days: i64, batch: &str| {
        let dose = json!({
            "dog_id": daughter, "kind": "vaccination", "given_at": time_ago(Duration::days(days)),
            "series": "core", "product": "core vaccine", "batch": batch,
            "expires_on": days_ago(days + 3), "confirmed": true,
        });
        kennel.post("/health-events", dose).await.created();
    };
    dose(6, "Q4").await;
    let about = async |query: &str| {
        let mut found = alarms(&kennel, query).await;
        found.retain(|alarm| alarm["about"]["dog_id"] == json!(daughter));
        let told = |alarm: &Value| (alarm["id"].clone(), alarm["about"]["litter_id"].clone());
        found.iter().filter(|a| a["code"] == "health.expired_product").map(told).collect::<Vec<_>>()
    };
    let as_a_dog = about("").await;
    assert_eq!(as_a_dog.len(), 1);
    assert_eq!(as_a_dog[0].1, json!(birth_litter));
    let own = kennel.litter(daughter, kennel.sire("Pollux").await).await;
    kennel.birth(own, 24 * 3, json!({ "weight_g": 400 })).await;
    dose(1, "Q5").await;
    let found = about("").await;
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].1, json!(own));
    for query in [format!("?litter_id={own}"), format!("?litter_id={birth_litter}")] {
        assert_eq!(about(&query).await, found, "{query}");
    }
    let id = found[0].0.as_str().unwrap().to_owned();
    kennel.post(&format!("/alarms/{id}/seen"), json!({ "note": "asked the vet" })).await.created();
    // Her own schedule is of the record of her birth.
    let schedule = kennel.get(&format!("/dogs/{daughter}/schedule")).await.ok();
    let shown = &schedule["cautions"].as_array().unwrap()[0]["alarm"];
    assert_eq!((&shown["id"], &shown["seen"]["note"]), (&json!(id), &json!("asked the vet")));
    let again = kennel.get(&format!("/dogs/{daughter}/breeding-again")).await.ok();
    let expired = again["cautions"].as_array().unwrap().iter();
    let expired: Vec<&Value> =
        expired.filter(|it| it["code"] == "health.expired_product").collect();
    assert!(expired.iter().all(|caution| caution["alarm"]["id"] == json!(id)), "{again}");
}
