//! Screening by scheme, breeding values, tests that no catalogue knows, genomic inbreeding, and what a choice of a
//! mate costs the others.

use crate::common::*;

async fn graded(kennel: &Kennel, dog: Uuid, scheme: &str, result: &str) -> Answer {
    let body = json!({ "scheme": scheme, "result": result, "examined_on": days_ago(30) });
    kennel.post(&format!("/dogs/{dog}/screening-results"), body).await
}

async fn pup(kennel: &Kennel, name: &str, sex: &str, sire: Uuid, dam: Uuid) -> Uuid {
    let fields = json!({ "sex": sex, "sire_id": sire, "dam_id": dam, "born_on": days_ago(900) });
    kennel.dog(name, fields).await
}

#[tokio::test]
async fn a_result_is_held_against_its_scheme() {
    let kennel = Kennel::among_others().await;
    let dam = kennel.dam("Juno").await;
    let path = format!("/dogs/{dam}/screening-results");
    let sides = json!({ "scheme": "bva_hips", "left_side": "3", "right_side": "5", "examined_on": days_ago(9) });
    let kept = kennel.post(&path, sides).await.created();
    assert_eq!((&kept["left_side"], &kept["result"]), (&json!("3"), &Value::Null));
    graded(&kennel, dam, "moon", "A").await.refused(&["/scheme"]);
    graded(&kennel, dam, "fci_hips", "F").await.refused(&["/result"]);
    kennel.post(&path, json!({ "scheme": "fci_hips" })).await.refused(&["/result"]);
    let late = json!({ "scheme": "fci_hips", "result": "A", "examined_on": days_ago(-9) });
    kennel.post(&path, late).await.refused(&["/examined_on"]);
    let id = ids(&kennel.get(&path).await.ok())[0];
    kennel
        .change(&format!("{path}/{id}"), json!({ "left_side": "54" }))
        .await
        .refused(&["/left_side"]);
    let changed = kennel.change(&format!("{path}/{id}"), json!({ "left_side": "4" })).await.ok();
    assert_eq!(changed["left_side"], "4");
    assert_eq!(items(&kennel.get(&format!("{path}?scheme=fci_hips")).await.ok()).len(), 0);
    kennel.remove(&format!("{path}/{id}")).await.no_content();
    let schemes = kennel.get("/screening-schemes").await.ok();
    let of = |screened: &str| items(&schemes).iter().filter(|one| one["trait"] == screened).count();
    for screened in ["hips", "hip_laxity", "elbows", "patella", "heart", "eyes"] {
        assert!(of(screened) > 0, "{screened}");
    }
}

/// Sibs and offspring are counted, and a co-owner sees none of the dogs in which they hold no share.
#[tokio::test]
async fn relatives_are_looked_at_as_far_as_they_are_seen() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let first = pup(&kennel, "Fern", "female", sire, dam).await;
    let second = pup(&kennel, "Odo", "male", sire, dam).await;
    graded(&kennel, first, "fci_hips", "A").await.created();
    graded(&kennel, second, "fci_hips", "C").await.created();
    let relation = |answer: &Value, relation: &str| {
        let kin = answer["kin"].as_array().unwrap();
        kin.iter().find(|one| one["relation"] == relation).cloned().unwrap_or(Value::Null)
    };
    let of_dam = kennel.get(&format!("/dogs/{dam}/relatives-screened")).await.ok();
    let offspring = relation(&of_dam, "offspring");
    assert_eq!((&offspring["dogs"], &offspring["schemes"][0]["screened"]), (&json!(2), &json!(2)));
    let counts = json!([{ "result": "A", "dogs": 1 }, { "result": "C", "dogs": 1 }]);
    assert_eq!(offspring["schemes"][0]["results"], counts);
    assert_eq!(of_dam["dogs"].as_array().unwrap().len(), 3, "the dam and her pups");
    let sibs = kennel.get(&format!("/dogs/{first}/relatives-screened")).await.ok();
    assert_eq!(relation(&sibs, "full_sib")["schemes"][0]["results"][0]["result"], "C");
    assert_eq!(relation(&sibs, "parent")["dogs"], 2);

    let co_owner = kennel.co_owner(&[first]).await;
    let seen = co_owner.get(&format!("/dogs/{first}/relatives-screened")).await.ok();
    assert!(relation(&seen, "full_sib").is_null() && relation(&seen, "parent").is_null(), "{seen}");
    co_owner.get(&format!("/dogs/{second}/relatives-screened")).await.problem(404);
}

