//! Answers about one litter are of one voice: one number of pups, one list of alarms, one mark on each.

use crate::common::*;
use chrono::Duration;

fn of_code<'a>(cautions: &'a Value, code: &str) -> Option<&'a Value> {
    cautions.as_array().unwrap().iter().find(|caution| caution["code"] == code)
}

async fn alarm(kennel: &Kennel, query: &str, code: &str) -> Option<Value> {
    let list = kennel.get(&format!("/alarms{query}")).await.ok();
    of_code(&list["items"], code).cloned()
}

/// What an alarm and a caution have in common.
fn said(one: &Value) -> [Value; 6] {
    ["code", "level", "what", "why", "source", "params"].map(|key| one[key].clone())
}

async fn counted(kennel: &Kennel, mating: Uuid, method: &str, days: i64, at_least: i64) {
    let check = json!({
        "checked_at": time_ago(Duration::days(days)), "method": method, "result": "pregnant",
        "count_at_least": at_least, "count_at_most": at_least,
    });
    kennel.post(&format!("/matings/{mating}/pregnancy-checks"), check).await.created();
}

async fn log(kennel: &Kennel, litter: Uuid, minutes_ago: i64, event: Value) {
    let line = json!({ "happened_at": time_ago(Duration::minutes(minutes_ago)), "event": event });
    kennel.post(&format!("/litters/{litter}/whelping"), line).await.created();
}

/// The number of pups as each answer tells it.
struct Told {
    expected: Value,
    status: Value,
    preparation: Value,
    planned: Value,
    sheet: String,
}

impl Told {
    async fn of(kennel: &Kennel, litter: Uuid) -> Self {
        let get = async |path: &str| kennel.get(&format!("/litters/{litter}/{path}")).await.ok();
        let pages = kennel.get(&format!("/litters/{litter}/whelping-sheet.pdf")).await.expect(200);
        let plan = kennel.get("/planner").await.ok();
        let planned = plan["litters"].as_array().unwrap().iter();
        let key = json!(format!("litter:{litter}"));
        let text = pdf_extract::extract_text_from_mem(&pages.bytes).unwrap();
        Self {
            expected: get("expected-pups").await,
            status: get("whelping/status").await,
            preparation: get("preparation").await,
            planned: planned.filter(|row| row["key"] == key).cloned().collect(),
            sheet: text.split_whitespace().collect(),
        }
    }

    /// The one forecast, which all the others tell.
    fn one(&self) -> &Value {
        let one = &self.expected["forecast"];
        assert_eq!(&self.status["expected"], one);
        assert_eq!(self.preparation["pups"], one["most"]);
        let range = json!([one["least"], one["most"]]);
        assert_eq!(self.planned[0]["pups_range"], range, "{}", self.planned);
        let range = format!("{}to{}", one["least"], one["most"]);
        assert!(self.sheet.contains(&range), "{range} in {}", self.sheet);
        one
    }
}

#[tokio::test]
async fn one_number_of_pups_wherever_it_is_told() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let mating = kennel.mating(dam, sire, 62).await;
    let body = json!({ "dam_id": dam, "sire_id": sire, "mating_id": mating });
    let litter = kennel.post("/litters", body).await.id();
    // Nobody counted: by what is usual, and nothing must come for sure.
    let usual = Told::of(&kennel, litter).await;
    assert_eq!(usual.one()["counted_at_least"], Value::Null);
    assert_eq!(usual.status["still_to_come_at_least"], Value::Null);
    assert!(usual.status["lacks"].to_string().contains("a count of the pups"));

    counted(&kennel, mating, "ultrasound", 34, 8).await;
    let scanned = Told::of(&kennel, litter).await;
    assert_eq!(scanned.one()["counted_at_least"], 7, "an ultrasound is a weak lower bound");
    counted(&kennel, mating, "xray", 3, 6).await;
    let filmed = Told::of(&kennel, litter).await;
    assert_eq!(filmed.one()["counted_at_least"], 6);
    assert!(filmed.one()["most"].as_i64() > Some(6), "a count may have missed one");
    let feeding = kennel.get(&format!("/dogs/{dam}/ration")).await.ok();
    let nursing = &feeding["dam"]["weeks"][9]["stage"];
    assert_eq!(nursing["pups"], filmed.one()["likely"], "{nursing}");

    for (hours, ordinal) in [(3, 1), (2, 2)] {
        kennel.birth(litter, hours, json!({ "ordinal": ordinal, "weight_g": 400 })).await;
    }
    let begun = Told::of(&kennel, litter).await;
    assert!(begun.one()["basis"].to_string().contains("2 born already"), "births narrow it");
    assert_eq!(
        (&begun.expected["born"], &begun.status["still_to_come_at_least"]),
        (&json!(2), &json!(4))
    );

    log(&kennel, litter, 5, json!({ "kind": "finished" })).await;
    let over = Told::of(&kennel, litter).await;
    assert_eq!([&over.expected["forecast"], &over.status["expected"]], [&Value::Null; 2]);
    assert_eq!(
        (&over.preparation["pups"], &over.planned[0]["pups_range"]),
        (&json!(2), &json!([2, 2]))
    );
    // The count is not forgotten with it.
    let query = format!("?litter_id={litter}");
    let fewer = alarm(&kennel, &query, "whelping.fewer_than_counted").await.unwrap();
    assert_eq!(fewer["params"]["counted_at_least"], 6);
}

