//! How pups grow, and weights that look mistaken.

use crate::common::*;
use uuid::Uuid;

/// Four pups born six days ago at 400 g: three gain 7 % a day, the last stands still since yesterday.
async fn weighed_litter(kennel: &Kennel) -> (Uuid, Vec<Uuid>) {
    let (litter, pups) = kennel.born_litter(4, 6).await;
    for day in 1..=5 {
        for (number, pup) in pups.iter().enumerate() {
            let days = if number == 3 { day.min(4) } else { day };
            let weight = (400.0 * 1.07_f64.powi(days)).round() as i64;
            kennel.weight(*pup, 24 * (6 - i64::from(day)), weight).await;
        }
    }
    (litter, pups)
}

fn pup_of(growth: &Value, dog: Uuid) -> &Value {
    growth["pups"].as_array().unwrap().iter().find(|pup| pup["dog_id"] == json!(dog)).unwrap()
}

#[tokio::test]
async fn gain_rank_and_who_stands_still() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = weighed_litter(&kennel).await;
    let growth = kennel.get(&format!("/litters/{litter}/growth")).await.ok();
    // 400 x 1.07^5 = 561 g; 1.07^4 = 524 g.
    let first = pup_of(&growth, pups[0]);
    assert_eq!(first["birth_weight_g"], 400.0);
    assert_eq!(first["last"]["weight_g"], 561.0);
    assert_eq!(first["since_birth"]["gain_g"], 161.0);
    assert_eq!(first["since_yesterday"]["gain_g"], 37.0);
    assert_eq!(
        (&first["position"]["rank"], &first["position"]["pups_ranked"]),
        (&json!(1), &json!(4))
    );
    let last = pup_of(&growth, pups[3]);
    assert_eq!(
        (&last["since_yesterday"]["gain_g"], &last["position"]["rank"]),
        (&json!(0.0), &json!(4))
    );
    assert_eq!(growth["standing_still"], json!([pups[3]]));
    assert_eq!(growth["losing"], json!([]));
    assert_eq!(growth["risks"][0]["dog_id"], json!(pups[3]));
    assert!(last["cautions"].as_array().unwrap().iter().all(|caution| caution["source"] != ""));
    assert!(growth["advice"].as_str().unwrap().contains("veterinarian"));
    assert!(growth["forecast"].is_null());

    let asked = format!("/litters/{litter}/growth?forecast_until={}", days_ago(-20));
    let days = kennel.get(&asked).await.ok()["forecast"]["pups"][0]["days"].clone();
    assert_eq!(days.as_array().unwrap().len(), 27, "day 0 to 26");

    let one = kennel.get(&format!("/dogs/{}/growth", pups[0])).await.ok();
    assert_eq!(one["since_birth"], first["since_birth"]);
    assert_eq!((&one["litter_id"], &one["position"]["pups_ranked"]), (&json!(litter), &json!(4)));
    let middle = one["forecast"]["days"][10]["weight_g"].as_f64().unwrap();
    assert!((650.0..950.0).contains(&middle), "400 g gaining 5 to 9 % a day: {middle}");
}

#[tokio::test]
async fn a_mistaken_weight_is_asked_about_and_kept_when_confirmed() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = weighed_litter(&kennel).await;
    let path = format!("/dogs/{}/weights", pups[0]);
    let slip = json!({ "measured_at": time_ago(chrono::Duration::minutes(5)), "weight_g": 6010 });
    let problem = kennel.post(&path, slip.clone()).await.problem(422);
    assert_eq!(problem["errors"][0]["pointer"], "/weight_g");
    let detail = problem["errors"][0]["detail"].as_str().unwrap();
    assert!(detail.contains("601 g") && detail.contains("confirmed"), "{detail}");
    let mut confirmed = slip;
    confirmed["confirmed"] = json!(true);
    kennel.post(&path, confirmed).await.created();
    let growth = kennel.get(&format!("/litters/{litter}/growth")).await.ok();
    assert_eq!(pup_of(&growth, pups[0])["last"]["weight_g"], 6010.0);
    // Another unit is told apart before anything else.
    let kilograms =
        json!({ "measured_at": time_ago(chrono::Duration::minutes(3)), "weight_g": 0.601 });
    let problem = kennel.post(&path, kilograms).await.problem(422);
    let detail = problem["errors"][0]["detail"].as_str().unwrap();
    assert!(detail.contains("0.601 kg are 601 g"), "{detail}");
    // A right weight goes in without a question.
    kennel.weight(pups[1], 0, 601).await;
}

