//! What the kennel's own lines weigh: told with their number, used where there are enough, beside the published norm.

use crate::common::*;

/// The lines of a sex in the norms of the pups' breed.
async fn lines(caller: &Caller, sex: usize) -> Value {
    let norms = caller.get("/growth-norms?breed=labrador%20retriever").await.ok();
    assert!(norms["published_birth"]["mean_g"].as_f64().unwrap() > 0.0, "{norms}");
    norms["sexes"][sex].clone()
}

#[tokio::test]
async fn own_lines_are_used_from_enough_dogs_on_and_told_beside_what_is_published() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(12, 90).await;
    // Weighed a week after birth, and once between two of the ages.
    kennel.weight(pups[0], 24 * 83, 750).await;
    kennel.weight(pups[0], 24 * 80, 950).await;
    let rule =
        json!({ "key": "growth.own_lines_dogs", "value": 5.0, "source": "five are enough for us" });
    kennel.post("/rules/overrides", rule).await.created();
    // Every other pup is a female.
    let grown = |at: usize| {
        let (kennel, pup) = (&kennel, pups[at]);
        async move {
            let weight = json!({ "adult_weight_g": 26_000 + 100 * at });
            kennel.change(&format!("/dogs/{pup}"), weight).await.ok();
        }
    };
    for at in [0, 2, 4, 6] {
        grown(at).await;
    }
    let young = format!("/dogs/{}", pups[10]);
    let asked = || async {
        let growth = kennel.get(&format!("{young}/growth")).await.ok();
        let ration = kennel.get(&format!("{young}/ration")).await.ok();
        assert_eq!(growth["adult_weight"], ration["adult_weight"], "one voice");
        (
            growth["adult_weight"].clone(),
            growth["own_lines"]["sexes"][0]["adult_weight"]["count"].clone(),
        )
    };
    assert_eq!(asked().await, (Value::Null, json!(4)));
    let females = lines(&kennel, 0).await;
    assert_eq!(
        (&females["adult_weight"]["is_used"], &females["adult_weight"]["litters"]),
        (&json!(false), &json!(1))
    );
    let week = females["ages"].as_array().unwrap().iter().find(|age| age["age_days"] == 7).unwrap();
    assert_eq!((&week["count"], &week["mean_g"]), (&json!(1), &json!(750.0)));
    assert!(females["ages"].as_array().unwrap().iter().all(|age| age["age_days"] != 14));

    grown(8).await;
    let (used, count) = asked().await;
    assert_eq!(
        (&used["basis"], &used["dogs"], &count),
        (&json!("own_lines"), &json!(5), &json!(5))
    );
    assert_eq!(used["weight_g"], 26_400.0);
    assert_eq!(used["published"]["adult_weight_g"], 26_700.0);
    // Its own weight goes before; of the males nothing is known.
    grown(10).await;
    assert_eq!(asked().await.0["basis"], "dog");
    assert_eq!(lines(&kennel, 1).await["adult_weight"]["count"], 0);

    // Each is told of the dogs that they see.
    let dam = kennel.get(&format!("/litters/{litter}")).await.ok()["dam_id"]
        .as_str()
        .unwrap()
        .parse()
        .unwrap();
    let co_owner = kennel.co_owner(&[dam]).await;
    assert_eq!(lines(&co_owner, 0).await["adult_weight"]["count"], 6);
    let other = kennel.co_owner(&[kennel.dam("Freya").await]).await;
    assert_eq!(lines(&other, 0).await["adult_weight"]["count"], 0);
    assert_eq!(lines(&kennel.viewer().await, 0).await["adult_weight"]["count"], 6);
}
