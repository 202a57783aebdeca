//! A short list of tasks: what closes itself, what ends, one shopping list, one line a place, and
//! steps by a dog's age.

use crate::common::*;
use chrono::{Duration, NaiveDate};
use std::sync::Arc;

/// Somebody of the demo, logged in to the first of their kennels.
async fn login(service: &Arc<Service>, email: &str) -> Caller {
    let nobody = Caller::new(Arc::clone(service), Uuid::nil(), Uuid::nil(), None);
    let body = json!({ "email": email, "password": demo::PASSWORD });
    let token =
        nobody.post("/v1/auth/login", body).await.expect(200).json()["access_token"].clone();
    let person = nobody.with_token(token.as_str().unwrap());
    let me = person.get("/v1/me").await.ok();
    person.in_kennel(me["kennels"][0]["kennel_id"].as_str().unwrap().parse().unwrap())
}

fn lines(list: &Value) -> Vec<Value> {
    items(list).to_vec()
}

async fn listed(caller: &Caller, query: &str) -> Vec<Value> {
    lines(&caller.get(&format!("/tasks{query}")).await.ok())
}

fn with_key<'l>(lines: &'l [Value], part: &str) -> Option<&'l Value> {
    lines.iter().find(|line| line["key"].as_str().unwrap().contains(part))
}

fn titles(lines: &[Value]) -> Vec<&str> {
    lines.iter().map(|line| line["title"].as_str().unwrap()).collect()
}

fn day(value: &Value) -> NaiveDate {
    value.as_str().unwrap().parse().unwrap()
}

/// A litter by a mating so many days ago.
async fn expecting(kennel: &Kennel, dam: &str, tied_days_ago: i64) -> (Uuid, Uuid, Uuid) {
    let (dam, sire) = (kennel.dam(dam).await, kennel.sire("Castor").await);
    let mating = kennel.mating(dam, sire, tied_days_ago).await;
    let litter = json!({ "dam_id": dam, "sire_id": sire, "mating_id": mating });
    (dam, mating, kennel.post("/litters", litter).await.id())
}

/// A place, and these litters in it.
async fn lodged(kennel: &Kennel, name: &str, litters: &[Uuid]) -> Uuid {
    let place = json!({ "name": name, "kind": "whelping_room", "capacity": 3 });
    let place = kennel.post("/places", place).await.id();
    for litter in litters {
        kennel.change(&format!("/litters/{litter}"), json!({ "place_id": place })).await.ok();
    }
    place
}

#[tokio::test]
async fn the_demos_list_for_a_day_is_short() {
    let service = Arc::new(Service::with_demo().await);
    let owner = login(&service, "maren@example.org").await;
    let list = listed(&owner, "").await;
    println!("{} lines:\n{}", list.len(), titles(&list).join("\n"));
    assert!((10..30).contains(&list.len()), "{} lines", list.len());
    // What is past its use, or done, is not among them, and nothing stands twice.
    let mut told = titles(&list);
    told.sort_unstable();
    assert!(told.windows(2).all(|pair| pair[0] != pair[1]), "{told:?}");
    assert!(list.iter().all(|line| line["status"] != "done" && line["status"] != "ended"));
    let shopping: Vec<_> =
        list.iter().filter(|l| l["title"].as_str().unwrap().starts_with("Shopping")).collect();
    assert_eq!(shopping.len(), 1);
    for silly in ["1 pieces", "piece Liners", "First worming: done"] {
        assert!(!told.join("\n").contains(silly), "{silly}");
    }
    // One line of chores a place.
    for place in ["Whelping room", "Garden pen"] {
        let chores = list.iter().filter(|l| l["key"].as_str().unwrap().contains(":chores:"));
        assert_eq!(chores.filter(|line| line["place"] == place).count(), 1, "{place}");
    }
}