#[tokio::test]
async fn an_expired_dose_is_open_for_schedule_due_and_readiness_though_it_is_confirmed() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(2, 57).await;
    let dose = |dog: Uuid, expires_on| {
        json!({
            "dog_id": dog, "kind": "vaccination", "given_at": time_ago(Duration::days(4)),
            "product": "core vaccine", "batch": "Q4", "expires_on": expires_on, "confirmed": true,
        })
    };
    // On the day of expiry a product is good still.
    for (pup, expires_on) in [(pups[0], days_ago(5)), (pups[1], days_ago(4))] {
        kennel.post("/health-events", dose(pup, expires_on)).await.created();
    }
    let result = async |pup: Uuid| {
        let readiness = kennel.get(&format!("/dogs/{pup}/readiness")).await.ok();
        let checks = readiness["checks"].as_array().unwrap();
        let check = checks.iter().find(|check| check["rule"] == "vaccination").unwrap().clone();
        (check, readiness["cautions"].clone())
    };
    let (good, quiet) = result(pups[1]).await;
    assert_eq!(good["result"], "met");
    assert_eq!(of_code(&quiet, "health.expired_product"), None);
    let (open, cautions) = result(pups[0]).await;
    assert_eq!(open["result"], "unmet");
    assert!(open["detail"].as_str().unwrap().contains("had expired on"), "{open}");

    let query = format!("?dog_id={}", pups[0]);
    let expired = alarm(&kennel, &query, "health.expired_product").await.unwrap();
    let shown = of_code(&cautions, "health.expired_product").unwrap();
    assert_eq!((said(shown), &shown["alarm"]["id"]), (said(&expired), &expired["id"]));
    let schedule = kennel.get(&format!("/dogs/{}/schedule", pups[0])).await.ok();
    assert_eq!(
        said(of_code(&schedule["cautions"], "health.expired_product").unwrap()),
        said(&expired)
    );
    let step = schedule["steps"].as_array().unwrap().iter().find(|s| !s["not_counted"].is_null());
    let step = step.expect("the step that it would have taken");
    assert_ne!(step["status"], "done");
    assert_eq!(schedule["not_counted"][0]["given_on"], json!(days_ago(4)));
    let due = kennel.get(&format!("/due?litter_id={litter}")).await.ok();
    let walk = due["items"].to_string();
    assert!(walk.contains(&format!("{}", step["step"])), "{walk}");
}

#[tokio::test]
async fn what_hinders_a_hand_over_that_is_due_is_an_alarm_and_readiness_shows_it() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(2, 60).await;
    let buyer = kennel.buyer("Ottilie").await;
    kennel.post("/placements", Kennel::reservation(pups[0], buyer)).await.created();
    let query = format!("?litter_id={litter}");
    let hindered = alarm(&kennel, &query, "go_home.hindered").await.unwrap();
    assert_eq!(
        (&hindered["level"], &hindered["about"]["dog_id"]),
        (&json!("act"), &json!(pups[0]))
    );
    for path in [format!("/dogs/{}/readiness", pups[0]), format!("/litters/{litter}/readiness")] {
        let readiness = kennel.get(&path).await.ok();
        let shown = of_code(&readiness["cautions"], "go_home.hindered").unwrap();
        assert_eq!(
            (said(shown), &shown["alarm"]["id"]),
            (said(&hindered), &hindered["id"]),
            "{path}"
        );
        // What judges the question alone names no alarm.
        let judged = of_code(&readiness["cautions"], "go_home.no_law_listed").unwrap();
        assert_eq!(judged["alarm"], Value::Null);
    }
    // Of the other pup, for which nobody waits, nothing is said.
    assert_eq!(alarm(&kennel, &format!("?dog_id={}", pups[1]), "go_home.hindered").await, None);
    let wrong = kennel.get("/today").await.ok()["wrong"].clone();
    assert_eq!(said(of_code(&wrong, "go_home.hindered").unwrap()), said(&hindered));

    kennel.change(&format!("/dogs/{}", pups[0]), json!({ "died_on": days_ago(0) })).await.ok();
    assert_eq!(alarm(&kennel, &query, "go_home.hindered").await, None);
    let died = alarm(&kennel, &query, "go_home.died").await.unwrap();
    let readiness = kennel.get(&format!("/litters/{litter}/readiness")).await.ok();
    assert_eq!(said(of_code(&readiness["cautions"], "go_home.died").unwrap()), said(&died));
}

