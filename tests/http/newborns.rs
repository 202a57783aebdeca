//! Newborns looked over and weighed together, a scale that jumps, orphans day by day, and the dam after it all.

use crate::common::*;
use chrono::Duration;
use uuid::Uuid;

async fn alarms(caller: &Caller, litter: Uuid) -> Vec<Value> {
    let path = format!("/alarms?litter_id={litter}");
    caller.get(&path).await.ok()["items"].as_array().unwrap().clone()
}

fn of_code<'a>(alarms: &'a [Value], code: &str) -> Option<&'a Value> {
    alarms.iter().find(|alarm| alarm["code"] == code)
}

/// Two pups that were born three hours ago.
async fn newborns(kennel: &Kennel) -> (Uuid, Vec<Uuid>) {
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let litter = kennel.litter(dam, sire).await;
    let mut pups = Vec::new();
    for (ordinal, collar) in [(1, "red"), (2, "blue")] {
        let fields = json!({ "ordinal": ordinal, "collar": collar, "weight_g": 400 });
        let birth = kennel.birth(litter, 3, fields).await;
        pups.push(birth["dog_id"].as_str().unwrap().parse().unwrap());
    }
    (litter, pups)
}

fn looked_over(minutes_ago: i64, palate: &str) -> Value {
    json!({
        "checked_at": time_ago(Duration::minutes(minutes_ago)), "nurses": true,
        "exam": {
            "palate": palate, "suck_reflex": "normal", "limbs": "normal", "belly_wall": "normal",
            "umbilicus": "normal", "anus": "normal",
        },
    })
}

#[tokio::test]
async fn a_newborn_is_looked_over_and_what_is_found_speaks() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = newborns(&kennel).await;
    let before = alarms(&kennel, litter).await;
    let asked = of_code(&before, "newborn.unexamined").expect("asked for");
    assert_eq!((&asked["level"], &asked["params"]["pups"]), (&json!("note"), &json!(2)));
    assert_eq!(asked["about"]["dog_id"], Value::Null);

    let checks = format!("/dogs/{}/pup-checks", pups[0]);
    let helper = kennel.helper().await;
    let written = helper.post(&checks, looked_over(60, "abnormal")).await.created();
    assert_eq!(written["exam"]["palate"], "abnormal");
    assert_eq!(written["exam"]["skull"], Value::Null);
    kennel.viewer().await.post(&checks, looked_over(50, "normal")).await.problem(403);
    kennel.another().await.post(&checks, looked_over(50, "normal")).await.problem(404);
    kennel.post(&checks, looked_over(50, "odd")).await.refused(&["/exam/palate"]);

    let after = alarms(&kennel, litter).await;
    let cleft = of_code(&after, "newborn.defect").expect("a defect calls");
    assert_eq!((&cleft["level"], &cleft["about"]["dog_id"]), (&json!("act"), &json!(pups[0])));
    assert_eq!(cleft["params"]["item"], "palate");
    assert_eq!(of_code(&after, "newborn.unexamined").unwrap()["params"]["pups"], 1);

    let round = kennel.get(&format!("/litters/{litter}/newborns")).await.ok();
    let pup = |id: Uuid| {
        let all = round["pups"].as_array().unwrap();
        all.iter().find(|pup| pup["dog_id"] == json!(id)).unwrap().clone()
    };
    assert_eq!(pup(pups[0])["exam"][0]["finding"], "abnormal");
    assert_eq!(pup(pups[0])["not_looked_at"], json!([]));
    assert_eq!(pup(pups[1])["not_looked_at"].as_array().unwrap().len(), 6);
    assert!(!pup(pups[0])["first_fed_at"].is_null() && pup(pups[1])["first_fed_at"].is_null());
    assert_eq!(round["questions"].as_array().unwrap().len(), 11);
    assert_eq!(pup(pups[0])["cautions"][0]["code"], "newborn.defect");

    kennel.post(&checks, looked_over(10, "seen_by_vet")).await.created();
    let seen = alarms(&kennel, litter).await;
    assert_eq!(of_code(&seen, "newborn.defect"), None, "a vet has seen it");
    let path = format!("/litters/{litter}/newborns");
    kennel.another().await.get(&path).await.problem(404);
    kennel.viewer().await.get(&path).await.ok();
}

