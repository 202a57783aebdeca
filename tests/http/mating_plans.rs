//! Genotypes, what pups can inherit, and plans of matings.

use crate::common::*;

async fn tested(kennel: &Kennel, dog: Uuid, marker: &str, alleles: [&str; 2]) -> Answer {
    let body = json!({ "marker": marker, "alleles": alleles, "tested_on": "2024-05-01" });
    kennel.post(&format!("/dogs/{dog}/genotype-tests"), body).await
}

#[tokio::test]
async fn genotypes_are_held_against_the_catalogue() {
    let kennel = Kennel::among_others().await;
    let dam = kennel.dam("Juno").await;
    tested(&kennel, dam, "prcd_pra", ["N", "prcd"]).await.created();
    tested(&kennel, dam, "prcd_pra", ["N", "N"]).await.problem(409);
    tested(&kennel, dam, "no_such_marker", ["N", "N"]).await.refused(&["/marker"]);
    tested(&kennel, dam, "coat_b", ["B", "zebra"]).await.refused(&["/alleles/1"]);
    let path = format!("/dogs/{dam}/genotype-tests");
    let id = ids(&kennel.get(&path).await.ok())[0];
    let changed =
        kennel.change(&format!("{path}/{id}"), json!({ "alleles": ["N", "N"] })).await.ok();
    assert_eq!(changed["alleles"], json!(["N", "N"]));
    assert!(items(&kennel.get("/genetic-markers").await.ok()).len() > 10);
}

/// Mendel's ratios for two carriers of a recessive: a quarter clear, a half carriers, a quarter affected.
#[tokio::test]
async fn two_carriers_give_a_quarter_affected() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    tested(&kennel, dam, "prcd_pra", ["N", "prcd"]).await.created();
    tested(&kennel, sire, "prcd_pra", ["N", "prcd"]).await.created();
    tested(&kennel, dam, "coat_b", ["B", "b"]).await.created();
    tested(&kennel, sire, "coat_b", ["b", "b"]).await.created();
    let body = json!({ "dam_id": dam, "sire_id": sire });
    let answer = kennel.post("/trial-matings/genetics", body).await.ok();
    let markers = answer["genotypes"]["markers"].as_array().unwrap();
    let pra = markers.iter().find(|m| m["marker"] == "prcd_pra").unwrap();
    let mut chances: Vec<(String, f64)> = pra["daughters"]
        .as_array()
        .unwrap()
        .iter()
        .map(|g| {
            (g["genotype"].as_str().unwrap().to_owned(), g["chance"]["lowest"].as_f64().unwrap())
        })
        .collect();
    chances.sort_by(|a, b| a.0.cmp(&b.0));
    let wanted = [("N/N", 0.25), ("N/prcd", 0.5), ("prcd/prcd", 0.25)];
    assert_eq!(chances, wanted.map(|(genotype, chance)| (genotype.to_owned(), chance)));
    assert!(!answer["genotypes"]["cautions"].as_array().unwrap().is_empty(), "carrier by carrier");
    assert!(!answer["colours"].is_null());
    let breeds = answer["breeds"]["shares"].as_array().unwrap();
    assert_eq!(
        (&breeds[0]["breed"], &breeds[0]["expected"]),
        (&json!("Labrador Retriever"), &json!(1.0))
    );

    let tried = async |dam, sire| {
        kennel.post("/trial-matings/genetics", json!({ "dam_id": dam, "sire_id": sire })).await
    };
    tried(sire, dam).await.refused(&["/dam_id", "/sire_id"]);
    tried(dam, Uuid::now_v7()).await.refused(&["/sire_id"]);
}

#[tokio::test]
async fn plans_a_year_and_gives_reasons() {
    let kennel = Kennel::among_others().await;
    let (dam, sire, other) =
        (kennel.dam("Juno").await, kennel.sire("Castor").await, kennel.sire("Pollux").await);
    let daughter = json!({
        "sex": "female", "born_on": days_ago(900), "sire_id": sire, "dam_id": dam, "for_breeding": true,
    });
    let daughter = kennel.dog("Fern", daughter).await;
    let plan = kennel.post("/mating-plans", json!({ "litters": 2 })).await.ok();
    assert_eq!(plan["breeding_stock"], 4);
    let dams = plan["grid"]["dams"].as_array().unwrap();
    let of_daughter = dams.iter().find(|row| row["dam_id"] == json!(daughter)).unwrap();
    let excluded = of_daughter["excluded"].as_array().unwrap();
    assert_eq!((excluded.len(), &excluded[0]["sire_id"]), (1, &json!(sire)), "her own sire");
    assert!(!excluded[0]["exclusions"].as_array().unwrap().is_empty());
    assert_eq!(of_daughter["ranked"][0]["sire_id"], json!(other));
    let proposal = &plan["proposal"];
    assert_eq!(proposal["matings"].as_array().unwrap().len(), 2);
    assert!(proposal["gap"].as_f64().unwrap() >= 0.0);

    let asked = async |body: Value| kennel.post("/mating-plans", body).await;
    asked(json!({ "litters": 9 })).await.refused(&["/litters"]);
    asked(json!({ "rule_set": "no such" })).await.refused(&["/rule_set"]);
    asked(json!({ "dams": [sire] })).await.refused(&["/dams/0"]);
    asked(json!({ "dams": [Uuid::now_v7()] })).await.refused(&["/dams/0"]);
    assert!(items(&kennel.get("/rules/breeding-sets").await.ok()).len() > 3);
    let population = kennel.get("/population").await.ok();
    let kinships = population["mean_kinships"].as_array().unwrap();
    assert_eq!(
        (kinships.len(), &kinships[0]["dog_id"]),
        (4, &json!(other)),
        "unrelated to all others"
    );
}