/// Two families, one graded well and one badly: the parents, never screened, are told by their pups, with errors
/// that shrink as results come in; who sees few results is told nothing.
#[tokio::test]
async fn breeding_values_come_from_all_kin_and_show_their_error() {
    let kennel = Kennel::among_others().await;
    let (good_dam, good_sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let (bad_dam, bad_sire) = (kennel.dam("Freya").await, kennel.sire("Pollux").await);
    let path = "/breeding-values?trait=hips";
    let none = kennel.get(path).await.ok();
    assert_eq!((items(&none).len(), none["model"]["why_none"].is_string()), (0, true));
    let mut shared = Vec::new();
    for (dam, sire, grade) in [(good_dam, good_sire, "A1"), (bad_dam, bad_sire, "D")] {
        for number in 0..4 {
            let dog = pup(&kennel, &format!("{grade} {number}"), "female", sire, dam).await;
            graded(&kennel, dog, "fci_hips", grade).await.created();
            shared.push(dog);
        }
    }
    let list = kennel.get(path).await.ok();
    assert_eq!(items(&list).len(), 12, "eight that were screened and the stock of four");
    let model = &list["model"];
    assert_eq!((&model["heritability"], &model["schemes"][0]["dogs"]), (&json!(0.35), &json!(8)));
    assert!(model["heritability_source"].as_str().unwrap().contains("Lewis"));
    let of = |list: &Value, dog: Uuid| {
        items(list).iter().find(|one| one["dog_id"] == json!(dog)).cloned().unwrap()
    };
    let (good, bad, own) = (of(&list, good_sire), of(&list, bad_sire), of(&list, shared[0]));
    let figure = |one: &Value, key: &str| one[key].as_f64().unwrap();
    assert!(figure(&good, "breeding_value") < 0.0 && figure(&bad, "breeding_value") > 0.0);
    assert!(figure(&own, "accuracy") > figure(&good, "accuracy"));
    assert!(figure(&good, "standard_error") < 1.0 && figure(&good, "accuracy") > 0.0);
    assert_eq!((&own["own_result"]["result"], &good["own_result"]), (&json!("A1"), &Value::Null));
    let order: Vec<f64> = items(&list).iter().map(|one| figure(one, "breeding_value")).collect();
    assert!(order.is_sorted(), "{order:?}");

    // Page by page the same dogs; one dog alone the same figure.
    let first = kennel.get(&format!("{path}&limit=5")).await.ok();
    let cursor = first["next_cursor"].as_str().unwrap();
    let second = kennel.get(&format!("{path}&limit=50&cursor={cursor}")).await.ok();
    let paged: Vec<&Value> = items(&first).iter().chain(items(&second)).collect();
    assert_eq!(paged, items(&list).iter().collect::<Vec<_>>());
    let alone = kennel.get(&format!("{path}&dog_id={bad_sire}")).await.ok();
    assert_eq!(items(&alone), std::slice::from_ref(&bad));

    // A kennel's own heritability of its breed.
    let own_figure = json!({ "key": "breeding_values.heritability_hips", "value": 0.6, "source": "our breed club" });
    kennel.post("/rules/overrides", own_figure).await.created();
    let list = kennel.get(path).await.ok();
    assert_eq!(list["model"]["heritability_source"], "our breed club");
    assert!(figure(&of(&list, good_sire), "accuracy") > figure(&good, "accuracy"));

    kennel.get("/breeding-values?trait=tail").await.problem(400);
    let eyes = kennel.get("/breeding-values?trait=eyes").await.ok();
    assert!(items(&eyes).is_empty() && eyes["model"]["heritability"].is_null());
    let co_owner = kennel.co_owner(&shared[..3]).await;
    let seen = co_owner.get(path).await.ok();
    assert!(items(&seen).is_empty(), "three results are too few: {seen}");
    co_owner.get(&format!("{path}&dog_id={bad_sire}")).await.problem(404);
}

/// Mendel for a test that only the kennel knows: two carriers of a recessive give a quarter affected; without the
/// mode of inheritance the results stand side by side.
#[tokio::test]
async fn a_test_that_no_catalogue_knows_is_reckoned_with_once_its_inheritance_is_known() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let record = async |dog: Uuid, fields: Value| {
        let mut body = json!({ "name": "Invented neuropathy", "result": "carrier", "tested_on": days_ago(40) });
        body.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
        kennel.post(&format!("/dogs/{dog}/free-tests"), body).await
    };
    let of_dam = id(&record(dam, json!({})).await.created());
    record(dam, json!({})).await.problem(409);
    record(dam, json!({ "name": "PRCD_PRA" })).await.refused(&["/name"]);
    let series = json!({ "name": "Other", "inheritance": "multi_allele_series", "copies": 1 });
    record(dam, series).await.refused(&["/copies"]);
    let on_the_x = json!({ "name": "On the X", "inheritance": "x_linked_recessive", "copies": 2 });
    record(sire, on_the_x).await.refused(&["/copies"]);
    let tried = async || {
        let body = json!({ "dam_id": dam, "sire_id": sire });
        kennel.post("/trial-matings/genetics", body).await.ok()["free_tests"][0].clone()
    };
    let told = tried().await;
    assert_eq!((&told["dam"]["result"], &told["sire"]), (&json!("carrier"), &Value::Null));
    assert!(told["outlook"].is_null() && told["why_none"].is_string());
    let known = json!({ "kind": "disease", "inheritance": "autosomal_recessive", "copies": 1 });
    kennel.change(&format!("/dogs/{dam}/free-tests/{of_dam}"), known.clone()).await.ok();
    record(sire, known).await.created();
    let told = tried().await;
    let shown = told["outlook"]["daughters_show"].as_array().unwrap();
    let affected = shown.iter().find(|one| one["class"] == "affected").unwrap();
    assert_eq!(affected["chance"]["exact"], "1/4");
    assert_eq!(told["cautions"][0]["level"], "act");
    assert!(told["why_none"].is_null());
}