#[tokio::test]
async fn no_grown_dog_of_the_demo_is_reproached_with_its_puphood() {
    let service = Arc::new(Service::with_demo().await);
    let owner = login(&service, "maren@example.org").await;
    let dogs = owner.get("/dogs?residence=here&limit=500").await.ok();
    let grown: Vec<&Value> = items(&dogs)
        .iter()
        .filter(|dog| {
            dog["born_on"]
                .as_str()
                .is_some_and(|on| on.len() == 10 && day(&dog["born_on"]) < days_ago(400))
        })
        .collect();
    assert!(grown.len() >= 8);
    for dog in grown {
        let schedule = owner.get(&format!("/dogs/{}/schedule", id(dog))).await.ok();
        for step in schedule["steps"].as_array().unwrap() {
            let of_pup = [
                "worming-first",
                "worming-fortnightly",
                "worming-monthly",
                "core-first",
                "core-series",
            ];
            let reproach =
                of_pup.iter().any(|key| step["step"] == *key) && !step["late_days"].is_null();
            assert!(!reproach, "{}: {step}", dog["call_name"]);
        }
        assert!(schedule["cautions"].as_array().unwrap().is_empty(), "{schedule}");
    }
    let wall = owner.get("/today").await.ok();
    assert!(!wall["wrong"].to_string().contains("too early"), "{}", wall["wrong"]);
}

#[tokio::test]
async fn what_is_recorded_closes_its_task() {
    let kennel = Kennel::among_others().await;
    let (dam, mating, litter) = expecting(&kennel, "Juno", 58).await;
    let key = |item: &str| format!("litter:{litter}:prep:{item}");
    let stands = async |item: &str| {
        kennel.get(&format!("/tasks/{}", key(item))).await.ok()["status"]
            .as_str()
            .unwrap()
            .to_owned()
    };
    assert!(with_key(&listed(&kennel, "").await, &key("xray_count")).is_some());
    let check = |method: &str, days: i64| {
        json!({
            "checked_at": time_ago(Duration::days(days)), "method": method, "result": "pregnant", "count_at_least": 5,
        })
    };
    let path = format!("/matings/{mating}/pregnancy-checks");
    kennel.post(&path, check("ultrasound", 28)).await.created();
    assert_eq!(stands("pregnancy_check").await, "done");
    let xray = kennel.post(&path, check("xray", 0)).await.id();
    assert_eq!(stands("xray_count").await, "done");
    assert_eq!(with_key(&listed(&kennel, "").await, &key("xray_count")), None);
    let done = listed(&kennel, "?status=done").await;
    let closed = with_key(&done, &key("xray_count")).unwrap();
    assert_eq!((&closed["recorded_on"], &closed["done_at"]), (&json!(days_ago(0)), &json!(null)));
    // The litter's own list says the same; taken back, it is open again.
    let preparation = kennel.get(&format!("/litters/{litter}/preparation")).await.ok();
    let line = preparation["tasks"]
        .as_array()
        .unwrap()
        .iter()
        .find(|t| t["item"] == "xray_count")
        .unwrap()
        .clone();
    assert_eq!((&line["status"], &line["recorded_on"]), (&json!("done"), &json!(days_ago(0))));
    kennel.remove(&format!("{path}/{xray}")).await.no_content();
    assert_ne!(stands("xray_count").await, "done");

    // Two temperatures are asked for on a day: one is told, two close the round.
    let round = key(&format!("temperature:{}", days_ago(0)));
    let temperature = |minutes: i64| json!({ "measured_at": time_ago(Duration::minutes(minutes)), "temperature_c": 38.2 });
    let path = format!("/dogs/{dam}/temperatures");
    kennel.post(&path, temperature(120)).await.created();
    let once = kennel.get(&format!("/tasks/{round}")).await.ok();
    assert!(once["title"].as_str().unwrap().contains("1 of 2 done"), "{once}");
    assert_eq!(once["status"], "due_today");
    kennel.post(&path, temperature(5)).await.created();
    assert_eq!(kennel.get(&format!("/tasks/{round}")).await.ok()["status"], "done");
    // It was the only chore of the day there.
    assert_eq!(with_key(&listed(&kennel, "").await, ":chores:"), None);
}