#[tokio::test]
async fn what_is_known_of_a_pup_is_weighed_together() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(4, 4).await;
    for (index, pup) in pups.iter().enumerate() {
        for (hours_ago, weight_g) in [(72, 410), (48, 440), (24, 470), (1, 505)] {
            let of_first = [405, 415, 420, 421];
            let at = [72, 48, 24, 1].iter().position(|h| *h == hours_ago).unwrap();
            let weight_g = if index == 0 { of_first[at] } else { weight_g };
            kennel.weight(*pup, hours_ago, weight_g).await;
        }
    }
    let path = format!("/litters/{litter}/newborns");
    let score = async |pup: Uuid| {
        let round = kennel.get(&path).await.ok();
        let all = round["pups"].as_array().unwrap().clone();
        all.iter().find(|it| it["dog_id"] == json!(pup)).unwrap()["fading"].clone()
    };
    let by_weights = score(pups[0]).await;
    assert_eq!(by_weights["probability"], by_weights["by_weights_alone"]);
    assert_eq!(by_weights["lacks"].as_array().unwrap().len(), 2);
    let taken = json!({ "measured_at": time_ago(Duration::minutes(50)), "temperature_c": 34.6 });
    kennel.post(&format!("/dogs/{}/temperatures", pups[0]), taken).await.created();
    let check = json!({
        "checked_at": time_ago(Duration::minutes(40)), "signs": ["crying"], "nurses": false,
    });
    kennel.post(&format!("/dogs/{}/pup-checks", pups[0]), check).await.created();
    let all = score(pups[0]).await;
    assert!(all["probability"].as_f64() > by_weights["probability"].as_f64(), "{all}");
    let kinds: Vec<&str> = all["grounds"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| it["evidence"].as_str().unwrap())
        .collect();
    for kind in ["weights", "temperature", "feeding", "signs"] {
        assert!(kinds.contains(&kind), "{kinds:?}");
    }
    let told = alarms(&kennel, litter).await;
    let own: Vec<&Value> =
        told.iter().filter(|alarm| alarm["about"]["dog_id"] == json!(pups[0])).collect();
    assert_eq!(own.len(), 1, "one cause is one alarm");
    let grounds = own[0]["grounds"].as_array().unwrap();
    assert!(grounds.iter().any(|it| it["code"] == "newborn.fading"), "{grounds:#?}");
    let well = score(pups[1]).await;
    assert!(well["probability"].as_f64().unwrap() < 0.1, "{well}");
}

#[tokio::test]
async fn a_round_that_is_off_calls_once() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(4, 6).await;
    for (index, pup) in pups.iter().enumerate() {
        let more = 20 * index as i64;
        for (hours_ago, weight_g) in [(120, 420), (96, 450), (72, 480), (48, 510), (25, 540)] {
            kennel.weight(*pup, hours_ago, weight_g + more).await;
        }
        let body = json!({
            "measured_at": time_ago(Duration::hours(1)), "weight_g": (540 + more) * 9 / 10,
            "confirmed": true,
        });
        kennel.post(&format!("/dogs/{pup}/weights"), body).await.created();
    }
    let told = alarms(&kennel, litter).await;
    let jump = of_code(&told, "growth.scale_jump").expect("the scale is asked about");
    assert_eq!((&jump["level"], &jump["about"]["dog_id"]), (&json!("act"), &Value::Null));
    let growth = kennel.get(&format!("/litters/{litter}/growth")).await.ok();
    assert_eq!(growth["scale_jump"]["pups"].as_array().unwrap().len(), 4);
    assert!(growth["pups"].as_array().unwrap().iter().all(|pup| pup["last_in_doubt"] == true));
    let losing = told.iter().filter(|it| it["code"] == "growth.losing" && it["level"] != "note");
    assert_eq!(losing.count(), 0, "no pup rings for itself");
}

