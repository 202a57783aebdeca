//! What the country calls for, combined vaccines, tests in place of doses, live vaccines, batches called back.

use crate::common::*;
use chrono::Duration;

async fn step(kennel: &Kennel, dog: Uuid, key: &str) -> Value {
    let schedule = kennel.get(&format!("/dogs/{dog}/schedule")).await.ok();
    let steps = schedule["steps"].as_array().unwrap().clone();
    let found = steps.into_iter().rev().find(|step| step["step"] == key);
    found.unwrap_or_else(|| panic!("{key} in {schedule}"))
}

fn given(dog: Uuid, days: i64, more: Value) -> Value {
    let mut event =
        json!({ "dog_id": dog, "kind": "vaccination", "given_at": time_ago(Duration::days(days)) });
    event.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    event
}

fn plan<'a>(regional: &'a Value, key: &str) -> &'a Value {
    let plans = regional["plans"].as_array().unwrap();
    plans.iter().find(|plan| plan["plan_key"] == key).unwrap()
}

/// StIKo Vet counts leptospirosis as core in Germany; elsewhere it is offered, and a kennel takes it by a plan of
/// its own with that key, or leaves its country's out by one without steps.
#[tokio::test]
async fn the_country_of_a_kennel_calls_for_plans_and_the_kennel_decides() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(1, 60).await;
    let keys = async || {
        let schedule = kennel.get(&format!("/dogs/{}/schedule", pups[0])).await.ok();
        let steps = schedule["steps"].as_array().unwrap().clone();
        steps.iter().any(|step| step["series"] == "leptospirosis")
    };
    kennel.change("", json!({ "jurisdiction": "SE" })).await.ok();
    assert!(!keys().await);
    let told = kennel.get("/health-plans/regional").await.ok();
    assert_eq!(told["jurisdiction"], "SE");
    assert_eq!(plan(&told, "pup-leptospirosis")["is_followed"], false);
    kennel.change("", json!({ "jurisdiction": "DE" })).await.ok();
    assert!(keys().await);
    assert_eq!(step(&kennel, pups[0], "leptospirosis-first").await["status"], "due");
    let told = kennel.get("/health-plans/regional").await.ok();
    let row = plan(&told, "pup-leptospirosis");
    assert_eq!((&row["standing"], &row["is_followed"]), (&json!("followed"), &json!(true)));
    assert!(row["source"].as_str().unwrap().contains("StIKo Vet"));
    assert_eq!(told["rabies"]["required"], "no");
    let standard = kennel.get("/health-plans/standard?limit=100").await.ok();
    let of = |key: &str| items(&standard).iter().find(|plan| plan["key"] == key).unwrap().clone();
    assert_eq!(of("pup-leptospirosis")["default"], true);
    assert_eq!(of("pup-heartworm")["default"], false);
    // Without steps it is switched off, from today on for dogs born from today on.
    let mut own = of("pup-leptospirosis");
    own["steps"] = json!([]);
    let off = kennel.post("/health-plans", own.clone()).await.id();
    let told = kennel.get("/health-plans/regional").await.ok();
    assert_eq!(plan(&told, "pup-leptospirosis")["is_followed"], false);
    kennel.remove(&format!("/health-plans/{off}")).await.no_content();
    // What is offered is taken by a plan of the kennel's own that holds by default.
    let mut ticks = of("pup-ticks");
    ticks["default"] = json!(true);
    kennel.post("/health-plans", ticks).await.created();
    let told = kennel.get("/health-plans/regional").await.ok();
    assert_eq!(plan(&told, "pup-ticks")["is_followed"], true);
}

/// Poland: within 30 days of the third month.
#[tokio::test]
async fn rabies_is_needed_where_the_law_says_so() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(1, 120).await;
    kennel.change("", json!({ "jurisdiction": "PL" })).await.ok();
    let first = step(&kennel, pups[0], "rabies-first").await;
    assert_eq!((&first["optional"], &first["status"]), (&json!(false), &json!("late")));
    assert_eq!(first["latest_on"], json!(days_ago(1)));
    kennel.change("", json!({ "jurisdiction": "DE" })).await.ok();
    assert_eq!(step(&kennel, pups[0], "rabies-first").await["optional"], true);
}

/// One product, two series: each has its dose.
#[tokio::test]
async fn a_combined_vaccine_is_a_dose_of_each_of_its_series() {
    let kennel = Kennel::among_others().await;
    kennel.change("", json!({ "jurisdiction": "DE" })).await.ok();
    let (_, pups) = kennel.born_litter(1, 60).await;
    let event =
        given(pups[0], 2, json!({ "also_series": ["leptospirosis"], "product": "combined" }));
    let written = kennel.post("/health-events", event).await.created();
    assert_eq!(written["also_series"], json!(["leptospirosis"]));
    for key in ["core-first", "leptospirosis-first"] {
        let step = step(&kennel, pups[0], key).await;
        assert_eq!((&step["status"], &step["event_id"]), (&json!("done"), &written["id"]), "{key}");
    }
    let twice = json!({ "series": "core", "also_series": ["core", "", "x", "x"] });
    kennel.post("/health-events", given(pups[0], 1, twice)).await.refused(&[
        "/also_series/0",
        "/also_series/1",
        "/also_series/3",
    ]);
}

