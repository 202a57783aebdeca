//! What a mating is cautioned for, and what stands beside an inbreeding coefficient.

use crate::common::*;
use chrono::Duration;

async fn coloured(kennel: &Kennel, name: &str, sex: &str, colour: &str) -> Uuid {
    let body =
        json!({ "sex": sex, "born_on": days_ago(900), "colour": colour, "for_breeding": true });
    kennel.dog(name, body).await
}

fn texts(cautions: &Value) -> Vec<(String, String)> {
    let text = |c: &Value, key: &str| c[key].as_str().unwrap().to_owned();
    cautions.as_array().unwrap().iter().map(|c| (text(c, "level"), text(c, "what"))).collect()
}

fn warns_of_merle(cautions: &Value) -> bool {
    texts(cautions)
        .iter()
        .any(|(level, what)| level == "act" && what.contains("Do not mate merle with merle"))
}

/// No gene test is on file: colour alone cautions, when a mating is tried, planned and recorded.
#[tokio::test]
async fn merle_seen_in_both_parents_is_cautioned_everywhere() {
    let kennel = Kennel::among_others().await;
    let dam = coloured(&kennel, "Una", "female", "blue merle").await;
    let sire = coloured(&kennel, "Odo", "male", "Rotmerle").await;
    let black = coloured(&kennel, "Rex", "male", "black tri").await;

    let both = json!({ "dams": [dam], "sires": [sire, black] });
    let tried = kennel.post("/trial-matings", both).await.ok();
    let rows = tried["cautions"].as_array().unwrap();
    assert_eq!(rows.len(), 1, "{rows:?}");
    assert_eq!((&rows[0]["dam_id"], &rows[0]["sire_ids"]), (&json!(dam), &json!([sire])));
    assert!(warns_of_merle(&json!([rows[0]["caution"]])));

    let pair = json!({ "dam_id": dam, "sire_id": sire });
    let genetics = kennel.post("/trial-matings/genetics", pair.clone()).await.ok();
    assert!(warns_of_merle(&genetics["genotypes"]["cautions"]));

    let plan = kennel.post("/mating-plans", json!({ "dams": [dam] })).await.ok();
    let of_dam = &plan["grid"]["dams"][0];
    let excluded = of_dam["excluded"].as_array().unwrap();
    let merle = excluded.iter().find(|m| m["sire_id"] == json!(sire)).unwrap();
    assert!(warns_of_merle(&merle["cautions"]));
    assert!(merle["exclusions"].to_string().contains("double_merle"));
    let ranked = of_dam["ranked"].as_array().unwrap();
    let other = ranked.iter().find(|m| m["sire_id"] == json!(black)).unwrap();
    assert_eq!(other["cautions"], json!([]));

    let planned =
        json!({ "dam_id": dam, "sire_id": sire, "status": "planned", "planned_on": days_ago(-3) });
    let mating = kennel.post("/matings", planned).await.created();
    assert!(warns_of_merle(&mating["cautions"]), "{mating}");
    let path = format!("/matings/{}", mating["id"].as_str().unwrap());
    assert_eq!(kennel.get(&path).await.ok()["cautions"], mating["cautions"]);
    let other_sire = kennel.change(&path, json!({ "sire_id": black })).await.ok();
    assert_eq!(other_sire["cautions"], json!([]));
    let done = json!({ "sire_id": sire, "status": "done", "ties": [{ "happened_at": time_ago(Duration::hours(2)) }] });
    assert!(warns_of_merle(&kennel.change(&path, done).await.ok()["cautions"]));

    // A test that finds no merle goes before what somebody saw.
    let clear = json!({ "marker": "coat_m", "alleles": ["m", "m"] });
    kennel.post(&format!("/dogs/{sire}/genotype-tests"), clear).await.created();
    let cautions = texts(&kennel.get(&path).await.ok()["cautions"]);
    assert_eq!(cautions.len(), 1);
    assert!(cautions[0].0 == "note" && cautions[0].1.contains("its test found no merle"));
}

/// Markings count as the colour does, and one parent alone is not cautioned.
#[tokio::test]
async fn bobtails_and_hairless_dogs_are_cautioned_when_both_are() {
    let kennel = Kennel::among_others().await;
    let tail = json!({ "sex": "female", "born_on": days_ago(900), "colour": "red", "markings": "bobtail" });
    let dam = kennel.dog("Una", tail).await;
    let sire = coloured(&kennel, "Odo", "male", "schwarz, Stummelrute").await;
    let long = coloured(&kennel, "Rex", "male", "schwarz").await;
    let recorded = async |sire: Uuid| {
        let body = json!({ "dam_id": dam, "sire_id": sire, "status": "planned" });
        texts(&kennel.post("/matings", body).await.created()["cautions"])
    };
    let cautions = recorded(sire).await;
    assert!(cautions.len() == 1 && cautions[0].1.contains("bobtail"), "{cautions:?}");
    assert!(recorded(long).await.is_empty());
}