#[tokio::test]
async fn rounds_after_the_birth_close_by_weights_checks_and_counts() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(3, 7).await;
    let chores = async || {
        let list = listed(&kennel, &format!("?litter_id={litter}")).await;
        with_key(&list, ":chores:").cloned()
    };
    let before = chores().await.unwrap();
    let parts = |line: &Value| line["parts"].as_array().unwrap().clone();
    let status = |line: &Value, item: &str| {
        with_key(&parts(line), item).map(|part| part["status"].as_str().unwrap().to_owned())
    };
    assert_eq!(status(&before, ":dam_temperature:").as_deref(), Some("due_today"));
    let check = json!({ "checked_at": time_ago(Duration::minutes(5)), "temperature_c": 38.7 });
    kennel.post(&format!("/litters/{litter}/dam-checks"), check).await.created();
    kennel.post("/supplies", json!({ "key": "liners", "on_hand": 500.0 })).await.created();
    let after = chores().await.unwrap();
    assert_eq!(status(&after, ":dam_temperature:").as_deref(), Some("done"));
    assert_eq!(status(&after, ":consumables:").as_deref(), Some("done"));
    assert_eq!(status(&after, ":bedding:").as_deref(), Some("due_today"));
    let weighing = async || {
        let list = listed(&kennel, "?origin=growth").await;
        with_key(&list, ":growth:weigh:").map(|line| line["title"].as_str().unwrap().to_owned())
    };
    assert!(weighing().await.unwrap().contains("3 not weighed today"));
    for pup in pups {
        kennel.weight(pup, 0, 620).await;
    }
    assert_eq!(weighing().await, None);
    // Ticked, the last part closes the line.
    let bedding =
        with_key(&parts(&after), ":bedding:").unwrap()["key"].as_str().unwrap().to_owned();
    kennel
        .change(&format!("/tasks/{bedding}"), json!({ "done_at": time_ago(Duration::minutes(1)) }))
        .await
        .ok();
    assert_eq!(chores().await, None);
}

#[tokio::test]
async fn what_is_past_its_use_ends() {
    let kennel = Kennel::among_others().await;
    let (_, _, litter) = expecting(&kennel, "Juno", 60).await;
    // An ultrasound is asked for up to day 35 and of use for twenty days more; an X-ray is to come.
    let list = listed(&kennel, "").await;
    assert_eq!(with_key(&list, "pregnancy_check"), None);
    let gone = kennel.get(&format!("/tasks/litter:{litter}:prep:pregnancy_check")).await.ok();
    assert_eq!((&gone["status"], &gone["days_late"]), (&json!("ended"), &json!(0)));
    assert!(with_key(&listed(&kennel, "?status=ended").await, "pregnancy_check").is_some());
    assert!(with_key(&list, "xray_count").is_some());
    // A person's own task stays a year (tasks.own_of_use).
    for (days, stands) in [(365, true), (366, false)] {
        let own = json!({ "title": format!("Paint the run, {days}"), "due_on": days_ago(days) });
        let own = kennel.post("/own-tasks", own).await.id();
        assert_eq!(
            with_key(&listed(&kennel, "").await, &own.to_string()).is_some(),
            stands,
            "{days}"
        );
    }
}

#[tokio::test]
async fn the_list_looks_a_fortnight_ahead_unless_asked() {
    let kennel = Kennel::among_others().await;
    for days in [14, 15, 40] {
        let own = json!({ "title": format!("In {days} days"), "from_on": days_ago(-days), "due_on": days_ago(-days) });
        kennel.post("/own-tasks", own).await.created();
    }
    let count = async |query: &str| listed(&kennel, query).await.len();
    assert_eq!(count("").await, 1);
    assert_eq!(count("?horizon_days=15").await, 2);
    assert_eq!(count("?horizon_days=0").await, 0);
    assert_eq!(count(&format!("?due_by={}", days_ago(-40))).await, 3);
    for wrong in ["-1", "367", "soon"] {
        let path = format!("/tasks?horizon_days={wrong}");
        assert_eq!(
            kennel.get(&path).await.problem(400)["errors"][0]["pointer"],
            "#query/horizon_days"
        );
    }
    let rule = json!({ "key": "tasks.horizon", "value": 40.0, "source": "our own" });
    kennel.post("/rules/overrides", rule).await.created();
    assert_eq!(count("").await, 3);
}

