//! The log of changes: gapless, in order, and live.

use crate::common::*;

fn sequences(log: &Value) -> Vec<i64> {
    items(log).iter().map(|change| change["sequence"].as_i64().unwrap()).collect()
}

#[tokio::test]
async fn every_write_is_logged_with_what_was_before_and_after() {
    let kennel = Kennel::among_others().await;
    let start = kennel.get("/changes").await.ok()["newest_sequence"].as_i64().unwrap();
    let juno = kennel.dam("Juno").await;
    let path = format!("/dogs/{juno}");
    kennel.change(&path, json!({ "colour": "black" })).await.ok();
    kennel.patch(&path, "\"1\"", json!({ "colour": "fox" })).await.problem(412);
    kennel.change(&path, json!({ "sex": "both" })).await.problem(422);
    kennel.remove(&path).await.no_content();

    let log = kennel.get(&format!("/changes?after={start}")).await.ok();
    let told: Vec<_> = items(&log)
        .iter()
        .map(|change| (change["record"].as_str().unwrap(), change["action"].as_str().unwrap()))
        .collect();
    assert_eq!(told, [("dog", "created"), ("dog", "changed"), ("dog", "deleted")]);
    let [created, changed, deleted] = items(&log) else { panic!("{log}") };
    assert!(created["before"].is_null() && deleted["after"].is_null());
    assert_eq!(created["after"]["name"], "Juno");
    assert!(changed["before"]["colour"].is_null());
    assert_eq!(changed["after"]["colour"], "black");
    assert_eq!(deleted["before"]["colour"], "black");
    for change in items(&log) {
        assert_eq!(change["row_id"], json!(juno));
        assert_eq!(change["person_id"], json!(kennel.person_id));
    }
    assert_eq!(log["last_sequence"], json!(start + 3));
    assert!(log["next_cursor"].is_null());
}

#[tokio::test]
async fn numbers_have_no_gap_whoever_writes_at_once() {
    let kennel = Kennel::among_others().await;
    let start = kennel.get("/changes").await.ok()["newest_sequence"].as_i64().unwrap();
    let writers = (0..6).map(|writer| {
        let owner = kennel.owner().clone();
        tokio::spawn(async move {
            for number in 0..8 {
                let fault = number % 4 == 3;
                let residence = if fault { "the moon" } else { "here" };
                let dog = json!({ "name": format!("{writer}/{number}"), "residence": residence });
                owner.post("/dogs", dog).await;
            }
        })
    });
    for writer in writers.collect::<Vec<_>>() {
        writer.await.unwrap();
    }
    let log = kennel.get(&format!("/changes?after={start}")).await.ok();
    assert_eq!(sequences(&log), (start + 1..=start + 36).collect::<Vec<_>>());
}

#[tokio::test]
async fn a_long_log_is_read_in_pages() {
    let kennel = Kennel::new().await;
    let sql = kennel.sql().await;
    let insert = format!(
        "INSERT INTO dogs (kennel_id, id, residence) \
         SELECT '{}', gen_random_uuid(), 'elsewhere' FROM generate_series(1, 700)",
        kennel.kennel_id
    );
    sql.batch_execute(&insert).await.unwrap();
    let mut after = 0;
    let mut seen = Vec::new();
    loop {
        let page = kennel.get(&format!("/changes?after={after}")).await.ok();
        seen.extend(sequences(&page));
        after = page["last_sequence"].as_i64().unwrap();
        if page["next_cursor"].is_null() {
            break;
        }
    }
    assert_eq!(seen, (1..=after).collect::<Vec<_>>());
    assert!(after >= 700);
    assert_eq!(kennel.get(&format!("/changes?after={after}")).await.ok()["last_sequence"], after);
}

#[tokio::test]
async fn the_stream_tells_each_change_as_it_is_written() {
    let kennel = Kennel::among_others().await;
    let start = kennel.get("/changes").await.ok()["newest_sequence"].as_i64().unwrap();
    let mut stream = kennel.follow(Some(start)).await;
    let other = kennel.another().await;
    for number in 1..4 {
        other.dog("of another kennel", json!({})).await;
        let dog = kennel.dog(&format!("Dog {number}"), json!({})).await;
        let (sequence, change) = stream.next().await;
        assert_eq!(sequence, start + number);
        assert_eq!((&change["row_id"], &change["sequence"]), (&json!(dog), &json!(sequence)));
    }
}

#[tokio::test]
async fn a_stream_goes_on_where_it_was_lost() {
    let kennel = Kennel::among_others().await;
    let start = kennel.get("/changes").await.ok()["newest_sequence"].as_i64().unwrap();
    let mut stream = kennel.follow(Some(start)).await;
    kennel.dog("One", json!({})).await;
    let (last, _) = stream.next().await;
    drop(stream);
    kennel.dog("Two", json!({})).await;
    kennel.dog("Three", json!({})).await;

    let mut stream = kennel.follow(Some(last)).await;
    for (number, name) in [(1, "Two"), (2, "Three")] {
        let (sequence, change) = stream.next().await;
        assert_eq!((sequence, &change["after"]["name"]), (last + number, &json!(name)));
    }
    // Without a number it begins at the beginning.
    assert_eq!(kennel.follow(None).await.next().await.0, 1);
}

#[tokio::test]
async fn a_stream_shows_what_its_reader_may_see() {
    let kennel = Kennel::among_others().await;
    let (juno, freya) = (kennel.dam("Juno").await, kennel.dam("Freya").await);
    let co_owner = kennel.co_owner(&[juno]).await;
    let start = kennel.get("/changes").await.ok()["newest_sequence"].as_i64().unwrap();
    let mut stream = co_owner.follow(Some(start)).await;
    kennel.weight(freya, 2, 26_000).await;
    kennel.weight(juno, 1, 27_000).await;
    let (_, change) = stream.next().await;
    assert_eq!(change["after"]["dog_id"], json!(juno));
    kennel.stranger().await.get("/changes").await.problem(404);
}
