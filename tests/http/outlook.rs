//! What is foretold of a litter from the records around it: pedigree, tests, logs, places.

use crate::common::*;
use chrono::Duration;

/// A litter of these parents, mated so many days ago.
async fn expected(kennel: &Kennel, dam: Uuid, sire: Uuid, tied_days_ago: i64) -> Uuid {
    let mating = kennel.mating(dam, sire, tied_days_ago).await;
    let litter = json!({ "dam_id": dam, "sire_id": sire, "mating_id": mating });
    kennel.post("/litters", litter).await.id()
}

/// Expected pups fall with the litter's inbreeding by the published slope; the dam's own counts too.
#[tokio::test]
async fn litters_of_related_parents_are_smaller() {
    let kennel = Kennel::among_others().await;
    let (granddam, grandsire) = (kennel.dam("Alma").await, kennel.sire("Bosun").await);
    let of_both = json!({
        "sire_id": grandsire, "dam_id": granddam, "breed": "Labrador Retriever",
        "born_on": days_ago(2 * 365), "adult_weight_g": 28_000,
    });
    let mut female = of_both.clone();
    female["sex"] = json!("female");
    let mut male = of_both;
    male["sex"] = json!("male");
    let sister = kennel.dog("Cleo", female).await;
    let brother = kennel.dog("Dart", male).await;
    let stranger = kennel.sire("Echo").await;

    let outcross = expected(&kennel, sister, stranger, 30).await;
    let plain = kennel.get(&format!("/litters/{outcross}/expected-pups")).await.ok();
    kennel.remove(&format!("/litters/{outcross}")).await.no_content();
    let sibs = expected(&kennel, sister, brother, 30).await;
    let inbred = kennel.get(&format!("/litters/{sibs}/expected-pups")).await.ok();
    let mean = |answer: &Value| answer["forecast"]["mean"].as_f64().unwrap();
    // Full sibs of unrelated parents: 0.25 (Wright 1922).
    assert!(inbred.to_string().contains("litter's inbreeding 0.250"), "{inbred}");
    assert!(!plain.to_string().contains("inbreeding"), "{plain}");
    assert!(mean(&inbred) < mean(&plain) - 0.3, "{} {}", mean(&inbred), mean(&plain));
}

async fn tested(kennel: &Kennel, dog: Uuid, marker: &str, alleles: [&str; 2]) {
    let result = json!({ "marker": marker, "alleles": alleles });
    kennel.post(&format!("/dogs/{dog}/genotype-tests"), result).await.created();
}

/// Mendel: one pup in four of two carriers is brown; a buyer who waits for one is reckoned with.
#[tokio::test]
async fn the_planner_reckons_with_colours_from_the_parents_tests() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    for dog in [dam, sire] {
        for (marker, alleles) in [
            ("coat_b", ["B", "b"]),
            ("coat_d", ["D", "D"]),
            ("coat_e", ["E", "E"]),
            ("coat_k", ["KB", "KB"]),
        ] {
            tested(&kennel, dog, marker, alleles).await;
        }
    }
    let wish = |colour: &str| {
        json!({
            "name": format!("waits for {colour}"), "joined_on": days_ago(40),
            "wishes": { "colour": colour },
        })
    };
    let brown = kennel.post("/buyers", wish("Brown")).await.id();
    let white = kennel.post("/buyers", wish("white")).await.id();
    expected(&kennel, dam, sire, 30).await;
    let plan = kennel.get("/planner").await.ok();
    let demand = plan["demand"].as_array().unwrap();
    let share = |colour: &str| {
        let lines = demand.iter().flat_map(|month| month["supply"].as_array().unwrap());
        let own = lines.filter(|line| line["colour"] == colour);
        own.map(|line| line["pups"].as_f64().unwrap()).sum::<f64>()
    };
    assert!(share("brown") > 0.5, "{plain}", plain = plan["demand"]);
    assert!((share("black") / share("brown") - 3.0).abs() < 1e-6);
    let served: Vec<&Value> =
        demand.iter().flat_map(|month| month["buyers_served"].as_array().unwrap()).collect();
    assert_eq!(served, [&json!(brown)]);
    let waiting = demand.last().unwrap()["buyers_waiting"].as_array().unwrap();
    assert_eq!(waiting, &[json!(white)]);

    // A draft with a tested sire has colours as well.
    let draft = json!({ "drafts": [{ "dam_id": dam, "sire_id": sire, "heat_number": 1 }] });
    let tried = kennel.post("/planner/what-if", draft).await;
    assert!(tried.status == 200 || tried.status == 422, "{}", tried.text());
}