#[tokio::test]
async fn chores_are_one_line_a_place_and_are_ticked_together_or_one_by_one() {
    let kennel = Kennel::among_others().await;
    let (first, _) = kennel.born_litter(2, 30).await;
    let (second, _) = kennel.born_litter(2, 33).await;
    for (litter, name) in [(first, "A litter"), (second, "B litter")] {
        kennel.change(&format!("/litters/{litter}"), json!({ "name": name })).await.ok();
    }
    let place = lodged(&kennel, "Pen", &[first, second]).await;
    let list = listed(&kennel, "").await;
    let chores: Vec<_> =
        list.iter().filter(|l| l["key"].as_str().unwrap().contains(":chores:")).collect();
    assert_eq!(chores.len(), 1);
    let line = chores[0];
    assert_eq!(line["key"], format!("place:{place}:chores:{}", days_ago(0)));
    assert_eq!(line["place"], "Pen");
    assert!(line["title"].as_str().unwrap().contains("clean the pen (2 times a day)"), "{line}");
    assert!(line["title"].as_str().unwrap().ends_with("(A litter, B litter)"), "{line}");
    assert_eq!(
        line["litters"],
        json!([
            { "litter_id": first, "name": "A litter" }, { "litter_id": second, "name": "B litter" },
        ])
    );
    for litter in [first, second] {
        let own = listed(&kennel, &format!("?litter_id={litter}")).await;
        assert!(with_key(&own, ":chores:").is_some());
    }
    // One part by its own key, put off with a reason or done; then all that is left by the line's.
    let path = format!("/tasks/place:{place}:chores:{}", days_ago(0));
    let pen = format!("/tasks/litter:{first}:prep:pen:{}", days_ago(0));
    let at = time_ago(Duration::minutes(2));
    kennel.patch(&pen, "\"0\"", json!({ "done_at": at })).await.expect(200);
    let part_done = kennel.get(&path).await;
    let etag = part_done.etag();
    assert!(etag.starts_with("\"1-"), "{etag}");
    assert_eq!(part_done.json()["status"], "due_today");
    let helper = kennel.helper().await;
    helper.patch(&path, "\"0\"", json!({ "done_at": at })).await.problem(412);
    let done = helper.patch(&path, &etag, json!({ "done_at": at })).await.expect(200).json();
    assert_eq!((&done["status"], &done["done_by"]), (&json!("done"), &json!(null)));
    let by = |litter: Uuid| {
        let key = format!("litter:{litter}:prep:pen:{}", days_ago(0));
        done["parts"].as_array().unwrap().iter().find(|p| p["key"] == key).unwrap()["done_by"]
            .clone()
    };
    assert_eq!((by(first), by(second)), (json!(kennel.owner().person_id), json!(helper.person_id)));
    assert_eq!(with_key(&listed(&kennel, "").await, ":chores:"), None);
    // Taken back, the whole line is open again.
    let etag = kennel.get(&path).await.etag();
    let open = kennel.patch(&path, &etag, json!({ "done_at": null })).await.expect(200).json();
    assert_eq!(open["status"], "due_today");
}

#[tokio::test]
async fn a_co_owner_sees_and_ticks_only_the_own_litter_of_a_place() {
    let kennel = Kennel::among_others().await;
    let (first, _) = kennel.born_litter(2, 30).await;
    let (second, _) = kennel.born_litter(2, 33).await;
    lodged(&kennel, "Pen", &[first, second]).await;
    let dam = kennel.get(&format!("/litters/{first}")).await.ok()["dam_id"].clone();
    let co_owner = kennel.co_owner(&[serde_json::from_value(dam).unwrap()]).await;
    let list = listed(&co_owner, "").await;
    let line = with_key(&list, "prep:pen").or(with_key(&list, ":chores:")).unwrap();
    assert!(!json!(list).to_string().contains(&second.to_string()), "{list:?}");
    let path = format!("/tasks/{}", line["key"].as_str().unwrap());
    co_owner
        .patch(&path, "\"0\"", json!({ "done_at": time_ago(Duration::minutes(1)) }))
        .await
        .expect(200);
    // The other litter's chores are still to do.
    let list = listed(&kennel, "").await;
    let left = with_key(&list, ":chores:").unwrap();
    assert_eq!(left["litter_id"], json!(second));
}

