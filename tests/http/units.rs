//! Weights and temperatures in the unit in which somebody states or reads them.

use crate::common::*;
use chrono::Duration;

#[tokio::test]
async fn a_weight_is_stated_in_one_unit_and_kept_in_grams() {
    let kennel = Kennel::among_others().await;
    let path = format!("/dogs/{}/weights", kennel.dog("Fern", json!({})).await);
    let at = |hours| time_ago(Duration::hours(hours));
    for (hours, stated, grams) in [
        (2, json!({ "weight_g": 28_000 }), 28_000),
        (3, json!({ "weight_kg": 28.0004 }), 28_000),
        (4, json!({ "weight_kg": 28.0005 }), 28_001),
        (5, json!({ "weight_lb": 61.7 }), 27_987),
        (6, json!({ "weight_lb": 61, "weight_oz": 11.7 }), 28_001),
        (7, json!({ "weight_oz": 987.7, "weight_g": null }), 28_001),
    ] {
        let mut body = stated.clone();
        body["measured_at"] = json!(at(hours));
        let kept = kennel.post(&path, body).await.created();
        assert_eq!(kept["weight_g"], grams, "{stated}");
        assert!(kept.get("weight_kg").is_none() && kept.get("weight_oz").is_none(), "{kept}");
    }
    for (stated, place) in [
        (json!({}), "/weight_g"),
        (json!({ "weight_g": 28_000, "weight_kg": 28 }), "/weight_kg"),
        (json!({ "weight_kg": 28, "weight_oz": 1 }), "/weight_oz"),
        (json!({ "weight_kg": "28" }), "/weight_kg"),
        (json!({ "weight_kg": 0.0194 }), "/weight_kg"),
        (json!({ "weight_lb": 331 }), "/weight_lb"),
        (json!({ "weight_stone": 4 }), "/weight_stone"),
    ] {
        let mut body = stated.clone();
        body["measured_at"] = json!(at(8));
        let answer = kennel.post(&path, body).await;
        let mut places = answer.pointers(422);
        places.retain(|found| found == place);
        assert_eq!(places, [place], "{stated}");
    }
}

#[tokio::test]
async fn a_change_a_birth_a_dog_and_a_batch_take_other_units_too() {
    let kennel = Kennel::among_others().await;
    let dog = kennel.dog("Fern", json!({ "adult_weight_lb": 61.7 })).await;
    let path = format!("/dogs/{dog}");
    assert_eq!(kennel.get(&path).await.ok()["adult_weight_g"], 27_987);
    assert_eq!(
        kennel.change(&path, json!({ "adult_weight_kg": 29.5 })).await.ok()["adult_weight_g"],
        29_500
    );
    assert!(
        kennel.change(&path, json!({ "adult_weight_g": null })).await.ok()["adult_weight_g"]
            .is_null()
    );
    let weight = kennel.weight(dog, 2, 28_000).await;
    let one = format!("{path}/weights/{weight}");
    assert_eq!(kennel.change(&one, json!({ "weight_lb": 62 })).await.ok()["weight_g"], 28_123);
    kennel
        .change(&one, json!({ "weight_lb": 62, "weight_g": 1000 }))
        .await
        .refused(&["/weight_lb"]);
    let litter = kennel.litter(kennel.dam("Juno").await, kennel.sire("Castor").await).await;
    let birth = kennel.birth(litter, 2, json!({ "weight_oz": 15.2 })).await;
    assert_eq!(birth["weight_g"], 431);
    let row = |fields: Value| {
        let mut row = json!({ "id": Uuid::now_v7(), "dog_id": dog, "measured_at": time_ago(Duration::hours(5)) });
        row.as_object_mut().unwrap().extend(fields.as_object().unwrap().clone());
        row
    };
    let rows = json!({ "items": [row(json!({ "weight_kg": 28.2 })), row(json!({ "weight_kg": 2, "weight_g": 2 }))] });
    let answer = kennel.post("/weights/batch", rows).await.ok();
    assert_eq!((&answer["stored"], &answer["refused"]), (&json!(1), &json!(1)));
    assert_eq!(answer["items"][1]["errors"][0]["pointer"], "/items/1/weight_kg");
    let check = json!({ "checked_at": time_ago(Duration::hours(1)), "temperature_f": 101.3 });
    let kept = kennel.post(&format!("/litters/{litter}/dam-checks"), check).await.created();
    assert_eq!(kept["temperature_c"], 38.5);
}

/// The kennel's units are kept, archived with it, and read in what it prints and draws.
#[tokio::test]
async fn a_kennel_reads_its_own_units() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = kennel.born_litter(1, 3).await;
    let pup = pups[0];
    kennel.weight(pup, 24, 440).await;
    let own = kennel.get("").await.ok();
    assert_eq!((&own["weight_unit"], &own["temperature_unit"]), (&json!("g"), &json!("c")));
    let chart = async || kennel.get(&format!("/dogs/{pup}/growth.svg")).await.expect(200).text();
    assert!(chart().await.contains("weight in grams"));
    let units = json!({ "weight_unit": "lb_oz", "temperature_unit": "f" });
    let kept = kennel.patch("", "*", units).await.ok();
    assert_eq!((&kept["weight_unit"], &kept["temperature_unit"]), (&json!("lb_oz"), &json!("f")));
    kennel.patch("", "*", json!({ "weight_unit": "stone" })).await.refused(&["/weight_unit"]);
    assert!(chart().await.contains("15.5 oz on"), "440 g");
    assert!(chart().await.contains("weight in ounces"));
    let whole = kennel.get(&format!("/litters/{litter}/growth.svg")).await.expect(200).text();
    assert!(whole.contains("weight in ounces"));
    let booklet = kennel.get(&format!("/dogs/{pup}/booklet.pdf")).await.expect(200);
    let text = pdf_extract::extract_text_from_mem(&booklet.bytes).unwrap();
    assert!(text.contains("14.1 oz"), "400 g at birth: {text}");
    let line = json!({ "happened_at": time_ago(Duration::hours(70)), "event": { "kind": "temperature", "temperature_c": 38.2 } });
    kennel.post(&format!("/litters/{litter}/whelping"), line).await.created();
    let sheet = kennel.get(&format!("/litters/{litter}/whelping-sheet.pdf")).await.expect(200);
    let text = pdf_extract::extract_text_from_mem(&sheet.bytes).unwrap();
    assert!(text.contains("14.1 oz") && text.contains("100.8 °F"), "{text}");
}
