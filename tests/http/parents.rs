//! Parents: male and female, older than their pups, and nobody their own ancestor.

use crate::common::*;

async fn child(kennel: &Kennel, name: &str, sex: &str, born_on: &str, fields: Value) -> Uuid {
    let mut all = json!({ "sex": sex, "born_on": born_on });
    for (key, value) in fields.as_object().unwrap() {
        all[key] = value.clone();
    }
    kennel.dog(name, all).await
}

#[tokio::test]
async fn a_sire_is_male_and_a_dam_is_female() {
    let kennel = Kennel::among_others().await;
    let (juno, castor) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let unknown = kennel.dog("Unknown", json!({ "born_on": "2018" })).await;
    for (field, parent) in [
        ("sire_id", juno),
        ("dam_id", castor),
        ("sire_id", unknown),
        ("dam_id", unknown),
        ("dam_id", Uuid::now_v7()),
    ] {
        let pointer = format!("/{field}");
        let body = json!({ "residence": "here", field: parent });
        kennel.post("/dogs", body).await.refused(&[&pointer]);
    }
    let pup = kennel.dog("Fern", json!({ "sire_id": castor, "dam_id": juno })).await;
    // Their sex is settled from then on.
    kennel.change(&format!("/dogs/{castor}"), json!({ "sex": "female" })).await.problem(409);
    kennel.change(&format!("/dogs/{juno}"), json!({ "sex": null })).await.problem(409);
    kennel.remove(&format!("/dogs/{juno}")).await.problem(409);
    kennel.change(&format!("/dogs/{pup}"), json!({ "sire_id": null, "dam_id": null })).await.ok();
    kennel.remove(&format!("/dogs/{juno}")).await.no_content();
}

/// Dates are compared by the part that both state.
#[tokio::test]
async fn a_parent_is_older_than_its_pup() {
    let kennel = Kennel::among_others().await;
    let dam = child(&kennel, "Juno", "female", "2020-05-10", json!({})).await;
    let sire = child(&kennel, "Castor", "male", "2020", json!({})).await;
    for (born_on, field, parent) in [
        ("2020-05-10", "dam_id", dam),
        ("2020-05-09", "dam_id", dam),
        ("2020-05", "dam_id", dam),
        ("2020", "dam_id", dam),
        ("2019", "dam_id", dam),
        ("2020-12-31", "sire_id", sire),
    ] {
        let pointer = format!("/{field}");
        let body = json!({ "residence": "here", "born_on": born_on, field: parent });
        kennel.post("/dogs", body).await.refused(&[&pointer]);
    }
    for (born_on, field, parent) in [
        (json!("2020-05-11"), "dam_id", dam),
        (json!("2021"), "sire_id", sire),
        (Value::Null, "sire_id", sire),
    ] {
        let body = json!({ "residence": "here", "born_on": born_on, field: parent });
        kennel.post("/dogs", body).await.created();
    }
    // Nor does a parent become younger afterwards.
    let path = format!("/dogs/{dam}");
    kennel.change(&path, json!({ "born_on": "2020-05-11" })).await.refused(&["/born_on"]);
    kennel.change(&path, json!({ "born_on": "2020-04" })).await.ok();
}

#[tokio::test]
async fn nobody_is_their_own_ancestor() {
    let kennel = Kennel::among_others().await;
    // Without dates, so that only the pedigree itself can tell.
    let eldest = kennel.dog("Eldest", json!({ "sex": "female" })).await;
    let mut last = eldest;
    for generation in 0..4 {
        last =
            kennel.dog(&format!("G{generation}"), json!({ "sex": "female", "dam_id": last })).await;
    }
    let son = kennel.dog("Son", json!({ "sex": "male", "dam_id": last })).await;
    let path = format!("/dogs/{eldest}");
    kennel.change(&path, json!({ "dam_id": eldest })).await.pointers(422);
    kennel.change(&path, json!({ "dam_id": last })).await.pointers(422);
    kennel.change(&path, json!({ "sire_id": son })).await.pointers(422);
    assert_eq!(kennel.get(&path).await.ok()["version"], 1);
    kennel.change(&path, json!({ "sire_id": kennel.sire("Castor").await })).await.ok();
}

/// Two changes that close a loop only together do not see each other: one of them must wait.
#[tokio::test]
async fn nobody_becomes_their_own_ancestor_by_two_changes_at_once() {
    let kennel = Kennel::among_others().await;
    for round in 0..5 {
        let one = kennel.dog(&format!("One {round}"), json!({ "sex": "female" })).await;
        let two = kennel.dog(&format!("Two {round}"), json!({ "sex": "female" })).await;
        let (first, second) = (format!("/dogs/{one}"), format!("/dogs/{two}"));
        let (a, b) = tokio::join!(
            kennel.patch(&first, "\"1\"", json!({ "dam_id": two })),
            kennel.patch(&second, "\"1\"", json!({ "dam_id": one }))
        );
        let mut statuses = [a.status, b.status];
        statuses.sort_unstable();
        assert_eq!(statuses, [200, 422], "{} {}", a.text(), b.text());
    }
}