/// WSAVA: antibodies at 20 weeks or later stand for the dose at 26 weeks; none, and it is due.
#[tokio::test]
async fn a_test_of_antibodies_stands_for_a_dose_or_brings_it_forward() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(2, 160).await;
    for pup in &pups {
        for days in [104, 76, 48] {
            kennel.post("/health-events", given(*pup, days, json!({}))).await.created();
        }
    }
    let test = |dog, protective: bool| {
        let event = json!({ "kind": "test", "series": "core", "protective": protective });
        given(dog, 10, event)
    };
    kennel.post("/health-events", test(pups[0], true)).await.created();
    kennel.post("/health-events", test(pups[1], false)).await.created();
    let booster = step(&kennel, pups[0], "core-26-weeks").await;
    assert_eq!((&booster["status"], &booster["by_test"]), (&json!("done"), &json!(true)));
    assert_eq!(booster["given_on"], json!(days_ago(10)));
    let booster = step(&kennel, pups[1], "core-26-weeks").await;
    assert_eq!((&booster["status"], &booster["by_test"]), (&json!("due"), &json!(false)));
    assert!(booster["not_counted"].is_string());
    for wrong in [json!({ "protective": true }), json!({ "kind": "test", "protective": true })] {
        let event = given(pups[0], 1, wrong);
        kennel.post("/health-events", event).await.refused(&["/protective"]);
    }
}

/// Two weeks between live vaccines of different kinds, or one day.
#[tokio::test]
async fn live_vaccines_within_days_are_cautioned_once() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(2, 60).await;
    let early = json!({ "series": "parvovirus" });
    kennel.post("/health-events", given(pups[0], 10, early.clone())).await.created();
    kennel.post("/health-events", given(pups[1], 17, early)).await.created();
    for pup in &pups {
        kennel.post("/health-events", given(*pup, 3, json!({ "series": "core" }))).await.created();
    }
    let cautions = async |dog: Uuid| {
        let schedule = kennel.get(&format!("/dogs/{dog}/schedule")).await.ok();
        let all = schedule["cautions"].as_array().unwrap().clone();
        all.iter().map(|caution| caution["code"].clone()).collect::<Vec<_>>()
    };
    assert_eq!(cautions(pups[0]).await, ["health.live_vaccines_close"]);
    assert_eq!(cautions(pups[1]).await, [] as [Value; 0]);
}

/// A batch is called back: all dogs that got it, wherever they are, and nobody else's.
#[tokio::test]
async fn a_batch_that_is_called_back_names_every_dog_that_got_it() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(4, 70).await;
    let with = |batch: &str, product: &str| json!({ "batch": batch, "product": product });
    for (pup, batch) in pups.iter().zip(["B-2291", "b2291", "B 2291", "B2292"]) {
        kennel.post("/health-events", given(*pup, 5, with(batch, "Vax one"))).await.created();
    }
    kennel
        .post("/health-events", given(pups[3], 30, json!({ "product": "vax one" })))
        .await
        .created();
    let buyer = kennel.buyer("Rosa Lind").await;
    let placement =
        json!({ "buyer_id": buyer, "dog_id": pups[1], "kind": "sale", "stage": "reserved" });
    let placement = kennel.post("/placements", placement).await.created();
    let path = format!("/placements/{}", id(&placement));
    kennel.change(&path, json!({ "stage": "confirmed" })).await.ok();
    kennel.set_aside_all(pups[1]).await;
    let gone = json!({ "stage": "handed_over", "handed_over_on": days_ago(0) });
    kennel.change(&path, gone).await.ok();
    kennel.change(&format!("/dogs/{}", pups[2]), json!({ "died_on": days_ago(1) })).await.ok();

    let told = kennel.get("/batch-recall?batch=b2291").await.ok();
    let doses = told["doses"].as_array().unwrap();
    let found: Vec<(&Value, &Value)> =
        doses.iter().map(|dose| (&dose["dog_id"], &dose["whereabouts"])).collect();
    assert_eq!(
        found,
        [
            (&json!(pups[0]), &json!("here")),
            (&json!(pups[1]), &json!("gone")),
            (&json!(pups[2]), &json!("dead"))
        ]
    );
    assert_eq!((&told["dogs"], &told["without_batch"]), (&json!(3), &json!(1)));
    assert_eq!(doses[1]["buyer_id"], json!(buyer));
    // A helper is told where it is, and not to whom it went.
    let helper = kennel.helper().await;
    let seen = helper.get("/batch-recall?batch=B2291").await.ok();
    assert_eq!(seen["dogs"], 3);
    assert_eq!(seen["doses"][1]["buyer_id"], Value::Null);
    // A co-owner sees the dogs that are theirs.
    let co_owner = kennel.co_owner(&[pups[0]]).await;
    let seen = co_owner.get("/batch-recall?batch=B2291").await.ok();
    assert_eq!((&seen["dogs"], &seen["doses"][0]["dog_id"]), (&json!(1), &json!(pups[0])));
    kennel.stranger().await.get("/batch-recall?batch=B2291").await.problem(404);
    kennel.get("/batch-recall?batch=--").await.problem(400);
    kennel.get("/batch-recall").await.problem(400);
    let listed = kennel.get("/health-events?batch=B-2291").await.ok();
    assert_eq!(items(&listed).len(), 1);
}