/// What lies in the house is counted by its own sex and colour.
#[tokio::test]
async fn free_pups_are_supplied_as_they_are() {
    let kennel = Kennel::among_others().await;
    let (_, pups) = kennel.born_litter(2, 20).await;
    for (pup, colour) in pups.iter().zip(["chocolate", "black"]) {
        kennel.change(&format!("/dogs/{pup}"), json!({ "colour": colour })).await.ok();
    }
    let plan = kennel.get("/planner").await.ok();
    let mut lines: Vec<String> = plan["demand"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|month| month["supply"].as_array().unwrap())
        .map(|line| format!("{} {} {}", line["sex"], line["colour"], line["pups"]))
        .collect();
    lines.sort();
    assert_eq!(lines, [r#""female" "chocolate" 1.0"#, r#""male" "black" 1.0"#], "{plan}");
}

#[tokio::test]
async fn a_litter_is_put_in_a_place_of_the_list() {
    let kennel = Kennel::among_others().await;
    let place =
        kennel.post("/places", json!({ "name": "Warm room", "kind": "whelping_room" })).await.id();
    kennel.post("/places", json!({ "name": "Spare room", "kind": "pen" })).await.created();
    let (dam, other) = (kennel.dam("Juno").await, kennel.dam("Vesper").await);
    let sire = kennel.sire("Castor").await;
    let first = expected(&kennel, dam, sire, 50).await;
    let second = expected(&kennel, other, sire, 45).await;
    for litter in [first, second] {
        let path = format!("/litters/{litter}");
        kennel.change(&path, json!({ "place_id": place })).await.ok();
        let nowhere = json!({ "place_id": Uuid::now_v7() });
        let etag = kennel.get(&path).await.etag();
        kennel.patch(&path, &etag, nowhere).await.refused(&["/place_id"]);
    }
    let plan = kennel.get("/planner").await.ok();
    for litter in plan["litters"].as_array().unwrap() {
        assert_eq!(litter["place_id"], json!(place), "{plan}");
    }
    let clashes = plan["clashes"].as_array().unwrap();
    let taken = clashes.iter().find(|clash| clash["kind"] == "place_taken").unwrap();
    assert!(taken["detail"].as_str().unwrap().starts_with("Warm room: "), "{taken}");
    assert!(!clashes.iter().any(|clash| clash["kind"] == "no_place"), "{plan}");
    // A place in use stays on the list.
    let etag = kennel.get(&format!("/places/{place}")).await.etag();
    kennel.delete(&format!("/places/{place}"), &etag).await.problem(409);
}

/// The Kennel Club (UK): no more litters after two caesareans; FCI, older text: one sire a heat.
#[tokio::test]
async fn limits_count_caesareans_and_the_sires_of_a_heat() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let other = kennel.sire("Pollux").await;
    for days in [800, 400] {
        let litter = kennel.litter(dam, sire).await;
        let at = time_ago(Duration::days(days));
        let line = json!({ "happened_at": at, "event": { "kind": "caesarean" } });
        kennel.post(&format!("/litters/{litter}/whelping"), line).await.created();
        kennel.birth(litter, 24 * days, json!({ "sex": "female", "weight_g": 400 })).await;
    }
    let heat = kennel.heat(dam, 8).await;
    for sire in [sire, other] {
        let mating = json!({
            "dam_id": dam, "sire_id": sire, "heat_id": heat, "status": "planned",
            "method": "natural", "planned_on": days_ago(-2),
        });
        kennel.post("/matings", mating).await.created();
    }
    let plan = kennel.get("/planner").await.ok();
    let findings = plan["limits"][0]["findings"].as_array().unwrap();
    let of = |rule: &str| findings.iter().find(|finding| finding["rule"] == rule).unwrap();
    assert_eq!(of("dam_max_caesareans")["result"], "unmet", "{findings:?}");
    assert_eq!(of("dam_one_sire_per_heat")["result"], "unmet", "{findings:?}");
}

#[tokio::test]
async fn a_green_discharge_in_the_log_warns_beside_the_due_window() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let litter = expected(&kennel, dam, sire, 61).await;
    let warned = async || {
        let window = kennel.get(&format!("/litters/{litter}/due-window")).await.ok();
        let cautions = window["cautions"].as_array().unwrap().clone();
        cautions.iter().any(|caution| {
            caution["code"] == "whelping.green_discharge" && caution["level"] == "emergency"
        })
    };
    assert!(!warned().await);
    let line = json!({
        "happened_at": time_ago(Duration::hours(1)),
        "event": { "kind": "discharge", "colour": "green_black" },
    });
    kennel.post(&format!("/litters/{litter}/whelping"), line).await.created();
    assert!(warned().await);
    // With the first pup out it is what it always is.
    kennel.birth(litter, 0, json!({ "sex": "male", "weight_g": 410 })).await;
    assert!(!warned().await);
}