#[tokio::test]
async fn an_orphan_has_a_plan_by_day() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(1, 2).await;
    let path = format!("/dogs/{}/rearing-plan", pups[0]);
    let plan = kennel.get(&path).await.ok();
    let days = plan["days"].as_array().unwrap();
    assert_eq!((&days[0]["age_days"], days.len()), (&json!(2), 47));
    assert_eq!(days[0]["toileting"], "each_feed");
    assert_eq!(days[0]["feeds_least"], 6);
    let ration = kennel.get(&format!("/dogs/{}/ration", pups[0])).await.ok();
    assert_eq!(ration["pup"]["ration"]["feeds_per_day"], days[0]["feeds_least"], "one voice");
    assert!(plan["figures"].as_array().unwrap().len() > 15);
    assert!(
        plan["cautions"].as_array().unwrap().iter().any(|it| it["code"] == "feeding.aspiration")
    );
    let weak = kennel.get(&format!("{path}?weak=true")).await.ok();
    assert_eq!(weak["days"][0]["feeds_least"], 12);
    kennel
        .get(&format!("{path}?replacer_kcal_per_ml=9"))
        .await
        .refused(&["#query/replacer_kcal_per_ml"]);
    kennel.another().await.get(&path).await.problem(404);
    kennel.viewer().await.get(&path).await.ok();
    let grown = kennel.dam("Vesper").await;
    kennel.get(&format!("/dogs/{grown}/rearing-plan")).await.refused(&["#path/dog_id"]);
}

#[tokio::test]
async fn when_a_dam_may_be_bred_again_is_one_answer() {
    let kennel = Kennel::among_others().await;
    let (litter, _) = kennel.born_litter(3, 30).await;
    let dam = kennel.get(&format!("/litters/{litter}")).await.ok()["dam_id"].clone();
    let path = format!("/dogs/{}/breeding-again", dam.as_str().unwrap());
    let told = kennel.get(&path).await.ok();
    assert_eq!(told["dog_id"], dam);
    let grounds = told["grounds"].as_array().unwrap();
    let of = |words: &str| grounds.iter().find(|it| it["what"].as_str().unwrap().contains(words));
    let womb = of("womb").expect("her womb heals");
    let healed = days_ago(30) + Duration::days(84);
    assert_eq!((&womb["of"], &womb["met_from"]), (&json!("state"), &json!(healed)));
    assert!(of("nurses").is_some() && of("weigh her").is_some(), "{grounds:#?}");
    assert!(told["says"].as_str().unwrap().len() > 10);
    kennel.viewer().await.get(&path).await.ok();
    kennel.another().await.get(&path).await.problem(404);
    let sire = kennel.sire("Pollux").await;
    kennel.get(&format!("/dogs/{sire}/breeding-again")).await.refused(&["#path/dog_id"]);
    let cut = json!({
        "happened_at": time_ago(Duration::days(30)), "event": { "kind": "caesarean" },
    });
    kennel.post(&format!("/litters/{litter}/whelping"), cut).await.created();
    let after = kennel.get(&path).await.ok();
    let vet = after["grounds"].as_array().unwrap().iter().any(|it| it["answer"] == "ask_vet");
    assert!(vet, "{after:#}");
}

#[tokio::test]
async fn the_dams_weeks_know_her_litter_before() {
    let kennel = Kennel::among_others().await;
    let (first, _) = kennel.born_litter(3, 300).await;
    let dam: Uuid = kennel.get(&format!("/litters/{first}")).await.ok()["dam_id"]
        .as_str()
        .unwrap()
        .parse()
        .unwrap();
    let sire = kennel.sire("Pollux").await;
    let second = kennel.litter(dam, sire).await;
    kennel.birth(second, 24 * 10, json!({})).await;
    let health = format!("/litters/{second}/dam-health");
    let weeks = async || kennel.get(&health).await.ok()["puerperium"].clone();
    let before = weeks().await;
    assert_eq!(before["calcium_risk"]["level"], "usual", "{before:#}");
    assert_eq!(before["involution"]["lochia"], "red_brown");
    let shook = json!({ "checked_at": time_ago(Duration::days(285)), "signs": ["tremor"] });
    kennel.post(&format!("/litters/{first}/dam-checks"), shook).await.created();
    let after = weeks().await;
    assert_eq!(after["calcium_risk"]["level"], "high", "{after:#}");
    assert_eq!(after["calcium_risk"]["grounds"].as_array().unwrap().len(), 1);
    let taken = |days: i64, weight_g: i64| json!({ "measured_at": time_ago(Duration::days(days)), "weight_g": weight_g, "confirmed": true });
    for (days, weight_g) in [(9, 24_000), (1, 17_000)] {
        kennel.post(&format!("/dogs/{dam}/weights"), taken(days, weight_g)).await.created();
    }
    kennel.change(&format!("/dogs/{dam}"), json!({ "adult_weight_g": 22_000 })).await.ok();
    let course = weeks().await["weight"].clone();
    assert_eq!((&course["too_low"], &course["last_g"]), (&json!(true), &json!(17_000.0)));
}