#[tokio::test]
async fn genomic_inbreeding_stands_beside_the_pedigrees() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let (first, second) = (
        pup(&kennel, "Fern", "female", sire, dam).await,
        pup(&kennel, "Odo", "male", sire, dam).await,
    );
    let fields =
        json!({ "sex": "male", "sire_id": second, "dam_id": first, "born_on": days_ago(60) });
    let inbred = kennel.dog("Pip", fields).await;
    let path = format!("/dogs/{inbred}/genomic-inbreeding");
    let measured = json!({
        "inbreeding": 0.31, "method": "runs_of_homozygosity", "shortest_run_mb": 1.0, "tested_on": days_ago(20),
    });
    kennel.post(&path, measured).await.created();
    let wrong = json!({ "inbreeding": -0.1, "method": "runs_of_homozygosity" });
    kennel.post(&path, wrong).await.refused(&["/inbreeding"]);
    let wrong = json!({ "inbreeding": 29.0, "method": "other" });
    kennel.post(&path, wrong).await.refused(&["/inbreeding"]);
    let wrong = json!({ "inbreeding": 0.1, "method": "other", "shortest_run_mb": 2.0 });
    kennel.post(&path, wrong).await.refused(&["/shortest_run_mb"]);
    let report = kennel.get(&format!("/dogs/{inbred}/inbreeding")).await.ok();
    assert_eq!(report["inbreeding"], 0.25, "the pedigree's figure stays");
    let beside = &report["genomic"][0];
    assert_eq!(beside["inbreeding"], 0.31);
    assert!((beside["above_pedigree"].as_f64().unwrap() - 0.06).abs() < 1e-12);
    assert!(beside["says"].as_str().unwrap().contains("as expected"));
    let founder = kennel.get(&format!("/dogs/{dam}/inbreeding")).await.ok();
    assert_eq!(founder["genomic"], json!([]));
}