#[tokio::test]
async fn two_pups_taken_for_one_another_are_found() {
    let kennel = Kennel::among_others().await;
    let (dam, sire) = (kennel.dam("Juno").await, kennel.sire("Castor").await);
    let litter = kennel.litter(dam, sire).await;
    let mut pups: Vec<Uuid> = Vec::new();
    for weight_g in [480, 330, 400, 420, 440] {
        let birth = kennel.birth(litter, 24 * 6, json!({ "weight_g": weight_g })).await;
        pups.push(birth["dog_id"].as_str().unwrap().parse().unwrap());
    }
    for day in 1..=5_i64 {
        let grown = 1.07_f64.powi(day as i32);
        for (number, birth) in [480.0, 330.0, 400.0, 420.0, 440.0].into_iter().enumerate() {
            // On the last day the heaviest and the lightest were exchanged.
            let pup = if day == 5 { [1, 0, 2, 3, 4][number] } else { number };
            let weight = json!({
                "measured_at": time_ago(chrono::Duration::hours(24 * (6 - day))),
                "weight_g": (birth * grown).round() as i64, "confirmed": true,
            });
            kennel.post(&format!("/dogs/{}/weights", pups[pup]), weight).await.created();
        }
    }
    let growth = kennel.get(&format!("/litters/{litter}/growth")).await.ok();
    let swaps = growth["swaps"].as_array().unwrap();
    assert_eq!(swaps.len(), 1, "{swaps:?}");
    let ids = swaps[0]["dog_ids"].as_array().unwrap();
    assert!(ids.contains(&json!(pups[0])) && ids.contains(&json!(pups[1])));
    assert_eq!(swaps[0]["weighing_ids"].as_array().unwrap().len(), 2);
}

#[tokio::test]
async fn growth_is_drawn_and_asked_of_pups_only() {
    let kennel = Kennel::among_others().await;
    let (litter, pups) = weighed_litter(&kennel).await;
    for path in [format!("/litters/{litter}/growth.svg"), format!("/dogs/{}/growth.svg", pups[0])] {
        let svg = kennel.get(&path).await.expect(200);
        assert!(svg.header("content-type").starts_with("image/svg+xml"));
        assert!(svg.text().starts_with("<svg"), "{path}");
    }
    kennel.get(&format!("/litters/{}/growth", Uuid::now_v7())).await.problem(404);
    let other = kennel.another().await;
    other.get(&format!("/litters/{litter}/growth")).await.problem(404);
    other.get(&format!("/dogs/{}/growth", pups[0])).await.problem(404);
    let unknown = kennel.dog("Foundling", json!({})).await;
    kennel.get(&format!("/dogs/{unknown}/growth")).await.refused(&["#path/dog_id"]);
}

/// The numbers under the axis of ages.
fn ages(svg: &str) -> Vec<u32> {
    let ticks = svg.split("text-anchor=\"middle\">").skip(1);
    ticks.filter_map(|tick| tick.split('<').next()?.parse().ok()).collect()
}