#[tokio::test]
async fn who_has_seen_an_alarm_stands_wherever_it_is_shown_and_nowhere_after_a_graver_turn() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let mating = kennel.mating(dam, sire, 63).await;
    let body = json!({ "dam_id": dam, "sire_id": sire, "mating_id": mating });
    let litter = kennel.post("/litters", body).await.id();
    kennel.birth(litter, 4, json!({ "weight_g": 400 })).await;
    log(&kennel, litter, 150, json!({ "kind": "sign", "sign": "panting" })).await;
    let query = format!("?litter_id={litter}");
    let pause = alarm(&kennel, &query, "whelping.no_pup_since").await.unwrap();
    assert_eq!(pause["level"], "act");
    let seen = format!("/alarms/{}/seen", pause["id"].as_str().unwrap());
    let helper = kennel.helper().await;
    helper.post(&seen, json!({ "note": "our vet is told" })).await.created();

    let code = "whelping.no_pup_since";
    let marks = async || {
        let status = kennel.get(&format!("/litters/{litter}/whelping/status")).await.ok();
        let window = kennel.get(&format!("/litters/{litter}/due-window")).await.ok();
        let today = kennel.get("/today").await.ok();
        let shown = |answer: &Value| of_code(&answer["cautions"], code).cloned();
        [
            alarm(&kennel, "", code).await.map(|alarm| alarm["seen"].clone()),
            alarm(&kennel, &query, code).await.map(|alarm| alarm["seen"].clone()),
            alarm(&kennel, &format!("?dog_id={dam}"), code)
                .await
                .map(|alarm| alarm["seen"].clone()),
            of_code(&today["wrong"], code).map(|alarm| alarm["seen"].clone()),
            shown(&status).map(|caution| caution["alarm"]["seen"].clone()),
            shown(&window).map(|caution| caution["alarm"]["seen"].clone()),
        ]
    };
    for (place, mark) in marks().await.into_iter().enumerate() {
        let mark = mark.unwrap_or_else(|| panic!("place {place} shows it"));
        assert_eq!(
            (&mark["note"], &mark["person_id"]),
            (&json!("our vet is told"), &json!(helper.person_id)),
            "{place}"
        );
    }
    // One more pup than is out was counted: the same cause, and an emergency.
    counted(&kennel, mating, "xray", 2, 2).await;
    let graver = alarm(&kennel, &query, code).await.unwrap();
    assert_eq!((&graver["id"], &graver["level"]), (&pause["id"], &json!("emergency")));
    assert_eq!(marks().await, [const { Some(Value::Null) }; 6]);
}

#[tokio::test]
async fn a_litter_is_cautioned_for_what_is_seen_of_its_parents_whether_it_names_a_mating_or_not() {
    let kennel = Kennel::among_others().await;
    let coloured = async |name: &str, sex: &str, colour: &str| {
        let body = json!({ "sex": sex, "born_on": days_ago(1100), "colour": colour });
        kennel.dog(name, body).await
    };
    let dam = coloured("Ilka", "female", "red merle and white").await;
    let merle = coloured("Bram", "male", "Blaumerle").await;
    let sable = coloured("Otto", "male", "sable").await;
    let warned = |answer: &Value| {
        let cautions = answer["cautions"].as_array().unwrap();
        cautions.iter().any(|c| c["code"] == "traits.both_parents" && c["level"] == "act")
    };
    let body = json!({ "dam_id": dam, "sire_id": merle });
    let recorded = kennel.post("/litters", body).await.created();
    assert!(warned(&recorded), "{recorded}");
    let path = format!("/litters/{}", id(&recorded));
    assert!(warned(&kennel.get(&path).await.ok()));
    let corrected = kennel.change(&path, json!({ "sire_id": sable })).await.ok();
    assert!(!warned(&corrected), "{corrected}");
    assert!(warned(&kennel.change(&path, json!({ "sire_id": merle })).await.ok()));
    let unknown = kennel.change(&path, json!({ "sire_id": null })).await.ok();
    assert_eq!(unknown["cautions"], json!([]));

    let mating = json!({
        "dam_id": dam, "sire_id": merle, "status": "planned", "method": "natural",
        "planned_on": days_ago(-30),
    });
    let mating = kennel.post("/matings", mating).await.created();
    assert!(warned(&mating));
    let by_mating = kennel.post("/litters", json!({ "mating_id": mating["id"] })).await.created();
    assert!(warned(&by_mating), "by the mating's parents: {by_mating}");
}