/// Two sisters and two unrelated sires: who takes the other's mate is told whose changes, a plan without the new
/// questions is what it was, and a mate that is left out says why.
#[tokio::test]
async fn a_choice_of_a_mate_is_told_with_what_it_costs_the_others() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let (pollux, rex) = (kennel.sire("Pollux").await, kennel.sire("Rex").await);
    let sister = async |name: &str| {
        let fields = json!({
            "sex": "female", "born_on": days_ago(900), "sire_id": sire, "dam_id": dam, "for_breeding": true,
            "breed": "Labrador Retriever",
        });
        kennel.dog(name, fields).await
    };
    let sisters = [sister("Fern").await, sister("Ivy").await];
    let asked = json!({
        "dams": sisters, "sires": [pollux, rex, sire], "litters": 2, "litters_per_sire": 1,
    });
    let with = async |more: Value| {
        let mut body = asked.clone();
        body.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        kennel.post("/mating-plans", body).await
    };
    let plain = with(json!({})).await.ok();
    assert_eq!((&plain["choices"], &plain["breed"]), (&json!([]), &Value::Null));
    let mate_of = |plan: &Value, dam: Uuid| {
        let matings = plan["proposal"]["matings"].as_array().unwrap();
        matings.iter().find(|one| one["dam_id"] == json!(dam)).unwrap()["sire_id"].clone()
    };
    let choices = json!([
        { "dam_id": sisters[0], "sire_id": mate_of(&plain, sisters[0]) },
        { "dam_id": sisters[0], "sire_id": mate_of(&plain, sisters[1]) },
        { "dam_id": sisters[0], "sire_id": sire },
    ]);
    let weighed = with(json!({ "choices": choices, "breed": "Labrador Retriever" })).await.ok();
    for part in ["mean_kinship", "lower_bound", "contributions", "nodes"] {
        assert_eq!(weighed["proposal"][part], plain["proposal"][part], "{part}");
    }
    let told = weighed["choices"].as_array().unwrap();
    assert_eq!((&told[0]["cost"], &told[0]["others"]), (&json!(0.0), &json!([])));
    assert_eq!(told[1]["others"][0]["dam_id"], json!(sisters[1]), "{}", told[1]);
    assert_eq!(told[1]["others"][0]["sires_after"], json!([mate_of(&plain, sisters[0])]));
    assert_eq!(
        (&told[2]["possible"], told[2]["why_not"].as_array().unwrap().is_empty()),
        (&json!(false), false)
    );

    // To the breed: four founders of which two are parents, and both sisters; each with itself.
    let breed = &weighed["breed"];
    assert_eq!(breed["dogs"], 6);
    let of = |dog: Uuid| {
        let all = breed["of_candidates"].as_array().unwrap();
        all.iter().find(|one| one["dog_id"] == json!(dog)).unwrap()["mean_kinship"]
            .as_f64()
            .unwrap()
    };
    assert!((of(rex) - 0.5 / 6.0).abs() < 1e-12);
    assert!((of(sisters[0]) - (0.5 + 0.25 + 0.25 + 0.25) / 6.0).abs() < 1e-12);
    let pups = weighed["proposal"]["matings"][0]["mean_kinship_to_breed"].as_f64().unwrap();
    assert!((pups - 0.5 * (of(rex) + of(sisters[0]))).abs() < 1e-12);
    assert!((breed["of_proposal"].as_f64().unwrap() - pups).abs() < 1e-12);
    assert!(plain["proposal"]["matings"][0]["mean_kinship_to_breed"].is_null());

    // Where the breed weighs, it is part of what the plan makes lowest; where it does not, the plan is what it was.
    let by_breed = json!({ "breed": "Labrador Retriever", "breed_weight": 2.0 });
    let by_breed = with(by_breed).await.ok();
    let figure = |plan: &Value, part: &str| plan["proposal"][part].as_f64().unwrap();
    let of_pups = by_breed["breed"]["of_proposal"].as_f64().unwrap();
    let weighs = figure(&by_breed, "mean_kinship") + 2.0 * of_pups;
    assert!((figure(&by_breed, "weighed") - weighs).abs() < 1e-12, "{by_breed}");
    assert!((figure(&plain, "weighed") - figure(&plain, "mean_kinship")).abs() < 1e-15);
    assert_eq!(figure(&plain, "breed_weight"), 0.0);
    with(json!({ "breed_weight": 2.0 })).await.refused(&["/breed"]);

    // Limits of single dogs.
    let only =
        json!([{ "dog_id": sisters[1], "at_most": 0 }, { "dog_id": sisters[0], "at_most": 2 }]);
    let limited = with(json!({ "limits": only })).await.ok();
    let dams: Vec<&Value> = limited["proposal"]["matings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| &one["dam_id"])
        .collect();
    assert!(dams.iter().all(|dam| **dam == json!(sisters[0])), "{dams:?}");
    with(json!({ "limits": [{ "dog_id": dam, "at_most": 1 }] }))
        .await
        .refused(&["/limits/0/dog_id"]);
    let stranger = json!([{ "dam_id": dam, "sire_id": rex }]);
    with(json!({ "choices": stranger })).await.refused(&["/choices/0/dam_id"]);
}