/// A picture ends at about twice the present age, in whole weeks; who asks for more sees more. Each line has
/// the colour of its collar.
#[tokio::test]
async fn a_picture_is_of_now_and_in_the_colours_of_the_collars() {
    let kennel = Kennel::among_others().await;
    let litter = kennel.litter(kennel.dam("Alma").await, kennel.sire("Rex").await).await;
    let mut pups = Vec::new();
    for collar in ["blue", "red and white", "white"] {
        let birth = json!({ "weight_g": 400, "collar": collar });
        let birth = kennel.birth(litter, 24 * 13, birth).await;
        pups.push(birth["dog_id"].as_str().unwrap().parse::<Uuid>().unwrap());
    }
    for day in 1..=12 {
        for pup in &pups {
            kennel.weight(*pup, 24 * (13 - day), 400 + 30 * day).await;
        }
    }
    let whole = format!("/litters/{litter}/growth.svg");
    for path in [whole.clone(), format!("/dogs/{}/growth.svg", pups[0])] {
        let svg = kennel.get(&path).await.expect(200).text();
        assert_eq!(ages(&svg).last(), Some(&28), "{path}");
        let until = days_ago(-36);
        let further =
            kennel.get(&format!("{path}?forecast_until={until}")).await.expect(200).text();
        assert_eq!(ages(&further).last(), Some(&49), "{path}");
    }
    let svg = kennel.get(&whole).await.expect(200).text();
    for colour in ["#1e5fd0", "#d32f2f", "#ffffff"] {
        assert!(svg.contains(&format!("stroke:{colour}")), "{colour}");
    }
    // The first line drawn is the first pup's.
    let first = svg.split("class=\"line c").nth(1).unwrap();
    assert!(first.starts_with('0') && svg.contains(".c0{stroke:#1e5fd0}"));
}

/// What was read of weights is remembered; a litter is told as it is on record all the same, whatever was written, taken
/// away, moved or brought by a file, and beside whatever transaction is undone.
#[tokio::test]
async fn weights_that_are_remembered_are_those_on_record() {
    let kennel = Kennel::new().await;
    let (litter, pups) = weighed_litter(&kennel).await;
    let (first, second) = (pups[0], pups[1]);
    let growth = format!("/litters/{litter}/growth");
    let last = async |dog: Uuid| {
        let growth = kennel.get(&growth).await.ok();
        pup_of(&growth, dog)["last"]["weight_g"].as_f64().unwrap()
    };
    for _ in 0..2 {
        assert_eq!((last(first).await, last(second).await), (561.0, 561.0));
    }
    let new = kennel.weight(first, 2, 575).await;
    assert_eq!((last(first).await, last(second).await), (575.0, 561.0), "written");
    let path = format!("/dogs/{first}/weights/{new}");
    kennel.change(&path, json!({ "weight_g": 577 })).await.ok();
    assert_eq!(last(first).await, 577.0, "changed");

    // Numbers of the log that an undone transaction took are given to the next one.
    let sql = kennel.sql().await;
    let weigh = format!(
        "INSERT INTO weights (kennel_id, id, dog_id, measured_at, weight_g) \
         VALUES ('{}', gen_random_uuid(), '{second}', '{}', 590)",
        kennel.kennel_id,
        time_ago(chrono::Duration::hours(1)),
    );
    sql.batch_execute(&format!("BEGIN; {weigh}; ROLLBACK")).await.unwrap();
    assert_eq!(last(second).await, 561.0, "undone");
    kennel.weight(second, 2, 580).await;
    assert_eq!((last(first).await, last(second).await), (577.0, 580.0), "after it");

    kennel.remove(&path).await.no_content();
    assert_eq!(last(first).await, 561.0, "taken away");
    let moved = format!(
        "UPDATE weights SET dog_id = '{first}' WHERE kennel_id = '{}' AND dog_id = '{second}' AND weight_g = 580",
        kennel.kennel_id
    );
    assert_eq!(sql.execute(&moved, &[]).await.unwrap(), 1);
    assert_eq!((last(first).await, last(second).await), (580.0, 561.0), "moved");
    // A file is one entry of the log for all of its rows.
    sql.batch_execute(&format!("BEGIN; SET LOCAL denwright.import = 'yes'; {weigh}; COMMIT"))
        .await
        .unwrap();
    assert_eq!((last(first).await, last(second).await), (580.0, 590.0), "brought by a file");
}