/// The convention's figure stays, 0 for a founder and for a dog with an unknown parent; beside it
/// stands that it is a lower bound, why, and how complete the pedigree is.
#[tokio::test]
async fn an_inbreeding_coefficient_never_stands_alone() {
    let kennel = Kennel::among_others().await;
    let rex = kennel.sire("Rex").await;
    let of_rex = |sex: &str| json!({ "sex": sex, "sire_id": rex, "born_on": days_ago(900) });
    let (una, odo) =
        (kennel.dog("Una", of_rex("female")).await, kennel.dog("Odo", of_rex("male")).await);
    let pup = json!({ "sex": "male", "sire_id": odo, "dam_id": una, "born_on": days_ago(60) });
    let pup = kennel.dog("Pip", pup).await;
    for (dog, figure, unknown, generation) in
        [(rex, 0.0, "both_parents", 1), (una, 0.0, "dam", 1), (pup, 0.125, "ancestors", 2)]
    {
        for path in ["inbreeding", "pedigree", "booklet.json"] {
            let answer = kennel.get(&format!("/dogs/{dog}/{path}")).await.ok();
            assert_eq!(answer["inbreeding"], figure, "{path}");
            let bound = &answer["lower_bound"];
            assert_eq!(bound["unknown"], unknown, "{path}");
            assert_eq!(bound["unknown_from_generation"], generation, "{path}");
            assert!(bound["why"].as_str().unwrap().contains("lower bound"), "{bound}");
            assert!(bound["complete_generation_equivalents"].is_number());
        }
        let svg = kennel.get(&format!("/dogs/{dog}/pedigree.svg")).await.expect(200);
        let svg = String::from_utf8(svg.bytes.to_vec()).unwrap();
        assert!(svg.contains("inbreeding at least") && svg.contains("count as unrelated"));
        assert!(!svg.contains(">F 0") && !svg.contains(">F 1"), "no figure by itself");
        let pdf = kennel.get(&format!("/dogs/{dog}/booklet.pdf")).await.expect(200);
        let text = pdf_extract::extract_text_from_mem(&pdf.bytes).unwrap();
        let squeezed: String = text.split_whitespace().collect();
        assert!(squeezed.contains("atleast") && squeezed.contains("lowerbound"), "{text}");
    }
    let body = json!({ "dams": [una], "sires": [odo] });
    let tried = kennel.post("/trial-matings", body).await.ok();
    assert!(tried["about_inbreeding"].as_str().unwrap().contains("lower bound"));
    assert_eq!(tried["pairs"][0]["unknown_from_generation"], 2);
    let plan = kennel.post("/mating-plans", json!({ "dams": [una], "sires": [odo] })).await.ok();
    assert!(plan["grid"]["about_inbreeding"].as_str().unwrap().contains("lower bound"));
    let row = &plan["grid"]["dams"][0]["excluded"][0];
    assert_eq!(row["complete_generation_equivalents"], 1.5);
}

/// Concannon: LH surge + 64 to 66. A dam two days past is overdue, three days past is an emergency,
/// and the window stays where it was.
#[tokio::test]
async fn a_passed_due_window_does_not_drift_on() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let due = async |surge: i64| {
        let heat = json!({ "dog_id": dam, "began_on": days_ago(surge + 10) });
        let heat = kennel.post("/heats", heat).await.created();
        let heat = heat["id"].as_str().unwrap().to_owned();
        let tie = json!({ "happened_at": time_ago(Duration::days(surge - 2)) });
        let mating = json!({
            "dam_id": dam, "sire_id": sire, "heat_id": heat, "status": "done", "ties": [tie],
        });
        let mating = kennel.post("/matings", mating).await.created()["id"].clone();
        let reading = json!({ "kind": "lh", "taken_at": time_ago(Duration::days(surge)), "finding": "surge" });
        kennel.post(&format!("/heats/{heat}/readings"), reading).await.created();
        let litter = json!({ "dam_id": dam, "sire_id": sire, "mating_id": mating });
        let litter = kennel.post("/litters", litter).await.created()["id"].clone();
        kennel.get(&format!("/litters/{}/due-window", litter.as_str().unwrap())).await.ok()
    };
    let late = due(72).await;
    assert_eq!(late["passed"], true, "{late}");
    assert!(late["latest_on"].as_str().unwrap() < days_ago(0).to_string().as_str());
    let cautions = texts(&late["cautions"]);
    let overdue: Vec<_> = cautions.iter().filter(|(_, what)| what.contains("overdue")).collect();
    assert!(overdue.len() == 1 && overdue[0].0 == "emergency", "{cautions:?}");
    let limits = late["overdue_limits"].as_array().unwrap();
    assert!(limits.iter().any(|limit| limit["counted_from"] == "ovulation"), "{limits:?}");
}