#[tokio::test]
async fn litters_and_heats_are_of_dams_matings_of_both() {
    let kennel = Kennel::among_others().await;
    let (juno, freya) = (kennel.dam("Juno").await, kennel.dam("Freya").await);
    let castor = kennel.sire("Castor").await;
    let heat = kennel.heat(freya, 20).await;
    let mating = |dam: Uuid, sire: Uuid, heat: Value| json!({ "dam_id": dam, "sire_id": sire, "heat_id": heat, "status": "planned", "method": "natural" });
    kennel.post("/matings", mating(juno, castor, json!(heat))).await.refused(&["/heat_id"]);
    kennel.post("/matings", mating(juno, freya, Value::Null)).await.refused(&["/sire_id"]);
    kennel.post("/litters", json!({ "dam_id": castor })).await.refused(&["/dam_id"]);
    let done = kennel.mating(juno, castor, 10).await;
    let litter = |dam: Uuid| json!({ "dam_id": dam, "mating_id": done });
    kennel.post("/litters", litter(freya)).await.refused(&["/mating_id"]);
    kennel.post("/litters", litter(juno)).await.created();
    kennel.post("/litters", litter(juno)).await.problem(409);
    // The same day twice is asked about, and there is one row a day whatever is confirmed.
    let again = json!({ "dog_id": freya, "began_on": days_ago(20) });
    kennel.post("/heats", again).await.refused(&["/began_on"]);
    let again = json!({ "dog_id": freya, "began_on": days_ago(20), "confirmed": true });
    kennel.post("/heats", again).await.problem(409);
}

/// A litter of a mating is the mating's, and its pups are the litter's.
#[tokio::test]
async fn a_litter_has_the_parents_of_its_mating() {
    let kennel = Kennel::among_others().await;
    let (juno, castor, orion) =
        (kennel.dam("Juno").await, kennel.sire("Castor").await, kennel.sire("Orion").await);
    let wren = kennel.dam("Wren").await;
    let mating = kennel.mating(juno, castor, 70).await;
    let other = json!({ "mating_id": mating, "dam_id": juno, "sire_id": orion });
    kennel.post("/litters", other).await.refused(&["/sire_id"]);
    let other = json!({ "mating_id": mating, "dam_id": wren });
    kennel.post("/litters", other).await.refused(&["/mating_id"]);
    let litter = kennel.post("/litters", json!({ "mating_id": mating })).await.created();
    assert_eq!((&litter["dam_id"], &litter["sire_id"]), (&json!(juno), &json!(castor)));
    kennel.post("/litters", json!({ "name": "Nobody's" })).await.refused(&["/dam_id"]);

    let litter = id(&litter);
    let birth = kennel.birth(litter, 30, json!({})).await;
    let pup = format!("/dogs/{}", birth["dog_id"].as_str().unwrap());
    // The wrong sire was written down: corrected at the mating, it reaches litter and pup.
    kennel.change(&format!("/matings/{mating}"), json!({ "sire_id": orion })).await.ok();
    assert_eq!(kennel.get(&format!("/litters/{litter}")).await.ok()["sire_id"], json!(orion));
    assert_eq!(kennel.get(&pup).await.ok()["sire_id"], json!(orion));
}

#[tokio::test]
async fn correcting_a_litter_reaches_its_pups_and_asks_where_it_changes_more() {
    let kennel = Kennel::among_others().await;
    let (juno, castor, orion) =
        (kennel.dam("Juno").await, kennel.sire("Castor").await, kennel.sire("Orion").await);
    let litter = kennel.litter(juno, castor).await;
    let path = format!("/litters/{litter}");
    let mut pups = Vec::new();
    for (number, sex) in [(1, "female"), (2, "male")] {
        let birth = kennel.birth(litter, 24 * 900, json!({ "sex": sex, "ordinal": number })).await;
        pups.push(birth["dog_id"].as_str().unwrap().to_owned());
    }
    kennel.change(&path, json!({ "sire_id": orion })).await.ok();
    for pup in &pups {
        assert_eq!(kennel.get(&format!("/dogs/{pup}")).await.ok()["sire_id"], json!(orion));
    }
    // One of them has offspring by now.
    kennel.dog("Fern", json!({ "dam_id": pups[0], "born_on": days_ago(100) })).await;
    kennel.change(&path, json!({ "sire_id": castor })).await.refused(&["/sire_id"]);
    // Nothing was half-written.
    assert_eq!(kennel.get(&path).await.ok()["sire_id"], json!(orion));
    kennel.change(&path, json!({ "sire_id": castor, "confirmed": true })).await.ok();
    for pup in &pups {
        assert_eq!(kennel.get(&format!("/dogs/{pup}")).await.ok()["sire_id"], json!(castor));
    }
    // Another one has parents of its own recorded: asked as well, and only then replaced.
    kennel.change(&format!("/dogs/{}", pups[1]), json!({ "sire_id": null })).await.ok();
    kennel.change(&path, json!({ "sire_id": orion, "confirmed": false })).await.problem(422);
}