/// The ceiling is the kennel's: half sibs' pups (0.125) are left out by the standard one and allowed by a higher one.
/// A co-owner plans with the dogs they may see and no others.
#[tokio::test]
async fn a_plan_keeps_to_the_kennels_ceiling_and_to_what_one_sees() {
    let kennel = Kennel::among_others().await;
    let (dam, other, sire) =
        (kennel.dam("Juno").await, kennel.dam("Freya").await, kennel.sire("Castor").await);
    let half = |sex: &str, dam: Uuid| json!({ "sex": sex, "born_on": days_ago(900), "sire_id": sire, "dam_id": dam, "for_breeding": true });
    let daughter = kennel.dog("Fern", half("female", dam)).await;
    let son = kennel.dog("Odo", half("male", other)).await;
    let plan = async |caller: &Caller, body: Value| caller.post("/mating-plans", body).await;
    let pair = json!({ "dams": [daughter], "sires": [son] });
    let of = |plan: &Value, list: &str| plan["grid"]["dams"][0][list].as_array().unwrap().len();
    let left_out = plan(kennel.owner(), pair.clone()).await.ok();
    assert_eq!((of(&left_out, "ranked"), of(&left_out, "excluded")), (0, 1));
    let ceiling = json!({ "key": "breeding.inbreeding_ceiling", "value": 0.13, "source": "our plan for rare lines" });
    kennel.post("/rules/overrides", ceiling).await.created();
    let allowed = plan(kennel.owner(), pair.clone()).await.ok();
    assert_eq!((of(&allowed, "ranked"), of(&allowed, "excluded")), (1, 0));

    let co_owner = kennel.co_owner(&[daughter, son]).await;
    let own = plan(&co_owner, json!({ "litters": 1 })).await.ok();
    assert_eq!(own["breeding_stock"], 2, "the two that are shared");
    assert_eq!(own["proposal"]["matings"][0]["inbreeding"], 0.125, "kin is kin, seen or not");
    let named: Vec<&Value> =
        own["dogs"].as_array().unwrap().iter().map(|dog| &dog["dog_id"]).collect();
    assert_eq!(named.len(), 2);
    plan(&co_owner, json!({ "dams": [dam] })).await.refused(&["/dams/0"]);
    let limits = json!({ "litters": 1, "limits": [{ "dog_id": sire, "at_most": 1 }] });
    plan(&co_owner, limits).await.refused(&["/limits/0/dog_id"]);
}