#[tokio::test]
async fn shopping_is_one_list_for_the_kennel() {
    let kennel = Kennel::among_others().await;
    let (_, _, first) = expecting(&kennel, "Juno", 59).await;
    expecting(&kennel, "Alma", 58).await;
    expecting(&kennel, "Vesper", 57).await;
    let list = kennel.get("/shopping-list").await.ok();
    assert_eq!(day(&list["last_on"]), days_ago(-14));
    let of = |list: &Value, key: &str| items(list).iter().find(|line| line["key"] == key).cloned();
    let scale = of(&list, "scale").unwrap();
    assert_eq!((&scale["needed"], &scale["text"]), (&json!(1.0), &json!("Scale to 1 g: 1 piece")));
    let boxes = of(&list, "whelping_box").unwrap();
    assert_eq!(
        (&boxes["lasting"], &boxes["text"]),
        (&json!(true), &json!("Whelping box: 3 pieces"))
    );
    let pads = of(&list, "pads").unwrap();
    let (buy, packs) = (pads["buy"].as_f64().unwrap(), pads["packs"].as_f64().unwrap());
    assert!((buy - packs * 30.0).abs() < 1e-9 && buy >= pads["short"].as_f64().unwrap());
    assert!(
        pads["text"].as_str().unwrap().ends_with(&format!("{buy} pieces ({packs} packs of 30)")),
        "{pads}"
    );
    // One line of the tasks, with a part for each thing; what is there is off the list.
    let tasks = listed(&kennel, "?origin=preparation").await;
    let shopping: Vec<_> =
        tasks.iter().filter(|t| t["title"].as_str().unwrap().contains("hopping: ")).collect();
    assert_eq!(shopping.len(), 1);
    assert_eq!(shopping[0]["parts"].as_array().unwrap().len(), items(&list).len());
    kennel.post("/supplies", json!({ "key": "whelping_box", "on_hand": 2.0 })).await.created();
    let stock =
        kennel.post("/supplies", json!({ "key": "pads", "on_hand": 1000.0 })).await.created();
    assert_eq!(stock["counted_on"], json!(days_ago(0)));
    let list = kennel.get("/shopping-list").await.ok();
    assert_eq!(of(&list, "whelping_box").unwrap()["text"], "Whelping box: 1 piece");
    assert_eq!(of(&list, "pads"), None);
    // Looking only at today leaves out what is not needed yet; a litter's own list looks to its birth.
    assert!(
        items(&kennel.get("/shopping-list?horizon_days=0").await.ok()).len() <= items(&list).len()
    );
    let own = kennel.get(&format!("/litters/{first}/preparation")).await.ok();
    assert!(own["shopping"].to_string().contains("Whelping box: 1 piece"));
    kennel.get("/shopping-list?horizon_days=367").await.problem(400);
    kennel
        .post("/supplies", json!({ "key": "towels", "on_hand": 1.0, "counted_on": days_ago(-2) }))
        .await
        .refused(&["/counted_on"]);
    // A count of another day is kept, and a new amount is of today.
    let path = format!("/supplies/{}", id(&stock));
    let then =
        kennel.change(&path, json!({ "on_hand": 5.0, "counted_on": days_ago(3) })).await.ok();
    assert_eq!(then["counted_on"], json!(days_ago(3)));
    assert_eq!(
        kennel.change(&path, json!({ "note": "in the cellar" })).await.ok()["counted_on"],
        json!(days_ago(3))
    );
    assert_eq!(
        kennel.change(&path, json!({ "on_hand": 4.0 })).await.ok()["counted_on"],
        json!(days_ago(0))
    );
}

#[tokio::test]
async fn a_bought_pup_and_an_imported_adult_are_asked_not_scolded() {
    let kennel = Kennel::among_others().await;
    let pup = kennel.dog("Rowan", json!({ "born_on": days_ago(70), "sex": "female" })).await;
    let adult = kennel.dog("Merle", json!({ "born_on": "2021", "sex": "male" })).await;
    assert_eq!(kennel.get(&format!("/dogs/{pup}")).await.ok()["came_on"], json!(days_ago(0)));
    let late = async |dog: Uuid| {
        let schedule = kennel.get(&format!("/dogs/{dog}/schedule")).await.ok();
        let steps = schedule["steps"].as_array().unwrap().clone();
        assert!(schedule["cautions"].as_array().unwrap().is_empty());
        steps
            .into_iter()
            .filter(|step| step["status"] == "late" || !step["late_days"].is_null())
            .count()
    };
    assert_eq!((late(pup).await, late(adult).await), (0, 0));
    let list = listed(&kennel, "?origin=health").await;
    let asked = with_key(&list, "health:history").unwrap();
    let title = asked["title"].as_str().unwrap();
    assert!(title.contains("Rowan (worming, vaccination)") && title.contains("Merle"), "{title}");
    assert_ne!(asked["status"], "overdue");
    // It came a fortnight before it was written down: what its age asked for since then was missed.
    kennel.change(&format!("/dogs/{pup}"), json!({ "came_on": days_ago(14) })).await.ok();
    assert!(late(pup).await > 0);
    kennel
        .change(&format!("/dogs/{pup}"), json!({ "came_on": days_ago(71) }))
        .await
        .refused(&["/came_on"]);
    // Its passport says what it got: it is not asked any more.
    for (kind, ago) in [("worming", 20), ("vaccination", 14)] {
        let event =
            json!({ "dog_id": pup, "kind": kind, "given_at": time_ago(Duration::days(ago)) });
        kennel.post("/health-events", event).await.created();
    }
    let list = listed(&kennel, "?origin=health").await;
    let asked = with_key(&list, "health:history").unwrap();
    assert!(!asked["title"].as_str().unwrap().contains("Rowan (worming"), "{asked}");
    // A dog that comes later came on that day; a pup born here never did.
    let far = kennel.dog("Sorrel", json!({ "residence": "elsewhere", "sex": "female" })).await;
    let path = format!("/dogs/{far}");
    assert_eq!(kennel.get(&path).await.ok()["came_on"], json!(null));
    assert_eq!(
        kennel.change(&path, json!({ "residence": "here" })).await.ok()["came_on"],
        json!(days_ago(0))
    );
    let (_, pups) = kennel.born_litter(1, 20).await;
    assert_eq!(kennel.get(&format!("/dogs/{}", pups[0])).await.ok()["came_on"], json!(null));
    assert!(late(pups[0]).await > 0, "born here, its first worming is late");
}

#[tokio::test]
async fn a_dose_of_the_dam_before_the_birth_is_no_fault() {
    let kennel = Kennel::among_others().await;
    let (litter, _) = kennel.born_litter(2, 12).await;
    let dam = kennel.get(&format!("/litters/{litter}")).await.ok()["dam_id"].clone();
    for days in [20, 9] {
        let event =
            json!({ "dog_id": dam, "kind": "worming", "given_at": time_ago(Duration::days(days)) });
        kennel.post("/health-events", event).await.created();
    }
    let due = kennel.get("/due").await.ok();
    assert_eq!(due["cautions"], json!([]));
    let wall = kennel.get("/today").await.ok();
    assert!(!wall["wrong"].to_string().contains("too early"), "{}", wall["wrong"]);
    let text = due["items"].to_string();
    assert!(text.contains("dam-with-first-worming"), "it is still to be given: {text}");
}

#[tokio::test]
async fn a_kennel_writes_a_plan_for_its_grown_dogs() {
    let kennel = Kennel::among_others().await;
    let dog = kennel.dam("Juno").await;
    let plan = |subject: &str| {
        json!({
            "key": "eyes-yearly", "name": "Eyes once a year", "subject": subject, "default": true,
            "source": "our veterinarian",
            "steps": [{
                "key": "eyes-looked-at", "name": "Eyes looked at", "kind": "examination", "series": "eyes",
                "anchor": { "anchor": "last_dose" }, "earliest_days": 330, "ideal_days": 365, "latest_days": 400,
                "repeat": {}, "source": "our veterinarian", "confirmation": "common_practice",
            }],
        })
    };
    kennel.post("/health-plans", plan("pup")).await.refused(&["/steps/0/anchor/anchor"]);
    kennel.post("/health-plans", plan("grown")).await.created();
    let step = async || {
        let schedule = kennel.get(&format!("/dogs/{dog}/schedule")).await.ok();
        let steps = schedule["steps"].as_array().unwrap().clone();
        steps.into_iter().rfind(|step| step["step"] == "eyes-looked-at").unwrap()
    };
    assert_eq!(
        (&step().await["status"], &step().await["lacks"]),
        (&json!("unknown"), &json!("the day of the last dose"))
    );
    let seen = |days: i64| {
        json!({
            "dog_id": dog, "kind": "examination", "series": "eyes", "given_at": time_ago(Duration::days(days)),
        })
    };
    kennel.post("/health-events", seen(400)).await.created();
    assert_eq!(step().await["status"], "due");
    kennel.post("/health-events", seen(3)).await.created();
    assert_eq!(
        (&step().await["status"], &step().await["occurrence"]),
        (&json!("too_early"), &json!(3))
    );
}
